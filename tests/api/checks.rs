//! Checks of manifolds, over real sockets.

use super::harness::{CHECK, TestServer};
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

/// The manifold of the contract.
pub fn manifold() -> Value {
    json!({
        "mark": "H-1", "quantity": 2, "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "180 degF",
        "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "temper": "drawn",
            "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in",
            "clock": "0 deg", "stub": "3 in", "flow": "6 gpm"}],
        "filler": "BCuP-3"
    })
}

/// The manifold of the contract with one field changed, by pointer.
pub fn with(pointer: &str, value: Value) -> Value {
    let mut changed = manifold();
    *changed.pointer_mut(pointer).unwrap() = value;
    changed
}

pub async fn send(server: &TestServer, path: &str, body: &Value) -> Response {
    let sent = server.request(Method::POST, path).bearer_auth(CHECK);
    sent.json(body).send().await.unwrap()
}

pub async fn answered(server: &TestServer, path: &str, body: &Value) -> Value {
    let answer = send(server, path, body).await;
    assert_eq!(answer.status(), StatusCode::OK);
    answer.json().await.unwrap()
}

async fn check(server: &TestServer, manifolds: Value) -> Value {
    let body = json!({ "manifolds": manifolds });
    answered(server, "/v1/manifolds/check", &body).await
}

fn near(found: &Value, wanted: f64, within: f64) -> bool {
    (found["value"].as_f64().unwrap() - wanted).abs() <= within
}

#[tokio::test]
async fn a_tool_that_asks_often_gets_verdict_and_findings_alone() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [manifold(), with("/service", json!("fuel_gas"))]});
    let full = answered(&server, "/v1/manifolds/check?detail=full", &body).await;
    let lean = answered(&server, "/v1/manifolds/check?detail=verdict", &body).await;
    for (lean, full) in [0, 1].map(|place| (&lean["items"][place], &full["items"][place])) {
        assert!(full["computed"].is_object() && lean.get("computed").is_none());
        for field in ["mark", "verdict", "findings"] {
            assert_eq!(lean[field], full[field]);
        }
    }
    assert_eq!(lean["items"][1]["verdict"], "not_buildable");
    let wrong = send(&server, "/v1/manifolds/check?detail=some", &body).await;
    assert_eq!(wrong.status(), StatusCode::BAD_REQUEST);
}

/// What was checked before is not worked out again: nobody can tell by the answer.
#[tokio::test]
async fn what_is_asked_again_is_answered_alike() {
    let server = TestServer::start().await;
    let (good, stopped) = (manifold(), with("/service", json!("fuel_gas")));
    let bad = with("/run/tube", json!("b88-l-99"));
    let first = check(&server, json!([good, bad, stopped])).await;
    assert_eq!(first["summary"], json!({"ok": 2, "failed": 1}));
    let without_ids = |mut answer: Value| {
        for item in answer["items"].as_array_mut().unwrap() {
            if let Some(problem) = item.get_mut("problem") {
                problem["request_id"] = Value::Null;
            }
        }
        answer
    };
    let again = check(&server, json!([good, bad, stopped])).await;
    assert_eq!(without_ids(again), without_ids(first.clone()));

    // In another place, and beside others, it has that place.
    let moved = check(
        &server,
        json!([stopped, with("/mark", json!("H-9")), good, bad]),
    )
    .await;
    let items = moved["items"].as_array().unwrap();
    let places: Vec<u64> = items
        .iter()
        .map(|item| item["index"].as_u64().unwrap())
        .collect();
    assert_eq!(places, [0, 1, 2, 3]);
    assert_eq!(items[0]["findings"], first["items"][2]["findings"]);
    assert_eq!(items[2]["computed"], first["items"][0]["computed"]);
    assert_eq!(items[1]["mark"], "H-9");
    let pointer = &items[3]["problem"]["errors"][0]["pointer"];
    assert_eq!(pointer, "/manifolds/3/run/tube");

    // In other units, by other rules or in less detail it is another question.
    let body = json!({"manifolds": [good], "units": "metric"});
    let metric = answered(&server, "/v1/manifolds/check", &body).await;
    let length = |answer: &Value| answer["items"][0]["computed"]["length"].clone();
    assert_eq!(
        (&length(&first)["unit"], &length(&metric)["unit"]),
        (&json!("in"), &json!("mm"))
    );
    let body = json!({"manifolds": [good], "rule_set": "strict-1"});
    let strict = answered(&server, "/v1/manifolds/check", &body).await;
    assert_eq!(strict["rule_set"], "strict-1");
    assert_ne!(
        strict["items"][0]["findings"],
        first["items"][0]["findings"]
    );
    let body = json!({"manifolds": [good]});
    let lean = answered(&server, "/v1/manifolds/check?detail=verdict", &body).await;
    assert!(lean["items"][0].get("computed").is_none());
}

/// A name given twice is a fault of the request, whatever was answered before.
#[tokio::test]
async fn a_name_given_twice_is_refused_among_known_items() {
    let server = TestServer::start().await;
    check(&server, json!([manifold()])).await;
    let item = manifold().to_string();
    let double = item.replacen("{", "{\"mark\":\"X\",", 1);
    for body in [
        format!("{{\"manifolds\":[{item},{double}]}}"),
        format!("{{\"manifolds\":[{item}],\"manifolds\":[{item}]}}"),
        format!("{{\"manifolds\":[{item}],\"units\":\"metric\",\"units\":\"metric\"}}"),
    ] {
        let sent = server
            .request(Method::POST, "/v1/manifolds/check")
            .bearer_auth(CHECK);
        let sent = sent
            .header("content-type", "application/json")
            .body(body.clone());
        let answer = sent.send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{body}");
    }
}

#[tokio::test]
async fn the_manifold_of_the_contract_is_checked() {
    let server = TestServer::start().await;
    let body = check(&server, json!([manifold()])).await;
    assert_eq!(body["rule_set"], "offtake-1");
    assert_eq!(body["summary"], json!({"ok": 1, "failed": 0}));
    let item = &body["items"][0];
    assert_eq!(item["index"], 0);
    assert_eq!(item["mark"], "H-1");
    // 36 gpm in 2 in tube at 180 degF is faster than the trade advises, which is a caution.
    assert_eq!(item["verdict"], "buildable_with_cautions");
    let computed = &item["computed"];
    // Copper Tube Handbook, Table 14.3b: S is 5100 psi at 150 F and 4900 at 200 F, so 4980 at 180 F:
    // 2 x 4980 x 0.063 / (2.130 - 0.8 x 0.063) = 301.7 psi.
    assert!(near(&computed["rated_pressure"], 301.7, 0.1));
    assert_eq!(computed["governed_by"], "run");
    // 33 in of run: 4 + 5 x 5 + 4 in.
    assert_eq!(computed["length"]["text"], "33 in");
    assert_eq!(computed["joints"], 7);
    assert_eq!(
        computed["filler"],
        json!({"id": "BCuP-3", "assumed": false})
    );
    let outlets = computed["outlets"].as_array().unwrap();
    assert_eq!(outlets.len(), 6);
    assert_eq!(outlets[5]["station"]["text"], "29 in");
    // Type L, 2 x 1 in, worked by hand: collar three times 0.050 in, notch 0.175, dimples 0.220
    // and 0.470 in.
    for (field, wanted) in [
        ("collar_height", 0.150),
        ("notch_depth", 0.175),
        ("first_dimple", 0.220),
        ("second_dimple", 0.470),
    ] {
        assert!(near(&outlets[0][field], wanted, 0.0005), "{field}");
    }
    assert_eq!(outlets[0]["filler_mass"]["unit"], "oz");
}

#[tokio::test]
async fn each_row_of_outlets_says_how_its_collars_are_drawn() {
    let server = TestServer::start().await;
    let mut two = manifold();
    let first = json!({"tube": "b88-k-0.5", "station": "2 in", "stub": "3 in"});
    two["outlets"].as_array_mut().unwrap().push(first);
    let body = check(&server, json!([two])).await;
    let computed = &body["items"][0]["computed"];
    // The second row stands first on the run.
    assert_eq!(computed["outlets"][0]["row"], 1);
    assert_eq!(computed["outlets"][1]["row"], 0);
    let collars = computed["collars"].as_array().unwrap();
    assert_eq!(collars.len(), 2);
    // 2 x 1 in type L: the figures of tests/worked/formed_outlets.rs and of
    // tests/data/rim_heights.json (scipy).
    let one = &collars[0];
    assert_eq!(one["row"], 0);
    assert_eq!(one["required_by"], "branch");
    let drawn = &one["drawn"];
    for (found, wanted) in [
        (&one["required_height"], 0.150),
        (&one["tongue"]["in_line"], 0.220),
        (&one["tongue"]["square"], 0.395),
        (&drawn["pilot"], 0.878),
        (&drawn["height"]["expected"], 0.150),
        (&drawn["height"]["least"], 0.140),
        (&drawn["height"]["most"], 0.161),
        (&drawn["rim_wall"]["expected"], 0.060),
        (&drawn["rim_wall"]["least"], 0.051),
        (&drawn["rim_wall"]["most"], 0.070),
        (&drawn["rim"]["lowest_above_crown"]["above_crown"], -0.013),
        (
            &drawn["rim"]["lowest_above_surface"]["above_surface"],
            0.150,
        ),
        (&drawn["rim"]["heights"][3]["above_surface"], 0.155),
        (&drawn["oval_pilot"]["across"], 0.464),
        (&drawn["lap"], 0.150),
        // tests/worked/formed_outlets/reinforcement.rs.
        (&drawn["reinforced_pressure"], 172.967),
    ] {
        assert!(near(found, wanted, 0.0005), "{found} {wanted}");
    }
    assert_eq!(drawn["rim"]["heights"].as_array().unwrap().len(), 7);
    assert_eq!(drawn["rim"]["lowest_above_crown"]["angle"]["value"], 90.0);
    assert_eq!(
        (&drawn["ratio"], &drawn["severity"]),
        (&json!(0.7312), &json!("usual"))
    );
    assert_eq!(drawn["hole_expansion"], 0.3675);
    assert_eq!(drawn["oval_pilot"]["severity"], "beyond");
    // 1/2 in type K on the same run: K = 0.5162, below the severe limit.
    assert_eq!(collars[1]["drawn"]["severity"], "beyond");
    assert_eq!(collars[1]["drawn"]["severe_ratio"], 0.63);
}

#[tokio::test]
async fn a_finding_has_the_shape_of_the_contract() {
    let server = TestServer::start().await;
    let bad = with("/run/tube", json!("b88-m-2"));
    let body = check(&server, json!([bad])).await;
    let findings = body["items"][0]["findings"].as_array().unwrap();
    let find = |rule: &str| findings.iter().find(|it| it["rule"] == rule).unwrap();
    let run_type = find("run-type");
    assert_eq!(run_type["level"], "stop");
    assert_eq!(run_type["pointer"], "/run/tube");
    assert_eq!(run_type["measured"], json!({"value": "M"}));
    assert_eq!(run_type["limit"], json!({"value": "L"}));
    assert_eq!(run_type["basis"]["kind"], "shop");
    let collar = find("collar-height");
    assert_eq!(collar["limit"], json!({"value": 0.15, "unit": "in"}));
    assert_eq!(find("hot-work")["measured"], json!({"value": 60.0}));
    for finding in findings {
        for field in ["detail", "remedy"] {
            assert!(!finding[field].as_str().unwrap().is_empty());
        }
        assert!(!finding["basis"]["cite"].as_str().unwrap().is_empty());
    }
    assert_eq!(body["items"][0]["verdict"], "not_buildable");
}

#[tokio::test]
async fn both_systems_of_units_say_the_same() {
    let server = TestServer::start().await;
    // 90 psi is 6.205 282 bar.
    let imperial = with("/design_pressure", json!("90 psi"));
    let mut metric = manifold();
    for (pointer, value) in [
        (
            "/design_pressure",
            json!({"value": 6.205_282, "unit": "bar"}),
        ),
        ("/design_temperature", json!("82.22222222 degC")),
        ("/run/ends/1/beyond", json!("101.6 mm")),
        ("/outlets/0/first", json!({"value": 10.16, "unit": "cm"})),
        ("/outlets/0/pitch", json!("127 mm")),
        ("/outlets/0/clock", json!("0 rad")),
        ("/outlets/0/stub", json!("0.0762 m")),
        ("/outlets/0/flow", json!("0.378541 l/s")),
    ] {
        *metric.pointer_mut(pointer).unwrap() = value;
    }
    for units in ["imperial", "metric"] {
        let body = json!({"manifolds": [imperial, metric], "units": units});
        let body = answered(&server, "/v1/manifolds/check", &body).await;
        let [one, other] = [0, 1].map(|index| &body["items"][index]);
        assert_eq!(one["verdict"], other["verdict"]);
        let rules = |item: &Value| -> Vec<(Value, Value, Value)> {
            let findings = item["findings"].as_array().unwrap();
            let it = findings.iter();
            it.map(|f| (f["rule"].clone(), f["level"].clone(), f["pointer"].clone()))
                .collect()
        };
        assert_eq!(rules(one), rules(other));
        same(one, other);
    }
}

/// The same document, but for the last digits of numbers, and the place in the request.
fn same(one: &Value, other: &Value) {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len());
            let shared = a.iter().filter(|(name, _)| *name != "index");
            shared.for_each(|(name, value)| same(value, &b[name]));
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len());
            a.iter().zip(b).for_each(|(a, b)| same(a, b));
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= 2e-5 * a.abs().max(1e-6), "{a} {b}");
        }
        (a, b) => assert_eq!(a, b),
    }
}

#[tokio::test]
async fn units_are_chosen_in_the_body_or_in_the_address() {
    let server = TestServer::start().await;
    let length = |body: &Value| body["items"][0]["computed"]["length"].clone();
    let metric = "/v1/manifolds/check?units=metric";
    let body = json!({"manifolds": [manifold()]});
    let by_address = answered(&server, metric, &body).await;
    assert_eq!(
        length(&by_address),
        json!({"value": 838.2, "unit": "mm", "text": "838 mm"})
    );
    let body = json!({"manifolds": [manifold()], "units": "imperial"});
    let by_body = answered(&server, metric, &body).await;
    assert_eq!(length(&by_body)["unit"], "in", "the body is nearer");
    // Without a word, the shop's setting holds.
    let body = json!({"manifolds": [manifold()]});
    let usual =
        async || length(&answered(&server, "/v1/manifolds/check", &body).await)["unit"].clone();
    assert_eq!(usual().await, "in");
    let shop = json!({"letterhead": {"name": "S"}, "currency": "EUR", "units": "metric"});
    let put = server
        .admin(Method::PUT, "/v1/shop")
        .json(&shop)
        .send()
        .await
        .unwrap();
    assert_eq!(
        put.status(),
        StatusCode::OK,
        "{}",
        put.text().await.unwrap()
    );
    assert_eq!(usual().await, "mm");
}

#[tokio::test]
async fn other_builds_have_no_collars_and_say_what_they_assume() {
    let server = TestServer::start().await;
    let build = |build: &str| {
        let mut changed = with("/build", json!(build));
        changed.as_object_mut().unwrap().remove("filler");
        changed
    };
    let body = check(&server, json!([build("tees_soldered"), build("purchased")])).await;
    let tees = &body["items"][0]["computed"];
    assert_eq!(tees["filler"], json!({"id": "Sb5", "assumed": true}));
    let outlet = &tees["outlets"][0];
    for field in [
        "collar_height",
        "pilot",
        "notch_depth",
        "first_dimple",
        "second_dimple",
    ] {
        assert_eq!(outlet[field], Value::Null, "{field}");
    }
    assert_eq!(tees["collars"], json!([]));
    assert!(outlet["filler_mass"]["value"].as_f64().unwrap() > 0.0);
    // A cap, six tees of two run cups each, six branches.
    assert_eq!(tees["joints"], 1 + 12 + 6);
    let bought = &body["items"][1];
    assert_eq!(bought["verdict"], "buildable_with_cautions");
    assert_eq!(bought["computed"]["rated_pressure"], Value::Null);
    assert_eq!(bought["computed"]["governed_by"], Value::Null);
    assert_eq!(bought["computed"]["filler"], Value::Null);
    assert_eq!(bought["computed"]["joints"], 0);
    let said = bought["findings"].as_array().unwrap();
    assert!(
        said.iter()
            .any(|it| it["rule"] == "service-allowed" && it["level"] == "caution")
    );
}

#[tokio::test]
async fn outlets_that_meet_are_a_finding_and_no_error() {
    let server = TestServer::start().await;
    let tight = with("/outlets/0/pitch", json!("1 in"));
    let body = check(&server, json!([tight])).await;
    assert_eq!(body["summary"]["ok"], 1);
    let item = &body["items"][0];
    assert_eq!(item["verdict"], "not_buildable");
    let findings = item["findings"].as_array().unwrap();
    let overlap: Vec<&Value> = findings
        .iter()
        .filter(|it| it["rule"] == "outlet-overlap")
        .collect();
    assert_eq!(overlap.len(), 1, "one row, said once");
    assert_eq!(overlap[0]["level"], "stop");
    assert_eq!(overlap[0]["pointer"], "/outlets/0");
}

#[tokio::test]
async fn five_hundred_manifolds_are_checked_in_order() {
    let server = TestServer::start().await;
    let many: Vec<Value> = (0..500)
        .map(|index| with("/mark", json!(format!("M-{index}"))))
        .collect();
    let body = check(&server, json!(many)).await;
    assert_eq!(body["summary"], json!({"ok": 500, "failed": 0}));
    for (index, item) in body["items"].as_array().unwrap().iter().enumerate() {
        assert_eq!(item["index"], index);
        assert_eq!(item["mark"], format!("M-{index}"));
    }
}
