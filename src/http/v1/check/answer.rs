//! A check's answer, put together from the texts of its items: what was checked before by the same
//! rules is neither read nor worked out again.

use std::sync::Arc;

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::{CheckedItem, ManifoldIn};
use crate::http::bulk::{BulkFailure, BulkSummary};
use crate::http::known::KnownAnswers;
use crate::http::problem::{Problem, Slug};
use crate::http::v1::bulk::{ManifoldsIn, UsedProfile};
use crate::http::wire::{At, Faults, ItemTexts, from_json, read_item};
use crate::trade::catalogue::Catalogue;
use crate::trade::manifold::Manifold;

/// The list of a request.
pub const LIST: &str = "manifolds";

/// A manifold of a request.
pub struct Wanted {
    /// Its text, where that says all there is to say.
    text: Option<Box<str>>,
    is: Reading,
}

enum Reading {
    Known(Arc<str>),
    New(Box<Result<ManifoldIn, Faults>>),
}

/// A request, with what is known of its manifolds already.
pub struct Request<'a> {
    /// Everything but the manifolds.
    pub asked: ManifoldsIn,
    texts: Option<ItemTexts<'a>>,
}

impl<'a> Request<'a> {
    /// Reads everything but the manifolds, where the body can be taken apart; else all of it.
    ///
    /// # Errors
    /// As for every JSON body.
    pub fn of(body: &'a [u8]) -> Result<Self, Problem> {
        let texts = ItemTexts::of(body, LIST)
            .filter(|texts| (1..=super::MOST_MANIFOLDS).contains(&texts.items.len()));
        let asked = texts
            .as_ref()
            .map(|texts| from_json::<ManifoldsIn>(texts.rest.as_bytes()));
        match asked {
            Some(Ok(asked)) => Ok(Self { asked, texts }),
            // What is wrong is told with the places of the body as it came.
            _ => Ok(Self {
                asked: from_json(body)?,
                texts: None,
            }),
        }
    }

    /// The manifolds: what was asked before by these rules, or as they read.
    ///
    /// # Errors
    /// As for every JSON body.
    pub fn wanted(
        self,
        body: &[u8],
        (known, by): (&KnownAnswers, &str),
    ) -> Result<Vec<Wanted>, Problem> {
        let Some(texts) = self.texts else {
            return Ok(whole(self.asked));
        };
        let at = At::BODY;
        let list = at.field(LIST);
        let items = texts.items.iter().enumerate().map(|(index, text)| {
            let is = match known.get(by, text) {
                Some(answer) => Reading::Known(answer),
                None => Reading::New(Box::new(read_item(text, &list.index(index))?)),
            };
            Some(Wanted {
                text: Some((*text).into()),
                is,
            })
        });
        match items.collect() {
            Some(wanted) => Ok(wanted),
            None => Ok(whole(from_json(body)?)),
        }
    }
}

fn whole(asked: ManifoldsIn) -> Vec<Wanted> {
    let items = asked.manifolds.into_vec().into_iter();
    items
        .map(|item| Wanted {
            text: None,
            is: Reading::New(Box::new(item)),
        })
        .collect()
}

impl Wanted {
    /// It has yet to be worked out.
    pub const fn is_new(&self) -> bool {
        matches!(self.is, Reading::New(_))
    }
}

/// What stands before the items of an answer.
#[derive(Debug, Clone, Serialize)]
pub struct Head {
    /// Name and version of the rules.
    pub rule_set: String,
    /// The forming profile.
    pub forming_profile: UsedProfile,
    /// How many could be checked.
    pub summary: BulkSummary,
}

/// An item of an answer as text; one that could be checked lacks its place, and its opening brace.
enum Written {
    Result(Arc<str>),
    Failure(String),
}

/// How what is not known is worked out, and where that is kept.
pub struct Checker<'a, M> {
    /// The catalogue.
    pub catalogue: &'a Catalogue,
    /// The answers that are known.
    pub known: &'a KnownAnswers,
    /// What an answer depends on besides the manifold.
    pub by: Arc<str>,
    /// Checks one.
    pub make: M,
}

impl<M: Fn(&Manifold) -> CheckedItem> Checker<'_, M> {
    /// The whole answer as JSON.
    ///
    /// # Errors
    /// 500 when it cannot be written.
    pub fn answer(
        &self,
        wanted: Vec<Wanted>,
        head: impl FnOnce(BulkSummary) -> Head,
    ) -> Result<Vec<u8>, Problem> {
        let mut summary = BulkSummary { ok: 0, failed: 0 };
        let mut items = Vec::with_capacity(wanted.len());
        for (index, item) in wanted.into_iter().enumerate() {
            let written = self.written(index, item)?;
            match &written {
                Written::Result(_) => summary.ok += 1,
                Written::Failure(_) => summary.failed += 1,
            }
            items.push(written);
        }
        put_together(&head(summary), &items).map_err(|error| Problem::internal(&error))
    }

    fn written(&self, index: usize, item: Wanted) -> Result<Written, Problem> {
        let read = match item.is {
            Reading::Known(answer) => return Ok(Written::Result(answer)),
            Reading::New(read) => *read,
        };
        let mut faults = Faults::new();
        let at = At::BODY;
        let list = at.field(LIST);
        let resolved = read.and_then(|read| {
            let manifold = read.resolve(self.catalogue, &list.index(index), &mut faults);
            manifold.ok_or(faults)
        });
        let text = match resolved {
            Ok(manifold) => serde_json::to_string(&(self.make)(&manifold)),
            Err(faults) => {
                let problem = Problem::new(Slug::InvalidBody).with_faults(faults).body();
                return serde_json::to_string(&BulkFailure { index, problem })
                    .map(Written::Failure)
                    .map_err(|error| Problem::internal(&error));
            }
        };
        let text = text.map_err(|error| Problem::internal(&error))?;
        let answer: Arc<str> = text.trim_start_matches('{').into();
        if let Some(question) = &item.text {
            self.known.keep(&self.by, question, &answer);
        }
        Ok(Written::Result(answer))
    }
}

/// Head and items as one JSON object.
fn put_together(head: &Head, items: &[Written]) -> Result<Vec<u8>, serde_json::Error> {
    /// Room for an item's place and what stands between items.
    const BETWEEN: usize = 16;
    let mut out = serde_json::to_vec(head)?;
    out.pop();
    let room = items.iter().map(|item| BETWEEN + item.len()).sum::<usize>();
    out.reserve(room + BETWEEN);
    out.extend_from_slice(b",\"items\":[");
    for (index, item) in items.iter().enumerate() {
        if index > 0 {
            out.push(b',');
        }
        match item {
            Written::Result(text) => {
                out.extend_from_slice(b"{\"index\":");
                out.extend_from_slice(index.to_string().as_bytes());
                out.push(b',');
                out.extend_from_slice(text.as_bytes());
            }
            Written::Failure(text) => out.extend_from_slice(text.as_bytes()),
        }
    }
    out.extend_from_slice(b"]}");
    Ok(out)
}

impl Written {
    fn len(&self) -> usize {
        match self {
            Self::Result(text) => text.len(),
            Self::Failure(text) => text.len(),
        }
    }
}

/// JSON text as an answer.
pub fn json(text: Vec<u8>) -> Response {
    ([(CONTENT_TYPE, "application/json")], text).into_response()
}
