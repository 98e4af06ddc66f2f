//! Where the rim of a collar stands, angle by angle round the outlet: the run is round, so that a
//! collar from a round pilot is not level.
//!
//! The wall between the pilot's edge and the collar is taken as strips, each in the plane through
//! the axis of the branch at its angle. Such a plane cuts the run in an ellipse; the strip is the
//! arc of it from the pilot to the collar, and is turned up at the collar. By the law of the draw
//! a piece of it that lay `rho` from the axis is shortened to `(rho / r)^n` of its length.

use std::f64::consts::FRAC_PI_2;

use crate::trade::quantity::{Angle, Length};

/// What is taken to stay the same while the wall is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawLaw {
    /// The wall shortens and thins alike as its edge is stretched (uniaxial tension).
    Uniaxial,
    /// Each strip keeps its length: the highest rim.
    Length,
    /// The wall keeps its thickness: the lowest rim.
    Thickness,
}

impl DrawLaw {
    /// The power `n` of the shortening.
    const fn power(self) -> f64 {
        match self {
            Self::Uniaxial => 0.5,
            Self::Length => 0.0,
            Self::Thickness => 1.0,
        }
    }

    /// Height of a collar on a flat sheet: `D / (2 (n + 1)) (1 - K^(n + 1))`.
    pub fn flat_height(self, mean_diameter: Length, ratio: f64) -> Length {
        let n = self.power() + 1.0;
        mean_diameter / (2.0 * n) * (1.0 - ratio.powf(n))
    }

    /// What is left of the wall at the rim: the share that volume and the shortening leave.
    pub fn rim_wall(self, wall: Length, ratio: f64) -> Length {
        wall * ratio.powf(1.0 - self.power())
    }
}

/// Where a collar stands on its run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saddle {
    outer: f64,
    radius: f64,
}

/// Points and weights of the Gauss-Legendre rule of eight points, on one side of the middle.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// The integral of a smooth function.
fn integral(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = ((from + to) / 2.0, (to - from) / 2.0);
    let sum: f64 = GAUSS
        .iter()
        .map(|(at, weight)| weight * (f(middle - half * at) + f(middle + half * at)))
        .sum();
    sum * half
}

impl Saddle {
    /// A collar of a mean radius on a run of an outside radius; `None` when it is as wide as the run.
    pub fn new(outer_radius: Length, radius: Length) -> Option<Self> {
        let saddle = Self {
            outer: outer_radius.in_metres(),
            radius: radius.in_metres(),
        };
        (saddle.radius > 0.0 && saddle.radius < saddle.outer).then_some(saddle)
    }

    /// How far the surface of the run has fallen below its crown where the collar stands.
    pub fn fall(&self, angle: Angle) -> Length {
        let across = self.radius * angle.in_radians().sin();
        Length::metres(self.outer - (self.outer * self.outer - across * across).sqrt())
    }

    /// Height of the rim above the surface of the run, `angle` round the outlet from the line of
    /// the run, from a pilot whose edge lies `pilot` from the axis there, seen along the branch.
    ///
    /// Nothing when the pilot's edge lies outside the collar.
    pub fn rim_height(&self, law: DrawLaw, angle: Angle, pilot: Length) -> Length {
        let (n, pilot) = (law.power(), pilot.in_metres().max(0.0));
        if pilot >= self.radius {
            return Length::ZERO;
        }
        let (sin, cos) = angle.in_radians().sin_cos();
        let sin = sin.abs();
        if sin < 1e-6 {
            let share = 1.0 - (pilot / self.radius).powf(n + 1.0);
            return Length::metres(self.radius / (n + 1.0) * share);
        }
        // The arc by its angle t about the run's axis; by v = sqrt(t) the root of rho is smooth.
        let turn = |rho: f64| (rho * sin / self.outer).asin().sqrt();
        let scale = self.outer / sin;
        let height = integral(turn(pilot), turn(self.radius), |v| {
            let t_sin = (v * v).sin();
            let shortened = match law {
                DrawLaw::Uniaxial => (scale * t_sin / self.radius).sqrt(),
                DrawLaw::Length => 1.0,
                DrawLaw::Thickness => scale * t_sin / self.radius,
            };
            shortened * scale * (1.0 - cos * cos * t_sin * t_sin).sqrt() * 2.0 * v
        });
        Length::metres(height)
    }

    /// The edge of the pilot square to the run that brings the rim to a height above the crown
    /// there, uniaxial law. `None` when not even a hole of no size does.
    pub fn pilot_square(&self, above_crown: Length) -> Option<Length> {
        let square = Angle::radians(FRAC_PI_2);
        let wanted = above_crown + self.fall(square);
        let short_by = |pilot: f64| {
            let height = self.rim_height(DrawLaw::Uniaxial, square, Length::metres(pilot));
            (wanted - height).in_metres()
        };
        if short_by(0.0) > 0.0 {
            return None;
        }
        // By q = pilot^1.5 the height falls ever faster: from the collar Newton's steps never go
        // past the root.
        let mut q = self.radius.powf(1.5);
        for _ in 0..20 {
            let pilot = q.powf(2.0 / 3.0);
            let lean = (1.0 - (pilot / self.outer).powi(2)).sqrt();
            let step = short_by(pilot) * 1.5 * self.radius.sqrt() * lean;
            q = (q - step).max(0.0);
            if step.abs() < 1e-12 * self.radius.powf(1.5) {
                break;
            }
        }
        Some(Length::metres(q.powf(2.0 / 3.0)))
    }
}

/// The rim at one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimPoint {
    /// Round the outlet from the line of the run.
    pub angle: Angle,
    /// Above the crown of the run; negative where it stands below.
    pub above_crown: Length,
    /// Above the surface of the run right there.
    pub above_surface: Length,
}

/// The rim over a quarter of the outlet, every 15 degrees; the other quarters mirror it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rim {
    /// From in line with the run to square to it.
    pub points: [RimPoint; 7],
}

impl Rim {
    /// The rim from a pilot with half axes along and across the run, uniaxial law.
    pub fn of(saddle: &Saddle, (along, across): (Length, Length)) -> Self {
        let points = std::array::from_fn(|step| {
            let angle = Angle::degrees(15.0 * step as f64);
            let (sin, cos) = angle.in_radians().sin_cos();
            let (a, b) = (along.in_metres(), across.in_metres());
            let edge = Length::metres(a * b / (b * cos).hypot(a * sin));
            let above_surface = saddle.rim_height(DrawLaw::Uniaxial, angle, edge);
            RimPoint {
                angle,
                above_crown: above_surface - saddle.fall(angle),
                above_surface,
            }
        });
        Self { points }
    }

    /// In line with the run.
    pub fn in_line(&self) -> RimPoint {
        self.points[0]
    }

    /// Square to the run.
    pub fn square(&self) -> RimPoint {
        self.points[6]
    }

    /// Where it stands least above the crown.
    pub fn lowest_above_crown(&self) -> RimPoint {
        self.lowest(|point| point.above_crown)
    }

    /// Where it stands least above the surface beside it, which is what the branch laps on.
    pub fn lowest_above_surface(&self) -> RimPoint {
        self.lowest(|point| point.above_surface)
    }

    fn lowest(&self, height: impl Fn(&RimPoint) -> Length) -> RimPoint {
        let first = self.points[0];
        self.points.iter().fold(first, |low, point| {
            if height(point) < height(&low) {
                *point
            } else {
                low
            }
        })
    }
}

/// An oval pilot that leaves the rim as high square to the run as in line with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OvalPilot {
    /// Its axis along the run, the long one.
    pub along: Length,
    /// Its axis across the run, seen along the branch.
    pub across: Length,
    /// Short axis over mean diameter of the collar: how hard the draw is at the sides.
    pub ratio: f64,
    /// Least height of the rim above the crown, at whatever angle.
    pub least_rim: Length,
}

impl OvalPilot {
    /// The oval whose long axis is a pilot's diameter. `None` when even the smallest hole leaves
    /// the rim low square to the run.
    pub fn level(saddle: &Saddle, pilot: Length) -> Option<Self> {
        let along = pilot / 2.0;
        let in_line = saddle.rim_height(DrawLaw::Uniaxial, Angle::ZERO, along);
        let across = saddle.pilot_square(in_line)?;
        let rim = Rim::of(saddle, (along, across));
        Some(Self {
            along: pilot,
            across: across * 2.0,
            ratio: across.in_metres() / saddle.radius,
            least_rim: rim.lowest_above_crown().above_crown,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(it: f64) -> Length {
        Length::inches(it)
    }

    proptest! {
        #[test]
        fn the_laws_bound_each_other_at_every_angle(
            outer in 0.5_f64..4.0, part in 0.1_f64..0.98, pilot in 0.0_f64..0.99, degrees in 0.0_f64..90.0,
        ) {
            let saddle = Saddle::new(inches(outer), inches(outer * part)).unwrap();
            let height = |law| {
                let edge = inches(outer * part * pilot);
                saddle.rim_height(law, Angle::degrees(degrees), edge).in_inches()
            };
            let (low, mid, high) =
                (height(DrawLaw::Thickness), height(DrawLaw::Uniaxial), height(DrawLaw::Length));
            prop_assert!(0.0 < low && low < mid && mid < high);
        }

        #[test]
        fn an_oval_pilot_brings_the_sides_to_the_height_in_line(
            outer in 0.5_f64..4.0, part in 0.1_f64..0.9, ratio in 0.3_f64..0.95,
        ) {
            let saddle = Saddle::new(inches(outer), inches(outer * part)).unwrap();
            let pilot = inches(outer * part * ratio * 2.0);
            if let Some(oval) = OvalPilot::level(&saddle, pilot) {
                let rim = Rim::of(&saddle, (oval.along / 2.0, oval.across / 2.0));
                let gap = rim.square().above_crown - rim.in_line().above_crown;
                prop_assert!(gap.abs() < inches(1e-7), "{gap:?}");
                prop_assert!(oval.across <= oval.along);
            }
        }
    }

    #[test]
    fn a_collar_as_wide_as_its_run_has_no_saddle() {
        assert!(Saddle::new(inches(1.0), inches(1.0)).is_none());
        assert!(Saddle::new(inches(1.0), Length::ZERO).is_none());
    }
}
