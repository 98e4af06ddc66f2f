//! Items that are judged one by one: a bad one does not spoil the rest.

use super::{At, Faults, FromWire, List};
use serde::{Serialize, Serializer};
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

/// A list of 1 to `MAX` items, each read for itself. The list's own faults (no list, too long) are
/// faults of the request; those of an item stay with it, with pointers from the top of the body.
#[derive(Debug, Clone)]
pub struct Each<T, const MAX: usize>(Vec<Result<T, Faults>>);

impl<T, const MAX: usize> Each<T, MAX> {
    /// The items in order: read, or what is wrong with them.
    pub fn as_slice(&self) -> &[Result<T, Faults>] {
        &self.0
    }

    /// The items, owned.
    pub fn into_vec(self) -> Vec<Result<T, Faults>> {
        self.0
    }
}

/// One item, read without spoiling its neighbours.
struct Apart<T>(Result<T, Faults>);

impl<T: FromWire> FromWire for Apart<T> {
    fn read(value: &Value, at: &At<'_>, _faults: &mut Faults) -> Option<Self> {
        let mut own = Faults::new();
        let read = T::read(value, at, &mut own);
        Some(Self(match read {
            Some(item) if own.is_empty() => Ok(item),
            _ => Err(own),
        }))
    }

    fn wanted() -> Cow<'static, str> {
        T::wanted()
    }

    fn schema() -> RefOr<Schema> {
        T::schema()
    }
}

impl<T: FromWire, const MAX: usize> FromWire for Each<T, MAX> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let items = List::<Apart<T>, MAX>::read(value, at, faults)?;
        Some(Self(
            items.into_vec().into_iter().map(|item| item.0).collect(),
        ))
    }

    fn wanted() -> Cow<'static, str> {
        List::<T, MAX>::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <List<T, MAX> as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::components(list);
    }
}

/// A faulty item is `null`.
impl<T: Serialize, const MAX: usize> Serialize for Each<T, MAX> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|item| item.as_ref().ok()))
    }
}
