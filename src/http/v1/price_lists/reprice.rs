//! What open quotes would cost on another price list.

use axum::http::Uri;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use crate::app::quotes::{QuoteQuery, QuoteSummary};
use crate::http::auth::{MayEstimate, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::quotes::same_request;
use crate::http::wire::{Money, WirePath, WireQuery, wire_enum, wire_query};
use crate::shop::money::Currency;
use crate::shop::price_list::PriceList;
use crate::shop::reprice::Repriced;

wire_enum! {
    /// Which quotes are still open.
    pub enum OpenState {
        /// With the customer.
        Issued = "issued",
        /// Being written.
        Draft = "draft",
    }
}

wire_query! {
    /// Which open quotes.
    pub struct RepriceQuery {
        /// Quotes whose current revision is in this state; those with the customer when not given.
        #[example = "issued"]
        state: Option<OpenState>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

/// What a quote comes to on another list; no amount holds tax.
#[derive(Debug, Serialize, ToSchema)]
pub struct RepricedFigures {
    /// Net price as quoted.
    net: Money,
    /// Cost as quoted: material, labour, equipment, overhead, contingency.
    cost: Money,
    /// Net price that would be quoted on this list.
    net_now: Money,
    /// Cost on this list.
    cost_now: Money,
    /// What is left of the price that was quoted once the cost of this list is paid.
    left: Money,
    /// Whether nothing is left: whoever takes the quote is paid to.
    #[schema(example = false)]
    loses_money: bool,
}

impl RepricedFigures {
    fn of(found: &Repriced, currency: Currency) -> Self {
        let sum = |amount| Money::new(amount, currency.code());
        Self {
            net: sum(found.quoted),
            cost: sum(found.cost_then),
            net_now: sum(found.price_now),
            cost_now: sum(found.cost_now),
            left: sum(found.left()),
            loses_money: found.loses_money(),
        }
    }
}

/// An open quote held against a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct RepricedQuote {
    /// Its number.
    #[schema(example = "Q-2026-0001")]
    number: String,
    /// Its current revision.
    #[schema(example = 1)]
    revision: i64,
    /// Who it goes to.
    #[schema(example = "Harbour Heating")]
    customer: String,
    /// The project.
    #[schema(example = "Boiler room, east wing")]
    project: String,
    /// What it comes to; `null` where `problem` says why that cannot be said.
    repriced: Option<RepricedFigures>,
    /// Why it cannot be held against the list: a price that is not there, and the like.
    problem: Option<ProblemBody>,
}

/// Hold open quotes against a price list
///
/// Scope `estimate`. What each open quote would cost and be quoted at on this list, with the same
/// shop settings, times and rules it was made with, and whether the price that was quoted still
/// pays for it. Oldest first. Nothing is stored, and no quote changes.
#[utoipa::path(get, path = "/v1/price-lists/{id}/reprice", tag = "estimates",
    params(RepriceQuery, ("id" = String, Path, format = "uuid", description = "Id of the price list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "A page of open quotes.", body = Page<RepricedQuote>),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn reprice_open_quotes(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    uri: Uri,
    WireQuery(query): WireQuery<RepriceQuery>,
) -> Result<Page<RepricedQuote>, Problem> {
    let prices = state.app().prices_of(id).await?;
    let after: Option<Uuid> = query.after.as_ref().map(Cursor::key).transpose()?;
    let open = query.state.unwrap_or(OpenState::Issued);
    let listing = state
        .app()
        .quotes(QuoteQuery {
            state: Some(open.as_str().to_owned()),
            after,
            limit: query.limit.unwrap_or_default().get(),
            ..QuoteQuery::default()
        })
        .await?;
    let next = match listing.quotes.last() {
        Some(last) if listing.more => Some(Cursor::of(&last.id)?),
        _ => None,
    };
    let mut items = Vec::with_capacity(listing.quotes.len());
    for quote in listing.quotes {
        items.push(held_against(&state, quote, &prices).await?);
    }
    Ok(Page::new(items, next, &uri))
}

async fn held_against(
    state: &ApiState,
    quote: QuoteSummary,
    prices: &PriceList,
) -> Result<RepricedQuote, Problem> {
    let found = repriced(state, &quote, prices).await;
    let (repriced, problem) = match found {
        Ok(found) => (Some(RepricedFigures::of(&found, prices.currency)), None),
        // What is wrong with the server is no answer about a quote.
        Err(problem) if problem.status().is_server_error() => return Err(problem),
        Err(problem) => (None, Some(problem.body())),
    };
    Ok(RepricedQuote {
        number: quote.number,
        revision: quote.revision,
        customer: quote.customer,
        project: quote.project,
        repriced,
        problem,
    })
}

async fn repriced(
    state: &ApiState,
    quote: &QuoteSummary,
    prices: &PriceList,
) -> Result<Repriced, Problem> {
    let app = state.app().clone();
    let view = app.quote_revision(&quote.number, quote.revision).await?;
    let request = same_request(&view)?.resolve(app.catalogue())?;
    let books = app.books_as_quoted(&view.record, prices).await?;
    let job = move || app.reprice(&view, &request.manifolds, &books);
    Ok(state.heavy().run(job).await??)
}
