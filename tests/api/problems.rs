//! Everything that goes wrong is a problem document that explains itself.

use super::harness::{ADMIN, CHECK, TestServer, header, problem};
use offtake::http::problem::Slug;
use offtake::http::state::Limits;
use reqwest::{Method, StatusCode};
use serde_json::Value;
use std::time::Duration;

#[tokio::test]
async fn every_kind_of_problem_has_its_page() {
    let server = TestServer::start().await;
    for slug in Slug::ALL {
        let path = format!("/problems/{}", slug.as_str());
        let page = server.get(&path).await;
        assert_eq!(page.status(), StatusCode::OK, "{path}");
        assert_eq!(header(&page, "content-type"), "text/html; charset=utf-8");
        assert!(page.text().await.unwrap().contains("What to do"));
        let json = server
            .request(Method::GET, &path)
            .header("accept", "application/json");
        let json: Value = json.send().await.unwrap().json().await.unwrap();
        assert_eq!(json["type"], path);
        assert_eq!(json["status"], slug.status().as_u16());
    }
    let unknown = server.get("/problems/no-such-kind").await;
    problem(unknown, StatusCode::NOT_FOUND, "not-found").await;
    let all: Value = server
        .get("/problems?format=json")
        .await
        .json()
        .await
        .unwrap();
    assert_eq!(all["items"].as_array().unwrap().len(), Slug::ALL.len());
}

#[tokio::test]
async fn unknown_paths_and_methods() {
    let server = TestServer::start().await;
    problem(
        server.get("/nowhere").await,
        StatusCode::NOT_FOUND,
        "no-such-path",
    )
    .await;
    problem(
        server.get("/v1/nowhere").await,
        StatusCode::NOT_FOUND,
        "no-such-path",
    )
    .await;
    problem(
        server.get("/docs/nowhere").await,
        StatusCode::NOT_FOUND,
        "no-such-path",
    )
    .await;
    let wrong = server
        .request(Method::DELETE, "/v1/units")
        .send()
        .await
        .unwrap();
    assert_eq!(header(&wrong, "allow"), "GET,HEAD");
    problem(wrong, StatusCode::METHOD_NOT_ALLOWED, "method-not-allowed").await;
    let odd = server
        .admin(Method::GET, "/v1/test/named/%FF")
        .send()
        .await
        .unwrap();
    problem(odd, StatusCode::NOT_FOUND, "not-found").await;
}

#[tokio::test]
async fn a_panic_is_a_problem_that_shows_nothing() {
    let server = TestServer::start().await;
    for method in [Method::GET, Method::POST] {
        let request = server
            .admin(method, "/v1/test/panic")
            .header("idempotency-key", "k");
        let body = problem(
            request.send().await.unwrap(),
            StatusCode::INTERNAL_SERVER_ERROR,
            "internal-error",
        )
        .await;
        assert!(!body.to_string().contains("secret"));
    }
    // The server lives on, and the claim on the key was given up.
    let again = server
        .admin(Method::POST, "/v1/test/panic")
        .header("idempotency-key", "k");
    problem(
        again.send().await.unwrap(),
        StatusCode::INTERNAL_SERVER_ERROR,
        "internal-error",
    )
    .await;
}

#[tokio::test]
async fn what_takes_too_long_is_ended() {
    let limits = Limits {
        timeout: Duration::from_millis(50),
        ..Limits::default()
    };
    let server = TestServer::with_limits(limits).await;
    let late = server
        .admin(Method::GET, "/v1/test/never")
        .send()
        .await
        .unwrap();
    assert_eq!(header(&late, "connection"), "close");
    problem(late, StatusCode::REQUEST_TIMEOUT, "request-timeout").await;
}

#[tokio::test]
async fn a_form_nobody_has_is_refused_with_a_list() {
    let server = TestServer::start().await;
    let ask = |accept: &'static str| {
        server
            .admin(Method::GET, "/v1/test/forms")
            .header("accept", accept)
            .send()
    };
    let csv = ask("text/csv").await.unwrap();
    assert_eq!(
        header(&csv, "content-type"),
        "text/csv; header=present; charset=utf-8"
    );
    assert_eq!(
        header(&ask("*/*").await.unwrap(), "content-type"),
        "application/json; charset=utf-8"
    );
    let none = problem(
        ask("image/png").await.unwrap(),
        StatusCode::NOT_ACCEPTABLE,
        "not-acceptable",
    )
    .await;
    assert!(
        none["detail"]
            .as_str()
            .unwrap()
            .contains("text/csv (?format=csv)")
    );
    let asked = server
        .admin(Method::GET, "/v1/test/forms?format=csv")
        .header("accept", "application/json");
    assert!(header(&asked.send().await.unwrap(), "content-type").starts_with("text/csv"));
}

#[tokio::test]
async fn too_many_requests_say_when_to_come_back() {
    let limits = Limits {
        rate: Some(offtake::http::rate::RateLimit {
            requests: 2,
            window: Duration::from_secs(60),
        }),
        ..Limits::default()
    };
    let server = TestServer::with_limits(limits).await;
    let ask = |method: Method, key: &'static str| {
        server.request(method, "/v1/units").bearer_auth(key).send()
    };
    let first = ask(Method::GET, CHECK).await.unwrap();
    assert_eq!(header(&first, "ratelimit"), "\"key\";r=1;t=0");
    assert_eq!(header(&first, "ratelimit-policy"), "\"key\";q=2;w=60");
    for method in [Method::HEAD, Method::OPTIONS] {
        assert!(ask(method, CHECK).await.unwrap().status().is_success());
    }
    assert_eq!(
        ask(Method::GET, CHECK).await.unwrap().status(),
        StatusCode::OK
    );
    let refused = ask(Method::GET, CHECK).await.unwrap();
    assert_eq!(header(&refused, "retry-after"), "30");
    problem(refused, StatusCode::TOO_MANY_REQUESTS, "too-many-requests").await;
    assert_eq!(
        ask(Method::GET, ADMIN).await.unwrap().status(),
        StatusCode::OK
    );
}

#[tokio::test]
async fn ids_of_requests_are_echoed_or_made() {
    let server = TestServer::start().await;
    let own = server
        .request(Method::GET, "/health/live")
        .header("x-request-id", "my-id.1");
    assert_eq!(
        header(&own.send().await.unwrap(), "x-request-id"),
        "my-id.1"
    );
    let made = server.get("/health/live").await;
    assert!(header(&made, "x-request-id").starts_with("request-"));
    let odd = server
        .request(Method::GET, "/health/live")
        .header("x-request-id", "a b\"c");
    assert!(header(&odd.send().await.unwrap(), "x-request-id").starts_with("request-"));
}
