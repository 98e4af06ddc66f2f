//! From a relaxation down to a plan: fix the whole part of its solution, round the largest part
//! left up, relax what remains anew with patterns of its own, and so on to the ground.

use super::greedy::fill;
use super::master::{Master, Region, Relaxed};
use super::problem::{ENDLESS, Pattern};
use super::work::Work;

/// A plan as patterns with how many sticks of each.
pub type Plan = Vec<(Pattern, u32)>;

/// Dives from the relaxation of a region; a plan, when one is found that may cost less than
/// `cutoff` steps. `skip` leaves out that many of the best parts at the first rounding, so that
/// another dive from the same place takes another way.
pub fn dive(
    master: &mut Master<'_>,
    (region, relaxed): (&Region, &Relaxed),
    skip: usize,
    cutoff: i64,
    work: &mut Work,
) -> Option<Plan> {
    let problem = master.problem;
    let mut region = Region {
        limits: Vec::new(),
        ..region.clone()
    };
    for range in &mut region.sticks {
        range.0 = 0;
    }
    let mut relaxed = relaxed.clone();
    let mut plan: Plan = Vec::new();
    let mut skip = skip;
    loop {
        fix(master, &relaxed, &mut skip, &mut region, &mut plan);
        if region.pieces() == 0 {
            return Some(plan);
        }
        let spent = problem.plain_cost(&plan).div_euclid(problem.unit);
        if work.is_over() || spent >= cutoff {
            return None;
        }
        let rest = cutoff - spent;
        if let Some(filled) = fill(problem, &region, work) {
            let units = problem.plain_cost(&filled);
            if problem.steps(units + problem.plain_cost(&plan), 0) < cutoff {
                plan.extend(filled);
                return Some(plan);
            }
        }
        let near = std::mem::take(&mut relaxed.near);
        relaxed = master.relax(&region, &near, rest, work);
        if !relaxed.is_feasible || problem.steps(relaxed.bound, region.pieces()) >= rest {
            return None;
        }
    }
}

/// Takes the whole part of a solution into the plan, or else the pattern with the largest part.
fn fix(
    master: &Master<'_>,
    relaxed: &Relaxed,
    skip: &mut usize,
    region: &mut Region,
    plan: &mut Plan,
) {
    let mut is_fixed = false;
    for (place, value) in &relaxed.solution {
        let whole = (value + 1e-6).floor() as u32;
        if whole > 0 {
            is_fixed |= take(master.pattern(*place), whole, region, plan);
        }
    }
    if is_fixed {
        return;
    }
    let mut parts: Vec<&(usize, f64)> = relaxed.solution.iter().collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let chosen = (*skip).min(parts.len().saturating_sub(1));
    *skip = 0;
    for (place, _) in parts.into_iter().skip(chosen) {
        if take(master.pattern(*place), 1, region, plan) {
            return;
        }
    }
}

/// Takes up to `count` sticks of a pattern as far as they are needed and there.
fn take(pattern: &Pattern, count: u32, region: &mut Region, plan: &mut Plan) -> bool {
    let mut left = count.min(region.sticks[pattern.stock].1);
    let mut is_taken = false;
    while left > 0 {
        let Some(cut) = pattern.cut_down(&region.needed) else {
            return is_taken;
        };
        let repeated = cut
            .counts
            .iter()
            .map(|(item, count)| region.needed[*item] / count)
            .min()
            .unwrap_or(1)
            .clamp(1, left);
        for (item, count) in &cut.counts {
            region.needed[*item] -= count * repeated;
        }
        let most = &mut region.sticks[pattern.stock].1;
        if *most < ENDLESS {
            *most -= repeated;
        }
        plan.push((cut, repeated));
        left -= repeated;
        is_taken = true;
    }
    is_taken
}
