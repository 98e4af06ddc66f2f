//! Quotes: written, read, listed.

mod compare;
mod document;
mod moves;
mod offered;
mod out;
mod request;

use axum::Json;
use axum::http::header::LOCATION;
use axum::http::{HeaderValue, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use rust_decimal::Decimal;
use uuid::Uuid;

use crate::app::quotes::{QuoteMark, QuoteQuery, QuoteView};
use crate::http::auth::{MayEstimate, MayEstimateOrAccount, State};
use crate::http::etag::{Etag, IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::TrialQuery;
use crate::http::wire::{
    At, FromWire as _, Text, WireJson, WirePath, WireQuery, wire_enum, wire_query,
};

pub use compare::{__path_copy_quote, __path_get_quote_changes, copy_quote, get_quote_changes};
pub use document::{__path_get_quote_document, DocumentQuery, get_quote_document, paper, printed};
pub use moves::{
    __path_accept_quote, __path_create_quote_revision, __path_decline_quote, __path_issue_quote,
    __path_withdraw_quote, accept_quote, create_quote_revision, decline_quote, issue_quote,
    withdraw_quote,
};
pub use out::QuoteOut;
use out::QuoteSummaryOut;
pub use request::{PresentationName, QuoteIn};

wire_enum! {
    /// Where a revision of a quote stands.
    pub enum QuoteState {
        /// Being written.
        Draft = "draft",
        /// With the customer.
        Issued = "issued",
        /// Taken.
        Accepted = "accepted",
        /// Not taken.
        Declined = "declined",
        /// Taken back by the shop.
        Withdrawn = "withdrawn",
        /// Its last day has passed.
        Expired = "expired",
        /// Another revision has taken its place.
        Superseded = "superseded",
    }
}

wire_query! {
    /// Which quotes.
    pub struct QuotesQuery {
        /// Only those whose current revision is in this state.
        #[example = "issued"]
        state: Option<QuoteState>,
        /// Only those whose customer's name holds this text, in any case.
        #[example = "harbour"]
        customer: Option<Text<200>>,
        /// Only those whose project holds this text, in any case.
        #[example = "school"]
        project: Option<Text<200>>,
        /// Only those that hold this text, in any case, in their number, customer, project or purchase
        /// order number.
        #[example = "PO-20418"]
        text: Option<Text<200>>,
        /// Only those issued on this day or later.
        #[example = "2026-01-01"]
        issued_from: Option<Date>,
        /// Only those issued on this day or earlier.
        #[example = "2099-12-31"]
        issued_to: Option<Date>,
        /// Only those whose total with tax is at least this.
        #[example = "100.00"]
        least_gross: Option<Decimal>,
        /// Only those whose total with tax is at most this.
        #[example = "25000.00"]
        most_gross: Option<Decimal>,
        /// Items of a page.
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

/// The version of a quote as it goes out.
pub(super) fn etag(mark: QuoteMark) -> Etag {
    Etag::of_version(&format!(
        "{}/{}/{}/{}",
        mark.id,
        mark.version,
        mark.revision,
        mark.state.word()
    ))
}

pub(super) fn answer(view: &QuoteView) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    let tag = etag(view.mark());
    let body = QuoteOut::of(view, &tag)?;
    Ok(Tagged(tag, Json(body)))
}

/// 201 with the address of the quote.
pub(super) fn created(view: &QuoteView) -> Result<Response, Problem> {
    let mut response = (StatusCode::CREATED, answer(view)?).into_response();
    if let Ok(location) = HeaderValue::try_from(format!("/v1/quotes/{}", view.quote.number)) {
        response.headers_mut().insert(LOCATION, location);
    }
    Ok(response)
}

/// What would be stored, without a number.
pub(super) fn tried(view: &QuoteView) -> Result<Response, Problem> {
    Ok(Json(QuoteOut::of(view, &etag(view.mark()))?).into_response())
}

/// Reads the books, works the quote out off the serving threads.
pub(super) async fn freeze(
    state: &ApiState,
    request: QuoteIn,
) -> Result<crate::app::quotes::FrozenQuote, Problem> {
    let request = request.resolve(state.app().catalogue())?;
    let (books, customer) = state.app().load_for_quote(&request).await?;
    let app = state.app().clone();
    Ok(state
        .heavy()
        .run(move || app.freeze(&request, &books, customer))
        .await??)
}

/// Write a quote
///
/// Scope `estimate`. The quote is estimated at today's prices and stored as a draft with the next
/// number. What may not be built cannot be quoted. `options` are priced beside it and in no total; with
/// `presentation` the customer's papers show one price for the schedule. With `?validate_only=true` the same answer
/// comes back with 200, without a number, and nothing is stored.
#[utoipa::path(post, path = "/v1/quotes", tag = "quotes", params(IdempotencyKey, TrialQuery),
    request_body(content = QuoteIn, example = json!({"customer": {"name": "Harbour Heating"}, "project": "Boiler room, east wing",
        "manifolds": [{"mark": "H-1", "quantity": 2, "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}],
        "options": [{"name": "Spare header", "manifold": {"mark": "S-1", "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 2, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}}]})),
    responses(
        (status = 201, description = "The draft.", body = QuoteOut,
            headers(("Location" = String, description = "Address of the quote."), ("ETag" = String, description = "Its version."))),
        (status = 200, description = "With `validate_only`: what would be stored.", body = QuoteOut)))]
pub async fn create_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(trial): WireQuery<TrialQuery>,
    WireJson(request): WireJson<QuoteIn>,
) -> Result<Response, Problem> {
    let frozen = freeze(&state, request).await?;
    if trial.is_trial() {
        return tried(&state.app().preview_quote(frozen)?);
    }
    created(&state.app().create_quote(&frozen).await?)
}

/// List quotes
///
/// Scope `estimate` or `account`. Oldest first, each with its current revision.
#[utoipa::path(get, path = "/v1/quotes", tag = "quotes", params(QuotesQuery),
    responses((status = 200, description = "A page of quotes.", body = Page<QuoteSummaryOut>)))]
pub async fn list_quotes(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    uri: Uri,
    WireQuery(query): WireQuery<QuotesQuery>,
) -> Result<Page<QuoteSummaryOut>, Problem> {
    let after: Option<Uuid> = query.after.as_ref().map(Cursor::key).transpose()?;
    let listing = state
        .app()
        .quotes(QuoteQuery {
            state: query.state.map(|state| state.as_str().to_owned()),
            customer: query.customer.map(Text::into_string),
            project: query.project.map(Text::into_string),
            text: query.text.map(Text::into_string),
            issued: (query.issued_from, query.issued_to),
            gross: (query.least_gross, query.most_gross),
            after,
            limit: query.limit.unwrap_or_default().get(),
        })
        .await?;
    let next = match listing.quotes.last() {
        Some(last) if listing.more => Some(Cursor::of(&last.id)?),
        _ => None,
    };
    let items = listing
        .quotes
        .into_iter()
        .map(QuoteSummaryOut::from)
        .collect();
    Ok(Page::new(items, next, &uri))
}

/// Read a quote
///
/// Scope `estimate` or `account`. The current revision.
#[utoipa::path(get, path = "/v1/quotes/{number}", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001")),
    responses(
        (status = 200, description = "The quote.", body = QuoteOut, headers(("ETag" = String, description = "Its version."))),
        (status = 404, description = "There is no such quote.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_quote(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    answer(&state.app().quote(&number).await?)
}

/// Read a revision of a quote
///
/// Scope `estimate` or `account`.
#[utoipa::path(get, path = "/v1/quotes/{number}/revisions/{revision}", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"),
        ("revision" = u32, Path, description = "Which revision, from 1.", example = 1)),
    responses(
        (status = 200, description = "The revision.", body = QuoteOut, headers(("ETag" = String, description = "Its version."))),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_quote_revision(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath((number, revision)): WirePath<(String, u32)>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    answer(
        &state
            .app()
            .quote_revision(&number, i64::from(revision))
            .await?,
    )
}

/// Write a draft anew
///
/// Scope `estimate`. Puts another content in place of the current revision, which must be a draft.
/// `If-Match` is needed.
#[utoipa::path(put, path = "/v1/quotes/{number}", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of the draft you read.")),
    request_body(content = QuoteIn, example = json!({"customer": {"name": "Harbour Heating"}, "project": "Boiler room, west wing",
        "manifolds": [{"mark": "H-1", "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 4, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}]})),
    responses((status = 200, description = "The draft.", body = QuoteOut, headers(("ETag" = String, description = "Its version."))),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "The current revision is no draft.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    WireJson(request): WireJson<QuoteIn>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    let current = state.app().quote(&number).await?;
    if_match.check(&etag(current.mark()))?;
    let frozen = freeze(&state, request).await?;
    let view = state
        .app()
        .rewrite_draft(&number, current.quote.version, &frozen)
        .await?;
    answer(&view)
}

/// The request that a revision was made from, to make another one from it.
pub fn same_request(view: &QuoteView) -> Result<QuoteIn, Problem> {
    let value: serde_json::Value =
        serde_json::from_str(&view.record.request).map_err(|error| Problem::internal(&error))?;
    let mut faults = crate::http::wire::Faults::new();
    QuoteIn::read(&value, &At::BODY, &mut faults).ok_or_else(|| {
        Problem::new(crate::http::problem::Slug::Unprocessable)
            .with_detail(
                "The request of that revision can no longer be read; send the whole content.",
            )
            .with_faults(faults)
    })
}
