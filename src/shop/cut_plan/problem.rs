//! The cutting problem in whole numbers, as the solver sees it: distinct lengths, kinds of stock.

/// No limit on how many there are.
pub const ENDLESS: u32 = u32::MAX;

/// A kind of stock: sticks alike in length, cost and what is left worth keeping.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockKind {
    /// Length for pieces, each taken with a kerf: stick less end trims plus one kerf.
    pub capacity: i64,
    /// Cost in units of the problem, with the small weight that prefers fewer sticks.
    pub cost: i64,
    /// Sticks there are, or [`ENDLESS`].
    pub count: u32,
}

/// What the rest of a stick brings back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keeping {
    /// The shortest rest worth keeping.
    pub least: i64,
    /// Its value is `length x numerator / denominator`, rounded up to a unit.
    pub numerator: i128,
    /// At least 1.
    pub denominator: i128,
}

/// A cutting problem. At least one kind of stock is endless and takes every piece.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Kerf of the saw.
    pub kerf: i64,
    /// Distinct lengths, longest first, each with its kerf.
    pub widths: Vec<i64>,
    /// Pieces of each length.
    pub demand: Vec<u32>,
    /// Kinds of stock.
    pub stock: Vec<StockKind>,
    /// What rests bring back; `None` when nothing.
    pub keeping: Option<Keeping>,
    /// Units of cost in one step of money.
    pub unit: i64,
    /// Every total is a whole number of this many steps; 1 when rests bring money back.
    pub grain: i64,
    /// Units by which a stick is dearer than its cost.
    pub stick_weight: i64,
}

/// How one stick is cut.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pattern {
    /// Place of its kind of stock.
    pub stock: usize,
    /// Places of lengths with how many of each, in order; never empty.
    pub counts: Vec<(usize, u32)>,
}

impl Pattern {
    /// Pieces on the stick.
    pub fn pieces(&self) -> u32 {
        self.counts.iter().map(|(_, count)| count).sum()
    }

    /// The same pattern without what nobody needs any more; `None` when nothing is left.
    pub fn cut_down(&self, needed: &[u32]) -> Option<Self> {
        let mut counts = Vec::with_capacity(self.counts.len());
        for (item, count) in &self.counts {
            let count = (*count).min(needed[*item]);
            if count > 0 {
                counts.push((*item, count));
            }
        }
        (!counts.is_empty()).then_some(Self {
            stock: self.stock,
            counts,
        })
    }
}

impl Problem {
    /// What is left of a capacity when a stick is cut: longer than nothing only behind a kerf.
    pub fn rest(&self, left: i64) -> i64 {
        (left - self.kerf).max(0)
    }

    /// What the unused part of a capacity brings back, in units.
    pub fn value(&self, left: i64) -> i64 {
        let Some(keeping) = &self.keeping else {
            return 0;
        };
        let rest = self.rest(left);
        if rest < keeping.least || rest == 0 {
            return 0;
        }
        let scaled = i128::from(rest) * keeping.numerator;
        ((scaled + keeping.denominator - 1) / keeping.denominator) as i64
    }

    /// At least the value of a unit of length, for bounds.
    pub fn value_rate(&self) -> f64 {
        self.keeping.as_ref().map_or(0.0, |keeping| {
            keeping.numerator as f64 / keeping.denominator as f64 * (1.0 + 1e-12)
        })
    }

    /// Capacity that a pattern leaves unused.
    pub fn left(&self, pattern: &Pattern) -> i64 {
        let used: i64 = pattern
            .counts
            .iter()
            .map(|(item, count)| self.widths[*item] * i64::from(*count))
            .sum();
        self.stock[pattern.stock].capacity - used
    }

    /// Cost of a pattern in units, less what its rest brings back.
    pub fn cost(&self, pattern: &Pattern) -> i64 {
        self.stock[pattern.stock].cost - self.value(self.left(pattern))
    }

    /// The least total in steps that a plan of at least so many units can have, when it uses at
    /// most `sticks` sticks.
    pub fn steps(&self, units: i64, sticks: u32) -> i64 {
        let units = units - self.stick_weight * i64::from(sticks);
        if self.keeping.is_some() {
            // Totals are shown rounded, half up.
            return (units + self.unit / 2).div_euclid(self.unit);
        }
        let grain = self.unit * self.grain;
        -((-units).div_euclid(grain)) * self.grain
    }

    /// Cost of a whole plan in units, without the weight of sticks.
    pub fn plain_cost(&self, plan: &[(Pattern, u32)]) -> i64 {
        plan.iter()
            .map(|(pattern, count)| (self.cost(pattern) - self.stick_weight) * i64::from(*count))
            .sum()
    }
}
