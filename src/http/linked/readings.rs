//! What spreadsheets and office programs read by a link: figures, papers, totals. A formula can send neither
//! a header nor credentials, so the secret is in the address, and the address opens one thing.

use axum::Router;
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, Method};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use jiff::civil::Date;

use crate::app::quotes::QuoteView;
use crate::app::totals::{ChangeFilter, PullFrom};
use crate::http::negotiate::{CSV, Negotiator, XLSX};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::v1::quote_totals::{InstantIn, sheet};
use crate::http::v1::quotes::{DocumentQuery, QuoteState, paper};
use crate::http::wire::{DecimalMark, Money, WireQuery, wire_enum, wire_query};

/// Figures of a quote, by the last part of their address.
const FIGURES: [&str; 11] = [
    "gross",
    "net",
    "tax",
    "currency",
    "number",
    "revision",
    "state",
    "issued_on",
    "valid_until",
    "accepted_on",
    "po_number",
];

wire_enum! {
    /// The form of totals that a link opens.
    pub enum LinkedForm {
        /// Comma-separated values.
        Csv = "csv",
        /// A spreadsheet workbook.
        Xlsx = "xlsx",
    }
}

wire_query! {
    /// Which totals.
    pub struct LinkedTotalsQuery {
        /// Only what changed at that instant or later.
        changed_since: Option<InstantIn>,
        /// Only revisions in this state.
        state: Option<QuoteState>,
        /// Only revisions issued on this day or later.
        issued_from: Option<Date>,
        /// Only revisions issued on this day or earlier.
        issued_to: Option<Date>,
        /// Only revisions accepted on this day or later.
        accepted_from: Option<Date>,
        /// Only revisions accepted on this day or earlier.
        accepted_to: Option<Date>,
        /// The form.
        format: Option<LinkedForm>,
        /// How numbers are written in CSV.
        decimal: Option<DecimalMark>,
    }
}

/// The addresses.
pub(super) fn routes() -> Router<ApiState> {
    Router::new()
        .route("/q/{token}/total", get(total))
        .route("/q/{token}/total/{figure}", get(figure))
        .route("/q/{token}/document", get(document))
        .route("/q/{token}/totals", get(totals))
}

async fn total(
    State(state): State<ApiState>,
    Path(token): Path<String>,
) -> Result<Response, Problem> {
    figure(State(state), Path((token, FIGURES[0].to_owned()))).await
}

async fn figure(
    State(state): State<ApiState>,
    Path((token, wanted)): Path<(String, String)>,
) -> Result<Response, Problem> {
    let view = state.app().linked_total(&token).await?;
    let text = figure_of(&view, &wanted).ok_or_else(|| {
        Problem::new(Slug::NotFound).with_detail(format!(
            "There is no such figure; the last part of the address may be {}.",
            FIGURES.join(", ")
        ))
    })?;
    let mut response = text.into_response();
    response.headers_mut().insert(
        CONTENT_TYPE,
        HeaderValue::from_static("text/plain; charset=utf-8"),
    );
    Ok(response)
}

/// A figure as bare text. Nothing follows it: a line end would keep a cell from being a number.
fn figure_of(view: &QuoteView, name: &str) -> Option<String> {
    let (revision, totals) = (&view.revision, view.totals());
    let money = |amount| Money::new(amount, &revision.currency).amount;
    let day = |day: Option<jiff::civil::Date>| day.map_or_else(String::new, |day| day.to_string());
    Some(match name {
        "gross" => money(totals.gross),
        "net" => money(totals.net),
        "tax" => money(totals.tax),
        "currency" => revision.currency.clone(),
        "number" => view.quote.number.clone(),
        "revision" => revision.revision.to_string(),
        "state" => view.state.word().to_owned(),
        "issued_on" => day(revision.issued_on),
        "valid_until" => day(revision.valid_until),
        "accepted_on" => day(revision.accepted_on),
        "po_number" => revision.po_number.clone().unwrap_or_default(),
        _ => return None,
    })
}

async fn document(
    State(state): State<ApiState>,
    method: Method,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<DocumentQuery>,
    Path(token): Path<String>,
) -> Result<Response, Problem> {
    let form = query.form(negotiator)?;
    let is_fetched = method == Method::GET;
    let view = state.app().linked_document(&token, is_fetched).await?;
    paper(&state, view, form).await
}

async fn totals(
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<LinkedTotalsQuery>,
    Path(token): Path<String>,
) -> Result<Response, Problem> {
    let asked = query.format.map(LinkedForm::as_str);
    let form = negotiator.asked(asked).choose(&[CSV, XLSX])?;
    let from = query.changed_since.map_or(PullFrom::Beginning, |instant| {
        PullFrom::Instant(instant.get())
    });
    let wanted = query.state.map(|state| state.as_str().to_owned());
    let filter = ChangeFilter {
        states: wanted.into_iter().collect(),
        issued: (query.issued_from, query.issued_to),
        accepted: (query.accepted_from, query.accepted_to),
    };
    let page = state.app().linked_totals(&token, from, filter).await?;
    sheet::answer(form, query.decimal, &page.rows)
}
