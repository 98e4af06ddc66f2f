//! Choices whose words belong to another room: read by them, written by them.

use std::borrow::Cow;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};
use utoipa::{PartialSchema, ToSchema};

use crate::app::BookState;
use crate::http::wire::{At, Faults, FromWire, schema};
use crate::shop::audit::Deed;
use crate::shop::estimate::Step;
use crate::shop::labour::{Curve, Operation, OperationGroup, TimeSource};
use crate::shop::price_list::{ItemKind, PriceUnit};

/// A choice that says its own words.
pub trait Worded: Copy + 'static {
    /// Every value.
    fn all() -> &'static [Self];
    /// Its word.
    fn of(self) -> &'static str;
    /// What the choice is, for the OpenAPI document.
    const IS: &'static str;
    /// What the document calls it.
    const NAME: &'static str;
}

/// A form that rows are answered in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowsForm {
    /// JSON.
    Json,
    /// Comma-separated values (RFC 4180).
    Csv,
    /// A spreadsheet workbook (ISO/IEC 29500).
    Xlsx,
}

impl RowsForm {
    const ALL: [Self; 3] = [Self::Json, Self::Csv, Self::Xlsx];

    const fn word(self) -> &'static str {
        match self {
            Self::Json => "json",
            Self::Csv => "csv",
            Self::Xlsx => "xlsx",
        }
    }
}

macro_rules! worded {
    ($($kind:ty: $all:expr, $is:literal;)+) => {$(
        impl Worded for $kind {
            fn all() -> &'static [Self] { $all }
            fn of(self) -> &'static str { self.word() }
            const IS: &'static str = $is;
            const NAME: &'static str = stringify!($kind);
        }
    )+};
}

worded! {
    ItemKind: &Self::ALL, "What an item is.";
    PriceUnit: &Self::ALL, "What a price is for: tube by `ft`, `m` or `stick`; fittings and manifolds `each`; filler by `lb` or `kg`; consumables by `joint`.";
    Operation: Self::ALL, "An operation of the bench.";
    OperationGroup: &Self::ALL, "Operations that are booked together.";
    Curve: &Self::ALL, "What the slope speaks of: by `wright` the average time of all units so far, by `crawford` the time of the unit itself.";
    Step: &Self::ALL, "What a figure is of its parts: `given` has none; `sum`, `product`, `greatest`; `difference`, the first less the rest; `quotient`, the first divided by the rest; `rounded`, half away from zero to the decimals shown; `rounded_up` to a whole number.";
    TimeSource: &Self::ALL, "Where a time comes from.";
    Deed: Self::ALL, "What was done.";
    RowsForm: &Self::ALL, "The form of an answer.";
    BookState: &Self::ALL, "Whether it may still change.";
}

/// Such a choice on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Word<T>(pub T);

fn words<T: Worded>() -> Vec<&'static str> {
    T::all().iter().map(|one| one.of()).collect()
}

impl<T: Worded> Serialize for Word<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.of())
    }
}

impl<T: Worded> FromWire for Word<T> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let found = value
            .as_str()
            .and_then(|text| T::all().iter().copied().find(|one| one.of() == text));
        if found.is_none() {
            schema::report_unknown_value(value, at, &words::<T>(), faults);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        format!("one of {}", words::<T>().join(", ")).into()
    }

    fn schema() -> RefOr<Schema> {
        <Self as PartialSchema>::schema()
    }
}

impl<T: Worded> PartialSchema for Word<T> {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .description(Some(T::IS))
            .enum_values(Some(words::<T>()))
            .into()
    }
}

impl<T: Worded> ToSchema for Word<T> {
    fn name() -> Cow<'static, str> {
        T::NAME.into()
    }
}

/// Operations that are booked together.
pub type GroupWord = Word<OperationGroup>;
/// What a figure is of its parts.
pub type StepWord = Word<Step>;
/// What a learning slope speaks of.
pub type CurveWord = Word<Curve>;
/// What an item is.
pub type KindWord = Word<ItemKind>;
/// What a price is for.
pub type UnitWord = Word<PriceUnit>;
/// An operation.
pub type OperationWord = Word<Operation>;
/// Where a time comes from.
pub type SourceWord = Word<TimeSource>;
/// Whether it may still change.
pub type StateWord = Word<BookState>;
/// What was done.
pub type DeedWord = Word<Deed>;
/// The form of an answer.
pub type FormWord = Word<RowsForm>;
