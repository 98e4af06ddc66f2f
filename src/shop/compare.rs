//! The four ways to build a manifold side by side, and the cheapest mix for a schedule.

mod bound;

use rust_decimal::Decimal;

use super::break_even::{BreakEven, break_evens};
use super::estimate::{Books, Estimate, LABOUR, Lacking, Scheduled, TUBE, estimate};
use crate::trade::catalogue::Catalogue;
use crate::trade::check::{Checked, check};
use crate::trade::manifold::{Build, Manifold};
use crate::trade::rule_set::RuleSet;
use crate::trade::takeoff::Takeoff;

/// One way to build one manifold.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildOption {
    /// Which way.
    pub build: Build,
    /// The manifold built that way.
    pub manifold: Manifold,
    /// What the checks say.
    pub checked: Checked,
    /// What it comes to by itself, or what is lacking to say.
    pub priced: Result<Priced, Vec<Lacking>>,
}

impl Mix {
    /// How far the price lies above the bound at most, in percent of the price; `None` where no bound
    /// is known.
    pub fn gap(&self) -> Option<Decimal> {
        let over = (self.price - self.bound?) * Decimal::ONE_HUNDRED;
        Some(over.checked_div(self.price).unwrap_or_default().round_dp(2))
    }
}

impl BuildOption {
    /// Nothing stops it.
    pub fn feasible(&self) -> bool {
        self.checked.stops().next().is_none()
    }
}

/// Figures of one way to build one manifold, for its whole quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Priced {
    /// Hours.
    pub hours: Decimal,
    /// Direct cost.
    pub cost: Decimal,
    /// Net price by itself.
    pub price: Decimal,
    /// What of the cost is tube.
    pub tube: Decimal,
    /// What of it is labour.
    pub labour: Decimal,
}

/// One manifold compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Its mark.
    pub mark: String,
    /// The four ways, in the order of [`Build::ALL`].
    pub builds: Vec<BuildOption>,
    /// What would have to change for another of them to be the cheapest.
    pub break_evens: Vec<BreakEven>,
}

/// The cheapest mix found for a schedule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mix {
    /// The build of each manifold, in the order of the schedule; `None` where none is both
    /// feasible and priced.
    pub builds: Vec<Option<Build>>,
    /// Net price of the manifolds that have one, estimated together.
    pub price: Decimal,
    /// Nothing is cheaper: every combination was priced, or the price meets the bound.
    pub proven: bool,
    /// What no mix is below; `None` where no bound is known.
    pub bound: Option<Decimal>,
    /// How it was found.
    pub basis: String,
}

/// Most combinations that are all priced.
const MOST_COMBINATIONS: usize = 512;
/// Longest schedule that is improved one manifold at a time.
const MOST_IMPROVED: usize = 40;

/// Compares the builds of one manifold.
pub fn compare(
    manifold: &Manifold,
    catalogue: &Catalogue,
    rules: &RuleSet,
    books: Books<'_>,
) -> Comparison {
    let builds: Vec<BuildOption> = Build::ALL
        .into_iter()
        .filter_map(|build| manifold.built_as(build, catalogue))
        .map(|manifold| {
            let checked = check(&manifold, catalogue, rules);
            let priced = price_alone(&manifold, &checked.takeoff, books);
            BuildOption {
                build: manifold.build,
                manifold,
                checked,
                priced,
            }
        })
        .collect();
    Comparison {
        mark: manifold.mark.clone(),
        break_evens: break_evens(&builds, books),
        builds,
    }
}

/// What one manifold comes to by itself, for its whole quantity.
///
/// # Errors
/// Everything that is lacking to say.
pub fn price_alone(
    manifold: &Manifold,
    takeoff: &Takeoff,
    books: Books<'_>,
) -> Result<Priced, Vec<Lacking>> {
    let head = |estimate: &Estimate, name| {
        let amount = estimate.direct_heads.get(name).copied();
        amount.unwrap_or_default()
    };
    estimate(&[Scheduled { manifold, takeoff }], books).map(|estimate| Priced {
        hours: estimate.total_hours(),
        cost: estimate.items.iter().map(|item| item.cost).sum(),
        price: estimate.totals.net,
        tube: head(&estimate, TUBE),
        labour: head(&estimate, LABOUR),
    })
}

/// The cheapest feasible mix: all combinations when they are few, else the best build of each
/// improved one manifold at a time.
pub fn cheapest_mix(comparisons: &[Comparison], books: Books<'_>) -> Mix {
    let choices: Vec<Vec<&BuildOption>> = comparisons.iter().map(candidates).collect();
    let combinations =
        choices
            .iter()
            .map(|options| options.len().max(1))
            .try_fold(1usize, |all, options| {
                all.checked_mul(options)
                    .filter(|all| *all <= MOST_COMBINATIONS)
            });
    let start: Vec<usize> = vec![0; choices.len()];
    let (best, price) = match combinations {
        Some(count) => {
            let all = (0..count).map(|number| digits(number, &choices));
            cheapest(all, &choices, books).unwrap_or((start, Decimal::ZERO))
        }
        None => improved(start, &choices, books),
    };
    let bound = match combinations {
        Some(_) => Some(price),
        None => bound::lower_bound(&choices, &books).map(|bound| bound.min(price)),
    };
    Mix {
        bound,
        builds: best
            .iter()
            .zip(&choices)
            .map(|(pick, options)| options.get(*pick).map(|option| option.build))
            .collect(),
        price,
        proven: bound == Some(price),
        basis: match combinations {
            Some(count) => format!("all {count} combinations of feasible, priced builds were estimated as whole schedules"),
            None => "the cheapest build of each manifold by itself, improved one manifold at a time in schedules of up to 40; too many combinations to price them all, so that the bound takes every set-up, stick, break and practice as paid for by others".to_owned(),
        },
    }
}

/// Feasible and priced builds of a manifold, cheapest by itself first.
fn candidates(comparison: &Comparison) -> Vec<&BuildOption> {
    let mut options: Vec<(&BuildOption, Decimal)> = comparison
        .builds
        .iter()
        .filter(|option| option.feasible())
        .filter_map(|option| {
            option
                .priced
                .as_ref()
                .ok()
                .map(|priced| (option, priced.price))
        })
        .collect();
    options.sort_by(|a, b| a.1.cmp(&b.1).then_with(|| a.0.build.cmp(&b.0.build)));
    options.into_iter().map(|(option, _)| option).collect()
}

fn digits(mut number: usize, choices: &[Vec<&BuildOption>]) -> Vec<usize> {
    choices
        .iter()
        .map(|options| {
            let base = options.len().max(1);
            let digit = number % base;
            number /= base;
            digit
        })
        .collect()
}

/// The cheapest of some mixes. A reserve that is drawn costs ten thousand draws a mix, and is
/// never less than nothing: so mixes come in the order of their price without it, until none that
/// is left could undercut the best.
fn cheapest(
    mixes: impl Iterator<Item = Vec<usize>>,
    choices: &[Vec<&BuildOption>],
    books: Books<'_>,
) -> Option<(Vec<usize>, Decimal)> {
    let plain = books.shop.without_contingency();
    let without = Books {
        shop: &plain,
        ..books
    };
    let draws = books.shop.pricing.contingency_level.is_some();
    let least = if draws { without } else { books };
    let mut mixes: Vec<(Decimal, Vec<usize>)> = mixes
        .filter_map(|picks| mix_price(&picks, choices, least).map(|price| (price, picks)))
        .collect();
    mixes.sort();
    // A price is the sum of unit prices, each rounded: the two may differ by so much the other way.
    let pieces: u32 = choices
        .iter()
        .filter_map(|options| options.first())
        .map(|option| option.manifold.quantity)
        .sum();
    let rounding = Decimal::new(i64::from(pieces), books.shop.currency.decimals());
    let mut best: Option<(Decimal, Vec<usize>)> = None;
    for (least, picks) in mixes {
        if best
            .as_ref()
            .is_some_and(|(price, _)| *price + rounding < least)
        {
            break;
        }
        let price = if draws {
            mix_price(&picks, choices, books)
        } else {
            Some(least)
        };
        let Some(price) = price else {
            continue;
        };
        let found = (price, picks);
        if best.as_ref().is_none_or(|best| found < *best) {
            best = Some(found);
        }
    }
    best.map(|(price, picks)| (picks, price))
}

fn mix_price(picks: &[usize], choices: &[Vec<&BuildOption>], books: Books<'_>) -> Option<Decimal> {
    let schedule: Vec<Scheduled<'_>> = picks
        .iter()
        .zip(choices)
        .filter_map(|(pick, options)| options.get(*pick))
        .map(|option| Scheduled {
            manifold: &option.manifold,
            takeoff: &option.checked.takeoff,
        })
        .collect();
    estimate(&schedule, books)
        .ok()
        .map(|estimate| estimate.totals.net)
}

fn improved(
    start: Vec<usize>,
    choices: &[Vec<&BuildOption>],
    books: Books<'_>,
) -> (Vec<usize>, Decimal) {
    let mut picks = start;
    let mut best = mix_price(&picks, choices, books).unwrap_or_default();
    if picks.len() > MOST_IMPROVED {
        return (picks, best);
    }
    for place in 0..picks.len() {
        for option in 1..choices[place].len() {
            let mut tried = picks.clone();
            tried[place] = option;
            if let Some(price) = mix_price(&tried, choices, books)
                && price < best
            {
                best = price;
                picks = tried;
            }
        }
    }
    (picks, best)
}
