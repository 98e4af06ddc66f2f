//! The shop's logo.

use axum::Json;
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::AppError;
use crate::documents::logo::LogoPicture;
use crate::http::auth::{Caller, MayAdmin, Scope, State};
use crate::http::etag::{Etag, Tagged};
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{RawBody, Text, WireQuery, wire_query};
use crate::shop::own::PictureKind;

/// Opened by itself, a picture may show its own style and do nothing else.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; sandbox";
/// The media types that are read.
const PICTURES: &str = "image/png, image/svg+xml";

wire_query! {
    /// How to put a logo there.
    pub struct LogoQuery {
        /// What it shows, for those who cannot see it; the shop's name when left out.
        #[example = "Quay Street Pipe Shop, a coil of tube"]
        text: Option<Text<200>>,
        /// With `true`, only says whether it would be taken: the same faults, and nothing stored.
        #[example = false]
        validate_only: Option<bool>,
    }
}

/// A logo, as it is on documents to come.
#[derive(Debug, Serialize, ToSchema)]
pub struct LogoOut {
    /// What kind of picture.
    #[schema(value_type = String, example = "image/svg+xml")]
    media_type: &'static str,
    /// How many bytes it has.
    #[schema(example = 1204)]
    bytes: usize,
    /// What it shows, for those who cannot see it; the shop's name when empty.
    #[schema(example = "Quay Street Pipe Shop, a coil of tube")]
    text: String,
}

impl From<&LogoPicture> for LogoOut {
    fn from(picture: &LogoPicture) -> Self {
        Self {
            media_type: picture.kind.media_type(),
            bytes: picture.bytes.len(),
            text: picture.text.clone(),
        }
    }
}

fn kind(body: &RawBody) -> Result<PictureKind, Problem> {
    body.expect(PICTURES)?;
    Ok(match body.media_type == PictureKind::Png.media_type() {
        true => PictureKind::Png,
        false => PictureKind::Svg,
    })
}

/// The logo
///
/// Any scope. The picture as it was sent.
#[utoipa::path(get, path = "/v1/shop/logo", tag = "shop",
    responses(
        (status = 200, description = "The picture.", content((Vec<u8> = "image/png"), (String = "image/svg+xml")),
            headers(("ETag" = String, description = "Its version."))),
        (status = 404, description = "The shop has no logo.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_logo(caller: Caller, State(state): State<ApiState>) -> Result<Response, Problem> {
    caller.require(Scope::ALL)?;
    let picture = state.app().logo().await.map_err(no_logo)?;
    let tag = Etag::of_bytes(&picture.bytes);
    let mut response = Tagged(tag, picture.bytes).into_response();
    let headers = response.headers_mut();
    let media_type = HeaderValue::from_static(picture.kind.media_type());
    headers.insert(CONTENT_TYPE, media_type);
    headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    Ok(response)
}

/// Put a logo on documents
///
/// Scope `admin`. A PNG of up to 4000 pixels either way and 8 million in all, or an SVG that holds all of itself: no scripts, events, links
/// or references to elsewhere; up to 512 KiB. Every fault is named, in an SVG by line and column. A sample quote is
/// set with it first. Quotes made from now on bear it; those there are keep what they froze.
#[utoipa::path(put, path = "/v1/shop/logo", tag = "shop", params(LogoQuery),
    request_body(description = "The picture.", content((Vec<u8> = "image/png"), (String = "image/svg+xml",
        example = json!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 120 40\"><path d=\"M5 20h70M30 20v-15M55 20v-15\" fill=\"none\" stroke=\"#b06030\" stroke-width=\"6\"/></svg>")))),
    responses((status = 200, description = "The logo.", body = LogoOut)))]
pub async fn put_logo(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<LogoQuery>,
    body: RawBody,
) -> Result<Json<LogoOut>, Problem> {
    let picture = LogoPicture {
        kind: kind(&body)?,
        bytes: body.bytes.to_vec(),
        text: query
            .text
            .map_or_else(String::new, |text| text.as_str().trim().to_owned()),
    };
    let out = LogoOut::from(&picture);
    let (shop, _) = state.app().current_shop().await?;
    let app = state.app().clone();
    let trial = move || app.check_logo(&shop, picture);
    let checked = state.heavy().run(trial).await??;
    if query.validate_only != Some(true) {
        state.app().set_logo(&checked).await?;
    }
    Ok(Json(out))
}

/// Take the logo off documents
///
/// Scope `admin`. Quotes made from now on bear none; those there are keep what they froze.
#[utoipa::path(delete, path = "/v1/shop/logo", tag = "shop",
    responses((status = 204, description = "There is no logo any more."),
        (status = 404, description = "There was none.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn delete_logo(
    _caller: MayAdmin,
    State(state): State<ApiState>,
) -> Result<StatusCode, Problem> {
    state.app().remove_logo().await.map_err(no_logo)?;
    Ok(StatusCode::NO_CONTENT)
}

fn no_logo(error: AppError) -> Problem {
    match error {
        AppError::NotFound { .. } | AppError::NoShop => Problem::new(Slug::NotFound)
            .with_detail("The shop has no logo. Send one with PUT /v1/shop/logo."),
        other => other.into(),
    }
}
