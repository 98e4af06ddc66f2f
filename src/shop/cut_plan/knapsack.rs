//! The best way to cut one stick when every length has a worth: a bounded knapsack, searched
//! depth first with bounds.

use super::problem::{Pattern, Problem};
use super::table::Table;
use super::work::Work;

/// Steps of a search before a table is tried instead.
const FIRST_LIMIT: u64 = 10_000;
/// Steps of a search where no table helps.
const LAST_LIMIT: u64 = 200_000;

/// What a search for the best pattern of one kind of stock found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Best {
    /// No pattern is worth more than this.
    pub at_most: i64,
    /// The best pattern found, with its worth.
    pub pattern: Option<(Pattern, i64)>,
}

/// A length that may be cut.
#[derive(Debug, Clone, Copy)]
struct Item {
    place: usize,
    width: i64,
    worth: i64,
    most: i64,
    /// Worth of a unit of length.
    rate: f64,
}

/// Worths of lengths, ready for searches over several kinds of stock.
#[derive(Debug)]
pub struct Knapsack<'a> {
    problem: &'a Problem,
    items: Vec<Item>,
    /// The shortest width from each place of `items` on.
    shortest: Vec<i64>,
    value_rate: f64,
    /// Made when first wanted; inside, `None` when it would be too large.
    table: Option<Option<Table>>,
}

/// The state of one search.
struct Search<'s> {
    chosen: Vec<i64>,
    best: i64,
    best_chosen: Vec<i64>,
    found: bool,
    banned: &'s [Pattern],
    steps: u64,
}

impl<'a> Knapsack<'a> {
    /// Lengths by worth per length. `worths` are in units of cost and not negative; no more of a
    /// length is taken than `needed`.
    pub fn new(problem: &'a Problem, worths: &[i64], needed: &[u32]) -> Self {
        let mut items: Vec<Item> = Vec::with_capacity(worths.len());
        for (place, &width) in problem.widths.iter().enumerate() {
            // A piece worth nothing still makes a stick of which the rest is worth something.
            let is_of_use = worths[place] > 0 || problem.keeping.is_some();
            if is_of_use && needed[place] > 0 {
                items.push(Item {
                    place,
                    width,
                    worth: worths[place],
                    most: i64::from(needed[place]),
                    rate: worths[place] as f64 / width as f64,
                });
            }
        }
        items.sort_by(|a, b| b.rate.total_cmp(&a.rate).then(a.place.cmp(&b.place)));
        let mut shortest = vec![i64::MAX; items.len() + 1];
        for place in (0..items.len()).rev() {
            shortest[place] = shortest[place + 1].min(items[place].width);
        }
        Self {
            problem,
            items,
            shortest,
            value_rate: problem.value_rate(),
            table: None,
        }
    }

    /// The pattern of a kind of stock with the greatest worth of pieces and rest, none of
    /// `banned`, if it is worth more than `floor`.
    pub fn best(&mut self, stock: usize, floor: i64, banned: &[Pattern], work: &mut Work) -> Best {
        let mut search = Search {
            chosen: vec![0; self.items.len()],
            best: floor,
            best_chosen: Vec::new(),
            found: false,
            banned,
            steps: 0,
        };
        let mut is_whole = self.search(stock, &mut search, work.left().min(FIRST_LIMIT));
        work.spend(search.steps);
        if !is_whole {
            if let Some(best) = self.by_table(stock, floor, banned, work) {
                return best;
            }
            let limit = work.left().min(LAST_LIMIT);
            let before = search.steps;
            is_whole = self.search(stock, &mut search, limit);
            work.spend(search.steps - before);
        }
        let at_most = if is_whole {
            search.best
        } else {
            let capacity = self.problem.stock[stock].capacity;
            let rate = self.items.first().map_or(0.0, |item| item.rate);
            let rate = rate.max(self.value_rate);
            search.best.max((capacity as f64 * rate).ceil() as i64 + 1)
        };
        let pattern = search
            .found
            .then(|| (self.pattern(stock, &search.best_chosen), search.best));
        Best { at_most, pattern }
    }

    /// The best by table; `None` when the table would be too large, or is of no use because its
    /// best pattern is banned.
    fn by_table(
        &mut self,
        stock: usize,
        floor: i64,
        banned: &[Pattern],
        work: &mut Work,
    ) -> Option<Best> {
        let table = match &self.table {
            Some(table) => table.as_ref()?,
            None => {
                let items: Vec<(i64, i64, i64)> = self
                    .items
                    .iter()
                    .map(|item| (item.width, item.worth, item.most))
                    .collect();
                let stock = self.problem.stock.iter();
                let longest = stock.map(|kind| kind.capacity).max().unwrap_or(0);
                self.table
                    .insert(Table::new(&items, longest, work))
                    .as_ref()?
            }
        };
        let (worth, total) = table.best(self.problem, self.problem.stock[stock].capacity)?;
        if worth <= floor {
            return Some(Best {
                at_most: floor,
                pattern: None,
            });
        }
        let counts = table.counts(self.items.len(), total);
        let pattern = self.pattern(stock, &counts);
        (!banned.contains(&pattern)).then_some(Best {
            at_most: worth,
            pattern: Some((pattern, worth)),
        })
    }

    fn pattern(&self, stock: usize, chosen: &[i64]) -> Pattern {
        let mut counts: Vec<(usize, u32)> = self
            .items
            .iter()
            .zip(chosen)
            .filter(|(_, count)| **count > 0)
            .map(|(item, count)| (item.place, *count as u32))
            .collect();
        counts.sort_unstable();
        Pattern { stock, counts }
    }

    /// Depth first: as many as fit of the best length first, then ever fewer. Whether the search
    /// came to its end within `limit` steps.
    fn search(&self, stock: usize, search: &mut Search<'_>, limit: u64) -> bool {
        let count = self.items.len();
        search.chosen.fill(0);
        let mut left = self.problem.stock[stock].capacity;
        let mut worth = 0_i64;
        let mut place = 0;
        let mut taken: Vec<usize> = Vec::with_capacity(16);
        // The length of which one fewer was just taken.
        let mut lowered: Option<usize> = None;
        loop {
            // Down: fill with what comes next while that could still beat the best.
            while place < count && left >= self.shortest[place] {
                search.steps += 1;
                let item = &self.items[place];
                let rate = item.rate.max(self.value_rate);
                if worth as f64 + left as f64 * rate < search.best as f64 + 0.5 {
                    // Still fewer of it cannot do better, when it is worth more by length than all
                    // that could come in its place.
                    let tried = lowered.filter(|place| self.items[*place].rate >= rate);
                    if let Some(last) = tried {
                        let count = std::mem::take(&mut search.chosen[last]);
                        left += count * self.items[last].width;
                        worth -= count * self.items[last].worth;
                        taken.retain(|taken| *taken != last);
                    }
                    break;
                }
                lowered = None;
                if item.width <= left {
                    let fits = (left / item.width).min(item.most);
                    search.chosen[place] = fits;
                    taken.push(place);
                    left -= fits * item.width;
                    worth += fits * item.worth;
                    self.weigh(stock, (left, worth), search);
                }
                place += 1;
            }
            if search.steps >= limit {
                return false;
            }
            // Back: one fewer of what was taken last.
            let Some(&last) = taken.last() else {
                return true;
            };
            search.steps += 1;
            search.chosen[last] -= 1;
            left += self.items[last].width;
            worth -= self.items[last].worth;
            if search.chosen[last] == 0 {
                taken.pop();
            }
            if !taken.is_empty() && (self.problem.keeping.is_some() || !search.banned.is_empty()) {
                self.weigh(stock, (left, worth), search);
            }
            lowered = Some(last);
            place = last + 1;
        }
    }

    fn weigh(&self, stock: usize, (left, worth): (i64, i64), search: &mut Search<'_>) {
        let total = if self.problem.keeping.is_some() {
            worth + self.problem.value(left)
        } else {
            worth
        };
        if total <= search.best {
            return;
        }
        if !search.banned.is_empty() {
            let pattern = self.pattern(stock, &search.chosen);
            if search.banned.contains(&pattern) {
                return;
            }
        }
        search.best = total;
        search.best_chosen.clone_from(&search.chosen);
        search.found = true;
    }
}
