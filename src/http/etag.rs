//! Versions of things (RFC 9110 section 13): `ETag`, `If-Match`, `If-None-Match`.

use super::problem::{Problem, Slug};
use axum::extract::FromRequestParts;
use axum::http::header::{ETAG, IF_MATCH, IF_NONE_MATCH};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};
use std::convert::Infallible;

/// A strong entity tag, with its quotes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Etag(String);

impl Etag {
    /// From whatever tells one version from another, such as an id and a revision counter.
    pub fn of_version(version: &str) -> Self {
        Self::of_bytes(version.as_bytes())
    }

    /// From the content itself.
    pub fn of_bytes(bytes: &[u8]) -> Self {
        let hash = Sha256::digest(bytes);
        Self(format!("\"{}\"", URL_SAFE_NO_PAD.encode(&hash[..16])))
    }

    /// As it stands in a header field.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// As a header field's value.
    pub fn to_header(&self) -> HeaderValue {
        // Base64 text in quotes is always a good value.
        HeaderValue::from_str(&self.0).unwrap_or(HeaderValue::from_static("\"\""))
    }
}

/// An answer with its version.
#[derive(Debug, Clone)]
pub struct Tagged<T>(pub Etag, pub T);

impl<T: IntoResponse> IntoResponse for Tagged<T> {
    fn into_response(self) -> Response {
        let mut response = self.1.into_response();
        response.headers_mut().insert(ETAG, self.0.to_header());
        response
    }
}

/// The `If-Match` field of a request.
#[derive(Debug, Clone, Default)]
pub struct IfMatch(Option<String>);

impl<S: Send + Sync> FromRequestParts<S> for IfMatch {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Infallible> {
        Ok(Self(joined(&parts.headers, &IF_MATCH)))
    }
}

impl IfMatch {
    /// Whether the request carries the field.
    pub const fn is_given(&self) -> bool {
        self.0.is_some()
    }

    /// Whether any version will do.
    pub fn is_any(&self) -> bool {
        self.0
            .as_deref()
            .is_some_and(|field| tags(field).any(|tag| tag == "*"))
    }

    /// Lets a change through that was made knowing the current version. The use case must save
    /// on the same version, so that two such requests cannot both win.
    ///
    /// # Errors
    /// 428 without the field, 412 with the current `ETag` when it names another version.
    pub fn check(&self, current: &Etag) -> Result<(), Problem> {
        let Some(field) = &self.0 else {
            return Err(Problem::new(Slug::VersionRequired).with_header(ETAG, current.to_header()));
        };
        // Strong comparison: a weak tag never matches (RFC 9110 section 13.1.1).
        let fits = tags(field).any(|tag| tag == "*" || tag == current.as_str());
        if fits {
            return Ok(());
        }
        Err(Problem::new(Slug::Stale)
            .with_detail(format!(
                "The current version is {}. Fetch it again, look at what changed, and send your change with that as If-Match.",
                current.as_str()
            ))
            .with_header(ETAG, current.to_header()))
    }
}

/// Whether the client has that version already (weak comparison, RFC 9110 section 13.1.2).
pub(super) fn has_already(headers: &HeaderMap, current: &HeaderValue) -> bool {
    let (Some(field), Ok(current)) = (joined(headers, &IF_NONE_MATCH), current.to_str()) else {
        return false;
    };
    let plain = |tag: &str| tag.strip_prefix("W/").unwrap_or(tag).to_owned();
    let current = plain(current);
    tags(&field).any(|tag| tag == "*" || plain(tag) == current)
}

fn joined(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    let fields: Vec<&str> = headers
        .get_all(name)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .collect();
    (!fields.is_empty()).then(|| fields.join(","))
}

/// Our own tags hold no comma, so a plain split finds them.
fn tags(field: &str) -> impl Iterator<Item = &str> {
    field.split(',').map(str::trim)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_needs_the_current_version() {
        let (old, new) = (Etag::of_version("1"), Etag::of_version("2"));
        let given = |text: &str| {
            IfMatch(Some(text.to_owned()))
                .check(&new)
                .map_err(|problem| problem.slug())
        };
        assert_eq!(
            IfMatch(None).check(&new).unwrap_err().slug(),
            Slug::VersionRequired
        );
        assert_eq!(given(old.as_str()), Err(Slug::Stale));
        assert_eq!(given(new.as_str()), Ok(()));
        assert_eq!(
            given(&format!("{}, {}", old.as_str(), new.as_str())),
            Ok(())
        );
        assert_eq!(given("*"), Ok(()));
        assert_eq!(given(&format!("W/{}", new.as_str())), Err(Slug::Stale));
    }
}
