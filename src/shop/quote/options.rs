//! Options of an offer: priced, firm, and in no total until they are ordered.
//!
//! An alternate builds a manifold of the schedule otherwise, an addition comes on top. The price of
//! either is what the whole schedule costs with it less what it costs without, so that sticks,
//! set-ups, quantity breaks and the minimum charge that it shares with the rest are in it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::record::{OfferedManifold, TaxLine};
use crate::shop::estimate::{Books, Estimate, Lacking, Scheduled, estimate, heads};

/// An option as quoted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuotedOption {
    /// What the shop calls it; unique in its quote.
    pub name: String,
    /// The mark of the manifold it takes the place of; none for an addition.
    pub instead_of: Option<String>,
    /// What is offered.
    pub manifold: OfferedManifold,
    /// Its price.
    pub price: OptionPrice,
}

/// What an offer costs more with an option than without; less, where an amount is negative.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OptionPrice {
    /// Without tax.
    pub net: Decimal,
    /// All tax.
    pub tax: Decimal,
    /// With tax.
    pub gross: Decimal,
    /// Each tax that it changes; bases add up to net, amounts to tax.
    pub taxes: Vec<TaxLine>,
    /// Net by cost head.
    pub heads: BTreeMap<String, Decimal>,
    /// Hours by operation.
    pub hours: BTreeMap<String, Decimal>,
}

impl OptionPrice {
    /// The difference of two estimates. Each is rounded as every estimate is, and nothing is here.
    pub fn between(without: &Estimate, with: &Estimate) -> Self {
        let hours = |estimate: &Estimate| {
            let lines = estimate.hours.iter();
            sums(lines.map(|line| (line.operation.clone(), line.hours)))
        };
        let (before, after) = (&without.totals, &with.totals);
        Self {
            net: after.net - before.net,
            tax: after.tax - before.tax,
            gross: after.gross - before.gross,
            taxes: added_taxes(&after.taxes, before.taxes.iter().map(negative)),
            heads: difference(heads(&without.lines), heads(&with.lines)),
            hours: difference(hours(without), hours(with)),
        }
    }
}

/// A manifold to price as an option.
#[derive(Debug, Clone, Copy)]
pub struct Optional<'a> {
    /// The manifold.
    pub item: Scheduled<'a>,
    /// The place in the schedule of what it takes the place of; none for an addition.
    pub instead_of: Option<usize>,
}

/// The price of each option beside a schedule: what all of it costs with that option and no other,
/// less what it costs with none.
///
/// # Errors
/// Everything that the first estimate that cannot be made lacks.
pub fn option_prices(
    schedule: &[Scheduled<'_>],
    options: &[Optional<'_>],
    books: Books<'_>,
) -> Result<Vec<OptionPrice>, Vec<Lacking>> {
    let without = estimate(schedule, books)?;
    let priced = options.iter().map(|option| {
        let mut with = schedule.to_vec();
        match option.instead_of.and_then(|place| with.get_mut(place)) {
            Some(replaced) => *replaced = option.item,
            None => with.push(option.item),
        }
        Ok(OptionPrice::between(&without, &estimate(&with, books)?))
    });
    priced.collect()
}

type Amounts = BTreeMap<String, Decimal>;

/// What each amount rose by, without those that stayed.
fn difference(before: Amounts, after: Amounts) -> Amounts {
    let less = before.into_iter().map(|(name, amount)| (name, -amount));
    let mut rose = sums(after.into_iter().chain(less));
    rose.retain(|_, amount| !amount.is_zero());
    rose
}

fn negative(tax: &TaxLine) -> TaxLine {
    TaxLine {
        base: -tax.base,
        amount: -tax.amount,
        ..tax.clone()
    }
}

/// Amounts added up by name.
pub(super) fn sums(amounts: impl IntoIterator<Item = (String, Decimal)>) -> Amounts {
    let mut sums = Amounts::new();
    for (name, amount) in amounts {
        *sums.entry(name).or_insert(Decimal::ZERO) += amount;
    }
    sums
}

/// Taxes added up, those of one name and rate in one line; what comes to nothing is left out.
pub(super) fn added_taxes(
    taxes: &[TaxLine],
    more: impl IntoIterator<Item = TaxLine>,
) -> Vec<TaxLine> {
    let mut sums: Vec<TaxLine> = taxes.to_vec();
    for tax in more {
        let same = |known: &&mut TaxLine| known.name == tax.name && known.rate == tax.rate;
        match sums.iter_mut().find(same) {
            Some(known) => {
                known.base += tax.base;
                known.amount += tax.amount;
            }
            None => sums.push(tax),
        }
    }
    sums.retain(|tax| !tax.base.is_zero() || !tax.amount.is_zero());
    sums
}

/// An option as it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WantedOption<'a> {
    /// Its name.
    pub name: &'a str,
    /// The mark of the manifold it is to take the place of.
    pub instead_of: Option<&'a str>,
}

/// Why an option cannot be offered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OptionFault {
    /// Which option, counted from 0.
    pub place: usize,
    /// The field of it.
    pub field: &'static str,
    /// A stable code.
    pub code: &'static str,
    /// What is wrong and what to do.
    pub detail: String,
}

/// Everything that keeps options from being offered beside a schedule of these marks: names that
/// do not tell them apart, and marks that do not name one manifold.
pub fn option_faults(options: &[WantedOption<'_>], marks: &[&str]) -> Vec<OptionFault> {
    let mut faults = Vec::new();
    for (place, option) in options.iter().enumerate() {
        let mut fault = |field, code, detail| {
            faults.push(OptionFault {
                place,
                field,
                code,
                detail,
            });
        };
        if options[..place]
            .iter()
            .any(|other| other.name == option.name)
        {
            let detail = format!(
                "another option is called {:?}, too; customers order by name, so give each its own",
                option.name
            );
            fault("name", "duplicate", detail);
        }
        let Some(mark) = option.instead_of else {
            continue;
        };
        match marks.iter().filter(|known| **known == mark).count() {
            1 => {}
            0 => {
                let detail = format!(
                    "no manifold of the schedule is marked {mark:?}; there are {}. Leave `instead_of` out for an addition",
                    marks.join(", ")
                );
                fault("instead_of", "unknown_mark", detail);
            }
            several => {
                let detail = format!(
                    "{several} manifolds of the schedule are marked {mark:?}; give each its own mark, so that one is meant"
                );
                fault("instead_of", "duplicate_mark", detail);
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_marks_must_tell_options_and_manifolds_apart() {
        let wanted = |name, instead_of| WantedOption { name, instead_of };
        let found = option_faults(
            &[
                wanted("Tees", Some("H-1")),
                wanted("Tees", None),
                wanted("Spare", Some("H-9")),
                wanted("Other", Some("H-2")),
            ],
            &["H-1", "H-2", "H-2"],
        );
        let told: Vec<_> = found
            .iter()
            .map(|fault| (fault.place, fault.field, fault.code))
            .collect();
        assert_eq!(
            told,
            [
                (1, "name", "duplicate"),
                (2, "instead_of", "unknown_mark"),
                (3, "instead_of", "duplicate_mark"),
            ]
        );
        assert!(found[1].detail.contains("H-1, H-2"), "{}", found[1].detail);
    }
}
