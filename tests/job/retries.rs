//! Pressing the button twice.

use reqwest::{Method, StatusCode};
use serde_json::Value;

use crate::harness::{Shop, quote_of, schedule};

pub async fn pressing_twice_makes_one_quote(shop: Shop) {
    shop.set_up().await;
    let body = quote_of(&schedule()[..1]);
    let press = |body: Value, name: &'static str| {
        let request = shop
            .request(Method::POST, "/v1/quotes")
            .header("idempotency-key", name)
            .json(&body);
        tokio::spawn(async move {
            let response = request.send().await.unwrap();
            (response.status(), response.text().await.unwrap())
        })
    };
    let mut answers = Vec::new();
    for pressed in (0..12)
        .map(|_| press(body.clone(), "job-7-rev-1"))
        .collect::<Vec<_>>()
    {
        answers.push(pressed.await.unwrap());
    }
    let made: Vec<_> = answers
        .iter()
        .filter(|(status, _)| *status == StatusCode::CREATED)
        .collect();
    assert!(!made.is_empty());
    assert!(
        made.iter().all(|(_, text)| text == &made[0].1),
        "a replay differs from the first answer"
    );
    assert!(
        answers
            .iter()
            .all(|(status, _)| matches!(*status, StatusCode::CREATED | StatusCode::CONFLICT))
    );
    assert_eq!(
        shop.get("/v1/quotes").await["items"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    // The answer comes again even after the quote has moved on.
    let number = shop.get("/v1/quotes").await["items"][0]["number"]
        .as_str()
        .unwrap()
        .to_owned();
    shop.make(&number, "issue", StatusCode::OK).await;
    assert_eq!(
        press(body.clone(), "job-7-rev-1").await.unwrap().1,
        made[0].1
    );
    let mut other = body;
    other["project"] = "Another".into();
    assert_eq!(
        press(other, "job-7-rev-1").await.unwrap().0,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}
