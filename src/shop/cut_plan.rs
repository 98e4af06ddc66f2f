//! How to cut pieces from sticks and offcuts at the least cost: one-dimensional cutting stock.
//!
//! Lengths are whole nanometres, in which both 1/64 in (396 875) and 0.1 mm (100 000) are whole,
//! so that a plan adds up to the last one. Each piece takes its length and one kerf, but for the
//! last on a stick, whose cut may fall off the end: pieces fit when the sum of (length + kerf) is
//! at most stick less end trims plus kerf.
//!
//! Least cost first (stock less what offcuts worth keeping are worth), then fewest sticks, then
//! least scrap; the cost is proven or the gap told. Column generation (Gilmore and Gomory, 1961)
//! inside branch and bound: `master` relaxes, `dive` makes plans, `search` branches. The knapsack
//! and the linear program are our own: the mixed-integer solver that made the optima of
//! `tests/cut_plans` took seconds where these take milliseconds, and a library for linear
//! programs alone would begin anew with every pattern found.

mod dive;
mod fault;
mod greedy;
mod knapsack;
mod length;
mod master;
mod plan;
mod problem;
mod reduce;
mod schedule;
mod search;
mod simplex;
mod table;
mod tidy;
mod work;

use rust_decimal::Decimal;
use work::Work;

pub use fault::{
    COST_DECIMALS, CutError, CutFault, MOST_KINDS, MOST_PIECES, PieceFault, StockFault,
    VALUE_DECIMALS,
};
pub use length::CutLength;
pub use plan::{Balance, CutPlan, CutStick};
pub use schedule::{CutSchedule, ScheduleFault, SchedulePlan, TubePlan, plan_schedule};

/// Work that proves nearly every plan of a shop's size, in steps: about a second of one processor.
pub const USUAL_WORK: u64 = 150_000_000;

/// Sticks or offcuts to cut from, alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stock {
    /// Its name in the plan.
    pub id: String,
    /// Length as it comes.
    pub length: CutLength,
    /// What is cut off its ends, both together, before pieces are.
    pub trim: CutLength,
    /// Cost of one; zero or more, with at most four decimals.
    pub cost: Decimal,
    /// How many there are; `None` for as many as are wanted.
    pub count: Option<u32>,
}

/// Pieces to cut, alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Their name in the plan.
    pub id: String,
    /// Length of one.
    pub length: CutLength,
    /// How many.
    pub count: u32,
}

/// What the rest of a stick is worth when it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keep {
    /// The shortest rest worth keeping.
    pub least: CutLength,
    /// Value of `per` of it; zero or more, with at most six decimals.
    pub value: Decimal,
    /// The length that `value` is for.
    pub per: CutLength,
}

/// A cutting job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutJob {
    /// Width that a cut turns to swarf.
    pub kerf: CutLength,
    /// What to cut from.
    pub stock: Vec<Stock>,
    /// What to cut.
    pub pieces: Vec<Wanted>,
    /// Which rests are kept; `None` when none is.
    pub keep: Option<Keep>,
    /// Decimals in which the cost is told, at least.
    pub decimals: u32,
}

/// Plans a cutting job within so much work.
///
/// # Errors
/// All faults of the job at once, or the pieces for which there is not enough stock.
pub fn plan(job: &CutJob, work: u64) -> Result<CutPlan, CutError> {
    plan_within(job, &mut Work::of(work))
}

/// Plans a cutting job and takes the work that was done from what is left.
fn plan_within(job: &CutJob, work: &mut Work) -> Result<CutPlan, CutError> {
    let faults = fault::faults(job);
    if !faults.is_empty() {
        return Err(CutError::Faulty(faults));
    }
    let reduced = reduce::reduce(job);
    let found = search::search(&reduced.problem, work);
    plan::made(job, &reduced, found)
}
