//! Rule sets, over real sockets.

use super::checks::{answered, manifold, send, with};
use super::harness::{CHECK, TestServer, problem};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

async fn get(server: &TestServer, path: &str) -> Value {
    let answer = server.request(Method::GET, path).bearer_auth(CHECK);
    let answer = answer.send().await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK, "{path}");
    answer.json().await.unwrap()
}

#[tokio::test]
async fn every_choice_says_where_it_comes_from() {
    let server = TestServer::start().await;
    let list = get(&server, "/v1/rule-sets").await;
    let items = list["items"].as_array().unwrap();
    assert_eq!(items.len(), 5);
    for item in items {
        let path = format!("/v1/rule-sets/{}", item["id"].as_str().unwrap());
        assert_eq!(get(&server, &path).await, *item);
        assert_eq!(item["default"], item["id"] == "offtake-1");
        for choice in [
            "collar_height",
            "forming_types",
            "velocity",
            "test_pressure",
            "support",
        ] {
            assert!(!item[choice]["meaning"].as_str().unwrap().is_empty());
            assert!(!item[choice]["source"]["cite"].as_str().unwrap().is_empty());
        }
        for limit in ["fire_watch", "lift"] {
            assert!(!item[limit]["source"]["cite"].as_str().unwrap().is_empty());
        }
    }
    assert_eq!(items[0]["collar_height"]["choice"], "branch");
    assert_eq!(
        items[0]["collar_height"]["others"],
        json!(["thicker_of_both"])
    );
    assert_eq!(
        items[0]["fire_watch"]["limit"],
        json!({"value": 60.0, "unit": "min"})
    );
    let answer = server
        .request(Method::GET, "/v1/rule-sets/lax-1")
        .bearer_auth(CHECK);
    let body = problem(
        answer.send().await.unwrap(),
        StatusCode::NOT_FOUND,
        "not-found",
    )
    .await;
    assert!(body["detail"].as_str().unwrap().contains("strict-1"));
}

#[tokio::test]
async fn a_request_is_judged_by_the_rules_it_names() {
    let server = TestServer::start().await;
    let judged = |set: &'static str, item: Value| {
        let server = &server;
        async move {
            let body = json!({"manifolds": [item], "rule_set": set});
            let answer = answered(server, "/v1/manifolds/check", &body).await;
            assert_eq!(answer["rule_set"], set);
            answer["items"][0].clone()
        }
    };
    // Run 2 in type L, wall 0.070 in, branch 1 in type L, wall 0.050 in: three times the branch is
    // 0.150 in, three times the thicker of both 0.210 in.
    let planned = with(
        "/outlets/0",
        json!({"tube": "b88-l-1", "station": "6 in", "stub": "3 in",
        "collar_height": "0.16 in"}),
    );
    let usual = judged("offtake-1", planned.clone()).await;
    assert_ne!(usual["verdict"], "not_buildable");
    let strict = judged("strict-1", planned).await;
    assert_eq!(strict["verdict"], "not_buildable");
    let stop = strict["findings"].as_array().unwrap();
    let stop = stop.iter().find(|it| it["level"] == "stop").unwrap();
    assert_eq!(
        (&stop["rule"], &stop["limit"]["value"]),
        (&json!("collar-height"), &json!(0.21))
    );
    // Heating at 75 psi: 1.5 times 75 against 150 psi at least.
    for (set, psi, minutes) in [
        ("offtake-1", 112.5, 60.0),
        ("strict-1", 150.0, 60.0),
        ("least-1", 150.0, 30.0),
        ("strict-2", 150.0, 60.0),
        ("least-2", 150.0, 30.0),
    ] {
        let item = judged(set, manifold()).await;
        let findings = item["findings"].as_array().unwrap();
        let measured = |rule: &str| {
            let found = findings.iter().find(|it| it["rule"] == rule).unwrap();
            found["measured"]["value"].as_f64().unwrap()
        };
        assert!((measured("test-pressure") - psi).abs() < 1e-6, "{set}");
        assert!((measured("hot-work") - minutes).abs() < 1e-9, "{set}");
    }
    // MSS SP-58 holds 2 in tube every 8 ft, the model codes every 10 ft.
    for (set, inches, basis) in [
        ("offtake-1", 96.0, "mss_sp_58"),
        ("least-2", 120.0, "irc_imc"),
    ] {
        let item = judged(set, manifold()).await;
        let found = &item["computed"]["support_spacing"];
        assert!((found["most"]["value"].as_f64().unwrap() - inches).abs() < 1e-6);
        assert_eq!(found["basis"], basis);
    }
    let body = json!({"manifolds": [manifold()], "rule_set": "strict-1"});
    let layout = answered(&server, "/v1/manifolds/layout", &body).await;
    assert_eq!(layout["rule_set"], "strict-1");
    let unknown = json!({"manifolds": [manifold()], "rule_set": "lax-1"});
    for path in ["/v1/manifolds/check", "/v1/manifolds/layout"] {
        let refused = send(&server, path, &unknown).await;
        let body = problem(refused, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
        assert_eq!(body["errors"][0]["code"], "unknown_rule_set");
        assert_eq!(body["errors"][0]["pointer"], "/rule_set");
    }
}
