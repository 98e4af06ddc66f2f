//! Labour models: made, listed, published. Their times are beside, in `times`.

mod condition;
pub mod conditions;
pub mod repetition;
mod row;
pub mod times;

use axum::Json;
use axum::http::Uri;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::kept::{
    ListQuery, PublishQuery, Trial, TrialQuery, check_version_if_given, created, instant, json_tag,
};
use super::rows::Rows;
use super::words::{StateWord, Word};
use crate::app::labour_models::{LabourContent, LabourModelInfo};
use crate::http::auth::{MayAdmin, MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::paging::Page;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{Text, WireJson, WirePath, WireQuery, wire_struct};
use crate::shop::labour::OperationTime;
use condition::ConditionRow;
use repetition::RepetitionIn;
use row::TimeRow;

fn plain(rows: Rows<TimeRow>) -> Vec<OperationTime> {
    rows.into_vec().into_iter().map(|row| row.0).collect()
}

wire_struct! {
    /// A labour model to make.
    pub struct LabourModelIn {
        /// Its name.
        #[example = "Bench times, winter"]
        name: Text<200>,
        /// The first day its times hold.
        #[example = "2026-01-01"]
        effective_on: Date,
        /// Its times; they can also be put later, as JSON or as a sheet.
        times: Option<Rows<TimeRow>>,
        /// What conditions of the work do to them; they can also be put later.
        conditions: Option<Rows<ConditionRow>>,
        /// How the time of like manifolds falls, if it does; it can also be put later.
        repetition: Option<RepetitionIn>,
    }
}

/// A labour model, without its times.
#[derive(Debug, Serialize, ToSchema)]
pub struct LabourModelOut {
    /// Its id.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Uuid,
    /// Its name.
    #[schema(example = "Bench times, winter")]
    name: String,
    /// The first day its times hold.
    #[schema(value_type = String, format = "date", example = "2026-01-01")]
    effective_on: Date,
    /// Whether it may still change.
    #[schema(example = "draft")]
    state: StateWord,
    /// When it was made.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    created_at: String,
    /// When it was published; `null` before.
    #[schema(required, format = "date-time", example = "2026-11-25T08:05:36Z")]
    published_at: Option<String>,
    /// Counted from 1 with each change.
    #[schema(example = 1)]
    version: i64,
}

impl From<LabourModelInfo> for LabourModelOut {
    fn from(model: LabourModelInfo) -> Self {
        Self {
            id: model.id,
            name: model.name,
            effective_on: model.effective_on,
            state: Word(model.state),
            created_at: instant(model.created_at),
            published_at: model.published_at.map(instant),
            version: model.version,
        }
    }
}

fn tagged(model: LabourModelInfo) -> Tagged<Json<LabourModelOut>> {
    Tagged(json_tag(model.id, model.version), Json(model.into()))
}

/// Make a labour model
///
/// Scope `estimate`. A draft: it may change until it is published, and holds only where it is named.
/// The program has no times of its own; a shop enters those it measured, booked, or believes.
#[utoipa::path(post, path = "/v1/labour-models", tag = "estimates", params(TrialQuery, IdempotencyKey),
    request_body(content = LabourModelIn, example = json!({
        "name": "Bench times, winter", "effective_on": "2026-01-01",
        "times": [
            {"operation": "cut", "minutes_each": "1.5", "minutes_per_driver": "0.5", "source": "opinion"},
            {"operation": "braze", "minutes_each": "3", "minutes_per_driver": "2.5", "low": "0.8", "high": "1.6", "source": "opinion"}],
        "conditions": [{"condition": "overhead", "group": "joining", "factor": "1.3", "source": "opinion"}]})),
    responses(
        (status = 201, description = "Made.", body = LabourModelOut,
            headers(("ETag" = String, description = "Its version, for `If-Match`."), ("Location" = String, description = "Its address."))),
        (status = 200, description = "With `validate_only`: it would be taken.", body = Trial)))]
pub async fn create_labour_model(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(trial): WireQuery<TrialQuery>,
    WireJson(given): WireJson<LabourModelIn>,
) -> Result<Response, Problem> {
    let content = LabourContent {
        times: given.times.map(plain).unwrap_or_default(),
        conditions: given.conditions.map(condition::plain).unwrap_or_default(),
        repetition: given.repetition.as_ref().map(RepetitionIn::get),
    };
    if trial.is_trial() {
        return Ok(Trial::passed(content.times.len()).into_response());
    }
    let name = given.name.as_str().trim();
    let model = state
        .app()
        .add_labour_model(name, given.effective_on, &content)
        .await?;
    let location = format!("/v1/labour-models/{}", model.id);
    Ok(created(
        &location,
        json_tag(model.id, model.version),
        LabourModelOut::from(model),
    ))
}

/// The labour models
///
/// Scope `estimate`. In the order they were made, without their times.
#[utoipa::path(get, path = "/v1/labour-models", tag = "estimates", params(ListQuery),
    responses((status = 200, description = "A page of labour models.", body = Page<LabourModelOut>)))]
pub async fn list_labour_models(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<ListQuery>,
    uri: Uri,
) -> Result<Page<LabourModelOut>, Problem> {
    let (after, limit) = query.window()?;
    let found = state.app().labour_models(after, limit).await?;
    let found = found.into_iter().map(LabourModelOut::from).collect();
    query.page(found, |model| model.id, &uri)
}

/// A labour model
///
/// Scope `estimate`. Without its times.
#[utoipa::path(get, path = "/v1/labour-models/{id}", tag = "estimates",
    params(("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The labour model.", body = LabourModelOut,
            headers(("ETag" = String, description = "Its version, for `If-Match`."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_labour_model(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Tagged<Json<LabourModelOut>>, Problem> {
    Ok(tagged(state.app().labour_model(id).await?.0))
}

/// Publish a labour model
///
/// Scope `admin`. From then on it never changes, and estimates of its days take their times from it: of
/// the published models, the one that took effect last.
#[utoipa::path(post, path = "/v1/labour-models/{id}/publish", tag = "estimates",
    params(PublishQuery, IdempotencyKey,
        ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = Option<String>, Header, description = "The `ETag` that is to be published. May be left out.", example = "*")),
    responses(
        (status = 200, description = "Published; with `validate_only`, the draft that could be.", body = LabourModelOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published already.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "It has no times, or another takes effect on the same day.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn publish_labour_model(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<PublishQuery>,
    if_match: IfMatch,
) -> Result<Response, Problem> {
    let (model, _) = state.app().labour_model(id).await?;
    model.require_draft()?;
    check_version_if_given(&if_match, id, model.version)?;
    if query.is_trial() {
        state
            .app()
            .try_publish_labour_model(id, query.in_place_of)
            .await?;
        return Ok(tagged(model).into_response());
    }
    let model = state
        .app()
        .publish_labour_model(id, model.version, query.in_place_of)
        .await?;
    Ok(tagged(model).into_response())
}
