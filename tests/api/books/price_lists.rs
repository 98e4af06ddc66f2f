//! Price lists over JSON: made, filled, published, frozen.

use super::service::{Service, body, faults, version};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const LISTS: &str = "/v1/price-lists";

fn list() -> Value {
    json!({"name": "Winter", "supplier": "Harbour Metals", "currency": "usd", "effective_on": "2026-01-01"})
}

fn with_items(items: Value) -> Value {
    let mut list = list();
    list["items"] = items;
    list
}

#[tokio::test]
async fn a_list_is_made_filled_published_and_then_frozen() {
    let service = Service::start();
    let made = service.post(LISTS, &list()).await;
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    let first = version(&made);
    let made = body(made, StatusCode::CREATED).await;
    assert_eq!(
        (&made["state"], &made["currency"]),
        (&json!("draft"), &json!("USD"))
    );
    let (items, publish) = (format!("{place}/items"), format!("{place}/publish"));
    let empty = service.post(&publish, &json!({})).await;
    assert_eq!(empty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let prices = json!({"items": [
        {"code": "B88-L-2", "kind": "tube", "unit": "ft", "price": "14.20", "breaks": []},
        {"code": "bcup-3", "kind": "filler", "unit": "lb", "price": 38},
        {"code": "tee-2x2x1", "kind": "fitting", "text": "reducing tee", "unit": "each", "price": "11.75"},
        {"code": "manifold:b88-l-2:6xb88-l-1", "kind": "manifold", "unit": "each", "price": "420.00"},
        {"code": "brazing-consumables", "kind": "consumable", "unit": "joint", "price": "0.35"},
    ]});
    assert_eq!(
        service.put(&items, None, &prices).await.status(),
        StatusCode::PRECONDITION_REQUIRED
    );
    let put = service.put(&items, Some(&first), &prices).await;
    let second = version(&put);
    assert_eq!(body(put, StatusCode::OK).await["version"], 2);
    assert_eq!(
        service.put(&items, Some(&first), &prices).await.status(),
        StatusCode::PRECONDITION_FAILED
    );
    let got = service.get(&items).await;
    assert_eq!(version(&got), second);
    let got = body(got, StatusCode::OK).await;
    assert_eq!(
        got["items"][0],
        json!({"code": "b88-l-2", "kind": "tube", "text": "b88-l-2", "unit": "ft", "price": "14.20", "breaks": []})
    );
    assert_eq!(got["items"][1]["code"], "BCuP-3");
    assert_eq!(got["items"].as_array().unwrap().len(), 5);
    // Publishing is the admin's; a wrong version is refused, none is good.
    let refused = service
        .request(Method::POST, &publish, &service.estimator)
        .send()
        .await
        .unwrap();
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let stale = service
        .request(Method::POST, &publish, &service.admin)
        .header("if-match", first);
    assert_eq!(
        stale.send().await.unwrap().status(),
        StatusCode::PRECONDITION_FAILED
    );
    let published = service.post(&publish, &json!({})).await;
    let third = version(&published);
    let published = body(published, StatusCode::OK).await;
    assert_eq!(published["state"], "published");
    assert!(published["published_at"].as_str().unwrap().ends_with('Z'));
    let frozen = body(
        service.put(&items, Some(&third), &prices).await,
        StatusCode::CONFLICT,
    )
    .await;
    assert!(
        frozen["detail"].as_str().unwrap().contains("never changes"),
        "{frozen}"
    );
    let twice = service.post(&publish, &json!({})).await;
    assert_eq!(twice.status(), StatusCode::CONFLICT);
    assert_eq!(body(service.get(&items).await, StatusCode::OK).await, got);
}

#[tokio::test]
async fn every_fault_of_the_items_is_named_at_once_and_nothing_is_stored() {
    let service = Service::start();
    let wrong = with_items(json!([
        {"code": "b88-l-2.5x", "kind": "tube", "unit": "ft", "price": "1"},
        {"code": "cap-2", "kind": "fitting", "unit": "ft", "price": "-1"},
        {"code": "elbow-2", "kind": "fitting", "unit": "each", "price": "1,50"},
        {"code": "CAP-2", "kind": "fittings", "unit": "each", "price": "1", "colour": "red"},
        {"code": "BCuP-33", "kind": "filler", "unit": "kg"},
        7,
    ]));
    let problem = body(
        service.post(LISTS, &wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(
        faults(&problem),
        [
            "/items/0/code unknown_tube",
            "/items/1/price out_of_range",
            "/items/1/unit wrong_unit",
            "/items/2/price not_a_decimal",
            "/items/2/code unknown_fitting",
            "/items/3/colour unknown_field",
            "/items/3/kind unknown_value",
            "/items/3/code duplicate",
            "/items/4/price missing",
            "/items/4/code unknown_filler",
            "/items/5 wrong_type",
        ]
    );
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(
        detail.contains("b88-l-2.5,") || detail.contains("b88-l-2.5"),
        "{detail}"
    );
    let detail = problem["errors"][7]["detail"].as_str().unwrap();
    assert!(detail.contains("item 2 of `items`"), "{detail}");
    let all = body(service.get(LISTS).await, StatusCode::OK).await;
    assert_eq!(all["items"], json!([]));
}

#[tokio::test]
async fn a_trial_says_the_same_and_stores_nothing() {
    let service = Service::start();
    let good =
        with_items(json!([{"code": "cap-2", "kind": "fitting", "unit": "each", "price": "6.10"}]));
    let trial = format!("{LISTS}?validate_only=true");
    assert_eq!(
        body(service.post(&trial, &good).await, StatusCode::OK).await,
        json!({"valid": true, "rows": 1})
    );
    let bad =
        with_items(json!([{"code": "cap-2", "kind": "fitting", "unit": "lb", "price": "6.10"}]));
    assert_eq!(
        service.post(&trial, &bad).await.status(),
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        body(service.get(LISTS).await, StatusCode::OK).await["items"],
        json!([])
    );
    let made = service.post(LISTS, &good).await;
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    let trial = service
        .post(&format!("{place}/publish?validate_only=true"), &json!({}))
        .await;
    assert_eq!(trial.status(), StatusCode::OK);
    let tag = version(&made);
    let trial = service
        .put(
            &format!("{place}/items?validate_only=true"),
            Some(&tag),
            &json!({"items": []}),
        )
        .await;
    assert_eq!(trial.status(), StatusCode::OK);
    let still = service.get(&place).await;
    assert_eq!(version(&still), tag);
    assert_eq!(body(still, StatusCode::OK).await["state"], "draft");
}

#[tokio::test]
async fn a_list_sent_twice_is_made_once() {
    let service = Service::start();
    let send = async || {
        let request = service.request(Method::POST, LISTS, &service.estimator);
        request
            .header("idempotency-key", "winter")
            .json(&list())
            .send()
            .await
            .unwrap()
    };
    let first = send().await;
    let tag = version(&first);
    let first = body(first, StatusCode::CREATED).await;
    let again = send().await;
    assert_eq!(version(&again), tag);
    assert_eq!(body(again, StatusCode::CREATED).await, first);
    let all = body(service.get(LISTS).await, StatusCode::OK).await;
    assert_eq!(all["items"].as_array().unwrap().len(), 1);
    let checker = service.shop.key("check");
    let refused = service
        .request(Method::POST, LISTS, &checker)
        .json(&list())
        .send()
        .await
        .unwrap();
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
}
