//! A quote from a sheet.

use axum::response::Response;
use jiff::civil::Date;
use serde_json::{Map, Value, json};
use uuid::Uuid;

use super::read::{self, Schedule};
use super::{SHEETS, decimal_mark};
use crate::http::auth::{MayEstimate, State};
use crate::http::idempotency::IdempotencyKey;
use crate::http::negotiate::CSV;
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::v1::bulk::MOST_MANIFOLDS;
use crate::http::v1::forming_profiles::ProfileId;
use crate::http::v1::manifold::Named;
use crate::http::v1::quotes::{PresentationName, QuoteIn, QuoteOut, created, freeze, tried};
use crate::http::v1::rows::sheet_form;
use crate::http::v1::sheet;
use crate::http::wire::{
    At, DecimalMark, Faults, FromWire as _, RawBody, Text, WireQuery, wire_query,
};
use crate::trade::rule_set::RuleSet;

wire_query! {
    /// Whom a sheet is quoted to, what for, and what it is priced by.
    pub struct QuoteSheetQuery {
        /// Whom it goes to: a name, or the id of a customer that the shop keeps.
        #[example = "Harbour Heating"]
        customer: Text<200>,
        /// What it is for.
        #[example = "Boiler room, east wing"]
        project: Text<200>,
        /// A note to the customer.
        #[example = "Delivery in two weeks from your order."]
        note: Option<Text<4_000>>,
        /// How the customer's papers show the price; itemised when not given.
        #[example = "itemised"]
        presentation: Option<PresentationName>,
        /// Last day the quote stands; else the shop's usual number of days from the day of issue.
        #[example = "2099-12-31"]
        valid_until: Option<Date>,
        /// How numbers are written; else it is seen from the sheet.
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
        /// With `true`, only says what would be stored: the same faults, and nothing stored.
        #[example = false]
        validate_only: Option<bool>,
    }
}

impl QuoteSheetQuery {
    /// The request that these parameters and a schedule stand for.
    fn request(&self, schedule: &Schedule) -> Result<QuoteIn, Problem> {
        let customer = self.customer.as_str().trim();
        let customer = match customer.parse::<Uuid>() {
            Ok(id) => json!(id),
            Err(_) => json!({"name": customer}),
        };
        let manifolds = schedule.manifolds.iter();
        let manifolds: Vec<&Value> = manifolds.map(|scheduled| &scheduled.request).collect();
        let mut request = Map::new();
        for (field, value) in [
            ("customer", customer),
            ("project", json!(self.project.as_str())),
            ("manifolds", json!(manifolds)),
            ("note", json!(self.note)),
            ("presentation", json!(self.presentation)),
            ("valid_until", json!(self.valid_until)),
            ("price_list", json!(self.price_list)),
            ("labour_model", json!(self.labour_model)),
            ("on", json!(self.on)),
            ("rule_set", json!(self.rule_set)),
            ("forming_profile", json!(self.forming_profile)),
        ] {
            if !value.is_null() {
                request.insert(field.to_owned(), value);
            }
        }
        let mut faults = Faults::new();
        QuoteIn::read(&Value::Object(request), &At::BODY, &mut faults)
            .ok_or_else(|| Problem::new(Slug::InvalidBody).with_faults(faults))
    }
}

/// Quote a sheet
///
/// Scope `estimate`. A schedule as CSV or XLSX, as `/v1/schedules` reads it, written as a draft quote with the
/// next number: what the sheet comes to there is what is quoted here. All of it or none: a fault in any cell,
/// or a manifold that may not be built, and nothing is stored; `errors` names the row and the column. Send
/// an `Idempotency-Key` such as the name of the job, and pressing the button twice makes one quote.
#[utoipa::path(post, path = "/v1/schedules/quotes", tag = "quotes", params(QuoteSheetQuery, IdempotencyKey),
    request_body(description = "The sheet.", content(
        (String = "text/csv", example = json!("mark,quantity,service,pressure (psi),temperature (degF),build,run,second end,beyond (in),branch,outlets,first (in),pitch (in),stub (in)\r\nH-1,2,hydronic heating,75,180,formed outlets,b88-l-2,plain,4,b88-l-1,6,4,5,3\r\n")),
        (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 201, description = "The draft.", body = QuoteOut,
            headers(("Location" = String, description = "Address of the quote."), ("ETag" = String, description = "Its version."))),
        (status = 200, description = "With `validate_only`: what would be stored.", body = QuoteOut),
        (status = 422, description = "A cell has a fault, a manifold may not be built, or the shop has not entered what the prices need.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn quote_schedule(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<QuoteSheetQuery>,
    body: RawBody,
) -> Result<Response, Problem> {
    body.expect(SHEETS)?;
    let form = sheet_form(&body)?.unwrap_or(CSV);
    let (app, decimal) = (state.app().clone(), query.decimal);
    let read = move || -> Result<Schedule, Problem> {
        let mut broken = Faults::new();
        let (lines, csv) = sheet::lines(form, &body.bytes, &read::named, &mut broken)?;
        let mark = decimal_mark(decimal, &csv);
        read::read((lines, broken), (mark, MOST_MANIFOLDS), app.catalogue())
    };
    let schedule = state.heavy().run(read).await??;
    if !schedule.faults.is_empty() {
        let faults = schedule.faults.into_iter().collect();
        return Err(Problem::new(Slug::InvalidBody).with_faults(faults));
    }
    let request = query.request(&schedule)?;
    let frozen = freeze(&state, request)
        .await
        .map_err(|problem| problem.map_faults(|fault| schedule.placed(fault)))?;
    if query.validate_only == Some(true) {
        return tried(&state.app().preview_quote(frozen)?);
    }
    created(&state.app().create_quote(&frozen).await?)
}
