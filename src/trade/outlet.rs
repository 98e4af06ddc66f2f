//! A formed outlet: the collar drawn from the run's wall, the pilot hole it starts from, the
//! notch of the branch and its two dimples.
//!
//! Symbols of the formulas: T run wall, R_o and R_i outer and inner radius of the run, d branch
//! outside diameter, t branch wall, r = d/2, c radial gap.

mod rim;

use super::forming::FormingProfile;
use super::quantity::Length;
use super::rule_set::CollarBasis;
use super::tube::Tube;

pub use rim::{DrawLaw, OvalPilot, Rim, RimPoint, Saddle};

/// The second dimple stands this far above the first (model plumbing code, seen).
pub const DIMPLE_STEP: Length = Length::inches(0.25);

/// Whose wall a height is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallOf {
    /// The run's.
    Run,
    /// The branch's.
    Branch,
}

/// The height a collar must reach: three times a wall.
pub fn required_height(basis: CollarBasis, run: &Tube, branch: &Tube) -> Length {
    match required_wall(basis, run, branch) {
        WallOf::Run => run.wall * 3.0,
        WallOf::Branch => branch.wall * 3.0,
    }
}

/// Whose wall that is.
pub fn required_wall(basis: CollarBasis, run: &Tube, branch: &Tube) -> WallOf {
    match basis {
        CollarBasis::ThickerOfBoth if run.wall > branch.wall => WallOf::Run,
        CollarBasis::ThickerOfBoth | CollarBasis::Branch => WallOf::Branch,
    }
}

/// The least that a figure may come to, and the most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The least.
    pub least: Length,
    /// The most.
    pub most: Length,
}

/// A collar as drawn from a pilot hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Collar {
    /// Height above the crown of the run, uniaxial law.
    pub height: Length,
    /// Diameter of the pilot hole.
    pub pilot: Length,
    /// Mean diameter of the collar.
    pub mean_diameter: Length,
    /// Pilot over mean diameter: the smaller, the harder the draw.
    pub ratio: f64,
    /// Wall left at the rim: T sqrt(ratio).
    pub rim_wall: Length,
}

impl Collar {
    /// The pilot and collar that give a wanted height: `h = (D/3)(1 - K^1.5)` solved for K.
    ///
    /// `None` when no pilot, however small, would give that height.
    pub fn for_height(run: &Tube, branch: &Tube, height: Length, gap: Length) -> Option<Self> {
        let mean_diameter = mean_diameter(run, branch, gap);
        let cube_share = 1.0 - 3.0 * (height / mean_diameter);
        (cube_share > 0.0 && height > Length::ZERO)
            .then(|| Self::of_ratio(run, mean_diameter, cube_share.powf(2.0 / 3.0)))
    }

    /// The collar that a given pilot makes.
    ///
    /// `None` when the pilot is not smaller than the collar.
    pub fn from_pilot(run: &Tube, branch: &Tube, pilot: Length, gap: Length) -> Option<Self> {
        let mean_diameter = mean_diameter(run, branch, gap);
        let ratio = pilot / mean_diameter;
        (ratio > 0.0 && ratio < 1.0).then(|| Self::of_ratio(run, mean_diameter, ratio))
    }

    fn of_ratio(run: &Tube, mean_diameter: Length, ratio: f64) -> Self {
        Self {
            height: DrawLaw::Uniaxial.flat_height(mean_diameter, ratio),
            pilot: mean_diameter * ratio,
            mean_diameter,
            ratio,
            rim_wall: DrawLaw::Uniaxial.rim_wall(run.wall, ratio),
        }
    }

    /// How far the edge of the hole is stretched: 1/K - 1.
    pub fn expansion(&self) -> f64 {
        1.0 / self.ratio - 1.0
    }

    /// Outside radius of the collar at its root.
    pub fn outer_radius(&self, run: &Tube) -> Length {
        (self.mean_diameter + run.wall) / 2.0
    }

    /// How high it may stand: as high as a wall that keeps its thickness, or its length.
    pub fn height_bounds(&self) -> Bounds {
        Bounds {
            least: DrawLaw::Thickness.flat_height(self.mean_diameter, self.ratio),
            most: DrawLaw::Length.flat_height(self.mean_diameter, self.ratio),
        }
    }

    /// How thick the rim may be: of a wall that keeps its length, or its thickness.
    pub fn rim_wall_bounds(&self, run: &Tube) -> Bounds {
        Bounds {
            least: DrawLaw::Length.rim_wall(run.wall, self.ratio),
            most: DrawLaw::Thickness.rim_wall(run.wall, self.ratio),
        }
    }

    fn saddle(&self, run: &Tube) -> Option<Saddle> {
        Saddle::new(run.outer_radius(), self.mean_diameter / 2.0)
    }

    /// Its rim from the round pilot; `None` when it is as wide as the run.
    pub fn rim(&self, run: &Tube) -> Option<Rim> {
        let edge = self.pilot / 2.0;
        Some(Rim::of(&self.saddle(run)?, (edge, edge)))
    }

    /// The oval pilot that would level its rim; `None` when none does.
    pub fn level_pilot(&self, run: &Tube) -> Option<OvalPilot> {
        OvalPilot::level(&self.saddle(run)?, self.pilot)
    }
}

fn mean_diameter(run: &Tube, branch: &Tube, gap: Length) -> Length {
    branch.od + gap * 2.0 + run.wall
}

/// How deep the branch end is notched to follow the inner curve of the run:
/// `R_i - sqrt(R_i^2 - r^2)`. `None` when the branch is wider than the bore.
pub fn notch_depth(run: &Tube, branch: &Tube) -> Option<Length> {
    let (bore, r) = (
        run.inner_radius().in_metres(),
        branch.outer_radius().in_metres(),
    );
    (r <= bore).then(|| Length::metres(bore - (bore * bore - r * r).sqrt()))
}

/// Where the two dimples stand above the apex of the notch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimples {
    /// The depth stop.
    pub first: Length,
    /// The one that stays in sight and proves the depth.
    pub second: Length,
}

/// Dimples of a branch in a collar: the first stops on the rim when the apex is flush with the bore.
pub fn dimples(run: &Tube, collar_height: Length) -> Dimples {
    let first = collar_height + run.wall;
    Dimples {
        first,
        second: first + DIMPLE_STEP,
    }
}

/// How much of the branch stands inside the collar and the wall, below its first dimple.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tongue {
    /// In line with the run, to the apex of the notch.
    pub in_line: Length,
    /// Square to the run, to the end of the branch.
    pub square: Length,
}

/// Everything the bench needs for one outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormedOutlet {
    /// The height the rules ask for.
    pub required: Length,
    /// Whose wall that is three times of.
    pub required_by: WallOf,
    /// The collar; `None` when no pilot gives that height.
    pub collar: Option<Collar>,
    /// The notch; `None` when the branch is wider than the bore.
    pub notch: Option<Length>,
    /// The dimples.
    pub dimples: Dimples,
}

impl FormedOutlet {
    /// The branch below its first dimple; `None` when it cannot be notched.
    pub fn tongue(&self) -> Option<Tongue> {
        let in_line = self.dimples.first;
        self.notch.map(|notch| Tongue {
            in_line,
            square: in_line + notch,
        })
    }

    /// How far collar and branch lap where they lap least: the rim above the surface of the run.
    /// What the wall of the run adds below is not counted, as it is bent there. A height that was
    /// measured in line with the run is not exceeded. `None` without a collar.
    pub fn least_lap(&self, run: &Tube, measured: Option<Length>) -> Option<Length> {
        let collar = self.collar?;
        let rim = collar.rim(run).map(|rim| rim.lowest_above_surface());
        let lap = rim.map_or(collar.height, |lowest| lowest.above_surface);
        Some(measured.map_or(lap, |measured| lap.min(measured)))
    }
}

/// Works out a formed outlet from what the design gives: a pilot, a collar height, or neither. Where
/// it gives neither, the pilot that the shop has proved for the size counts.
pub fn formed_outlet(
    profile: &FormingProfile,
    basis: CollarBasis,
    (run, branch): (&Tube, &Tube),
    given: GivenCollar,
) -> FormedOutlet {
    let required = required_height(basis, run, branch);
    let wanted = given.height.unwrap_or(required);
    let proved = profile.size(run, branch).and_then(|size| size.pilot);
    let pilot = given.pilot.or(match given.height {
        Some(_) => None,
        None => proved,
    });
    let collar = match pilot {
        Some(pilot) => Collar::from_pilot(run, branch, pilot, profile.gap),
        None => Collar::for_height(run, branch, wanted, profile.gap),
    };
    let height = collar.map_or(wanted, |collar| collar.height);
    FormedOutlet {
        required,
        required_by: required_wall(basis, run, branch),
        collar,
        notch: notch_depth(run, branch),
        dimples: dimples(run, height),
    }
}

/// What a design says of its collar.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GivenCollar {
    /// The pilot that will be cut.
    pub pilot: Option<Length>,
    /// The height that is planned or was measured.
    pub height: Option<Length>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::catalogue::Catalogue;
    use proptest::prelude::*;

    #[test]
    fn a_smaller_pilot_never_makes_a_lower_collar() {
        let catalogue = Catalogue::load().unwrap();
        let (run, branch) = (
            catalogue.tube("b88-l-2").unwrap(),
            catalogue.tube("b88-l-1").unwrap(),
        );
        let gap = Length::inches(0.003);
        proptest!(|(a in 0.2f64..1.15, b in 0.2f64..1.15)| {
            let height = |p| Collar::from_pilot(run, branch, Length::inches(p), gap).unwrap().height;
            if a < b { prop_assert!(height(a) > height(b)); }
        });
    }

    #[test]
    fn the_pilot_for_a_height_gives_that_height_back() {
        let catalogue = Catalogue::load().unwrap();
        let (run, branch) = (
            catalogue.tube("b88-l-3").unwrap(),
            catalogue.tube("b88-l-2").unwrap(),
        );
        let gap = Length::inches(0.003);
        let there = Collar::for_height(run, branch, Length::inches(0.21), gap).unwrap();
        let back = Collar::from_pilot(run, branch, there.pilot, gap).unwrap();
        assert!((back.height.in_inches() - 0.21).abs() < 1e-12);
    }
}
