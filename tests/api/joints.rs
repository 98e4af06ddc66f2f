//! Joints, their filler and the metals they go into, over real sockets.

use super::checks::{answered, manifold};
use super::harness::TestServer;
use serde_json::{Value, json};

async fn checked(server: &TestServer, change: impl FnOnce(&mut Value)) -> Value {
    let mut design = manifold();
    change(&mut design);
    let body = json!({ "manifolds": [design] });
    let mut answer = answered(server, "/v1/manifolds/check", &body).await;
    answer["items"][0].take()
}

fn at(item: &Value, rule: &str, pointer: &str) -> Option<String> {
    let mut findings = item["findings"].as_array().unwrap().iter();
    let found = findings.find(|it| it["rule"] == rule && it["pointer"] == pointer)?;
    Some(found["level"].as_str().unwrap().to_owned())
}

fn number(found: &Value) -> f64 {
    found["value"].as_f64().unwrap()
}

#[tokio::test]
async fn each_joint_says_its_lap_gap_and_filler() {
    let server = TestServer::start().await;
    let item = checked(&server, |_| {}).await;
    let computed = &item["computed"];
    let groups = computed["joint_groups"].as_array().unwrap();
    assert_eq!(groups.len(), 2, "{groups:#?}");
    let (collar, cap) = (&groups[0], &groups[1]);
    assert_eq!(
        (&collar["place"], &collar["count"]),
        (&json!("collar"), &json!(6))
    );
    assert_eq!((&cap["place"], &cap["count"]), (&json!("cup"), &json!(1)));
    // By hand: pi x 1.125 x 0.150 x 0.003 in3, of 3/32 in wire (0.0069029 in2).
    assert!((number(&collar["filler_volume"]) - 0.001_590_4).abs() < 5e-6);
    assert!((number(&collar["wire_length"]) - 0.2304).abs() < 0.001);
    assert!((number(&collar["lap_by_strength"]) - 0.0717).abs() < 0.001);
    assert!((number(&collar["lap"]) - number(&collar["lap_by_wall"])).abs() < 0.001);
    assert_eq!(collar["flux"], "not_needed");
    let wire = &computed["filler_wire"];
    assert_eq!(wire["assumed"], true);
    let sum = 6.0 * number(&collar["wire_length"]) + number(&cap["wire_length"]);
    assert!((number(&wire["length"]) / sum - 1.0).abs() < 0.002, "{sum}");
    assert_eq!(
        computed["joint_sources"]["lap_by_strength"]["status"],
        "from_memory"
    );

    // Half the diameter is four times the length.
    let thin = checked(&server, |design| design["filler_wire"] = json!("3/64 in")).await;
    let wire_of_thin = &thin["computed"]["filler_wire"];
    assert_eq!(
        (&wire_of_thin["assumed"], &wire_of_thin["source"]),
        (&json!(false), &Value::Null)
    );
    assert!((number(&wire_of_thin["length"]) / number(&wire["length"]) - 4.0).abs() < 0.01);

    let body = json!({"manifolds": [{"mark": "X"}, manifold()]});
    assert_eq!(
        answered(&server, "/v1/manifolds/check", &body).await["summary"]["ok"],
        1
    );
}

#[tokio::test]
async fn the_metal_that_is_joined_settles_flux_and_filler() {
    let server = TestServer::start().await;
    let brass = checked(&server, |design| {
        design["run"]["ends"][0]["joins"] = json!("brass");
    })
    .await;
    assert_eq!(
        at(&brass, "filler-materials", "/run/ends/0/joins").unwrap(),
        "caution"
    );
    let groups = brass["computed"]["joint_groups"].as_array().unwrap();
    let cap = groups.iter().find(|it| it["joins"] == "brass").unwrap();
    assert_eq!((&cap["flux"], &cap["count"]), (&json!("needed"), &json!(1)));
    assert_eq!(brass["computed"]["joints"], 7);
    for metal in ["iron", "steel", "stainless_steel", "nickel_alloy"] {
        let stopped = checked(&server, |design| {
            design["outlets"][0]["joins"] = json!(metal)
        })
        .await;
        assert_eq!(stopped["verdict"], "not_buildable", "{metal}");
        assert_eq!(
            at(&stopped, "filler-materials", "/outlets/0/joins").unwrap(),
            "stop"
        );
    }
    let silver = checked(&server, |design| {
        design["outlets"][0]["joins"] = json!("steel");
        design["filler"] = json!("BAg-5");
    })
    .await;
    assert_eq!(at(&silver, "filler-materials", "/outlets/0/joins"), None);
    assert_ne!(silver["verdict"], "not_buildable");
    let groups = silver["computed"]["joint_groups"].as_array().unwrap();
    assert!(groups.iter().all(|it| it["flux"] == "needed"));
}

#[tokio::test]
async fn a_wire_or_metal_that_is_none_is_refused_in_its_place() {
    let server = TestServer::start().await;
    let mut thick = manifold();
    thick["filler_wire"] = json!("2 in");
    let mut gold = manifold();
    gold["outlets"][0]["joins"] = json!("gold");
    let body = json!({ "manifolds": [thick, gold] });
    let answer = answered(&server, "/v1/manifolds/check", &body).await;
    for (index, pointer) in [
        (0, "/manifolds/0/filler_wire"),
        (1, "/manifolds/1/outlets/0/joins"),
    ] {
        let errors = &answer["items"][index]["problem"]["errors"];
        assert_eq!(errors[0]["pointer"], pointer, "{errors}");
    }
}
