//! Which tubes and builds would carry wanted flows. Nothing is stored.

mod out;
mod wanted;

use axum::Json;
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::bulk::{UsedProfile, chosen_rules};
use super::flow::refused;
use super::forming_profiles::ProfileId;
use super::manifold::Named;
use super::units::chosen;
use crate::app::estimates::{Choice, LoadedBooks};
use crate::app::sizing::Ranking;
use crate::http::auth::{MayCheck, Scope, State};
use crate::http::bulk::{BulkItem, BulkSummary, bulk};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{
    At, Each, Faults, Units, Whole, WireJson, WireQuery, wire_enum, wire_query, wire_struct,
};
use crate::trade::rule_set::RuleSet;

use out::{Shown, SizeItem};
use wanted::WantedIn;

/// Most manifolds of one call; each is tried in hundreds of ways.
const MOST_WANTED: usize = 20;
/// Designs shown when nothing else is asked for.
const USUALLY_SHOWN: usize = 20;

wire_enum! {
    /// What designs are ranked by.
    pub enum RankingName {
        /// Net price by itself, by the shop's price list and times in force.
        Price = "price",
        /// Copper.
        Mass = "mass",
        /// Head that it needs.
        Loss = "loss",
    }
}

impl From<RankingName> for Ranking {
    fn from(name: RankingName) -> Self {
        match name {
            RankingName::Price => Self::Price,
            RankingName::Mass => Self::Mass,
            RankingName::Loss => Self::Loss,
        }
    }
}

impl From<Ranking> for RankingName {
    fn from(ranking: Ranking) -> Self {
        match ranking {
            Ranking::Price => Self::Price,
            Ranking::Mass => Self::Mass,
            Ranking::Loss => Self::Loss,
        }
    }
}

wire_struct! {
    /// Manifolds to size, each by itself.
    pub struct SizingIn {
        /// What is wanted of each. One that cannot be read does not spoil the others.
        manifolds: Each<WantedIn, MOST_WANTED>,
        /// What to rank by; by price when not given. Without prices, or with a key that may not
        /// estimate, by mass.
        #[example = "price"]
        rank_by: Option<RankingName>,
        /// How many designs to show of those that fit, and of those that do not; 20 when not given.
        #[example = 5]
        most: Option<Whole<1, 500>>,
        /// Units of the answer; else those of `?units=`.
        #[example = "imperial"]
        units: Option<Units>,
        /// The rule set to judge by; else the usual one.
        #[example = "offtake-1"]
        rule_set: Option<Named<RuleSet>>,
        /// The forming profile to judge by; else the one called `shop`, else the built-in one.
        #[example = "built-in"]
        forming_profile: Option<ProfileId>,
    }
}

wire_query! {
    /// In which units.
    pub struct SizeQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

/// The sizings, in the order of the request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SizeAnswer {
    /// Name and version of the rules.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile.
    forming_profile: UsedProfile,
    /// How many could be sized.
    summary: BulkSummary,
    /// One item for each manifold.
    items: Vec<BulkItem<SizeItem>>,
}

/// A request that the server answers with a result.
fn example() -> Value {
    json!({"manifolds": [{
        "mark": "H-1", "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "130 degF",
        "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "6 in"}],
        "outlets": [{"count": 6, "first": "6 in", "pitch": "8 in", "stub": "3 in",
            "flow": "6 gpm", "drop": {"flow": "6 gpm", "head": "4 ft"}}],
        "supply": {"flow": "36 gpm"},
        "limits": {"spread": 0.1}}],
        "rank_by": "price", "most": 5, "units": "imperial"})
}

/// Find tubes and builds for wanted flows
///
/// Scope `check`; prices need `estimate` as well. Every run, branch, tube type and build is tried:
/// those that keep the limits and pass the checks are ranked, and of the others the lightest say
/// why they fail. Worked out, not measured: it replaces neither the local code nor licensed
/// practice.
#[utoipa::path(post, path = "/v1/manifolds/size", tag = "manifolds", params(SizeQuery),
    request_body(content = SizingIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order.", body = SizeAnswer)))]
pub async fn size_manifolds(
    caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<SizeQuery>,
    WireJson(request): WireJson<SizingIn>,
) -> Result<Json<SizeAnswer>, Problem> {
    let units = chosen(&state, request.units.or(query.units)).await?;
    let ranking = request.rank_by.map_or(Ranking::Price, Ranking::from);
    let app = state.app().clone();
    let choice = Choice {
        rules: chosen_rules(request.rule_set.as_ref(), request.forming_profile.as_ref()),
        ..Choice::default()
    };
    let rules = app.rules(&choice.rules).await?;
    let books: Option<LoadedBooks> = match caller.0.may(Scope::Estimate) {
        true => Some(app.load_books(&choice).await?),
        false => None,
    };
    let shown = Shown {
        units,
        most: request
            .most
            .map_or(USUALLY_SHOWN, |most| most.get() as usize),
        currency: books.as_ref().map(|books| books.shop.currency),
    };
    let rule_set = rules.name.to_owned();
    let forming_profile = UsedProfile::from(&rules.forming);
    let job = move || {
        let read = request.manifolds.into_vec().into_iter().enumerate();
        bulk(read.map(|(index, item)| {
            let wanted = read_wanted(index, item)?;
            let ranks = app
                .size(&wanted, &rules, ranking, books.as_ref())
                .map_err(|faults| refused(index, faults))?;
            Ok(SizeItem::of(&wanted, &ranks, shown))
        }))
    };
    let (summary, items) = state.heavy().run(job).await?;
    Ok(Json(SizeAnswer {
        rule_set,
        forming_profile,
        summary,
        items,
    }))
}

fn read_wanted(
    index: usize,
    item: Result<WantedIn, Faults>,
) -> Result<crate::trade::sizing::Wanted, Problem> {
    let invalid = |faults| Problem::new(Slug::InvalidBody).with_faults(faults);
    let item = item.map_err(invalid)?;
    let body = At::BODY;
    let list = body.field("manifolds");
    let mut faults = Faults::new();
    item.read(&list.index(index), &mut faults)
        .ok_or_else(|| invalid(faults))
}
