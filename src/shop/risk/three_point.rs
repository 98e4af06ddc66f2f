//! What three points say of hours: mean and standard deviation by the two distributions in use.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::shop::estimate::TimedOperation;
use crate::shop::labour::{Operation, Spread};
use crate::shop::money::exact;

/// Mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// The mean.
    pub mean: f64,
    /// The standard deviation.
    pub deviation: f64,
}

impl Moments {
    /// Of the triangle from `low` over `peak` to `high` (any statistics handbook).
    pub fn triangular(low: f64, peak: f64, high: f64) -> Self {
        let squares = low * low + peak * peak + high * high;
        let products = low * peak + low * high + peak * high;
        Self {
            mean: (low + peak + high) / 3.0,
            deviation: ((squares - products).max(0.0) / 18.0).sqrt(),
        }
    }

    /// Of the beta distribution of PERT from `low` over `peak` to `high`, whose mean is a sixth of
    /// low, high and four times the peak (Malcolm and others, 1959).
    pub fn pert(low: f64, peak: f64, high: f64) -> Self {
        let mean = (low + 4.0 * peak + high) / 6.0;
        Self {
            mean,
            deviation: ((mean - low) * (high - mean) / 7.0).max(0.0).sqrt(),
        }
    }
}

/// Hours of an operation by three points.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreePoint {
    /// Which operation.
    pub operation: Operation,
    /// Shortest.
    pub low: Decimal,
    /// As estimated.
    pub likely: Decimal,
    /// Longest.
    pub high: Decimal,
    /// By the triangle, which is what is drawn.
    pub triangular: (Decimal, Decimal),
    /// By PERT, for comparison.
    pub pert: (Decimal, Decimal),
}

impl ThreePoint {
    /// Of hours that vary; `None` where no spread is known.
    pub fn of(timed: &TimedOperation) -> Option<Self> {
        let Spread { low, high } = timed.time.spread?;
        let number = |share: Decimal| (timed.hours * share).to_f64().unwrap_or(0.0);
        let points = (number(low), number(Decimal::ONE), number(high));
        let told = |moments: Moments| (hours(moments.mean), hours(moments.deviation));
        Some(Self {
            operation: timed.time.operation,
            low: (timed.hours * low).round_dp(4).normalize(),
            likely: timed.hours.normalize(),
            high: (timed.hours * high).round_dp(4).normalize(),
            triangular: told(Moments::triangular(points.0, points.1, points.2)),
            pert: told(Moments::pert(points.0, points.1, points.2)),
        })
    }
}

/// Hours as they are shown.
pub fn hours(value: f64) -> Decimal {
    exact(value).round_dp(4).normalize()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_those_of_the_reference_distributions() {
        // scipy 1.17.1: triang(c, loc, scale) and beta(1 + 4 (m-a)/(b-a), 1 + 4 (b-m)/(b-a), loc, scale):
        // mean() and std() of each.
        for (low, high, triangle, pert) in [
            (
                0.8,
                1.6,
                (1.133_333_333, 0.169_967_317),
                (1.066_666_667, 0.142_539_329),
            ),
            (0.9, 1.1, (1.0, 0.040_824_829), (1.0, 0.037_796_447)),
            (0.5, 3.0, (1.5, 0.540_061_725), (1.25, 0.433_012_702)),
        ] {
            for (found, expected) in [
                (Moments::triangular(low, 1.0, high), triangle),
                (Moments::pert(low, 1.0, high), pert),
            ] {
                assert!((found.mean - expected.0).abs() < 1e-8, "{found:?}");
                assert!((found.deviation - expected.1).abs() < 1e-8, "{found:?}");
            }
        }
    }
}
