//! The plan as people read it: which pieces on which stick, and that it all adds up.

use rust_decimal::{Decimal, RoundingStrategy};

use super::fault::CutError;
use super::problem::{ENDLESS, Pattern};
use super::reduce::Reduced;
use super::search::Found;
use super::tidy::{Laid, tidy};
use super::{CutJob, CutLength};

/// One stick and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutStick {
    /// Place of its line of stock.
    pub stock: usize,
    /// Places of lines of pieces, one for each piece, longest first.
    pub pieces: Vec<usize>,
    /// What cuts turn to swarf.
    pub kerf: CutLength,
    /// What is left behind the last cut.
    pub rest: CutLength,
    /// Whether the rest is worth keeping.
    pub is_kept: bool,
}

/// Where all the stock goes: `stock = pieces + kerf + trim + kept + scrap`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Balance {
    /// Sticks as they come.
    pub stock: CutLength,
    /// Pieces.
    pub pieces: CutLength,
    /// Swarf.
    pub kerf: CutLength,
    /// Cut off the ends.
    pub trim: CutLength,
    /// Offcuts worth keeping.
    pub kept: CutLength,
    /// Rests that are not.
    pub scrap: CutLength,
}

impl std::iter::Sum for Balance {
    fn sum<I: Iterator<Item = Self>>(balances: I) -> Self {
        balances.fold(Self::default(), |sum, it| Self {
            stock: sum.stock + it.stock,
            pieces: sum.pieces + it.pieces,
            kerf: sum.kerf + it.kerf,
            trim: sum.trim + it.trim,
            kept: sum.kept + it.kept,
            scrap: sum.scrap + it.scrap,
        })
    }
}

/// How to cut a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutPlan {
    /// No plan costs less.
    pub is_proven: bool,
    /// Cost of the stock, less the value of offcuts kept.
    pub cost: Decimal,
    /// No plan costs less than this; equal to `cost` when proven.
    pub bound: Decimal,
    /// Cost of the stock alone.
    pub stock_cost: Decimal,
    /// The sticks, in the order of the lines of stock, alike ones together.
    pub sticks: Vec<CutStick>,
    /// Where all the stock goes.
    pub balance: Balance,
}

/// The plan that was found for a job.
///
/// # Errors
/// [`CutError::NotEnough`] when it needs stock there is not.
pub fn made(job: &CutJob, reduced: &Reduced, found: Option<Found>) -> Result<CutPlan, CutError> {
    let Some(found) = found else {
        let all = job.pieces.iter().enumerate();
        return Err(CutError::NotEnough(
            all.map(|(line, piece)| (line, piece.count)).collect(),
        ));
    };
    let mut left_over: Vec<Pattern> = Vec::new();
    let mut laid: Vec<Laid> = Vec::new();
    for (pattern, count) in &found.plan {
        for _ in 0..*count {
            if reduced.stock[pattern.stock].is_empty() {
                left_over.push(pattern.clone());
            } else {
                laid.push(Laid::of(&reduced.problem, pattern));
            }
        }
    }
    if !left_over.is_empty() {
        return Err(CutError::NotEnough(missing(job, reduced, &left_over)));
    }
    let least = job.keep.as_ref().map(|keep| keep.least.in_nanometres());
    if reduced.problem.keeping.is_none() {
        tidy(&reduced.problem, least, &mut laid);
    }
    let sticks = sticks(job, reduced, laid);
    let balance = balance(job, &sticks);
    let stock_cost: Decimal = sticks.iter().map(|stick| job.stock[stick.stock].cost).sum();
    let cost = cost(job, reduced.decimals, stock_cost, balance.kept);
    let is_proven = found.bound >= found.steps;
    let bound = Decimal::new(found.bound, reduced.decimals);
    Ok(CutPlan {
        is_proven,
        cost,
        bound: if is_proven { cost } else { bound.min(cost) },
        stock_cost,
        sticks,
        balance,
    })
}

/// Cost of the stock less the value of what is kept, exact but for the last decimal.
fn cost(job: &CutJob, decimals: u32, stock: Decimal, kept: CutLength) -> Decimal {
    let value = job.keep.as_ref().map_or(Decimal::ZERO, |keep| {
        let kept = Decimal::from(kept.in_nanometres());
        keep.value * kept / Decimal::from(keep.per.in_nanometres())
    });
    let strategy = RoundingStrategy::MidpointAwayFromZero;
    let mut cost = (stock - value).round_dp_with_strategy(decimals, strategy);
    cost.rescale(decimals);
    cost
}

/// Lines of pieces that only stock there is not would take.
fn missing(job: &CutJob, reduced: &Reduced, left_over: &[Pattern]) -> Vec<(usize, u32)> {
    let mut short = vec![0_u32; job.pieces.len()];
    let mut by_length = vec![0_u32; reduced.lines.len()];
    for pattern in left_over {
        for (item, count) in &pattern.counts {
            by_length[*item] += count;
        }
    }
    for (lines, mut count) in reduced.lines.iter().zip(by_length) {
        for line in lines.iter().rev() {
            let here = count.min(job.pieces[*line].count);
            short[*line] += here;
            count -= here;
        }
    }
    let lines = short.into_iter().enumerate();
    lines.filter(|(_, count)| *count > 0).collect()
}

/// Gives every stick its line of stock and every piece its line.
fn sticks(job: &CutJob, reduced: &Reduced, mut laid: Vec<Laid>) -> Vec<CutStick> {
    laid.sort_by(|a, b| a.stock.cmp(&b.stock).then_with(|| a.items.cmp(&b.items)));
    let mut stock_left: Vec<u32> = job
        .stock
        .iter()
        .map(|it| it.count.unwrap_or(ENDLESS))
        .collect();
    let mut pieces_left: Vec<u32> = job.pieces.iter().map(|piece| piece.count).collect();
    let next = |lines: &[usize], left: &mut Vec<u32>| {
        let line = lines.iter().copied().find(|line| left[*line] > 0);
        let line = line.or(lines.first().copied()).unwrap_or(0);
        if left[line] < ENDLESS {
            left[line] = left[line].saturating_sub(1);
        }
        line
    };
    let mut sticks: Vec<CutStick> = laid
        .into_iter()
        .map(|laid| {
            let line = next(&reduced.stock[laid.stock], &mut stock_left);
            let pieces: Vec<usize> = laid
                .items
                .iter()
                .map(|item| next(&reduced.lines[*item], &mut pieces_left))
                .collect();
            let stock = &job.stock[line];
            let cut: CutLength = pieces.iter().map(|piece| job.pieces[*piece].length).sum();
            let rest = CutLength::nanometres(reduced.problem.rest(laid.left));
            CutStick {
                stock: line,
                pieces,
                kerf: stock.length - stock.trim - cut - rest,
                rest,
                is_kept: job.keep.as_ref().is_some_and(|keep| rest >= keep.least),
            }
        })
        .collect();
    sticks.sort_by_key(|stick| stick.stock);
    sticks
}

fn balance(job: &CutJob, sticks: &[CutStick]) -> Balance {
    let mut balance = Balance::default();
    for stick in sticks {
        let stock = &job.stock[stick.stock];
        let cut: CutLength = stick
            .pieces
            .iter()
            .map(|piece| job.pieces[*piece].length)
            .sum();
        balance.stock = balance.stock + stock.length;
        balance.trim = balance.trim + stock.trim;
        balance.pieces = balance.pieces + cut;
        balance.kerf = balance.kerf + stick.kerf;
        if stick.is_kept {
            balance.kept = balance.kept + stick.rest;
        } else {
            balance.scrap = balance.scrap + stick.rest;
        }
    }
    balance
}
