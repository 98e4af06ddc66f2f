//! What price and hours may become, in answers.

use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;

use super::words::{OperationWord, Word};
use crate::http::wire::Money;
use crate::shop::money::Currency;
use crate::shop::risk::{HoursRisk, Percentiles};

/// Net prices that are not exceeded in so many of a hundred cases, as hours vary.
#[derive(Debug, Serialize, ToSchema)]
pub struct PercentilesOut {
    /// In half of them.
    p50: Money,
    /// In eighty of a hundred.
    p80: Money,
    /// In ninety of a hundred.
    p90: Money,
    /// Draws made; 0 when no operation time carries a spread.
    #[schema(example = 10_000)]
    draws: usize,
    /// Seed of the draws: the same estimate gives the same figures.
    #[schema(example = 1)]
    seed: u64,
    /// What they rest on.
    #[schema(
        example = "6 of 14 operation times vary between shortest and longest (triangular, together within a group); material as estimated"
    )]
    basis: String,
    /// The distribution: what net stays below in so many percent of the cases; empty when nothing
    /// varies.
    curve: Vec<CurvePoint>,
    /// What one thing alone does to net: at its low and its high with all else as likely, widest
    /// first.
    swings: Vec<SwingOut>,
    /// What hours may become; `null` when no time carries a shortest and a longest.
    #[schema(required)]
    hours: Option<HoursRiskOut>,
}

/// Hours that are not exceeded in so many of a hundred cases, as decimal texts.
#[derive(Debug, Serialize, ToSchema)]
pub struct HoursRiskOut {
    /// In half of them.
    #[schema(example = "7.3")]
    p50: String,
    /// In eighty of a hundred.
    #[schema(example = "8.1")]
    p80: String,
    /// In ninety of a hundred.
    #[schema(example = "8.6")]
    p90: String,
    /// Their mean over the draws.
    #[schema(example = "7.4")]
    mean: String,
    /// Operations that vary, by three points.
    operations: Vec<ThreePointOut>,
}

/// Hours of an operation by three points, as decimal texts.
#[derive(Debug, Serialize, ToSchema)]
pub struct ThreePointOut {
    /// Which operation.
    operation: OperationWord,
    /// Shortest.
    #[schema(example = "1.1")]
    low: String,
    /// As estimated.
    #[schema(example = "1.4")]
    likely: String,
    /// Longest.
    #[schema(example = "2.2")]
    high: String,
    /// By the triangle, which is what is drawn.
    triangular: MomentsOut,
    /// By PERT (a sixth of shortest, longest and four times likely), for comparison.
    pert: MomentsOut,
}

/// What a distribution comes to, as decimal texts.
#[derive(Debug, Serialize, ToSchema)]
pub struct MomentsOut {
    /// Mean.
    #[schema(example = "1.5667")]
    mean: String,
    /// Standard deviation.
    #[schema(example = "0.2321")]
    deviation: String,
}

impl From<&HoursRisk> for HoursRiskOut {
    fn from(hours: &HoursRisk) -> Self {
        let moments = |(mean, deviation): (Decimal, Decimal)| MomentsOut {
            mean: mean.to_string(),
            deviation: deviation.to_string(),
        };
        let operations = hours.operations.iter();
        Self {
            p50: hours.p50.to_string(),
            p80: hours.p80.to_string(),
            p90: hours.p90.to_string(),
            mean: hours.mean.to_string(),
            operations: operations
                .map(|it| ThreePointOut {
                    operation: Word(it.operation),
                    low: it.low.to_string(),
                    likely: it.likely.to_string(),
                    high: it.high.to_string(),
                    triangular: moments(it.triangular),
                    pert: moments(it.pert),
                })
                .collect(),
        }
    }
}

/// A point of the distribution of the price.
#[derive(Debug, Serialize, ToSchema)]
pub struct CurvePoint {
    /// Percent of the cases.
    #[schema(example = 80)]
    percent: usize,
    /// What net stays below in so many.
    net: Money,
}

/// What one thing alone does to the price.
#[derive(Debug, Serialize, ToSchema)]
pub struct SwingOut {
    /// What varies.
    #[schema(example = "hours of joining")]
    what: String,
    /// Net when it is undercut in one case of ten only.
    low: Money,
    /// Net when it is exceeded in one case of ten only.
    high: Money,
}

impl PercentilesOut {
    /// From percentiles.
    pub fn of(percentiles: &Percentiles, currency: Currency) -> Self {
        let money = |amount| Money::new(amount, currency.code());
        Self {
            p50: money(percentiles.p50),
            p80: money(percentiles.p80),
            p90: money(percentiles.p90),
            draws: percentiles.draws,
            seed: percentiles.seed,
            basis: percentiles.basis.clone(),
            curve: percentiles
                .curve
                .iter()
                .map(|(percent, net)| CurvePoint {
                    percent: *percent,
                    net: money(*net),
                })
                .collect(),
            swings: percentiles
                .swings
                .iter()
                .map(|swing| SwingOut {
                    what: swing.what.clone(),
                    low: money(swing.low),
                    high: money(swing.high),
                })
                .collect(),
            hours: percentiles.hours.as_ref().map(HoursRiskOut::from),
        }
    }
}
