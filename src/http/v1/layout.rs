//! Layouts for the bench. Nothing is stored.

use axum::Json;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

use super::bulk::{ManifoldsIn, example, work};
use super::findings::VerdictName;
use super::manifold::resolve_each;
use super::units::chosen;
use crate::app::App;
use crate::http::auth::MayCheck;
use crate::http::bulk::{BulkItem, BulkSummary};
use crate::http::negotiate::{JSON, Negotiator, SVG};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{
    Fault, QuantityOut, Units, WireJson, WireQuery, code, wire_enum, wire_query,
};
use crate::shop::settings;
use crate::trade::catalogue::Catalogue;
use crate::trade::fitting::{Fitting, FittingKind};
use crate::trade::layout::{Hole, Layout, Piece, PieceUse};
use crate::trade::manifold::{Manifold, Outlet};
use crate::trade::outlet::FormedOutlet;
use crate::trade::rule_set::RuleSet;

wire_enum! {
    /// What a piece of tube becomes.
    pub enum PieceUseName {
        /// The run, or a length of it.
        Run = "run",
        /// A branch.
        Branch = "branch",
    }
}

wire_enum! {
    /// What a fitting is.
    pub enum FittingKindName {
        /// A tee: run by run by branch.
        Tee = "tee",
        /// A cap over the end of the run.
        Cap = "cap",
        /// A straight coupling.
        Coupling = "coupling",
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
    /// Turned about the run from the scribe line, clockwise seen from the first end.
    clock: QuantityOut,
    /// The same turn as a length round the outside of the run.
    arc: QuantityOut,
    /// Diameter to cut: the pilot; `null` when no pilot gives the collar its height.
    #[schema(required)]
    diameter: Option<QuantityOut>,
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
    /// Length to cut.
    length: QuantityOut,
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
    /// Holes in order along the run; none for builds that cut none.
    holes: Vec<HoleOut>,
    /// Cut list; empty for what is bought ready-made.
    pieces: Vec<PieceOut>,
    /// Outlets in order along the run.
    outlets: Vec<OutletLayout>,
    /// Couplings in the run of formed outlets, where it is longer than a stick.
    couplings: Vec<CouplingOut>,
    /// Fittings to buy, couplings among them.
    fittings: Vec<FittingOut>,
}

/// The layouts, in the order of the request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LayoutAnswer {
    /// Name and version of the rules that settled pilots and collars.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// How many could be laid out.
    summary: BulkSummary,
    /// One item for each manifold.
    items: Vec<BulkItem<LayoutItem>>,
}

fn hole_out(hole: &Hole, units: Units) -> HoleOut {
    HoleOut {
        outlet: hole.outlet,
        station: QuantityOut::bench_length(hole.station, units),
        clock: QuantityOut::angle(hole.clock),
        arc: QuantityOut::bench_length(hole.arc, units),
        diameter: hole
            .diameter
            .map(|diameter| QuantityOut::bench_length(diameter, units)),
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
        count: piece.count,
    }
}

fn outlet_layout(outlet: &Outlet, formed: Option<&FormedOutlet>, units: Units) -> OutletLayout {
    let length = |it| QuantityOut::bench_length(it, units);
    OutletLayout {
        station: length(outlet.station),
        clock: QuantityOut::angle(outlet.clock),
        tube: outlet.tube.id.clone(),
        stub: length(outlet.stub),
        notch_depth: formed.and_then(|formed| formed.notch).map(length),
        first_dimple: formed.map(|formed| length(formed.dimples.first)),
        second_dimple: formed.map(|formed| length(formed.dimples.second)),
    }
}

fn fitting_out((fitting, count): (&Fitting, &u32)) -> FittingOut {
    FittingOut {
        code: fitting.code(),
        kind: match fitting.kind {
            FittingKind::Tee => FittingKindName::Tee,
            FittingKind::Cap => FittingKindName::Cap,
            FittingKind::Coupling => FittingKindName::Coupling,
        },
        text: fitting.call_out(),
        count: *count,
    }
}

fn lay_out(app: &App, manifold: &Manifold, rules: &RuleSet, units: Units) -> LayoutItem {
    let checked = app.check(manifold, rules);
    let layout: &Layout = &checked.takeoff.layout;
    let outlets = manifold.outlets.iter().enumerate();
    LayoutItem {
        mark: manifold.mark.clone(),
        verdict: checked.verdict.into(),
        length: QuantityOut::bench_length(layout.length, units),
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
    }
}

wire_enum! {
    /// In what form a layout is answered.
    pub enum LayoutFormat {
        /// Figures.
        Json = "json",
        /// A drawing of one manifold.
        Svg = "svg",
    }
}

wire_query! {
    /// In which units, and in what form.
    pub struct LayoutQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// The form; else `Accept` says it.
        #[example = "json"]
        format: Option<LayoutFormat>,
    }
}

/// Lay manifolds out
///
/// Scope `check`. Hole stations from one face, cut pieces, and how each branch end is notched and
/// dimpled. By `?format=svg` or `Accept: image/svg+xml` a drawing to scale, of one manifold at a
/// time. Nothing is stored.
#[utoipa::path(post, path = "/v1/manifolds/layout", tag = "manifolds", params(LayoutQuery),
    request_body(content = ManifoldsIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order; or the drawing of one.",
        content((LayoutAnswer = "application/json"), (String = "image/svg+xml")))))]
pub async fn lay_out_manifolds(
    _caller: MayCheck,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<LayoutQuery>,
    WireJson(request): WireJson<ManifoldsIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(LayoutFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG])?;
    let units = chosen(&state, request.units.or(query.units)).await?;
    let app = state.app().clone();
    let rules = app.rules(&request.rules());
    if form.is(SVG) {
        let manifold = only_one(request, app.catalogue())?;
        let picture = state
            .heavy()
            .run(move || draw(&app, &manifold, &rules, units));
        return Ok(([(CONTENT_TYPE, SVG.media)], picture.await?).into_response());
    }
    let rule_set = rules.name.to_owned();
    let catalogue = app.catalogue();
    let make = move |manifold: &Manifold| lay_out(&app, manifold, &rules, units);
    let (summary, items) = work(state.heavy(), catalogue, request.manifolds, make).await?;
    let answer = LayoutAnswer {
        rule_set,
        summary,
        items,
    };
    Ok(Json(answer).into_response())
}

/// A drawing shows one manifold, so its faults are those of the request.
fn only_one(request: ManifoldsIn, catalogue: &Catalogue) -> Result<Manifold, Problem> {
    let mut read = resolve_each(request.manifolds, catalogue);
    match (read.len(), read.pop()) {
        (1, Some(Ok(manifold))) => Ok(manifold),
        (1, Some(Err(faults))) => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
        (count, _) => Err(Problem::new(Slug::Unprocessable).with_errors([Fault::new(
            "/manifolds",
            code::TOO_MANY,
            format!("`manifolds` has {count} items, and a drawing shows one; send them one at a time, or ask for JSON"),
        )])),
    }
}

fn draw(app: &App, manifold: &Manifold, rules: &RuleSet, units: Units) -> String {
    let units = match units {
        Units::Imperial => settings::Units::Imperial,
        Units::Metric => settings::Units::Metric,
    };
    app.draw(manifold, rules, units).svg
}
