//! Every rule explains itself, with an example that is checked when the page is asked for.

use super::harness::{TestServer, header, problem};
use offtake::trade::finding::Rule;
use reqwest::{Method, StatusCode};
use serde_json::Value;

async fn json(server: &TestServer, path: &str) -> Value {
    let asked = server.request(Method::GET, path);
    let answer = asked.header("accept", "application/json").send().await;
    answer.unwrap().json().await.unwrap()
}

#[tokio::test]
async fn every_rule_has_its_page() {
    let server = TestServer::start().await;
    let list = json(&server, "/rules").await;
    let items = list["items"].as_array().unwrap();
    assert_eq!(items.len(), Rule::ALL.len());
    for (rule, item) in Rule::ALL.iter().zip(items) {
        let path = item["href"].as_str().unwrap();
        assert_eq!(path, format!("/rules/{}", rule.name()));
        let page = server.get(path).await;
        assert_eq!(page.status(), StatusCode::OK, "{path}");
        assert_eq!(header(&page, "content-type"), "text/html; charset=utf-8");
        let text = page.text().await.unwrap();
        assert!(text.contains("An example, checked now"), "{path}");
        assert!(text.contains("licensed people decide"), "{path}");
        // A formula stands one step a line, and what its symbols mean below it as prose.
        let formula = |item: &str| item.starts_with("<li><code>") && !item.contains(", where ");
        let steps = text.lines().filter(|line| formula(line)).count();
        let nothing = text.contains("Nothing is calculated");
        assert!(nothing != (steps > 0), "{path}");
        let body = json(&server, path).await;
        assert!(!body["sources"].as_array().unwrap().is_empty(), "{path}");
        let found = body["example"]["findings"].as_array().unwrap();
        assert!(found.iter().all(|it| it["rule"] == rule.name()), "{path}");
        let detail = found[0]["detail"].as_str().unwrap();
        let shown = detail.replace('\'', "&#39;").replace('"', "&quot;");
        assert!(text.contains(&shown), "{path}: {detail}");
    }
    let unknown = server.get("/rules/collar-hight").await;
    let body = problem(unknown, StatusCode::NOT_FOUND, "not-found").await;
    let detail = body["detail"].as_str().unwrap();
    assert!(detail.contains("`collar-height`"), "{detail}");
}

#[tokio::test]
async fn the_example_is_what_the_check_computes() {
    let server = TestServer::start().await;
    let body = json(&server, "/rules/collar-height").await;
    let found = &body["example"]["findings"][0];
    // Model plumbing codes: three times the wall of 1 in type L, 3 x 0.050 in.
    assert_eq!(found["measured"]["value"], 0.12);
    assert_eq!(found["limit"]["value"], 0.15);
    assert_eq!(found["level"], "stop");
    assert_eq!(found["help"], "/rules/collar-height");
}
