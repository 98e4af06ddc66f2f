//! Who may do what.

use super::harness::{ACCOUNT, ADMIN, CHECK, TestServer, header, problem};
use reqwest::{Method, StatusCode};

#[tokio::test]
async fn without_a_good_key_nothing_under_v1_opens() {
    let server = TestServer::start().await;
    let none = server.get("/v1/units").await;
    let ways: Vec<_> = none.headers().get_all("www-authenticate").iter().collect();
    assert_eq!(
        ways,
        [
            "Bearer realm=\"offtake\"",
            "Basic realm=\"offtake\", charset=\"UTF-8\""
        ]
    );
    problem(none, StatusCode::UNAUTHORIZED, "missing-key").await;
    let wrong = server
        .request(Method::GET, "/v1/units")
        .bearer_auth("wrong")
        .send()
        .await
        .unwrap();
    assert!(header(&wrong, "www-authenticate").contains("error=\"invalid_token\""));
    let body = problem(wrong, StatusCode::UNAUTHORIZED, "invalid-key").await;
    assert!(!body.to_string().contains("wrong"));
    // A route whose handler forgets to ask is closed all the same.
    let forgetful = server.get("/v1/test/thing").await;
    problem(forgetful, StatusCode::UNAUTHORIZED, "missing-key").await;
}

#[tokio::test]
async fn a_key_opens_as_bearer_and_as_password() {
    let server = TestServer::start().await;
    for key in [CHECK, ADMIN] {
        let bearer = server.request(Method::GET, "/v1/units").bearer_auth(key);
        assert_eq!(
            bearer.send().await.unwrap().status(),
            StatusCode::OK,
            "{key}"
        );
        let basic = server
            .request(Method::GET, "/v1/units")
            .basic_auth("anyone", Some(key));
        assert_eq!(
            basic.send().await.unwrap().status(),
            StatusCode::OK,
            "{key}"
        );
    }
}

#[tokio::test]
async fn a_scope_that_is_missing_is_named() {
    let server = TestServer::start().await;
    let refused = server
        .request(Method::GET, "/v1/units")
        .bearer_auth(ACCOUNT)
        .send()
        .await
        .unwrap();
    let body = problem(refused, StatusCode::FORBIDDEN, "missing-scope").await;
    assert!(body["detail"].as_str().unwrap().contains("`check`"));
}
