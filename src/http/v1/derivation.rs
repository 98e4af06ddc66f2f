//! How a figure came about, in answers.

use serde::Serialize;
use utoipa::ToSchema;

use super::words::{StepWord, Word};
use crate::shop::estimate::{Derivation, Explanation};

/// A figure and how it came about: `value` is `step` of the values of `parts`.
#[derive(Debug, Serialize, ToSchema)]
pub struct DerivationOut {
    /// What it is.
    #[schema(example = "rate of an hour")]
    what: String,
    /// The figure, as a decimal text.
    #[schema(example = "64.8")]
    value: String,
    /// Its unit; empty for a bare number.
    #[schema(example = "USD")]
    unit: String,
    /// What it is of its parts.
    step: StepWord,
    /// Where a given figure comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "shop setting")]
    source: Option<String>,
    /// Place of the line, from 0, whose amount it is or is a part of.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = 3)]
    line: Option<usize>,
    /// What it was made from; none for what was given.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(no_recursion)]
    parts: Vec<DerivationOut>,
}

impl From<Derivation> for DerivationOut {
    fn from(derivation: Derivation) -> Self {
        Self {
            what: derivation.what,
            value: derivation.value.to_string(),
            unit: derivation.unit,
            step: Word(derivation.step),
            source: derivation.source,
            line: derivation.line,
            parts: derivation.parts.into_iter().map(Self::from).collect(),
        }
    }
}

/// How every figure of an estimate came about.
#[derive(Debug, Serialize, ToSchema)]
pub struct Derivations {
    /// The amount of each of `lines`, in their order.
    lines: Vec<DerivationOut>,
    /// The price of one, for each of `items` that has a price, in their order.
    items: Vec<DerivationOut>,
    /// The amount of each of `taxes`, in their order.
    taxes: Vec<DerivationOut>,
}

impl From<Explanation> for Derivations {
    fn from(explanation: Explanation) -> Self {
        let out = |each: Vec<Derivation>| each.into_iter().map(DerivationOut::from).collect();
        Self {
            lines: out(explanation.lines),
            items: out(explanation.items),
            taxes: out(explanation.taxes),
        }
    }
}
