//! What price lists and labour models have in common: a draft may change until it is published.

use serde::de::Error as _;
use uuid::Uuid;

use super::AppError;
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

/// Refuses to change what is published.
pub(super) fn frozen(kind: &str, id: Uuid) -> AppError {
    AppError::Conflict(format!(
        "The {kind} {id} is published, and what is published never changes, since estimates and quotes rest on it. Make a new one with a later effective_on instead."
    ))
}
