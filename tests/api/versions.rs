//! Nobody overwrites what another has changed, and nobody fetches twice what has not.

use super::harness::{TestServer, header, problem};
use reqwest::{Method, StatusCode};

const THING: &str = "/v1/test/thing";

#[tokio::test]
async fn a_change_needs_the_current_version() {
    let server = TestServer::start().await;
    let first = server.admin(Method::GET, THING).send().await.unwrap();
    let old = header(&first, "etag").to_owned();
    let put = |tag: Option<String>| {
        let request = server.admin(Method::PUT, THING);
        match tag {
            Some(tag) => request.header("if-match", tag).send(),
            None => request.send(),
        }
    };
    let missing = put(None).await.unwrap();
    problem(
        missing,
        StatusCode::PRECONDITION_REQUIRED,
        "version-required",
    )
    .await;
    let changed = put(Some(old.clone())).await.unwrap();
    assert_eq!(changed.status(), StatusCode::OK);
    let new = header(&changed, "etag").to_owned();
    assert_ne!(old, new);
    let stale = put(Some(old)).await.unwrap();
    assert_eq!(header(&stale, "etag"), new, "the current version is told");
    problem(stale, StatusCode::PRECONDITION_FAILED, "stale").await;
}

#[tokio::test]
async fn what_has_not_changed_is_not_sent_again() {
    let server = TestServer::start().await;
    // One resource sets its version itself, the other has it taken from its body.
    for path in [THING, "/v1/units"] {
        let first = server.admin(Method::GET, path).send().await.unwrap();
        let tag = header(&first, "etag").to_owned();
        assert!(tag.starts_with('"') && tag.len() > 10, "{tag}");
        for sent in [
            tag.clone(),
            format!("W/{tag}"),
            format!("\"x\", {tag}"),
            "*".to_owned(),
        ] {
            let again = server
                .admin(Method::GET, path)
                .header("if-none-match", &sent);
            let again = again.send().await.unwrap();
            assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{sent}");
            assert_eq!(header(&again, "etag"), tag);
            assert_eq!(again.bytes().await.unwrap().len(), 0);
        }
        let other = server
            .admin(Method::GET, path)
            .header("if-none-match", "\"x\"");
        assert_eq!(other.send().await.unwrap().status(), StatusCode::OK);
    }
}

#[tokio::test]
async fn head_answers_with_the_fields_of_get() {
    let server = TestServer::start().await;
    let get = server.admin(Method::GET, "/v1/units").send().await.unwrap();
    let head = server
        .admin(Method::HEAD, "/v1/units")
        .send()
        .await
        .unwrap();
    assert_eq!(head.status(), StatusCode::OK);
    for name in [
        "content-type",
        "content-length",
        "etag",
        "vary",
        "cache-control",
    ] {
        assert_eq!(header(&head, name), header(&get, name), "{name}");
    }
    assert_eq!(head.bytes().await.unwrap().len(), 0);
}
