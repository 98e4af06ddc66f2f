//! A first plan: the longest piece left goes on the kind of stick that is cut at the least cost
//! per length used, filled up with the longest that still fit.

use super::master::Region;
use super::problem::{ENDLESS, Pattern, Problem};
use super::work::Work;

/// Kinds of stock tried for each stick.
const TRIED: usize = 24;

/// Fills sticks until nothing is needed; `None` when no stock is left that takes a piece.
pub fn fill(problem: &Problem, region: &Region, work: &mut Work) -> Option<Vec<(Pattern, u32)>> {
    let mut needed = region.needed.clone();
    let mut sticks: Vec<u32> = region.sticks.iter().map(|(_, most)| *most).collect();
    let mut plan = Vec::new();
    let mut longest = 0;
    loop {
        while longest < needed.len() && needed[longest] == 0 {
            longest += 1;
        }
        if longest == needed.len() {
            return Some(plan);
        }
        let mut best: Option<(f64, Pattern)> = None;
        let fitting =
            problem.stock.iter().enumerate().filter(|(stock, kind)| {
                sticks[*stock] > 0 && kind.capacity >= problem.widths[longest]
            });
        for (stock, kind) in fitting.take(TRIED) {
            let pattern = filled(problem, stock, longest, &needed);
            let used = kind.capacity - problem.left(&pattern);
            work.spend(8 + pattern.counts.len() as u64 * 4);
            let rate = problem.cost(&pattern) as f64 / used as f64;
            if best.as_ref().is_none_or(|(least, _)| rate < *least) {
                best = Some((rate, pattern));
            }
        }
        let (_, pattern) = best?;
        let repeated = pattern
            .counts
            .iter()
            .map(|(item, count)| needed[*item] / count)
            .min()
            .unwrap_or(1)
            .min(sticks[pattern.stock])
            .max(1);
        for (item, count) in &pattern.counts {
            needed[*item] -= count * repeated;
        }
        if sticks[pattern.stock] < ENDLESS {
            sticks[pattern.stock] -= repeated;
        }
        plan.push((pattern, repeated));
    }
}

/// A stick filled with the longest pieces that fit, from a place on.
fn filled(problem: &Problem, stock: usize, from: usize, needed: &[u32]) -> Pattern {
    let mut left = problem.stock[stock].capacity;
    let mut counts = Vec::new();
    let mut item = from;
    while item < needed.len() {
        let width = problem.widths[item];
        if width > left {
            item += problem.widths[item..].partition_point(|width| *width > left);
            continue;
        }
        let fits = (left / width).min(i64::from(needed[item])) as u32;
        if fits > 0 {
            counts.push((item, fits));
            left -= width * i64::from(fits);
        }
        item += 1;
    }
    Pattern { stock, counts }
}
