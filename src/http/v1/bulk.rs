//! What the calls that check and lay out many manifolds have in common.

use std::sync::Arc;

use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::forming_profiles::ProfileId;
use super::manifold::{ManifoldIn, Named, resolve_each};
use crate::app::rules::RulesChoice;
use crate::http::bulk::{BulkItem, BulkSummary, bulk};
use crate::http::heavy::HeavyPool;
use crate::http::problem::{Problem, Slug};
use crate::http::wire::{Each, Fault, Units, code, wire_struct};
use crate::shop::quote::FrozenProfile;
use crate::trade::catalogue::Catalogue;
use crate::trade::forming::FormingProfile;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

/// Most manifolds of one call.
pub const MOST_MANIFOLDS: usize = 500;

/// More manifolds than this are worked on off the threads that serve requests.
pub const FEW: usize = 100;

wire_struct! {
    /// Manifolds to work on, each by itself.
    pub struct ManifoldsIn {
        /// The manifolds. One that cannot be read does not spoil the others.
        manifolds: Each<ManifoldIn, MOST_MANIFOLDS>,
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

impl ManifoldsIn {
    /// Which rules.
    pub fn rules(&self) -> RulesChoice {
        chosen_rules(self.rule_set.as_ref(), self.forming_profile.as_ref())
    }
}

/// The rules that a request names.
pub fn chosen_rules(
    rule_set: Option<&Named<RuleSet>>,
    forming_profile: Option<&ProfileId>,
) -> RulesChoice {
    RulesChoice {
        rule_set: rule_set.map(|set| Arc::clone(set.get())),
        forming_profile: forming_profile.map(|id| id.as_str().to_owned()),
    }
}

/// The forming profile that was used.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UsedProfile {
    /// Its id.
    #[schema(example = "built-in")]
    id: String,
    /// Its version.
    #[schema(example = 1)]
    version: i64,
    /// Its name.
    #[schema(example = "built-in")]
    name: String,
}

impl From<&FormingProfile> for UsedProfile {
    fn from(profile: &FormingProfile) -> Self {
        Self {
            id: profile.id.clone(),
            version: profile.version,
            name: profile.name.clone(),
        }
    }
}

impl From<&FrozenProfile> for UsedProfile {
    fn from(profile: &FrozenProfile) -> Self {
        Self {
            id: profile.id.clone(),
            version: profile.version,
            name: profile.name.clone(),
        }
    }
}

/// A request that the server answers with a result.
pub fn example() -> Value {
    json!({"manifolds": [{
        "mark": "H-1", "quantity": 2, "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "temper": "drawn",
            "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in",
            "clock": "0 deg", "stub": "3 in", "flow": "6 gpm"}],
        "filler": "BCuP-3"}],
        "units": "imperial"})
}

/// The items of a bulk answer, and how many went well.
pub type Worked<T> = (BulkSummary, Vec<BulkItem<T>>);

/// Works on each manifold of a request: a few at once, many on the pool for heavy work.
///
/// # Errors
/// 503 when the pool is full.
pub async fn work<T: Send + 'static>(
    pool: &HeavyPool,
    catalogue: &'static Catalogue,
    manifolds: Each<ManifoldIn, MOST_MANIFOLDS>,
    make: impl Fn(&Manifold) -> T + Send + 'static,
) -> Result<Worked<T>, Problem> {
    let count = manifolds.as_slice().len();
    let job = move || {
        let read = resolve_each(manifolds, catalogue).into_iter();
        bulk(read.map(|item| match item {
            Ok(manifold) => Ok(make(&manifold)),
            Err(faults) => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
        }))
    };
    if count > FEW {
        pool.run(job).await
    } else {
        Ok(job())
    }
}

/// The only manifold of a request: a picture shows one, so its faults are those of the request.
///
/// # Errors
/// When it cannot be read, or is not the only one.
pub fn only_one(request: ManifoldsIn, catalogue: &Catalogue) -> Result<Manifold, Problem> {
    let mut read = resolve_each(request.manifolds, catalogue);
    match (read.len(), read.pop()) {
        (1, Some(Ok(manifold))) => Ok(manifold),
        (1, Some(Err(faults))) => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
        (count, _) => Err(Problem::new(Slug::Unprocessable).with_errors([Fault::new(
            "/manifolds",
            code::TOO_MANY,
            format!("`manifolds` has {count} items, and a picture shows one; send them one at a time, or ask for JSON"),
        )])),
    }
}
