//! Webhooks: signed notices of quote changes.

mod out;

use axum::Json;
use axum::http::header::{CACHE_CONTROL, LOCATION};
use axum::http::{HeaderValue, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use jiff::SignedDuration;
use reqwest::Url;
use uuid::Uuid;

use crate::app::webhooks::{DeliveryQuery, NewWebhook, is_public};
use crate::http::auth::{MayAdmin, State};
use crate::http::paging::Page;
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::v1::kept::ListQuery;
use crate::http::wire::{
    Fault, List, OptionalJson, Text, Whole, WireJson, WirePath, WireQuery, wire_enum, wire_struct,
};
use out::{DeliveryOut, NewWebhookOut, WebhookOut, WebhooksOut};

/// Hours that the secret before goes on signing, when nobody says otherwise.
const OVERLAP_HOURS: i64 = 24;

wire_enum! {
    /// What a notice tells of: a revision of a quote has come to that state.
    pub enum NoticeKind {
        /// Written, or written anew.
        QuoteDrafted = "quote.drafted",
        /// Put before the customer.
        QuoteIssued = "quote.issued",
        /// Taken.
        QuoteAccepted = "quote.accepted",
        /// Not taken.
        QuoteDeclined = "quote.declined",
        /// Taken back by the shop.
        QuoteWithdrawn = "quote.withdrawn",
        /// Its last day has passed.
        QuoteExpired = "quote.expired",
        /// Another revision has taken its place.
        QuoteSuperseded = "quote.superseded",
    }
}

wire_struct! {
    /// Where to send notices.
    #[example = {"url": "https://books.example/offtake", "label": "Books", "events": ["quote.accepted"]}]
    pub struct WebhookIn {
        /// Address that notices are sent to: `https`, on the public net, unless the server is set to
        /// allow others (`--private-webhooks`).
        #[example = "https://books.example/offtake"]
        url: Text<2_000>,
        /// What you call it.
        #[example = "Books"]
        label: Option<Text<200, 0>>,
        /// Which notices; all when not given.
        events: Option<List<NoticeKind, 7>>,
    }
}

wire_struct! {
    /// How to change the secret.
    #[example = {"overlap_hours": 24}]
    pub struct RotateIn {
        /// Hours in which the secret before signs beside the new one; 24 when not given.
        #[example = 24]
        overlap_hours: Option<Whole<0, 720>>,
    }
}

/// Refuses an address that nothing would be sent to, read as whoever sends reads it. What a name leads to is seen
/// when something is sent.
fn refuse_address(text: &str, private: bool) -> Result<(), Problem> {
    let fault = |detail: String| {
        Problem::new(Slug::Unprocessable).with_errors([Fault::new("/url", "bad_address", detail)])
    };
    let url = Url::parse(text).map_err(|error| {
        fault(format!(
            "url is no address ({error}); give one like https://books.example/in"
        ))
    })?;
    let secure = url.scheme() == "https";
    if !(secure || url.scheme() == "http") {
        return Err(fault(
            "url is no web address; give one like https://books.example/in".into(),
        ));
    }
    if url.port() == Some(0) {
        return Err(fault(
            "url has port 0, which nothing listens on; give one of 1 to 65535, or none".into(),
        ));
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(fault(
            "url holds a name or a password; leave them out, notices are signed instead".into(),
        ));
    }
    if private {
        return Ok(());
    }
    let host = url.host_str().unwrap_or_default().trim_end_matches('.');
    let bare = host.trim_start_matches('[').trim_end_matches(']');
    let inside = bare.parse().is_ok_and(|address| !is_public(address)) || bare == "localhost";
    if !secure || inside {
        return Err(fault(format!(
            "url is {}; notices go by https to the public net alone, unless the server is started with --private-webhooks",
            if inside {
                "a private address"
            } else {
                "not https"
            }
        )));
    }
    Ok(())
}

/// An answer with a secret, which no cache may keep.
fn with_secret(status: StatusCode, body: NewWebhookOut, location: Option<String>) -> Response {
    let mut response = (status, Json(body)).into_response();
    let headers = response.headers_mut();
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    if let Some(Ok(location)) = location.map(HeaderValue::try_from) {
        headers.insert(LOCATION, location);
    }
    response
}

/// Add a webhook
///
/// Scope `admin`. From now on the address gets a notice of every quote change: a POST as by the Standard
/// Webhooks specification, with `webhook-id`, `webhook-timestamp` and `webhook-signature` (`v1`, HMAC-SHA256
/// with the secret). What is not answered with 2xx within 20 seconds is sent again, ten times in all over
/// some three days; 410 disables the webhook. A notice may come twice, with the same `webhook-id`.
/// The secret is answered this once, so the call is not replayed under an `Idempotency-Key`.
#[utoipa::path(post, path = "/v1/webhooks", tag = "webhooks",
    request_body(content = WebhookIn, example = json!({"url": "https://books.example/offtake", "label": "Books", "events": ["quote.accepted"]})),
    responses((status = 201, description = "The webhook, with its secret.", body = NewWebhookOut,
        headers(("Location" = String, description = "Its address.")))))]
pub async fn create_webhook(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WireJson(given): WireJson<WebhookIn>,
) -> Result<Response, Problem> {
    refuse_address(given.url.as_str(), state.limits().private_webhooks)?;
    let kinds = given.events.map(List::into_vec).unwrap_or_default();
    let new = NewWebhook {
        url: given.url.into_string(),
        label: given.label.map(Text::into_string).unwrap_or_default(),
        kinds: kinds.iter().map(|kind| kind.as_str().to_owned()).collect(),
    };
    let (hook, secret) = state.app().create_webhook(&new).await?;
    let location = format!("/v1/webhooks/{}", hook.id);
    let body = NewWebhookOut::of(hook, secret);
    Ok(with_secret(StatusCode::CREATED, body, Some(location)))
}

/// List webhooks
///
/// Scope `admin`. In the order they were added.
#[utoipa::path(get, path = "/v1/webhooks", tag = "webhooks",
    responses((status = 200, description = "The webhooks.", body = WebhooksOut)))]
pub async fn list_webhooks(
    _caller: MayAdmin,
    State(state): State<ApiState>,
) -> Result<Json<WebhooksOut>, Problem> {
    Ok(Json(state.app().webhooks().await?.into()))
}

/// A webhook
///
/// Scope `admin`. Without its secret.
#[utoipa::path(get, path = "/v1/webhooks/{id}", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses((status = 200, description = "The webhook.", body = WebhookOut),
        (status = 404, description = "There is no such webhook.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_webhook(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Json<WebhookOut>, Problem> {
    Ok(Json(state.app().webhook(id).await?.into()))
}

/// Change the secret of a webhook
///
/// Scope `admin`. For some time notices carry two signatures, by the new secret and by the one before, so
/// that the receiver can change over without losing any. Answered this once, and not replayed.
#[utoipa::path(post, path = "/v1/webhooks/{id}/rotate", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    request_body(content = Option<RotateIn>, description = "May be left out.", example = json!({"overlap_hours": 24})),
    responses((status = 200, description = "The webhook, with its new secret.", body = NewWebhookOut),
        (status = 404, description = "There is no such webhook.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn rotate_webhook_secret(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    OptionalJson(given): OptionalJson<RotateIn>,
) -> Result<Response, Problem> {
    let hours = given
        .overlap_hours
        .map_or(OVERLAP_HOURS, |hours| hours.get());
    let overlap = SignedDuration::from_hours(hours);
    let (hook, secret) = state.app().rotate_webhook(id, overlap).await?;
    Ok(with_secret(
        StatusCode::OK,
        NewWebhookOut::of(hook, secret),
        None,
    ))
}

/// Disable a webhook
///
/// Scope `admin`. It gets no notices of later changes; what still waits for it is kept.
#[utoipa::path(post, path = "/v1/webhooks/{id}/disable", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses((status = 200, description = "The webhook.", body = WebhookOut),
        (status = 404, description = "There is no such webhook.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn disable_webhook(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Json<WebhookOut>, Problem> {
    let hook = state.app().switch_webhook(id, Some("by the shop")).await?;
    Ok(Json(hook.into()))
}

/// Enable a webhook
///
/// Scope `admin`. It gets notices of changes from now on, and what waited for it.
#[utoipa::path(post, path = "/v1/webhooks/{id}/enable", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses((status = 200, description = "The webhook.", body = WebhookOut),
        (status = 404, description = "There is no such webhook.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn enable_webhook(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Json<WebhookOut>, Problem> {
    Ok(Json(state.app().switch_webhook(id, None).await?.into()))
}

/// The log of deliveries
///
/// Scope `admin`. Latest first: every notice to this webhook with every try.
#[utoipa::path(get, path = "/v1/webhooks/{id}/deliveries", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"), ListQuery),
    responses((status = 200, description = "A page of deliveries.", body = Page<DeliveryOut>),
        (status = 404, description = "There is no such webhook.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn list_deliveries(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(list): WireQuery<ListQuery>,
    uri: Uri,
) -> Result<Page<DeliveryOut>, Problem> {
    let (after, limit) = list.window()?;
    let query = DeliveryQuery {
        webhook_id: id,
        after,
        limit,
    };
    let logged = state.app().deliveries(query).await?;
    let found = logged.into_iter().map(DeliveryOut::from);
    list.page(found.collect(), DeliveryOut::id, &uri)
}

/// Send a notice again
///
/// Scope `admin`. At once, with the same `webhook-id`, whatever became of it before; then as often as a new one.
/// A webhook that is disabled must be enabled first.
#[utoipa::path(post, path = "/v1/webhooks/{id}/deliveries/{notice}/replay", tag = "webhooks",
    params(("id" = String, Path, format = "uuid", description = "Id of the webhook.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("notice" = String, Path, format = "uuid", description = "Id of the notice.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0f")),
    responses((status = 202, description = "It is on its way."),
        (status = 404, description = "There is no such webhook, or the notice never went there.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 409, description = "The webhook is disabled; enable it first.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replay_delivery(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath((id, notice)): WirePath<(Uuid, Uuid)>,
) -> Result<StatusCode, Problem> {
    state.app().replay_notice(id, notice).await?;
    Ok(StatusCode::ACCEPTED)
}
