//! Price lists: made, listed, published. Their items are beside, in `items`.

mod breaks;
pub mod diff;
pub mod items;
pub mod reprice;
mod row;

use axum::Json;
use axum::http::Uri;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::figures::CurrencyIn;
use super::kept::{
    ListQuery, PublishQuery, Trial, TrialQuery, check_version_if_given, created, instant, json_tag,
};
use super::rows::Rows;
use super::words::{StateWord, Word};
use crate::app::price_lists::{NewPriceList, PriceListInfo};
use crate::http::auth::{MayAdmin, MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::negotiate::Offer;
use crate::http::paging::Page;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{Text, WireJson, WirePath, WireQuery, wire_struct};
use crate::shop::price_list::PriceItem;
use row::PriceRow;

/// Reads a sheet of prices: columns code, kind, text, unit, price.
///
/// # Errors
/// A problem that names every faulty cell.
pub fn read_sheet(form: Offer, bytes: &[u8]) -> Result<Vec<PriceItem>, Problem> {
    Rows::<PriceRow>::from_sheet(form, bytes).map(plain)
}

fn plain(rows: Rows<PriceRow>) -> Vec<PriceItem> {
    rows.into_vec().into_iter().map(|row| row.0).collect()
}

wire_struct! {
    /// A price list to make.
    pub struct PriceListIn {
        /// Its name.
        #[example = "Tube and fittings, winter"]
        name: Text<200>,
        /// Who sells at these prices.
        #[example = "Harbour Metals"]
        supplier: Text<200>,
        /// ISO 4217 code of the currency of every price in it.
        #[example = "USD"]
        currency: CurrencyIn,
        /// The first day its prices hold.
        #[example = "2026-01-01"]
        effective_on: Date,
        /// Its items; they can also be put later, as JSON or as a sheet.
        items: Option<Rows<PriceRow>>,
    }
}

/// A price list, without its items.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceListOut {
    /// Its id.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Uuid,
    /// Its name.
    #[schema(example = "Tube and fittings, winter")]
    name: String,
    /// Who sells at these prices.
    #[schema(example = "Harbour Metals")]
    supplier: String,
    /// ISO 4217 code of the currency of every price in it.
    #[schema(example = "USD", pattern = "^[A-Z]{3}$")]
    currency: String,
    /// The first day its prices hold.
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

impl From<PriceListInfo> for PriceListOut {
    fn from(list: PriceListInfo) -> Self {
        Self {
            id: list.id,
            name: list.name,
            supplier: list.supplier,
            currency: list.currency.code().to_owned(),
            effective_on: list.effective_on,
            state: Word(list.state),
            created_at: instant(list.created_at),
            published_at: list.published_at.map(instant),
            version: list.version,
        }
    }
}

fn tagged(list: PriceListInfo) -> Tagged<Json<PriceListOut>> {
    Tagged(json_tag(list.id, list.version), Json(list.into()))
}

/// Make a price list
///
/// Scope `estimate`. A draft: it may change until it is published, and holds only where it is named.
#[utoipa::path(post, path = "/v1/price-lists", tag = "estimates", params(TrialQuery, IdempotencyKey),
    request_body(content = PriceListIn, example = json!({
        "name": "Tube and fittings, winter", "supplier": "Harbour Metals", "currency": "USD", "effective_on": "2026-01-01",
        "items": [
            {"code": "b88-l-2", "kind": "tube", "text": "2 in type L, drawn", "unit": "ft", "price": "14.20"},
            {"code": "BCuP-3", "kind": "filler", "unit": "lb", "price": "38.00"},
            {"code": "cap-2", "kind": "fitting", "unit": "each", "price": "6.10"}]})),
    responses(
        (status = 201, description = "Made.", body = PriceListOut,
            headers(("ETag" = String, description = "Its version, for `If-Match`."), ("Location" = String, description = "Its address."))),
        (status = 200, description = "With `validate_only`: it would be taken.", body = Trial)))]
pub async fn create_price_list(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(trial): WireQuery<TrialQuery>,
    WireJson(given): WireJson<PriceListIn>,
) -> Result<Response, Problem> {
    let new = NewPriceList {
        name: given.name.as_str().trim().to_owned(),
        supplier: given.supplier.as_str().trim().to_owned(),
        currency: given.currency.0,
        effective_on: given.effective_on,
        items: given.items.map(plain).unwrap_or_default(),
    };
    if trial.is_trial() {
        return Ok(Trial::passed(new.items.len()).into_response());
    }
    let list = state.app().add_price_list(&new).await?;
    let location = format!("/v1/price-lists/{}", list.id);
    Ok(created(
        &location,
        json_tag(list.id, list.version),
        PriceListOut::from(list),
    ))
}

/// The price lists
///
/// Scope `estimate`. In the order they were made, without their items.
#[utoipa::path(get, path = "/v1/price-lists", tag = "estimates", params(ListQuery),
    responses((status = 200, description = "A page of price lists.", body = Page<PriceListOut>)))]
pub async fn list_price_lists(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<ListQuery>,
    uri: Uri,
) -> Result<Page<PriceListOut>, Problem> {
    let (after, limit) = query.window()?;
    let found = state.app().price_lists(after, limit).await?;
    let found = found.into_iter().map(PriceListOut::from).collect();
    query.page(found, |list| list.id, &uri)
}

/// A price list
///
/// Scope `estimate`. Without its items.
#[utoipa::path(get, path = "/v1/price-lists/{id}", tag = "estimates",
    params(("id" = String, Path, format = "uuid", description = "Id of the price list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The price list.", body = PriceListOut,
            headers(("ETag" = String, description = "Its version, for `If-Match`."))),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_price_list(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Tagged<Json<PriceListOut>>, Problem> {
    Ok(tagged(state.app().price_list(id).await?))
}

/// Publish a price list
///
/// Scope `admin`. From then on it never changes, and estimates of its days take their prices from it:
/// of the published lists in the shop's currency, the one that took effect last.
#[utoipa::path(post, path = "/v1/price-lists/{id}/publish", tag = "estimates",
    params(PublishQuery, IdempotencyKey,
        ("id" = String, Path, format = "uuid", description = "Id of the price list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = Option<String>, Header, description = "The `ETag` that is to be published. May be left out.", example = "*")),
    responses(
        (status = 200, description = "Published; with `validate_only`, the draft that could be.", body = PriceListOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "It is published already.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "It has no items, or another takes effect on the same day.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn publish_price_list(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<PublishQuery>,
    if_match: IfMatch,
) -> Result<Response, Problem> {
    let list = state.app().price_list(id).await?;
    list.require_draft()?;
    check_version_if_given(&if_match, id, list.version)?;
    if query.is_trial() {
        state
            .app()
            .try_publish_price_list(id, query.in_place_of)
            .await?;
        return Ok(tagged(list).into_response());
    }
    let list = state
        .app()
        .publish_price_list(id, list.version, query.in_place_of)
        .await?;
    Ok(tagged(list).into_response())
}
