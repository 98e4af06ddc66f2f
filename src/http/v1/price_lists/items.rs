//! The items of a price list, as JSON or as a sheet.

use axum::Json;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::row::{PriceItemOut, PriceRow, cells};
use super::{PriceListOut, plain, read_sheet, tagged};
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::negotiate::{JSON, Negotiator};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::{RowsQuery, TrialQuery, demand_version, json_tag, tag};
use crate::http::v1::rows::{ROW_FORMS, Row as _, Rows, sheet_form};
use crate::http::v1::sheet;
use crate::http::wire::{RawBody, WirePath, WireQuery, from_json, wire_struct};
use crate::shop::price_list::PriceItem;

wire_struct! {
    /// The items of a price list.
    pub struct PriceItemsIn {
        /// Every item; they take the place of all that are there.
        items: Rows<PriceRow>,
    }
}

/// The items of a price list.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceItemsOut {
    /// Every item, by code.
    items: Vec<PriceItemOut>,
}

/// Reads items in the form they were sent in.
fn read(body: &RawBody) -> Result<Vec<PriceItem>, Problem> {
    if let Some(form) = sheet_form(body)? {
        return read_sheet(form, &body.bytes);
    }
    from_json::<PriceItemsIn>(&body.bytes).map(|given| plain(given.items))
}

/// The items of a price list
///
/// Scope `estimate`. All of them, by code; as JSON, or as a sheet with the columns code, kind, text,
/// unit, price, breaks. In a sheet, a text that a spreadsheet might run as a formula is led by an apostrophe,
/// which is taken off again when the sheet is sent back.
#[utoipa::path(get, path = "/v1/price-lists/{id}/items", tag = "estimates",
    params(RowsQuery, ("id" = String, Path, format = "uuid", description = "Id of the price list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The items.",
            content((PriceItemsOut = "application/json"),
                (String = "text/csv", example = json!("code,kind,text,unit,price,breaks\r\nb88-l-2,tube,\"2 in type L, drawn\",ft,14.20,200: 13.10\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")),
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "None of JSON, CSV and XLSX is wanted.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_price_items(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&ROW_FORMS)?;
    let (list, prices) = state.app().price_list_items(id).await?;
    if !form.is(JSON) {
        let columns = (PriceRow::COLUMNS.read, PriceRow::COLUMNS.numbers);
        let rows = prices.items().map(cells);
        let answer = sheet::answer(form, columns, rows, "prices")?;
        let tag = tag(id, list.version, form.format);
        return Ok(Tagged(tag, answer).into_response());
    }
    let items = prices.items().map(PriceItemOut::from).collect();
    Ok(Tagged(json_tag(id, list.version), Json(PriceItemsOut { items })).into_response())
}

/// Put the items of a price list
///
/// Scope `estimate`. They take the place of all items of a draft. As JSON, or as a sheet (UTF-8, with
/// or without byte order mark) whose first row names the columns code, kind, text, unit, price. Every
/// fault is named at once, in a sheet by row and column; with any fault nothing is stored.
#[utoipa::path(put, path = "/v1/price-lists/{id}/items", tag = "estimates",
    params(TrialQuery,
        ("id" = String, Path, format = "uuid", description = "Id of the price list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = String, Header, description = "The `ETag` of the list or of its items, as JSON, CSV or XLSX.", example = "*")),
    request_body(description = "The items.", content(
        (PriceItemsIn = "application/json", example = json!({"items": [
            {"code": "b88-l-2", "kind": "tube", "text": "2 in type L, drawn", "unit": "ft", "price": "14.20"},
            {"code": "tee-2x2x1", "kind": "fitting", "unit": "each", "price": "11.75"}]})),
        (String = "text/csv", example = json!("code,kind,text,unit,price,breaks\r\nb88-l-2,tube,\"2 in type L, drawn\",ft,14.20,200: 13.10\r\ntee-2x2x1,fitting,,each,11.75,\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 200, description = "The list with its new version; with `validate_only`, as it still is.", body = PriceListOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_price_items(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    body: RawBody,
) -> Result<Response, Problem> {
    let list = state.app().price_list(id).await?;
    list.require_draft()?;
    let items = state.heavy().run(move || read(&body)).await??;
    demand_version(&if_match, id, list.version)?;
    if trial.is_trial() {
        return Ok(tagged(list).into_response());
    }
    let list = state
        .app()
        .replace_price_items(id, list.version, &items)
        .await?;
    Ok(tagged(list).into_response())
}
