//! Figures that the shop's books are made of: currencies, and decimals that are never negative.

use std::borrow::Cow;

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};

use crate::http::wire::{At, Faults, FromWire, code, given};
use crate::shop::money::{Currency, Percent};

/// The largest sum that settings and lists may hold.
pub const MOST_MONEY: i64 = 1_000_000_000;

/// A sum of money, a price or a rate, in the currency that stands beside it.
pub type SumIn = Upto<MOST_MONEY>;

/// Decimal places that are kept.
const PLACES: u32 = 6;

/// A currency by its code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CurrencyIn(pub Currency);

impl Serialize for CurrencyIn {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.code())
    }
}

impl FromWire for CurrencyIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let found = value.as_str().and_then(|text| Currency::new(text).ok());
        if found.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, "not_a_currency", detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        "the three letters of a currency by ISO 4217, such as \"USD\" or \"EUR\"".into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some("^[A-Za-z]{3}$"))
            .into()
    }
}

/// An exact decimal from 0 to `MAX`, with at most six decimal places. Written as text or number, answered as text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize)]
#[serde(transparent)]
pub struct Upto<const MAX: i64>(Decimal);

impl<const MAX: i64> Upto<MAX> {
    /// One that need not be checked: it comes out of the books.
    pub const fn known(number: Decimal) -> Self {
        Self(number)
    }

    /// The number.
    pub const fn get(self) -> Decimal {
        self.0
    }

    /// The number, as a percentage.
    pub const fn percent(self) -> Percent {
        Percent::new(self.0)
    }
}

impl<const MAX: i64> FromWire for Upto<MAX> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let number = Decimal::read(value, at, faults)?;
        let (code, fault) = if number.is_sign_negative() && !number.is_zero() {
            (code::OUT_OF_RANGE, "is negative")
        } else if number > Decimal::from(MAX) {
            (code::OUT_OF_RANGE, "is too large")
        } else if number.normalize().scale() > PLACES {
            (code::TOO_MANY_DIGITS, "has too many decimal places")
        } else {
            return Some(Self(number));
        };
        let detail = format!("{} {fault}: {number}; give {}", at.name(), Self::wanted());
        faults.report(at, code, detail);
        None
    }

    fn wanted() -> Cow<'static, str> {
        format!("a decimal number from 0 to {MAX} with at most {PLACES} decimal places, such as \"12.50\"").into()
    }

    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(r"^[0-9]{1,28}(\.[0-9]{1,28})?$"));
        let number = ObjectBuilder::new()
            .schema_type(Type::Number)
            .minimum(Some(0.0))
            .maximum(Some(MAX as f64));
        OneOfBuilder::new()
            .item(text)
            .item(number)
            .description(Some(format!(
                "From 0 to {MAX}, at most {PLACES} decimal places."
            )))
            .into()
    }
}
