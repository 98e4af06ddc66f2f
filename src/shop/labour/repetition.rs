//! Repetition: the next manifold of a kind takes less time than the one before.
//!
//! Two ways of saying so are in use, and a model takes one of them or none. By Wright (1936) each
//! doubling of the units brings the *average* time of all of them to the slope; by Crawford (1947)
//! it brings the time of the *unit* itself there. Either is applied to run time alone.

use crate::shop::money::Percent;

use super::TimeSource;

/// Up to here Crawford's units are added up one by one; beyond, by the Euler-Maclaurin formula.
const ADDED_UP: u32 = 1_000;

/// What a slope speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Curve {
    /// Of the average time of all units so far.
    Wright,
    /// Of the time of the unit.
    Crawford,
}

impl Curve {
    /// Every curve.
    pub const ALL: [Self; 2] = [Self::Wright, Self::Crawford];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wright => "wright",
            Self::Crawford => "crawford",
        }
    }

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Wright => "Wright's curve",
            Self::Crawford => "Crawford's curve",
        }
    }
}

/// How the time of like manifolds falls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repetition {
    /// What the slope speaks of.
    pub curve: Curve,
    /// What each doubling brings the time to, in percent of what it was: above 50, at most 100.
    pub slope: Percent,
    /// The unit that the model's times are those of; 1 for the first of its kind.
    pub timed_at: u32,
    /// Where the slope comes from.
    pub source: TimeSource,
}

impl Repetition {
    /// The time of units `before + 1` to `before + count` of a kind, in units at the model's times.
    pub fn units(&self, before: u32, count: u32) -> f64 {
        if count == 0 {
            return 0.0;
        }
        let through = before.saturating_add(count);
        let power = self.power();
        let total = match self.curve {
            Curve::Wright => wright(through, power) - wright(before, power),
            Curve::Crawford => crawford(through, power) - crawford(before, power),
        };
        total / f64::from(self.timed_at.max(1)).powf(power)
    }

    /// The power of the unit that its time goes with; not above 0.
    fn power(&self) -> f64 {
        use rust_decimal::prelude::ToPrimitive;
        self.slope.share().to_f64().unwrap_or(1.0).log2()
    }
}

/// Time of units 1 to `n` where the average goes with the power.
fn wright(n: u32, power: f64) -> f64 {
    match n {
        0 => 0.0,
        _ => f64::from(n).powf(power + 1.0),
    }
}

/// Time of units 1 to `n` where each goes with the power.
fn crawford(n: u32, power: f64) -> f64 {
    let one_by_one: f64 = (1..=n.min(ADDED_UP))
        .map(|unit| f64::from(unit).powf(power))
        .sum();
    if n <= ADDED_UP {
        return one_by_one;
    }
    let (from, to) = (f64::from(ADDED_UP), f64::from(n));
    let area = |x: f64| match (power + 1.0).abs() < 1e-9 {
        true => x.ln(),
        false => x.powf(power + 1.0) / (power + 1.0),
    };
    let slope = |x: f64| power * x.powf(power - 1.0);
    one_by_one
        + (area(to) - area(from))
        + (to.powf(power) - from.powf(power)) / 2.0
        + (slope(to) - slope(from)) / 12.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    fn of(curve: Curve, slope: rust_decimal::Decimal, timed_at: u32) -> Repetition {
        Repetition {
            curve,
            slope: Percent::new(slope),
            timed_at,
            source: TimeSource::Opinion,
        }
    }

    #[test]
    fn ten_units_come_to_the_published_totals() {
        // Learning curve tables as cost handbooks print them: first unit 100, ten units.
        for (curve, slope, total) in [
            (Curve::Wright, dec!(80), 476.510),
            (Curve::Crawford, dec!(80), 631.537),
            (Curve::Wright, dec!(90), 704.688),
            (Curve::Crawford, dec!(90), 799.448),
        ] {
            let found = 100.0 * of(curve, slope, 1).units(0, 10);
            assert!((found - total).abs() < 5e-4, "{curve:?} {slope}: {found}");
        }
    }

    #[test]
    fn a_slope_of_a_hundred_changes_nothing() {
        for curve in Curve::ALL {
            assert!((of(curve, dec!(100), 7).units(3, 12) - 12.0).abs() < 1e-9);
        }
    }

    #[test]
    fn lots_follow_one_another() {
        for curve in Curve::ALL {
            let curve = of(curve, dec!(85), 1);
            let apart = curve.units(0, 4) + curve.units(4, 9) + curve.units(13, 2);
            assert!((apart - curve.units(0, 15)).abs() < 1e-9);
        }
    }

    #[test]
    fn the_unit_that_was_timed_takes_the_time() {
        // By Crawford the tenth unit takes just the model's time when that is the tenth's.
        let curve = of(Curve::Crawford, dec!(85), 10);
        assert!((curve.units(9, 1) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn long_runs_are_added_up_as_the_short_ones_are() {
        for slope in [dec!(50.5), dec!(70), dec!(95)] {
            let curve = of(Curve::Crawford, slope, 1);
            let power = curve.power();
            let plain: f64 = (1..=25_000u32)
                .map(|unit| f64::from(unit).powf(power))
                .sum();
            let off = (curve.units(0, 25_000) - plain).abs() / plain;
            assert!(off < 1e-12, "{slope}: {off}");
        }
    }
}
