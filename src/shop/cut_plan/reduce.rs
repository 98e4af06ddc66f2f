//! From a job to the problem the solver sees: like lengths together, money in whole units.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::problem::{ENDLESS, Keeping, Problem, StockKind};
use super::table::gcd;
use super::{CutJob, Keep};

/// Units of cost in a step of money, when the sums allow it.
const FINEST: i64 = 1 << 20;
/// Sums of cost stay below this, so that binary fractions hold them exactly.
const LARGEST_SUM: i128 = 1 << 50;

/// A problem, and how it goes back to the job.
#[derive(Debug)]
pub struct Reduced {
    /// The problem.
    pub problem: Problem,
    /// Lines of pieces behind each length.
    pub lines: Vec<Vec<usize>>,
    /// Lines of stock behind each kind; none for the kind that stands for stock there is not.
    pub stock: Vec<Vec<usize>>,
    /// Decimals of a step of money.
    pub decimals: u32,
}

/// Reduces a job without faults.
pub fn reduce(job: &CutJob) -> Reduced {
    let (widths, demand, lines) = lengths(job);
    let decimals = decimals(job);
    let shortest = widths.last().copied().unwrap_or(0);
    let longest = widths.first().copied().unwrap_or(0);
    let pieces: u32 = demand.iter().sum();
    let mut kinds = kinds(job, decimals, shortest);
    let valued = job.keep.as_ref().filter(|keep| !keep.value.is_zero());
    let measure = kinds
        .iter()
        .fold(0, |measure, kind| gcd(measure, kind.0.cost));
    let grain = if valued.is_some() { 1 } else { measure.max(1) };
    if !kinds
        .iter()
        .any(|(kind, _)| kind.count == ENDLESS && kind.capacity >= longest)
    {
        kinds.push((stand_in(&kinds, pieces, grain), Vec::new()));
    }
    let dearest = kinds.iter().map(|(kind, _)| kind.cost).max().unwrap_or(1);
    let mut unit = FINEST;
    while unit > 1 && i128::from(dearest) * i128::from(unit) * i128::from(pieces) > LARGEST_SUM {
        unit /= 2;
    }
    // All sticks of a plan together weigh less than a step.
    let stick_weight = unit / (4 * i64::from(pieces.max(1)));
    let keeping = valued.map(|keep| keeping(keep, decimals, unit));
    let (stock, behind) = kinds
        .into_iter()
        .map(|(kind, lines)| {
            let cost = kind.cost * unit + stick_weight;
            (StockKind { cost, ..kind }, lines)
        })
        .unzip();
    Reduced {
        problem: Problem {
            kerf: job.kerf.in_nanometres(),
            widths,
            demand,
            stock,
            keeping,
            unit,
            grain,
            stick_weight,
        },
        lines,
        stock: behind,
        decimals,
    }
}

/// Decimals in which every cost is whole.
fn decimals(job: &CutJob) -> u32 {
    let costs = job.stock.iter();
    let most = costs.map(|stock| stock.cost.normalize().scale()).max();
    most.unwrap_or(0).max(job.decimals)
}

fn keeping(keep: &Keep, decimals: u32, unit: i64) -> Keeping {
    Keeping {
        least: keep.least.in_nanometres(),
        numerator: i128::from(scaled(keep.value, decimals + 6)) * i128::from(unit),
        denominator: i128::from(keep.per.in_nanometres()) * 1_000_000,
    }
}

/// Distinct lengths with kerf, longest first, how many of each, and the lines behind them.
fn lengths(job: &CutJob) -> (Vec<i64>, Vec<u32>, Vec<Vec<usize>>) {
    let mut order: Vec<usize> = (0..job.pieces.len()).collect();
    order.sort_by_key(|line| (std::cmp::Reverse(job.pieces[*line].length), *line));
    let (mut widths, mut demand, mut lines) = (Vec::new(), Vec::new(), Vec::<Vec<usize>>::new());
    for line in order {
        let piece = &job.pieces[line];
        let width = (piece.length + job.kerf).in_nanometres();
        match (lines.last_mut(), demand.last_mut()) {
            (Some(alike), Some(count)) if widths.last() == Some(&width) => {
                alike.push(line);
                *count += piece.count;
            }
            _ => {
                widths.push(width);
                demand.push(piece.count);
                lines.push(vec![line]);
            }
        }
    }
    (widths, demand, lines)
}

/// Kinds of stock that take a piece at all, with costs in steps; lines alike are one kind.
fn kinds(job: &CutJob, decimals: u32, shortest: i64) -> Vec<(StockKind, Vec<usize>)> {
    let mut kinds: Vec<(StockKind, Vec<usize>)> = Vec::new();
    for (line, stock) in job.stock.iter().enumerate() {
        let capacity = (stock.length - stock.trim + job.kerf).in_nanometres();
        if capacity < shortest {
            continue;
        }
        let cost = scaled(stock.cost, decimals);
        let count = stock.count.unwrap_or(ENDLESS);
        let alike = kinds
            .iter_mut()
            .find(|(kind, _)| kind.capacity == capacity && kind.cost == cost);
        match alike {
            Some((kind, lines)) => {
                kind.count = kind.count.saturating_add(count);
                lines.push(line);
            }
            None => kinds.push((
                StockKind {
                    capacity,
                    cost,
                    count,
                },
                vec![line],
            )),
        }
    }
    kinds
}

/// Stands for stock there is not: so dear that every plan without it costs less.
fn stand_in(kinds: &[(StockKind, Vec<usize>)], pieces: u32, grain: i64) -> StockKind {
    let dearest = kinds.iter().map(|(kind, _)| kind.cost).max().unwrap_or(0);
    let most: i64 = kinds
        .iter()
        .map(|(kind, _)| kind.cost * i64::from(kind.count.min(pieces)))
        .sum::<i64>()
        .min(dearest * i64::from(pieces));
    StockKind {
        capacity: kinds
            .iter()
            .map(|(kind, _)| kind.capacity)
            .max()
            .unwrap_or(0),
        cost: (most / grain + 1) * grain,
        count: ENDLESS,
    }
}

/// A decimal as a whole number of its last decimal.
fn scaled(amount: Decimal, decimals: u32) -> i64 {
    let mut amount = amount;
    amount.rescale(decimals);
    amount.mantissa().to_i64().unwrap_or(i64::MAX)
}
