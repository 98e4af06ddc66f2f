//! Reading requests and writing answers: wire types, and how they are read with every fault at once.
//!
//! A wire type is what a client sends or gets. It is neither a domain type nor a row: handlers
//! map it once. `serde` stops at the first fault, so requests are read from a
//! [`serde_json::Value`] by [`FromWire`], which goes on after a fault and collects them all in
//! [`Faults`]. The macros [`wire_struct!`], [`wire_enum!`], [`wire_union!`] and [`wire_query!`] make a type, its
//! reader and its schema from one definition.

mod at;
mod body;
mod codes;
mod decimal_mark;
mod each;
mod fields;
mod item_texts;
mod list;
mod macros;
mod money;
mod nearest;
mod output;
mod quantity;
mod query;
pub mod schema;
mod strict_json;
mod structure;
#[cfg(test)]
mod tests;
mod text;
#[doc(hidden)]
pub mod union;
mod whole;

pub use at::{At, Fault, Faults, TextPlace};
pub use body::{
    BodyLimit, JsonText, OptionalJson, RawBody, UPLOAD_LIMIT, WireJson, from_json, read_whole,
};
pub use codes::{CODES, FaultCode, code};
pub use decimal_mark::DecimalMark;
pub use each::Each;
pub use fields::{FromWire, given};
pub use item_texts::{ItemTexts, read_item};
pub use list::List;
pub use money::Money;
pub use nearest::nearest;
pub use output::{QuantityOut, Units};
pub use quantity::{
    AngleIn, FlowRateIn, LengthIn, MassIn, PressureIn, QuantityIn, TemperatureIn, VelocityIn,
    VolumeIn, WireQuantity,
};
pub use query::{FromQuery, WirePath, WireQuery, read_pairs};
pub use structure::Fields;
pub use text::{Text, is_unseen, unfit};
pub use whole::Whole;

pub use crate::{wire_enum, wire_query, wire_struct, wire_union};
