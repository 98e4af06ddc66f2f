//! The times of a labour model, as JSON or as a sheet.

use axum::Json;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::row::{HEADING, OperationTimeOut, TimeRow, blank_cells, cells};
use super::{LabourModelOut, plain, tagged};
use crate::app::labour_models::LabourChange;
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::negotiate::{CSV, JSON, Negotiator, XLSX};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::{RowsQuery, TrialQuery, demand_version, json_tag, tag};
use crate::http::v1::rows::{ROW_FORMS, Row as _, Rows, sheet_form};
use crate::http::v1::sheet;
use crate::http::wire::{RawBody, WirePath, WireQuery, from_json, wire_struct};
use crate::shop::labour::{Operation, OperationTime};

wire_struct! {
    /// The times of a labour model.
    pub struct OperationTimesIn {
        /// Every time; they take the place of all that are there.
        times: Rows<TimeRow>,
    }
}

/// The times of a labour model.
#[derive(Debug, Serialize, ToSchema)]
pub struct OperationTimesOut {
    /// Every time, in the order of the work.
    times: Vec<OperationTimeOut>,
}

/// Reads times in the form they were sent in.
fn read(body: &RawBody) -> Result<Vec<OperationTime>, Problem> {
    if let Some(form) = sheet_form(body)? {
        return Rows::<TimeRow>::from_sheet(form, &body.bytes).map(plain);
    }
    from_json::<OperationTimesIn>(&body.bytes).map(|given| plain(given.times))
}

/// A blank sheet of times
///
/// Scope `estimate`. Every operation with what it is counted by and what its time grows with, to be
/// filled in and sent to the times of a labour model. Rows that are left blank are not entered.
#[utoipa::path(get, path = "/v1/labour-models/blank", tag = "estimates", params(RowsQuery),
    responses((status = 200, description = "The sheet.",
        content((String = "text/csv", example = json!("operation,setup_minutes,minutes_each,minutes_per_driver,low,high,source,counted_by,driver\r\nmark_out,,,,,,,outlet,\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")))))]
pub async fn get_blank_times(
    _caller: MayEstimate,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&[CSV, XLSX])?;
    let columns = (&HEADING as &[&str], TimeRow::COLUMNS.numbers);
    let rows = Operation::ALL.iter().copied().map(blank_cells);
    sheet::answer(form, columns, rows, "times")
}

/// The times of a labour model
///
/// Scope `estimate`. In the order of the work; as JSON or as a sheet.
#[utoipa::path(get, path = "/v1/labour-models/{id}/times", tag = "estimates",
    params(RowsQuery, ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The times.",
            content((OperationTimesOut = "application/json"),
                (String = "text/csv", example = json!("operation,setup_minutes,minutes_each,minutes_per_driver,low,high,source,counted_by,driver\r\nbraze,0,3,2.5,0.8,1.6,opinion,joint,inch of outside diameter\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")),
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "None of JSON, CSV and XLSX is wanted.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_times(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&ROW_FORMS)?;
    let (info, model) = state.app().labour_model(id).await?;
    if !form.is(JSON) {
        let columns = (&HEADING as &[&str], TimeRow::COLUMNS.numbers);
        let rows = model.times().map(cells);
        let answer = sheet::answer(form, columns, rows, "times")?;
        let tag = tag(id, info.version, form.format);
        return Ok(Tagged(tag, answer).into_response());
    }
    let times = model.times().map(OperationTimeOut::from).collect();
    Ok(Tagged(
        json_tag(id, info.version),
        Json(OperationTimesOut { times }),
    )
    .into_response())
}

/// Put the times of a labour model
///
/// Scope `estimate`. They take the place of all times of a draft. As JSON, or as a sheet with the columns
/// operation, setup_minutes, minutes_each, minutes_per_driver, low, high, source. Every fault is named at
/// once, in a sheet by row and column; with any fault nothing is stored.
#[utoipa::path(put, path = "/v1/labour-models/{id}/times", tag = "estimates",
    params(TrialQuery,
        ("id" = String, Path, format = "uuid", description = "Id of the labour model.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = String, Header, description = "The `ETag` of the model or of its times, as JSON, CSV or XLSX.", example = "*")),
    request_body(description = "The times.", content(
        (OperationTimesIn = "application/json", example = json!({"times": [
            {"operation": "braze", "minutes_each": "3", "minutes_per_driver": "2.5", "low": "0.8", "high": "1.6", "source": "opinion"}]})),
        (String = "text/csv", example = json!("operation,setup_minutes,minutes_each,minutes_per_driver,low,high,source\r\nbraze,,3,2.5,0.8,1.6,opinion\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 200, description = "The model with its new version; with `validate_only`, as it still is.", body = LabourModelOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such labour model.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_times(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    body: RawBody,
) -> Result<Response, Problem> {
    let (info, _) = state.app().labour_model(id).await?;
    info.require_draft()?;
    let times = state.heavy().run(move || read(&body)).await??;
    demand_version(&if_match, id, info.version)?;
    if trial.is_trial() {
        return Ok(tagged(info).into_response());
    }
    let change = LabourChange::Times(times);
    let info = state
        .app()
        .change_labour_model(id, info.version, change)
        .await?;
    Ok(tagged(info).into_response())
}
