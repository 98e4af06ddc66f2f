//! How the time of like manifolds falls, as a labour model says it.

use axum::Json;
use axum::response::{IntoResponse, Response};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::ToSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;
use uuid::Uuid;

use super::{LabourModelOut, tagged};
use crate::app::labour_models::LabourChange;
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::figures::Upto;
use crate::http::v1::kept::{TrialQuery, demand_version, json_tag};
use crate::http::v1::rows::quietly;
use crate::http::v1::words::{CurveWord, SourceWord, Word};
use crate::http::wire::{
    At, Faults, FromWire, Whole, WireJson, WirePath, WireQuery, code, wire_struct,
};
use crate::shop::labour::Repetition;

wire_struct! {
    /// How the time of like manifolds falls. One curve, so that repetition is never counted twice.
    #[example = {"curve": "crawford", "slope": "92", "timed_at": 5, "source": "opinion"}]
    pub struct SlopeIn {
        /// What the slope speaks of: the average of all units so far, or the unit itself.
        #[example = "crawford"]
        curve: CurveWord,
        /// What each doubling of the units brings the time to, in percent of what it was: above 50, up
        /// to 100.
        #[example = "92"]
        slope: Upto<100>,
        /// The unit whose times the model holds; 1, the first of its kind, when left out. Times that
        /// are the mean of long runs belong to a later one.
        #[example = 5]
        timed_at: Option<Whole<1, 100_000>>,
        /// Where the slope comes from: `time_study`, `booked_hours`, `opinion`, `demo`.
        #[example = "opinion"]
        source: SourceWord,
    }
}

/// A slope that repetition can have.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct RepetitionIn(SlopeIn);

impl RepetitionIn {
    /// As the shop's rooms know it.
    pub fn get(&self) -> Repetition {
        let timed_at = self
            .0
            .timed_at
            .and_then(|unit| u32::try_from(unit.get()).ok());
        Repetition {
            curve: self.0.curve.0,
            slope: self.0.slope.percent(),
            timed_at: timed_at.unwrap_or(1),
            source: self.0.source.0,
        }
    }
}

impl FromWire for RepetitionIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = SlopeIn::read(value, at, faults);
        let slope = quietly::<Upto<100>>(value, "slope").map(Upto::get);
        if let Some(slope) = slope.filter(|slope| *slope <= Decimal::from(50)) {
            let detail = format!(
                "{} is {slope}: twice the units would take no more time than half of them; give what a doubling brings the time to, above 50, such as 92",
                at.field("slope").name()
            );
            faults.report(&at.field("slope"), code::OUT_OF_RANGE, detail);
            return None;
        }
        read.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        SlopeIn::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <SlopeIn as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        SlopeIn::components(list);
    }
}

wire_struct! {
    /// Whether the time of like manifolds falls.
    pub struct RepetitionChange {
        /// How; left out, it does not.
        repetition: Option<RepetitionIn>,
    }
}

/// How the time of like manifolds falls.
#[derive(Debug, Serialize, ToSchema)]
pub struct Slope {
    /// What the slope speaks of.
    curve: CurveWord,
    /// What each doubling brings the time to, in percent of what it was.
    #[schema(example = "92", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    slope: String,
    /// The unit whose times the model holds.
    #[schema(example = 5)]
    timed_at: u32,
    /// Where the slope comes from.
    source: SourceWord,
}

/// Whether the time of like manifolds falls.
#[derive(Debug, Serialize, ToSchema)]
pub struct RepetitionOut {
    /// How; `null` where it does not.
    #[schema(required)]
    repetition: Option<Slope>,
}

/// How the time of like manifolds falls
///
/// Scope `estimate`. The learning curve of a labour model, if it has one.
#[utoipa::path(get, path = "/v1/labour-models/{id}/repetition", tag = "estimates",
    params(("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The curve.", body = RepetitionOut,
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_repetition(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Response, Problem> {
    let (info, model) = state.app().labour_model(id).await?;
    let repetition = model.repetition.map(|it| Slope {
        curve: Word(it.curve),
        slope: it.slope.number().to_string(),
        timed_at: it.timed_at,
        source: Word(it.source),
    });
    let answer = Json(RepetitionOut { repetition });
    Ok(Tagged(json_tag(id, info.version), answer).into_response())
}

/// Put how the time of like manifolds falls
///
/// Scope `estimate`. Into a draft. Manifolds of a schedule whose work is the same, under the same
/// conditions, are of one kind. The curve bears on run time alone, not on set-ups. Without
/// `repetition` each manifold takes the model's times.
#[utoipa::path(put, path = "/v1/labour-models/{id}/repetition", tag = "estimates",
    params(TrialQuery,
        ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = String, Header, description = "The `ETag` of the model or of what it holds.", example = "*")),
    request_body(content = RepetitionChange, example = json!({"repetition": {"curve": "crawford", "slope": "92", "timed_at": 5, "source": "opinion"}})),
    responses(
        (status = 200, description = "Stored; with `validate_only`, the draft as it is.", body = LabourModelOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_repetition(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    WireJson(given): WireJson<RepetitionChange>,
) -> Result<Response, Problem> {
    let (info, _) = state.app().labour_model(id).await?;
    info.require_draft()?;
    demand_version(&if_match, id, info.version)?;
    if trial.is_trial() {
        return Ok(tagged(info).into_response());
    }
    let change = LabourChange::Repetition(given.repetition.as_ref().map(RepetitionIn::get));
    let info = state
        .app()
        .change_labour_model(id, info.version, change)
        .await?;
    Ok(tagged(info).into_response())
}
