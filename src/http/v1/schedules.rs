//! Schedules as sheets: checked, priced, and answered as the same sheet; or quoted.

mod answer;
mod blank;
mod cell;
mod columns;
mod quote;
mod read;

use axum::Json;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use uuid::Uuid;

use super::bulk::{MOST_MANIFOLDS, chosen_rules};
use super::forming_profiles::ProfileId;
use super::manifold::Named;
use super::sheet::{self, CsvForm};
use super::units::of_shop;
use crate::app::App;
use crate::app::estimates::{Choice, LoadedBooks};
use crate::http::auth::{MayEstimate, State};
use crate::http::idempotency::IdempotencyKey;
use crate::http::negotiate::{CSV, JSON, Negotiator, Offer, XLSX};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::rows::sheet_form;
use crate::http::wire::{DecimalMark, Faults, RawBody, Units, WireQuery, wire_enum, wire_query};
use crate::shop::settings;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;
use answer::ScheduleOut;

pub use blank::{__path_get_blank_schedule, get_blank_schedule};
pub use quote::{__path_quote_schedule, quote_schedule};

/// The forms a schedule may be sent in.
const SHEETS: &str = "text/csv, application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

wire_enum! {
    /// In what form a schedule is answered.
    pub enum ScheduleFormat {
        /// Comma-separated values, parted as they came.
        Csv = "csv",
        /// A spreadsheet workbook.
        Xlsx = "xlsx",
        /// Figures by row.
        Json = "json",
    }
}

wire_query! {
    /// What to price a schedule by, and how to answer.
    pub struct ScheduleQuery {
        /// The form; else `Accept` says it, and else it is the form that was sent.
        #[example = "csv"]
        format: Option<ScheduleFormat>,
        /// How numbers are written; else it is seen from the sheet: a comma only where columns are
        /// parted by semicolons or tabs and some number has one.
        #[example = "point"]
        decimal: Option<DecimalMark>,
        /// A price list by id; else the one in force.
        price_list: Option<Uuid>,
        /// A labour model by id; else the one in force.
        labour_model: Option<Uuid>,
        /// The day that prices and times must hold; else today.
        #[example = "2026-12-01"]
        on: Option<Date>,
        /// The rule set to judge by; else the usual one.
        #[example = "offtake-1"]
        rule_set: Option<Named<RuleSet>>,
        /// The forming profile to judge by; else the one called `shop`, else the built-in one.
        #[example = "built-in"]
        forming_profile: Option<ProfileId>,
        /// Units of masses; else the shop's.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

impl ScheduleQuery {
    fn choice(&self) -> Choice {
        Choice {
            price_list: self.price_list,
            labour_model: self.labour_model,
            on: self.on,
            rules: chosen_rules(self.rule_set.as_ref(), self.forming_profile.as_ref()),
        }
    }
}

/// Check and price a sheet
///
/// Scope `estimate`. A schedule as CSV or XLSX, answered as the same sheet, rows in the same order, with
/// verdict, stops, cautions, hours, cost, prices, mass, joints and faults beside each. One row for each
/// manifold; further rows of the same mark are outlet groups of it. Headings are read forgivingly, a unit
/// may stand in them (`Pitch (mm)`), columns that are not known are left alone. Columns may be parted by
/// commas, semicolons or tabs. A row that cannot be read or built never spoils the others. Up to 500
/// manifolds; a workbook of up to 64 MiB when inflated. Formulas count as what they last came to; nothing
/// in the answer is a formula. Nothing is stored.
#[utoipa::path(post, path = "/v1/schedules", tag = "estimates", params(ScheduleQuery, IdempotencyKey),
    request_body(description = "The sheet.", content(
        (String = "text/csv", example = json!("mark,quantity,service,pressure (psi),temperature (degF),build,run,second end,beyond (in),branch,outlets,first (in),pitch (in),stub (in)\r\nH-1,2,hydronic heating,75,180,formed outlets,b88-l-2,plain,4,b88-l-1,6,4,5,3\r\n")),
        (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 200, description = "The same sheet with its results, or figures by row.",
            content((ScheduleOut = "application/json"), (String = "text/csv"), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
        (status = 406, description = "None of CSV, XLSX and JSON is wanted.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "The heading lacks columns, or the shop has not entered what the prices need.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn price_schedule(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<ScheduleQuery>,
    body: RawBody,
) -> Result<Response, Problem> {
    body.expect(SHEETS)?;
    let sent = sheet_form(&body)?.unwrap_or(CSV);
    let other = if sent.is(XLSX) { CSV } else { XLSX };
    let asked = query.format.map(ScheduleFormat::as_str);
    let form = negotiator.asked(asked).choose(&[sent, other, JSON])?;
    let books = state.app().load_books(&query.choice()).await?;
    let app = state.app().clone();
    let job = move || answered(&app, (&body, sent), (form, &query), &books);
    state.heavy().run(job).await?
}

fn answered(
    app: &App,
    (body, sent): (&RawBody, Offer),
    (form, query): (Offer, &ScheduleQuery),
    books: &LoadedBooks,
) -> Result<Response, Problem> {
    let mut broken = Faults::new();
    let (lines, csv) = sheet::lines(sent, &body.bytes, &read::named, &mut broken)?;
    let mark = decimal_mark(query.decimal, &csv);
    let schedule = read::read((lines, broken), (mark, MOST_MANIFOLDS), app.catalogue())?;
    let readable = schedule.manifolds.iter();
    let manifolds: Vec<Manifold> = readable
        .filter_map(|scheduled| scheduled.manifold.clone())
        .collect();
    let estimated = app.estimate(&manifolds, books)?;
    let units = query.units.unwrap_or_else(|| of_shop(books.shop.units));
    if form.is(JSON) {
        let figures: ScheduleOut = answer::json(&schedule, (&estimated, books), units);
        return Ok(Json(figures).into_response());
    }
    let page = answer::page(&schedule, &estimated, units);
    let totals = answer::totals((&estimated, books));
    // A workbook has numbers, and shows them as its reader is used to.
    let csv = csv.with_decimals(mark == settings::DecimalMark::Comma);
    sheet::answer_pages(form, csv, vec![page, totals], "schedule")
}

/// How numbers are written: as asked for, else as the sheet shows.
fn decimal_mark(asked: Option<DecimalMark>, csv: &CsvForm) -> settings::DecimalMark {
    match asked {
        Some(mark) => mark.into(),
        None if csv.has_decimal_commas => settings::DecimalMark::Comma,
        None => settings::DecimalMark::Point,
    }
}
