//! The service describes itself.

use super::harness::{TestServer, header, problem};
use reqwest::{Method, StatusCode};
use serde_json::Value;
use std::sync::atomic::Ordering;

#[tokio::test]
async fn health_follows_what_the_service_depends_on() {
    let server = TestServer::start().await;
    assert_eq!(server.get("/health/ready").await.status(), StatusCode::OK);
    server.ready.0.store(false, Ordering::SeqCst);
    let answer = server.get("/health/ready").await;
    assert_eq!(header(&answer, "retry-after"), "1");
    problem(answer, StatusCode::SERVICE_UNAVAILABLE, "not-ready").await;
    assert_eq!(server.get("/health/live").await.status(), StatusCode::OK);
}

#[tokio::test]
async fn requests_are_counted_by_route_and_status() {
    let server = TestServer::start().await;
    server.get("/problems/stale").await;
    server.get("/problems/busy").await;
    server.get("/nowhere/at/all").await;
    let answer = server.get("/metrics").await;
    assert_eq!(
        header(&answer, "content-type"),
        "text/plain; version=0.0.4; charset=utf-8"
    );
    let text = answer.text().await.unwrap();
    let count = |route: &str, status: u16| {
        format!("http_requests_total{{method=\"GET\",route=\"{route}\",status=\"{status}\"}} ")
    };
    assert!(
        text.contains(&format!("{}2", count("/problems/{slug}", 200))),
        "{text}"
    );
    assert!(text.contains(&format!("{}1", count("none", 404))), "{text}");
    assert!(text.contains("http_request_duration_seconds_bucket{method=\"GET\",route=\"/problems/{slug}\",le=\"+Inf\"} 2"));
}

#[tokio::test]
async fn the_docs_load_nothing_from_outside() {
    let server = TestServer::start().await;
    let moved = server.get("/docs").await;
    assert_eq!(header(&moved, "location"), "/docs/");
    let page = server.get("/docs/").await.text().await.unwrap();
    let start = server
        .get("/docs/swagger-initializer.js")
        .await
        .text()
        .await
        .unwrap();
    assert!(
        start.contains("/openapi.json") && start.contains("\"validatorUrl\": \"none\""),
        "{start}"
    );
    for text in [&page, &start] {
        assert!(
            !text.contains("http://") && !text.contains("https://"),
            "{text}"
        );
    }
}

#[tokio::test]
async fn machines_find_the_description() {
    let server = TestServer::start().await;
    for method in [Method::GET, Method::HEAD] {
        let answer = server
            .request(method, "/.well-known/api-catalog")
            .send()
            .await
            .unwrap();
        assert!(header(&answer, "content-type").starts_with("application/linkset+json"));
        assert!(header(&answer, "link").contains("rel=\"api-catalog\""));
    }
    let catalog: Value = server
        .get("/.well-known/api-catalog")
        .await
        .json()
        .await
        .unwrap();
    for relation in ["service-desc", "service-doc", "status"] {
        let href = catalog["linkset"][0][relation][0]["href"].as_str().unwrap();
        assert_eq!(server.get(href).await.status(), StatusCode::OK, "{href}");
    }
    let front = server.get("/").await;
    assert!(header(&front, "link").contains("rel=\"api-catalog\""));
    assert!(front.text().await.unwrap().contains("/docs/"));
}

#[tokio::test]
async fn the_description_covers_every_operation() {
    let server = TestServer::start().await;
    let document: Value = server.get("/openapi.json").await.json().await.unwrap();
    assert_eq!(document["openapi"], "3.1.0");
    assert_eq!(document["servers"][0]["url"], "/");
    let units = &document["paths"]["/v1/units"]["get"];
    assert_eq!(units["operationId"], "list_units");
    assert_eq!(
        units["responses"]["401"]["$ref"],
        "#/components/responses/Problem401"
    );
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let name = format!("{method} {path}");
            assert!(
                operation["summary"].is_string() && operation["description"].is_string(),
                "{name}"
            );
            assert!(operation["responses"]["500"]["$ref"].is_string(), "{name}");
            let tag = operation["tags"][0].as_str().unwrap();
            let tags = document["tags"].as_array().unwrap();
            assert!(
                tags.iter().any(|known| known["name"] == tag),
                "{name}: {tag}"
            );
        }
    }
    // Every reference leads somewhere.
    let text = document.to_string();
    for part in text.split("\"$ref\":\"#").skip(1) {
        let pointer = part.split('"').next().unwrap();
        assert!(document.pointer(pointer).is_some(), "{pointer}");
    }
}

#[tokio::test]
async fn the_example_of_the_units_is_what_the_server_answers() {
    let server = TestServer::start().await;
    let document: Value = server.get("/openapi.json").await.json().await.unwrap();
    let example = &document["paths"]["/v1/units"]["get"]["responses"]["200"]["content"]["application/json"]
        ["example"];
    let answer: Value = server
        .admin(Method::GET, "/v1/units")
        .send()
        .await
        .unwrap()
        .json()
        .await
        .unwrap();
    assert_eq!(answer["items"][0], example["items"][0]);
    assert_eq!(answer["items"].as_array().unwrap().len(), 8);
    let one = server
        .admin(Method::GET, "/v1/units?quantity=pressure")
        .send()
        .await
        .unwrap();
    let one: Value = one.json().await.unwrap();
    assert_eq!(one["items"].as_array().unwrap().len(), 1);
    assert_eq!(one["items"][0]["units"][0]["unit"], "psi");
    let wrong = server
        .admin(Method::GET, "/v1/units?quantity=presure")
        .send()
        .await
        .unwrap();
    let wrong = problem(wrong, StatusCode::BAD_REQUEST, "invalid-query").await;
    assert!(
        wrong["errors"][0]["detail"]
            .as_str()
            .unwrap()
            .contains("did you mean \"pressure\"?")
    );
}

#[tokio::test]
async fn a_described_body_reaches_the_document_whole() {
    let server = TestServer::start().await;
    let document: Value = server.get("/openapi.json").await.json().await.unwrap();
    let make = &document["paths"]["/v1/test/things"]["post"];
    assert_eq!(make["operationId"], "make_thing");
    let body = &make["requestBody"]["content"]["application/json"]["schema"]["$ref"];
    assert_eq!(body, "#/components/schemas/ThingIn");
    for status in [400, 401, 403, 408, 409, 413, 415, 422, 429, 500, 503] {
        let reference = format!("#/components/responses/Problem{status}");
        assert_eq!(make["responses"][status.to_string()]["$ref"], reference);
    }
    let names: Vec<_> = make["parameters"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["name"])
        .collect();
    assert_eq!(names, ["Idempotency-Key", "validate_only"]);
    assert!(document["components"]["schemas"]["LengthIn"]["oneOf"].is_array());
    let example = &document["components"]["schemas"]["ThingIn"]["examples"][0];
    let sent = server
        .admin(Method::POST, "/v1/test/things")
        .json(example)
        .send()
        .await
        .unwrap();
    assert_eq!(
        sent.status(),
        StatusCode::CREATED,
        "the example is accepted"
    );
}
