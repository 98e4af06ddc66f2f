//! Saddle templates: the curve to which the end of a branch is cut to sit on, or in, a run,
//! unrolled flat so that it can be wrapped round the branch.
//!
//! Derived from two cylinders that meet. Angles `phi` go round the branch from the line of the
//! run (the heel side of a slanted branch first); `x = r phi` is the same as a length round the
//! branch; `y` is how much further than its shortest side the branch reaches there.

use std::f64::consts::PI;

use super::quantity::{Angle, Length};

/// How a branch stands on a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// Radius of the surface that the branch ends on: the bore or the outside of the run.
    pub surface: Length,
    /// Outside radius of the branch.
    pub branch: Length,
    /// Between the axes of branch and run: 90 degrees stands square.
    pub angle: Angle,
    /// How far the axis of the branch passes beside that of the run.
    pub offset: Length,
}

impl Meeting {
    /// A branch square to the run, its axis through the run's.
    pub const fn square(surface: Length, branch: Length) -> Self {
        Self {
            surface,
            branch,
            angle: Angle::degrees(90.0),
            offset: Length::ZERO,
        }
    }

    /// Along the axis of the branch from the run's axis to the surface, at `phi`:
    /// `[sqrt(R^2 - (e + r sin phi)^2) - r cos phi cos theta] / sin theta`.
    fn reach(&self, phi: f64) -> f64 {
        let (surface, r) = (self.surface.in_metres(), self.branch.in_metres());
        let aside = self.offset.in_metres() + r * phi.sin();
        let theta = self.angle.in_radians();
        let high = (surface * surface - aside * aside).max(0.0).sqrt();
        (high - r * phi.cos() * theta.cos()) / theta.sin()
    }

    /// Whether every side of the branch meets the surface, at an angle that can be cut.
    fn meets(&self) -> bool {
        let degrees = self.angle.in_degrees();
        self.branch > Length::ZERO
            && self.offset.abs() + self.branch <= self.surface
            && degrees > 0.0
            && degrees < 180.0
    }
}

/// One point of a template.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemplatePoint {
    /// Round the branch from the line of the run.
    pub x: Length,
    /// Beyond the shortest side of the branch.
    pub y: Length,
}

/// A template, once round the branch.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Evenly spaced round the branch; the last stands on the first.
    pub points: Vec<TemplatePoint>,
    /// Once round: `pi d`.
    pub width: Length,
    /// The largest `y`: how deep the end is cut in.
    pub depth: Length,
}

impl Template {
    /// The template of a meeting in that many steps round the branch, at least four.
    ///
    /// `None` when some side of the branch misses the surface, or the angle is none.
    pub fn of(meeting: &Meeting, steps: u32) -> Option<Self> {
        if !meeting.meets() {
            return None;
        }
        let steps = steps.max(4);
        let turns = (0..=steps).map(|step| 2.0 * PI * f64::from(step) / f64::from(steps));
        let reaches: Vec<(f64, f64)> = turns.map(|phi| (phi, meeting.reach(phi))).collect();
        let shortest = reaches.iter().map(|(_, s)| *s).fold(f64::MIN, f64::max);
        let points: Vec<TemplatePoint> = reaches
            .iter()
            .map(|(phi, s)| TemplatePoint {
                x: meeting.branch * *phi,
                y: Length::metres(shortest - s),
            })
            .collect();
        let depth = points
            .iter()
            .map(|point| point.y)
            .fold(Length::ZERO, Length::max);
        Some(Self {
            points,
            width: meeting.branch * (2.0 * PI),
            depth,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Walks along a line on the branch, from far outside the run inwards, to where it meets the
    /// run, by halving: nothing here knows the formula.
    fn found_by_walking(meeting: &Meeting, phi: f64) -> f64 {
        let (surface, r) = (meeting.surface.in_metres(), meeting.branch.in_metres());
        let (theta, offset) = (meeting.angle.in_radians(), meeting.offset.in_metres());
        // The run lies along x. The branch leaves its axis at theta; two directions square to the
        // branch carry its skin.
        let axis = [theta.cos(), 0.0, theta.sin()];
        let over = [-theta.sin(), 0.0, theta.cos()];
        let outside = |s: f64| {
            let point: Vec<f64> = (0..3)
                .map(|i| {
                    let aside = if i == 1 { r * phi.sin() + offset } else { 0.0 };
                    axis[i] * s + over[i] * r * phi.cos() + aside
                })
                .collect();
            point[1].hypot(point[2]) > surface
        };
        // Where the height above the run's axis is nought, the skin is inside.
        let mut low = -r * phi.cos() * theta.cos() / theta.sin();
        let mut high = low + 100.0 * surface;
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if outside(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    #[test]
    fn the_curve_is_where_two_cylinders_meet() {
        proptest!(|(surface in 0.25f64..4.0, share in 0.1f64..1.0, slant in 20.0f64..160.0, aside in -1.0f64..1.0)| {
            let r = surface * share;
            let meeting = Meeting {
                surface: Length::inches(surface),
                branch: Length::inches(r),
                angle: Angle::degrees(slant),
                // Just inside, so that a hair of rounding does not make it miss.
                offset: Length::inches((surface - r) * aside * 0.999_999),
            };
            let template = Template::of(&meeting, 72).unwrap();
            let walked: Vec<f64> = (0..=72)
                .map(|step| found_by_walking(&meeting, 2.0 * PI * f64::from(step) / 72.0))
                .collect();
            let highest = walked.iter().copied().fold(f64::MIN, f64::max);
            for (point, s) in template.points.iter().zip(&walked) {
                // The surface falls steeply where the branch is as wide as the run.
                prop_assert!((point.y.in_metres() - (highest - s)).abs() < 1e-7 * surface.max(1.0));
            }
        });
    }

    #[test]
    fn square_on_centre_is_the_notch() {
        // Run 2 x 1 in type L: R_i 0.9925 in, r 0.5625 in, notch 0.175 in (worked in the notes on
        // the formed outlet); shortest in line with the run, deepest square to it.
        let meeting = Meeting::square(Length::inches(0.9925), Length::inches(0.5625));
        let template = Template::of(&meeting, 4).unwrap();
        let depths: Vec<f64> = template.points.iter().map(|it| it.y.in_inches()).collect();
        for (depth, wanted) in depths.iter().zip([0.0, 0.1748, 0.0, 0.1748, 0.0]) {
            assert!((depth - wanted).abs() < 5e-5, "{depths:?}");
        }
        assert!((template.width.in_inches() - 3.5343).abs() < 1e-4);
        assert!((template.points[1].x.in_inches() - 3.5343 / 4.0).abs() < 1e-4);
    }

    #[test]
    fn a_branch_that_misses_the_run_has_no_template() {
        let wide = Meeting::square(Length::inches(1.0), Length::inches(1.01));
        assert_eq!(Template::of(&wide, 72), None);
        let beside = Meeting {
            offset: Length::inches(0.6),
            ..Meeting::square(Length::inches(1.0), Length::inches(0.5))
        };
        assert_eq!(Template::of(&beside, 72), None);
        let flat = Meeting {
            angle: Angle::degrees(0.0),
            ..Meeting::square(Length::inches(1.0), Length::inches(0.5))
        };
        assert_eq!(Template::of(&flat, 72), None);
    }
}
