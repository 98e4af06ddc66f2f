//! Open quotes held against another price list.

use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

use crate::harness::{Shop, cents, read};

/// A draft list of the demo's prices, each changed by `change`; its id.
async fn list(shop: &Shop, change: impl Fn(&mut Value) -> bool) -> String {
    let held = shop.get("/v1/price-lists").await;
    let id = held["items"][0]["id"].as_str().unwrap();
    let prices = shop.get(&format!("/v1/price-lists/{id}/items")).await;
    let mut items = prices["items"].as_array().unwrap().clone();
    items.retain_mut(|item| change(item));
    let body = json!({"name": "Next", "supplier": "S", "currency": "USD",
        "effective_on": "2020-02-01", "items": items});
    let made = shop
        .post("/v1/price-lists", &body, StatusCode::CREATED)
        .await;
    made["id"].as_str().unwrap().to_owned()
}

/// The price of tube, so many times as high.
fn tube(times: f64) -> impl Fn(&mut Value) -> bool {
    move |item| {
        if item["kind"] == "tube" {
            let price: f64 = item["price"].as_str().unwrap().parse().unwrap();
            item["price"] = json!(format!("{:.4}", price * times));
        }
        true
    }
}

async fn issued(shop: &Shop) -> String {
    let number = shop.draft(2).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    number
}

pub async fn open_quotes_are_held_against_another_list(shop: Shop) {
    shop.set_up().await;
    let number = issued(&shop).await;
    let same = list(&shop, |_| true).await;
    let answer = shop.get(&format!("/v1/price-lists/{same}/reprice")).await;
    let item = &answer["items"][0];
    assert_eq!(
        (&item["number"], &item["problem"]),
        (&json!(number), &json!(null))
    );
    let figures = &item["repriced"];
    // The same prices give the same price, to the cent.
    assert_eq!(figures["net"], figures["net_now"]);
    assert_eq!(figures["cost"], figures["cost_now"]);
    assert_eq!(figures["loses_money"], false);
    let left = cents(&figures["net"]["amount"]) - cents(&figures["cost_now"]["amount"]);
    assert_eq!(cents(&figures["left"]["amount"]), left);

    // The quote's own build-up: tube rises to three times what it was, and with it all that is a
    // share of it.
    let dear = list(&shop, tube(3.0)).await;
    let answer = shop.get(&format!("/v1/price-lists/{dear}/reprice")).await;
    let figures = &answer["items"][0]["repriced"];
    assert_eq!(figures["loses_money"], true, "{figures}");
    assert!(cents(&figures["left"]["amount"]) < 0);
    let quote = shop.get(&format!("/v1/quotes/{number}")).await;
    assert_eq!(figures["net"], quote["net"]);
    let rise = cents(&figures["cost_now"]["amount"]) - cents(&figures["cost"]["amount"]);
    let heads = quote["build_up"].as_array().unwrap().iter();
    let tube_then: i64 = heads
        .filter(|line| line["head"] == "tube")
        .map(|line| cents(&line["amount"]["amount"]))
        .sum();
    // Twice the tube again with 14 % overhead (demo settings), and some more in reserve for it.
    let more = 2.0 * tube_then as f64 * 1.14;
    let rise = rise as f64;
    assert!(rise > more && rise < more * 1.1, "{rise} of {more}");
}

pub async fn what_the_other_list_lacks_is_named_and_nothing_else_is_open(shop: Shop) {
    shop.set_up().await;
    issued(&shop).await;
    shop.draft(1).await;
    let none = list(&shop, |item| item["kind"] != "tube").await;
    let path = format!("/v1/price-lists/{none}/reprice");
    let answer = shop.get(&path).await;
    assert_eq!(answer["items"].as_array().unwrap().len(), 1);
    let item = &answer["items"][0];
    assert_eq!(item["repriced"], json!(null));
    let errors = item["problem"]["errors"].as_array().unwrap();
    assert!(
        errors.iter().all(|error| error["code"] == "missing_price"),
        "{errors:#?}"
    );
    assert!(errors.len() >= 2);
    let drafts = shop.get(&format!("{path}?state=draft")).await;
    assert_eq!(drafts["items"].as_array().unwrap().len(), 1);
    let gone = shop.request(
        Method::GET,
        "/v1/price-lists/0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e/reprice",
    );
    read(gone.send().await.unwrap(), StatusCode::NOT_FOUND).await;
}

pub async fn two_lists_are_held_against_each_other(shop: Shop) {
    shop.set_up().await;
    let first = list(&shop, |_| true).await;
    let second = list(&shop, |item| {
        if item["code"] == "b88-l-2" {
            let price: f64 = item["price"].as_str().unwrap().parse().unwrap();
            item["price"] = json!(format!("{:.2}", price * 1.5));
        }
        item["code"] != "cap-2"
    })
    .await;
    let path = format!("/v1/price-lists/{second}/diff?from={first}");
    let diff = shop.get(&path).await;
    let items = diff["items"].as_array().unwrap();
    let said: Vec<_> = items
        .iter()
        .map(|item| {
            (
                item["code"].as_str().unwrap(),
                item["change"].as_str().unwrap(),
            )
        })
        .collect();
    assert_eq!(said, [("b88-l-2", "changed"), ("cap-2", "removed")]);
    assert_eq!(items[0]["rise_percent"], "50");
    assert_eq!(items[1]["to"], json!(null));
    let back = shop
        .get(&format!("/v1/price-lists/{first}/diff?from={second}"))
        .await;
    assert_eq!(back["items"][1]["change"], "added");
    let alike = shop
        .get(&format!("/v1/price-lists/{first}/diff?from={first}"))
        .await;
    assert_eq!(alike["items"], json!([]));
}
