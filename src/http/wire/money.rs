//! Money in answers.

use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;

/// An exact sum of money.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Money {
    /// The amount as a decimal text, never a binary number.
    #[schema(example = "1234.50", pattern = r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$")]
    pub amount: String,
    /// ISO 4217 code of the currency.
    #[schema(example = "USD", pattern = "^[A-Z]{3}$")]
    pub currency: String,
}

impl Money {
    /// From an amount that the caller has already rounded as the currency asks.
    pub fn new(amount: Decimal, currency: impl Into<String>) -> Self {
        Self {
            amount: amount.to_string(),
            currency: currency.into(),
        }
    }
}
