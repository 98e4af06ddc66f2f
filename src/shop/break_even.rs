//! What would have to change for another build to be the cheapest.

use rust_decimal::Decimal;

use super::compare::{BuildOption, Priced, price_alone};
use super::estimate::Books;
use super::settings::Shop;
use crate::trade::manifold::{Build, Manifold};

/// Quantities that are tried.
const QUANTITIES: [u32; 6] = [1, 2, 5, 10, 25, 100];
/// Decimals of a multiple.
const MULTIPLE_DECIMALS: u32 = 3;

/// What is changed, with all else as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Changed {
    /// The price of all tube, as a multiple of today's.
    TubePrice,
    /// All hours, as a multiple of those estimated.
    Hours,
    /// How many are made, as a count.
    Quantity,
}

/// A point at which another build becomes the cheapest, by direct cost with small tools.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BreakEven {
    /// What is changed.
    pub changed: Changed,
    /// To what: beyond it, seen from today, the choice flips. A quantity is the nearest of those
    /// tried at which it has.
    pub at: Decimal,
    /// The build that is then the cheapest.
    pub instead: Build,
}

/// A build with what it costs.
#[derive(Debug, Clone, Copy)]
struct Costed<'a> {
    build: Build,
    priced: &'a Priced,
}

/// Labour with the small tools that are a share of it.
fn labour(priced: &Priced, shop: &Shop) -> Decimal {
    priced.labour * (Decimal::ONE + shop.pricing.small_tools.share())
}

impl Costed<'_> {
    /// Direct cost with small tools: all that the price is a share of.
    fn cost(&self, shop: &Shop) -> Decimal {
        self.priced.cost - self.priced.labour + labour(self.priced, shop)
    }

    fn part(&self, changed: Changed, shop: &Shop) -> Decimal {
        match changed {
            Changed::TubePrice => self.priced.tube,
            Changed::Hours => labour(self.priced, shop),
            Changed::Quantity => Decimal::ZERO,
        }
    }
}

/// The nearest points, up and down, at which another of these builds becomes the cheapest; none
/// for a manifold of which fewer than two builds are feasible and priced.
pub fn break_evens(options: &[BuildOption], books: Books<'_>) -> Vec<BreakEven> {
    let feasible = options.iter().filter(|option| option.feasible());
    let mut costed: Vec<Costed<'_>> = feasible
        .filter_map(|option| {
            let priced = option.priced.as_ref().ok()?;
            let build = option.build;
            Some(Costed { build, priced })
        })
        .collect();
    costed.sort_by_key(|one| (one.cost(books.shop), one.build));
    let Some((best, others)) = costed
        .split_first()
        .filter(|(_, others)| !others.is_empty())
    else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for changed in [Changed::TubePrice, Changed::Hours] {
        found.extend(multiples(best, others, changed, books.shop));
    }
    found.extend(quantities(options, books));
    found
}

/// The nearest multiples, below and above one, at which another build costs less than the best.
fn multiples(
    best: &Costed<'_>,
    others: &[Costed<'_>],
    changed: Changed,
    shop: &Shop,
) -> Vec<BreakEven> {
    let flips: Vec<(Decimal, Build)> = others
        .iter()
        .filter_map(|other| {
            // Costs are straight lines over the multiple, and meet in one point.
            let gap = other.cost(shop) - best.cost(shop);
            let steeper = best.part(changed, shop) - other.part(changed, shop);
            let at = Decimal::ONE + gap.checked_div(steeper)?;
            (at >= Decimal::ZERO).then(|| (at.round_dp(MULTIPLE_DECIMALS).normalize(), other.build))
        })
        .collect();
    let above = flips.iter().filter(|(at, _)| *at > Decimal::ONE).min();
    let below = flips.iter().filter(|(at, _)| *at < Decimal::ONE).max();
    let nearest = [below, above].into_iter().flatten();
    nearest
        .map(|(at, instead)| BreakEven {
            changed,
            at: *at,
            instead: *instead,
        })
        .collect()
}

/// The nearest quantities, fewer and more, of which another build is the cheapest than of as many
/// as today.
fn quantities(options: &[BuildOption], books: Books<'_>) -> Vec<BreakEven> {
    let Some(today) = options.first().map(|option| option.manifold.quantity) else {
        return Vec::new();
    };
    // Many are priced, and what is drawn or searched for at length is left out: the reserve, which
    // is a share of all builds alike, and the credit for offcuts, without which plans are proven
    // at once.
    let mut plain = books.shop.without_contingency();
    if let Some(cutting) = &mut plain.pricing.cutting {
        cutting.least_offcut = None;
    }
    let books = Books {
        shop: &plain,
        ..books
    };
    let Some(best) = cheapest_of(today, options, books) else {
        return Vec::new();
    };
    let flips = |quantity: &u32| {
        cheapest_of(*quantity, options, books)
            .filter(|build| *build != best)
            .map(|instead| BreakEven {
                changed: Changed::Quantity,
                at: Decimal::from(*quantity),
                instead,
            })
    };
    let mut fewer = QUANTITIES.iter().rev().filter(|it| **it < today);
    let mut more = QUANTITIES.iter().filter(|it| **it > today);
    let found = [fewer.find_map(flips), more.find_map(flips)];
    found.into_iter().flatten().collect()
}

/// The cheapest feasible build of so many.
fn cheapest_of(quantity: u32, options: &[BuildOption], books: Books<'_>) -> Option<Build> {
    let feasible = options.iter().filter(|option| option.feasible());
    let costs = feasible.filter_map(|option| {
        let manifold = Manifold {
            quantity,
            ..option.manifold.clone()
        };
        let priced = price_alone(&manifold, &option.checked.takeoff, books).ok()?;
        let build = option.build;
        let priced = Costed {
            build,
            priced: &priced,
        };
        Some((priced.cost(books.shop), build))
    });
    costs.min().map(|(_, build)| build)
}
