//! What is done with an offcut.

use axum::Json;
use uuid::Uuid;

use super::{OffcutOut, OffcutQuery};
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::{check_version_if_given, json_tag};
use crate::http::v1::lengths::SomeLength;
use crate::http::v1::units::chosen;
use crate::http::wire::{OptionalJson, Text, Units, WireJson, WirePath, WireQuery, wire_struct};
use crate::shop::offcut::OffcutMove;

wire_struct! {
    /// What an offcut is reserved for.
    #[example = {"for": "J-104"}]
    pub struct ReserveIn {
        /// The job.
        #[example = "J-104"]
        r#for: Text<80>,
    }
}

wire_struct! {
    /// What an offcut is taken for.
    #[example = {"for": "J-104"}]
    pub struct TakeIn {
        /// The job; that which it is reserved for when not given.
        #[example = "J-104"]
        r#for: Option<Text<80>>,
    }
}

wire_struct! {
    /// What is put back.
    #[example = {}]
    pub struct ReturnIn {
        /// What is left of it, when something was cut off; all of it when not given.
        #[example = "12 in"]
        length: Option<SomeLength>,
    }
}

fn job(text: &Text<80>) -> String {
    text.as_str().trim().to_owned()
}

async fn make(
    state: &ApiState,
    id: Uuid,
    (if_match, units): (&IfMatch, Option<Units>),
    made: OffcutMove,
) -> Result<Tagged<Json<OffcutOut>>, Problem> {
    let units = chosen(state, units).await?;
    let (seen, _) = state.app().find_offcut(id).await?;
    check_version_if_given(if_match, id, seen.version)?;
    let moved = state.app().move_offcut(&seen, &made).await?;
    let tag = json_tag(moved.id, moved.version);
    Ok(Tagged(tag, Json(OffcutOut::of(&moved, units))))
}

/// Reserve an offcut for a job
///
/// Scope `estimate`. From then on no cut plan of another draws on it. Of two who reserve the same
/// one, the second is refused.
#[utoipa::path(post, path = "/v1/offcuts/{id}/reserve", tag = "sticks",
    params(("id" = String, Path, format = "uuid", description = "Id of the offcut.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"), OffcutQuery, IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = ReserveIn, example = json!({"for": "J-104"})),
    responses((status = 200, description = "The reserved offcut.", body = OffcutOut),
        (status = 404, description = "There is no such offcut.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn reserve_offcut(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<OffcutQuery>,
    if_match: IfMatch,
    WireJson(request): WireJson<ReserveIn>,
) -> Result<Tagged<Json<OffcutOut>>, Problem> {
    let made = OffcutMove::Reserve {
        job: job(&request.r#for),
    };
    make(&state, id, (&if_match, query.units), made).await
}

/// Take an offcut off the rack
///
/// Scope `estimate`. A free one, or one that is reserved for the same job.
#[utoipa::path(post, path = "/v1/offcuts/{id}/take", tag = "sticks",
    params(("id" = String, Path, format = "uuid", description = "Id of the offcut.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"), OffcutQuery, IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<TakeIn>, description = "May be left out when it is reserved.", example = json!({"for": "J-104"})),
    responses((status = 200, description = "The offcut, off the rack.", body = OffcutOut),
        (status = 404, description = "There is no such offcut.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn take_offcut(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<OffcutQuery>,
    if_match: IfMatch,
    OptionalJson(request): OptionalJson<TakeIn>,
) -> Result<Tagged<Json<OffcutOut>>, Problem> {
    let made = OffcutMove::Take {
        job: request.r#for.as_ref().map(job),
    };
    make(&state, id, (&if_match, query.units), made).await
}

/// Put an offcut back
///
/// Scope `estimate`. Ends a reservation, or puts back what is left of one that was taken.
#[utoipa::path(post, path = "/v1/offcuts/{id}/return", tag = "sticks",
    params(("id" = String, Path, format = "uuid", description = "Id of the offcut.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"), OffcutQuery, IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<ReturnIn>, description = "May be left out: all of it comes back.", example = json!({"length": "12 in"})),
    responses((status = 200, description = "The offcut, free.", body = OffcutOut),
        (status = 404, description = "There is no such offcut.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn return_offcut(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<OffcutQuery>,
    if_match: IfMatch,
    OptionalJson(request): OptionalJson<ReturnIn>,
) -> Result<Tagged<Json<OffcutOut>>, Problem> {
    let made = OffcutMove::Return {
        length: request.length.map(SomeLength::get),
    };
    make(&state, id, (&if_match, query.units), made).await
}
