//! The collars of a checked manifold, one for each row of outlets: a row's outlets are alike.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::catalogue::Catalogue;
use crate::trade::forming::Severity;
use crate::trade::manifold::{Manifold, Outlet};
use crate::trade::outlet::{Bounds, Collar, FormedOutlet, Rim, RimPoint, Tongue, WallOf};
use crate::trade::quantity::Length;
use crate::trade::reinforcement::reinforced_pressure;
use crate::trade::rule_set::RuleSet;
use crate::trade::tube::Tube;

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
    /// Up to which pressure run and branch make up for the opening, by area replacement: a second
    /// opinion, no approval; `null` when a tube has no rating at the design temperature.
    #[schema(required)]
    reinforced_pressure: Option<QuantityOut>,
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

/// What the collars of a manifold are worked out from.
pub struct Collars<'a> {
    /// The manifold.
    pub manifold: &'a Manifold,
    /// The tables.
    pub catalogue: &'a Catalogue,
    /// The choices.
    pub rules: &'a RuleSet,
    /// Units of the answer.
    pub units: Units,
}

impl Collars<'_> {
    /// The collars of each row, in the order of the rows; none for other builds.
    pub fn of_rows(&self, formed: &[FormedOutlet]) -> Vec<CollarComputed> {
        let mut rows: Vec<(&Outlet, &FormedOutlet)> = Vec::new();
        for (outlet, formed) in self.manifold.outlets.iter().zip(formed) {
            if rows.iter().all(|(known, _)| known.row != outlet.row) {
                rows.push((outlet, formed));
            }
        }
        rows.sort_by_key(|(outlet, _)| outlet.row);
        let rows = rows.into_iter();
        rows.map(|(outlet, formed)| self.of_row(outlet, formed))
            .collect()
    }

    fn of_row(&self, outlet: &Outlet, formed: &FormedOutlet) -> CollarComputed {
        let drawn = |collar: Collar| self.drawn(outlet, formed, &collar);
        CollarComputed {
            row: outlet.row,
            required_height: self.length(formed.required),
            required_by: match formed.required_by {
                WallOf::Run => WallOwner::Run,
                WallOf::Branch => WallOwner::Branch,
            },
            drawn: formed.collar.map(drawn),
            tongue: formed.tongue().map(|it| self.tongue(it)),
        }
    }

    fn drawn(&self, outlet: &Outlet, formed: &FormedOutlet, collar: &Collar) -> CollarDrawn {
        let (run, forming) = (&self.manifold.run.tube, &self.rules.forming);
        let (usual_ratio, severe_ratio) = forming.ratios(run, &outlet.tube);
        let severity = |ratio| forming.severity(run, &outlet.tube, ratio).into();
        let lap = formed.least_lap(run, outlet.collar.height);
        CollarDrawn {
            pilot: self.length(collar.pilot),
            mean_diameter: self.length(collar.mean_diameter),
            height: self.figure(collar.height, collar.height_bounds()),
            rim_wall: self.figure(collar.rim_wall, collar.rim_wall_bounds(run)),
            ratio: ratio(collar.ratio),
            usual_ratio,
            severe_ratio,
            severity: severity(collar.ratio),
            hole_expansion: ratio(collar.expansion()),
            rim: collar.rim(run).map(|rim| self.rim(&rim)),
            oval_pilot: collar.level_pilot(run).map(|oval| OvalComputed {
                along: self.length(oval.along),
                across: self.length(oval.across),
                ratio: ratio(oval.ratio),
                severity: severity(oval.ratio),
                least_rim: self.length(oval.least_rim),
            }),
            lap: self.length(lap.unwrap_or(collar.height)),
            reinforced_pressure: self.reinforced(outlet, formed, collar),
        }
    }

    fn reinforced(
        &self,
        outlet: &Outlet,
        formed: &FormedOutlet,
        collar: &Collar,
    ) -> Option<QuantityOut> {
        formed.notch?;
        let tubes: (&Tube, &Tube) = (&self.manifold.run.tube, &outlet.tube);
        let temperature = self.manifold.design_temperature;
        let holds = reinforced_pressure(self.catalogue, tubes, collar, temperature);
        holds.ok().map(|it| QuantityOut::pressure(it, self.units))
    }

    fn length(&self, it: Length) -> QuantityOut {
        QuantityOut::length(it, self.units)
    }

    fn figure(&self, expected: Length, bounds: Bounds) -> DrawFigure {
        DrawFigure {
            expected: self.length(expected),
            least: self.length(bounds.least),
            most: self.length(bounds.most),
        }
    }

    fn rim(&self, rim: &Rim) -> RimComputed {
        let shown = |point: &RimPoint| RimHeight {
            angle: QuantityOut::angle(point.angle),
            above_crown: self.length(point.above_crown),
            above_surface: self.length(point.above_surface),
        };
        RimComputed {
            lowest_above_crown: shown(&rim.lowest_above_crown()),
            lowest_above_surface: shown(&rim.lowest_above_surface()),
            heights: rim.points.iter().map(shown).collect(),
        }
    }

    fn tongue(&self, it: Tongue) -> TongueComputed {
        TongueComputed {
            in_line: self.length(it.in_line),
            square: self.length(it.square),
        }
    }
}
