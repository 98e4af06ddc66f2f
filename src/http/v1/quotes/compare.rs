//! Quotes held against each other, and made from each other.

use axum::Json;
use axum::response::Response;
use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;

use super::out::QuoteOut;
use super::request::{CustomerChoice, OptionIn, PresentationName, QuoteIn};
use super::{created, freeze, same_request, tried};
use crate::app::quotes::QuoteView;
use crate::http::auth::{MayEstimate, MayEstimateOrAccount, State};
use crate::http::idempotency::IdempotencyKey;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::kept::TrialQuery;
use crate::http::wire::{
    List, Money, OptionalJson, Text, Whole, WirePath, WireQuery, wire_query, wire_struct,
};
use crate::shop::quote::{Asked, Change, Revised, changes};
use crate::trade::catalogue::Catalogue;

wire_struct! {
    /// What is to be otherwise in the copy.
    #[example = {"customer": {"name": "Millport Plumbing"}, "project": "Boiler room, south"}]
    pub struct CopyIn {
        /// Whom it goes to; as before when not given.
        customer: Option<CustomerChoice>,
        /// What it is for; as before when not given.
        #[example = "Boiler room, south"]
        project: Option<Text<200>>,
        /// What may be ordered otherwise or beside the schedule; as before when not given.
        options: Option<List<OptionIn, 20, 0>>,
        /// How the customer's papers show the price; as before when not given.
        #[example = "itemised"]
        presentation: Option<PresentationName>,
        /// Which revision is copied; the current one when not given.
        #[example = 1]
        revision: Option<Whole<1, 100_000>>,
    }
}

wire_query! {
    /// Against which revision.
    pub struct ChangesQuery {
        /// The revision it is held against; the one before when not given.
        #[example = 1]
        since: Option<Whole<1, 100_000>>,
    }
}

/// One thing that changed.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChangeOut {
    /// What: `customer`, `customer_contact`, `customer_address`, `customer_email`, `project`, `note`, `valid_until`,
    /// `manifold`, `quantity`, `description`, `particular`, `unit_price`,
    /// `option`, `instead_of`, `mark`, `option_price`, `presentation`,
    /// `inclusions`, `exclusions`, `terms`, `tax`, `price_list`, `labour_model`, `rule_set` or `forming_profile`. Where
    /// neither description nor particulars say it, also what was asked of the manifold: `service`, `design_pressure`,
    /// `design_temperature`, `build`, `run_tube`, `run_temper`, `run_length`, `ends`, `ends_join`, `filler`,
    /// `filler_wire`, `conditions`, `supply`; `outlets`, added or taken out; and of outlets `outlet_tube`,
    /// `outlet_station`, `outlet_clock`, `outlet_stub`, `outlet_flow`, `outlet_feeds`, `outlet_loss_factor`,
    /// `outlet_pilot`, `outlet_collar_height`, `outlet_joins`.
    #[schema(example = "quantity")]
    what: &'static str,
    /// The mark of the manifold it is of.
    #[schema(example = "H-1")]
    mark: Option<String>,
    /// The name of the option it is of.
    #[schema(example = "Built up from tees")]
    option: Option<String>,
    /// The outlets it is of, counted from the first end.
    #[schema(example = "1 to 6")]
    outlets: Option<String>,
    /// What it was; null for what is new.
    #[schema(example = "2")]
    before: Option<String>,
    /// What it is; null for what is gone.
    #[schema(example = "3")]
    after: Option<String>,
    /// In words.
    #[schema(example = "H-1: quantity was 2, is 3")]
    text: String,
}

impl From<Change> for ChangeOut {
    fn from(change: Change) -> Self {
        Self {
            text: change.text(),
            what: change.what,
            mark: change.mark,
            option: change.option,
            outlets: change.outlets,
            before: change.before,
            after: change.after,
        }
    }
}

/// A total before and after.
#[derive(Debug, Serialize, ToSchema)]
pub struct TotalChange {
    /// What it was.
    before: Money,
    /// What it is.
    after: Money,
    /// By how much it rose; null when the currencies differ.
    difference: Option<Money>,
}

/// What changed from one revision to another.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteChangesOut {
    /// Number of the quote.
    #[schema(example = "Q-2026-0001")]
    number: String,
    /// The revision it is held against.
    #[schema(example = 1)]
    since: i64,
    /// The revision.
    #[schema(example = 2)]
    revision: i64,
    /// Everything that changed, in the order of a quotation.
    changes: Vec<ChangeOut>,
    /// The total before tax.
    net: TotalChange,
    /// The tax.
    tax: TotalChange,
    /// The total with tax.
    gross: TotalChange,
}

/// What changed between two revisions
///
/// Scope `estimate` or `account`. In words and numbers: a revision held against the one before, or
/// against another. Figures are in the units of the shop.
#[utoipa::path(get, path = "/v1/quotes/{number}/revisions/{revision}/changes", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"),
        ("revision" = u32, Path, description = "Which revision, from 1.", example = 1), ChangesQuery),
    responses((status = 200, description = "What changed.", body = QuoteChangesOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_quote_changes(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    WirePath((number, revision)): WirePath<(String, u32)>,
    WireQuery(query): WireQuery<ChangesQuery>,
) -> Result<Json<QuoteChangesOut>, Problem> {
    let revision = i64::from(revision);
    // The first is held against itself: nothing changed before it.
    let since = query
        .since
        .map_or((revision - 1).max(1), |since| since.get());
    let before = state.app().quote_revision(&number, since).await?;
    let after = state.app().quote_revision(&number, revision).await?;
    let app = state.app().clone();
    // Hundreds of manifolds, each with its outlets, are heavy work.
    let (before, after, found) = state
        .heavy()
        .run(move || {
            let asked = [&before, &after].map(|view| asked(view, app.catalogue()));
            let found = changes(
                &revised(&before, asked[0].as_ref()),
                &revised(&after, asked[1].as_ref()),
            );
            (before, after, found)
        })
        .await?;
    let (old, new) = (&before.record.totals, &after.record.totals);
    let total = |before: Decimal, after: Decimal| TotalChange {
        before: Money::new(before, old.currency.code()),
        after: Money::new(after, new.currency.code()),
        difference: (old.currency == new.currency)
            .then(|| Money::new(after - before, new.currency.code())),
    };
    Ok(Json(QuoteChangesOut {
        net: total(old.net, new.net),
        tax: total(old.tax, new.tax),
        gross: total(old.gross, new.gross),
        changes: found.into_iter().map(ChangeOut::from).collect(),
        number,
        since,
        revision,
    }))
}

/// What a revision was asked to offer; none when this program can no longer read it.
fn asked(view: &QuoteView, catalogue: &Catalogue) -> Option<Asked> {
    let request = same_request(view).ok()?.resolve(catalogue).ok()?;
    let options = request.options.into_iter();
    Some(Asked {
        manifolds: request.manifolds,
        options: options.map(|option| option.manifold).collect(),
        valid_until: request.valid_until,
    })
}

fn revised<'a>(view: &'a QuoteView, asked: Option<&'a Asked>) -> Revised<'a> {
    Revised {
        record: &view.record,
        asked,
        valid_until: view.revision.valid_until,
    }
}

/// Copy a quote to a new one
///
/// Scope `estimate`. A draft with its own number and the same schedule at today's prices, for the same customer or
/// another. The quote that is copied stays as it is, whatever its state.
#[utoipa::path(post, path = "/v1/quotes/{number}/copy", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"), IdempotencyKey, TrialQuery),
    request_body(content = Option<CopyIn>, description = "May be left out.", example = json!({"customer": {"name": "Millport Plumbing"}, "project": "Boiler room, south"})),
    responses(
        (status = 201, description = "The new draft.", body = QuoteOut,
            headers(("Location" = String, description = "Address of the new quote."))),
        (status = 200, description = "With `validate_only`: what would be stored.", body = QuoteOut),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn copy_quote(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(number): WirePath<String>,
    WireQuery(trial): WireQuery<TrialQuery>,
    OptionalJson(given): OptionalJson<CopyIn>,
) -> Result<Response, Problem> {
    let view = match given.revision {
        Some(revision) => state.app().quote_revision(&number, revision.get()).await?,
        None => state.app().quote(&number).await?,
    };
    let same = same_request(&view)?;
    let request = QuoteIn {
        // Days and books of the old content are none of the new.
        valid_until: None,
        on: None,
        price_list: None,
        labour_model: None,
        customer: given.customer.unwrap_or(same.customer),
        project: given.project.unwrap_or(same.project),
        options: given.options.or(same.options),
        presentation: given.presentation.or(same.presentation),
        ..same
    };
    let frozen = freeze(&state, request).await?;
    if trial.is_trial() {
        return tried(&state.app().preview_quote(frozen)?);
    }
    created(&state.app().create_copy(&frozen, &view).await?)
}
