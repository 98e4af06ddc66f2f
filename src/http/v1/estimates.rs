//! Estimates of schedules. Nothing is stored.

use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

use super::bulk::{MOST_MANIFOLDS, UsedProfile, chosen_rules};
use super::derivation::Derivations;
use super::forming_profiles::ProfileId;
use super::manifold::{ManifoldIn, Named, resolve_each};
use super::priced::{HoursOut, PriceLineOut, TaxOut, UsedList};
use super::risk::PercentilesOut;
use super::words::{OperationWord, Word};
use crate::app::estimates::{Choice, EstimatedSchedule, LoadedBooks};
use crate::app::{App, AppError};
use crate::documents::risk_plot::risk_plot;
use crate::http::auth::{MayEstimate, State};
use crate::http::bulk::BulkSummary;
use crate::http::idempotency::IdempotencyKey;
use crate::http::negotiate::{JSON, Negotiator, SVG};
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{
    Each, Faults, Money, WireJson, WireQuery, wire_enum, wire_query, wire_struct,
};
use crate::shop::quote::ListReference;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;
use jiff::civil::Date;
use uuid::Uuid;

wire_struct! {
    /// A schedule to estimate.
    pub struct EstimateIn {
        /// 1 to 500 manifolds. One that cannot be read or built never spoils the rest.
        manifolds: Each<ManifoldIn, MOST_MANIFOLDS>,
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
    }
}

impl EstimateIn {
    /// Which prices, times and rules.
    pub fn choice(&self) -> Choice {
        Choice {
            price_list: self.price_list,
            labour_model: self.labour_model,
            on: self.on,
            rules: chosen_rules(self.rule_set.as_ref(), self.forming_profile.as_ref()),
        }
    }
}

/// One manifold of an estimate.
#[derive(Debug, Serialize, ToSchema)]
pub struct EstimateItem {
    /// Its place in the request, from 0.
    #[schema(example = 0)]
    index: usize,
    /// Its mark, where it could be read.
    #[schema(example = "H-1", nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    mark: Option<String>,
    /// How many.
    #[schema(example = 2, nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    quantity: Option<u32>,
    /// What the checks say: `buildable`, `buildable_with_cautions`, `not_buildable`.
    #[schema(value_type = String, example = "buildable", nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<&'static str>,
    /// Why it may not be built; it is then left out of the price.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    stops: Vec<String>,
    /// Hours for all of them with their share of set-ups, as a decimal text.
    #[schema(example = "3.52", nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    hours: Option<String>,
    /// The same by operation, in the order of the work.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    operations: Vec<ItemHours>,
    /// Direct cost of all of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    cost: Option<Money>,
    /// Price of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    unit_price: Option<Money>,
    /// Price of all; these add up to net.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    amount: Option<Money>,
    /// Why it could not be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    problem: Option<ProblemBody>,
}

/// What one manifold takes of an operation.
#[derive(Debug, Serialize, ToSchema)]
pub struct ItemHours {
    /// The operation.
    #[schema(example = "braze")]
    operation: OperationWord,
    /// Hours for all of them with their share of set-ups, as a decimal text.
    #[schema(example = "0.81")]
    hours: String,
}

/// A priced schedule.
#[derive(Debug, Serialize, ToSchema)]
pub struct EstimateOut {
    /// The rule set of the checks.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile that settled what can be drawn.
    forming_profile: UsedProfile,
    /// How many items went well.
    summary: BulkSummary,
    /// Every manifold, in the order of the request.
    items: Vec<EstimateItem>,
    /// The price build-up; amounts add up to net.
    lines: Vec<PriceLineOut>,
    /// Hours by operation.
    hours: Vec<HoursOut>,
    /// All hours, as a decimal text.
    #[schema(example = "7.04")]
    total_hours: String,
    /// Price without tax.
    net: Money,
    /// The tax and its rate.
    #[schema(example = "Sales tax 7.25 %")]
    tax_text: String,
    /// All tax.
    tax: Money,
    /// Each tax by itself.
    taxes: Vec<TaxOut>,
    /// Price with tax.
    gross: Money,
    /// What net may become as hours vary.
    percentiles: PercentilesOut,
    /// The price list used.
    price_list: UsedList,
    /// The labour model used.
    labour_model: UsedList,
    /// What the estimate rests on that you should know: invented or guessed times, stand-ins.
    #[schema(example = json!(["Times for braze joints rest on opinion, not on measured or booked hours."]))]
    remarks: Vec<String>,
    /// How every amount came about, when `explain` asks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    derivations: Option<Derivations>,
}

/// The problem of an item that cannot be read.
pub fn item_problem(faults: Faults) -> ProblemBody {
    Problem::new(Slug::InvalidBody).with_faults(faults).body()
}

wire_enum! {
    /// In what form an estimate is answered.
    pub enum EstimateFormat {
        /// Figures.
        Json = "json",
        /// A picture of its risk.
        Svg = "svg",
    }
}

wire_query! {
    /// In what form.
    pub struct EstimateQuery {
        /// The form; else `Accept` says it.
        #[example = "json"]
        format: Option<EstimateFormat>,
        /// With `true`, `derivations` says how every amount came about, down to what was given.
        #[example = true]
        explain: Option<bool>,
    }
}

/// Estimate a schedule
///
/// Scope `estimate`. Nothing is stored. Prices and times are those in force on the day. What the
/// shop has not entered yet (prices, operation times, its crew rate) is named all at once. By
/// `?format=svg` or `Accept: image/svg+xml` what the price may become, as a picture. By
/// `?explain=true` every amount comes with its derivation, as a tree down to what was given.
#[utoipa::path(post, path = "/v1/estimates", tag = "estimates", params(EstimateQuery, IdempotencyKey),
    request_body(content = EstimateIn, example = json!({"manifolds": [{
        "mark": "H-1", "quantity": 2, "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}]})),
    responses((status = 200, description = "The priced schedule, or the picture of its risk.",
        content((EstimateOut = "application/json"), (String = "image/svg+xml")))))]
pub async fn create_estimate(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<EstimateQuery>,
    WireJson(request): WireJson<EstimateIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(EstimateFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG])?;
    on_schedule(&state, request, move |app, read, books| {
        let manifolds = readable(&read);
        let estimated = app.estimate(&manifolds, books)?;
        if form.is(SVG) {
            let picture = risk_plot(&estimated.estimate.totals, &estimated.percentiles);
            return Ok(([(CONTENT_TYPE, SVG.media)], picture).into_response());
        }
        let explains = query.explain == Some(true);
        let explanation = explains.then(|| app.explain(&manifolds, &estimated, books));
        let mut answer = answer(read, &estimated, books);
        answer.derivations = explanation.map(Derivations::from);
        Ok(Json(answer).into_response())
    })
    .await
}

/// Manifolds of a bulk call, each read or with its faults.
pub type ReadManifolds = Vec<Result<Manifold, Faults>>;

/// The manifolds that could be read.
pub fn readable(read: &ReadManifolds) -> Vec<Manifold> {
    let good = read.iter().filter_map(|item| item.as_ref().ok());
    good.cloned().collect()
}

/// Loads the books and does the job off the serving threads.
///
/// # Errors
/// Whatever loading and the job meet.
pub async fn on_schedule<T: Send + 'static>(
    state: &ApiState,
    request: EstimateIn,
    job: impl FnOnce(&App, ReadManifolds, &LoadedBooks) -> Result<T, AppError> + Send + 'static,
) -> Result<T, Problem> {
    let app = state.app().clone();
    let books = app.load_books(&request.choice()).await?;
    let read = resolve_each(request.manifolds, app.catalogue());
    Ok(state.heavy().run(move || job(&app, read, &books)).await??)
}

fn answer(read: ReadManifolds, estimated: &EstimatedSchedule, books: &LoadedBooks) -> EstimateOut {
    let totals = &estimated.estimate.totals;
    let currency = totals.currency;
    let money = |amount| Money::new(amount, currency.code());
    let items = items(read, estimated);
    let ok = items.iter().filter(|item| item.amount.is_some()).count();
    EstimateOut {
        rule_set: books.rules.name.to_owned(),
        forming_profile: (&books.rules.forming).into(),
        summary: BulkSummary {
            ok,
            failed: items.len() - ok,
        },
        items,
        lines: estimated
            .estimate
            .lines
            .iter()
            .map(|line| PriceLineOut::of(line, currency))
            .collect(),
        hours: estimated
            .estimate
            .hours
            .iter()
            .map(HoursOut::from)
            .collect(),
        total_hours: estimated.estimate.total_hours().normalize().to_string(),
        net: money(totals.net),
        tax_text: totals.tax_text.clone(),
        tax: money(totals.tax),
        taxes: totals
            .taxes
            .iter()
            .map(|tax| TaxOut::of(tax, currency))
            .collect(),
        gross: money(totals.gross),
        percentiles: PercentilesOut::of(&estimated.percentiles, currency),
        price_list: used(
            &books.prices.id,
            &books.prices.name,
            books.prices.effective_on,
        ),
        labour_model: used(
            &books.labour.id,
            &books.labour.name,
            books.labour.effective_on,
        ),
        remarks: estimated
            .estimate
            .remarks
            .iter()
            .map(|remark| remark.text.clone())
            .collect(),
        derivations: None,
    }
}

fn items(read: Vec<Result<Manifold, Faults>>, estimated: &EstimatedSchedule) -> Vec<EstimateItem> {
    let mut good = 0..;
    let item = |(index, item): (usize, Result<Manifold, Faults>)| match item {
        Ok(manifold) => priced_item(index, &manifold, good.next().unwrap_or_default(), estimated),
        Err(faults) => EstimateItem {
            problem: Some(item_problem(faults)),
            ..empty(index)
        },
    };
    read.into_iter().enumerate().map(item).collect()
}

/// A list as it is named in an answer.
pub fn used(id: &str, name: &str, effective_on: Date) -> UsedList {
    UsedList::from(&ListReference {
        id: id.to_owned(),
        name: name.to_owned(),
        effective_on,
    })
}

fn empty(index: usize) -> EstimateItem {
    EstimateItem {
        index,
        mark: None,
        quantity: None,
        verdict: None,
        stops: Vec::new(),
        hours: None,
        operations: Vec::new(),
        cost: None,
        unit_price: None,
        amount: None,
        problem: None,
    }
}

fn priced_item(
    index: usize,
    manifold: &Manifold,
    place: usize,
    estimated: &EstimatedSchedule,
) -> EstimateItem {
    let checked = &estimated.checked[place];
    let currency = estimated.estimate.totals.currency;
    let money = |amount| Some(Money::new(amount, currency.code()));
    let described = EstimateItem {
        mark: Some(manifold.mark.clone()),
        quantity: Some(manifold.quantity),
        verdict: Some(checked.verdict.word()),
        stops: checked
            .stops()
            .map(|stop| format!("{}: {}", stop.rule.name(), stop.detail))
            .collect(),
        ..empty(index)
    };
    match estimated.places[place].map(|priced| &estimated.estimate.items[priced]) {
        None => described,
        Some(item) => EstimateItem {
            hours: Some(item.hours.to_string()),
            operations: item
                .operations
                .iter()
                .map(|(operation, hours)| ItemHours {
                    operation: Word(*operation),
                    hours: hours.to_string(),
                })
                .collect(),
            cost: money(item.cost),
            unit_price: money(item.unit_price),
            amount: money(item.amount),
            ..described
        },
    }
}
