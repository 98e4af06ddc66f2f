//! Sizes for wanted flows, over real sockets.

use super::checks::{answered, send};
use super::harness::{TestServer, problem};
use reqwest::StatusCode;
use serde_json::{Value, json};

const SIZE: &str = "/v1/manifolds/size";

fn wanted() -> Value {
    json!({
        "mark": "H-1", "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "130 degF",
        "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "6 in"}],
        "outlets": [{"count": 6, "first": "6 in", "pitch": "8 in", "stub": "3 in",
            "flow": "6 gpm", "drop": {"flow": "6 gpm", "head": "4 ft"}}],
        "supply": {"flow": "36 gpm"}
    })
}

#[tokio::test]
async fn designs_are_ranked_and_the_cheapest_failures_say_why() {
    let server = TestServer::start().await;
    let request = json!({"manifolds": [wanted()], "rank_by": "mass", "most": 5});
    let body = answered(&server, SIZE, &request).await;
    let item = &body["items"][0];
    assert_eq!(item["ranked_by"], "mass");
    let designs = item["designs"].as_array().unwrap();
    assert_eq!(designs.len(), 5);
    assert!(item["fitting"].as_u64().unwrap() > 5);
    let mass = |design: &Value| design["mass"]["value"].as_f64().unwrap();
    assert!(
        designs
            .windows(2)
            .all(|pair| mass(&pair[0]) <= mass(&pair[1]))
    );
    for design in designs {
        assert_eq!(design["balancing"].as_array().unwrap().len(), 6);
        assert!(design["spread"].as_f64().unwrap() <= 0.1);
        // This key may not see prices.
        assert_eq!(design["price"], Value::Null);
    }
    let reasons = item["rejected"].to_string();
    assert!(reasons.contains("velocity: water runs at"), "{reasons}");

    let by_loss = json!({"manifolds": [wanted()], "rank_by": "loss", "most": 5});
    let body = answered(&server, SIZE, &by_loss).await;
    let designs = body["items"][0]["designs"].as_array().unwrap();
    let head = |design: &Value| design["head"]["value"].as_f64().unwrap();
    assert!(
        designs
            .windows(2)
            .all(|pair| head(&pair[0]) <= head(&pair[1]))
    );
}

#[tokio::test]
async fn a_price_that_cannot_be_had_ranks_by_mass() {
    let server = TestServer::start().await;
    let body = answered(&server, SIZE, &json!({"manifolds": [wanted()]})).await;
    assert_eq!(body["items"][0]["ranked_by"], "mass");
}

#[tokio::test]
async fn what_cannot_be_sized_says_why() {
    let server = TestServer::start().await;
    let mut unflowing = wanted();
    unflowing["outlets"][0]
        .as_object_mut()
        .unwrap()
        .remove("flow");
    let mut gas = wanted();
    gas["service"] = json!("compressed_air");
    let mut bought = wanted();
    bought["builds"] = json!(["purchased"]);
    bought["limits"] = json!({"velocity": "0 ft/s"});
    let request = json!({"manifolds": [unflowing, gas, bought, wanted()]});
    let body = answered(&server, SIZE, &request).await;
    assert_eq!(body["summary"], json!({"ok": 1, "failed": 3}));
    let errors = |index: usize| body["items"][index]["problem"]["errors"].clone();
    assert_eq!(errors(0)[0]["pointer"], "/manifolds/0/outlets/0/flow");
    assert_eq!(errors(1)[0]["code"], "not_a_full_liquid");
    assert_eq!(errors(2).as_array().unwrap().len(), 2);

    let many = json!({"manifolds": vec![wanted(); 21]});
    let answer = send(&server, SIZE, &many).await;
    problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
}

#[tokio::test]
async fn the_examples_of_the_readme_are_answered() {
    let server = TestServer::start().await;
    for (path, example) in [
        (
            "/v1/manifolds/check",
            include_str!("../../examples/check.json"),
        ),
        (
            "/v1/manifolds/flow",
            include_str!("../../examples/flow.json"),
        ),
        (SIZE, include_str!("../../examples/size.json")),
    ] {
        let example: Value = serde_json::from_str(example).unwrap();
        let body = answered(&server, path, &example).await;
        assert_eq!(body["summary"]["failed"], 0, "{path}: {body}");
    }
    let example = include_str!("../../examples/cut-plan.json");
    let plan = answered(
        &server,
        "/v1/cut-plans",
        &serde_json::from_str(example).unwrap(),
    )
    .await;
    assert_eq!(plan["proven"], true);
}
