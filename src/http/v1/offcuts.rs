//! The offcut rack.

mod moves;
mod out;

use axum::http::Uri;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use super::kept::{Trial, TrialQuery, created, json_tag};
use super::lengths::SomeLength;
use super::manifold::{Named, TemperName};
use super::units::chosen;
use crate::app::offcuts::OffcutSearch;
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::Tagged;
use crate::http::idempotency::IdempotencyKey;
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::ListQuery;
use crate::http::wire::{
    Text, Units, WireJson, WirePath, WireQuery, wire_enum, wire_query, wire_struct,
};
use crate::shop::offcut::{NewOffcut, OffcutState};
use crate::trade::tube::Tube;

pub(super) use moves::{
    __path_reserve_offcut, __path_return_offcut, __path_take_offcut, reserve_offcut, return_offcut,
    take_offcut,
};
pub(super) use out::OffcutOut;
use out::OffcutWithMoves;

wire_enum! {
    /// Where an offcut stands.
    pub enum OffcutStateName {
        /// On the rack, free.
        Available = "available",
        /// On the rack, kept for a job.
        Reserved = "reserved",
        /// Off the rack.
        Taken = "taken",
    }
}

impl From<OffcutStateName> for OffcutState {
    fn from(name: OffcutStateName) -> Self {
        match name {
            OffcutStateName::Available => Self::Available,
            OffcutStateName::Reserved => Self::Reserved,
            OffcutStateName::Taken => Self::Taken,
        }
    }
}

impl From<OffcutState> for OffcutStateName {
    fn from(state: OffcutState) -> Self {
        match state {
            OffcutState::Available => Self::Available,
            OffcutState::Reserved => Self::Reserved,
            OffcutState::Taken => Self::Taken,
        }
    }
}

wire_struct! {
    /// An offcut to put on the rack.
    #[example = {"tube": "b88-l-2", "length": "31 1/2 in", "label": "R-17"}]
    pub struct OffcutIn {
        /// Id of its tube.
        #[example = "b88-l-2"]
        tube: Named<Tube>,
        /// Its temper; the hardest the tube is sold in when not given. Tube that was heated is
        /// annealed.
        #[example = "drawn"]
        temper: Option<TemperName>,
        /// Its sound length: without the end that a damaged face or an old hole costs.
        #[example = "31 1/2 in"]
        length: SomeLength,
        /// What is written on it, so that it can be found.
        #[example = "R-17"]
        label: Option<Text<40, 0>>,
    }
}

impl OffcutIn {
    fn to_offcut(&self) -> NewOffcut {
        let tube = self.tube.get();
        let label = self.label.as_ref().map_or("", Text::as_str);
        NewOffcut {
            tube: tube.id.clone(),
            temper: self.temper.map_or(tube.usual_temper(), Into::into),
            length: self.length.get(),
            label: label.trim().to_owned(),
        }
    }
}

wire_query! {
    /// Which offcuts, and in which units.
    pub struct OffcutsQuery {
        /// Only of this tube.
        #[example = "b88-l-2"]
        tube: Option<Named<Tube>>,
        /// Only those that stand there.
        #[example = "available"]
        state: Option<OffcutStateName>,
        /// Only those reserved or taken for this job.
        #[example = "J-104"]
        r#for: Option<Text<80>>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

wire_query! {
    /// In which units.
    pub struct OffcutQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

wire_query! {
    /// Whether to try first, and in which units.
    pub struct OffcutTrialQuery {
        /// With `true`, only says whether it would be taken: the same faults, and nothing stored.
        #[example = false]
        validate_only: Option<bool>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

/// Put an offcut on the rack
///
/// Scope `estimate`. From then on cut plans may draw on it.
#[utoipa::path(post, path = "/v1/offcuts", tag = "sticks", params(OffcutTrialQuery, IdempotencyKey),
    request_body(content = OffcutIn, example = json!({"tube": "b88-l-2", "length": "31 1/2 in", "label": "R-17"})),
    responses(
        (status = 201, description = "On the rack.", body = OffcutOut,
            headers(("ETag" = String, description = "Its version."), ("Location" = String, description = "Its address."))),
        (status = 200, description = "With `validate_only`: it would be taken.", body = Trial)))]
pub async fn create_offcut(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<OffcutTrialQuery>,
    WireJson(given): WireJson<OffcutIn>,
) -> Result<Response, Problem> {
    let trial = TrialQuery {
        validate_only: query.validate_only,
    };
    if trial.is_trial() {
        return Ok(Trial::passed(1).into_response());
    }
    let units = chosen(&state, query.units).await?;
    let known = state.app().add_offcut(&given.to_offcut()).await?;
    let tag = json_tag(known.id, known.version);
    let location = format!("/v1/offcuts/{}", known.id);
    Ok(created(&location, tag, OffcutOut::of(&known, units)))
}

/// The offcut rack
///
/// Scope `estimate`. In the order they were added.
#[utoipa::path(get, path = "/v1/offcuts", tag = "sticks", params(OffcutsQuery),
    responses((status = 200, description = "A page of offcuts.", body = Page<OffcutOut>)))]
pub async fn list_offcuts(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<OffcutsQuery>,
    uri: Uri,
) -> Result<Page<OffcutOut>, Problem> {
    let units = chosen(&state, query.units).await?;
    let search = OffcutSearch {
        tube: query.tube.map(|tube| tube.get().id.clone()),
        state: query.state.map(OffcutState::from),
        job: query.r#for.map(|job| job.as_str().trim().to_owned()),
    };
    let list = ListQuery {
        limit: query.limit,
        after: query.after,
    };
    let (after, limit) = list.window()?;
    let found = state.app().offcuts(&search, after, limit).await?;
    let found = found.iter().map(|known| OffcutOut::of(known, units));
    list.page(found.collect(), OffcutOut::id, &uri)
}

/// An offcut
///
/// Scope `estimate`. With everything that was done with it.
#[utoipa::path(get, path = "/v1/offcuts/{id}", tag = "sticks",
    params(("id" = String, Path, format = "uuid", description = "Id of the offcut.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"), OffcutQuery),
    responses(
        (status = 200, description = "The offcut.", body = OffcutWithMoves,
            headers(("ETag" = String, description = "Its version, for `If-Match`."))),
        (status = 404, description = "There is no such offcut.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_offcut(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<OffcutQuery>,
) -> Result<Tagged<axum::Json<OffcutWithMoves>>, Problem> {
    let units = chosen(&state, query.units).await?;
    let (known, moves) = state.app().find_offcut(id).await?;
    let tag = json_tag(known.id, known.version);
    let answer = OffcutWithMoves::of(&known, &moves, units);
    Ok(Tagged(tag, axum::Json(answer)))
}
