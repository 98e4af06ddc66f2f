//! Lengths that add up exactly.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::trade::quantity::Length;

/// A length in whole nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct CutLength(i64);

impl CutLength {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// The international foot, exactly.
    pub const FOOT: Self = Self(304_800_000);
    /// The metre.
    pub const METRE: Self = Self(1_000_000_000);

    /// From whole nanometres.
    pub const fn nanometres(nanometres: i64) -> Self {
        Self(nanometres)
    }

    /// From sixty-fourths of an inch, exactly.
    pub const fn sixty_fourths(count: i64) -> Self {
        Self(count * 396_875)
    }

    /// From tenths of a millimetre, exactly.
    pub const fn tenth_millimetres(count: i64) -> Self {
        Self(count * 100_000)
    }

    /// The nearest whole nanometre.
    pub fn nearest(length: Length) -> Self {
        Self((length.in_metres() * 1e9).round() as i64)
    }

    /// In whole nanometres.
    pub const fn in_nanometres(self) -> i64 {
        self.0
    }

    /// As a length of the trade.
    pub fn length(self) -> Length {
        Length::metres(self.0 as f64 / 1e9)
    }
}

impl std::ops::Add for CutLength {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::ops::Sub for CutLength {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl std::ops::Mul<u32> for CutLength {
    type Output = Self;
    fn mul(self, count: u32) -> Self {
        Self(self.0 * i64::from(count))
    }
}

impl std::iter::Sum for CutLength {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, |sum, length| sum + length)
    }
}

impl fmt::Display for CutLength {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.0 as f64 / 1e6)
    }
}
