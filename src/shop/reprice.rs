//! What an open quote would cost on another price list.

use rust_decimal::Decimal;

use super::estimate::Estimate;
use super::quote::PriceLine;

/// Heads of a build-up that are no cost: what is left after it, and how the price is trimmed.
const NO_COST: [&str; 4] = ["profit", "minimum_charge", "discount", "rounding"];

/// A quote held against another list. All amounts are without tax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repriced {
    /// Price that was quoted.
    pub quoted: Decimal,
    /// Cost as it was quoted: material, labour, equipment, overhead, contingency.
    pub cost_then: Decimal,
    /// What would be quoted on the other list.
    pub price_now: Decimal,
    /// Cost on the other list.
    pub cost_now: Decimal,
}

impl Repriced {
    /// Holds a quoted price and its build-up against a new estimate of the same schedule.
    pub fn of(quoted: Decimal, build_up: &[PriceLine], now: &Estimate) -> Self {
        Self {
            quoted,
            cost_then: cost(build_up),
            price_now: now.totals.net,
            cost_now: cost(&now.lines),
        }
    }

    /// What is left of the quoted price once the new cost is paid.
    pub fn left(&self) -> Decimal {
        self.quoted - self.cost_now
    }

    /// Whether the quoted price no longer pays for the cost.
    pub fn loses_money(&self) -> bool {
        self.left() < Decimal::ZERO
    }
}

/// The cost within a build-up.
fn cost(lines: &[PriceLine]) -> Decimal {
    let costs = lines.iter();
    let costs = costs.filter(|line| !NO_COST.contains(&line.head.as_str()));
    costs.map(|line| line.amount).sum()
}
