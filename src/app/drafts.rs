//! What price lists and labour models have in common: a draft may change until it is published.

use jiff::civil::Date;
use serde::de::Error as _;
use uuid::Uuid;

use super::{AppError, AppFault};
use crate::store::Written;

/// Whether a list or model may still change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BookState {
    /// It may still change; it holds only where it is named.
    Draft,
    /// It never changes again; it holds from its day on.
    Published,
}

impl BookState {
    /// Both states.
    pub const ALL: [Self; 2] = [Self::Draft, Self::Published];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Published => "published",
        }
    }
}

/// Reads a stored word as one of the values it may be.
pub(super) fn stored_word<T: Copy>(
    what: &'static str,
    word: &str,
    all: &[T],
    word_of: fn(T) -> &'static str,
) -> Result<T, AppError> {
    let found = all.iter().copied().find(|one| word_of(*one) == word);
    found.ok_or_else(|| damaged(what, &format!("unknown word {word:?}")))
}

/// Something stored that does not read.
pub(super) fn damaged(what: &'static str, why: &str) -> AppError {
    AppError::Damaged {
        what,
        source: serde_json::Error::custom(why),
    }
}

/// The new version of a change, or why there was none.
pub(super) fn settled(kind: &'static str, id: Uuid, written: Written) -> Result<i64, AppError> {
    match written {
        Written::Done(version) => Ok(version),
        Written::Missing => Err(AppError::not_found(kind, id)),
        Written::Stale => Err(AppError::Stale),
        Written::Fixed => Err(frozen(kind, id)),
    }
}

/// One that is published already and takes effect on the same day.
pub(super) struct SameDay<'a> {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: &'a str,
    /// The day.
    pub day: Date,
}

/// Refuses a second truth for one day, unless it says that it takes the place of the first.
pub(super) fn no_overlap(
    kind: &'static str,
    other: Option<SameDay<'_>>,
    in_place_of: Option<Uuid>,
) -> Result<(), AppError> {
    let Some(other) = other else {
        return match in_place_of {
            None => Ok(()),
            Some(id) => Err(overlap(format!(
                "no published {kind} {id} takes effect on the same day, so that this one cannot take its place; leave `in_place_of` out"
            ))),
        };
    };
    if in_place_of == Some(other.id) {
        return Ok(());
    }
    Err(overlap(format!(
        "it takes effect on {}, as does the published {kind} {:?} ({}); give it another day, or publish it with `in_place_of` {} so that it takes that one's place",
        other.day, other.name, other.id, other.id
    )))
}

fn overlap(detail: String) -> AppError {
    AppError::Unprocessable {
        detail: "Two that are published would hold from the same day.".to_owned(),
        faults: vec![AppFault {
            pointer: "/effective_on".to_owned(),
            code: "overlapping_dates",
            detail,
        }],
    }
}

/// Refuses to change what is published.
pub(super) fn frozen(kind: &str, id: Uuid) -> AppError {
    AppError::Conflict(format!(
        "The {kind} {id} is published, and what is published never changes, since estimates and quotes rest on it. Make a new one with a later effective_on instead."
    ))
}
