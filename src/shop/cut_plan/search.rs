//! Branch and price: relax, dive, and branch until the best plan is proven or the work is over.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::dive::{Plan, dive};
use super::greedy::fill;
use super::master::{Master, Region, Relaxed};
use super::problem::{ENDLESS, Problem};
use super::work::Work;

/// What a search came to.
#[derive(Debug, Clone)]
pub struct Found {
    /// The best plan.
    pub plan: Plan,
    /// Its cost in steps of money.
    pub steps: i64,
    /// No plan costs fewer steps.
    pub bound: i64,
}

/// A region that waits, most promising first: the lowest bound, then the deepest, then the oldest.
#[derive(Debug)]
struct Waiting {
    bound: i64,
    depth: u32,
    number: u32,
    region: Region,
    near: Vec<usize>,
}

impl Waiting {
    fn order(&self) -> (Reverse<i64>, u32, Reverse<u32>) {
        (Reverse(self.bound), self.depth, Reverse(self.number))
    }
}

impl PartialEq for Waiting {
    fn eq(&self, other: &Self) -> bool {
        self.order() == other.order()
    }
}

impl Eq for Waiting {}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.order().cmp(&other.order())
    }
}

struct Search<'a> {
    problem: &'a Problem,
    master: Master<'a>,
    best: Option<(i64, Plan)>,
    waiting: BinaryHeap<Waiting>,
    number: u32,
}

/// Distinct lengths for which a linear program is made; beyond, its table would not fit the work.
const MOST_LENGTHS: usize = 400;
/// Dives tried where the search begins.
const FIRST_DIVES: usize = 4;

/// The cheapest plan that the work allows to find, and the bound it allows to prove. `None` when
/// even the first plan could not be made.
pub fn search(problem: &Problem, work: &mut Work) -> Option<Found> {
    let whole = Region::whole(problem);
    let mut search = Search {
        problem,
        master: Master::new(problem),
        best: None,
        waiting: BinaryHeap::new(),
        number: 0,
    };
    let first = fill(problem, &whole, work)?;
    let least = problem.steps(by_length(problem), whole.pieces());
    if problem.widths.len() > MOST_LENGTHS {
        let steps = problem.steps(problem.plain_cost(&first), 0);
        return Some(Found {
            plan: first,
            steps,
            bound: least.min(steps),
        });
    }
    let near: Vec<usize> = first
        .iter()
        .map(|(pattern, _)| search.master.place(pattern.clone()))
        .collect();
    search.improve(first);
    search.waiting.push(Waiting {
        bound: least,
        depth: 0,
        number: 0,
        region: whole,
        near,
    });
    let bound = search.run(work);
    let (steps, plan) = search.best?;
    Some(Found {
        plan,
        steps,
        bound: bound.min(steps),
    })
}

/// All lengths at the least cost of a unit of length, in units. Rests that bring money back do
/// not undercut it, for none is worth more than its stock.
fn by_length(problem: &Problem) -> i64 {
    let widths = problem.widths.iter().zip(&problem.demand);
    let length: i64 = widths.map(|(width, count)| width * i64::from(*count)).sum();
    let rates = problem
        .stock
        .iter()
        .map(|kind| kind.cost as f64 / kind.capacity as f64);
    let rate = rates.min_by(f64::total_cmp).unwrap_or(0.0);
    (length as f64 * rate * (1.0 - 1e-12)).floor() as i64
}

impl Search<'_> {
    /// The bound proven when the search ends.
    fn run(&mut self, work: &mut Work) -> i64 {
        let mut proven = 0;
        while let Some(waiting) = self.waiting.pop() {
            let cutoff = self.cutoff();
            if waiting.bound >= cutoff {
                return cutoff;
            }
            proven = proven.max(waiting.bound);
            if work.is_over() {
                return proven;
            }
            let is_root = waiting.number == 0;
            let relaxed = self
                .master
                .relax(&waiting.region, &waiting.near, cutoff, work);
            let pieces = waiting.region.pieces();
            let bound = self.problem.steps(relaxed.bound, pieces).max(waiting.bound);
            if !relaxed.is_feasible && !work.is_over() || bound >= cutoff {
                continue;
            }
            let tries = if is_root { FIRST_DIVES } else { 1 };
            for skip in 0..tries {
                let part = (&waiting.region, &relaxed);
                let cutoff = self.cutoff();
                if bound >= cutoff {
                    break;
                }
                if let Some(plan) = dive(&mut self.master, part, skip, cutoff, work) {
                    self.improve(plan);
                }
            }
            if bound < self.cutoff() {
                self.branch(&waiting, &relaxed, bound, work);
            }
        }
        self.cutoff()
    }

    fn cutoff(&self) -> i64 {
        self.best.as_ref().map_or(i64::MAX, |(steps, _)| *steps)
    }

    fn improve(&mut self, plan: Plan) {
        let steps = self.problem.steps(self.problem.plain_cost(&plan), 0);
        if steps < self.cutoff() {
            self.best = Some((steps, plan));
        }
    }

    /// Splits a region: on how many sticks of a kind are used, or else on one pattern.
    fn branch(&mut self, waiting: &Waiting, relaxed: &Relaxed, bound: i64, work: &Work) {
        if work.is_over() {
            self.wait(waiting, waiting.region.clone(), bound, relaxed);
            return;
        }
        if let Some((stock, value)) = self.fractional_stock(relaxed) {
            let (least, most) = waiting.region.sticks[stock];
            let down = value.floor() as u32;
            let mut fewer = waiting.region.clone();
            fewer.sticks[stock] = (least, down);
            let mut more = waiting.region.clone();
            more.sticks[stock] = (down + 1, most);
            self.wait(waiting, fewer, bound, relaxed);
            self.wait(waiting, more, bound, relaxed);
            return;
        }
        let Some((place, value)) = fractional_pattern(relaxed) else {
            // A whole solution: its plan was found by the dive, and nothing in the region is better.
            return;
        };
        let down = value.floor() as u32;
        for is_more in [true, false] {
            let mut region = waiting.region.clone();
            let limits = &mut region.limits;
            let at = limits.iter().position(|limit| limit.0 == place);
            let at = at.unwrap_or_else(|| {
                limits.push((place, 0, ENDLESS));
                limits.len() - 1
            });
            if is_more {
                limits[at].1 = down + 1;
            } else {
                limits[at].2 = down;
            }
            self.wait(waiting, region, bound, relaxed);
        }
    }

    fn wait(&mut self, parent: &Waiting, region: Region, bound: i64, relaxed: &Relaxed) {
        self.number += 1;
        self.waiting.push(Waiting {
            bound,
            depth: parent.depth + 1,
            number: self.number,
            region,
            near: relaxed.near.clone(),
        });
    }

    /// The kind of stock whose number of sticks is farthest from a whole one.
    fn fractional_stock(&self, relaxed: &Relaxed) -> Option<(usize, f64)> {
        let mut sticks = vec![0.0; self.problem.stock.len()];
        for (place, value) in &relaxed.solution {
            sticks[self.master.pattern(*place).stock] += value;
        }
        farthest(sticks.into_iter().enumerate())
    }
}

fn fractional_pattern(relaxed: &Relaxed) -> Option<(usize, f64)> {
    farthest(relaxed.solution.iter().copied())
}

/// The value farthest from a whole number, the first of equals.
fn farthest(values: impl Iterator<Item = (usize, f64)>) -> Option<(usize, f64)> {
    let mut found: Option<(f64, usize, f64)> = None;
    for (place, value) in values {
        let part = value - value.floor();
        let from_whole = part.min(1.0 - part);
        if from_whole > 1e-5 && found.is_none_or(|(far, _, _)| from_whole > far + 1e-9) {
            found = Some((from_whole, place, value));
        }
    }
    found.map(|(_, place, value)| (place, value))
}
