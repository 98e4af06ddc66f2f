//! Manifolds that cannot be read: each answered with what to do, without spoiling others.

use super::checks::{answered, manifold, send, with};
use super::harness::{CHECK, TestServer, header, problem};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const CHECKS: &str = "/v1/manifolds/check";
const CALLS: [&str; 2] = [CHECKS, "/v1/manifolds/layout"];

/// Pointer and code of every fault of a faulty item.
fn faults(item: &Value) -> Vec<(&str, &str)> {
    let errors = item["problem"]["errors"].as_array().unwrap();
    errors
        .iter()
        .map(|it| {
            (
                it["pointer"].as_str().unwrap(),
                it["code"].as_str().unwrap(),
            )
        })
        .collect()
}

#[tokio::test]
async fn one_bad_item_of_three_does_not_spoil_the_rest() {
    let server = TestServer::start().await;
    let bad = with("/run/tube", json!("b88-l-2.1"));
    for path in CALLS {
        let body = json!({"manifolds": [manifold(), bad, manifold()]});
        let body = answered(&server, path, &body).await;
        assert_eq!(body["summary"], json!({"ok": 2, "failed": 1}));
        let items = body["items"].as_array().unwrap();
        assert_eq!(items.len(), 3);
        for good in [&items[0], &items[2]] {
            assert_eq!(good["verdict"], "buildable_with_cautions");
            assert!(good.get("problem").is_none());
        }
        assert_eq!(items[1]["index"], 1);
        assert!(items[1].get("verdict").is_none());
        let problem = &items[1]["problem"];
        assert_eq!(problem["type"], "/problems/invalid-body");
        assert_eq!(problem["status"], 422);
        assert_eq!(
            faults(&items[1]),
            [("/manifolds/1/run/tube", "unknown_tube")]
        );
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        assert!(
            detail.contains("b88-l-2.5") && detail.contains("nearest"),
            "{detail}"
        );
    }
}

#[tokio::test]
async fn every_kind_of_bad_value_is_named_in_its_place() {
    let server = TestServer::start().await;
    let cases: Vec<(&str, Value, &str)> = vec![
        ("/outlets/0/pitch", json!(5), "unit_missing"),
        ("/outlets/0/pitch", json!("5"), "unit_missing"),
        ("/outlets/0/pitch", json!("-5 in"), "out_of_range"),
        ("/outlets/0/pitch", json!("0 in"), "out_of_range"),
        ("/outlets/0/pitch", json!("NaN in"), "not_a_quantity"),
        ("/outlets/0/pitch", json!("Infinity in"), "not_a_quantity"),
        ("/outlets/0/pitch", json!("1e999 in"), "not_a_quantity"),
        ("/outlets/0/pitch", json!("5 psi"), "not_a_quantity"),
        ("/outlets/0/pitch", json!("99999 km"), "not_a_quantity"),
        ("/outlets/0/pitch", json!("99999999 ft"), "out_of_range"),
        (
            "/outlets/0/pitch",
            json!({"value": 1e308, "unit": "in"}),
            "out_of_range",
        ),
        ("/outlets/0/pitch", json!(["5 in"]), "wrong_type"),
        ("/outlets/0/pitch", json!(true), "wrong_type"),
        ("/outlets/0/stub", json!(null), "wrong_type"),
        ("/outlets/0/stub", json!("500 m"), "out_of_range"),
        ("/outlets/0/count", json!(0), "out_of_range"),
        ("/outlets/0/count", json!(-6), "out_of_range"),
        ("/outlets/0/count", json!(2.5), "not_whole"),
        ("/outlets/0/count", json!("6"), "wrong_type"),
        ("/outlets/0/tube", json!("copper"), "unknown_tube"),
        ("/outlets/0/tube", json!(7), "wrong_type"),
        ("/filler", json!("BCuP-33"), "unknown_filler"),
        ("/service", json!("hydronic"), "unknown_value"),
        ("/build", json!("welded"), "unknown_value"),
        ("/design_pressure", json!("-1 psi"), "out_of_range"),
        ("/design_pressure", json!("20000 psi"), "out_of_range"),
        ("/design_temperature", json!("-500 degF"), "out_of_range"),
        ("/mark", json!(""), "too_short"),
        ("/mark", json!("x".repeat(41)), "too_long"),
        ("/quantity", json!(0), "out_of_range"),
        ("/run/ends", json!([{"kind": "cap"}]), "too_few"),
        ("/outlets", json!([]), "too_few"),
        ("/run", json!("b88-l-2"), "wrong_type"),
    ];
    let manifolds: Vec<Value> = cases
        .iter()
        .map(|(pointer, value, _)| with(pointer, value.clone()))
        .collect();
    let body = answered(&server, CHECKS, &json!({ "manifolds": manifolds })).await;
    assert_eq!(body["summary"]["ok"], 0);
    for (index, (pointer, value, code)) in cases.iter().enumerate() {
        let item = &body["items"][index];
        let pointer = format!("/manifolds/{index}{pointer}");
        assert_eq!(faults(item), [(pointer.as_str(), *code)], "{value}");
        let detail = item["problem"]["errors"][0]["detail"].as_str().unwrap();
        assert!(detail.len() > 20, "{detail}");
    }
}

#[tokio::test]
async fn all_faults_of_one_item_come_at_once() {
    let server = TestServer::start().await;
    let mut bad = manifold();
    let fields = bad.as_object_mut().unwrap();
    fields.insert("desing_pressure".to_owned(), json!("75 psi"));
    fields.remove("design_pressure");
    bad["run"]["tube"] = json!("b88-x-2");
    bad["outlets"][0]["pitch"] = json!(5);
    bad["outlets"][0]["stub"] = json!("-3 in");
    let body = answered(&server, CHECKS, &json!({"manifolds": [bad]})).await;
    assert_eq!(
        faults(&body["items"][0]),
        [
            ("/manifolds/0/desing_pressure", "unknown_field"),
            ("/manifolds/0/design_pressure", "missing"),
            ("/manifolds/0/run/tube", "unknown_tube"),
            ("/manifolds/0/outlets/0/pitch", "unit_missing"),
            ("/manifolds/0/outlets/0/stub", "out_of_range"),
        ]
    );
}

#[tokio::test]
async fn a_field_too_many_is_a_fault_with_the_name_that_was_meant() {
    let server = TestServer::start().await;
    let mut bad = manifold();
    bad["outlets"][0]["ptich"] = json!("5 in");
    let body = answered(&server, CHECKS, &json!({"manifolds": [bad, manifold()]})).await;
    let item = &body["items"][0];
    assert_eq!(
        faults(item),
        [("/manifolds/0/outlets/0/ptich", "unknown_field")]
    );
    let detail = item["problem"]["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("did you mean `pitch`?"), "{detail}");
    let top = json!({"manifolds": [manifold()], "unit": "metric"});
    let answer = send(&server, CHECKS, &top).await;
    let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
    let detail = body["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("did you mean `units`?"), "{detail}");
}

#[tokio::test]
async fn designs_that_contradict_themselves_say_where() {
    let server = TestServer::start().await;
    let mut two_lengths = manifold();
    two_lengths["run"]["length"] = json!("40 in");
    let mut two_places = manifold();
    two_places["outlets"][0]["station"] = json!("4 in");
    let mut nowhere = manifold();
    nowhere["run"]["ends"][1] = json!({"kind": "plain"});
    let mut off_the_run = nowhere.clone();
    off_the_run["run"]["length"] = json!("20 in");
    let many = with("/outlets/0/count", json!(10_000));
    let rows: Vec<Value> = vec![manifold()["outlets"][0].clone(); 10_000];
    let many_rows = with("/outlets", json!(rows));
    let body = json!({"manifolds": [two_lengths, two_places, nowhere, off_the_run, many]});
    let body = answered(&server, CHECKS, &body).await;
    let found: Vec<Vec<(&str, &str)>> = (0..5).map(|at| faults(&body["items"][at])).collect();
    assert_eq!(
        found[0],
        [("/manifolds/0/run/length", "conflicting_lengths")]
    );
    assert_eq!(
        found[1],
        [
            ("/manifolds/1/outlets/0/count", "conflicting_fields"),
            ("/manifolds/1/outlets/0/first", "conflicting_fields"),
            ("/manifolds/1/outlets/0/pitch", "conflicting_fields"),
        ]
    );
    assert_eq!(found[2], [("/manifolds/2/run/length", "missing_field")]);
    assert_eq!(found[3], [("/manifolds/3/outlets/0", "outlet_off_run")]);
    assert_eq!(found[4], [("/manifolds/4/outlets", "too_many_outlets")]);
    let body = json!({"manifolds": [many_rows, manifold()]});
    let body = answered(&server, CHECKS, &body).await;
    assert_eq!(
        faults(&body["items"][0]),
        [("/manifolds/0/outlets", "too_many")]
    );
    assert_eq!(body["items"][1]["verdict"], "buildable_with_cautions");
}

#[tokio::test]
async fn a_list_of_the_wrong_length_is_a_fault_of_the_request() {
    let server = TestServer::start().await;
    for path in CALLS {
        for (list, code) in [
            (json!(vec![manifold(); 501]), "too_many"),
            (json!([]), "too_few"),
            (json!({}), "wrong_type"),
        ] {
            let answer = send(&server, path, &json!({ "manifolds": list })).await;
            let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
            assert_eq!(body["errors"][0]["pointer"], "/manifolds");
            assert_eq!(body["errors"][0]["code"], code);
        }
    }
}

#[tokio::test]
async fn bodies_that_are_no_json_are_refused_whole() {
    let server = TestServer::start().await;
    let post = |kind: &'static str, body: String| {
        let sent = server.request(Method::POST, CHECKS).bearer_auth(CHECK);
        sent.header("content-type", kind).body(body).send()
    };
    for body in [
        "{\"manifolds\": [",
        "",
        "{\"manifolds\": [{\"mark\": NaN}]}",
        "{\"manifolds\": [{\"outlets\": [{\"pitch\": 1e999}]}]}",
    ] {
        let answer = post("application/json", body.to_owned()).await.unwrap();
        problem(answer, StatusCode::BAD_REQUEST, "malformed-body").await;
    }
    let whole = json!({"manifolds": [manifold()]}).to_string();
    for kind in ["text/plain", "application/xml", "multipart/form-data"] {
        let answer = post(kind, whole.clone()).await.unwrap();
        assert_eq!(header(&answer, "accept"), "application/json");
        problem(
            answer,
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "unsupported-media-type",
        )
        .await;
    }
    let mut large = whole;
    large.push_str(&" ".repeat(1024 * 1024));
    let answer = post("application/json", large).await.unwrap();
    problem(answer, StatusCode::PAYLOAD_TOO_LARGE, "body-too-large").await;
}
