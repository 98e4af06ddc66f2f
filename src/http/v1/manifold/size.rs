//! Lengths and pressures of a manifold: quantities that must lie above zero and within reason.

use std::borrow::Cow;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

use crate::http::wire::{At, Faults, FromWire, LengthIn, PressureIn, code};
use crate::trade::quantity::{Length, Pressure};

/// Longest run and stub that are taken: 100 m, far beyond any bench.
const LONGEST: Length = Length::metres(100.0);
/// Highest design pressure taken: far beyond any copper tube.
const HIGHEST: Pressure = Pressure::psi(10_000.0);

macro_rules! within {
    ($(#[doc = $doc:literal])* $name:ident($inner:ty) -> $value:ty, $fits:expr, $says:literal) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name($inner);

        impl $name {
            /// The quantity.
            pub fn get(&self) -> $value {
                self.0.get()
            }

            /// As the client wrote it, for messages.
            pub fn written(&self) -> &str {
                self.0.written()
            }
        }

        /// As it was written, so that a request can be echoed and read again.
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                self.0.serialize(serializer)
            }
        }

        impl FromWire for $name {
            fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
                let read = <$inner>::read(value, at, faults)?;
                let fits: fn($value) -> bool = $fits;
                if fits(read.get()) {
                    return Some(Self(read));
                }
                let detail = format!("{} is {}; give {}", at.name(), read.written(), $says);
                faults.report(at, code::OUT_OF_RANGE, detail);
                None
            }

            fn wanted() -> Cow<'static, str> {
                <$inner>::wanted()
            }

            fn schema() -> RefOr<Schema> {
                <$inner>::schema()
            }

            fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
                <$inner>::components(list);
            }
        }
    };
}

within! {
    /// A length of a manifold: above zero, up to 100 m.
    SizeIn(LengthIn) -> Length,
    |length| length > Length::ZERO && length <= LONGEST,
    "a length above zero, up to 100 m"
}

within! {
    /// A design pressure: gauge, from 0 to 10 000 psi.
    DesignPressureIn(PressureIn) -> Pressure,
    |pressure| pressure >= Pressure::ZERO && pressure <= HIGHEST,
    "a gauge pressure from 0 to 10 000 psi"
}
