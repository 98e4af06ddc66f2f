//! Seeded draws, and what they say.

use std::sync::OnceLock;

use rand_chacha::ChaCha8Rng;
use rand_core::{RngCore, SeedableRng};

use super::{DRAWS, SEED};

/// Most things that may vary, each with a column of draws.
pub const MOST_PLACES: usize = 16;

/// The draws: for each thing that may vary, how it turns out in every case, as the share of its
/// cases that lie below. They are the same for every estimate, and so drawn once.
pub fn draws() -> &'static [Vec<f64>] {
    static DRAWN: OnceLock<Vec<Vec<f64>>> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        let column = |_| {
            (0..DRAWS)
                .map(|_| unit_interval(random.next_u64()))
                .collect()
        };
        (0..MOST_PLACES).map(column).collect()
    })
}

/// Figures of which so many percent do not exceed a value (nearest rank). Their order is lost.
pub fn quantile(figures: &mut [f64], percent: usize) -> f64 {
    let rank = (percent * figures.len()).div_ceil(100).saturating_sub(1);
    match figures.is_empty() {
        true => 0.0,
        false => *figures.select_nth_unstable_by(rank, f64::total_cmp).1,
    }
}

/// 53 random bits as a number from 0 up to 1.
fn unit_interval(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1u64 << 53) as f64
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

    #[test]
    fn a_quantile_is_the_nearest_rank() {
        let mut figures: Vec<f64> = (1..=200).rev().map(f64::from).collect();
        for (percent, rank) in [(50, 100.0), (99, 198.0), (100, 200.0)] {
            assert!((quantile(&mut figures, percent) - rank).abs() < 1e-12);
        }
        assert!(quantile(&mut [], 50).abs() < 1e-12);
    }
}
