//! Flow of headers, over real sockets.

use super::checks::{answered, manifold, send, with};
use super::harness::{CHECK, TestServer, header, problem};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const FLOW: &str = "/v1/manifolds/flow";

/// The manifold of the contract, fed with a head, its outlets with a valve each.
fn fed() -> Value {
    let mut fed = manifold();
    fed["supply"] = json!({"head": "15 ft"});
    fed["outlets"][0]["cv"] = json!(4);
    fed
}

fn number(value: &Value) -> f64 {
    value["value"].as_f64().unwrap()
}

#[tokio::test]
async fn a_header_says_how_it_shares_its_water() {
    let server = TestServer::start().await;
    let body = answered(&server, FLOW, &json!({"manifolds": [fed()]})).await;
    assert_eq!(body["rule_set"], "offtake-1");
    let item = &body["items"][0];
    assert_eq!(
        (&item["mark"], &item["converged"]),
        (&json!("H-1"), &json!(true))
    );
    let outlets = item["outlets"].as_array().unwrap();
    assert_eq!(outlets.len(), 6);
    let total: f64 = outlets.iter().map(|it| number(&it["flow"])).sum();
    assert!((total - number(&item["flow"])).abs() < 1e-3);
    let shares: f64 = outlets.iter().map(|it| it["share"].as_f64().unwrap()).sum();
    assert!((shares - 1.0).abs() < 1e-4);
    for outlet in outlets {
        assert_eq!(outlet["flow"]["unit"], "gpm");
        assert_eq!(outlet["run_velocity"]["unit"], "ft/s");
        assert_eq!(outlet["branch"]["correlation"], "turbulent");
        // A valve of Cv 4 passes 4 sqrt(dp/SG) gpm.
        let drop = number(&outlet["pressure"]);
        let by_valve = 4.0 * (drop / 0.9706).sqrt();
        let flow = number(&outlet["flow"]);
        // Static pressure before the valve; the branch's velocity head is little beside it.
        assert!((flow / by_valve - 1.0).abs() < 0.02, "{outlet}");
    }
    // Two stand-ins and figures from memory are named in the answer.
    let assumed = item["assumed"].to_string();
    assert!(assumed.contains("formed collar"), "{assumed}");
    assert!(
        item["fluid"]["source"]["cite"]
            .as_str()
            .unwrap()
            .contains("IAPWS")
    );
    let rules: Vec<&str> = item["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| finding["rule"].as_str().unwrap())
        .collect();
    assert!(
        rules.contains(&"velocity") && rules.contains(&"area-ratio"),
        "{rules:?}"
    );
    let total: f64 = item["supply_header"]
        .as_array()
        .unwrap()
        .iter()
        .map(|stretch| number(&stretch["to"]) - number(&stretch["from"]))
        .sum();
    assert!(
        (total - 33.0).abs() < 1e-6,
        "{total}: the whole run, its dead end too"
    );
}

#[tokio::test]
async fn metric_and_imperial_say_the_same() {
    let server = TestServer::start().await;
    let ask = |units: &str| json!({"manifolds": [fed()], "units": units});
    let one = answered(&server, FLOW, &ask("imperial")).await;
    let two = answered(&server, FLOW, &ask("metric")).await;
    let flow = |body: &Value| number(&body["items"][0]["flow"]);
    assert!((flow(&one) / flow(&two) - 15.850_323).abs() < 1e-3);
    assert_eq!(two["items"][0]["head"]["unit"], "m");
}

#[tokio::test]
async fn what_cannot_be_worked_out_says_why_and_spoils_nothing() {
    let server = TestServer::start().await;
    let unfed = manifold();
    let mut boiling = fed();
    boiling["design_temperature"] = json!("320 degF");
    boiling["design_pressure"] = json!("5 psi");
    let mut crossed = fed();
    crossed["supply"] =
        json!({"head": "3 ft", "flow": "3 gpm", "glycol_share": 0.2, "feed": "station"});
    crossed["outlets"][0]["kv"] = json!(0);
    let request = json!({"manifolds": [unfed, fed(), boiling, crossed]});
    let body = answered(&server, FLOW, &request).await;
    assert_eq!(body["summary"], json!({"ok": 1, "failed": 3}));
    let errors = |index: usize| -> Vec<(String, String)> {
        body["items"][index]["problem"]["errors"]
            .as_array()
            .unwrap()
            .iter()
            .map(|it| {
                let text = |name: &str| it[name].as_str().unwrap().to_owned();
                (text("pointer"), text("code"))
            })
            .collect()
    };
    let pair = |pointer: &str, code: &str| (pointer.to_owned(), code.to_owned());
    assert_eq!(errors(0), [pair("/manifolds/0/supply", "missing_field")]);
    assert_eq!(
        errors(2),
        [pair("/manifolds/2/design_temperature", "boils")]
    );
    let crossed = errors(3);
    for expected in [
        pair("/manifolds/3/supply", "one_of"),
        pair("/manifolds/3/supply/feed_station", "missing"),
        pair("/manifolds/3/supply/glycol_share", "conflicting_fields"),
        pair("/manifolds/3/outlets/0", "one_of"),
    ] {
        assert!(crossed.contains(&expected), "{crossed:?}");
    }
}

#[tokio::test]
async fn the_pressure_along_a_header_comes_as_a_picture() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [fed()]});
    let answer = server
        .request(Method::POST, FLOW)
        .bearer_auth(CHECK)
        .header("accept", "image/svg+xml")
        .json(&body)
        .send()
        .await
        .unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    assert!(header(&answer, "content-type").starts_with("image/svg+xml"));
    let svg = answer.text().await.unwrap();
    let picture = roxmltree::Document::parse(&svg).unwrap();
    assert!(svg.contains("H-1: pressure along the header"));
    assert!(picture.descendants().any(|node| node.has_tag_name("desc")));

    let two = json!({"manifolds": [fed(), fed()]});
    let answer = send(&server, &format!("{FLOW}?format=svg"), &two).await;
    let problem = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    assert_eq!(problem["errors"][0]["code"], "too_many");
}

#[tokio::test]
async fn a_manifold_with_its_supply_is_still_a_manifold_everywhere() {
    let server = TestServer::start().await;
    let mut slow = with("/quantity", json!(1));
    slow["supply"] = json!({"flow": "36 gpm"});
    slow["service"] = json!("potable_cold");
    slow["design_temperature"] = json!("50 degF");
    slow["run"]["ends"][0]["beyond"] = json!("12 in");
    slow["outlets"][0]["first"] = json!("12 in");
    let body = answered(
        &server,
        "/v1/manifolds/check",
        &json!({"manifolds": [slow]}),
    )
    .await;
    let findings = body["items"][0]["findings"].as_array().unwrap();
    let dead = findings.iter().find(|it| it["rule"] == "dead-leg").unwrap();
    assert_eq!(dead["level"], "caution");
    assert_eq!(dead["pointer"], "/run/ends/0");
}
