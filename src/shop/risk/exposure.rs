//! What of a cost varies, and what it comes to when it does.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::DRAWS;
use super::draw::{draws, triangular};
use crate::shop::estimate::{Books, LABOUR, TimedOperation};
use crate::shop::labour::{OperationGroup, Spread};

/// A cost, for the risk of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cost {
    /// Material and equipment.
    pub other: f64,
    /// Labour with burden.
    pub labour: f64,
}

/// A part of the cost that varies as one.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Part {
    /// Whose draws it follows: the groups of operations first, then the heads.
    place: usize,
    amount: f64,
    /// Lowest and highest, as multiples of the likely.
    spread: Option<(f64, f64)>,
}

impl Part {
    /// What it comes to where so much of its cases lie below.
    fn at(&self, share: f64) -> f64 {
        self.spread.map_or(self.amount, |(low, high)| {
            self.amount * triangular(low, 1.0, high, share)
        })
    }
}

/// What of the direct cost of an estimate varies.
#[derive(Debug, Clone)]
pub struct Exposure {
    /// Labour by group and spread.
    labour: Vec<Part>,
    /// Material and equipment by head.
    others: Vec<Part>,
    /// Names of the heads.
    heads: Vec<String>,
    /// Operations, and how many of them have a spread.
    operations: (usize, usize),
}

fn points(spread: Spread) -> (f64, f64) {
    (number(spread.low), number(spread.high))
}

fn number(decimal: Decimal) -> f64 {
    decimal.to_f64().unwrap_or(0.0)
}

/// Operations of a group with the same spread vary as one.
fn gathered(parts: impl Iterator<Item = Part>) -> Vec<Part> {
    let mut gathered: Vec<Part> = Vec::new();
    for part in parts {
        let same = |known: &&mut Part| known.place == part.place && known.spread == part.spread;
        match gathered.iter_mut().find(same) {
            Some(known) => known.amount += part.amount,
            None => gathered.push(part),
        }
    }
    gathered
}

impl Exposure {
    /// From direct cost by head and the operations with their times.
    pub fn of(
        heads: &BTreeMap<String, Decimal>,
        times: &[TimedOperation],
        books: &Books<'_>,
    ) -> Self {
        let pricing = &books.shop.pricing;
        let rate = pricing.hourly_rate().unwrap_or_default();
        let labour = times.iter().map(|timed| {
            let group = timed.time.operation.group();
            let place = OperationGroup::ALL.iter().position(|one| *one == group);
            Part {
                place: place.unwrap_or_default(),
                amount: number(timed.hours * rate),
                spread: timed.time.spread.map(points),
            }
        });
        let bought = heads.iter().filter(|(name, _)| *name != LABOUR);
        let others = bought
            .clone()
            .enumerate()
            .map(|(place, (name, amount))| Part {
                place: OperationGroup::ALL.len() + place,
                amount: number(*amount),
                spread: pricing
                    .price_spread
                    .get(name)
                    .map(|spread| points(spread.spread())),
            });
        let varying = times.iter().filter(|timed| timed.time.spread.is_some());
        Self {
            labour: gathered(labour),
            others: others.collect(),
            heads: bought.map(|(name, _)| name.clone()).collect(),
            operations: (times.len(), varying.count()),
        }
    }

    fn parts(&self) -> impl Iterator<Item = &Part> {
        self.labour.iter().chain(&self.others)
    }

    /// Whether anything varies.
    pub fn varies(&self) -> bool {
        self.parts().any(|part| part.spread.is_some())
    }

    /// The cost as likely.
    pub fn likely(&self) -> Cost {
        let sum = |parts: &[Part]| parts.iter().map(|part| part.amount).sum();
        Cost {
            other: sum(&self.others),
            labour: sum(&self.labour),
        }
    }

    /// The cost in every case that is drawn.
    pub fn drawn(&self) -> Vec<Cost> {
        let mut costs = vec![Cost::default(); DRAWS];
        let draws = draws();
        for (parts, pick) in [
            (
                &self.labour,
                (|cost| &mut cost.labour) as fn(&mut Cost) -> &mut f64,
            ),
            (&self.others, |cost| &mut cost.other),
        ] {
            for part in parts {
                // More things vary than have draws only where heads are added to the program.
                let column = &draws[part.place % draws.len()];
                for (cost, share) in costs.iter_mut().zip(column) {
                    *pick(cost) += part.at(*share);
                }
            }
        }
        costs
    }

    /// The cost with one thing where so much of its cases lie below, and all else as likely.
    pub fn only(&self, place: usize, share: f64) -> Cost {
        let sum = |parts: &[Part]| {
            let amounts = parts.iter().map(|part| match part.place == place {
                true => part.at(share),
                false => part.amount,
            });
            amounts.sum()
        };
        Cost {
            other: sum(&self.others),
            labour: sum(&self.labour),
        }
    }

    /// What varies, by its place.
    pub fn names(&self) -> Vec<(usize, String)> {
        let groups = OperationGroup::ALL.iter();
        let groups = groups.map(|group| format!("hours of {}", group.word()));
        let heads = self.heads.iter();
        let heads = heads.map(|head| format!("prices of {}", head.replace('_', " ")));
        let all = groups.chain(heads).enumerate();
        let varies = |place| {
            let mut parts = self.parts();
            parts.any(|part| part.place == place && part.spread.is_some())
        };
        all.filter(|(place, _)| varies(*place)).collect()
    }

    /// What the draws rest on, in a sentence.
    pub fn basis(&self, books: &Books<'_>) -> String {
        let heads = self.heads.iter().zip(&self.others);
        let heads: Vec<String> = heads
            .filter(|(_, part)| part.spread.is_some())
            .map(|(head, _)| head.replace('_', " "))
            .collect();
        let material = match heads.len() {
            0 => "material as estimated".to_owned(),
            _ => format!("prices of {} vary by the shop's settings", heads.join(", ")),
        };
        let contingency = match books.shop.pricing.contingency_level {
            Some(_) => "; contingency, which is taken from the same draws, is left out",
            None => "",
        };
        let (all, varying) = self.operations;
        format!(
            "{varying} of {all} operation times vary between shortest and longest (triangular, together within a group); {material}{contingency}"
        )
    }
}
