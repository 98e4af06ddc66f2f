//! The service with the demo's shop, prices and times in it.

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{Method, Request, StatusCode, header};
use http_body_util::BodyExt;
use offtake::http::auth::Scope;
use offtake::http::{router, v1};
use serde_json::{Value, json};
use tower::ServiceExt;

use crate::service::{KEY, state};

/// Opens it on a fresh database.
pub async fn open(database: &str) -> Router {
    let state = state(Scope::Admin, database).await;
    let service = router::router_of(state.clone(), v1::routes(&state)).unwrap();
    set_up(&service).await;
    service
}

/// Sends a request and reads the whole answer, which must be good.
pub async fn ask(
    service: &Router,
    method: Method,
    path: &str,
    (kind, body): (&str, Bytes),
) -> Bytes {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::AUTHORIZATION, format!("Bearer {KEY}"))
        .header(header::CONTENT_TYPE, kind)
        .header(header::IF_MATCH, "*")
        .body(Body::from(body))
        .unwrap();
    let answer = service.clone().oneshot(request).await.unwrap();
    let status = answer.status();
    let bytes = answer.into_body().collect().await.unwrap().to_bytes();
    assert!(
        status == StatusCode::OK || status == StatusCode::CREATED,
        "{path}: {status} {}",
        String::from_utf8_lossy(&bytes)
    );
    bytes
}

/// A body of JSON.
pub fn as_json(value: &Value) -> (&'static str, Bytes) {
    ("application/json", value.to_string().into())
}

/// The demo's shop, prices and times.
async fn set_up(service: &Router) {
    let settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    let request = Request::put("/v1/shop")
        .header(header::AUTHORIZATION, format!("Bearer {KEY}"))
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from(settings.to_string()))
        .unwrap();
    let set = service.clone().oneshot(request).await.unwrap();
    assert_eq!(set.status(), StatusCode::OK);
    for (place, part, sheet) in [
        (
            "price-lists",
            "items",
            include_str!("../../src/demo/data/prices.csv"),
        ),
        (
            "labour-models",
            "times",
            include_str!("../../src/demo/data/labour.csv"),
        ),
    ] {
        let mut head = json!({"name": "B", "effective_on": "2026-01-01"});
        if place == "price-lists" {
            head["supplier"] = json!("S");
            head["currency"] = json!("USD");
        }
        let place = format!("/v1/{place}");
        let made = ask(service, Method::POST, &place, as_json(&head)).await;
        let made: Value = serde_json::from_slice(&made).unwrap();
        let place = format!("{place}/{}", made["id"].as_str().unwrap());
        let sheet = ("text/csv", Bytes::from_static(sheet.as_bytes()));
        ask(service, Method::PUT, &format!("{place}/{part}"), sheet).await;
        ask(
            service,
            Method::POST,
            &format!("{place}/publish"),
            as_json(&json!({})),
        )
        .await;
    }
}
