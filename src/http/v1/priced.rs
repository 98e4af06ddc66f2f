//! Priced lines, hours and percentiles in answers.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::wire::Money;
use crate::shop::money::Currency;
use crate::shop::quote::{HoursRecord, ListReference, PriceLine, TaxLine};

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
