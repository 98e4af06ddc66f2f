//! Lists with a length.

use super::{At, Faults, FromWire, code, fields};
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{ArrayBuilder, Schema};

/// Items of a list that does not say otherwise.
const USUAL_MOST: usize = 10_000;

/// A list of `MIN` to `MAX` items.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(transparent)]
pub struct List<T, const MAX: usize, const MIN: usize = 1>(Vec<T>);

impl<T, const MAX: usize, const MIN: usize> List<T, MAX, MIN> {
    /// The items.
    pub fn as_slice(&self) -> &[T] {
        &self.0
    }

    /// The items, owned.
    pub fn into_vec(self) -> Vec<T> {
        self.0
    }
}

impl<T: FromWire, const MAX: usize, const MIN: usize> FromWire for List<T, MAX, MIN> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::Array(items) = value else {
            return fields::wrong_type(value, at, faults);
        };
        let count = items.len();
        if count < MIN || count > MAX {
            let code = if count < MIN {
                code::TOO_FEW
            } else {
                code::TOO_MANY
            };
            let detail = format!("{} has {count} items; give {MIN} to {MAX}", at.name());
            faults.report(at, code, detail);
            return None;
        }
        // Every item is read, so that every fault is found, before the list is judged.
        let read: Vec<Option<T>> = items
            .iter()
            .enumerate()
            .map(|(index, item)| T::read(item, &at.index(index), faults))
            .collect();
        read.into_iter().collect::<Option<Vec<T>>>().map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        format!("a list of {MIN} to {MAX} items").into()
    }

    fn schema() -> RefOr<Schema> {
        let schema = ArrayBuilder::new().items(T::schema()).max_items(Some(MAX));
        let schema = if MIN > 0 {
            schema.min_items(Some(MIN))
        } else {
            schema
        };
        schema.into()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::components(list);
    }
}

/// Any list of usual length, also an empty one.
impl<T: FromWire> FromWire for Vec<T> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        List::<T, USUAL_MOST, 0>::read(value, at, faults).map(List::into_vec)
    }

    fn wanted() -> Cow<'static, str> {
        "a list".into()
    }

    fn schema() -> RefOr<Schema> {
        <List<T, USUAL_MOST, 0> as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::components(list);
    }
}
