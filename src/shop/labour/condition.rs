//! Conditions of the work: what working overhead, in place or in a tight spot adds to its times.

use rust_decimal::Decimal;

use super::{Operation, OperationGroup, TimeSource};

/// What one condition makes of the times of one group of operations, or of all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition {
    /// The shop's name for it: `overhead`, `in place`, `confined`. Compared without case.
    pub name: String,
    /// The operations it bears on; all where there is none.
    pub group: Option<OperationGroup>,
    /// What their run time is multiplied by; set-ups are not.
    pub factor: Decimal,
    /// Where the factor comes from.
    pub source: TimeSource,
}

impl Condition {
    /// Whether somebody who names a condition means this one.
    pub fn is_named(&self, name: &str) -> bool {
        self.name.eq_ignore_ascii_case(name)
    }

    /// Whether it bears on an operation.
    pub fn bears_on(&self, operation: Operation) -> bool {
        self.group.is_none_or(|group| group == operation.group())
    }
}
