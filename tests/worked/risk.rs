//! What a price may become, against scipy's distributions.

use offtake::shop::estimate::{Books, Estimate, Scheduled, estimate};
use offtake::shop::labour::Spread;
use offtake::shop::money::Percent;
use offtake::shop::risk::{DRAWS, Percentiles, percentiles};
use offtake::shop::settings::{PriceSpread, Shop};
use offtake::trade::check::check;
use offtake::trade::rule_set::RuleSet;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, prices, times};

fn priced(shop: &Shop, spread: Option<Spread>) -> (Estimate, Percentiles) {
    let catalogue = crate::catalogue();
    let manifold = Header::USUAL.manifold(catalogue);
    let checked = check(&manifold, catalogue, &RuleSet::default_set());
    let (prices, labour) = (prices("USD"), times("1", spread));
    let books = Books {
        shop,
        prices: &prices,
        labour: &labour,
    };
    let schedule = [Scheduled {
        manifold: &manifold,
        takeoff: &checked.takeoff,
    }];
    let estimate = estimate(&schedule, books).unwrap();
    let found = percentiles(&estimate, &books);
    (estimate, found)
}

fn shop_with(spreads: &[(&str, Decimal, Decimal)]) -> Shop {
    let mut shop = plain_shop("USD");
    for (head, low, high) in spreads {
        let spread = PriceSpread {
            low: *low,
            high: *high,
        };
        shop.pricing.price_spread.insert((*head).to_owned(), spread);
    }
    shop
}

/// What varies of the price, at the three levels: the price less what does not vary.
fn varying(estimate: &Estimate, found: &Percentiles, heads: &[&str]) -> [f64; 3] {
    let varying: Decimal = heads.iter().map(|head| estimate.direct_heads[*head]).sum();
    let fixed = estimate.totals.net - varying;
    [found.p50, found.p80, found.p90].map(|price| (price - fixed).to_f64().unwrap())
}

fn all_near(found: [f64; 3], expected: [f64; 3], off: f64) {
    for (found, expected) in found.into_iter().zip(expected) {
        assert!((found - expected).abs() < off, "{found} is not {expected}");
    }
}

#[test]
fn one_head_follows_the_triangle() {
    // The tube of this header costs 40.79 (worked by hand in `estimates`). scipy 1.17.1,
    // stats.triang(c=1/3, loc=32.632, scale=24.474).ppf: `tests/outside/make_risk_fixtures.py`.
    // 10 000 draws place a percentile within about half a percent of the range.
    let shop = shop_with(&[("tube", dec!(0.8), dec!(1.4))]);
    let (estimate, found) = priced(&shop, None);
    assert_eq!(estimate.direct_heads["tube"], dec!(40.79));
    let expected = [42.9759, 48.1694, 50.7868];
    all_near(varying(&estimate, &found, &["tube"]), expected, 0.25);
    assert_eq!((found.draws, found.swings.len()), (DRAWS, 1));
}

#[test]
fn two_heads_vary_each_by_itself() {
    // The same tube and a cap of 8.00: scipy 1.17.1, the two densities convolved
    // (`tests/outside/make_risk_fixtures.py`). Were they drawn together, P90 would be 70.6.
    let spreads = [
        ("tube", dec!(0.8), dec!(1.4)),
        ("fittings", dec!(0.5), dec!(3)),
    ];
    let (estimate, found) = priced(&shop_with(&spreads), None);
    let expected = [55.163, 61.2678, 64.4659];
    all_near(
        varying(&estimate, &found, &["tube", "fittings"]),
        expected,
        0.35,
    );
    // Widest first: tube at its tenth and ninetieth percentile, 36.8 and 50.8; the cap 5.8 and 18.6.
    let what: Vec<&str> = found
        .swings
        .iter()
        .map(|swing| swing.what.as_str())
        .collect();
    assert_eq!(what, ["prices of tube", "prices of fittings"]);
    let width = found.swings[0].high - found.swings[0].low;
    assert!((width - dec!(13.69)).abs() < dec!(0.02), "{width}");
}

#[test]
fn the_same_estimate_gives_the_same_figures_and_the_curve_rises() {
    let spread = Some(Spread {
        low: dec!(0.8),
        high: dec!(1.6),
    });
    let shop = shop_with(&[("tube", dec!(0.8), dec!(1.4))]);
    let (_, first) = priced(&shop, spread);
    let (_, again) = priced(&shop, spread);
    assert_eq!(first, again);
    assert_eq!(first.curve.len(), 19);
    assert!(first.curve.windows(2).all(|pair| pair[0].1 <= pair[1].1));
    let at = |percent| {
        first
            .curve
            .iter()
            .find(|(one, _)| *one == percent)
            .unwrap()
            .1
    };
    assert_eq!((at(50), at(80), at(90)), (first.p50, first.p80, first.p90));
    // Four groups of operations and one head vary.
    assert_eq!(first.swings.len(), 5);
    assert!(first.swings.iter().all(|swing| swing.low < swing.high));
}

#[test]
fn a_contingency_by_level_is_what_that_level_costs_more() {
    // P80 less P50 of the tube alone, by scipy: 48.1694 - 42.9759 = 5.1935; 10 % overhead on it.
    let mut shop = shop_with(&[("tube", dec!(0.8), dec!(1.4))]);
    shop.pricing.overhead = Percent::new(dec!(10));
    shop.pricing.contingency_level = Some(80);
    let (estimate, found) = priced(&shop, None);
    let line = estimate
        .lines
        .iter()
        .find(|line| line.head == "contingency");
    let amount = line.unwrap().amount.to_f64().unwrap();
    assert!((amount - 5.1935 * 1.1).abs() < 0.3, "{amount}");
    // The draws are those of the price without it, so that it is not counted twice.
    let spread = (found.p80 - found.p50).to_f64().unwrap();
    assert!((spread - amount).abs() < 0.02, "{spread} and {amount}");
    assert!(found.basis.contains("left out"));
    let sum: Decimal = estimate.lines.iter().map(|line| line.amount).sum();
    assert_eq!(sum, estimate.totals.net);
}

#[test]
fn what_does_not_vary_has_one_price_and_no_reserve() {
    let mut shop = plain_shop("USD");
    shop.pricing.contingency_level = Some(90);
    let (estimate, found) = priced(&shop, None);
    assert_eq!(found.draws, 0);
    assert_eq!(
        (found.p50, found.p90),
        (estimate.totals.net, estimate.totals.net)
    );
    assert!(estimate.lines.iter().all(|line| line.head != "contingency"));
}

#[test]
fn hours_vary_as_what_they_cost_does() {
    // Mean of the triangle 0.8, 1, 1.6 by scipy 1.17.1: 1.133333, standard deviation 0.169967;
    // of the beta of PERT: 1.066667 and 0.142539. An hour costs 60, and nothing else varies.
    let spread = Spread {
        low: dec!(0.8),
        high: dec!(1.6),
    };
    let (estimate, found) = priced(&plain_shop("USD"), Some(spread));
    let hours = found.hours.as_ref().unwrap();
    let likely = estimate.total_hours();
    let off = (hours.mean / likely).to_f64().unwrap() - 1.133_333;
    assert!(off.abs() < 0.005, "{off}");
    let bought = estimate.totals.net - estimate.direct_heads["labour"];
    for (hours, price) in [
        (hours.p50, found.p50),
        (hours.p80, found.p80),
        (hours.p90, found.p90),
    ] {
        assert!(
            (hours * dec!(60) + bought - price).abs() <= dec!(0.02),
            "{hours} {price}"
        );
    }
    assert!(hours.p50 < hours.p80 && hours.p80 < hours.p90);
    assert_eq!(hours.operations.len(), estimate.times.len());
    for it in &hours.operations {
        let near =
            |found: Decimal, times: Decimal| (found - it.likely * times).abs() < dec!(0.0002);
        assert!(
            near(it.low, dec!(0.8)) && near(it.high, dec!(1.6)),
            "{it:?}"
        );
        assert!(near(it.triangular.0, dec!(1.133333)) && near(it.triangular.1, dec!(0.169967)));
        assert!(near(it.pert.0, dec!(1.066667)) && near(it.pert.1, dec!(0.142539)));
    }
    let (_, certain) = priced(&plain_shop("USD"), None);
    assert_eq!(certain.hours, None);
}
