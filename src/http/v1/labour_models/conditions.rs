//! The conditions of a labour model, as JSON or as a sheet.

use axum::Json;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::condition::{ConditionOut, ConditionRow, HEADING, cells, plain};
use super::{LabourModelOut, tagged};
use crate::app::labour_models::LabourChange;
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::negotiate::{JSON, Negotiator};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::{RowsQuery, TrialQuery, demand_version, json_tag, tag};
use crate::http::v1::rows::{ROW_FORMS, Row as _, Rows, sheet_form};
use crate::http::v1::sheet;
use crate::http::wire::{RawBody, WirePath, WireQuery, from_json, wire_struct};
use crate::shop::labour::Condition;

wire_struct! {
    /// The conditions of a labour model.
    pub struct ConditionsIn {
        /// Every condition; they take the place of all that are there.
        conditions: Rows<ConditionRow>,
    }
}

/// The conditions of a labour model.
#[derive(Debug, Serialize, ToSchema)]
pub struct ConditionsOut {
    /// Every condition, in the order they were put.
    conditions: Vec<ConditionOut>,
}

fn read(body: &RawBody) -> Result<Vec<Condition>, Problem> {
    if let Some(form) = sheet_form(body)? {
        return Rows::<ConditionRow>::from_sheet(form, &body.bytes).map(plain);
    }
    from_json::<ConditionsIn>(&body.bytes).map(|given| plain(given.conditions))
}

/// The conditions of a labour model
///
/// Scope `estimate`. What working overhead, in place or in a tight spot makes of its times; as JSON
/// or as a sheet.
#[utoipa::path(get, path = "/v1/labour-models/{id}/conditions", tag = "estimates",
    params(RowsQuery, ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The conditions.",
            content((ConditionsOut = "application/json"),
                (String = "text/csv", example = json!("condition,group,factor,source\r\noverhead,joining,1.3,opinion\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")),
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "None of JSON, CSV and XLSX is wanted.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_conditions(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&ROW_FORMS)?;
    let (info, model) = state.app().labour_model(id).await?;
    if !form.is(JSON) {
        let columns = (&HEADING as &[&str], ConditionRow::COLUMNS.numbers);
        let rows = model.conditions.iter().map(cells);
        let answer = sheet::answer(form, columns, rows, "conditions")?;
        let tag = tag(id, info.version, form.format);
        return Ok(Tagged(tag, answer).into_response());
    }
    let conditions = model.conditions.iter().map(ConditionOut::from).collect();
    let answer = Json(ConditionsOut { conditions });
    Ok(Tagged(json_tag(id, info.version), answer).into_response())
}

/// Put the conditions of a labour model
///
/// Scope `estimate`. They take the place of all conditions of a draft. As JSON, or as a sheet with the
/// columns condition, group, factor, source. Every fault is named at once; with any fault nothing is
/// stored.
#[utoipa::path(put, path = "/v1/labour-models/{id}/conditions", tag = "estimates",
    params(TrialQuery,
        ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = String, Header, description = "The `ETag` of the model or of what it holds.", example = "*")),
    request_body(description = "The conditions.", content(
        (ConditionsIn = "application/json", example = json!({"conditions": [
            {"condition": "overhead", "group": "joining", "factor": "1.3", "source": "opinion"},
            {"condition": "in place", "factor": "1.2", "source": "opinion"}]})),
        (String = "text/csv", example = json!("condition,group,factor,source\r\noverhead,joining,1.3,opinion\r\nin place,,1.2,opinion\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 200, description = "Stored; with `validate_only`, the draft as it is.", body = LabourModelOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_conditions(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    body: RawBody,
) -> Result<Response, Problem> {
    let (info, _) = state.app().labour_model(id).await?;
    info.require_draft()?;
    let conditions = state.heavy().run(move || read(&body)).await??;
    demand_version(&if_match, id, info.version)?;
    if trial.is_trial() {
        return Ok(tagged(info).into_response());
    }
    let change = LabourChange::Conditions(conditions);
    let info = state
        .app()
        .change_labour_model(id, info.version, change)
        .await?;
    Ok(tagged(info).into_response())
}
