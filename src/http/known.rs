//! Answers to items of a bulk call, kept by the text of what was asked: a spreadsheet that is worked
//! out anew sends the same rows again and again. Only what depends on nothing but its question is
//! kept here, and only in memory.

use std::fmt;
use std::sync::Arc;

use quick_cache::sync::Cache;
use quick_cache::{Equivalent, Weighter};

/// Bytes of questions and answers that are kept; beyond that, what was not asked for again goes.
const MOST_BYTES: u64 = 48 * 1024 * 1024;
/// Bytes of an answer that is kept at all.
const MOST_OF_ONE: usize = 256 * 1024;
/// Roughly how many answers that is; the cache makes room for them step by step.
const USUAL_ITEMS: usize = 4_096;

/// Everything that an answer depends on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Question {
    by: Arc<str>,
    item: Box<str>,
}

#[derive(Hash)]
struct Asked<'a> {
    by: &'a str,
    item: &'a str,
}

impl Equivalent<Question> for Asked<'_> {
    fn equivalent(&self, kept: &Question) -> bool {
        *self.by == *kept.by && *self.item == *kept.item
    }
}

#[derive(Debug, Clone)]
struct Bytes;

impl Weighter<Question, Arc<str>> for Bytes {
    fn weight(&self, question: &Question, answer: &Arc<str>) -> u64 {
        (question.item.len() + answer.len()) as u64
    }
}

/// The answers.
pub struct KnownAnswers(Cache<Question, Arc<str>, Bytes>);

impl fmt::Debug for KnownAnswers {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_tuple("KnownAnswers")
            .field(&self.0.len())
            .finish()
    }
}

impl Default for KnownAnswers {
    fn default() -> Self {
        Self(Cache::with_weighter(USUAL_ITEMS, MOST_BYTES, Bytes))
    }
}

impl KnownAnswers {
    /// The answer to an item, where it was asked before by the same rules.
    pub fn get(&self, by: &str, item: &str) -> Option<Arc<str>> {
        self.0.get(&Asked { by, item })
    }

    /// Keeps an answer, unless it is very long.
    pub fn keep(&self, by: &Arc<str>, item: &str, answer: &Arc<str>) {
        if item.len() + answer.len() <= MOST_OF_ONE {
            let by = Arc::clone(by);
            let item = item.into();
            self.0.insert(Question { by, item }, Arc::clone(answer));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_is_found_by_its_question_alone_and_room_is_bounded() {
        let known = KnownAnswers::default();
        let by: Arc<str> = "rules".into();
        known.keep(&by, "a", &"1".into());
        assert_eq!(known.get("rules", "a").as_deref(), Some("1"));
        assert_eq!(known.get("rules", "b"), None);
        assert_eq!(known.get("other", "a"), None);

        let long: Arc<str> = "x".repeat(MOST_OF_ONE).into();
        known.keep(&by, "long", &long);
        assert_eq!(known.get("rules", "long"), None);

        let answer: Arc<str> = "x".repeat(100_000).into();
        for item in 0..1_000 {
            known.keep(&by, &item.to_string(), &answer);
        }
        assert!(known.0.weight() <= MOST_BYTES, "{}", known.0.weight());
        assert!(known.0.len() > 100);
    }
}
