//! Retry safety: `Idempotency-Key` (IETF draft "The Idempotency-Key HTTP Header Field").
//!
//! The first answer is kept whole and replayed, even when what it made has since changed or
//! gone. The request runs to its end on a task of its own, so that a client that hangs up and
//! tries again meets either "still running" or the answer, never half of a job.

mod answers;

pub use answers::{Claim, Fingerprint, ReplaySlot, ReplayStore, StoredAnswer};

use super::auth::Caller;
use super::layers::{RequestId, settle};
use super::problem::{Problem, Slug};
use super::state::ApiState;
use super::wire::read_whole;
use axum::body::{Body, to_bytes};
use axum::extract::{FromRequestParts, MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use tracing::Instrument as _;
use utoipa::openapi::path::{Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::Type;
use utoipa::openapi::{ObjectBuilder, Required};
use utoipa_axum::router::OpenApiRouter;

/// The header field's name.
const FIELD: &str = "idempotency-key";
/// Set to `true` on a replayed answer.
const REPLAYED: HeaderName = HeaderName::from_static("idempotency-replayed");
/// Bytes of an answer that are kept; ours are far smaller.
const MOST_BYTES: usize = 32 * 1024 * 1024;

/// Makes every POST of these routes safe to retry.
pub fn idempotent(routes: OpenApiRouter<ApiState>, state: &ApiState) -> OpenApiRouter<ApiState> {
    routes.layer(from_fn_with_state(state.clone(), replay))
}

/// Describes the header field; for `params(IdempotencyKey)` of an operation.
#[derive(Debug)]
pub struct IdempotencyKey;

impl utoipa::IntoParams for IdempotencyKey {
    fn into_params(_place: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
        let schema = ObjectBuilder::new()
            .schema_type(Type::String)
            .min_length(Some(1))
            .max_length(Some(255))
            .pattern(Some(r"^[!-~]+$"));
        let parameter = ParameterBuilder::new()
            .name("Idempotency-Key")
            .parameter_in(ParameterIn::Header)
            .required(Required::False)
            .description(Some(
                "A name of your own for this request, such as a UUID. Sent again with the same body it gets the first answer; with another body it is refused.",
            ))
            .schema(Some(schema))
            .example(Some(serde_json::json!("harbour-heating-rev-1")))
            .build();
        vec![parameter]
    }
}

/// The key, bare or as a quoted string (RFC 9651), 1 to 255 visible characters.
fn idempotency_key(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let mut fields = headers.get_all(FIELD).iter();
    let Some(field) = fields.next() else {
        return Ok(None);
    };
    let text = field
        .to_str()
        .ok()
        .map(str::trim)
        .filter(|_| fields.next().is_none());
    let bare = text.map(|text| {
        text.strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'))
            .unwrap_or(text)
    });
    bare.filter(|key| (1..=255).contains(&key.len()) && key.bytes().all(|byte| byte.is_ascii_graphic()))
        .map(|key| Some(key.to_owned()))
        .ok_or_else(|| {
            Problem::new(Slug::InvalidHeader).with_detail(
                "The Idempotency-Key must be given once, as 1 to 255 visible ASCII characters without spaces.",
            )
        })
}

fn fingerprint(method: &Method, uri: &Uri, body: &[u8]) -> Fingerprint {
    let mut hash = Sha256::new();
    let target = uri.path_and_query().map_or("", |target| target.as_str());
    for part in [method.as_str().as_bytes(), target.as_bytes()] {
        hash.update(part);
        hash.update(b"\n");
    }
    hash.update(body);
    hash.finalize().into()
}

/// A trial run stores nothing, so it neither needs nor uses up a key.
fn is_trial(uri: &Uri) -> bool {
    let mut pairs = uri.query().unwrap_or_default().split('&');
    pairs.any(|pair| pair == "validate_only=true")
}

async fn replay(
    State(state): State<ApiState>,
    request: Request,
    next: Next,
) -> Result<Response, Problem> {
    let key = idempotency_key(request.headers())?;
    let Some(idempotency_key) = key.filter(|_| *request.method() == Method::POST) else {
        return Ok(next.run(request).await);
    };
    if is_trial(request.uri()) {
        return Ok(next.run(request).await);
    }
    let (mut parts, body) = request.into_parts();
    let caller = Caller::from_request_parts(&mut parts, &state).await?;
    let route = parts
        .extensions
        .get::<MatchedPath>()
        .map_or("", MatchedPath::as_str);
    let slot = ReplaySlot {
        key_id: caller.key_id(),
        operation: format!("{} {route}", parts.method),
        idempotency_key,
    };
    let bytes = read_whole(Request::from_parts(parts.clone(), body)).await?;
    let fingerprint = fingerprint(&parts.method, &parts.uri, &bytes);
    let claim = state.ports().replays.claim(&slot, &fingerprint).await?;
    match claim {
        Claim::Fresh => {
            let request = Request::from_parts(parts, Body::from(bytes));
            run_to_the_end(Attempt { state, slot }, request, next).await
        }
        Claim::Running => Err(Problem::new(Slug::RequestRunning)),
        Claim::OtherRequest => Err(Problem::new(Slug::KeyReused)),
        Claim::Done(answer) => {
            let mut response = answer.into_response();
            response
                .headers_mut()
                .insert(REPLAYED, HeaderValue::from_static("true"));
            Ok(response)
        }
    }
}

/// A claimed slot.
struct Attempt {
    state: ApiState,
    slot: ReplaySlot,
}

impl Attempt {
    async fn release(&self) {
        if let Err(error) = self.state.ports().replays.release(&self.slot).await {
            tracing::error!(%error, "a claim could not be released; it will run out");
        }
    }

    async fn finish(&self, answer: StoredAnswer) {
        if let Err(error) = self.state.ports().replays.finish(&self.slot, answer).await {
            tracing::error!(%error, "an answer could not be kept for retries");
        }
    }
}

async fn run_to_the_end(
    attempt: Attempt,
    request: Request,
    next: Next,
) -> Result<Response, Problem> {
    let task = async move {
        let id = request
            .extensions()
            .get::<RequestId>()
            .cloned()
            .unwrap_or_default();
        let path = request.uri().path().to_owned();
        // A panic in the handler must not leave the slot claimed, so it has a task of its own.
        let ran = tokio::spawn(next.run(request).in_current_span()).await;
        let response = match ran {
            Ok(response) => settle(response, &id, &path),
            Err(error) => settle(Problem::internal(&error).into_response(), &id, &path),
        };
        if !is_kept(response.status()) {
            attempt.release().await;
            return Ok(response);
        }
        let (parts, body) = response.into_parts();
        let Ok(body) = to_bytes(body, MOST_BYTES).await else {
            attempt.release().await;
            return Err(Problem::internal(&"the answer could not be read back"));
        };
        attempt
            .finish(StoredAnswer::new(parts.status, &parts.headers, &body))
            .await;
        Ok(Response::from_parts(parts, Body::from(body)))
    };
    match tokio::spawn(task.in_current_span()).await {
        Ok(answer) => answer,
        Err(error) => Err(Problem::internal(&error)),
    }
}

/// Whether an answer is kept. Failures of the server are not, so that a retry can succeed; nor are
/// refusals at the door, which come before the request is looked at.
fn is_kept(status: StatusCode) -> bool {
    let at_the_door = [
        StatusCode::UNAUTHORIZED,
        StatusCode::FORBIDDEN,
        StatusCode::REQUEST_TIMEOUT,
        StatusCode::PAYLOAD_TOO_LARGE,
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        StatusCode::TOO_MANY_REQUESTS,
    ];
    !status.is_server_error() && !at_the_door.contains(&status)
}
