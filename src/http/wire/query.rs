//! Query parameters and path parts.

use super::{At, Faults, FromWire, code, nearest};
use crate::http::problem::{Problem, Slug};
use axum::extract::{FromRequestParts, Path, Query};
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

/// A set of query parameters; made by `wire_query!`.
pub trait FromQuery: Sized {
    /// The names it has.
    const KNOWN: &'static [&'static str];
    /// Reads them, reporting every fault.
    fn read(pairs: &[(String, String)], faults: &mut Faults) -> Option<Self>;
}

/// Reads one parameter out of the pairs.
pub fn read_pairs<T: FromWire>(
    pairs: &[(String, String)],
    name: &'static str,
    faults: &mut Faults,
) -> Option<T> {
    let at = At::parameter(name);
    let mut values = pairs
        .iter()
        .filter(|(key, _)| key == name)
        .map(|(_, value)| value);
    let Some(first) = values.next() else {
        return T::absent(&at, faults);
    };
    if values.next().is_some() {
        let detail = format!("`{name}` is given more than once; give it once");
        faults.report(&at, code::DUPLICATE_FIELD, detail);
        return None;
    }
    T::read_parameter(first, &at, faults)
}

/// The query parameters of a request, read with every fault at once.
#[derive(Debug, Clone)]
pub struct WireQuery<T>(pub T);

impl<S: Send + Sync, T: FromQuery> FromRequestParts<S> for WireQuery<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Problem> {
        let Query(pairs) = Query::<Vec<(String, String)>>::try_from_uri(&parts.uri)
            .map_err(|error| Problem::new(Slug::InvalidQuery).with_detail(error.body_text()))?;
        let mut faults = Faults::new();
        for (name, _) in pairs
            .iter()
            .filter(|(name, _)| !T::KNOWN.contains(&name.as_str()))
        {
            let detail = match nearest(name, T::KNOWN.iter().copied()) {
                Some(near) => format!("`{name}` is not known here; did you mean `{near}`?"),
                None => format!(
                    "`{name}` is not known here; leave it out, the parameters are {}",
                    T::KNOWN.join(", ")
                ),
            };
            faults.report(&At::parameter(name), code::UNKNOWN_FIELD, detail);
        }
        match T::read(&pairs, &mut faults) {
            Some(read) if faults.is_empty() => Ok(Self(read)),
            _ => Err(Problem::new(Slug::InvalidQuery).with_faults(faults)),
        }
    }
}

/// The variable parts of a path. A part that cannot be read names nothing: 404.
#[derive(Debug, Clone)]
pub struct WirePath<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for WirePath<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        Path::<T>::from_request_parts(parts, state)
            .await
            .map(|Path(read)| Self(read))
            .map_err(|error| Problem::new(Slug::NotFound).with_detail(error.body_text()))
    }
}
