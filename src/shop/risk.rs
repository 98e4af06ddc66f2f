//! What the price may become as hours vary.
//!
//! Each operation's hours follow a triangle from shortest to longest with the likely time at
//! its peak. Operations of one group vary together (one draw a group), groups independently.
//! The seed is fixed and told, so the same estimate gives the same figures everywhere.

use rand_chacha::ChaCha8Rng;
use rand_core::{RngCore, SeedableRng};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::estimate::{Books, Estimate, TimedOperation, price_of};
use super::labour::{OperationGroup, Spread};

/// How many times hours are drawn.
pub const DRAWS: usize = 10_000;
/// The seed of the draws.
pub const SEED: u64 = 1;

/// Prices that are not exceeded in so many of a hundred cases.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Percentiles {
    /// In half of them.
    pub p50: Decimal,
    /// In eighty of a hundred.
    pub p80: Decimal,
    /// In ninety of a hundred.
    pub p90: Decimal,
    /// Draws made; none when no operation has a spread.
    pub draws: usize,
    /// Seed of the draws.
    pub seed: u64,
    /// What they rest on.
    pub basis: String,
}

/// Draws the hours of an estimate and prices them.
pub fn percentiles(estimate: &Estimate, books: &Books<'_>) -> Percentiles {
    let times = &estimate.times;
    let rate = books.shop.pricing.crew_rate.unwrap_or_default()
        * (Decimal::ONE + books.shop.pricing.burden.share());
    let rate = rate.to_f64().unwrap_or(0.0);
    let other = estimate.cost_without_labour.to_f64().unwrap_or(0.0);
    let price = |hours: f64| price_of(other, hours * rate, books);
    let spread = times
        .iter()
        .filter(|timed| timed.time.spread.is_some())
        .count();
    let money = |value: f64| {
        books
            .shop
            .currency
            .round(Decimal::from_f64_retain(value).unwrap_or_default())
    };
    if spread == 0 {
        let same = estimate.totals.net;
        return Percentiles {
            p50: same,
            p80: same,
            p90: same,
            draws: 0,
            seed: SEED,
            basis: "no operation time carries a shortest and a longest, so the price is the same at every level".to_owned(),
        };
    }
    let prices = drawn_prices(times, price);
    let at =
        |percent: usize| money(prices[(percent * prices.len()).div_ceil(100).saturating_sub(1)]);
    Percentiles {
        p50: at(50),
        p80: at(80),
        p90: at(90),
        draws: DRAWS,
        seed: SEED,
        basis: format!(
            "{spread} of {} operation times vary between shortest and longest (triangular, together within a group); material as estimated",
            times.len()
        ),
    }
}

fn drawn_prices(times: &[TimedOperation], price: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let mut prices: Vec<f64> = (0..DRAWS)
        .map(|_| {
            let luck = OperationGroup::ALL.map(|group| (group, unit_interval(random.next_u64())));
            let hours = times.iter().map(|timed| {
                let group = timed.time.operation.group();
                let luck = luck
                    .iter()
                    .find(|(known, _)| *known == group)
                    .map_or(0.5, |(_, luck)| *luck);
                timed.hours.to_f64().unwrap_or(0.0) * factor(timed.time.spread, luck)
            });
            price(hours.sum())
        })
        .collect();
    prices.sort_by(f64::total_cmp);
    prices
}

/// 53 random bits as a number from 0 up to 1.
fn unit_interval(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1u64 << 53) as f64
}

fn factor(spread: Option<Spread>, luck: f64) -> f64 {
    let Some(spread) = spread else { return 1.0 };
    let low = spread.low.to_f64().unwrap_or(1.0);
    let high = spread.high.to_f64().unwrap_or(1.0);
    triangular(low, 1.0, high, luck)
}

/// The value below which a triangular variable falls with probability `p` (inverse distribution;
/// any statistics handbook).
pub fn triangular(low: f64, peak: f64, high: f64, p: f64) -> f64 {
    let width = high - low;
    if width <= 0.0 {
        return peak;
    }
    let rising = (peak - low) / width;
    if p < rising {
        low + (p * width * (peak - low)).sqrt()
    } else {
        high - ((1.0 - p) * width * (high - peak)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn triangular_quantiles_are_the_reference_ones() {
        // scipy 1.x: scipy.stats.triang(c=1/3, loc=0.8, scale=0.6).ppf([.1, .5, .9]) (from memory of the
        // closed form: low + sqrt(p w (m-l)), high - sqrt((1-p) w (h-m))).
        for (p, value) in [(0.1, 0.909_544_5), (0.5, 1.053_589_8), (0.9, 1.245_080_7)] {
            assert!(
                (triangular(0.8, 1.0, 1.4, p) - value).abs() < 1e-6,
                "{p}: {}",
                triangular(0.8, 1.0, 1.4, p)
            );
        }
    }
}
