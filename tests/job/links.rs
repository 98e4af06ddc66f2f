//! Customers answer by a link, several at once.

use reqwest::{Method, StatusCode};
use serde_json::json;

use crate::harness::Shop;

pub async fn of_many_answers_at_once_one_is_taken(shop: Shop) {
    shop.set_up().await;
    let number = shop.draft(1).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let path = format!("/v1/quotes/{number}/links");
    let made = shop.post(&path, &json!({}), StatusCode::CREATED).await;
    let page = made["path"].as_str().unwrap();
    let sent: Vec<_> = (0..8)
        .map(|n| {
            let (verb, name) = (["accept", "decline"][n % 2], format!("Buyer+{n}"));
            let form = shop
                .request(Method::POST, &format!("{page}/{verb}"))
                .header("content-type", "application/x-www-form-urlencoded")
                .body(format!("name={name}&agree=yes"));
            tokio::spawn(async move { form.send().await.unwrap().status() })
        })
        .collect();
    let mut taken = 0;
    for answer in sent {
        match answer.await.unwrap() {
            // Led back to the page.
            StatusCode::OK => taken += 1,
            status => assert_eq!(status, StatusCode::CONFLICT),
        }
    }
    assert_eq!(taken, 1);
    let id = made["link"]["id"].as_str().unwrap();
    let link = shop.get(&format!("/v1/links/{id}")).await;
    let count = |what: &str| {
        let events = link["events"].as_array().unwrap();
        events.iter().filter(|event| event["what"] == what).count()
    };
    assert_eq!(count("accepted") + count("declined"), 1, "{link}");
    assert_eq!(count("refused"), 7, "{link}");
    let quote = shop.get(&format!("/v1/quotes/{number}")).await;
    assert_eq!(count(quote["state"].as_str().unwrap()), 1, "{quote}");
}
