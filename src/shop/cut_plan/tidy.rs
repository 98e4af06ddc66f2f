//! Moves pieces between the sticks of a plan so that what is left gathers on few of them: the same
//! sticks, less scrap.

use super::problem::{Pattern, Problem};

/// Plans of more pieces than this are left as they are: every pair of them would be tried.
const MOST: usize = 1_000;
/// Rounds of moves.
const ROUNDS: usize = 6;

/// A stick as it is laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Laid {
    /// Kind of stock.
    pub stock: usize,
    /// Places of lengths, longest first.
    pub items: Vec<usize>,
    /// Capacity left.
    pub left: i64,
}

impl Laid {
    /// A pattern laid out.
    pub fn of(problem: &Problem, pattern: &Pattern) -> Self {
        let repeated = |(item, count): &(usize, u32)| std::iter::repeat_n(*item, *count as usize);
        Self {
            stock: pattern.stock,
            items: pattern.counts.iter().flat_map(repeated).collect(),
            left: problem.left(pattern),
        }
    }
}

/// Gathers what is left. A move is made when kept length grows or, with the same kept, when the
/// longer rest of the two grows.
pub fn tidy(problem: &Problem, least: Option<i64>, sticks: &mut [Laid]) {
    let pieces: usize = sticks.iter().map(|stick| stick.items.len()).sum();
    if pieces > MOST {
        return;
    }
    let kept = |left: i64| {
        let rest = problem.rest(left);
        if least.is_some_and(|least| rest >= least) {
            rest
        } else {
            0
        }
    };
    let gain = |from: &Laid, to: &Laid, moved: i64| {
        let before = kept(from.left) + kept(to.left);
        let after = kept(from.left + moved) + kept(to.left - moved);
        let longest = from.left.max(to.left);
        let longest_after = (from.left + moved).max(to.left - moved);
        (after, longest_after) > (before, longest)
    };
    for _ in 0..ROUNDS {
        let mut is_changed = false;
        for from in 0..sticks.len() {
            for to in (0..sticks.len()).filter(|to| *to != from) {
                while let Some((out, back, moved)) = exchange(problem, &sticks[from], &sticks[to]) {
                    if !gain(&sticks[from], &sticks[to], moved) {
                        break;
                    }
                    swap(sticks, (from, out), (to, back), moved);
                    is_changed = true;
                }
            }
        }
        if !is_changed {
            return;
        }
    }
}

/// The exchange that takes most off one stick onto another without overfilling it: a piece, or a
/// longer piece for a shorter one. The giver keeps at least one piece.
fn exchange(problem: &Problem, from: &Laid, to: &Laid) -> Option<(usize, Option<usize>, i64)> {
    let mut best: Option<(usize, Option<usize>, i64)> = None;
    for (out, item) in from.items.iter().enumerate() {
        let width = problem.widths[*item];
        let backs = to
            .items
            .iter()
            .map(|item| problem.widths[*item])
            .enumerate();
        let plain = (from.items.len() > 1).then_some((None, width));
        let swaps = backs.map(|(back, other)| (Some(back), width - other));
        for (back, moved) in plain.into_iter().chain(swaps) {
            let most = best.map_or(0, |(_, _, most)| most);
            if moved > most && moved <= to.left {
                best = Some((out, back, moved));
            }
        }
    }
    best
}

fn swap(
    sticks: &mut [Laid],
    (from, out): (usize, usize),
    (to, back): (usize, Option<usize>),
    moved: i64,
) {
    let given = sticks[from].items.remove(out);
    if let Some(back) = back {
        let returned = sticks[to].items.remove(back);
        sticks[from].items.push(returned);
        sticks[from].items.sort_unstable();
    }
    sticks[to].items.push(given);
    sticks[to].items.sort_unstable();
    sticks[from].left += moved;
    sticks[to].left -= moved;
}
