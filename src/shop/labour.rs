//! Hours: what is done, how often, and how long the shop says it takes.
//!
//! `minutes = set-up of the batch + (minutes each + minutes per driver x driver) x count`. The
//! times are the shop's own; none come with the program.

mod condition;
mod operation;
mod repetition;
mod work;

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;

pub use condition::Condition;
pub use operation::{Driver, Operation, OperationGroup};
pub use repetition::{Curve, Repetition};
pub use work::{Amount, Work};

/// Where a time comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TimeSource {
    /// Measured at the bench.
    TimeStudy,
    /// Learned from hours booked on jobs.
    BookedHours,
    /// Somebody's opinion.
    Opinion,
    /// Invented for the demo shop.
    Demo,
}

impl TimeSource {
    /// Every source.
    pub const ALL: [Self; 4] = [
        Self::TimeStudy,
        Self::BookedHours,
        Self::Opinion,
        Self::Demo,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TimeStudy => "time_study",
            Self::BookedHours => "booked_hours",
            Self::Opinion => "opinion",
            Self::Demo => "demo",
        }
    }

    /// What an estimate says of times that are no measurement.
    pub const fn remark(self) -> Option<&'static str> {
        match self {
            Self::TimeStudy | Self::BookedHours => None,
            Self::Opinion => Some("rest on opinion, not on measured or booked hours"),
            Self::Demo => Some("are invented for the demo shop; do not price real work with them"),
        }
    }
}

/// The time of one operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OperationTime {
    /// Which operation.
    pub operation: Operation,
    /// Minutes once a batch.
    pub setup_minutes: Decimal,
    /// Minutes each time.
    pub minutes_each: Decimal,
    /// Minutes per unit of the operation's driver, see [`Driver`].
    pub minutes_per_driver: Decimal,
    /// Shortest and longest it may take, as multiples of the likely time.
    pub spread: Option<Spread>,
    /// Where the time comes from.
    pub source: TimeSource,
}

/// Shortest and longest, as multiples of the likely time: `low <= 1 <= high`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spread {
    /// Shortest.
    pub low: Decimal,
    /// Longest.
    pub high: Decimal,
}

/// A dated set of operation times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabourModel {
    /// Its id, as text.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The first day it holds.
    pub effective_on: Date,
    /// What conditions of the work do to the times.
    pub conditions: Vec<Condition>,
    /// How the time of like manifolds falls, if it does.
    pub repetition: Option<Repetition>,
    times: BTreeMap<Operation, OperationTime>,
}

impl LabourModel {
    /// A model of times alone; an operation that comes twice keeps its last.
    pub fn new(
        id: String,
        name: String,
        effective_on: Date,
        times: impl IntoIterator<Item = OperationTime>,
    ) -> Self {
        Self {
            id,
            name,
            effective_on,
            conditions: Vec::new(),
            repetition: None,
            times: times
                .into_iter()
                .map(|time| (time.operation, time))
                .collect(),
        }
    }

    /// The time of an operation.
    pub fn time(&self, operation: Operation) -> Option<&OperationTime> {
        self.times.get(&operation)
    }

    /// Whether the model knows a condition.
    pub fn knows_condition(&self, name: &str) -> bool {
        self.conditions.iter().any(|known| known.is_named(name))
    }

    /// What the conditions that are named make of the run time of an operation.
    pub fn bearing<'a>(
        &'a self,
        names: &'a [String],
        operation: Operation,
    ) -> impl Iterator<Item = &'a Condition> {
        self.conditions.iter().filter(move |condition| {
            condition.bears_on(operation) && names.iter().any(|name| condition.is_named(name))
        })
    }

    /// Every time, in the order of the work.
    pub fn times(&self) -> impl Iterator<Item = &OperationTime> {
        self.times.values()
    }
}
