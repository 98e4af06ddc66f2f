//! Cut plans, over real sockets.

use super::harness::{CHECK, TestServer, header, problem};
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

const PATH: &str = "/v1/cut-plans";

async fn post(server: &TestServer, key: &str, path: &str, body: &Value) -> Response {
    let asked = server.request(Method::POST, path).bearer_auth(key);
    asked.json(body).send().await.unwrap()
}

async fn planned(server: &TestServer, body: &Value) -> Value {
    let answer = post(server, CHECK, PATH, body).await;
    let status = answer.status();
    let text = answer.text().await.unwrap();
    assert_eq!(status, StatusCode::OK, "{text}");
    serde_json::from_str(&text).unwrap()
}

/// Pointers and codes of a refused request, sorted.
async fn refused(server: &TestServer, body: &Value) -> Vec<(String, String)> {
    let answer = post(server, CHECK, PATH, body).await;
    let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    let errors = body["errors"].as_array().unwrap().iter();
    let mut found: Vec<(String, String)> = errors
        .map(|it| {
            let text = |field: &str| it[field].as_str().unwrap_or_default().to_owned();
            (text("pointer"), text("code"))
        })
        .collect();
    found.sort();
    found
}

/// Source of the optimum: V. Chvatal, Linear Programming, 1983, the cutting-stock example: 453
/// rolls of 100.
fn chvatal() -> Value {
    json!({
        "kerf": "0 mm",
        "stock": [{"id": "roll", "length": "100 mm", "cost": "1"}],
        "pieces": [
            {"id": "a", "length": "45 mm", "count": 97}, {"id": "b", "length": "36 mm", "count": 610},
            {"id": "c", "length": "31 mm", "count": 395}, {"id": "d", "length": "14 mm", "count": 211},
        ],
        "units": "metric",
    })
}

#[tokio::test]
async fn the_textbook_optimum_is_met_and_proven() {
    let server = TestServer::start().await;
    let plan = planned(&server, &chvatal()).await;
    assert_eq!(plan["proven"], true);
    assert_eq!(plan["sticks"].as_array().unwrap().len(), 453);
    let sum = json!({"amount": "453.00", "currency": "XXX"});
    assert_eq!(
        (&plan["cost"], &plan["bound"], &plan["gap"]),
        (&sum, &sum, &json!(0.0))
    );
    // 45300 - (97 x 45 + 610 x 36 + 395 x 31 + 211 x 14).
    assert_eq!(
        plan["scrap"],
        json!({"value": 3_776.0, "unit": "mm", "text": "3776 mm"})
    );
}

#[tokio::test]
async fn a_kerf_takes_a_stick_more() {
    let server = TestServer::start().await;
    // 80 in three times is the whole stick: no room for a saw.
    for (kerf, sticks) in [("0 in", 2), ("1/16 in", 3)] {
        let plan = planned(&server, &json!({
            "kerf": kerf,
            "stock": [{"id": "20 ft", "length": "20 ft", "cost": {"amount": "10", "currency": "EUR"}}],
            "pieces": [{"id": "p", "length": "80 in", "count": 6}],
        }))
        .await;
        assert_eq!(plan["sticks"].as_array().unwrap().len(), sticks, "{kerf}");
        assert_eq!(plan["cost"]["amount"], format!("{}.00", 10 * sticks));
    }
}

#[tokio::test]
async fn every_fault_is_told_at_once() {
    let server = TestServer::start().await;
    let body = json!({
        "kerf": "-1 mm",
        "end_trim": "3 m",
        "stock": [
            {"id": "s", "length": "0 ft", "cost": "1"},
            {"id": "s", "length": "2 m", "cost": {"amount": "1.00001", "currency": "EUR"}, "trim": "0 mm"},
            {"id": "t", "length": "3 m", "cost": {"amount": "1", "currency": "USD"}, "count": 0},
        ],
        "pieces": [
            {"id": "p", "length": "2001 mm", "count": 1},
            {"id": "p", "length": "-2 mm", "count": -4},
            {"id": "q", "length": "1 mm", "count": 6000},
        ],
        "keep": {"least": "0 mm"},
    });
    let expected = [
        ("/end_trim", "out_of_range"),
        ("/keep/least", "out_of_range"),
        ("/kerf", "out_of_range"),
        ("/pieces", "too_many"),
        ("/pieces/0/length", "longer_than_stock"),
        ("/pieces/1/count", "out_of_range"),
        ("/pieces/1/id", "duplicate"),
        ("/pieces/1/length", "out_of_range"),
        ("/stock/0/length", "out_of_range"),
        ("/stock/1/cost", "out_of_range"),
        ("/stock/1/id", "duplicate"),
        ("/stock/2/cost", "currency_differs"),
        ("/stock/2/count", "out_of_range"),
    ]
    .map(|(pointer, code)| (pointer.to_owned(), code.to_owned()));
    assert_eq!(refused(&server, &body).await, expected);
    let nothing = json!({"kerf": "0 mm"});
    let expected = [("/pieces".to_owned(), "too_few".to_owned())];
    assert_eq!(refused(&server, &nothing).await, expected);
}

#[tokio::test]
async fn stock_that_runs_out_says_what_is_left_over() {
    let server = TestServer::start().await;
    let body = json!({
        "kerf": "0 mm",
        "stock": [{"id": "s", "length": "100 mm", "cost": "1", "count": 1}],
        "pieces": [{"id": "p", "length": "60 mm", "count": 3}],
    });
    let answer = post(&server, CHECK, PATH, &body).await;
    let told = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    let error = &told["errors"][0];
    assert_eq!(error["pointer"], "/pieces/0/count");
    assert!(
        error["detail"]
            .as_str()
            .unwrap()
            .starts_with("2 of piece \"p\""),
        "{error}"
    );
}

#[tokio::test]
async fn what_the_shop_keeps_needs_a_key_that_may_estimate() {
    let server = TestServer::start().await;
    let piece = json!({"id": "p", "tube": "b88-l-2", "length": "60 mm", "count": 3});
    let stock = json!({"id": "s", "tube": "b88-l-2", "length": "1 m", "cost": "1"});
    let rack = json!({"kerf": "0 mm", "stock": [stock], "pieces": [piece], "offcuts": {}});
    let prices = json!({"kerf": "0 mm", "pieces": [piece]});
    for body in [&rack, &prices] {
        let answer = post(&server, CHECK, PATH, body).await;
        problem(answer, StatusCode::FORBIDDEN, "missing-scope").await;
    }
    // Stock of its own needs neither.
    planned(
        &server,
        &json!({"kerf": "0 mm", "stock": [stock], "pieces": [piece]}),
    )
    .await;
    // A tube without a price is named.
    let admin = server.admin(Method::POST, PATH).json(&prices);
    let answer = admin.send().await.unwrap();
    let told = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    assert_eq!(told["errors"][0]["pointer"], "/pieces/0/tube");
    assert_eq!(told["errors"][0]["code"], "no_stock");
}

#[tokio::test]
async fn a_plan_is_the_same_every_time_and_comes_as_a_picture() {
    let server = TestServer::start().await;
    let first = planned(&server, &chvatal()).await;
    assert_eq!(first, planned(&server, &chvatal()).await);
    let answer = post(&server, CHECK, "/v1/cut-plans?format=svg", &chvatal()).await;
    assert_eq!(answer.status(), StatusCode::OK);
    assert!(header(&answer, "content-type").starts_with("image/svg+xml"));
    let picture = answer.text().await.unwrap();
    let read = roxmltree::Document::parse(&picture).unwrap();
    let texts: Vec<&str> = read.descendants().filter_map(|node| node.text()).collect();
    assert!(
        texts
            .iter()
            .any(|text| text.contains("453 sticks") && text.contains("proven"))
    );
}

#[tokio::test]
async fn what_people_type_is_text_in_the_picture() {
    let server = TestServer::start().await;
    let body = json!({
        "kerf": "0 mm",
        "stock": [{"id": "<script>&", "length": "1 m", "cost": "1"}],
        "pieces": [{"id": "</text><b>", "length": "900 mm", "count": 1}],
    });
    let answer = post(&server, CHECK, "/v1/cut-plans?format=svg", &body).await;
    let picture = answer.text().await.unwrap();
    assert!(!picture.contains("<script>") && !picture.contains("<b>"));
    let read = roxmltree::Document::parse(&picture).unwrap();
    let texts: Vec<&str> = read.descendants().filter_map(|node| node.text()).collect();
    assert!(texts.contains(&"1 x <script>&"), "{texts:?}");
}
