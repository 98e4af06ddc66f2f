//! Layouts for the bench, over real sockets.

use super::checks::{answered, manifold, send, with};
use super::harness::{CHECK, TestServer, header, problem};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const LAYOUT: &str = "/v1/manifolds/layout";

#[tokio::test]
async fn a_layout_says_where_to_cut_and_what() {
    let server = TestServer::start().await;
    let turned = with("/outlets/0/clock", json!("90 deg"));
    let body = answered(&server, LAYOUT, &json!({"manifolds": [turned]})).await;
    let item = &body["items"][0];
    assert_eq!(item["mark"], "H-1");
    assert_eq!(item["verdict"], "buildable");
    assert_eq!(item["length"]["text"], "33 in");
    let holes = item["holes"].as_array().unwrap();
    let stations: Vec<&str> = holes
        .iter()
        .map(|hole| hole["station"]["text"].as_str().unwrap())
        .collect();
    assert_eq!(
        stations,
        ["4 in", "9 in", "14 in", "19 in", "24 in", "29 in"]
    );
    // A quarter of the way round 2.125 in outside: pi x 2.125 / 4 = 1.6690 in.
    assert!((holes[0]["arc"]["value"].as_f64().unwrap() - 1.6690).abs() < 1e-4);
    assert_eq!(holes[3]["outlet"], 3);
    assert_eq!(holes[0]["clock"], json!({"value": 90.0, "unit": "deg"}));
    assert!(holes[0]["diameter"]["value"].as_f64().unwrap() > 0.8);
    let pieces = item["pieces"].as_array().unwrap();
    let cut = |at: usize| {
        let piece = &pieces[at];
        (
            piece["id"].as_str().unwrap(),
            piece["tube"].as_str().unwrap(),
            piece["used_as"].as_str().unwrap(),
            piece["count"].as_u64().unwrap(),
        )
    };
    assert_eq!(pieces.len(), 2);
    assert_eq!(cut(0), ("R1", "b88-l-2", "run", 1));
    assert_eq!(cut(1), ("B1", "b88-l-1", "branch", 6));
    // Stub 3 in, wall of the run 0.070 in, notch 0.175 in.
    assert!((pieces[1]["length"]["value"].as_f64().unwrap() - 3.245).abs() < 0.0005);
    let outlet = &item["outlets"][0];
    assert!((outlet["notch_depth"]["value"].as_f64().unwrap() - 0.175).abs() < 0.0005);
    assert!((outlet["first_dimple"]["value"].as_f64().unwrap() - 0.220).abs() < 0.0005);
    assert_eq!(
        item["fittings"],
        json!([{"code": "cap-2", "kind": "cap", "text": "cap 2 in", "count": 1}])
    );
    assert_eq!(item["couplings"], json!([]));
}

#[tokio::test]
async fn tees_have_pieces_and_fittings_but_no_holes() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [with("/build", json!("tees_brazed"))]});
    let body = answered(&server, LAYOUT, &body).await;
    let item = &body["items"][0];
    assert_eq!(item["holes"], json!([]));
    assert_eq!(item["outlets"][0]["notch_depth"], Value::Null);
    let codes: Vec<(&str, u64)> = item["fittings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (it["code"].as_str().unwrap(), it["count"].as_u64().unwrap()))
        .collect();
    assert_eq!(codes, [("tee-2x2x1", 6), ("cap-2", 1)]);
}

#[tokio::test]
async fn a_long_run_is_joined_clear_of_its_outlets() {
    let server = TestServer::start().await;
    let mut long = manifold();
    long["run"]["ends"][1] = json!({"kind": "plain", "beyond": "25 ft"});
    let body = answered(&server, LAYOUT, &json!({"manifolds": [long]})).await;
    let item = &body["items"][0];
    assert_eq!(item["couplings"].as_array().unwrap().len(), 1);
    assert_eq!(item["couplings"][0]["station"]["text"], "240 in");
}

#[tokio::test]
async fn one_manifold_is_drawn_by_format_or_by_accept() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [manifold()]});
    let by_format = send(&server, "/v1/manifolds/layout?format=svg", &body).await;
    assert_eq!(by_format.status(), StatusCode::OK);
    assert_eq!(
        header(&by_format, "content-type"),
        "image/svg+xml; charset=utf-8"
    );
    let by_format = by_format.text().await.unwrap();
    assert!(by_format.contains("<svg") && by_format.contains("H-1"));
    let sent = server
        .request(Method::POST, LAYOUT)
        .bearer_auth(CHECK)
        .header("accept", "image/svg+xml")
        .json(&body);
    let by_accept = sent.send().await.unwrap().text().await.unwrap();
    assert_eq!(by_accept, by_format);
    let metric = send(
        &server,
        "/v1/manifolds/layout?format=svg&units=metric",
        &body,
    )
    .await;
    let metric = metric.text().await.unwrap();
    // 33 in is 838.2 mm.
    assert!(metric.contains("838") && metric != by_format);
}

#[tokio::test]
async fn a_drawing_shows_one_good_manifold() {
    let server = TestServer::start().await;
    let path = "/v1/manifolds/layout?format=svg";
    let two = json!({"manifolds": [manifold(), manifold()]});
    let answer = send(&server, path, &two).await;
    let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    let detail = body["detail"].as_str().unwrap();
    assert!(detail.contains("one at a time"), "{detail}");
    let bad = json!({"manifolds": [with("/run/tube", json!("b88-x-2"))]});
    let answer = send(&server, path, &bad).await;
    let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
    assert_eq!(body["errors"][0]["pointer"], "/manifolds/0/run/tube");
    let sent = server
        .request(Method::POST, LAYOUT)
        .bearer_auth(CHECK)
        .header("accept", "image/png")
        .json(&two);
    let answer = sent.send().await.unwrap();
    problem(answer, StatusCode::NOT_ACCEPTABLE, "not-acceptable").await;
}
