//! How headers share their water. Nothing is stored.

mod out;

use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::bulk::{ManifoldsIn, only_one};
use super::manifold::resolve_each;
use super::units::{chosen, for_shop};
use crate::app::App;
use crate::http::auth::{MayCheck, State};
use crate::http::bulk::{BulkItem, BulkSummary, bulk};
use crate::http::negotiate::{JSON, Negotiator, SVG};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{At, Fault, Faults, Units, WireJson, WireQuery, wire_enum, wire_query};
use crate::trade::manifold::{DesignFault, Manifold};
use crate::trade::rule_set::VelocityBasis;

pub use out::CoefficientOut;
use out::FlowItem;

/// The flows, in the order of the request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FlowAnswer {
    /// Name and version of the rules.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// How many could be worked out.
    summary: BulkSummary,
    /// One item for each manifold.
    items: Vec<BulkItem<FlowItem>>,
}

wire_enum! {
    /// In what form a flow is answered.
    pub enum FlowFormat {
        /// Figures.
        Json = "json",
        /// The pressure along one header, as a picture.
        Svg = "svg",
    }
}

wire_query! {
    /// In which units, and in what form.
    pub struct FlowQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// The form; else `Accept` says it.
        #[example = "json"]
        format: Option<FlowFormat>,
    }
}

/// A request that the server answers with a result.
pub fn example() -> Value {
    json!({"manifolds": [{
        "mark": "H-1", "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "130 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in",
            "stub": "3 in", "flow": "6 gpm", "cv": 8}],
        "supply": {"head": "4 ft"}}],
        "units": "imperial"})
}

/// Work out the flow of manifolds
///
/// Scope `check`. How each header shares its water among its outlets, with pressures, velocities,
/// the rules of flow, and the valves that would balance it. Each manifold says in `supply` what
/// drives it. By `?format=svg` or `Accept: image/svg+xml` the pressure along one header as a
/// picture. Worked out, not measured: it replaces neither the local code nor licensed practice.
#[utoipa::path(post, path = "/v1/manifolds/flow", tag = "manifolds", params(FlowQuery),
    request_body(content = ManifoldsIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order; or the picture of one.",
        content((FlowAnswer = "application/json"), (String = "image/svg+xml")))))]
pub async fn work_out_flows(
    _caller: MayCheck,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<FlowQuery>,
    WireJson(request): WireJson<ManifoldsIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(FlowFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG])?;
    let units = chosen(&state, request.units.or(query.units)).await?;
    let app = state.app().clone();
    if form.is(SVG) {
        let manifold = only_one(request, app.catalogue())?;
        let plot = move || app.plot_flow(&manifold, for_shop(units));
        let picture = state.heavy().run(plot).await?;
        let picture = picture.map_err(|faults| refused(0, faults))?;
        return Ok(([(CONTENT_TYPE, SVG.media)], picture).into_response());
    }
    let rules = app.rules(&request.rules()).await?;
    let (rule_set, basis) = (rules.name.to_owned(), rules.velocity);
    let job = move || {
        let read = resolve_each(request.manifolds, app.catalogue());
        bulk(
            read.into_iter()
                .enumerate()
                .map(|(index, item)| match item {
                    Ok(manifold) => flow_of(&app, (index, &manifold), basis, units),
                    Err(faults) => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
                }),
        )
    };
    let (summary, items) = state.heavy().run(job).await?;
    let answer = FlowAnswer {
        rule_set,
        summary,
        items,
    };
    Ok(Json(answer).into_response())
}

fn flow_of(
    app: &App,
    (index, manifold): (usize, &Manifold),
    basis: VelocityBasis,
    units: Units,
) -> Result<FlowItem, Problem> {
    app.flow(manifold, basis)
        .map(|flowing| FlowItem::of(manifold, &flowing, units))
        .map_err(|faults| refused(index, faults))
}

/// Why the flow of one manifold of the request cannot be worked out.
pub(super) fn refused(index: usize, found: Vec<DesignFault>) -> Problem {
    let body = At::BODY;
    let list = body.field("manifolds");
    let at = list.index(index).pointer();
    let faults: Faults = found
        .into_iter()
        .map(|fault| Fault::new(format!("{at}{}", fault.pointer), fault.code, fault.detail))
        .collect();
    Problem::new(Slug::Unprocessable).with_faults(faults)
}
