//! Answers of the sizing call.

use serde::Serialize;
use utoipa::ToSchema;

use super::RankingName;
use crate::app::sizing::{Ranked, Ranks};
use crate::http::v1::findings::VerdictName;
use crate::http::v1::flow::CoefficientOut;
use crate::http::v1::manifold::BuildName;
use crate::http::wire::{Money, QuantityOut, Units};
use crate::shop::money::Currency;
use crate::trade::finding::Level;
use crate::trade::flow::outcome::Outcome;
use crate::trade::quantity::Velocity;
use crate::trade::sizing::{Rejected, Wanted};

/// How an answer is shown.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    /// In which units.
    pub units: Units,
    /// How many designs.
    pub most: usize,
    /// The shop's currency, where prices may be seen.
    pub currency: Option<Currency>,
}

/// A design that keeps every limit and passes every check.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DesignOut {
    /// Its rank, from 1.
    #[schema(example = 1)]
    rank: usize,
    /// Id of the run's tube.
    #[schema(example = "b88-l-2")]
    run: String,
    /// Ids of the branch tubes, row by row.
    #[schema(example = json!(["b88-l-1"]))]
    branches: Vec<String>,
    /// How it is built.
    build: BuildName,
    /// What the checks come to.
    verdict: VerdictName,
    /// What the checks caution of, in words.
    cautions: Vec<String>,
    /// Net price by itself for its whole quantity; `null` where it has none, or the key may not see it.
    #[schema(required)]
    price: Option<Money>,
    /// Hours for its whole quantity, as a decimal text; `null` with the price.
    #[schema(required, example = "3.52")]
    hours: Option<String>,
    /// Dry mass of one.
    mass: QuantityOut,
    /// Head that it needs.
    head: QuantityOut,
    /// All the flow.
    flow: QuantityOut,
    /// Greatest less least flow, against what is wanted, over their mean.
    #[schema(example = 0.03)]
    spread: f64,
    /// Fastest water in the run.
    run_velocity: QuantityOut,
    /// Fastest water in a branch.
    branch_velocity: QuantityOut,
    /// For each outlet along the run the valve that holds it to its flow; `null` where it may stay
    /// open.
    balancing: Vec<Option<CoefficientOut>>,
    /// What was assumed, and which figures stand in.
    assumed: Vec<String>,
}

/// A design that does not do.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RejectedOut {
    /// Id of the run's tube.
    #[schema(example = "b88-m-1.5")]
    run: String,
    /// Ids of the branch tubes, row by row.
    #[schema(example = json!(["b88-m-1"]))]
    branches: Vec<String>,
    /// How it would be built.
    build: BuildName,
    /// Copper of its tube, by which the cheapest are told: what is rejected is not priced.
    copper: QuantityOut,
    /// Rules and reasons, in words.
    #[schema(example = json!(["velocity: water runs at 5.60 ft/s in the run of 1-1/2 in type M; the limit is 5.00 ft/s"]))]
    reasons: Vec<String>,
}

/// The sizing of one manifold.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SizeItem {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// What the designs are ranked by: `mass` where a price was wanted and none could be had.
    ranked_by: RankingName,
    /// How many designs were tried.
    #[schema(example = 414)]
    tried: usize,
    /// How many fit.
    #[schema(example = 96)]
    fitting: usize,
    /// The best of those that fit.
    designs: Vec<DesignOut>,
    /// The lightest of those that do not, and why.
    rejected: Vec<RejectedOut>,
}

impl SizeItem {
    /// The best and the cheapest that fail.
    pub fn of(wanted: &Wanted, ranks: &Ranks, shown: Shown) -> Self {
        let best = ranks.designs.iter().take(shown.most).enumerate();
        let rejected = ranks.rejected.iter().take(shown.most);
        Self {
            mark: wanted.design.mark.clone(),
            ranked_by: ranks.by.into(),
            tried: ranks.tried,
            fitting: ranks.designs.len(),
            designs: best
                .map(|(place, it)| design(place + 1, it, shown))
                .collect(),
            rejected: rejected.map(|it| rejected_out(it, shown.units)).collect(),
        }
    }
}

fn design(rank: usize, ranked: &Ranked, shown: Shown) -> DesignOut {
    let fitting = &ranked.fitting;
    let units = shown.units;
    let outcome: &Outcome = &fitting.outcome;
    let checked = &fitting.checked;
    let fastest = |all: &mut dyn Iterator<Item = Velocity>| {
        let most = all.reduce(Velocity::max).unwrap_or_default();
        QuantityOut::velocity(most, units)
    };
    let cautions = checked.findings.iter();
    let priced = ranked.priced.as_ref().zip(shown.currency);
    DesignOut {
        rank,
        run: fitting.manifold.run.tube.id.clone(),
        branches: branches(ranked),
        build: fitting.manifold.build.into(),
        verdict: checked.verdict.into(),
        cautions: cautions
            .filter(|finding| finding.level == Level::Caution)
            .map(|finding| format!("{}: {}", finding.rule.name(), finding.detail))
            .collect(),
        price: priced.map(|(priced, currency)| Money::new(priced.price, currency.code())),
        hours: priced.map(|(priced, _)| priced.hours.normalize().to_string()),
        mass: QuantityOut::mass(checked.takeoff.mass, units),
        head: QuantityOut::head(ranked.loss(), units),
        flow: QuantityOut::flow(outcome.total, units),
        spread: QuantityOut::plain(outcome.spread, "").value,
        run_velocity: fastest(&mut outcome.supply.iter().map(|it| it.running.velocity)),
        branch_velocity: fastest(&mut outcome.outlets.iter().map(|it| it.branch.velocity)),
        balancing: fitting
            .balancing
            .iter()
            .map(|valve| valve.map(CoefficientOut::from))
            .collect(),
        assumed: outcome
            .assumed
            .iter()
            .map(|it| it.sentence().to_owned())
            .collect(),
    }
}

fn branches(ranked: &Ranked) -> Vec<String> {
    let mut rows: Vec<(usize, String)> = Vec::new();
    for outlet in &ranked.fitting.manifold.outlets {
        if !rows.iter().any(|(row, _)| *row == outlet.row) {
            rows.push((outlet.row, outlet.tube.id.clone()));
        }
    }
    rows.sort_by_key(|(row, _)| *row);
    rows.into_iter().map(|(_, id)| id).collect()
}

fn rejected_out(rejected: &Rejected, units: Units) -> RejectedOut {
    RejectedOut {
        run: rejected.run.clone(),
        branches: rejected.branches.clone(),
        build: rejected.build.into(),
        copper: QuantityOut::mass(rejected.copper, units),
        reasons: rejected.reasons.clone(),
    }
}
