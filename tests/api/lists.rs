//! Lists give everything once, also while others add.

use super::harness::{TestServer, header};
use reqwest::{Method, StatusCode};
use serde_json::Value;

#[tokio::test]
async fn following_next_gives_everything_once_while_others_add() {
    let server = TestServer::start().await;
    server.counters.add_to_list((0..100).map(|n| n * 2));
    let (mut path, mut seen) = ("/v1/test/list?limit=7".to_owned(), Vec::new());
    for round in 0.. {
        assert!(round < 50, "the list has no end");
        let answer = server.admin(Method::GET, &path).send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::OK);
        let link = header(&answer, "link").to_owned();
        let page: Value = answer.json().await.unwrap();
        seen.extend(
            page["items"]
                .as_array()
                .unwrap()
                .iter()
                .map(|item| item.as_u64().unwrap()),
        );
        // Somebody adds one before the place we are at.
        server.counters.add_to_list([round * 2 + 1]);
        let Some(next) = page["next"].as_str() else {
            assert_eq!(link, "");
            break;
        };
        assert_eq!(link, format!("<{next}>; rel=\"next\""));
        path = next.to_owned();
    }
    let even: Vec<u64> = seen.iter().copied().filter(|item| item % 2 == 0).collect();
    assert_eq!(even, (0..100).map(|n| n * 2).collect::<Vec<u64>>());
    let mut once = seen.clone();
    once.dedup();
    assert_eq!(once, seen);
}

#[tokio::test]
async fn a_page_has_fifty_items_unless_told_otherwise_and_never_more_than_five_hundred() {
    let server = TestServer::start().await;
    server.counters.add_to_list(0..600);
    for (path, count) in [
        ("/v1/test/list", 50),
        ("/v1/test/list?limit=9999", 500),
        ("/v1/test/list?limit=1", 1),
    ] {
        let page: Value = server
            .admin(Method::GET, path)
            .send()
            .await
            .unwrap()
            .json()
            .await
            .unwrap();
        assert_eq!(page["items"].as_array().unwrap().len(), count, "{path}");
    }
}
