//! Totals of a period: the sum over it is the sum of its quotes, and periods side by side leave nothing out.

use super::harness::TestServer;
use super::quotes::{issued_quote, ok};
use reqwest::Method;
use rust_decimal::Decimal;
use serde_json::{Value, json};

/// Numbers in a period, and what they come to.
async fn period(server: &TestServer, query: &str) -> (Vec<String>, Decimal) {
    let page = ok(server.admin(Method::GET, &format!("/v1/quote-totals?{query}"))).await;
    let items = page["items"].as_array().unwrap();
    let number = |item: &Value| item["number"].as_str().unwrap().to_owned();
    let gross = |item: &Value| item["gross"].as_str().unwrap().parse::<Decimal>().unwrap();
    (
        items.iter().map(number).collect(),
        items.iter().map(gross).sum(),
    )
}

#[tokio::test]
async fn periods_side_by_side_add_up_to_the_whole() {
    let server = TestServer::start().await;
    // The first is issued on 25 November, further ones on the days after.
    let mut paths = vec![issued_quote(&server).await];
    for day in 26..=29 {
        *server.now.lock().unwrap() = format!("2026-11-{day}T12:00:00Z").parse().unwrap();
        let copy = ok(server.admin(Method::POST, &format!("{}/copy", paths[0]))).await;
        let path = format!("/v1/quotes/{}", copy["number"].as_str().unwrap());
        if day < 29 {
            ok(server.admin(Method::POST, &format!("{path}/issue"))).await;
        }
        paths.push(path);
    }
    for (path, date) in [(&paths[0], "2026-11-27"), (&paths[2], "2026-11-29")] {
        let accept = server.admin(Method::POST, &format!("{path}/accept"));
        ok(accept.json(&json!({"name": "A. Buyer", "date": date}))).await;
    }
    let (whole, sum) = period(&server, "").await;
    assert_eq!(whole.len(), 5);
    let (drafted, draft) = period(&server, "state=draft").await;
    assert_eq!(drafted.len(), 1);
    let days = [
        "issued_to=2026-11-25",
        "issued_from=2026-11-26&issued_to=2026-11-27",
        "issued_from=2026-11-28",
    ];
    let mut of_days = Decimal::ZERO;
    let mut counts = Vec::new();
    for query in days {
        let (numbers, gross) = period(&server, query).await;
        counts.push(numbers.len());
        of_days += gross;
    }
    assert_eq!(counts, [1, 2, 1]);
    assert_eq!(of_days + draft, sum);

    let (taken, gross) = period(&server, "accepted_from=2026-11-28&accepted_to=2026-11-30").await;
    let wanted = paths[2].rsplit('/').next().unwrap();
    assert_eq!(taken, [wanted]);
    let both = period(&server, "accepted_from=2026-11-01").await;
    assert_eq!(both.0.len(), 2);
    assert_eq!(both.1, period(&server, "state=accepted").await.1);
    assert!(gross < both.1);
    // Both at once; and pages go on within the period.
    let (one, _) = period(&server, "issued_to=2026-11-25&accepted_from=2026-11-27").await;
    assert_eq!(one.len(), 1);
    let first = ok(server.admin(
        Method::GET,
        "/v1/quote-totals?issued_from=2026-11-26&limit=2",
    ))
    .await;
    let next = first["next"].as_str().unwrap();
    let rest = ok(server.admin(Method::GET, next)).await;
    assert_eq!(rest["items"].as_array().unwrap().len(), 1);
}
