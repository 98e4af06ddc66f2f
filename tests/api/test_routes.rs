//! Small resources that exist in tests alone, made with the same machinery as the real ones.

use axum::extract::State;
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Extension, Json};
use offtake::http::auth::MayCheck;
use offtake::http::bulk::{BulkItem, BulkSummary, bulk};
use offtake::http::etag::{Etag, IfMatch, Tagged};
use offtake::http::idempotency::{IdempotencyKey, idempotent};
use offtake::http::negotiate::{CSV, JSON, Negotiator};
use offtake::http::paging::{Cursor, Limit, Page};
use offtake::http::problem::{Problem, Slug};
use offtake::http::state::ApiState;
use offtake::http::wire::{
    Each, LengthIn, QuantityOut, RawBody, UPLOAD_LIMIT, Units, WireJson, WirePath, WireQuery,
};
use serde::Serialize;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use tokio::sync::Notify;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What the handlers did, and what they wait for.
#[derive(Default)]
pub struct Counters {
    pub made: AtomicU64,
    pub failed: AtomicU64,
    pub entered: Notify,
    pub release: Notify,
    version: Mutex<u64>,
    list: Mutex<Vec<u64>>,
}

impl Counters {
    pub fn add_to_list(&self, items: impl IntoIterator<Item = u64>) {
        let mut list = self.list.lock().unwrap();
        list.extend(items);
        list.sort_unstable();
    }
}

offtake::wire_struct! {
    /// A thing to make.
    #[example = {"length": "4 1/2 in"}]
    pub struct ThingIn {
        /// Its length.
        length: LengthIn,
        /// Its number.
        number: Option<u32>,
    }
}

offtake::wire_struct! {
    /// Things to check.
    #[example = {"things": [{"length": "5 in"}]}]
    pub struct ThingsIn {
        /// The things.
        things: Each<ThingIn, 500>,
    }
}

offtake::wire_query! {
    /// Whether it is a trial.
    pub struct TrialQuery {
        /// Only say what would come of it.
        validate_only: Option<bool>,
    }
}

/// A thing made.
#[derive(Debug, Serialize, ToSchema)]
struct ThingOut {
    /// Its number.
    made: u64,
    /// Its length.
    length: QuantityOut,
}

/// Verdicts.
#[derive(Debug, Serialize, ToSchema)]
struct ThingsOut {
    /// How many went well.
    summary: BulkSummary,
    /// Each in its order.
    items: Vec<BulkItem<ThingOut>>,
}

offtake::wire_query! {
    /// Which page.
    pub struct ListQuery {
        /// Items of a page.
        limit: Option<Limit>,
        /// Where it begins.
        after: Option<Cursor>,
    }
}

/// The routes.
pub fn test_routes(state: &ApiState, counters: &Arc<Counters>) -> OpenApiRouter<ApiState> {
    let safe = idempotent(making_routes(counters), state);
    safe.merge(reading_routes(counters))
}

fn making_routes(counters: &Arc<Counters>) -> OpenApiRouter<ApiState> {
    let (failing, holding) = (counters.clone(), counters.clone());
    OpenApiRouter::new()
        .routes(routes!(make_thing))
        .routes(routes!(check_things))
        .layer(Extension(counters.clone()))
        .route(
            "/v1/test/fails-once",
            post(move |_: MayCheck| fail_once(failing)),
        )
        .route("/v1/test/held", post(move |_: MayCheck| held(holding)))
        .route("/v1/test/panic", get(panic_now).post(panic_now))
}

fn reading_routes(counters: &Arc<Counters>) -> OpenApiRouter<ApiState> {
    let (reading, changing, listing) = (counters.clone(), counters.clone(), counters.clone());
    OpenApiRouter::new()
        .route("/v1/test/never", get(std::future::pending::<StatusCode>))
        .route("/v1/test/forms", get(forms))
        .route(
            "/v1/test/upload",
            post(|body: RawBody| async move {
                body.expect("text/csv, image/png")?;
                Ok::<_, Problem>(body.bytes.len().to_string())
            })
            .layer(axum::Extension(UPLOAD_LIMIT)),
        )
        .route(
            "/v1/test/thing",
            get(move || async move { tagged(*reading.version.lock().unwrap()) })
                .put(move |if_match: IfMatch| change(changing, if_match)),
        )
        .route(
            "/v1/test/list",
            get(move |query, uri| list(listing, query, uri)),
        )
        .route("/v1/test/busy", get(busy))
        .route("/v1/test/named/{name}", get(named))
}

/// Make a thing
///
/// A call that makes something, described as ours are.
#[utoipa::path(post, path = "/v1/test/things", tag = "manifolds", params(IdempotencyKey, TrialQuery),
    request_body = ThingIn,
    responses((status = 201, description = "The thing.", body = ThingOut)))]
async fn make_thing(
    _caller: MayCheck,
    Extension(counters): Extension<Arc<Counters>>,
    WireQuery(query): WireQuery<TrialQuery>,
    WireJson(thing): WireJson<ThingIn>,
) -> Response {
    let made = match query.validate_only {
        Some(true) => 0,
        _ => counters.made.fetch_add(1, Ordering::SeqCst) + 1,
    };
    let length = QuantityOut::length(thing.length.get(), Units::Imperial);
    let place = [("location", format!("/v1/test/things/{made}"))];
    (StatusCode::CREATED, place, Json(ThingOut { made, length })).into_response()
}

/// Check things
///
/// A bulk call, described as ours are.
#[utoipa::path(post, path = "/v1/test/checks", tag = "manifolds", params(IdempotencyKey),
    request_body = ThingsIn,
    responses((status = 200, description = "A verdict for each.", body = ThingsOut)))]
async fn check_things(_caller: MayCheck, WireJson(things): WireJson<ThingsIn>) -> Json<ThingsOut> {
    let results = things
        .things
        .into_vec()
        .into_iter()
        .map(|thing| match thing {
            Ok(thing) => Ok(ThingOut {
                made: 0,
                length: QuantityOut::length(thing.length.get(), Units::Imperial),
            }),
            Err(faults) => Err(Problem::new(Slug::InvalidBody).with_faults(faults)),
        });
    let (summary, items) = bulk(results);
    Json(ThingsOut { summary, items })
}

async fn fail_once(counters: Arc<Counters>) -> Result<StatusCode, Problem> {
    match counters.failed.fetch_add(1, Ordering::SeqCst) {
        0 => Err(Problem::internal(&"for the test")),
        _ => Ok(StatusCode::CREATED),
    }
}

async fn held(counters: Arc<Counters>) -> StatusCode {
    counters.made.fetch_add(1, Ordering::SeqCst);
    counters.entered.notify_one();
    counters.release.notified().await;
    StatusCode::CREATED
}

async fn panic_now() -> StatusCode {
    panic!("a secret that must not show");
}

async fn forms(negotiator: Negotiator) -> Result<Response, Problem> {
    if negotiator.choose(&[JSON, CSV])?.is(CSV) {
        return Ok(([("content-type", "text/csv; header=present")], "a,b\r\n").into_response());
    }
    Ok(Json(json!({"a": 1})).into_response())
}

fn tagged(version: u64) -> Tagged<Json<Value>> {
    Tagged(
        Etag::of_version(&version.to_string()),
        Json(json!({"version": version})),
    )
}

async fn change(
    counters: Arc<Counters>,
    if_match: IfMatch,
) -> Result<Tagged<Json<Value>>, Problem> {
    let mut version = counters.version.lock().unwrap();
    if_match.check(&Etag::of_version(&version.to_string()))?;
    *version += 1;
    Ok(tagged(*version))
}

async fn list(
    counters: Arc<Counters>,
    WireQuery(query): WireQuery<ListQuery>,
    uri: Uri,
) -> Result<Page<u64>, Problem> {
    let after = query.after.map(|cursor| cursor.key::<u64>()).transpose()?;
    let limit = query.limit.unwrap_or_default().get() as usize;
    let all = counters.list.lock().unwrap().clone();
    let rest: Vec<u64> = all
        .into_iter()
        .filter(|item| after.is_none_or(|after| *item > after))
        .collect();
    let items: Vec<u64> = rest.iter().copied().take(limit).collect();
    let last = items.last().filter(|_| rest.len() > items.len());
    let next = last.map(Cursor::of).transpose()?;
    Ok(Page::new(items, next, &uri))
}

async fn busy(State(state): State<ApiState>) -> Result<String, Problem> {
    state.heavy().run(|| "done".to_owned()).await
}

async fn named(WirePath(name): WirePath<String>) -> Problem {
    Problem::not_found("thing", &name)
}
