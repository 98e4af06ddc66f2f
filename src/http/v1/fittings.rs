//! Wrought copper fittings.

use axum::Json;
use axum::http::Uri;
use axum::response::IntoResponse;
use serde::Serialize;
use utoipa::ToSchema;

use super::findings::SourceOut;
use super::tubes::{KEEP, NominalFilter, TubeQuery, named, page};
use super::units::chosen;
use crate::http::auth::{MayCheck, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{QuantityOut, Units, WirePath, WireQuery, wire_enum, wire_query};
use crate::trade::catalogue::{Catalogue, FittingRow};
use crate::trade::fitting::{EndJoin, Fitting, FittingEnd, FittingKind};
use crate::trade::source::{Source, Status};

wire_enum! {
    /// What a fitting is.
    pub enum FittingKindName {
        /// A tee: run by run by branch.
        Tee = "tee",
        /// A cap over the end of a tube.
        Cap = "cap",
        /// A straight coupling.
        Coupling = "coupling",
        /// A reducing coupling, from one size to a smaller one.
        Reducer = "reducer",
        /// An adapter from a cup to a male thread.
        MaleAdapter = "male_adapter",
        /// An adapter from a cup to a female thread.
        FemaleAdapter = "female_adapter",
    }
}

impl From<FittingKind> for FittingKindName {
    fn from(kind: FittingKind) -> Self {
        match kind {
            FittingKind::Tee => Self::Tee,
            FittingKind::Cap => Self::Cap,
            FittingKind::Coupling => Self::Coupling,
            FittingKind::Reducer => Self::Reducer,
            FittingKind::MaleAdapter => Self::MaleAdapter,
            FittingKind::FemaleAdapter => Self::FemaleAdapter,
        }
    }
}

wire_enum! {
    /// How an end of a fitting is joined.
    pub enum EndJoinName {
        /// A solder cup that tube goes into.
        Cup = "cup",
        /// A male pipe thread.
        MaleThread = "male_thread",
        /// A female pipe thread.
        FemaleThread = "female_thread",
    }
}

impl From<EndJoin> for EndJoinName {
    fn from(join: EndJoin) -> Self {
        match join {
            EndJoin::Cup => Self::Cup,
            EndJoin::MaleThread => Self::MaleThread,
            EndJoin::FemaleThread => Self::FemaleThread,
        }
    }
}

wire_query! {
    /// Which fittings.
    pub struct FittingsQuery {
        /// Only fittings of this kind.
        #[example = "tee"]
        kind: Option<FittingKindName>,
        /// Only fittings whose run (or largest end) takes tube of this size: `2`, `1-1/4`, `28 mm`;
        /// refrigerant tube by outside diameter as `7/8 OD`.
        #[example = "2"]
        nominal: Option<NominalFilter>,
        /// Only tees with a branch, and reducers with a smaller end, of this size.
        #[example = "1"]
        branch: Option<NominalFilter>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where the page begins: the cursor out of `next`.
        after: Option<Cursor>,
    }
}

/// One end of a fitting.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingEndOut {
    /// Which end: `run`, `branch`, `large`, `small` or `thread`.
    #[schema(value_type = String, example = "branch")]
    place: &'static str,
    /// The size it goes by, as the trade writes it.
    #[schema(example = "1")]
    nominal: String,
    /// How it is joined.
    joint: EndJoinName,
    /// The thread; `null` for a cup.
    #[schema(required, example = "1 NPT")]
    thread: Option<String>,
    /// Outside diameter of the tube that goes into the cup; `null` for a thread.
    #[schema(required)]
    tube_outside_diameter: Option<QuantityOut>,
    /// How far the tube goes in; `null` for a thread.
    #[schema(required)]
    cup_depth: Option<QuantityOut>,
    /// Where the depth comes from; `null` with `cup_depth`.
    #[schema(required)]
    cup_depth_source: Option<SourceOut>,
    /// From the fitting's centre to the bottom of this cup, as layouts take it; `null` where
    /// nothing is known of it.
    #[schema(required)]
    make_up: Option<QuantityOut>,
    /// Where the make-up comes from; `null` with `make_up`.
    #[schema(required)]
    make_up_source: Option<SourceOut>,
}

/// Where each group of a fitting's figures comes from; its ends name theirs themselves.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingSources {
    /// That there is a fitting of these sizes.
    sizes: SourceOut,
    /// What it is rated as.
    rating: SourceOut,
}

/// A wrought fitting.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingItem {
    /// Its id: the code under which a price list holds it.
    #[schema(example = "tee-2x2x1")]
    id: String,
    /// What it is.
    kind: FittingKindName,
    /// How the trade calls it.
    #[schema(example = "tee 2 x 2 x 1 in")]
    name: String,
    /// The product standard of its cups.
    #[schema(value_type = String, example = "ASME B16.22")]
    standard: &'static str,
    /// Size of its run, or of its largest end.
    #[schema(example = "2")]
    nominal: String,
    /// Size of a tee's branch or of a reducer's smaller end; `null` for other kinds.
    #[schema(required, example = "1")]
    branch: Option<String>,
    /// Its ends.
    ends: Vec<FittingEndOut>,
    /// Id of the tube whose annealed rating is the fitting's (`/v1/tubes/{id}/rating`).
    #[schema(required, example = "b88-l-2")]
    rated_as: Option<String>,
    /// Whether layouts and estimates count it, so that a price list may hold it.
    #[schema(example = true)]
    counted: bool,
    /// What no source that was read gives: ask the supplier, or measure.
    #[schema(value_type = Vec<String>, example = json!(["mass", "length over all"]))]
    not_known: Vec<&'static str>,
    /// Where each group of figures comes from.
    source: FittingSources,
}

fn end_out(
    catalogue: &Catalogue,
    fitting: &Fitting,
    end: &FittingEnd,
    units: Units,
) -> FittingEndOut {
    let length = |it| QuantityOut::length(it, units);
    let cup = (end.join == EndJoin::Cup)
        .then(|| catalogue.cup(end.nominal))
        .flatten();
    let make_up = fitting.make_up(end);
    FittingEndOut {
        place: end.place,
        nominal: end.nominal.text(),
        joint: end.join.into(),
        thread: end.thread(),
        tube_outside_diameter: cup.map(|cup| length(cup.nominal.od())),
        cup_depth: cup.map(|cup| length(cup.depth)),
        cup_depth_source: cup.map(|cup| (&cup.source).into()),
        make_up: make_up.as_ref().map(|(it, _)| length(*it)),
        make_up_source: make_up.as_ref().map(|(_, source)| source.into()),
    }
}

fn rating_source(metric: bool) -> SourceOut {
    let source = if metric {
        Source::new(
            "stand-in: the thinnest annealed EN 1057 tube of its size; no published rating was seen",
            Status::StandIn,
        )
    } else {
        Source::new(
            "ASME B16.22: rated as annealed type L tube of its size",
            Status::Seen,
        )
    };
    (&source).into()
}

fn fitting_item(catalogue: &Catalogue, row: &FittingRow, units: Units) -> FittingItem {
    let fitting = &row.fitting;
    FittingItem {
        id: row.id.clone(),
        kind: fitting.kind.into(),
        name: fitting.call_out(),
        standard: row.standard(),
        nominal: fitting.run.text(),
        branch: fitting.branch.map(|size| size.text()),
        ends: fitting
            .ends()
            .iter()
            .map(|end| end_out(catalogue, fitting, end, units))
            .collect(),
        rated_as: catalogue
            .fitting_equivalent(fitting.run)
            .map(|tube| tube.id.clone()),
        counted: fitting.kind.is_counted(),
        not_known: row.not_known(),
        source: FittingSources {
            sizes: (&row.sizes_source()).into(),
            rating: rating_source(fitting.run.is_metric()),
        },
    }
}

/// Wrought fittings
///
/// Scope `check`. Tees, caps, couplings, reducers and adapters that tube is soldered or brazed
/// into, with cup depths, what a centre dimension loses by them, and what is not known of them.
#[utoipa::path(get, path = "/v1/fittings", tag = "reference", params(FittingsQuery),
    responses((status = 200, description = "One page of fittings.", body = Page<FittingItem>)))]
pub async fn list_fittings(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<FittingsQuery>,
    uri: Uri,
) -> Result<impl IntoResponse, Problem> {
    let units = chosen(&state, query.units).await?;
    let catalogue = state.app().catalogue();
    let fits = |fitting: &Fitting| {
        let sized = |only: &Option<NominalFilter>, size| {
            let wanted = only.as_ref().map(|only| only.0.fitting_size());
            wanted.is_none_or(|wanted| size == Some(wanted))
        };
        query.kind.is_none_or(|only| only == fitting.kind.into())
            && sized(&query.nominal, Some(fitting.run))
            && sized(&query.branch, fitting.branch)
    };
    let rows = catalogue.fittings().iter();
    let rows: Vec<&FittingRow> = rows.filter(|row| fits(&row.fitting)).collect();
    let page = page(
        &rows,
        |row| &row.id,
        |row| fitting_item(catalogue, row, units),
        (query.limit, query.after, &uri),
    )?;
    Ok((KEEP, page))
}

/// One fitting
///
/// Scope `check`.
#[utoipa::path(get, path = "/v1/fittings/{id}", tag = "reference",
    params(("id" = String, Path, description = "Its id, in either case.", example = "tee-2x2x1"), TubeQuery),
    responses(
        (status = 200, description = "The fitting.", body = FittingItem),
        (status = 404, description = "There is no such fitting; the nearest ids are named.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_fitting(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<TubeQuery>,
) -> Result<impl IntoResponse, Problem> {
    let catalogue = state.app().catalogue();
    let row = named(catalogue.fitting(&id), "fitting", catalogue, &id)?;
    let units = chosen(&state, query.units).await?;
    Ok((KEEP, Json(fitting_item(catalogue, row, units))))
}
