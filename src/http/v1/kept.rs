//! What the resources that a shop keeps have in common: versions, trial runs, answers.

use axum::Json;
use axum::http::header::LOCATION;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use crate::http::etag::{Etag, IfMatch, Tagged};
use crate::http::negotiate::{CSV, XLSX};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, Slug};
use crate::http::v1::words::FormWord;
use crate::http::wire::wire_query;

wire_query! {
    /// Whether to try first.
    pub struct TrialQuery {
        /// With `true`, only says whether it would be taken: the same faults, and nothing stored.
        #[example = false]
        validate_only: Option<bool>,
    }
}

wire_query! {
    /// How to publish.
    pub struct PublishQuery {
        /// With `true`, only says whether it would be published, and stores nothing.
        #[example = false]
        validate_only: Option<bool>,
        /// The published one that takes effect on the same day and whose place this one takes. Without
        /// it, two for one day are refused.
        in_place_of: Option<Uuid>,
    }
}

impl PublishQuery {
    /// Whether nothing is to be stored.
    pub fn is_trial(&self) -> bool {
        self.validate_only == Some(true)
    }
}

impl TrialQuery {
    /// Whether nothing is to be stored.
    pub fn is_trial(&self) -> bool {
        self.validate_only == Some(true)
    }
}

wire_query! {
    /// Which page.
    pub struct ListQuery {
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

impl ListQuery {
    /// The id after which the page begins, and how many to ask for: one more than the page holds.
    pub fn window(&self) -> Result<(Option<Uuid>, u32), Problem> {
        let after = self.after.as_ref().map(Cursor::key::<Uuid>).transpose()?;
        Ok((after, self.size().saturating_add(1)))
    }

    fn size(&self) -> u32 {
        self.limit.unwrap_or_default().get()
    }

    /// The page out of what was found.
    pub fn page<T>(
        &self,
        mut found: Vec<T>,
        id: impl Fn(&T) -> Uuid,
        uri: &axum::http::Uri,
    ) -> Result<Page<T>, Problem> {
        let size = self.size() as usize;
        let more = found.len() > size;
        found.truncate(size);
        let last = found.last().filter(|_| more).map(id);
        let next = last.as_ref().map(Cursor::of).transpose()?;
        Ok(Page::new(found, next, uri))
    }
}

wire_query! {
    /// In which form.
    pub struct RowsQuery {
        /// The form; without it, `Accept` decides.
        #[example = "json"]
        format: Option<FormWord>,
    }
}

/// What a trial run found: it would be taken.
#[derive(Debug, Serialize, ToSchema)]
pub struct Trial {
    /// Always true; what would be refused is answered as a problem.
    #[schema(example = true)]
    pub valid: bool,
    /// How many rows it has.
    #[schema(example = 2)]
    pub rows: usize,
}

impl Trial {
    /// It would be taken.
    pub fn passed(rows: usize) -> Json<Self> {
        Json(Self { valid: true, rows })
    }
}

/// An instant in whole seconds.
pub fn instant(it: Timestamp) -> String {
    Timestamp::from_second(it.as_second())
        .unwrap_or(it)
        .to_string()
}

/// The version tag of something kept; `form` tells representations apart.
pub fn tag(id: Uuid, version: i64, form: &str) -> Etag {
    Etag::of_version(&format!("{id}/{version}/{form}"))
}

/// The tag of the JSON of something kept.
pub fn json_tag(id: Uuid, version: i64) -> Etag {
    tag(id, version, "json")
}

/// Demands the version that is there now, in any of its forms.
///
/// # Errors
/// 428 or 412.
pub fn demand_version(if_match: &IfMatch, id: Uuid, version: i64) -> Result<(), Problem> {
    if_match
        .check(&tag(id, version, CSV.format))
        .or_else(|_| if_match.check(&tag(id, version, XLSX.format)))
        .or_else(|_| if_match.check(&json_tag(id, version)))
}

/// The same, where `If-Match` may be left out.
///
/// # Errors
/// 412.
pub fn check_version_if_given(if_match: &IfMatch, id: Uuid, version: i64) -> Result<(), Problem> {
    match demand_version(if_match, id, version) {
        Err(problem) if problem.slug() == Slug::VersionRequired => Ok(()),
        other => other,
    }
}

/// 201, with where it is and its version.
pub fn created(location: &str, tag: Etag, body: impl Serialize) -> Response {
    let mut response = (StatusCode::CREATED, Tagged(tag, Json(body))).into_response();
    if let Ok(location) = HeaderValue::try_from(location) {
        response.headers_mut().insert(LOCATION, location);
    }
    response
}
