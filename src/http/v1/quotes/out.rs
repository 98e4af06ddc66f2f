//! Quotes in answers.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::offered::{OptionOut, OrderedOut, taxes, texts};
use crate::app::quotes::{QuoteSummary, QuoteView};
use crate::http::etag::Etag;
use crate::http::problem::Problem;
use crate::http::v1::bulk::UsedProfile;
use crate::http::v1::priced::{HoursOut, PriceLineOut, TaxOut, UsedList};
use crate::http::wire::Money;
use crate::shop::estimate::heads;
use crate::shop::quote::{Customer, OfferedManifold};

/// Whom a quote goes to.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuotedCustomer {
    /// Name of the firm or person.
    #[schema(example = "Harbour Heating")]
    name: String,
    /// Who is addressed; empty when not given.
    #[schema(example = "Jo Tiller")]
    contact: String,
    /// Address, a line each.
    #[schema(example = json!(["4 Quay Street", "Millport"]))]
    address: Vec<String>,
    /// Email; empty when not given.
    #[schema(example = "jo@example.com")]
    email: String,
}

impl From<&Customer> for QuotedCustomer {
    fn from(customer: &Customer) -> Self {
        Self {
            name: customer.name.clone(),
            contact: customer.contact.clone(),
            address: customer.address.clone(),
            email: customer.email.clone(),
        }
    }
}

/// A fact about a quoted manifold.
#[derive(Debug, Serialize, ToSchema)]
pub struct Particular {
    /// What.
    #[schema(example = "Run")]
    name: String,
    /// How much, or which.
    #[schema(example = "2 in type L, drawn, 33 in")]
    value: String,
}

/// A manifold as quoted, without its price.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuotedManifoldOut {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// How many.
    #[schema(example = 2)]
    quantity: u32,
    /// How it is made.
    #[schema(example = "formed_outlets")]
    build: String,
    /// What is offered, in words.
    description: String,
    /// Facts beside the drawing.
    particulars: Vec<Particular>,
    /// Cautions that go with it.
    cautions: Vec<String>,
}

impl From<&OfferedManifold> for QuotedManifoldOut {
    fn from(manifold: &OfferedManifold) -> Self {
        Self {
            mark: manifold.mark.clone(),
            quantity: manifold.quantity,
            build: manifold.build.clone(),
            description: manifold.description.clone(),
            particulars: manifold
                .particulars
                .iter()
                .map(|(name, value)| Particular {
                    name: name.clone(),
                    value: value.clone(),
                })
                .collect(),
            cautions: manifold.cautions.clone(),
        }
    }
}

/// A revision of a quote, with everything it froze.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteOut {
    /// Its number; empty for a quote that was only tried.
    #[schema(example = "Q-2026-0001")]
    number: String,
    /// Which revision.
    #[schema(example = 1)]
    revision: i64,
    /// The revision that is current.
    #[schema(example = 1)]
    current_revision: i64,
    /// Where it stands today: `draft`, `issued`, `accepted`, `declined`, `withdrawn`, `expired`, `superseded`.
    #[schema(value_type = String, example = "draft")]
    state: &'static str,
    /// The moves that are open from there.
    #[schema(value_type = Vec<String>, example = json!(["issue", "withdraw"]))]
    moves: Vec<&'static str>,
    /// The version, as the `ETag` field has it.
    #[schema(example = "\"q3b5J0m3bqk0eE7mVnJt6g\"")]
    etag: String,
    /// Whom it goes to.
    customer: QuotedCustomer,
    /// What it is for.
    #[schema(example = "Boiler room, east wing")]
    project: String,
    /// A note to the customer.
    note: String,
    /// The day it was issued.
    #[schema(format = "date", example = "2026-11-25")]
    issued_on: Option<String>,
    /// Its last day.
    #[schema(format = "date", example = "2026-12-25")]
    valid_until: Option<String>,
    /// The day it was accepted.
    #[schema(format = "date", example = "2026-12-01")]
    accepted_on: Option<String>,
    /// Who accepted it.
    #[schema(example = "Jo Tiller")]
    accepted_by: Option<String>,
    /// The customer's order number.
    #[schema(example = "PO-771")]
    po_number: Option<String>,
    /// Why it was declined or withdrawn.
    reason: Option<String>,
    /// How the customer's papers show the price: `itemised` or `lump_sum`.
    #[schema(value_type = String, example = "itemised")]
    presentation: &'static str,
    /// Price without tax, as offered.
    net: Money,
    /// The tax and its rate.
    #[schema(example = "Sales tax 7.25 %")]
    tax_text: String,
    /// All tax.
    tax: Money,
    /// Each tax by itself.
    taxes: Vec<TaxOut>,
    /// Price with tax, as offered.
    gross: Money,
    /// The priced schedule; amounts add up to net.
    lines: Vec<PriceLineOut>,
    /// How the price is built up, for the shop's own eyes; amounts add up to net.
    build_up: Vec<PriceLineOut>,
    /// Amounts by cost head, as decimal texts; they add up to net.
    #[schema(example = json!({"tube": "88.20", "labour": "310.00", "profit": "80.00"}))]
    heads: BTreeMap<String, String>,
    /// Hours by operation.
    hours: Vec<HoursOut>,
    /// The schedule in words.
    manifolds: Vec<QuotedManifoldOut>,
    /// What may be ordered otherwise or beside it; in no total of the offer.
    options: Vec<OptionOut>,
    /// What was ordered, once it is accepted: the totals above with those of the options that were taken.
    ordered: Option<OrderedOut>,
    /// What the price rests on that the reader should know.
    remarks: Vec<String>,
    /// The rule set of the checks.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile of the checks; absent in quotes that were made before there were any.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    forming_profile: Option<UsedProfile>,
    /// The price list used.
    price_list: UsedList,
    /// The labour model used.
    labour_model: UsedList,
    /// The request it was made from.
    #[schema(value_type = Object)]
    request: Value,
}

impl QuoteOut {
    /// From a revision as it stands today.
    ///
    /// # Errors
    /// 500 when the stored request is no JSON.
    pub fn of(view: &QuoteView, etag: &Etag) -> Result<Self, Problem> {
        let (record, revision) = (&view.record, &view.revision);
        let currency = record.totals.currency;
        let money = |amount| Money::new(amount, currency.code());
        let day = |day: Option<jiff::civil::Date>| day.map(|day| day.to_string());
        Ok(Self {
            number: view.quote.number.clone(),
            revision: revision.revision,
            current_revision: view.quote.current_revision,
            state: view.state.word(),
            moves: view.moves().iter().map(|open| open.verb()).collect(),
            etag: etag.as_str().to_owned(),
            customer: QuotedCustomer::from(&record.customer),
            project: record.project.clone(),
            note: record.note.clone(),
            issued_on: day(revision.issued_on),
            valid_until: day(revision.valid_until),
            accepted_on: day(revision.accepted_on),
            accepted_by: revision.accepted_by.clone(),
            po_number: revision.po_number.clone(),
            reason: revision.reason.clone(),
            presentation: record.presentation.word(),
            net: money(record.totals.net),
            tax_text: record.totals.tax_text.clone(),
            tax: money(record.totals.tax),
            taxes: taxes(&record.taxes(), currency),
            gross: money(record.totals.gross),
            lines: record
                .manifolds
                .iter()
                .map(|line| PriceLineOut::of_manifold(line, currency))
                .collect(),
            build_up: record
                .build_up
                .iter()
                .map(|line| PriceLineOut::of(line, currency))
                .collect(),
            heads: texts(&heads(&record.build_up)),
            hours: record.hours.iter().map(HoursOut::from).collect(),
            manifolds: record
                .manifolds
                .iter()
                .map(|made| QuotedManifoldOut::from(&made.offered))
                .collect(),
            options: record
                .options
                .iter()
                .map(|option| OptionOut::of(option, currency))
                .collect(),
            ordered: view.ordered.as_ref().map(OrderedOut::from),
            remarks: record.remarks.clone(),
            rule_set: record.rule_set.clone(),
            forming_profile: record.forming_profile.as_ref().map(UsedProfile::from),
            price_list: UsedList::from(&record.price_list),
            labour_model: UsedList::from(&record.labour_model),
            request: serde_json::from_str(&record.request)
                .map_err(|error| Problem::internal(&error))?,
        })
    }
}

/// A quote in a list, with its current revision.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteSummaryOut {
    /// Its number.
    #[schema(example = "Q-2026-0001")]
    number: String,
    /// The current revision.
    #[schema(example = 1)]
    revision: i64,
    /// Where it stands.
    #[schema(example = "issued")]
    state: String,
    /// The customer's name.
    #[schema(example = "Harbour Heating")]
    customer: String,
    /// What it is for.
    #[schema(example = "Boiler room, east wing")]
    project: String,
    /// Price without tax, as offered.
    net: Money,
    /// Tax, as offered.
    tax: Money,
    /// Price with tax, as offered; what was ordered stands in the quote and in the totals for the books.
    gross: Money,
    /// The day it was issued.
    #[schema(format = "date", example = "2026-11-25")]
    issued_on: Option<String>,
    /// Its last day.
    #[schema(format = "date", example = "2026-12-25")]
    valid_until: Option<String>,
}

impl From<QuoteSummary> for QuoteSummaryOut {
    fn from(summary: QuoteSummary) -> Self {
        let money = |amount| Money::new(amount, summary.currency.clone());
        Self {
            net: money(summary.net),
            tax: money(summary.tax),
            gross: money(summary.gross),
            number: summary.number,
            revision: summary.revision,
            state: summary.state,
            customer: summary.customer,
            project: summary.project,
            issued_on: summary.issued_on.map(|day| day.to_string()),
            valid_until: summary.valid_until.map(|day| day.to_string()),
        }
    }
}
