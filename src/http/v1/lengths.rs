//! Lengths that a saw meets: exact to the nanometre, and never less than they can be.

use std::borrow::Cow;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

use crate::http::wire::{At, Faults, FromWire, LengthIn, code};
use crate::shop::cut_plan::CutLength;

/// A length that something has: more than nothing.
pub type SomeLength = LengthFrom<1>;
/// A length that is cut off or left over, and may be nothing.
pub type Allowance = LengthFrom<0>;

/// A length of so many nanometres at least.
#[derive(Debug, Clone, Copy)]
pub struct LengthFrom<const LEAST: i64>(CutLength);

impl<const LEAST: i64> LengthFrom<LEAST> {
    /// The length.
    pub const fn get(self) -> CutLength {
        self.0
    }
}

impl<const LEAST: i64> Serialize for LengthFrom<LEAST> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<const LEAST: i64> FromWire for LengthFrom<LEAST> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let length = CutLength::nearest(LengthIn::read(value, at, faults)?.get());
        if length >= CutLength::nanometres(LEAST) {
            return Some(Self(length));
        }
        let wanted = if LEAST > 0 {
            "above nothing"
        } else {
            "of nothing or more"
        };
        let detail = format!("{} is {length}; give a length {wanted}", at.name());
        faults.report(at, code::OUT_OF_RANGE, detail);
        None
    }

    fn wanted() -> Cow<'static, str> {
        LengthIn::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <LengthIn as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        LengthIn::components(list);
    }
}
