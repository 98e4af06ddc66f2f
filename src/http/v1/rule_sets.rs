//! Rule sets: the choices where sources differ.

use axum::Json;
use axum::http::Uri;
use axum::response::IntoResponse;
use serde::Serialize;
use utoipa::ToSchema;

use super::findings::SourceOut;
use super::tubes::{KEEP, named, page};
use super::units::chosen;
use crate::http::auth::{MayCheck, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{QuantityOut, Units, WirePath, WireQuery, wire_query};
use crate::trade::rule_set::{
    CollarBasis, FormingTypes, RuleSet, SupportBasis, TestPressureBasis, VelocityBasis,
};

wire_query! {
    /// Which page, in which units.
    pub struct RuleSetsQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where the page begins: the cursor out of `next`.
        after: Option<Cursor>,
    }
}

wire_query! {
    /// In which units.
    pub struct RuleSetQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

/// One choice of a rule set.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChoiceOut {
    /// What was chosen.
    #[schema(value_type = String, example = "branch")]
    choice: &'static str,
    /// What that means.
    #[schema(value_type = String, example = "three times the wall of the branch")]
    meaning: &'static str,
    /// What else another rule set may choose.
    #[schema(value_type = Vec<String>, example = json!(["thicker_of_both"]))]
    others: Vec<&'static str>,
    /// Where it comes from.
    source: SourceOut,
}

/// A limit that a rule set settles.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LimitOut {
    /// The limit.
    limit: QuantityOut,
    /// Where it comes from.
    source: SourceOut,
}

/// A rule set. It never changes; a choice made otherwise gets a new name.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RuleSetOut {
    /// Its name and version, as requests name it in `rule_set` and answers carry it.
    #[schema(value_type = String, example = "offtake-1")]
    id: &'static str,
    /// What sets it apart.
    #[schema(value_type = String, example = "The usual choices")]
    title: &'static str,
    /// When to take it.
    #[schema(value_type = String, example = "For work under a model plumbing code, where neither the specification of the job nor the code of the place asks more.")]
    note: &'static str,
    /// Whether it holds where a request names none.
    #[schema(example = true)]
    default: bool,
    /// How high a collar must stand.
    collar_height: ChoiceOut,
    /// From which types of tube collars may be drawn.
    forming_types: ChoiceOut,
    /// Whose limits of velocity hold.
    velocity: ChoiceOut,
    /// What it is tested at.
    test_pressure: ChoiceOut,
    /// How far apart it is held.
    support: ChoiceOut,
    /// How long somebody watches for fire after the torch is out.
    fire_watch: LimitOut,
    /// The heaviest assembly one person should lift.
    lift: LimitOut,
}

/// As it goes out: what was chosen, among everything of its kind.
macro_rules! choice_out {
    ($kind:ident, $chosen:expr) => {{
        let chosen: $kind = $chosen;
        let others = $kind::ALL.iter().filter(|other| **other != chosen);
        ChoiceOut {
            choice: chosen.word(),
            meaning: chosen.spoken(),
            others: others.map(|other| other.word()).collect(),
            source: (&chosen.source()).into(),
        }
    }};
}

fn rule_set_out(set: &RuleSet, units: Units) -> RuleSetOut {
    RuleSetOut {
        id: set.name,
        title: set.title,
        note: set.note,
        default: set.name == RuleSet::NAMES[0],
        collar_height: choice_out!(CollarBasis, set.collar_basis),
        forming_types: choice_out!(FormingTypes, set.forming_types),
        velocity: choice_out!(VelocityBasis, set.velocity),
        test_pressure: choice_out!(TestPressureBasis, set.test_pressure),
        support: choice_out!(SupportBasis, set.support),
        fire_watch: LimitOut {
            limit: QuantityOut::plain(f64::from(set.fire_watch_minutes), "min"),
            source: (&set.fire_watch_source()).into(),
        },
        lift: LimitOut {
            limit: QuantityOut::mass(set.lift_limit, units),
            source: (&RuleSet::lift_source()).into(),
        },
    }
}

/// Rule sets
///
/// Scope `check`. The named, versioned sets of choices that checks are made by where sources
/// differ. A request names one in `rule_set`; without it the one marked as default holds.
#[utoipa::path(get, path = "/v1/rule-sets", tag = "reference", params(RuleSetsQuery),
    responses((status = 200, description = "One page of rule sets, the default first.", body = Page<RuleSetOut>)))]
pub async fn list_rule_sets(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<RuleSetsQuery>,
    uri: Uri,
) -> Result<impl IntoResponse, Problem> {
    let units = chosen(&state, query.units).await?;
    let page = page(
        &RuleSet::all(),
        |set| set.name,
        |set| rule_set_out(set, units),
        (query.limit, query.after, &uri),
    )?;
    Ok((KEEP, page))
}

/// One rule set
///
/// Scope `check`.
#[utoipa::path(get, path = "/v1/rule-sets/{id}", tag = "reference",
    params(("id" = String, Path, description = "Its name, in either case.", example = "offtake-1"), RuleSetQuery),
    responses(
        (status = 200, description = "The rule set.", body = RuleSetOut),
        (status = 404, description = "There is no such rule set; all of them are named.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_rule_set(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<RuleSetQuery>,
) -> Result<impl IntoResponse, Problem> {
    let found = RuleSet::named(&id);
    let catalogue = state.app().catalogue();
    let set = named(found.as_ref(), "rule set", catalogue, &id)?;
    let units = chosen(&state, query.units).await?;
    Ok((KEEP, Json(rule_set_out(set, units))))
}
