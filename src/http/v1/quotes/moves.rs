//! The moves of a quote, and its revisions.

use axum::Json;
use axum::response::Response;
use jiff::civil::Date;

use super::out::QuoteOut;
use super::request::QuoteIn;
use super::{answer, created, etag, freeze, same_request, tried};
use crate::app::AppError;
use crate::app::quotes::{Acceptance, MoveRequest, QuoteView};
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::TrialQuery;
use crate::http::wire::{
    List, OptionalJson, Text, Whole, WireJson, WirePath, WireQuery, wire_struct,
};
use crate::shop::quote::Move;

wire_struct! {
    /// Which revision to issue.
    #[example = {}]
    pub struct IssueIn {
        /// The revision; the current one when not given.
        #[example = 1]
        revision: Option<Whole<1, 100_000>>,
    }
}

wire_struct! {
    /// Who takes the quote.
    #[example = {"name": "Jo Tiller", "po_number": "PO-771"}]
    pub struct AcceptIn {
        /// Who takes it.
        #[example = "Jo Tiller"]
        name: Text<200>,
        /// When; today when not given. It must lie within the validity; it may be written down later.
        #[example = "2026-12-01"]
        date: Option<Date>,
        /// The customer's order number.
        #[example = "PO-771"]
        po_number: Option<Text<80>>,
        /// Names of the options that are ordered with it; of several instead of one manifold, one at most.
        #[example = ["Spare header"]]
        options: Option<List<Text<80>, 20, 0>>,
        /// The revision; what the customer has, or else the current one, when not given.
        #[example = 1]
        revision: Option<Whole<1, 100_000>>,
    }
}

wire_struct! {
    /// Why a quote is declined or withdrawn.
    #[example = {"reason": "Too late for the job"}]
    pub struct ReasonIn {
        /// Why.
        #[example = "Too late for the job"]
        reason: Option<Text<2_000>>,
        /// The revision. When not given, what the customer has is declined, and the current one withdrawn; where a draft
        /// stands beside what the customer has, say which to withdraw.
        #[example = 1]
        revision: Option<Whole<1, 100_000>>,
    }
}

async fn make(
    state: &ApiState,
    number: &str,
    if_match: &IfMatch,
    request: MoveRequest,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    // Any version will do: what is not there at all is found missing by the move itself.
    let expected = match if_match.is_any() {
        true => None,
        false => known_version(state, number, if_match, request.revision).await?,
    };
    let request = MoveRequest {
        expected,
        ..request
    };
    answer(&moved(state, number, request).await?)
}

/// Makes the move; a quote that froze templates of the shop's own is printed with them before it is issued.
async fn moved(state: &ApiState, number: &str, request: MoveRequest) -> Result<QuoteView, Problem> {
    match state.app().move_quote(number, request.clone()).await {
        Err(AppError::Unprinted) => {
            let printed = check_issue(state, number, request.revision).await?;
            let request = MoveRequest {
                is_printed: true,
                // What was printed is what is issued.
                expected: request.expected.or(Some(printed)),
                ..request
            };
            Ok(state.app().move_quote(number, request).await?)
        }
        outcome => Ok(outcome?),
    }
}

/// The version the caller names with `If-Match`, when it does; moves go without one, too, since
/// the state itself says which are open.
async fn known_version(
    state: &ApiState,
    number: &str,
    if_match: &IfMatch,
    revision: Option<i64>,
) -> Result<Option<i64>, Problem> {
    if !if_match.is_given() {
        return Ok(None);
    }
    let mark = state.app().quote_mark(number, revision).await?;
    if_match.check(&etag(mark))?;
    Ok(Some(mark.version))
}

/// Put a quote before the customer
///
/// Scope `estimate`. A draft is issued: from then on nothing of it changes. The revision issued
/// before it is superseded. Where the shop has templates of its own, the quote is printed with them first.
#[utoipa::path(post, path = "/v1/quotes/{number}/issue", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<IssueIn>, description = "May be left out.", example = json!({})),
    responses((status = 200, description = "The issued revision.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn issue_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    OptionalJson(request): OptionalJson<IssueIn>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    let request = MoveRequest {
        attempted: Move::Issue,
        revision: request.revision.map(|revision| revision.get()),
        expected: None,
        acceptance: None,
        reason: None,
        is_printed: false,
    };
    make(&state, &number, &if_match, request).await
}

/// Refuses to issue what the shop's own templates cannot print; the version of the quote that they can.
async fn check_issue(
    state: &ApiState,
    number: &str,
    revision: Option<i64>,
) -> Result<i64, Problem> {
    let view = match revision {
        Some(revision) => state.app().quote_revision(number, revision).await?,
        None => state.app().quote(number).await?,
    };
    let version = view.quote.version;
    let quote = state.app().printable(view).await?;
    let today = state.app().today();
    let job = move || quote.check_issue(today);
    state.heavy().run(job).await??;
    Ok(version)
}

/// Write down that the customer takes a quote
///
/// Scope `estimate`. With `options` they are ordered, too: what is ordered stands in `ordered`, and in the
/// totals for the books.
#[utoipa::path(post, path = "/v1/quotes/{number}/accept", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = AcceptIn, example = json!({"name": "Jo Tiller", "po_number": "PO-771", "options": ["Spare header"]})),
    responses((status = 200, description = "The accepted revision.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn accept_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    WireJson(request): WireJson<AcceptIn>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    let request = MoveRequest {
        attempted: Move::Accept,
        revision: request.revision.map(|revision| revision.get()),
        expected: None,
        acceptance: Some(Acceptance {
            name: request.name.into_string(),
            on: request.date,
            po_number: request.po_number.map(Text::into_string),
            options: request
                .options
                .iter()
                .flat_map(List::as_slice)
                .map(named)
                .collect(),
        }),
        reason: None,
        is_printed: false,
    };
    make(&state, &number, &if_match, request).await
}

fn named(name: &Text<80>) -> String {
    name.as_str().trim().to_owned()
}

/// Write down that the customer declines a quote
///
/// Scope `estimate`.
#[utoipa::path(post, path = "/v1/quotes/{number}/decline", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<ReasonIn>, description = "May be left out.", example = json!({"reason": "Too late for the job"})),
    responses((status = 200, description = "The declined revision.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn decline_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    OptionalJson(request): OptionalJson<ReasonIn>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    make(
        &state,
        &number,
        &if_match,
        with_reason(Move::Decline, request),
    )
    .await
}

/// Take a quote back
///
/// Scope `estimate`. A draft or an issued quote is withdrawn by the shop.
#[utoipa::path(post, path = "/v1/quotes/{number}/withdraw", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<ReasonIn>, description = "May be left out.", example = json!({"reason": "Prices have changed"})),
    responses((status = 200, description = "The withdrawn revision.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn withdraw_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    OptionalJson(request): OptionalJson<ReasonIn>,
) -> Result<Tagged<Json<QuoteOut>>, Problem> {
    make(
        &state,
        &number,
        &if_match,
        with_reason(Move::Withdraw, request),
    )
    .await
}

fn with_reason(attempted: Move, request: ReasonIn) -> MoveRequest {
    MoveRequest {
        attempted,
        revision: request.revision.map(|revision| revision.get()),
        expected: None,
        acceptance: None,
        reason: request.reason.map(Text::into_string),
        is_printed: false,
    }
}

/// Write another revision of a quote
///
/// Scope `estimate`. The new revision is a draft and becomes the current one; the one before keeps
/// its state until the new one is issued. Without a body it has the same content at today's prices.
#[utoipa::path(post, path = "/v1/quotes/{number}/revisions", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey, TrialQuery,
        ("If-Match" = Option<String>, Header, description = "The `ETag` you read; checked when sent.")),
    request_body(content = Option<QuoteIn>, description = "May be left out: the same content at today's prices.",
        example = json!({"customer": {"name": "Harbour Heating"}, "project": "Boiler room, east wing",
        "manifolds": [{"mark": "H-1", "quantity": 3, "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}]})),
    responses(
        (status = 201, description = "The new draft.", body = QuoteOut,
            headers(("Location" = String, description = "Address of the quote."))),
        (status = 200, description = "With `validate_only`: what would be stored.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn create_quote_revision(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    if_match: IfMatch,
    WireQuery(trial): WireQuery<TrialQuery>,
    OptionalJson(request): OptionalJson<Option<QuoteIn>>,
) -> Result<Response, Problem> {
    let expected = known_version(&state, &number, &if_match, None).await?;
    let request = match request {
        Some(request) => request,
        None => QuoteIn {
            // A last day of the old content is no last day of the new.
            valid_until: None,
            on: None,
            price_list: None,
            labour_model: None,
            ..same_request(&state.app().quote(&number).await?)?
        },
    };
    let frozen = freeze(&state, request).await?;
    if trial.is_trial() {
        let mark = state.app().quote_mark(&number, None).await?;
        mark.state.make(Move::Revise).map_err(AppError::from)?;
        return tried(&state.app().preview_quote(frozen)?);
    }
    created(&state.app().revise_quote(&number, expected, &frozen).await?)
}
