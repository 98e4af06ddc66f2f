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
    // 36 gpm in 2 in tube at 180 degF is faster than the trade advises, which is a caution.
    assert_eq!(item["verdict"], "buildable_with_cautions");
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
async fn a_layout_says_how_to_mark_lift_and_hold_it() {
    let server = TestServer::start().await;
    let mut turned = with("/outlets/0/pitch", json!("5.01 in"));
    turned["outlets"][0]["clock"] = json!("270 deg");
    let path = "/v1/manifolds/layout?supports=irc_imc&fixed_at=80%20degF";
    let body = answered(&server, path, &json!({"manifolds": [turned]})).await;
    assert!(body["notice"].as_str().unwrap().contains("Local codes"));
    let item = &body["items"][0];
    // Each from the datum: 4 in + 5 x 5.01 in = 29.05 in, nearest 29 1/16.
    assert_eq!(
        item["holes"][5]["station"],
        json!({"value": 29.05, "unit": "in", "text": "29 1/16 in"})
    );
    assert_eq!(item["holes"][5]["line"], "L1");
    let line = &item["lines"][0];
    assert_eq!(line["outlets"], json!([0, 1, 2, 3, 4, 5]));
    // Three quarters of pi x 2.125 in, and the quarter that is left.
    assert!((line["arc"]["value"].as_f64().unwrap() - 5.0069).abs() < 1e-3);
    assert!((line["other_way"]["value"].as_f64().unwrap() - 1.6690).abs() < 1e-3);
    let branch = &item["pieces"][1];
    assert_eq!(branch["finished"]["text"], "3 in");
    assert_eq!(branch["make_up"]["text"], "0.245 in");
    let handling = &item["handling"];
    assert_eq!(handling["one_person_dry"], true);
    assert!(handling["mass_filled"]["value"].as_f64() > handling["mass_dry"]["value"].as_f64());
    // All branches to the left: so is the centre of mass.
    assert!(handling["centre_dry"]["right"]["value"].as_f64().unwrap() < 0.0);
    let supports = &item["supports"];
    assert_eq!(supports["basis"], "irc_imc");
    assert_eq!(supports["spacing"]["value"], 120.0);
    assert_eq!(supports["source"]["status"], "seen");
    // 33.05 in from 80 to 180 F at 9.4 millionths per degree: 0.0311 in.
    let growth = &item["thermal_growth"];
    assert!((growth["growth"]["value"].as_f64().unwrap() - 0.0311).abs() < 1e-4);
    assert_eq!(growth["from"], json!({"value": 80.0, "unit": "degF"}));
    let metric = answered(
        &server,
        "/v1/manifolds/layout?units=metric",
        &json!({"manifolds": [manifold()]}),
    )
    .await;
    let hole = &metric["items"][0]["holes"][1];
    assert_eq!(
        hole["station"],
        json!({"value": 228.6, "unit": "mm", "text": "229 mm"})
    );
    assert_eq!(metric["items"][0]["supports"]["basis"], "mss_sp_58");
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
async fn one_manifold_is_drawn_for_cad() {
    let server = TestServer::start().await;
    let sent = server
        .request(Method::POST, LAYOUT)
        .bearer_auth(CHECK)
        .header("accept", "application/dxf")
        .json(&json!({"manifolds": [manifold()]}));
    let answer = sent.send().await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    assert_eq!(header(&answer, "content-type"), "application/dxf");
    let text = answer.text().await.unwrap();
    assert!(text.contains("AC1009") && text.contains("Manifold H-1"));
}

#[tokio::test]
async fn one_manifold_has_its_bench_sheet_on_the_paper_asked_for() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [manifold()]});
    for (paper, box_of) in [("a4", "595.27"), ("letter", "612 792")] {
        let path = format!("{LAYOUT}?format=pdf&paper={paper}");
        let answer = send(&server, &path, &body).await;
        assert_eq!(answer.status(), StatusCode::OK);
        assert_eq!(header(&answer, "content-type"), "application/pdf");
        let bytes = answer.bytes().await.unwrap();
        assert!(bytes.starts_with(b"%PDF-"));
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.contains(box_of), "no page of {paper}");
    }
    let wrong = send(&server, "/v1/manifolds/layout?format=pdf&paper=a0", &body).await;
    problem(wrong, StatusCode::BAD_REQUEST, "invalid-query").await;
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
