//! Links that open a quote to whoever holds them.

use axum::Json;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::kept::instant;
use crate::app::links::{Link, LinkEvent, NewLink};
use crate::http::auth::{MayAccount, MayEstimateOrAccount, Scope, State};
use crate::http::linked;
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{
    OptionalJson, Text, Whole, WirePath, WireQuery, wire_enum, wire_query, wire_struct,
};
use crate::shop::link::Purpose;
use axum::http::header::{CACHE_CONTROL, LOCATION};
use axum::http::{HeaderValue, StatusCode, Uri};

wire_enum! {
    /// What a link to a quote opens.
    pub enum LinkOpens {
        /// The page where the customer accepts or declines.
        Page = "page",
        /// What it comes to, as bare text for a cell.
        Total = "total",
        /// The paper.
        Document = "document",
    }
}

impl LinkOpens {
    const fn purpose(self) -> Purpose {
        match self {
            Self::Page => Purpose::QuotePage,
            Self::Total => Purpose::QuoteTotal,
            Self::Document => Purpose::QuoteDocument,
        }
    }
}

wire_struct! {
    /// A link to the totals to make.
    #[example = {"label": "Month-end sheet"}]
    pub struct TotalsLinkIn {
        /// The last day it opens, at most 400 days from today; 30 days from today when not given.
        #[example = "2099-12-31"]
        expires_on: Option<Date>,
        /// Whom it is for, so that you know it again.
        #[example = "Month-end sheet"]
        label: Option<Text<200, 0>>,
    }
}

wire_query! {
    /// Which links.
    pub struct LinksQuery {
        /// Items of a page.
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

wire_struct! {
    /// A link to make.
    #[example = {"label": "R. Ashdown"}]
    pub struct LinkIn {
        /// What it opens; the page when not given.
        #[example = "page"]
        opens: Option<LinkOpens>,
        /// The revision it opens. When not given, the page stays with the revision that is current now;
        /// total and document are those of the newest issued one, whenever they are read.
        #[example = 1]
        revision: Option<Whole<1, 100_000>>,
        /// The last day it opens, at most 400 days from today; 30 days after the quote's last when
        /// not given.
        #[example = "2099-12-31"]
        expires_on: Option<Date>,
        /// Whom it is for, so that you know it again.
        #[example = "R. Ashdown"]
        label: Option<Text<200, 0>>,
    }
}

/// Something done with a link.
#[derive(Debug, Serialize, ToSchema)]
pub struct LinkEventOut {
    /// What: `viewed`, `downloaded`, `accepted`, `declined`, or `refused` (an answer that came too
    /// late).
    #[schema(example = "viewed")]
    what: String,
    /// Who, by their own word; empty when nobody said.
    #[schema(example = "R. Ashdown")]
    name: String,
    /// The order number or the reason they gave, or why it was refused.
    #[schema(example = "PO-20418")]
    detail: String,
    /// When.
    #[schema(format = DateTime, example = "2026-11-25T08:00:00Z")]
    at: String,
}

/// A link. Its token is not kept and cannot be shown again.
#[derive(Debug, Serialize, ToSchema)]
pub struct LinkOut {
    /// Its id.
    #[schema(format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: String,
    /// What it opens: `quote_page`, `quote_total`, `quote_document` or `totals`.
    #[schema(example = "quote_page")]
    purpose: String,
    /// The quote it opens.
    #[schema(example = "Q-2026-0001")]
    number: Option<String>,
    /// The revision it opens; `null` where it opens the newest that was issued.
    revision: Option<i64>,
    /// Whom it is for.
    #[schema(example = "R. Ashdown")]
    label: String,
    /// `live`, `expired` or `revoked`.
    #[schema(example = "live")]
    state: &'static str,
    /// When it was made.
    #[schema(format = DateTime, example = "2026-11-25T08:00:00Z")]
    created_at: String,
    /// From when on it opens nothing.
    #[schema(format = DateTime, example = "2027-01-25T00:00:00Z")]
    expires_at: String,
    /// When it was revoked.
    #[schema(format = DateTime)]
    revoked_at: Option<String>,
    /// How often it was opened.
    views: i64,
    /// What was done with it, latest first, at most 200.
    events: Vec<LinkEventOut>,
}

impl From<LinkEvent> for LinkEventOut {
    fn from(event: LinkEvent) -> Self {
        Self {
            what: event.what,
            name: event.name,
            detail: event.detail,
            at: instant(event.at),
        }
    }
}

impl From<Link> for LinkOut {
    fn from(link: Link) -> Self {
        Self {
            id: link.id.to_string(),
            purpose: link.purpose,
            number: link.number,
            revision: link.revision,
            label: link.label,
            state: link.standing.word(),
            created_at: instant(link.created_at),
            expires_at: instant(link.expires_at),
            revoked_at: link.revoked_at.map(instant),
            views: link.views,
            events: link.events.into_iter().map(LinkEventOut::from).collect(),
        }
    }
}

/// A link with its address, which is shown this once.
#[derive(Debug, Serialize, ToSchema)]
pub struct NewLinkOut {
    /// What is known of it.
    link: LinkOut,
    /// Its address on this server, to be put behind the server's own. It holds the token: whoever
    /// has it can open the quote.
    #[schema(example = "/q/4Jv0cQ0yP8b2b9m0x8hUq2m3nqYh0bq2J3k1l5sX0aA")]
    path: String,
    /// The same with the server's own address before it, where the server was told that
    /// (`--public-url`).
    #[schema(
        format = "uri",
        example = "https://quotes.example.com/q/4Jv0cQ0yP8b2b9m0x8hUq2m3nqYh0bq2J3k1l5sX0aA"
    )]
    url: Option<String>,
}

/// All links of a quote.
#[derive(Debug, Serialize, ToSchema)]
pub struct LinksOut {
    /// In the order they were made.
    items: Vec<LinkOut>,
}

fn created(state: &ApiState, made: (Link, String), purpose: Purpose) -> Response {
    let (link, token) = made;
    let location = format!("/v1/links/{}", link.id);
    let path = linked::address(purpose, &token);
    let before = state.ports().public_url.as_deref();
    let body = NewLinkOut {
        link: link.into(),
        url: before.map(|before| format!("{before}{path}")),
        path,
    };
    let mut response = (StatusCode::CREATED, Json(body)).into_response();
    let headers = response.headers_mut();
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    if let Ok(location) = HeaderValue::try_from(location) {
        headers.insert(LOCATION, location);
    }
    response
}

/// Make a link to a quote
///
/// Scope `estimate`; `account` for links that are only read. The link opens one thing of an issued quote, without
/// a key: the `page` where the customer accepts or declines; the `total` as bare text, for a formula in a
/// cell; or the `document`, by `?format=`. Below the path of a total stand single figures: `/gross` (which the
/// path itself gives, too), `/net`, `/tax`, `/currency`, `/number`, `/revision`, `/state`, `/issued_on`,
/// `/valid_until`, `/accepted_on`, `/po_number`. The address is answered this once: only a hash of it is
/// kept, so the call is not replayed under an `Idempotency-Key`. Sent twice it makes two links; revoke the one you
/// do not need.
#[utoipa::path(post, path = "/v1/quotes/{number}/links", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001")),
    request_body(content = Option<LinkIn>, description = "May be left out.", example = json!({"label": "R. Ashdown"})),
    responses((status = 201, description = "The link.", body = NewLinkOut,
            headers(("Location" = String, description = "Where the link is kept; not what it opens."))),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "The revision is a draft.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn create_quote_link(
    MayEstimateOrAccount(caller): MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    OptionalJson(given): OptionalJson<LinkIn>,
) -> Result<Response, Problem> {
    let purpose = given.opens.unwrap_or(LinkOpens::Page).purpose();
    if !purpose.is_only_read() {
        caller.require(&[Scope::Estimate])?;
    }
    let new = NewLink {
        purpose,
        revision: given.revision.map(|revision| revision.get()),
        expires_on: given.expires_on,
        label: given.label.map(Text::into_string).unwrap_or_default(),
        made_by: caller.key_id(),
    };
    let made = state.app().create_quote_link(&number, &new).await?;
    Ok(created(&state, made, purpose))
}

/// Make a link to the totals
///
/// Scope `account`. The link opens the totals of all quotes as a sheet, without a key, for a spreadsheet that
/// links to it: CSV, or XLSX by `?format=xlsx`; `?state=`, `?changed_since=` and `?decimal=` as in
/// `/v1/quote-totals`, all rows at once, up to 20 000. The address is answered this once, as for a
/// link to a quote.
#[utoipa::path(post, path = "/v1/links", tag = "accounting",
    request_body(content = Option<TotalsLinkIn>, description = "May be left out.", example = json!({"label": "Month-end sheet"})),
    responses((status = 201, description = "The link.", body = NewLinkOut,
            headers(("Location" = String, description = "Where the link is kept; not what it opens.")))))]
pub async fn create_totals_link(
    MayAccount(caller): MayAccount,
    State(state): State<ApiState>,
    OptionalJson(given): OptionalJson<TotalsLinkIn>,
) -> Result<Response, Problem> {
    let new = NewLink {
        purpose: Purpose::Totals,
        revision: None,
        expires_on: given.expires_on,
        label: given.label.map(Text::into_string).unwrap_or_default(),
        made_by: caller.key_id(),
    };
    let made = state.app().create_totals_link(&new).await?;
    Ok(created(&state, made, Purpose::Totals))
}

/// All links
///
/// Scope `estimate` or `account`. In the order they were made, those that have ended, too.
#[utoipa::path(get, path = "/v1/links", tag = "accounting", params(LinksQuery),
    responses((status = 200, description = "A page of links.", body = Page<LinkOut>)))]
pub async fn list_links(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    uri: Uri,
    WireQuery(query): WireQuery<LinksQuery>,
) -> Result<Page<LinkOut>, Problem> {
    let after: Option<Uuid> = query.after.as_ref().map(Cursor::key).transpose()?;
    let limit = query.limit.unwrap_or_default().get();
    let listing = state.app().links(after, limit).await?;
    let next = match listing.links.last() {
        Some(last) if listing.more => Some(Cursor::of(&last.id)?),
        _ => None,
    };
    let items = listing.links.into_iter().map(LinkOut::from).collect();
    Ok(Page::new(items, next, &uri))
}

/// The links of a quote
///
/// Scope `estimate` or `account`. With what was done with each.
#[utoipa::path(get, path = "/v1/quotes/{number}/links", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001")),
    responses((status = 200, description = "The links.", body = LinksOut),
        (status = 404, description = "There is no such quote.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn list_quote_links(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
) -> Result<Json<LinksOut>, Problem> {
    let links = state.app().quote_links(&number).await?;
    Ok(Json(LinksOut {
        items: links.into_iter().map(LinkOut::from).collect(),
    }))
}

/// A link
///
/// Scope `estimate` or `account`. With what was done with it.
#[utoipa::path(get, path = "/v1/links/{id}", tag = "quotes",
    params(("id" = String, Path, format = "uuid", description = "Id of the link.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses((status = 200, description = "The link.", body = LinkOut),
        (status = 404, description = "There is no such link.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_link(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Json<LinkOut>, Problem> {
    Ok(Json(state.app().link(id).await?.into()))
}

/// Revoke a link
///
/// Scope `estimate`; `account` for links that are only read. From then on it opens nothing. A link that was
/// revoked before stays so.
#[utoipa::path(post, path = "/v1/links/{id}/revoke", tag = "quotes",
    params(("id" = String, Path, format = "uuid", description = "Id of the link.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses((status = 200, description = "The link.", body = LinkOut),
        (status = 404, description = "There is no such link.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn revoke_link(
    MayEstimateOrAccount(caller): MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Json<LinkOut>, Problem> {
    let may_answer = caller.may(Scope::Estimate);
    let link = state.app().revoke_link(id, may_answer).await?;
    Ok(Json(link.into()))
}
