//! Options of a quote, and what was ordered of them, in answers.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;

use super::out::QuotedManifoldOut;
use crate::http::v1::priced::TaxOut;
use crate::http::wire::Money;
use crate::shop::money::Currency;
use crate::shop::quote::{Order, QuotedOption, TaxLine};

/// What may be ordered otherwise or beside the schedule. Amounts are what the whole quote costs more with
/// it; less, where they are negative.
#[derive(Debug, Serialize, ToSchema)]
pub struct OptionOut {
    /// Its name, by which it is ordered.
    #[schema(example = "Built up from tees")]
    name: String,
    /// The mark of the manifold it takes the place of; null for what comes on top.
    #[schema(example = "H-1")]
    instead_of: Option<String>,
    /// What is offered.
    manifold: QuotedManifoldOut,
    /// Without tax.
    net: Money,
    /// All tax.
    tax: Money,
    /// Each tax that it changes.
    taxes: Vec<TaxOut>,
    /// With tax.
    gross: Money,
    /// Net by cost head, for the shop's own eyes, as decimal texts; these add up to net.
    #[schema(example = json!({"tube": "-4.20", "fittings": "96.00", "labour": "-31.50"}))]
    heads: BTreeMap<String, String>,
    /// Hours by operation, as decimal texts.
    #[schema(example = json!({"braze": "0.4", "form_collar": "-0.8"}))]
    hours: BTreeMap<String, String>,
}

impl OptionOut {
    /// From an option.
    pub fn of(option: &QuotedOption, currency: Currency) -> Self {
        let price = &option.price;
        let money = |amount| Money::new(amount, currency.code());
        Self {
            name: option.name.clone(),
            instead_of: option.instead_of.clone(),
            manifold: QuotedManifoldOut::from(&option.manifold),
            net: money(price.net),
            tax: money(price.tax),
            taxes: taxes(&price.taxes, currency),
            gross: money(price.gross),
            heads: texts(&price.heads),
            hours: texts(&price.hours),
        }
    }
}

/// What was ordered.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderedOut {
    /// Names of the options that were ordered.
    #[schema(example = json!(["Built up from tees"]))]
    options: Vec<String>,
    /// What it comes to.
    totals: OrderTotals,
    /// Net by cost head, for the shop's own eyes, as decimal texts; these add up to net.
    #[schema(example = json!({"tube": "88.20", "labour": "310.00", "profit": "80.00"}))]
    heads: BTreeMap<String, String>,
    /// Hours by operation, as decimal texts.
    #[schema(example = json!({"braze": "1.4", "cut": "0.6"}))]
    hours: BTreeMap<String, String>,
}

/// Totals of what was ordered.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderTotals {
    /// Without tax.
    net: Money,
    /// All tax.
    tax: Money,
    /// Each tax by itself.
    taxes: Vec<TaxOut>,
    /// With tax.
    gross: Money,
}

impl From<&Order> for OrderedOut {
    fn from(order: &Order) -> Self {
        let totals = &order.totals;
        let money = |amount| Money::new(amount, totals.currency.code());
        Self {
            options: order.options.clone(),
            totals: OrderTotals {
                net: money(totals.net),
                tax: money(totals.tax),
                taxes: taxes(&totals.taxes, totals.currency),
                gross: money(totals.gross),
            },
            heads: texts(&order.heads),
            hours: texts(&order.hours),
        }
    }
}

/// Taxes by themselves.
pub(super) fn taxes(lines: &[TaxLine], currency: Currency) -> Vec<TaxOut> {
    let lines = lines.iter();
    lines.map(|tax| TaxOut::of(tax, currency)).collect()
}

/// Amounts as decimal texts.
pub(super) fn texts(amounts: &BTreeMap<String, Decimal>) -> BTreeMap<String, String> {
    let amounts = amounts.iter();
    let text = |(name, amount): (&String, &Decimal)| (name.clone(), amount.to_string());
    amounts.map(text).collect()
}
