//! The four builds of each manifold side by side, and the cheapest mix. Nothing is stored.

use axum::Json;
use serde::Serialize;
use utoipa::ToSchema;

use super::bulk::UsedProfile;
use super::estimates::{EstimateIn, ReadManifolds, item_problem, on_schedule, readable};
use super::manifold::BuildName;
use super::units::of_shop;
use crate::http::auth::{MayEstimate, State};
use crate::http::bulk::BulkSummary;
use crate::http::idempotency::IdempotencyKey;
use crate::http::problem::{Problem, ProblemBody, lacking_faults};
use crate::http::state::ApiState;
use crate::http::wire::{Fault, Money, QuantityOut, Units, WireJson, wire_enum};
use crate::shop::break_even::{BreakEven, Changed};
use crate::shop::compare::{BuildOption, Comparison, Mix};
use crate::shop::money::Currency;
use crate::trade::finding::Level;
use crate::trade::rule_set::RuleSet;

/// One way to build a manifold. Money and hours are for its whole quantity.
#[derive(Debug, Serialize, ToSchema)]
pub struct BuildOut {
    /// Which way.
    build: BuildName,
    /// Nothing stops it.
    #[schema(example = true)]
    feasible: bool,
    /// Hours, as a decimal text; `null` when something is lacking.
    #[schema(example = "3.52")]
    hours: Option<String>,
    /// Direct cost; `null` when something is lacking.
    cost: Option<Money>,
    /// Price by itself; `null` when something is lacking.
    price: Option<Money>,
    /// Joints to make in one.
    #[schema(example = 7)]
    joints: u32,
    /// Dry mass of one.
    mass: QuantityOut,
    /// Stops and cautions, in words.
    #[schema(example = json!(["caution forming-severity: the pilot is 0.61 of the collar's diameter and the edge stretches by 65 %: beyond a severe draw"]))]
    findings: Vec<String>,
    /// What the shop has not entered, so that it cannot be priced.
    lacking: Vec<Fault>,
}

wire_enum! {
    /// What is changed.
    pub enum ChangedName {
        /// The price of all tube, as a multiple of today's.
        TubePrice = "tube_price",
        /// All hours, as a multiple of those estimated.
        Hours = "hours",
        /// How many are made, as a count.
        Quantity = "quantity",
    }
}

impl From<Changed> for ChangedName {
    fn from(changed: Changed) -> Self {
        match changed {
            Changed::TubePrice => Self::TubePrice,
            Changed::Hours => Self::Hours,
            Changed::Quantity => Self::Quantity,
        }
    }
}

/// A point at which another build becomes the cheapest.
#[derive(Debug, Serialize, ToSchema)]
pub struct BreakEvenOut {
    /// What is changed.
    changed: ChangedName,
    /// To what, as a decimal text: beyond it, seen from today, the choice flips. A quantity is the
    /// nearest of those tried (1, 2, 5, 10, 25, 100) at which it has, offcuts not credited.
    #[schema(example = "1.42")]
    at: String,
    /// The build that is then the cheapest.
    instead: BuildName,
}

impl From<&BreakEven> for BreakEvenOut {
    fn from(found: &BreakEven) -> Self {
        Self {
            changed: found.changed.into(),
            at: found.at.to_string(),
            instead: found.instead.into(),
        }
    }
}

/// One manifold compared.
#[derive(Debug, Serialize, ToSchema)]
pub struct ComparedItem {
    /// Its place in the request, from 0.
    #[schema(example = 0)]
    index: usize,
    /// Its mark, where it could be read.
    #[schema(example = "H-1", nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    mark: Option<String>,
    /// The four ways to build it.
    builds: Vec<BuildOut>,
    /// What would have to change for another build to be the cheapest by direct cost, with all
    /// else as it is: the nearest points, down and up.
    break_even: Vec<BreakEvenOut>,
    /// Why it could not be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    problem: Option<ProblemBody>,
}

/// The build of one manifold in a mix.
#[derive(Debug, Serialize, ToSchema)]
pub struct MixChoice {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// The build; `null` when none is both feasible and priced.
    build: Option<BuildName>,
}

/// The cheapest mix found for the whole schedule.
#[derive(Debug, Serialize, ToSchema)]
pub struct MixOut {
    /// The build of each manifold that could be read.
    builds: Vec<MixChoice>,
    /// Net price of the schedule built so.
    price: Money,
    /// Nothing is cheaper.
    #[schema(example = true)]
    proven: bool,
    /// Net price that no mix is below; `null` where none is known.
    #[schema(required)]
    bound: Option<Money>,
    /// How far the price lies above it at most, in percent of the price, as a decimal text.
    #[schema(required, example = "0")]
    gap: Option<String>,
    /// How it was found.
    #[schema(
        example = "all 3 combinations of feasible, priced builds were estimated as whole schedules"
    )]
    basis: String,
}

/// A comparison.
#[derive(Debug, Serialize, ToSchema)]
pub struct CompareOut {
    /// The rule set of the checks.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile that settled what can be drawn.
    forming_profile: UsedProfile,
    /// How many items went well.
    summary: BulkSummary,
    /// Every manifold, in the order of the request.
    items: Vec<ComparedItem>,
    /// The cheapest mix.
    cheapest_mix: MixOut,
}

/// Compare the ways to build a schedule
///
/// Scope `estimate`. Each manifold is checked and priced in all four builds, whatever build it
/// names; the cheapest feasible mix is priced as a whole schedule. Nothing is stored.
#[utoipa::path(post, path = "/v1/estimates/compare", tag = "estimates", params(IdempotencyKey),
    request_body(content = EstimateIn, example = json!({"manifolds": [{
        "mark": "H-1", "quantity": 2, "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}]})),
    responses((status = 200, description = "The builds side by side.", body = CompareOut)))]
pub async fn create_comparison(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireJson(request): WireJson<EstimateIn>,
) -> Result<Json<CompareOut>, Problem> {
    on_schedule(&state, request, |app, read, books| {
        let (compared, mix) = app.compare(&readable(&read), books)?;
        let units = of_shop(books.shop.units);
        let shown = (books.shop.currency, units);
        Ok(Json(answer(&books.rules, read, (compared, mix), shown)))
    })
    .await
}

fn answer(
    rules: &RuleSet,
    read: ReadManifolds,
    (compared, mix): (Vec<Comparison>, Mix),
    (currency, units): (Currency, Units),
) -> CompareOut {
    let ok = compared.len();
    let failed = read.len() - ok;
    let choices = compared
        .iter()
        .zip(&mix.builds)
        .map(|(comparison, build)| MixChoice {
            mark: comparison.mark.clone(),
            build: build.map(BuildName::from),
        })
        .collect();
    let mut compared = compared.into_iter();
    let items = read
        .into_iter()
        .enumerate()
        .map(|(index, item)| match item {
            Err(faults) => ComparedItem {
                index,
                mark: None,
                builds: Vec::new(),
                break_even: Vec::new(),
                problem: Some(item_problem(faults)),
            },
            Ok(manifold) => {
                let found = compared.next();
                let builds = found.iter().flat_map(|found| &found.builds);
                let points = found.iter().flat_map(|found| &found.break_evens);
                ComparedItem {
                    index,
                    mark: Some(manifold.mark),
                    builds: builds
                        .map(|option| build(option, currency, units))
                        .collect(),
                    break_even: points.map(BreakEvenOut::from).collect(),
                    problem: None,
                }
            }
        })
        .collect();
    CompareOut {
        rule_set: rules.name.to_owned(),
        forming_profile: (&rules.forming).into(),
        summary: BulkSummary { ok, failed },
        items,
        cheapest_mix: cheapest(mix, choices, currency),
    }
}

fn cheapest(mix: Mix, builds: Vec<MixChoice>, currency: Currency) -> MixOut {
    let money = |amount| Money::new(currency.round(amount), currency.code());
    MixOut {
        builds,
        price: money(mix.price),
        proven: mix.proven,
        bound: mix.bound.map(money),
        gap: mix.gap().map(|gap| gap.normalize().to_string()),
        basis: mix.basis,
    }
}

fn build(option: &BuildOption, currency: Currency, units: Units) -> BuildOut {
    let priced = option.priced.as_ref().ok();
    let money = |amount| Money::new(amount, currency.code());
    BuildOut {
        build: option.build.into(),
        feasible: option.feasible(),
        hours: priced.map(|priced| priced.hours.normalize().to_string()),
        cost: priced.map(|priced| money(priced.cost)),
        price: priced.map(|priced| money(priced.price)),
        joints: option.checked.takeoff.joint_count(),
        mass: QuantityOut::mass(option.checked.takeoff.mass, units),
        findings: option
            .checked
            .findings
            .iter()
            .filter(|finding| finding.level > Level::Note)
            .map(|finding| {
                format!(
                    "{} {}: {}",
                    finding.level.word(),
                    finding.rule.name(),
                    finding.detail
                )
            })
            .collect(),
        lacking: match &option.priced {
            Ok(_) => Vec::new(),
            Err(lacking) => lacking_faults(lacking).as_slice().to_vec(),
        },
    }
}
