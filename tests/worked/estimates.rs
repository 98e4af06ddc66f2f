//! Estimates worked by hand, and what must hold of every estimate.

use offtake::shop::cut_plan::CutLength;
use offtake::shop::estimate::{Books, Estimate, Lacking, Scheduled, estimate};
use offtake::shop::labour::{LabourModel, Operation, Spread};
use offtake::shop::money::{Percent, Profit};
use offtake::shop::price_list::{ItemKind, PriceBreaks, PriceItem, PriceUnit};
use offtake::shop::risk::percentiles;
use offtake::shop::settings::{Cutting, Shop};
use offtake::trade::check::check;
use offtake::trade::manifold::{Build, Manifold};
use offtake::trade::rule_set::RuleSet;
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, prices, times};

pub fn estimated(
    manifolds: &[Manifold],
    shop: &Shop,
    labour: &LabourModel,
) -> Result<Estimate, Vec<Lacking>> {
    on_schedule(manifolds, (shop, labour), |schedule, books| {
        estimate(schedule, *books)
    })
}

/// What comes of a schedule, taken off, and the worked prices.
pub fn on_schedule<T>(
    manifolds: &[Manifold],
    (shop, labour): (&Shop, &LabourModel),
    job: impl FnOnce(&[Scheduled<'_>], &Books<'_>) -> T,
) -> T {
    let catalogue = crate::catalogue();
    let rules = RuleSet::default_set();
    let checked: Vec<_> = manifolds
        .iter()
        .map(|manifold| check(manifold, catalogue, &rules))
        .collect();
    let schedule: Vec<Scheduled<'_>> = manifolds
        .iter()
        .zip(&checked)
        .map(|(manifold, checked)| Scheduled {
            manifold,
            takeoff: &checked.takeoff,
        })
        .collect();
    let prices = prices(shop.currency.code());
    let books = Books {
        shop,
        prices: &prices,
        labour,
    };
    job(&schedule, &books)
}

/// Amount of the one line whose text is this.
fn amount(estimate: &Estimate, text: &str) -> Decimal {
    let lines: Vec<_> = estimate
        .lines
        .iter()
        .filter(|line| line.text == text)
        .collect();
    assert_eq!(lines.len(), 1, "{text}: {:#?}", estimate.lines);
    lines[0].amount
}

#[test]
fn a_header_worked_by_hand_is_met_to_the_cent() {
    // Run: 4 + 5 x 5 + 4 = 33 in = 2.75 ft at 12.00 = 33.00.
    // Branches: stub 3 + run wall 0.070 + notch 0.17527 = 3.24527 in; six are 19.4716 in = 1.623 ft at 4.80 = 7.79.
    // One cap 8.00. Joints: 6 collars + 1 cap = 7, consumables 0.90 each = 6.30.
    // Filler: a collar pi x 1.125 x 0.150 x 0.003 in = 0.0015904 in3; the cap
    //   pi x 2.125 x (2/3 x 1.34) x 0.005 in = 0.0298190 in3; together 0.0393616 in3 at 8.2 g/cm3
    //   (0.296244 lb/in3) = 0.0116606 lb, 0.012 lb at 30.00 = 0.36.
    // Labour at one minute each, 60 an hour, a minute is 1.00: mark out 6, cut 7 (one run, six branches),
    //   deburr 14, forming set-up 1 (one size), form 6, notch 6, clean 7, fit 7, braze 7, wash 7, close 1,
    //   test 1, inspect 7, label 1, handle 1 = 79.00, each line rounded: hours are kept to 4 decimals.
    let catalogue = crate::catalogue();
    let manifold = Header::USUAL.manifold(catalogue);
    let estimate = estimated(&[manifold], &plain_shop("USD"), &times("1", None)).unwrap();
    assert_eq!(amount(&estimate, "tube 2 in type L"), dec!(33.00));
    assert_eq!(amount(&estimate, "tube 1 in type L"), dec!(7.79));
    assert_eq!(amount(&estimate, "cap 2 in"), dec!(8.00));
    assert_eq!(
        amount(&estimate, "gas, flux and brushes for brazing"),
        dec!(6.30)
    );
    assert_eq!(amount(&estimate, "filler BCuP-3"), dec!(0.36));
    for (text, minutes) in [
        ("mark out", 6),
        ("cut tube", 7),
        ("deburr ends", 14),
        ("set up forming", 1),
        ("form collars", 6),
        ("notch and dimple branches", 6),
        ("clean joints", 7),
        ("fit up and support", 7),
        ("braze joints", 7),
        ("cool and wash joints", 7),
        ("close ends", 1),
        ("pressure test", 1),
        ("inspect joints", 7),
        ("label and pack", 1),
        ("handle", 1),
    ] {
        let off = (amount(&estimate, text) - Decimal::from(minutes)).abs();
        assert!(off <= dec!(0.01), "{text}");
    }
    assert_eq!(estimate.heads()["tube"], dec!(40.79));
    assert_eq!(
        estimate.totals.net,
        estimate
            .lines
            .iter()
            .map(|line| line.amount)
            .sum::<Decimal>()
    );
    assert_eq!(estimate.totals.gross, estimate.totals.net);
}

/// A shop that counts whole sticks.
fn sticks() -> Cutting {
    Cutting {
        kerf: CutLength::sixty_fourths(4),
        end_trim: CutLength::sixty_fourths(16),
        least_offcut: Some(CutLength::sixty_fourths(24 * 64)),
        offcut_value: Percent::new(dec!(50)),
    }
}

#[test]
fn whole_sticks_are_paid_and_what_is_kept_is_credited() {
    // Eight runs of 33 in from sticks of 240 in that lose 1/4 in off their ends, kerf 1/16 in:
    //   239.75 + 0.0625 holds 7 of 33.0625, so two sticks, 40 ft at 12.00 = 480.00.
    // Whatever way they lie with two rests of 24 in or more, 2 x 239.75 - 8 x 33.0625 = 215 in
    //   are kept: 17.917 ft at half of 12.00 = 107.50.
    // 48 branches of 3.24527 in: one stick, 20 ft at 4.80 = 96.00; it keeps
    //   239.75 - 48 x 3.30777 = 80.977 in = 6.748 ft at 2.40 = 16.20.
    let catalogue = crate::catalogue();
    let manifold = Header {
        quantity: 8,
        ..Header::USUAL
    }
    .manifold(catalogue);
    let mut shop = plain_shop("USD");
    shop.pricing.cutting = Some(sticks());
    let made = estimated(std::slice::from_ref(&manifold), &shop, &times("1", None)).unwrap();
    assert_eq!(amount(&made, "tube 2 in type L"), dec!(480.00));
    assert_eq!(amount(&made, "offcuts kept, 2 in type L"), dec!(-107.50));
    assert_eq!(amount(&made, "tube 1 in type L"), dec!(96.00));
    assert_eq!(amount(&made, "offcuts kept, 1 in type L"), dec!(-16.20));
    let sum: Decimal = made.lines.iter().map(|line| line.amount).sum();
    assert_eq!(made.totals.net, sum);
    let line = made
        .lines
        .iter()
        .find(|it| it.text == "tube 2 in type L")
        .unwrap();
    assert!(
        line.basis
            .starts_with("8 pieces nested in 2 sticks of 20.00 ft"),
        "{}",
        line.basis
    );
    // The two of a schedule share sticks that each alone would open.
    let four = |quantity| Manifold {
        quantity,
        ..manifold.clone()
    };
    let together = estimated(&[four(4), four(3)], &shop, &times("1", None)).unwrap();
    assert_eq!(amount(&together, "tube 2 in type L"), dec!(240.00));
    let items: Decimal = together.items.iter().map(|item| item.amount).sum();
    assert_eq!(items, together.totals.net);
}

#[test]
fn a_quantity_that_reaches_a_break_is_priced_by_it() {
    // Six caps at 8.00; from 10 on 7.00, of all that are bought: twelve are 84.00, not 96.00.
    let item = |quantity: &str| {
        let breaks = PriceBreaks::parse("10: 7.00; 100: 6.50").unwrap();
        let item = PriceItem {
            code: "cap-2".to_owned(),
            kind: ItemKind::Fitting,
            text: "cap".to_owned(),
            unit: PriceUnit::Each,
            price: dec!(8.00),
            breaks: PriceBreaks::new(dec!(8.00), breaks).unwrap(),
        };
        let quantity: Decimal = quantity.parse().unwrap();
        (
            item.price_at(quantity) * quantity,
            item.break_basis(quantity),
        )
    };
    assert_eq!(item("6"), (dec!(48.00), String::new()));
    assert_eq!(item("12"), (dec!(84.00), ", from 10 each on".to_owned()));
    assert_eq!(item("100").0, dec!(650.00));
}

#[test]
fn a_run_as_long_as_a_stick_takes_it_as_it_comes() {
    // 240 in: 4 + 5 x 46.4 + 4.
    let catalogue = crate::catalogue();
    let manifold = Header {
        pitch: 46.4,
        ..Header::USUAL
    }
    .manifold(catalogue);
    assert!((manifold.run.length.in_inches() - 240.0).abs() < 1e-9);
    let mut shop = plain_shop("USD");
    shop.pricing.cutting = Some(sticks());
    let made = estimated(&[manifold], &shop, &times("1", None)).unwrap();
    assert_eq!(amount(&made, "tube 2 in type L"), dec!(240.00));
}

#[test]
fn two_alike_share_their_set_ups_and_sizes() {
    let catalogue = crate::catalogue();
    let one = |quantity| {
        Header {
            quantity,
            ..Header::USUAL
        }
        .manifold(catalogue)
    };
    let labour = times("1", None);
    let single = estimated(&[one(1)], &plain_shop("USD"), &labour).unwrap();
    let double = estimated(&[one(1), one(1)], &plain_shop("USD"), &labour).unwrap();
    let pair = estimated(&[one(2)], &plain_shop("USD"), &labour).unwrap();
    // One branch size is set up once, however many headers have it.
    for estimate in [&single, &double, &pair] {
        assert_eq!(amount(estimate, "set up forming"), dec!(1.00));
    }
    assert_eq!(double.total_hours(), pair.total_hours());
    assert!(pair.total_hours() < single.total_hours() * dec!(2));
}

#[test]
fn everything_that_is_lacking_is_named_at_once() {
    let catalogue = crate::catalogue();
    let manifold = Header {
        run: "b88-k-2",
        ..Header::USUAL
    }
    .manifold(catalogue);
    let mut shop = plain_shop("USD");
    shop.pricing.crew_rate = None;
    let none = LabourModel::new(
        String::new(),
        String::new(),
        jiff::civil::date(2026, 1, 1),
        [],
    );
    let lacking = estimated(&[manifold], &shop, &none).unwrap_err();
    let operations = lacking
        .iter()
        .filter(|one| matches!(one, Lacking::Operation { .. }))
        .count();
    assert_eq!(operations, 15);
    assert!(lacking.contains(&Lacking::CrewRate));
    assert!(
        lacking
            .iter()
            .any(|one| matches!(one, Lacking::Price { code, .. } if code == "b88-k-2"))
    );
    assert!(lacking.iter().any(
        |one| matches!(one, Lacking::Operation { operation: Operation::Braze, marks } if marks == &["H-1".to_owned()])
    ));
}

#[test]
fn prices_in_another_currency_are_refused() {
    let catalogue = crate::catalogue();
    let manifold = Header::USUAL.manifold(catalogue);
    let checked = check(&manifold, catalogue, &RuleSet::default_set());
    let (shop, prices, labour) = (plain_shop("EUR"), prices("USD"), times("1", None));
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    let schedule = [Scheduled {
        manifold: &manifold,
        takeoff: &checked.takeoff,
    }];
    let lacking = estimate(&schedule, books).unwrap_err();
    assert!(matches!(lacking[..], [Lacking::Currency { .. }]));
}

#[test]
fn the_median_price_of_an_even_spread_is_the_likely_price() {
    // A symmetric triangle has its median at its peak; one group at a time varies, so that the
    // median of the sum over independent symmetric groups is the sum of the medians, too.
    let catalogue = crate::catalogue();
    let manifold = Header::USUAL.manifold(catalogue);
    let shop = plain_shop("USD");
    let spread = Spread {
        low: dec!(0.7),
        high: dec!(1.3),
    };
    let labour = times("10", Some(spread));
    let estimate = estimated(&[manifold], &shop, &labour).unwrap();
    let prices = prices("USD");
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    let found = percentiles(&estimate, &books);
    let net = estimate.totals.net;
    assert!(
        (found.p50 - net).abs() / net < dec!(0.005),
        "{found:?} {net}"
    );
    assert!(found.p50 < found.p80 && found.p80 < found.p90);
    assert_eq!(found, percentiles(&estimate, &books));
}

#[test]
fn the_largest_order_there_can_be_is_priced_without_overflow() {
    // The most that requests allow: 10 000 alike, the dearest price, in a currency of three decimals.
    let catalogue = crate::catalogue();
    let manifold = |build| {
        Header {
            count: 199,
            first: 6.0,
            pitch: 6.0,
            beyond: 6.0,
            quantity: 10_000,
            build,
            ..Header::USUAL
        }
        .manifold(catalogue)
    };
    let manifolds = [manifold(Build::FormedOutlets), manifold(Build::TeesBrazed)];
    let mut shop = plain_shop("KWD");
    let most = Percent::new(dec!(1000));
    shop.pricing.crew_rate = Some(dec!(1000000000));
    shop.pricing.burden = most;
    shop.pricing.overhead = most;
    shop.pricing.contingency = most;
    shop.pricing.collar_charge = dec!(1000000000);
    shop.pricing.profit = Profit::Margin(Percent::new(dec!(99.99)));
    let estimate = estimated(&manifolds, &shop, &times("1000000", None)).unwrap();
    let net = estimate.totals.net;
    assert_eq!(
        estimate
            .items
            .iter()
            .map(|item| item.amount)
            .sum::<Decimal>(),
        net
    );
    assert_eq!(estimate.heads().values().copied().sum::<Decimal>(), net);
}
