//! Every line of an estimate with its whole derivation, as a tree.
//!
//! The trees are built after the estimate, from what its lines were made from, and reckon every
//! figure anew: that they come to the same amounts is held by a test over random schedules.

mod derivation;
mod direct;
mod hours;
mod price;

use super::{Books, Estimate, LineOrigin, Scheduled};

pub use derivation::{Derivation, Step};

/// How the figures of an estimate came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The amount of each line, in the order of the lines.
    pub lines: Vec<Derivation>,
    /// The price of one manifold of each item, in the order of the items.
    pub items: Vec<Derivation>,
    /// The amount of each tax.
    pub taxes: Vec<Derivation>,
}

/// What an explanation is made from.
#[derive(Clone, Copy)]
struct Told<'a> {
    schedule: &'a [Scheduled<'a>],
    estimate: &'a Estimate,
    books: &'a Books<'a>,
}

/// Explains an estimate of that schedule from those books.
pub fn explain(estimate: &Estimate, schedule: &[Scheduled<'_>], books: &Books<'_>) -> Explanation {
    let told = Told {
        schedule,
        estimate,
        books,
    };
    let lines = estimate.origins.iter().enumerate();
    let lines = lines.map(|(place, origin)| match origin {
        LineOrigin::Direct(line) => direct::amount(told, line),
        LineOrigin::Added(added) => price::amount(told, place, *added),
    });
    Explanation {
        lines: lines.collect(),
        items: (0..schedule.len())
            .map(|item| price::unit_price(told, item))
            .collect(),
        taxes: estimate
            .totals
            .taxes
            .iter()
            .map(|tax| price::tax(told, tax))
            .collect(),
    }
}
