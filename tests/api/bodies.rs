//! Bodies that cannot be used.

use super::harness::{TestServer, header, problem};
use reqwest::{Method, StatusCode};
use std::sync::atomic::Ordering;

const THINGS: &str = "/v1/test/things";
const JSON: (&str, &str) = ("content-type", "application/json");

#[tokio::test]
async fn every_fault_of_a_body_is_named_at_once() {
    let server = TestServer::start().await;
    let body = r#"{"lenght": "5 in", "length": 5, "number": -1}"#;
    let sent = server
        .admin(Method::POST, THINGS)
        .header(JSON.0, JSON.1)
        .body(body);
    let body = problem(
        sent.send().await.unwrap(),
        StatusCode::UNPROCESSABLE_ENTITY,
        "invalid-body",
    )
    .await;
    let errors = body["errors"].as_array().unwrap();
    let found: Vec<_> = errors
        .iter()
        .map(|error| {
            (
                error["pointer"].as_str().unwrap(),
                error["code"].as_str().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        found,
        [
            ("/lenght", "unknown_field"),
            ("/length", "unit_missing"),
            ("/number", "out_of_range")
        ]
    );
    assert!(
        errors[0]["detail"]
            .as_str()
            .unwrap()
            .contains("did you mean `length`?")
    );
    assert_eq!(server.counters.made.load(Ordering::SeqCst), 0);
}

#[tokio::test]
async fn malformed_json_names_its_place() {
    let server = TestServer::start().await;
    let sent = server
        .admin(Method::POST, THINGS)
        .header(JSON.0, JSON.1)
        .body("{\n \"length\": 4,5 }");
    let body = problem(
        sent.send().await.unwrap(),
        StatusCode::BAD_REQUEST,
        "malformed-body",
    )
    .await;
    assert!(body["detail"].as_str().unwrap().contains("line 2 column"));
}

#[tokio::test]
async fn another_type_of_body_is_refused_with_the_right_one() {
    let server = TestServer::start().await;
    for kind in [
        Some("text/plain"),
        Some("application/x-www-form-urlencoded"),
        None,
    ] {
        let mut sent = server.admin(Method::POST, THINGS).body("{}");
        if let Some(kind) = kind {
            sent = sent.header("content-type", kind);
        }
        let answer = sent.send().await.unwrap();
        assert_eq!(header(&answer, "accept"), "application/json");
        problem(
            answer,
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "unsupported-media-type",
        )
        .await;
    }
    let good = server
        .admin(Method::POST, THINGS)
        .header("content-type", "application/json; charset=UTF-8");
    let good = good.body(r#"{"length": "5 in"}"#).send().await.unwrap();
    assert_eq!(good.status(), StatusCode::CREATED);
}

#[tokio::test]
async fn a_body_beyond_the_limit_is_refused_and_the_answer_is_heard() {
    let server = TestServer::start().await;
    let over = vec![b' '; 1024 * 1024 + 1];
    let sent = server
        .admin(Method::POST, THINGS)
        .header(JSON.0, JSON.1)
        .body(over);
    let body = problem(
        sent.send().await.unwrap(),
        StatusCode::PAYLOAD_TOO_LARGE,
        "body-too-large",
    )
    .await;
    assert!(body["detail"].as_str().unwrap().contains("1048576"));
    let mut within = br#"{"length": "5 in"}"#.to_vec();
    within.resize(1024 * 1024, b' ');
    let sent = server
        .admin(Method::POST, THINGS)
        .header(JSON.0, JSON.1)
        .body(within);
    assert_eq!(sent.send().await.unwrap().status(), StatusCode::CREATED);
}

#[tokio::test]
async fn an_upload_may_be_larger_and_of_its_own_type() {
    let server = TestServer::start().await;
    let upload = |kind: &'static str, bytes: usize| {
        let sent = server
            .admin(Method::POST, "/v1/test/upload")
            .header("content-type", kind);
        sent.body(vec![b'x'; bytes]).send()
    };
    let good = upload("text/csv", 2 * 1024 * 1024).await.unwrap();
    assert_eq!(good.text().await.unwrap(), "2097152");
    let over = upload("text/csv", 10 * 1024 * 1024 + 1).await.unwrap();
    problem(over, StatusCode::PAYLOAD_TOO_LARGE, "body-too-large").await;
    let other = upload("text/html", 1).await.unwrap();
    assert_eq!(header(&other, "accept"), "text/csv, image/png");
    problem(
        other,
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        "unsupported-media-type",
    )
    .await;
}

#[tokio::test]
async fn query_parameters_have_their_faults_named_too() {
    let server = TestServer::start().await;
    let sent = server
        .admin(Method::GET, "/v1/test/list?limit=x&after=!&limt=3&after=!")
        .send()
        .await
        .unwrap();
    let body = problem(sent, StatusCode::BAD_REQUEST, "invalid-query").await;
    let errors = body["errors"].as_array().unwrap();
    let found: Vec<_> = errors
        .iter()
        .map(|error| {
            (
                error["parameter"].as_str().unwrap(),
                error["code"].as_str().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        found,
        [
            ("limt", "unknown_field"),
            ("limit", "out_of_range"),
            ("after", "duplicate_field")
        ]
    );
}

#[tokio::test]
async fn in_a_bulk_call_a_bad_item_stands_among_good_ones() {
    let server = TestServer::start().await;
    let body =
        serde_json::json!({"things": [{"length": "5 in"}, {"length": 5}, {"length": "127 mm"}]});
    let answer = server
        .admin(Method::POST, "/v1/test/checks")
        .json(&body)
        .send()
        .await
        .unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    let answer: serde_json::Value = answer.json().await.unwrap();
    assert_eq!(answer["summary"], serde_json::json!({"ok": 2, "failed": 1}));
    assert_eq!(
        answer["items"][0]["length"],
        serde_json::json!({"value": 5.0, "unit": "in"})
    );
    assert_eq!(answer["items"][2]["length"], answer["items"][0]["length"]);
    assert_eq!(answer["items"][1]["index"], 1);
    assert_eq!(
        answer["items"][1]["problem"]["errors"][0]["pointer"],
        "/things/1/length"
    );
    let many = serde_json::json!({"things": vec![serde_json::json!({"length": "5 in"}); 501]});
    let refused = server
        .admin(Method::POST, "/v1/test/checks")
        .json(&many)
        .send()
        .await
        .unwrap();
    let refused = problem(refused, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
    assert_eq!(refused["errors"][0]["code"], "too_many");
}
