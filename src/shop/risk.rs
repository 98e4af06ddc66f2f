//! What the price may become as hours and prices vary.
//!
//! Each operation's hours, and the prices of each cost head, follow a triangle from lowest to
//! highest with the likely value at its peak. Operations of one group vary together (one draw a
//! group), groups and heads independently. The seed is fixed and told, so the same estimate gives
//! the same figures everywhere.

mod draw;
mod exposure;
mod three_point;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::estimate::{Books, Estimate, PriceOf};

pub use draw::triangular;
use exposure::Cost;
pub use exposure::Exposure;
pub use three_point::{Moments, ThreePoint};

/// How many times hours and prices are drawn.
pub const DRAWS: usize = 10_000;
/// The seed of the draws.
pub const SEED: u64 = 1;
/// Steps of the curve, in percent.
const CURVE_STEP: usize = 5;
/// Where a variable stands at its low and its high in the swings, as shares of its cases: what is
/// rarer says little (common practice).
const SWING: (f64, f64) = (0.1, 0.9);

/// What the price may become.
#[derive(Debug, Clone, PartialEq)]
pub struct Percentiles {
    /// In half of all cases it stays below this.
    pub p50: Decimal,
    /// In eighty of a hundred.
    pub p80: Decimal,
    /// In ninety of a hundred.
    pub p90: Decimal,
    /// Draws made; none when nothing has a spread.
    pub draws: usize,
    /// Seed of the draws.
    pub seed: u64,
    /// What they rest on.
    pub basis: String,
    /// Percent of the cases, and what the price stays below in so many: 5, 10, ... 95; empty when
    /// nothing has a spread.
    pub curve: Vec<(usize, Decimal)>,
    /// The price with one thing at its low and its high and all else as likely, widest first.
    pub swings: Vec<Swing>,
    /// What hours may become; `None` when none has a spread.
    pub hours: Option<HoursRisk>,
}

/// What the hours of a schedule may become.
#[derive(Debug, Clone, PartialEq)]
pub struct HoursRisk {
    /// In half of all cases they stay below this.
    pub p50: Decimal,
    /// In eighty of a hundred.
    pub p80: Decimal,
    /// In ninety of a hundred.
    pub p90: Decimal,
    /// Their mean over the draws.
    pub mean: Decimal,
    /// Operations that vary, by three points.
    pub operations: Vec<ThreePoint>,
}

/// What one thing alone does to the price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swing {
    /// The group of operations, or the cost head.
    pub what: String,
    /// Net price with it at its low: undercut in one case of ten.
    pub low: Decimal,
    /// Net price with it at its high: exceeded in one case of ten.
    pub high: Decimal,
}

/// Draws the hours and prices of an estimate.
pub fn percentiles(estimate: &Estimate, books: &Books<'_>) -> Percentiles {
    let exposure = Exposure::of(&estimate.direct_heads, &estimate.times, books);
    let money = |value: f64| money(value, books);
    let prices = PriceOf::books(books);
    let price = |cost: Cost| prices.price(cost.other, cost.labour);
    if !exposure.varies() {
        let same = estimate.totals.net;
        return Percentiles {
            p50: same,
            p80: same,
            p90: same,
            draws: 0,
            seed: SEED,
            basis: "no operation time carries a shortest and a longest and no price a lowest and a highest, so the price is the same at every level".to_owned(),
            curve: Vec::new(),
            swings: Vec::new(),
            hours: None,
        };
    }
    let drawn = exposure.drawn();
    let hours = hours_risk(&drawn, estimate, books);
    let mut prices: Vec<f64> = drawn.into_iter().map(price).collect();
    let mut at = |percent: usize| money(draw::quantile(&mut prices, percent));
    let mut swings: Vec<Swing> = exposure
        .names()
        .into_iter()
        .map(|(place, what)| Swing {
            what,
            low: money(price(exposure.only(place, SWING.0))),
            high: money(price(exposure.only(place, SWING.1))),
        })
        .collect();
    // The sort keeps the order of the work among equals.
    swings.sort_by_key(|swing| std::cmp::Reverse(swing.high - swing.low));
    let steps = (CURVE_STEP..100).step_by(CURVE_STEP);
    Percentiles {
        p50: at(50),
        p80: at(80),
        p90: at(90),
        draws: DRAWS,
        seed: SEED,
        basis: exposure.basis(books),
        curve: steps.map(|percent| (percent, at(percent))).collect(),
        swings,
        hours,
    }
}

/// Hours vary as what they cost does.
fn hours_risk(drawn: &[Cost], estimate: &Estimate, books: &Books<'_>) -> Option<HoursRisk> {
    let times = estimate.times.iter();
    let operations: Vec<ThreePoint> = times.filter_map(ThreePoint::of).collect();
    let rate = books.shop.pricing.hourly_rate()?.to_f64()?;
    if operations.is_empty() || rate <= 0.0 {
        return None;
    }
    let mut hours: Vec<f64> = drawn.iter().map(|cost| cost.labour / rate).collect();
    let mean = hours.iter().sum::<f64>() / hours.len() as f64;
    let mut at = |percent: usize| three_point::hours(draw::quantile(&mut hours, percent));
    Some(HoursRisk {
        p50: at(50),
        p80: at(80),
        p90: at(90),
        mean: three_point::hours(mean),
        operations,
    })
}

/// How far the cost with overhead at a level lies above what it is in half of all cases, over the
/// draws of [`percentiles`]; nothing when nothing varies.
pub fn reserve(exposure: &Exposure, level: u32, books: &Books<'_>) -> Decimal {
    if !exposure.varies() {
        return Decimal::ZERO;
    }
    let prices = PriceOf::books(books);
    let costs = exposure.drawn().into_iter();
    let mut costs: Vec<f64> = costs
        .map(|cost| prices.cost(cost.other, cost.labour))
        .collect();
    let half = draw::quantile(&mut costs, 50);
    let spread = draw::quantile(&mut costs, level as usize) - half;
    money(spread.max(0.0), books)
}

fn money(value: f64, books: &Books<'_>) -> Decimal {
    let value = Decimal::from_f64_retain(value).unwrap_or_default();
    books.shop.currency.round(value)
}
