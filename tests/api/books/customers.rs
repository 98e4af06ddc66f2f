//! Customers.

use super::service::{Service, body, faults, version};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const LIST: &str = "/v1/customers";

#[tokio::test]
async fn a_customer_is_added_changed_and_found() {
    let service = Service::start();
    let given = json!({"name": "Ø \"Sørensen\" ½″", "address": ["1 Pier Road", "Harbour City"]});
    let added = service.post(LIST, &given).await;
    let (place, first) = (
        added.headers()["location"].to_str().unwrap().to_owned(),
        version(&added),
    );
    let added = body(added, StatusCode::CREATED).await;
    assert_eq!(added["name"], given["name"]);
    assert_eq!(added["contact"], "");
    assert_eq!(place, format!("{LIST}/{}", added["id"].as_str().unwrap()));
    assert_eq!(body(service.get(&place).await, StatusCode::OK).await, added);
    let next = json!({"name": "Sørensen Heating", "email": "office@sorensen.example"});
    let missing = service.put(&place, None, &next).await;
    assert_eq!(missing.status(), StatusCode::PRECONDITION_REQUIRED);
    let changed = service.put(&place, Some(&first), &next).await;
    assert_ne!(version(&changed), first);
    let changed = body(changed, StatusCode::OK).await;
    assert_eq!(changed["address"], json!([]));
    let stale = service.put(&place, Some(&first), &given).await;
    assert_eq!(stale.status(), StatusCode::PRECONDITION_FAILED);
    assert_eq!(
        body(service.get(&place).await, StatusCode::OK).await,
        changed
    );
}

#[tokio::test]
async fn customers_are_listed_page_by_page() {
    let service = Service::start();
    for number in 1..=5 {
        let given = json!({"name": format!("Customer {number}")});
        assert_eq!(
            service.post(LIST, &given).await.status(),
            StatusCode::CREATED
        );
    }
    let (mut next, mut names) = (Some(format!("{LIST}?limit=2")), Vec::new());
    while let Some(address) = next {
        let page = body(service.get(&address).await, StatusCode::OK).await;
        let items = page["items"].as_array().unwrap();
        assert!(items.len() <= 2);
        names.extend(
            items
                .iter()
                .map(|item| item["name"].as_str().unwrap().to_owned()),
        );
        next = page["next"].as_str().map(str::to_owned);
    }
    let wanted: Vec<String> = (1..=5).map(|number| format!("Customer {number}")).collect();
    assert_eq!(names, wanted);
}

#[tokio::test]
async fn a_customer_sent_twice_is_added_once() {
    let service = Service::start();
    let send = async |name: &str| {
        let request = service.request(Method::POST, LIST, &service.estimator);
        let request = request.header("idempotency-key", "harbour-1");
        request.json(&json!({"name": name})).send().await.unwrap()
    };
    let first = body(send("Harbour Heating").await, StatusCode::CREATED).await;
    let again = send("Harbour Heating").await;
    assert_eq!(again.headers()["idempotency-replayed"], "true");
    assert_eq!(body(again, StatusCode::CREATED).await, first);
    let other = send("Harbour Cooling").await;
    assert_eq!(other.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let all = body(service.get(LIST).await, StatusCode::OK).await;
    assert_eq!(all["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn what_is_no_customer_is_refused() {
    let service = Service::start();
    let wrong = json!({"adress": ["x"], "email": 1});
    let problem: Value = body(
        service.post(LIST, &wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(
        faults(&problem),
        [
            "/adress unknown_field",
            "/name missing",
            "/email wrong_type"
        ]
    );
    let nobody = format!("{LIST}/0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e");
    assert_eq!(service.get(&nobody).await.status(), StatusCode::NOT_FOUND);
    let checker = service.shop.key("check");
    let refused = service
        .request(Method::GET, LIST, &checker)
        .send()
        .await
        .unwrap();
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
}
