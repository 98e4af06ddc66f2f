//! Request bodies: how large, of what type, and read into a wire type.

use super::{At, Faults, FromWire, strict_json};
use crate::http::problem::{Problem, Slug};
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request};
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE, EXPECT, TRANSFER_ENCODING};
use axum::http::{HeaderMap, HeaderValue};
use http_body_util::BodyExt;

/// Bytes of a request body that a route does not say otherwise about.
const USUAL_LIMIT: usize = 1024 * 1024;

/// Bytes of an uploaded sheet or logo.
pub const UPLOAD_LIMIT: BodyLimit = BodyLimit(10 * 1024 * 1024);

/// The most bytes a request body may have. As an `Extension` layer on a route it replaces the
/// usual 1 MiB.
#[derive(Debug, Clone, Copy)]
pub struct BodyLimit(pub usize);

/// Reads the whole body, up to the limit of its route.
///
/// # Errors
/// 413 when it is larger, 400 when it breaks off.
pub async fn read_whole(request: Request) -> Result<Bytes, Problem> {
    let limit = request
        .extensions()
        .get::<BodyLimit>()
        .map_or(USUAL_LIMIT, |limit| limit.0);
    let headers = request.headers();
    let announced = headers
        .get(CONTENT_LENGTH)
        .and_then(|length| length.to_str().ok())
        .and_then(|length| length.parse::<usize>().ok());
    let waits = headers.contains_key(EXPECT);
    // A client that waits for our word sends nothing after a refusal; any other is sending
    // already and would miss the answer if we hung up on it.
    if waits && announced.is_some_and(|length| length > limit) {
        return Err(too_large(limit));
    }
    collect(request.into_body(), limit).await
}

async fn collect(mut body: Body, limit: usize) -> Result<Bytes, Problem> {
    /// How much of an oversized body is read and dropped so that its sender hears the answer.
    const PATIENCE: usize = 4;
    let mut kept = Vec::new();
    let mut seen = 0_usize;
    while let Some(frame) = body.frame().await {
        let frame = frame.map_err(|error| {
            Problem::new(Slug::MalformedBody)
                .with_detail(format!("The body broke off after {seen} bytes: {error}."))
        })?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        seen = seen.saturating_add(data.len());
        if seen <= limit {
            kept.extend_from_slice(&data);
        } else if seen > limit.saturating_mul(PATIENCE) {
            break;
        }
    }
    if seen > limit {
        return Err(too_large(limit));
    }
    Ok(kept.into())
}

fn too_large(limit: usize) -> Problem {
    Problem::new(Slug::BodyTooLarge).with_detail(format!(
        "The body is larger than the {limit} bytes this address takes. Send it in parts."
    ))
}

/// The media type of the body, without parameters, in lower case.
fn media_type(headers: &HeaderMap) -> Option<String> {
    let text = headers.get(CONTENT_TYPE)?.to_str().ok()?;
    let essence = text.split(';').next()?.trim();
    Some(essence.to_ascii_lowercase())
}

fn refuse_type(found: Option<&str>, offered: &'static str) -> Problem {
    let said = found.map_or_else(
        || "There is no Content-Type.".to_owned(),
        |found| format!("The Content-Type is {found:?}."),
    );
    Problem::new(Slug::UnsupportedMediaType)
        .with_detail(format!("{said} Send one of: {offered}."))
        .with_header("accept", HeaderValue::from_static(offered))
}

/// A JSON body as it comes, not read yet.
#[derive(Debug, Clone)]
pub struct JsonText(pub Bytes);

impl<S: Send + Sync> FromRequest<S> for JsonText {
    type Rejection = Problem;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Problem> {
        let found = media_type(request.headers());
        let is_json = found.as_deref().is_some_and(|found| {
            found == "application/json"
                || (found.starts_with("application/") && found.ends_with("+json"))
        });
        if !is_json {
            return Err(refuse_type(found.as_deref(), "application/json"));
        }
        read_whole(request).await.map(Self)
    }
}

/// A JSON body read into a wire type, with every fault at once.
#[derive(Debug, Clone)]
pub struct WireJson<T>(pub T);

impl<S: Send + Sync, T: FromWire> FromRequest<S> for WireJson<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let JsonText(text) = JsonText::from_request(request, state).await?;
        from_json(&text).map(Self)
    }
}

/// A JSON body that may be left out: nothing is read like an empty object, or as `None`.
#[derive(Debug, Clone)]
pub struct OptionalJson<T>(pub T);

impl<S: Send + Sync, T: FromWire> FromRequest<S> for OptionalJson<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        // Without a length and without chunks there is no body (RFC 9112 section 6.3).
        let headers = request.headers();
        let is_empty = !headers.contains_key(TRANSFER_ENCODING)
            && headers
                .get(CONTENT_LENGTH)
                .is_none_or(|length| length.as_bytes() == b"0");
        if is_empty {
            return from_json(if T::REQUIRED { b"{}" } else { b"null" }).map(Self);
        }
        WireJson::from_request(request, state)
            .await
            .map(|WireJson(read)| Self(read))
    }
}

/// Reads JSON text into a wire type.
///
/// # Errors
/// 400 when it is not JSON, with line and column; 422 with every fault.
pub fn from_json<T: FromWire>(bytes: &[u8]) -> Result<T, Problem> {
    // Some office tools begin every text with a byte order mark.
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.trim_ascii().is_empty() {
        return Err(Problem::new(Slug::MalformedBody)
            .with_detail(format!("The body is empty; send {}.", T::wanted())));
    }
    // JSON is UTF-8 whatever `charset` says (RFC 8259 section 8.1).
    std::str::from_utf8(bytes).map_err(|error| {
        Problem::new(Slug::MalformedBody).with_detail(format!(
            "The body is not text in UTF-8 from byte {} on; save or send it as UTF-8.",
            error.valid_up_to() + 1
        ))
    })?;
    let mut faults = Faults::new();
    let value = strict_json::parse(bytes, &mut faults).map_err(|error| {
        Problem::new(Slug::MalformedBody).with_detail(format!("The body is not JSON: {error}."))
    })?;
    match T::read(&value, &At::BODY, &mut faults) {
        Some(read) if faults.is_empty() => Ok(read),
        _ => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
    }
}

/// A body taken as it comes, with its media type: for sheets and pictures.
#[derive(Debug, Clone)]
pub struct RawBody {
    /// The media type, without parameters, in lower case.
    pub media_type: String,
    /// The bytes.
    pub bytes: Bytes,
}

impl RawBody {
    /// Refuses a body that is of none of these types, written as an `Accept` value.
    ///
    /// # Errors
    /// 415 that lists them.
    pub fn expect(&self, offered: &'static str) -> Result<(), Problem> {
        let known = offered.split(',').any(|one| one.trim() == self.media_type);
        if known {
            Ok(())
        } else {
            Err(refuse_type(Some(&self.media_type), offered))
        }
    }
}

impl<S: Send + Sync> FromRequest<S> for RawBody {
    type Rejection = Problem;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Problem> {
        let media_type = media_type(request.headers()).unwrap_or_default();
        let bytes = read_whole(request).await?;
        Ok(Self { media_type, bytes })
    }
}
