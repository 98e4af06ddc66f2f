//! The layout as answers carry it.

use serde::Serialize;
use utoipa::ToSchema;

use super::handling::{
    GrowthOut, HandlingOut, SupportsOut, growth_out, handling_out, supports_out,
};
use super::{BENCH_NOTICE, Chosen};
use crate::app::App;
use crate::http::bulk::{BulkItem, BulkSummary};
use crate::http::v1::bulk::UsedProfile;
use crate::http::v1::findings::{FindingOut, VerdictName};
use crate::http::v1::fittings::FittingKindName;
use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::check::Checked;
use crate::trade::finding::Level;
use crate::trade::fitting::Fitting;
use crate::trade::layout::{Hole, Layout, Piece, PieceUse, ScribeLine};
use crate::trade::manifold::{Manifold, Outlet};
use crate::trade::outlet::FormedOutlet;

wire_enum! {
    /// What a piece of tube becomes.
    pub enum PieceUseName {
        /// The run, or a length of it.
        Run = "run",
        /// A branch.
        Branch = "branch",
    }
}

/// A hole to mark and cut in the run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HoleOut {
    /// Place of its outlet in `outlets`, counted from 0.
    #[schema(example = 0)]
    outlet: usize,
    /// From the first end's finished face to its centre: every station from the same face, so
    /// that rounding never adds up.
    station: QuantityOut,
    /// Which of `lines` it stands on.
    #[schema(example = "L1")]
    line: String,
    /// Turned about the run from the first line, clockwise seen from the first end.
    clock: QuantityOut,
    /// The same turn as a length round the outside of the run.
    arc: QuantityOut,
    /// Diameter to cut: the pilot; `null` when no pilot gives the collar its height.
    #[schema(required)]
    diameter: Option<QuantityOut>,
}

/// A line to scribe along the run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LineOut {
    /// Its name within the manifold.
    #[schema(example = "L1")]
    id: String,
    /// Clockwise about the run, seen from the first end; 0 is up.
    clock: QuantityOut,
    /// The same as a length round the outside of the run, clockwise from 0.
    arc: QuantityOut,
    /// The same line reached the other way round; the two together go once round.
    other_way: QuantityOut,
    /// Places in `outlets` of those that stand on it.
    #[schema(example = json!([0, 1, 2, 3, 4, 5]))]
    outlets: Vec<usize>,
}

/// Pieces of tube cut alike.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PieceOut {
    /// Its name within the manifold: `R1` of the run, `B1` of the branches.
    #[schema(example = "R1")]
    id: String,
    /// Id of the tube it is cut from.
    #[schema(example = "b88-l-2")]
    tube: String,
    /// What it becomes.
    used_as: PieceUseName,
    /// Length to cut: `finished` and `make_up` together.
    length: QuantityOut,
    /// What stays in sight: between fittings, or above the outer surface of the run.
    finished: QuantityOut,
    /// What goes out of sight: into cups, or through the wall of the run with the tongues of the
    /// notch. Of the first, where pieces of one length are made up differently.
    make_up: QuantityOut,
    /// How many for one manifold.
    #[schema(example = 1)]
    count: u32,
}

/// One outlet, and how the end of its branch is made. Figures that only formed outlets have are
/// `null` for other builds.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OutletLayout {
    /// From the first end's finished face to its centre.
    station: QuantityOut,
    /// Turned about the run from the scribe line.
    clock: QuantityOut,
    /// Id of the branch's tube.
    #[schema(example = "b88-l-1")]
    tube: String,
    /// Length of the branch above the outer surface of the run.
    stub: QuantityOut,
    /// How deep the branch end is notched to the inner curve of the run; `null` also when the
    /// branch is wider than the bore.
    #[schema(required)]
    notch_depth: Option<QuantityOut>,
    /// First dimple, above the apex of the notch, in line with the run.
    #[schema(required)]
    first_dimple: Option<QuantityOut>,
    /// Second dimple, above the apex of the notch; it stays in sight.
    #[schema(required)]
    second_dimple: Option<QuantityOut>,
}

/// A coupling in a run longer than a stick.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CouplingOut {
    /// From the first end's finished face to the middle of the coupling.
    station: QuantityOut,
}

/// Fittings to buy for one manifold.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingOut {
    /// The code under which a price list holds it.
    #[schema(example = "cap-2")]
    code: String,
    /// What it is.
    kind: FittingKindName,
    /// As a person names it.
    #[schema(example = "cap 2 in")]
    text: String,
    /// How many.
    #[schema(example = 1)]
    count: u32,
}

/// The layout of one manifold (not of its quantity).
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LayoutItem {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// What a check comes to: lay out nothing that may not be built.
    verdict: VerdictName,
    /// Finished length of the run.
    length: QuantityOut,
    /// Lines to scribe along the run, by clock position.
    lines: Vec<LineOut>,
    /// Holes in order along the run; none for builds that cut none.
    holes: Vec<HoleOut>,
    /// Cut list; empty for what is bought ready-made.
    pieces: Vec<PieceOut>,
    /// Outlets in order along the run.
    outlets: Vec<OutletLayout>,
    /// Couplings in the run where a stretch of it is longer than a stick; clear of the outlets.
    couplings: Vec<CouplingOut>,
    /// Fittings to buy, couplings among them.
    fittings: Vec<FittingOut>,
    /// What it weighs, where its centre of mass is, what room it takes.
    handling: HandlingOut,
    /// Where the run is held once installed; `null` when no text covers the size.
    #[schema(required)]
    supports: Option<SupportsOut>,
    /// How much the run grows in service.
    thermal_growth: GrowthOut,
    /// What the check found beyond notes: cautions and stops.
    findings: Vec<FindingOut>,
}

/// The layouts, in the order of the request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LayoutAnswer {
    /// Name and version of the rules that settled pilots and collars.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile that settled what can be drawn.
    forming_profile: UsedProfile,
    /// What the layout does not replace.
    #[schema(example = "Local codes and licensed practice decide what may be installed.")]
    notice: &'static str,
    /// How many could be laid out.
    summary: BulkSummary,
    /// One item for each manifold.
    items: Vec<BulkItem<LayoutItem>>,
}

fn hole_out(hole: &Hole, units: Units) -> HoleOut {
    HoleOut {
        outlet: hole.outlet,
        station: QuantityOut::bench_length(hole.station, units),
        line: line_id(hole.line),
        clock: QuantityOut::angle(hole.clock),
        arc: QuantityOut::bench_length(hole.arc, units),
        diameter: hole
            .diameter
            .map(|diameter| QuantityOut::fine_length(diameter, units)),
    }
}

fn piece_out(piece: &Piece, units: Units) -> PieceOut {
    PieceOut {
        id: piece.id.clone(),
        tube: piece.tube.id.clone(),
        used_as: match piece.used_as {
            PieceUse::Run => PieceUseName::Run,
            PieceUse::Branch => PieceUseName::Branch,
        },
        length: QuantityOut::bench_length(piece.length, units),
        finished: QuantityOut::bench_length(piece.length - piece.make_up, units),
        make_up: QuantityOut::fine_length(piece.make_up, units),
        count: piece.count,
    }
}

fn outlet_layout(outlet: &Outlet, formed: Option<&FormedOutlet>, units: Units) -> OutletLayout {
    let length = |it| QuantityOut::bench_length(it, units);
    let fine = |it| QuantityOut::fine_length(it, units);
    OutletLayout {
        station: length(outlet.station),
        clock: QuantityOut::angle(outlet.clock),
        tube: outlet.tube.id.clone(),
        stub: length(outlet.stub),
        notch_depth: formed.and_then(|formed| formed.notch).map(fine),
        first_dimple: formed.map(|formed| fine(formed.dimples.first)),
        second_dimple: formed.map(|formed| fine(formed.dimples.second)),
    }
}

fn fitting_out((fitting, count): (&Fitting, &u32)) -> FittingOut {
    FittingOut {
        code: fitting.code(),
        kind: fitting.kind.into(),
        text: fitting.call_out(),
        count: *count,
    }
}

fn line_id(place: usize) -> String {
    format!("L{}", place + 1)
}

fn line_out((place, line): (usize, &ScribeLine), units: Units) -> LineOut {
    LineOut {
        id: line_id(place),
        clock: QuantityOut::angle(line.clock),
        arc: QuantityOut::bench_length(line.arc, units),
        other_way: QuantityOut::bench_length(line.other_way, units),
        outlets: line.outlets.clone(),
    }
}

/// Lays out one manifold.
pub fn lay_out(app: &App, manifold: &Manifold, chosen: &Chosen) -> LayoutItem {
    let units = chosen.units;
    let checked: Checked = app.check(manifold, &chosen.rules);
    let layout: &Layout = &checked.takeoff.layout;
    let outlets = manifold.outlets.iter().enumerate();
    let beyond_notes = checked.findings.iter().filter(|it| it.level > Level::Note);
    LayoutItem {
        mark: manifold.mark.clone(),
        verdict: checked.verdict.into(),
        length: QuantityOut::bench_length(layout.length, units),
        lines: layout
            .lines
            .iter()
            .enumerate()
            .map(|it| line_out(it, units))
            .collect(),
        holes: layout.holes.iter().map(|it| hole_out(it, units)).collect(),
        pieces: layout
            .pieces
            .iter()
            .map(|it| piece_out(it, units))
            .collect(),
        outlets: outlets
            .map(|(place, outlet)| outlet_layout(outlet, layout.formed.get(place), units))
            .collect(),
        couplings: layout
            .couplings
            .iter()
            .map(|coupled| CouplingOut {
                station: QuantityOut::bench_length(coupled.station, units),
            })
            .collect(),
        fittings: checked.takeoff.fittings.iter().map(fitting_out).collect(),
        handling: handling_out(app, manifold, &checked, chosen),
        supports: supports_out(app, manifold, layout, chosen),
        thermal_growth: growth_out(manifold, chosen),
        findings: beyond_notes.map(|it| FindingOut::of(it, units)).collect(),
    }
}

impl LayoutAnswer {
    /// The answer of a request.
    pub fn new(
        (rule_set, forming_profile): (String, UsedProfile),
        (summary, items): (BulkSummary, Vec<BulkItem<LayoutItem>>),
    ) -> Self {
        Self {
            rule_set,
            forming_profile,
            notice: BENCH_NOTICE,
            summary,
            items,
        }
    }
}
