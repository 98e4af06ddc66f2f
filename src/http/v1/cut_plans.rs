//! Cut plans: how to cut pieces from sticks and offcuts at the least cost.

mod answer;
mod assembled;
mod faults;
mod wanted;

use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use super::units::{chosen, for_shop};
use crate::app::cut_plans::Rack;
use crate::app::estimates::{Choice, LoadedBooks};
use crate::app::rules::RulesChoice;
use crate::documents::cut_picture::{PictureOf, cut_picture};
use crate::http::auth::{MayCheck, Scope, State};
use crate::http::idempotency::IdempotencyKey;
use crate::http::negotiate::{JSON, Negotiator, SVG};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{Units, WireJson, WireQuery, wire_enum, wire_query};
use crate::shop::cut_plan::{SchedulePlan, USUAL_WORK, plan_schedule};
use crate::shop::money::Currency;

use answer::CutPlanAnswer;
use assembled::Assembled;
use wanted::CutPlanIn;

/// How often a plan is made anew when somebody else takes an offcut it draws on.
const MOST_TRIES: u32 = 5;
/// Work for all tubes of a call: about a third of a second of one processor, so that eight who ask two
/// processors at once all have theirs within two.
const CALL_WORK: u64 = USUAL_WORK / 3;

wire_enum! {
    /// In what form a plan is answered.
    pub enum CutPlanFormat {
        /// Figures.
        Json = "json",
        /// A picture of every stick.
        Svg = "svg",
    }
}

wire_query! {
    /// In which units, and in what form.
    pub struct CutPlanQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// The form; else `Accept` says it.
        #[example = "json"]
        format: Option<CutPlanFormat>,
    }
}

/// A request that the server answers with a result.
fn example() -> Value {
    json!({
        "kerf": "1/16 in", "end_trim": "1/4 in",
        "stock": [
            {"id": "20 ft", "length": "20 ft", "cost": {"amount": "104.00", "currency": "USD"}},
            {"id": "10 ft", "length": "10 ft", "cost": {"amount": "58.00", "currency": "USD"}, "count": 4},
        ],
        "pieces": [
            {"id": "H-1 run", "length": "33 in", "count": 6},
            {"id": "H-2 run", "length": "61 1/2 in", "count": 3},
            {"id": "stub", "length": "3 1/4 in", "count": 48},
        ],
        "keep": {"least": "24 in"},
        "units": "imperial",
    })
}

/// Plan the cutting of sticks
///
/// Scope `check`; prices of the books and the offcut rack need `estimate` as well. Pieces, or all
/// tube of a schedule of manifolds, are cut from stock and offcuts at the least cost: then with
/// the fewest sticks, then with the least scrap. `proven` says that no plan costs less; else
/// `bound` says how much less one might. With `offcuts.reserve_for` the offcuts it draws on are
/// kept for that job; otherwise nothing is stored. By `?format=svg` or `Accept: image/svg+xml` as
/// a picture.
#[utoipa::path(post, path = "/v1/cut-plans", tag = "sticks", params(CutPlanQuery, IdempotencyKey),
    request_body(content = CutPlanIn, example = json!(example())),
    responses((status = 200, description = "The plan, or its picture.",
        content((CutPlanAnswer = "application/json"), (String = "image/svg+xml")))))]
pub async fn create_cut_plan(
    MayCheck(caller): MayCheck,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<CutPlanQuery>,
    WireJson(request): WireJson<CutPlanIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(CutPlanFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG])?;
    let units = chosen(&state, request.units.or(query.units)).await?;
    let mut books: Option<LoadedBooks> = None;
    if request.needs_the_books() {
        caller.require(&[Scope::Estimate])?;
        books = Some(state.app().load_books(&Choice::default()).await?);
    }
    let usual = state.app().usual_currency().await?;
    let app = state.app().clone();
    let rules = app.rules(&RulesChoice::default()).await?;
    let assemble = move || Assembled::of(request, (&app, books.as_ref()), (usual, &rules));
    let assembled = state.heavy().run(assemble).await?;
    let (assembled, plan) = planned(&state, assembled).await?;
    if form.is(SVG) {
        let of = PictureOf {
            schedule: &assembled.schedule,
            plan: &plan,
            currency: assembled.currency,
            units: for_shop(units),
        };
        return Ok(([(CONTENT_TYPE, SVG.media)], cut_picture(&of)).into_response());
    }
    Ok(Json(CutPlanAnswer::of(&assembled, &plan, units)).into_response())
}

/// Plans, and reserves what the plan draws on where that is asked for; anew when somebody else
/// was quicker.
async fn planned(
    state: &ApiState,
    wanted: Assembled,
) -> Result<(Assembled, SchedulePlan), Problem> {
    let mut tries = 0;
    loop {
        let mut assembled = wanted.clone();
        if let Some(rack) = &wanted.rack {
            let tubes = assembled.tubes();
            let found: Rack = state.app().rack(&tubes, rack.temper).await?;
            assembled.put_on(found);
        }
        let job = move || {
            let planned = plan_schedule(&assembled.schedule, CALL_WORK);
            (assembled, planned)
        };
        let (assembled, planned) = state.heavy().run(job).await?;
        let plan = faults::settled(&assembled, planned)?;
        let Some(job) = wanted
            .rack
            .as_ref()
            .and_then(|rack| rack.reserve_for.as_ref())
        else {
            return Ok((assembled, plan));
        };
        let used = assembled.offcuts_of(&plan);
        if state.app().reserve_all(&used, job).await? {
            return Ok((assembled, plan));
        }
        tries += 1;
        if tries == MOST_TRIES {
            return Err(Problem::new(Slug::Conflict).with_detail(
                "Others are taking offcuts from the rack as this plan is made; nothing was reserved. Send it again.",
            ));
        }
    }
}

/// A currency where nobody names one: ISO 4217 keeps XXX for that.
fn no_currency() -> Option<Currency> {
    Currency::new("XXX").ok()
}
