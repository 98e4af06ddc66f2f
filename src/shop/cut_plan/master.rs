//! Column generation (Gilmore and Gomory, Operations Research 9, 1961): the linear relaxation over
//! all patterns there could be, and a lower bound that holds in whole numbers.

use std::collections::BTreeMap;

use super::knapsack::Knapsack;
use super::problem::{ENDLESS, Pattern, Problem};
use super::simplex::{Sense, Simplex};
use super::work::Work;

/// A part of all plans: what is still needed and what branching has settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Region {
    /// Pieces of each length.
    pub needed: Vec<u32>,
    /// Least and most sticks of each kind of stock.
    pub sticks: Vec<(u32, u32)>,
    /// Least and most sticks cut by patterns of the pool.
    pub limits: Vec<(usize, u32, u32)>,
}

/// What the relaxation of a region came to.
#[derive(Debug, Clone)]
pub struct Relaxed {
    /// No plan of the region costs fewer units; with the weight of sticks.
    pub bound: i64,
    /// The region may hold plans.
    pub is_feasible: bool,
    /// Patterns of the pool with how many sticks, in order.
    pub solution: Vec<(usize, f64)>,
    /// Patterns worth starting from in a part of the region.
    pub near: Vec<usize>,
}

/// The patterns found so far.
#[derive(Debug)]
pub struct Master<'a> {
    /// The problem.
    pub problem: &'a Problem,
    patterns: Vec<Pattern>,
    places: BTreeMap<Pattern, usize>,
    dearest: i64,
}

/// The rows of one relaxation.
struct Rows {
    rows: Vec<(Sense, f64)>,
    items: Vec<Option<usize>>,
    sticks: Vec<(Option<usize>, Option<usize>)>,
    limits: Vec<(Option<usize>, Option<usize>)>,
}

/// Duals in whole units.
struct Worths {
    items: Vec<i64>,
    sticks: Vec<i64>,
    limits: Vec<i64>,
    /// What the duals promise as a whole.
    promise: i64,
}

impl Region {
    /// Everything still open.
    pub fn whole(problem: &Problem) -> Self {
        Self {
            needed: problem.demand.clone(),
            sticks: problem.stock.iter().map(|stock| (0, stock.count)).collect(),
            limits: Vec::new(),
        }
    }

    /// Pieces still needed.
    pub fn pieces(&self) -> u32 {
        self.needed.iter().sum()
    }

    fn rows(&self) -> Rows {
        let mut rows = Vec::new();
        let mut row = |sense: Sense, right: u32| {
            rows.push((sense, f64::from(right)));
            rows.len() - 1
        };
        let mut items = Vec::with_capacity(self.needed.len());
        for &needed in &self.needed {
            items.push((needed > 0).then(|| row(Sense::AtLeast, needed)));
        }
        let mut range = |least: u32, most: u32| {
            let at_least = (least > 0).then(|| row(Sense::AtLeast, least));
            let at_most = (most < ENDLESS).then(|| row(Sense::AtMost, most));
            (at_least, at_most)
        };
        let sticks = self.sticks.iter().map(|(a, b)| range(*a, *b)).collect();
        let limits = self.limits.iter().map(|(_, a, b)| range(*a, *b)).collect();
        Rows {
            rows,
            items,
            sticks,
            limits,
        }
    }
}

impl Rows {
    fn cells(&self, region: &Region, place: usize, pattern: &Pattern) -> Vec<(usize, f64)> {
        let mut cells = Vec::with_capacity(pattern.counts.len() + 2);
        for (item, count) in &pattern.counts {
            if let Some(row) = self.items[*item] {
                cells.push((row, f64::from(*count)));
            }
        }
        let (at_least, at_most) = self.sticks[pattern.stock];
        cells.extend(at_least.into_iter().chain(at_most).map(|row| (row, 1.0)));
        for ((limited, _, _), (at_least, at_most)) in region.limits.iter().zip(&self.limits) {
            if *limited == place {
                let both = at_least.iter().chain(at_most);
                cells.extend(both.map(|row| (*row, 1.0)));
            }
        }
        cells
    }

    fn worths(&self, region: &Region, duals: &[f64]) -> Worths {
        let positive = |row: Option<usize>| row.map_or(0, |row| (duals[row].round() as i64).max(0));
        let negative = |row: Option<usize>| row.map_or(0, |row| (duals[row].round() as i64).min(0));
        let mut promise = 0;
        let mut items = Vec::with_capacity(self.items.len());
        for (row, needed) in self.items.iter().zip(&region.needed) {
            let worth = positive(*row);
            promise += worth * i64::from(*needed);
            items.push(worth);
        }
        let mut sticks = Vec::with_capacity(self.sticks.len());
        for ((at_least, at_most), (least, most)) in self.sticks.iter().zip(&region.sticks) {
            let (more, less) = (positive(*at_least), negative(*at_most));
            promise += more * i64::from(*least) + less * i64::from(*most);
            sticks.push(more + less);
        }
        let mut limits = Vec::with_capacity(self.limits.len());
        for ((at_least, at_most), (_, least, most)) in self.limits.iter().zip(&region.limits) {
            let (more, less) = (positive(*at_least), negative(*at_most));
            promise += more * i64::from(*least) + less * i64::from(*most);
            limits.push(more + less);
        }
        Worths {
            items,
            sticks,
            limits,
            promise,
        }
    }
}

impl Worths {
    fn of(&self, pattern: &Pattern) -> i64 {
        let worth = |(item, count): &(usize, u32)| self.items[*item] * i64::from(*count);
        pattern.counts.iter().map(worth).sum()
    }
}

impl<'a> Master<'a> {
    /// No patterns yet.
    pub fn new(problem: &'a Problem) -> Self {
        Self {
            problem,
            patterns: Vec::new(),
            places: BTreeMap::new(),
            dearest: problem
                .stock
                .iter()
                .map(|kind| kind.cost)
                .max()
                .unwrap_or(1)
                .max(1),
        }
    }

    /// A pattern of the pool.
    pub fn pattern(&self, place: usize) -> &Pattern {
        &self.patterns[place]
    }

    /// The place of a pattern in the pool.
    pub fn place(&mut self, pattern: Pattern) -> usize {
        if let Some(place) = self.places.get(&pattern) {
            return *place;
        }
        self.places.insert(pattern.clone(), self.patterns.len());
        self.patterns.push(pattern);
        self.patterns.len() - 1
    }

    /// Relaxes a region, starting from patterns of the pool; ends early when no plan of the region
    /// can cost less than `cutoff` steps.
    pub fn relax(
        &mut self,
        region: &Region,
        near: &[usize],
        cutoff: i64,
        work: &mut Work,
    ) -> Relaxed {
        let rows = region.rows();
        let scale = self.dearest as f64;
        let mut program = Simplex::new(&rows.rows, scale * 10.0, scale);
        let mut columns: Vec<usize> = Vec::new();
        let mut present = vec![false; self.patterns.len()];
        let limited = region.limits.iter().map(|(place, _, _)| *place);
        for place in near.iter().copied().chain(limited) {
            self.bring_in(
                region,
                &rows,
                place,
                (&mut program, &mut columns, &mut present),
            );
        }
        let banned: Vec<Pattern> = region
            .limits
            .iter()
            .map(|(place, _, _)| self.patterns[*place].clone())
            .collect();
        let mut bound = 0;
        let mut duals = Vec::new();
        loop {
            let is_optimal = program.solve(&mut duals, work);
            let worths = rows.worths(region, &duals);
            let (found, least) = self.price(region, &worths, &banned, work);
            bound = bound.max(least);
            let sticks = region.pieces();
            let settled = self.problem.steps(bound, sticks);
            if settled >= cutoff || settled >= self.problem.steps(program.cost() as i64, sticks) {
                break;
            }
            let before = columns.len();
            for pattern in found {
                let place = self.place(pattern);
                present.resize(self.patterns.len(), false);
                self.bring_in(
                    region,
                    &rows,
                    place,
                    (&mut program, &mut columns, &mut present),
                );
            }
            if columns.len() == before || !is_optimal || work.is_over() {
                break;
            }
        }
        self.relaxed(&program, &columns, &duals, bound)
    }

    fn relaxed(&self, program: &Simplex, columns: &[usize], duals: &[f64], bound: i64) -> Relaxed {
        let tolerance = self.dearest as f64 * 0.02;
        let solution = program.solution().into_iter();
        let is_near = |column: &usize| program.reduced_cost(*column, duals) < tolerance;
        Relaxed {
            bound,
            is_feasible: program.missed() < 1e-6,
            solution: solution
                .map(|(column, value)| (columns[column], value))
                .collect(),
            near: (0..columns.len())
                .filter(is_near)
                .map(|column| columns[column])
                .collect(),
        }
    }

    /// Brings a pattern into a program, cut down to what the region needs.
    fn bring_in(
        &mut self,
        region: &Region,
        rows: &Rows,
        place: usize,
        (program, columns, present): (&mut Simplex, &mut Vec<usize>, &mut Vec<bool>),
    ) {
        let Some(pattern) = self.patterns[place].cut_down(&region.needed) else {
            return;
        };
        if region.sticks[pattern.stock].1 == 0 {
            return;
        }
        let is_limited = region
            .limits
            .iter()
            .any(|(limited, _, _)| *limited == place);
        let (place, pattern) = if is_limited || pattern == self.patterns[place] {
            (place, self.patterns[place].clone())
        } else {
            (self.place(pattern.clone()), pattern)
        };
        present.resize(self.patterns.len(), false);
        if present[place] {
            return;
        }
        present[place] = true;
        let cells = rows.cells(region, place, &pattern);
        program.add(self.problem.cost(&pattern) as f64, cells);
        columns.push(place);
    }

    /// The best pattern of each kind of stock by these worths, where it improves, and the bound
    /// that the worths prove.
    fn price(
        &self,
        region: &Region,
        worths: &Worths,
        banned: &[Pattern],
        work: &mut Work,
    ) -> (Vec<Pattern>, i64) {
        let mut knapsack = Knapsack::new(self.problem, &worths.items, &region.needed);
        let mut found = Vec::new();
        let pieces = i64::from(region.pieces());
        let mut excess = 0_i64;
        let mut share = 1.0_f64;
        for (stock, kind) in self.problem.stock.iter().enumerate() {
            let (_, most) = region.sticks[stock];
            if most == 0 {
                continue;
            }
            let price = kind.cost - worths.sticks[stock];
            let best = knapsack.best(stock, price, banned, work);
            let gain = best.at_most - price;
            if gain > 0 {
                excess = excess.saturating_add(gain.saturating_mul(i64::from(most).min(pieces)));
                share = share.min(kind.cost as f64 / (kind.cost + gain) as f64);
            }
            if let Some((pattern, worth)) = best.pattern
                && worth - price > i64::from(pattern.pieces()) * 2 + 16
            {
                found.push(pattern);
            }
        }
        // Limited patterns are left out above.
        for ((place, _, most), worth) in region.limits.iter().zip(&worths.limits) {
            let pattern = &self.patterns[*place];
            let worth = worth + worths.sticks[pattern.stock] + worths.of(pattern);
            let cost = self.problem.cost(pattern);
            if worth > cost {
                let most = i64::from(*most).min(pieces);
                excess = excess.saturating_add((worth - cost).saturating_mul(most));
                share = share.min(cost as f64 / worth as f64);
            }
        }
        let by_excess = worths.promise.saturating_sub(excess);
        let by_share = if self.problem.keeping.is_none() && worths.promise > 0 {
            // Farley (Operations Research 38, 1990): duals shrunk until no pattern is worth more
            // than it costs.
            (worths.promise as f64 * share * (1.0 - 1e-12)).floor() as i64 - 1
        } else {
            i64::MIN
        };
        (found, by_excess.max(by_share))
    }
}
