//! The collars of a checked manifold, one for each row of outlets: a row's outlets are alike.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::check::Checked;
use crate::trade::forming::Severity;
use crate::trade::manifold::{Manifold, Outlet};
use crate::trade::outlet::{
    Bounds, Collar, FormedOutlet, OvalPilot, Rim, RimPoint, Tongue, WallOf,
};
use crate::trade::quantity::Length;
use crate::trade::rule_set::RuleSet;

wire_enum! {
    /// Whose wall a height is taken from.
    pub enum WallOwner {
        /// The run's.
        Run = "run",
        /// The branch's.
        Branch = "branch",
    }
}

wire_enum! {
    /// How hard a draw is, by the limits of the forming profile.
    pub enum DrawSeverity {
        /// Within the usual limit.
        Usual = "usual",
        /// Below the usual limit: anneal the spot and prove a sample.
        Severe = "severe",
        /// Below the severe limit, too.
        Beyond = "beyond",
    }
}

impl From<Severity> for DrawSeverity {
    fn from(severity: Severity) -> Self {
        match severity {
            Severity::Usual => Self::Usual,
            Severity::Severe => Self::Severe,
            Severity::Beyond => Self::Beyond,
        }
    }
}

/// A figure of a draw: as expected (uniaxial law), and the least and the most that it may come to.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DrawFigure {
    /// By the uniaxial law.
    expected: QuantityOut,
    /// The least.
    least: QuantityOut,
    /// The most.
    most: QuantityOut,
}

/// The rim of a collar at one angle.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RimHeight {
    /// Round the outlet: 0 in line with the run, 90 square to it.
    angle: QuantityOut,
    /// Above the crown of the run; negative where it stands below.
    above_crown: QuantityOut,
    /// Above the surface of the run beside it.
    above_surface: QuantityOut,
}

/// Where the rim from a round pilot stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RimComputed {
    /// Where it is lowest above the crown.
    lowest_above_crown: RimHeight,
    /// Where it is lowest above the surface beside it, on which the branch laps.
    lowest_above_surface: RimHeight,
    /// Every 15 degrees of a quarter; the other quarters mirror it.
    heights: Vec<RimHeight>,
}

/// An oval pilot that would leave the rim as high square to the run as in line with it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OvalComputed {
    /// Its long axis, along the run.
    along: QuantityOut,
    /// Its short axis, across the run, seen along the branch.
    across: QuantityOut,
    /// Short axis over mean diameter of the collar.
    #[schema(example = 0.41)]
    ratio: f64,
    /// How hard the draw is at the sides.
    severity: DrawSeverity,
    /// Least height of the rim above the crown, at whatever angle.
    least_rim: QuantityOut,
}

/// A collar as drawn from a round pilot.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CollarDrawn {
    /// Diameter of the pilot hole.
    pilot: QuantityOut,
    /// Mean diameter of the collar.
    mean_diameter: QuantityOut,
    /// Height above the crown in line with the run.
    height: DrawFigure,
    /// Wall left at the rim.
    rim_wall: DrawFigure,
    /// Pilot over mean diameter: the smaller, the harder the draw.
    #[schema(example = 0.731)]
    ratio: f64,
    /// Usual limit of it, of the forming profile.
    #[schema(example = 0.72)]
    usual_ratio: f64,
    /// Severe limit of it, of the forming profile.
    #[schema(example = 0.63)]
    severe_ratio: f64,
    /// How hard the draw is.
    severity: DrawSeverity,
    /// How far the edge of the hole is stretched, as a share of it.
    #[schema(example = 0.368)]
    hole_expansion: f64,
    /// Where its rim stands; `null` when it is as wide as the run.
    #[schema(required)]
    rim: Option<RimComputed>,
    /// The pilot for a level rim; `null` when no oval gives one.
    #[schema(required)]
    oval_pilot: Option<OvalComputed>,
    /// How far collar and branch lap where they lap least; what they must is `required_height`.
    lap: QuantityOut,
}

/// The branch below its first dimple, inside the collar and the wall of the run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TongueComputed {
    /// In line with the run, to the apex of the notch.
    in_line: QuantityOut,
    /// Square to the run, to the end of the branch.
    square: QuantityOut,
}

/// The collars of one row of outlets.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CollarComputed {
    /// Place of the row in the manifold's `outlets`, from 0.
    #[schema(example = 0)]
    row: usize,
    /// The height and the lap that the rule set asks for: three walls.
    required_height: QuantityOut,
    /// Whose wall that is.
    required_by: WallOwner,
    /// The collar; `null` when no pilot gives the height.
    #[schema(required)]
    drawn: Option<CollarDrawn>,
    /// How much of the branch goes in; `null` when the branch is wider than the bore.
    #[schema(required)]
    tongue: Option<TongueComputed>,
}

/// A pure number, to four figures after the point.
fn ratio(it: f64) -> f64 {
    (it * 1e4).round() / 1e4
}

fn figure(expected: Length, bounds: Bounds, units: Units) -> DrawFigure {
    DrawFigure {
        expected: QuantityOut::length(expected, units),
        least: QuantityOut::length(bounds.least, units),
        most: QuantityOut::length(bounds.most, units),
    }
}

fn rim_height(point: &RimPoint, units: Units) -> RimHeight {
    RimHeight {
        angle: QuantityOut::angle(point.angle),
        above_crown: QuantityOut::length(point.above_crown, units),
        above_surface: QuantityOut::length(point.above_surface, units),
    }
}

fn rim(rim: &Rim, units: Units) -> RimComputed {
    let shown = |point: &RimPoint| rim_height(point, units);
    RimComputed {
        lowest_above_crown: shown(&rim.lowest_above_crown()),
        lowest_above_surface: shown(&rim.lowest_above_surface()),
        heights: rim.points.iter().map(shown).collect(),
    }
}

fn tongue(it: Tongue, units: Units) -> TongueComputed {
    TongueComputed {
        in_line: QuantityOut::length(it.in_line, units),
        square: QuantityOut::length(it.square, units),
    }
}

/// What a row's collars are worked out from.
struct Row<'a> {
    manifold: &'a Manifold,
    rules: &'a RuleSet,
    outlet: &'a Outlet,
    formed: &'a FormedOutlet,
    units: Units,
}

impl Row<'_> {
    fn oval(&self, oval: &OvalPilot) -> OvalComputed {
        let length = |it| QuantityOut::length(it, self.units);
        OvalComputed {
            along: length(oval.along),
            across: length(oval.across),
            ratio: ratio(oval.ratio),
            severity: self.severity(oval.ratio),
            least_rim: length(oval.least_rim),
        }
    }

    fn severity(&self, ratio: f64) -> DrawSeverity {
        let (run, branch) = (&self.manifold.run.tube, &self.outlet.tube);
        self.rules.forming.severity(run, branch, ratio).into()
    }

    fn drawn(&self, collar: &Collar) -> CollarDrawn {
        let (run, units) = (&self.manifold.run.tube, self.units);
        let (usual_ratio, severe_ratio) = self.rules.forming.ratios(run, &self.outlet.tube);
        let measured = self.outlet.collar.height;
        let lap = self.formed.least_lap(run, measured);
        CollarDrawn {
            pilot: QuantityOut::length(collar.pilot, units),
            mean_diameter: QuantityOut::length(collar.mean_diameter, units),
            height: figure(collar.height, collar.height_bounds(), units),
            rim_wall: figure(collar.rim_wall, collar.rim_wall_bounds(run), units),
            ratio: ratio(collar.ratio),
            usual_ratio,
            severe_ratio,
            severity: self.severity(collar.ratio),
            hole_expansion: ratio(collar.expansion()),
            rim: collar.rim(run).map(|found| rim(&found, units)),
            oval_pilot: collar.level_pilot(run).map(|oval| self.oval(&oval)),
            lap: QuantityOut::length(lap.unwrap_or(collar.height), units),
        }
    }

    fn computed(&self) -> CollarComputed {
        CollarComputed {
            row: self.outlet.row,
            required_height: QuantityOut::length(self.formed.required, self.units),
            required_by: match self.formed.required_by {
                WallOf::Run => WallOwner::Run,
                WallOf::Branch => WallOwner::Branch,
            },
            drawn: self.formed.collar.map(|collar| self.drawn(&collar)),
            tongue: self.formed.tongue().map(|it| tongue(it, self.units)),
        }
    }
}

/// The collars of each row, in the order of the rows; none for other builds.
pub fn computed(
    manifold: &Manifold,
    checked: &Checked,
    rules: &RuleSet,
    units: Units,
) -> Vec<CollarComputed> {
    let formed = &checked.takeoff.layout.formed;
    let mut rows: Vec<Row<'_>> = Vec::new();
    for (outlet, formed) in manifold.outlets.iter().zip(formed) {
        if rows.iter().all(|row| row.outlet.row != outlet.row) {
            rows.push(Row {
                manifold,
                rules,
                outlet,
                formed,
                units,
            });
        }
    }
    rows.sort_by_key(|row| row.outlet.row);
    rows.iter().map(Row::computed).collect()
}
