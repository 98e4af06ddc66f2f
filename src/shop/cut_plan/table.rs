//! The same knapsack by a table over every total length, for worths so alike that the search by
//! bounds loses its way.

use super::problem::Problem;
use super::work::Work;

/// The largest table: lengths in their common measure, times rows.
const LARGEST: i64 = 6_000_000;

/// Some of one length taken together: bounded numbers are put together from 1, 2, 4, ... of it.
#[derive(Debug, Clone, Copy)]
struct Bundle {
    item: usize,
    count: i64,
    length: usize,
}

/// The greatest worth for every total length.
#[derive(Debug)]
pub struct Table {
    measure: i64,
    bundles: Vec<Bundle>,
    worths: Vec<i64>,
    /// For each bundle and total: whether the best takes the bundle.
    taken: Vec<Vec<bool>>,
}

/// A total that no pieces come to.
const NONE: i64 = -1;

impl Table {
    /// Fills the table for items `(width, worth, most)` up to a capacity; `None` when it would be
    /// too large.
    pub fn new(items: &[(i64, i64, i64)], capacity: i64, work: &mut Work) -> Option<Self> {
        let measure = items.iter().fold(0, |measure, item| gcd(measure, item.0));
        if measure == 0 {
            return None;
        }
        let size = capacity / measure + 1;
        let mut bundles = Vec::new();
        for (item, (width, _, most)) in items.iter().enumerate() {
            let mut rest = (*most).min(capacity / width);
            let mut count = 1;
            while rest > 0 {
                let now = rest.min(count);
                bundles.push(Bundle {
                    item,
                    count: now,
                    length: (now * width / measure) as usize,
                });
                rest -= now;
                count *= 2;
            }
        }
        let cells = size.checked_mul(bundles.len() as i64)?;
        if cells > LARGEST || cells as u64 > work.left() {
            return None;
        }
        work.spend(cells as u64 / 8);
        let mut worths = vec![NONE; size as usize];
        worths[0] = 0;
        let mut taken = Vec::with_capacity(bundles.len());
        for bundle in &bundles {
            let worth = items[bundle.item].1 * bundle.count;
            taken.push(add(&mut worths, bundle.length, worth));
        }
        Some(Self {
            measure,
            bundles,
            worths,
            taken,
        })
    }

    /// The greatest worth of pieces and rest on one stick of a capacity, and the total that has it.
    pub fn best(&self, problem: &Problem, capacity: i64) -> Option<(i64, usize)> {
        let last = (capacity / self.measure) as usize;
        let mut best: Option<(i64, usize)> = None;
        for (total, worth) in self.worths.iter().enumerate().take(last + 1).skip(1) {
            if *worth == NONE {
                continue;
            }
            let left = capacity - total as i64 * self.measure;
            let worth = worth + problem.value(left);
            if best.is_none_or(|(most, _)| worth > most) {
                best = Some((worth, total));
            }
        }
        best
    }

    /// How many of each item make the best of a total.
    pub fn counts(&self, items: usize, total: usize) -> Vec<i64> {
        let mut counts = vec![0; items];
        let mut total = total;
        for (bundle, taken) in self.bundles.iter().zip(&self.taken).rev() {
            if taken[total] {
                counts[bundle.item] += bundle.count;
                total -= bundle.length;
            }
        }
        counts
    }
}

/// Lets one bundle in; where it is taken.
fn add(worths: &mut [i64], length: usize, worth: i64) -> Vec<bool> {
    let mut taken = vec![false; worths.len()];
    let mut total = worths.len();
    while total > length {
        total -= 1;
        let before = worths[total - length];
        if before != NONE && before + worth > worths[total] {
            worths[total] = before + worth;
            taken[total] = true;
        }
    }
    taken
}

/// The greatest common measure of two lengths.
pub fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
