//! The cheapest mix of builds for a schedule: what is found, and what nothing can undercut.

use offtake::shop::compare::{Comparison, Mix, cheapest_mix, compare};
use offtake::shop::cut_plan::CutLength;
use offtake::shop::estimate::{Books, Scheduled, estimate};
use offtake::shop::labour::{Curve, LabourModel, Repetition, TimeSource};
use offtake::shop::money::{Percent, Profit};
use offtake::shop::price_list::PriceList;
use offtake::shop::settings::{Cutting, Shop};
use offtake::trade::manifold::Manifold;
use offtake::trade::rule_set::RuleSet;
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, prices, times};

/// Headers in so many outlets and quantities.
fn schedule(rows: &[(u32, u32)]) -> Vec<Manifold> {
    let rows = rows.iter().enumerate();
    rows.map(|(place, (count, quantity))| {
        let mut manifold = Header {
            count: *count,
            quantity: *quantity,
            ..Header::USUAL
        }
        .manifold(crate::catalogue());
        manifold.mark = format!("H-{place}");
        manifold
    })
    .collect()
}

fn compared(manifolds: &[Manifold], books: Books<'_>) -> Vec<Comparison> {
    let rules = RuleSet::default_set();
    let each = manifolds.iter();
    each.map(|manifold| compare(manifold, crate::catalogue(), &rules, books))
        .collect()
}

/// The least price of every way to build the schedule, each estimated as a whole.
fn least(compared: &[Comparison], books: Books<'_>) -> Decimal {
    let options: Vec<Vec<Scheduled<'_>>> = compared
        .iter()
        .map(|comparison| {
            let sound = comparison.builds.iter();
            let sound = sound.filter(|option| option.feasible() && option.priced.is_ok());
            sound
                .map(|option| Scheduled {
                    manifold: &option.manifold,
                    takeoff: &option.checked.takeoff,
                })
                .collect()
        })
        .collect();
    let mut mixes: Vec<Vec<Scheduled<'_>>> = vec![Vec::new()];
    for options in options {
        let longer = mixes.iter().flat_map(|mix| {
            options.iter().map(|option| {
                let mut mix = mix.clone();
                mix.push(*option);
                mix
            })
        });
        mixes = longer.collect();
    }
    assert!(mixes.len() > 600, "{}", mixes.len());
    let priced = mixes
        .iter()
        .map(|mix| estimate(mix, books).unwrap().totals.net);
    priced.min().unwrap()
}

fn shop() -> Shop {
    let mut shop = plain_shop("USD");
    let pricing = &mut shop.pricing;
    pricing.burden = Percent::new(dec!(30));
    pricing.small_tools = Percent::new(dec!(3));
    pricing.overhead = Percent::new(dec!(15));
    pricing.collar_charge = dec!(1.10);
    pricing.profit = Profit::Margin(Percent::new(dec!(20)));
    pricing.discount = Percent::new(dec!(2));
    shop
}

fn repeating() -> LabourModel {
    let mut model = times("2", None);
    model.repetition = Some(Repetition {
        curve: Curve::Wright,
        slope: Percent::new(dec!(88)),
        timed_at: 2,
        source: TimeSource::Opinion,
    });
    model
}

fn found(shop: &Shop, prices: &PriceList, labour: &LabourModel) -> (Mix, Decimal) {
    // Six headers of three or four sound builds each are more mixes than are all priced.
    let manifolds = schedule(&[(6, 1), (6, 4), (3, 2), (2, 9), (6, 1), (5, 1)]);
    let books = Books {
        shop,
        prices,
        labour,
    };
    let compared = compared(&manifolds, books);
    (cheapest_mix(&compared, books), least(&compared, books))
}

#[test]
fn no_mix_undercuts_the_bound_whatever_manifolds_share() {
    let prices = prices("USD");
    let plain = shop();
    let mut nesting = shop();
    nesting.pricing.cutting = Some(Cutting {
        kerf: CutLength::sixty_fourths(4),
        end_trim: CutLength::sixty_fourths(16),
        least_offcut: Some(CutLength::sixty_fourths(24 * 64)),
        offcut_value: Percent::new(dec!(60)),
    });
    for (shop, labour) in [
        (&plain, times("2", None)),
        (&plain, repeating()),
        (&nesting, times("2", None)),
    ] {
        let (mix, least) = found(shop, &prices, &labour);
        let bound = mix.bound.unwrap();
        assert!(
            bound <= least && least <= mix.price,
            "{bound} {least} {}",
            mix.price
        );
        let gap = mix.gap().unwrap();
        assert!(gap < dec!(10), "{gap}");
        assert_eq!(mix.proven, bound == mix.price);
    }
}

#[test]
fn few_mixes_are_all_priced_and_so_proven() {
    let (shop, prices, labour) = (shop(), prices("USD"), times("2", None));
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    let compared = compared(&schedule(&[(6, 1), (3, 2)]), books);
    let mix = cheapest_mix(&compared, books);
    assert!(mix.proven);
    assert_eq!((mix.bound, mix.gap()), (Some(mix.price), Some(dec!(0))));
}
