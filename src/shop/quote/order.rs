//! What a customer orders: the schedule, with the options they name.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::options::{QuotedOption, added_taxes, sums};
use super::record::{QuoteRecord, TaxLine, Totals};
use crate::shop::estimate::heads;

/// What was ordered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Order {
    /// Names of the options that are ordered, in the order of the quote.
    pub options: Vec<String>,
    /// What it comes to.
    pub totals: Totals,
    /// Net by cost head; these add up to net.
    pub heads: BTreeMap<String, Decimal>,
    /// Hours by operation.
    pub hours: BTreeMap<String, Decimal>,
}

/// Why options cannot be ordered so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderFault {
    /// Which of the names, counted from 0.
    pub place: usize,
    /// A stable code.
    pub code: &'static str,
    /// What is wrong and what to do.
    pub detail: String,
}

impl QuoteRecord {
    /// What is ordered when the quote is taken with these options. Several cost what each costs by
    /// itself, added up: every price in an offer is firm.
    ///
    /// # Errors
    /// Every name that is none of the quote's, comes twice, or stands for a second alternate of a
    /// manifold.
    pub fn order(&self, names: &[String]) -> Result<Order, Vec<OrderFault>> {
        let faults = self.order_faults(names);
        if !faults.is_empty() {
            return Err(faults);
        }
        let taken: Vec<&QuotedOption> = self
            .options
            .iter()
            .filter(|option| names.contains(&option.name))
            .collect();
        let prices = || taken.iter().map(|option| &option.price);
        let added = |amount: Decimal, of: fn(&QuotedOption) -> Decimal| {
            taken.iter().fold(amount, |sum, option| sum + of(option))
        };
        let taxes = self.taxes();
        let more: Vec<TaxLine> = prices().flat_map(|price| price.taxes.clone()).collect();
        let totals = match taken.is_empty() {
            true => Totals {
                taxes,
                ..self.totals.clone()
            },
            false => {
                let taxes = added_taxes(&taxes, more);
                Totals {
                    currency: self.totals.currency,
                    net: added(self.totals.net, |option| option.price.net),
                    tax_text: TaxLine::in_words(&taxes),
                    tax: added(self.totals.tax, |option| option.price.tax),
                    gross: added(self.totals.gross, |option| option.price.gross),
                    taxes,
                }
            }
        };
        let hours = self.hours.iter();
        let hours = hours.map(|line| (line.operation.clone(), line.hours));
        Ok(Order {
            options: taken.iter().map(|option| option.name.clone()).collect(),
            totals,
            heads: sums(
                heads(&self.build_up)
                    .into_iter()
                    .chain(prices().flat_map(|price| price.heads.clone())),
            ),
            hours: sums(hours.chain(prices().flat_map(|price| price.hours.clone()))),
        })
    }

    fn order_faults(&self, names: &[String]) -> Vec<OrderFault> {
        let mut faults = Vec::new();
        let mut taken: Vec<&QuotedOption> = Vec::new();
        for (place, name) in names.iter().enumerate() {
            let mut fault = |code, detail| {
                faults.push(OrderFault {
                    place,
                    code,
                    detail,
                });
            };
            let Some(option) = self.options.iter().find(|option| option.name == *name) else {
                fault("unknown_option", self.not_offered(name));
                continue;
            };
            if taken.iter().any(|other| other.name == *name) {
                fault(
                    "duplicate",
                    format!("{name:?} is named twice; name it once"),
                );
                continue;
            }
            let rival = taken
                .iter()
                .find(|other| option.instead_of.is_some() && other.instead_of == option.instead_of);
            if let Some(rival) = rival {
                let mark = option.instead_of.as_deref().unwrap_or_default();
                let detail = format!(
                    "{:?} and {name:?} both stand instead of {mark}; only one of them can be ordered",
                    rival.name
                );
                fault("second_alternate", detail);
            }
            taken.push(option);
        }
        faults
    }

    fn not_offered(&self, name: &str) -> String {
        let known = self.options.iter();
        let known: Vec<String> = known.map(|option| format!("{:?}", option.name)).collect();
        match known.is_empty() {
            true => format!("this quote offers no options, so not {name:?}; leave `options` out"),
            false => format!(
                "{name:?} is none of the options of this quote; they are {}",
                known.join(", ")
            ),
        }
    }
}
