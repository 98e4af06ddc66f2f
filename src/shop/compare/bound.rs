//! What no mix of builds can undercut.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

use super::BuildOption;
use crate::shop::estimate::{Books, LeastCost, PriceOf, Scheduled, least_cost};
use crate::shop::labour::{Operation, Work};

/// Hours of an operation are rounded to four decimals.
const HOURS_OFF: f64 = 0.000_05;

/// A price that no mix of these options, estimated as a whole schedule, is below. `None` when an
/// option cannot be priced.
pub fn lower_bound(choices: &[Vec<&BuildOption>], books: &Books<'_>) -> Option<Decimal> {
    let priced = || choices.iter().filter(|options| !options.is_empty());
    let in_all: u32 = priced().map(|options| options[0].manifold.quantity).sum();
    let kinds = kinds(choices);
    let tools = 1.0 + number(books.shop.pricing.small_tools.share());
    let (mut other, mut labour, mut lines) = (0.0, 0.0, 0);
    for options in priced() {
        let least = options.iter().map(|option| {
            let item = Scheduled {
                manifold: &option.manifold,
                takeoff: &option.checked.takeoff,
            };
            lines += option.checked.takeoff.fittings.len() + MATERIALS;
            let of_its_kind = kinds.get(&kind(option)).copied().unwrap_or(in_all);
            let LeastCost { other, labour } = least_cost(&item, books, of_its_kind)?;
            Some((number(other), number(labour)))
        });
        let least: Vec<(f64, f64)> = least.collect::<Option<_>>()?;
        let weight = |cost: &(f64, f64)| cost.0 + cost.1 * tools;
        let cheapest = least
            .iter()
            .min_by(|a, b| weight(a).total_cmp(&weight(b)))?;
        other += cheapest.0;
        labour += cheapest.1;
    }
    // Each line of direct cost is rounded, and so are its hours; then each unit price.
    let minor = number(Decimal::new(1, books.shop.currency.decimals()));
    let rate = number(books.shop.pricing.hourly_rate().unwrap_or_default());
    let operations = Operation::ALL.len() as f64;
    let off = minor * (lines as f64 + operations) + operations * HOURS_OFF * rate;
    let added = minor * (f64::from(in_all) + ADDED);
    let least = PriceOf::books(books).price((other - off).max(0.0), labour) - added;
    let least = Decimal::from_f64_retain(least.max(0.0)).unwrap_or_default();
    let decimals = books.shop.currency.decimals();
    Some(least.round_dp_with_strategy(decimals, RoundingStrategy::ToZero))
}

/// Work and conditions: manifolds that share them are of one kind.
type Kind = (Work, Vec<String>);

fn kind(option: &BuildOption) -> Kind {
    let work = Work::of(&option.manifold, &option.checked.takeoff);
    (work, option.manifold.conditions.clone())
}

/// How many of each kind there can be at most.
fn kinds(choices: &[Vec<&BuildOption>]) -> BTreeMap<Kind, u32> {
    let mut most = BTreeMap::new();
    for options in choices {
        let kinds: BTreeSet<Kind> = options.iter().map(|option| kind(option)).collect();
        let quantity = options.first().map_or(0, |option| option.manifold.quantity);
        for kind in kinds {
            *most.entry(kind).or_insert(0) += quantity;
        }
    }
    most
}

/// Lines of material of one manifold besides its fittings: two tubes and a third, filler,
/// consumables.
const MATERIALS: usize = 8;
/// Lines that are added to direct cost.
const ADDED: f64 = 8.0;

fn number(decimal: Decimal) -> f64 {
    decimal.to_f64().unwrap_or(0.0)
}
