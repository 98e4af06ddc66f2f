//! Where the cheapest build flips: the point is met when prices, hours or quantities really are
//! what it says. No outside source: it follows from the estimate itself.

use offtake::shop::break_even::{BreakEven, Changed};
use offtake::shop::compare::{Comparison, compare};
use offtake::shop::estimate::Books;
use offtake::shop::price_list::{Heading, ItemKind, PriceItem, PriceList};
use offtake::shop::settings::Shop;
use offtake::trade::manifold::Build;
use offtake::trade::rule_set::RuleSet;
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, prices, times};

fn compared(quantity: u32, tube: Decimal, minutes: Decimal) -> Comparison {
    let catalogue = crate::catalogue();
    let header = Header {
        quantity,
        ..Header::USUAL
    };
    let today = prices("USD");
    let heading = Heading {
        id: String::new(),
        name: today.name.clone(),
        supplier: String::new(),
        currency: today.currency,
        effective_on: today.effective_on,
    };
    let items = today.items().map(|item| {
        let times = if item.kind == ItemKind::Tube {
            tube
        } else {
            Decimal::ONE
        };
        PriceItem {
            price: item.price * times,
            ..item.clone()
        }
    });
    let prices = PriceList::new(heading, items.collect::<Vec<_>>());
    let shop: Shop = plain_shop("USD");
    let labour = times(&minutes.to_string(), None);
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    let manifold = header.manifold(catalogue);
    compare(&manifold, catalogue, &RuleSet::default_set(), books)
}

/// The cheapest feasible build by direct cost; these shops charge nothing else.
fn cheapest(found: &Comparison) -> Build {
    let builds = found.builds.iter().filter(|option| option.feasible());
    let costs = builds.filter_map(|option| {
        let priced = option.priced.as_ref().ok()?;
        Some((priced.cost, option.build))
    });
    costs.min().unwrap().1
}

/// The same header with one thing changed to so much.
fn changed(what: Changed, to: Decimal) -> Comparison {
    match what {
        Changed::TubePrice => compared(1, to, dec!(1)),
        Changed::Hours => compared(1, dec!(1), to),
        Changed::Quantity => compared(to.try_into().unwrap(), dec!(1), dec!(1)),
    }
}

#[test]
fn a_choice_flips_where_it_is_said_to() {
    let today = compared(1, dec!(1), dec!(1));
    let best = cheapest(&today);
    let multiples: Vec<&BreakEven> = today
        .break_evens
        .iter()
        .filter(|found| found.changed != Changed::Quantity)
        .collect();
    assert!(!multiples.is_empty(), "{:?}", today.break_evens);
    for found in multiples {
        // Two per cent on either side: cents and hours are rounded.
        let away = (found.at - Decimal::ONE) * dec!(0.02);
        let before = changed(found.changed, found.at - away);
        assert_eq!(cheapest(&before), best, "before {found:?}");
        let beyond = changed(found.changed, found.at + away);
        assert_eq!(cheapest(&beyond), found.instead, "beyond {found:?}");
    }
}

#[test]
fn a_quantity_that_flips_the_choice_has_flipped_it() {
    for quantity in [1, 20] {
        let today = compared(quantity, dec!(1), dec!(3));
        let best = cheapest(&today);
        for found in &today.break_evens {
            if found.changed == Changed::Quantity {
                let there: u32 = found.at.try_into().unwrap();
                let then = cheapest(&compared(there, dec!(1), dec!(3)));
                assert_eq!(then, found.instead);
                assert_ne!(then, best);
            }
        }
    }
}

#[test]
fn what_is_cheapest_whatever_happens_has_no_such_point() {
    // Hours that cost nothing: formed outlets need the least material at any price of tube.
    let free = compared(1, dec!(1), dec!(0));
    assert_eq!(cheapest(&free), Build::FormedOutlets);
    let hours = free.break_evens.iter();
    assert!(hours.clone().all(|found| found.changed != Changed::Hours));
}
