//! Pressing the button twice makes one thing.

use super::harness::{ADMIN, CHECK, TestServer, header, problem};
use futures::future::join_all;
use reqwest::{Method, Response, StatusCode};
use std::sync::atomic::Ordering;

async fn make(server: &TestServer, caller: &str, key: &str, body: &str) -> Response {
    let request = server
        .request(Method::POST, "/v1/test/things")
        .bearer_auth(caller);
    let request = request
        .header("content-type", "application/json")
        .header("idempotency-key", key);
    request.body(body.to_owned()).send().await.unwrap()
}

const BODY: &str = r#"{"length": "5 in"}"#;

#[tokio::test]
async fn the_first_answer_is_replayed_whole() {
    let server = TestServer::start().await;
    let first = make(&server, ADMIN, "job-7-rev-1", BODY).await;
    assert_eq!(first.status(), StatusCode::CREATED);
    assert_eq!(header(&first, "idempotency-replayed"), "");
    let again = make(&server, ADMIN, "\"job-7-rev-1\"", BODY).await;
    assert_eq!(again.status(), StatusCode::CREATED);
    assert_eq!(header(&again, "idempotency-replayed"), "true");
    assert_eq!(header(&again, "location"), header(&first, "location"));
    assert_eq!(
        header(&again, "content-type"),
        header(&first, "content-type")
    );
    assert_eq!(again.bytes().await.unwrap(), first.bytes().await.unwrap());
    assert_eq!(server.counters.made.load(Ordering::SeqCst), 1);
}

#[tokio::test]
async fn another_body_is_refused_and_another_key_is_another_request() {
    let server = TestServer::start().await;
    make(&server, ADMIN, "k", BODY).await;
    let other = make(&server, ADMIN, "k", r#"{"length": "6 in"}"#).await;
    problem(
        other,
        StatusCode::UNPROCESSABLE_ENTITY,
        "idempotency-key-reused",
    )
    .await;
    assert_eq!(
        make(&server, ADMIN, "l", BODY).await.status(),
        StatusCode::CREATED
    );
    assert_eq!(
        make(&server, CHECK, "k", BODY).await.status(),
        StatusCode::CREATED
    );
    assert_eq!(server.counters.made.load(Ordering::SeqCst), 3);
}

#[tokio::test]
async fn a_refusal_is_replayed_too() {
    let server = TestServer::start().await;
    let first = make(&server, ADMIN, "k", "{}").await;
    let first_id = header(&first, "x-request-id").to_owned();
    assert_eq!(first.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let again = make(&server, ADMIN, "k", "{}").await;
    assert_eq!(header(&again, "idempotency-replayed"), "true");
    let body: serde_json::Value = again.json().await.unwrap();
    assert_eq!(body["type"], "/problems/invalid-body");
    assert_eq!(
        body["request_id"], first_id,
        "the document names the request it was made for"
    );
}

#[tokio::test]
async fn a_key_that_is_no_key_is_refused() {
    let server = TestServer::start().await;
    for key in ["", "a b", &"x".repeat(256)] {
        let refused = make(&server, ADMIN, key, BODY).await;
        problem(refused, StatusCode::BAD_REQUEST, "invalid-header").await;
    }
}

#[tokio::test]
async fn a_failure_of_the_server_is_not_kept() {
    let server = TestServer::start().await;
    let send = || {
        server
            .admin(Method::POST, "/v1/test/fails-once")
            .header("idempotency-key", "k")
            .send()
    };
    assert_eq!(
        send().await.unwrap().status(),
        StatusCode::INTERNAL_SERVER_ERROR
    );
    assert_eq!(send().await.unwrap().status(), StatusCode::CREATED);
    assert_eq!(
        header(&send().await.unwrap(), "idempotency-replayed"),
        "true"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn twenty_at_once_make_one_thing() {
    let server = TestServer::start().await;
    let answers = join_all((0..20).map(|_| make(&server, ADMIN, "k", BODY))).await;
    let mut fresh = 0;
    for answer in &answers {
        match answer.status() {
            StatusCode::CREATED if header(answer, "idempotency-replayed").is_empty() => fresh += 1,
            StatusCode::CREATED => {}
            status => {
                assert_eq!(status, StatusCode::CONFLICT);
                assert_eq!(header(answer, "retry-after"), "1");
            }
        }
    }
    assert_eq!(fresh, 1);
    assert_eq!(server.counters.made.load(Ordering::SeqCst), 1);
}

#[tokio::test]
async fn while_it_runs_a_second_one_is_told_to_wait_and_hanging_up_changes_nothing() {
    let server = TestServer::start().await;
    let send = || {
        server
            .admin(Method::POST, "/v1/test/held")
            .header("idempotency-key", "k")
            .send()
    };
    // The first client hangs up as soon as its request has begun.
    tokio::select! {
        _ = send() => panic!("it is held"),
        () = server.counters.entered.notified() => {}
    }
    let second = send().await.unwrap();
    assert_eq!(header(&second, "retry-after"), "1");
    problem(second, StatusCode::CONFLICT, "request-running").await;
    server.counters.release.notify_one();
    let answer = loop {
        let answer = send().await.unwrap();
        if answer.status() != StatusCode::CONFLICT {
            break answer;
        }
        tokio::task::yield_now().await;
    };
    assert_eq!(answer.status(), StatusCode::CREATED);
    assert_eq!(header(&answer, "idempotency-replayed"), "true");
    assert_eq!(server.counters.made.load(Ordering::SeqCst), 1);
}

#[tokio::test]
async fn a_trial_run_uses_no_key_up() {
    let server = TestServer::start().await;
    for _ in 0..2 {
        let trial = server.admin(Method::POST, "/v1/test/things?validate_only=true");
        let trial = trial
            .header("content-type", "application/json")
            .header("idempotency-key", "k");
        let trial = trial.body(BODY).send().await.unwrap();
        assert_eq!(header(&trial, "idempotency-replayed"), "");
    }
    assert_eq!(
        header(
            &make(&server, ADMIN, "k", BODY).await,
            "idempotency-replayed"
        ),
        ""
    );
}
