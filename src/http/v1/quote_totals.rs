//! Totals of quotes for the books.

pub mod sheet;

use std::collections::BTreeMap;

use axum::Json;
use axum::http::header::LINK;
use axum::http::{HeaderValue, Uri};
use axum::response::{IntoResponse, Response};
use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

use super::quotes::QuoteState;
use crate::app::totals::{ChangeFilter, NumberedChange, PullFrom};
use crate::http::auth::{MayAccount, State};
use crate::http::negotiate::{CSV, JSON, Negotiator, XLSX};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{
    At, DecimalMark, Faults, FromWire, WireQuery, code, given, wire_enum, wire_query,
};
use crate::shop::quote::TaxLine;

wire_enum! {
    /// The form of a list.
    pub enum ListFormat {
        /// JSON.
        Json = "json",
        /// Comma-separated values.
        Csv = "csv",
        /// A spreadsheet workbook.
        Xlsx = "xlsx",
    }
}

/// An instant: whole seconds with `Z`, or a date, which means its first moment (UTC).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InstantIn(Timestamp);

impl InstantIn {
    /// The instant.
    pub const fn get(self) -> Timestamp {
        self.0
    }
}

impl FromWire for InstantIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let text = value.as_str().unwrap_or_default();
        let instant = text.parse::<Timestamp>().ok().or_else(|| {
            let date: jiff::civil::Date =
                (text.len() == 10).then(|| text.parse().ok()).flatten()?;
            jiff::tz::TimeZone::UTC
                .to_timestamp(date.at(0, 0, 0, 0))
                .ok()
        });
        if instant.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_A_DATE, detail);
        }
        instant.map(Self)
    }

    fn wanted() -> std::borrow::Cow<'static, str> {
        "an instant such as \"2026-11-01T00:00:00Z\", or a date such as \"2026-11-01\"".into()
    }

    fn schema() -> RefOr<Schema> {
        crate::http::wire::schema::of_type(utoipa::openapi::schema::Type::String).into()
    }
}

wire_query! {
    /// Which totals.
    pub struct TotalsQuery {
        /// Only what changed at that instant or later.
        #[example = "2026-11-01T00:00:00Z"]
        changed_since: Option<InstantIn>,
        /// Only revisions in this state.
        #[example = "accepted"]
        state: Option<QuoteState>,
        /// Only revisions issued on this day or later.
        #[example = "2026-01-01"]
        issued_from: Option<Date>,
        /// Only revisions issued on this day or earlier.
        #[example = "2099-12-31"]
        issued_to: Option<Date>,
        /// Only revisions accepted on this day or later.
        #[example = "2026-01-01"]
        accepted_from: Option<Date>,
        /// Only revisions accepted on this day or earlier.
        #[example = "2099-12-31"]
        accepted_to: Option<Date>,
        /// Items of a page.
        limit: Option<Limit>,
        /// Where to go on: the cursor of `next`, or `resume` of an earlier pull.
        after: Option<Cursor>,
        /// The form; else by `Accept`, and JSON when that does not mind.
        #[example = "json"]
        format: Option<ListFormat>,
        /// How numbers are written in CSV: a point, columns parted by commas, or a comma, columns parted by
        /// semicolons, as spreadsheets of many countries open it.
        #[example = "point"]
        decimal: Option<DecimalMark>,
    }
}

/// What a cursor of this list holds.
#[derive(Debug, Serialize, Deserialize)]
enum Place {
    /// In the middle of a pull: since, upto, after.
    #[serde(rename = "m")]
    Middle(i64, i64, i64),
    /// At the end of a pull.
    #[serde(rename = "e")]
    End(i64),
}

/// A quote's totals. Amounts are decimal texts in `currency`.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteTotal {
    /// Number of the quote.
    #[schema(example = "Q-2026-0001")]
    number: String,
    /// The revision.
    #[schema(example = 1)]
    revision: i64,
    /// Where it stands.
    #[schema(example = "accepted")]
    state: String,
    /// The customer's name.
    #[schema(example = "Harbour Heating")]
    customer: String,
    /// What it is for.
    #[schema(example = "Boiler room, east wing")]
    project: String,
    /// ISO 4217 code of the currency of all amounts.
    #[schema(example = "USD")]
    currency: String,
    /// Price without tax.
    #[schema(example = "1240.00", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    net: String,
    /// Tax.
    #[schema(example = "89.90", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    tax: String,
    /// Price with tax.
    #[schema(example = "1329.90", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    gross: String,
    /// The day it was issued.
    #[schema(format = "date", example = "2026-11-25")]
    issued_on: Option<String>,
    /// The day it was accepted.
    #[schema(format = "date", example = "2026-12-01")]
    accepted_on: Option<String>,
    /// The customer's order number.
    #[schema(example = "PO-771")]
    po_number: Option<String>,
    /// Net by cost head; these add up to net.
    #[schema(example = json!({"tube": "88.20", "labour": "310.00", "profit": "80.00"}))]
    heads: BTreeMap<String, String>,
    /// Each tax by its rate; their bases add up to net, their amounts to tax.
    taxes: Vec<TotalTax>,
    /// When it last changed, whole seconds.
    #[schema(format = "date-time", example = "2026-12-01T09:30:00Z")]
    changed_at: String,
}

/// One tax of a total.
#[derive(Debug, Serialize, ToSchema)]
pub struct TotalTax {
    /// What it is called.
    #[schema(example = "Sales tax")]
    name: String,
    /// Its rate in percent.
    #[schema(example = "7.25", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    rate: String,
    /// The part of net it is on.
    #[schema(example = "1240.00", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    base: String,
    /// What it comes to.
    #[schema(example = "89.90", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    amount: String,
}

/// A page of totals.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteTotals {
    /// Each revision once, as it stood when the pull began.
    items: Vec<QuoteTotal>,
    /// Address of the next page of this pull; `null` on the last one.
    #[schema(
        required,
        format = "uri-reference",
        example = "/v1/quote-totals?after=eyJtIjpbMCw0MiwzN119"
    )]
    next: Option<String>,
    /// Send this as `after` in the next pull, to get only what has changed since this one began.
    #[schema(value_type = String, example = "eyJlIjo0Mn0")]
    resume: Cursor,
}

/// Totals of quotes
///
/// Scope `account`. A pull shows the books as they stood when its first page was asked for: each
/// revision once, whatever changes meanwhile. Keep `resume` and send it as `after` next time:
/// nothing is missed and nothing comes twice. As a sheet by `Accept` or `?format=` (CSV or XLSX); there
/// `next` and `resume` stand in the `Link` field.
#[utoipa::path(get, path = "/v1/quote-totals", tag = "accounting", params(TotalsQuery),
    responses((status = 200, description = "A page of totals.", content(
        (QuoteTotals = "application/json"), (String = "text/csv"),
        (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")))))]
pub async fn list_quote_totals(
    _caller: MayAccount,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    uri: Uri,
    WireQuery(query): WireQuery<TotalsQuery>,
) -> Result<Response, Problem> {
    let asked = query.format.map(ListFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, CSV, XLSX])?;
    let from = match (&query.after, query.changed_since) {
        (Some(cursor), _) => match cursor.key()? {
            Place::Middle(since, upto, after) => PullFrom::Middle { since, upto, after },
            Place::End(since) => PullFrom::End(since),
        },
        (None, Some(instant)) => PullFrom::Instant(instant.get()),
        (None, None) => PullFrom::Beginning,
    };
    let state_wanted = query.state.map(|state| state.as_str().to_owned());
    let filter = ChangeFilter {
        states: state_wanted.into_iter().collect(),
        issued: (query.issued_from, query.issued_to),
        accepted: (query.accepted_from, query.accepted_to),
    };
    let limit = query.limit.unwrap_or_default().get();
    let page = state.app().quote_totals(from, filter, limit).await?;
    let next = match page.rows.last() {
        Some((last, _)) if page.more => {
            Some(Cursor::of(&Place::Middle(page.since, page.upto, last.seq))?)
        }
        _ => None,
    };
    let next = Page::<()>::new(Vec::new(), next, &uri).next;
    let resume = Cursor::of(&Place::End(page.upto))?;
    let mut response = if form.is(JSON) {
        let items = page.rows.iter().map(total).collect::<Result<_, _>>()?;
        Json(QuoteTotals {
            items,
            next: next.clone(),
            resume: resume.clone(),
        })
        .into_response()
    } else {
        sheet::answer(form, query.decimal, &page.rows)?
    };
    let resumed = Page::<()>::new(Vec::new(), Some(resume), &uri).next;
    for (address, relation) in [(next, "next"), (resumed, "monitor")] {
        let link = address
            .and_then(|at| HeaderValue::try_from(format!("<{at}>; rel=\"{relation}\"")).ok());
        if let Some(link) = link {
            response.headers_mut().append(LINK, link);
        }
    }
    Ok(response)
}

fn amounts(row: &NumberedChange) -> Result<BTreeMap<String, Decimal>, Problem> {
    serde_json::from_str(&row.change.heads).map_err(|error| Problem::internal(&error))
}

fn total((row, taxes): &(NumberedChange, Vec<TaxLine>)) -> Result<QuoteTotal, Problem> {
    let change = &row.change;
    Ok(QuoteTotal {
        number: change.number.clone(),
        revision: change.revision,
        state: change.state.clone(),
        customer: change.customer.clone(),
        project: change.project.clone(),
        currency: change.currency.clone(),
        net: change.net.to_string(),
        tax: change.tax.to_string(),
        gross: change.gross.to_string(),
        issued_on: change.issued_on.map(|day| day.to_string()),
        accepted_on: change.accepted_on.map(|day| day.to_string()),
        po_number: change.po_number.clone(),
        heads: amounts(row)?
            .into_iter()
            .map(|(head, amount)| (head, amount.to_string()))
            .collect(),
        taxes: taxes.iter().map(tax).collect(),
        changed_at: whole_seconds(change.at),
    })
}

fn tax(line: &TaxLine) -> TotalTax {
    TotalTax {
        name: line.name.clone(),
        rate: line.rate.number().normalize().to_string(),
        base: line.base.to_string(),
        amount: line.amount.to_string(),
    }
}

fn whole_seconds(instant: Timestamp) -> String {
    Timestamp::from_second(instant.as_second())
        .map_or_else(|_| instant.to_string(), |whole| whole.to_string())
}
