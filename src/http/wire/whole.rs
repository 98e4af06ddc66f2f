//! Whole numbers with a range.

use super::{At, Faults, FromWire, code, fields};
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

/// The largest whole number that every JSON reader keeps exactly (RFC 8259 section 6): 2^53 - 1.
const SAFE: i64 = 9_007_199_254_740_991;

/// A whole number from `MIN` to `MAX`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Whole<const MIN: i64, const MAX: i64>(i64);

impl<const MIN: i64, const MAX: i64> Whole<MIN, MAX> {
    /// The number.
    pub const fn get(self) -> i64 {
        self.0
    }
}

fn wanted(min: i64, max: i64) -> String {
    format!("a whole number from {min} to {max}")
}

/// Reads a number, written with or without `.0`, or as the text of a query parameter.
fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        _ => None,
    }
}

fn check(number: f64, (min, max): (i64, i64), at: &At<'_>, faults: &mut Faults) -> Option<i64> {
    let fault = if number.fract().abs() > 0.0 {
        code::NOT_WHOLE
    } else if number < min as f64 || number > max as f64 {
        code::OUT_OF_RANGE
    } else {
        return Some(number as i64);
    };
    let detail = format!("{} is {number}; give {}", at.name(), wanted(min, max));
    faults.report(at, fault, detail);
    None
}

impl<const MIN: i64, const MAX: i64> FromWire for Whole<MIN, MAX> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match number(value) {
            Some(number) => check(number, (MIN, MAX), at, faults).map(Self),
            None => fields::wrong_type(value, at, faults),
        }
    }

    fn wanted() -> Cow<'static, str> {
        wanted(MIN, MAX).into()
    }

    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match text.parse::<i64>() {
            Ok(number) => check(number as f64, (MIN, MAX), at, faults).map(Self),
            Err(_) => fields::wrong_type(&Value::from(text), at, faults),
        }
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::Integer)
            .minimum(Some(MIN as f64))
            .maximum(Some(MAX as f64))
            .into()
    }
}

macro_rules! plain_whole {
    ($($kind:ty: $min:expr, $max:expr;)+) => {$(
        impl FromWire for $kind {
            fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
                Whole::<{ $min }, { $max }>::read(value, at, faults)
                    .and_then(|whole| Self::try_from(whole.get()).ok())
            }
            fn wanted() -> Cow<'static, str> {
                Whole::<{ $min }, { $max }>::wanted()
            }
            fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
                Whole::<{ $min }, { $max }>::read_parameter(text, at, faults)
                    .and_then(|whole| Self::try_from(whole.get()).ok())
            }
            fn schema() -> RefOr<Schema> {
                <Whole<{ $min }, { $max }> as FromWire>::schema()
            }
        }
    )+};
}

plain_whole! {
    u32: 0, u32::MAX as i64;
    u64: 0, SAFE;
    i64: -SAFE, SAFE;
}
