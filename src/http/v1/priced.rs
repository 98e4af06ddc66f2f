//! Priced lines, hours and percentiles in answers.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::wire::Money;
use crate::shop::money::Currency;
use crate::shop::quote::{HoursRecord, ListReference, PriceLine, TaxLine};
use crate::shop::risk::Percentiles;

/// A priced line; the lines of one table add up to its total.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceLineOut {
    /// Cost head: `tube`, `fittings`, `bought_manifolds`, `consumables`, `labour`, `equipment`, `overhead`,
    /// `contingency`, `profit`, `minimum_charge`, `discount`, `rounding`; `manifold` in the schedule of a quote.
    #[schema(example = "tube")]
    head: String,
    /// What it is.
    #[schema(example = "tube 2 in type L")]
    text: String,
    /// How much of it, as a decimal text.
    #[schema(example = "6.05")]
    quantity: String,
    /// Of which unit.
    #[schema(example = "ft")]
    unit: String,
    /// Price of one unit.
    unit_price: Money,
    /// The amount, rounded to the minor unit of the currency.
    amount: Money,
    /// How the figure came about.
    #[schema(
        example = "net cut length + 10 % waste (shop setting); price of b88-l-2 from list \"Spring\""
    )]
    basis: String,
}

impl PriceLineOut {
    /// From a line.
    pub fn of(line: &PriceLine, currency: Currency) -> Self {
        Self {
            head: line.head.clone(),
            text: line.text.clone(),
            quantity: line.quantity.to_string(),
            unit: line.unit.clone(),
            unit_price: Money::new(line.unit_price, currency.code()),
            amount: Money::new(line.amount, currency.code()),
            basis: line.basis.clone(),
        }
    }

    /// A line of the schedule of a quote.
    pub fn of_manifold(manifold: &crate::shop::quote::QuotedManifold, currency: Currency) -> Self {
        Self {
            head: "manifold".to_owned(),
            text: format!("{}: {}", manifold.mark, manifold.description),
            quantity: manifold.quantity.to_string(),
            unit: "each".to_owned(),
            unit_price: Money::new(manifold.unit_price, currency.code()),
            amount: Money::new(manifold.amount, currency.code()),
            basis: "its share of the price by direct cost; see build_up".to_owned(),
        }
    }
}

/// One tax.
#[derive(Debug, Serialize, ToSchema)]
pub struct TaxOut {
    /// What it is called.
    #[schema(example = "Sales tax")]
    name: String,
    /// Its rate, in percent.
    #[schema(example = "7.25")]
    rate: String,
    /// The part of net it is on; these add up to net.
    base: Money,
    /// What it comes to; these add up to tax.
    amount: Money,
}

impl TaxOut {
    /// From a tax.
    pub fn of(tax: &TaxLine, currency: Currency) -> Self {
        Self {
            name: tax.name.clone(),
            rate: tax.rate.number().normalize().to_string(),
            base: Money::new(tax.base, currency.code()),
            amount: Money::new(tax.amount, currency.code()),
        }
    }
}

/// Hours of one operation.
#[derive(Debug, Serialize, ToSchema)]
pub struct HoursOut {
    /// The operation.
    #[schema(example = "braze")]
    operation: String,
    /// Hours over the whole schedule, as a decimal text.
    #[schema(example = "1.4")]
    hours: String,
    /// How they came about.
    #[schema(
        example = "3 min x 14 (joint each) + 1.5 min x 15.75 (inch of outside diameter); times: time_study"
    )]
    basis: String,
    /// Where the time comes from: `time_study`, `booked_hours`, `opinion`, `demo`.
    #[schema(example = "time_study")]
    source: String,
}

impl From<&HoursRecord> for HoursOut {
    fn from(line: &HoursRecord) -> Self {
        Self {
            operation: line.operation.clone(),
            hours: line.hours.to_string(),
            basis: line.basis.clone(),
            source: line.source.clone(),
        }
    }
}

/// Net prices that are not exceeded in so many of a hundred cases, as hours vary.
#[derive(Debug, Serialize, ToSchema)]
pub struct PercentilesOut {
    /// In half of them.
    p50: Money,
    /// In eighty of a hundred.
    p80: Money,
    /// In ninety of a hundred.
    p90: Money,
    /// Draws made; 0 when no operation time carries a spread.
    #[schema(example = 10_000)]
    draws: usize,
    /// Seed of the draws: the same estimate gives the same figures.
    #[schema(example = 1)]
    seed: u64,
    /// What they rest on.
    #[schema(
        example = "6 of 14 operation times vary between shortest and longest (triangular, together within a group); material as estimated"
    )]
    basis: String,
    /// The distribution: what net stays below in so many percent of the cases; empty when nothing
    /// varies.
    curve: Vec<CurvePoint>,
    /// What one thing alone does to net: at its low and its high with all else as likely, widest
    /// first.
    swings: Vec<SwingOut>,
}

/// A point of the distribution of the price.
#[derive(Debug, Serialize, ToSchema)]
pub struct CurvePoint {
    /// Percent of the cases.
    #[schema(example = 80)]
    percent: usize,
    /// What net stays below in so many.
    net: Money,
}

/// What one thing alone does to the price.
#[derive(Debug, Serialize, ToSchema)]
pub struct SwingOut {
    /// What varies.
    #[schema(example = "hours of joining")]
    what: String,
    /// Net when it is undercut in one case of ten only.
    low: Money,
    /// Net when it is exceeded in one case of ten only.
    high: Money,
}

impl PercentilesOut {
    /// From percentiles.
    pub fn of(percentiles: &Percentiles, currency: Currency) -> Self {
        let money = |amount| Money::new(amount, currency.code());
        Self {
            p50: money(percentiles.p50),
            p80: money(percentiles.p80),
            p90: money(percentiles.p90),
            draws: percentiles.draws,
            seed: percentiles.seed,
            basis: percentiles.basis.clone(),
            curve: percentiles
                .curve
                .iter()
                .map(|(percent, net)| CurvePoint {
                    percent: *percent,
                    net: money(*net),
                })
                .collect(),
            swings: percentiles
                .swings
                .iter()
                .map(|swing| SwingOut {
                    what: swing.what.clone(),
                    low: money(swing.low),
                    high: money(swing.high),
                })
                .collect(),
        }
    }
}

/// A price list or labour model that was used.
#[derive(Debug, Serialize, ToSchema)]
pub struct UsedList {
    /// Its id; `null` when there was none and none was needed.
    #[schema(example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Option<String>,
    /// Its name.
    #[schema(example = "Spring")]
    name: String,
    /// The first day it holds.
    #[schema(format = "date", example = "2026-03-01")]
    effective_on: String,
}

impl From<&ListReference> for UsedList {
    fn from(list: &ListReference) -> Self {
        Self {
            id: Some(list.id.clone()).filter(|id| !id.is_empty()),
            name: list.name.clone(),
            effective_on: list.effective_on.to_string(),
        }
    }
}
