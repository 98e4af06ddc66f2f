//! The settings of the shop.

use super::service::{Service, body, faults, version};
use reqwest::{Method, StatusCode};
use serde_json::json;

const SHOP: &str = "/v1/shop";

#[tokio::test]
async fn a_fresh_shop_is_set_up_and_changed_with_care() {
    let service = Service::start();
    let fresh = body(service.get(SHOP).await, StatusCode::NOT_FOUND).await;
    assert!(fresh["detail"].as_str().unwrap().contains("PUT /v1/shop"));
    let small = json!({"letterhead": {"name": "Quay Street Pipe Shop"}, "currency": "USD"});
    let early = service.put(SHOP, Some("\"nothing\""), &small).await;
    assert_eq!(early.status(), StatusCode::PRECONDITION_FAILED);
    let set = service.put(SHOP, None, &small).await;
    let first = version(&set);
    let set = body(set, StatusCode::OK).await;
    assert_eq!(set["units"], "imperial");
    assert_eq!(set["quoting"]["number_pattern"], "Q-{year}-{seq:4}");
    assert_eq!(set["pricing"]["crew_rate"], json!(null));
    // What was answered can be sent back, and is then what is there.
    let mut next = set.clone();
    next["pricing"]["crew_rate"] = json!(48.5);
    next["pricing"]["profit"] = json!({"kind": "margin", "percent": "99.9"});
    next["paper"] = json!("a4");
    let missing = service.put(SHOP, None, &next).await;
    assert_eq!(missing.status(), StatusCode::PRECONDITION_REQUIRED);
    let changed = service.put(SHOP, Some(&first), &next).await;
    let second = version(&changed);
    let changed = body(changed, StatusCode::OK).await;
    assert_eq!(changed["pricing"]["crew_rate"], "48.5");
    assert_eq!(
        changed["pricing"]["profit"],
        json!({"kind": "margin", "percent": "99.9"})
    );
    let stale = service.put(SHOP, Some(&first), &next).await;
    assert_eq!(version(&stale), second, "the current version is told");
    assert_eq!(stale.status(), StatusCode::PRECONDITION_FAILED);
    let got = service.get(SHOP).await;
    assert_eq!(version(&got), second);
    assert_eq!(body(got, StatusCode::OK).await, changed);
}

#[tokio::test]
async fn earlier_settings_are_kept_and_come_newest_first() {
    let service = Service::start();
    let set = |burden: &str| json!({"letterhead": {"name": "S"}, "currency": "USD", "pricing": {"burden": burden}});
    for burden in ["10", "20", "30"] {
        let if_match = (burden != "10").then_some("*");
        let answer = service.put(SHOP, if_match, &set(burden)).await;
        assert_eq!(answer.status(), StatusCode::OK);
    }
    let page = body(
        service.get("/v1/shop/history?limit=2").await,
        StatusCode::OK,
    )
    .await;
    let said = |page: &serde_json::Value| -> Vec<(i64, String)> {
        let items = page["items"].as_array().unwrap().iter();
        items
            .map(|item| {
                let burden = item["settings"]["pricing"]["burden"].as_str().unwrap();
                (item["version"].as_i64().unwrap(), burden.to_owned())
            })
            .collect()
    };
    assert_eq!(said(&page), [(3, "30".to_owned()), (2, "20".to_owned())]);
    let next = page["next"].as_str().unwrap();
    let page = body(service.get(next).await, StatusCode::OK).await;
    assert_eq!(said(&page), [(1, "10".to_owned())]);
    assert_eq!(page["next"], json!(null));
}

#[tokio::test]
async fn sticks_and_risk_are_settings_that_can_be_sent_back() {
    let service = Service::start();
    let pricing = json!({
        "cutting": {"kerf": "1/16 in", "end_trim": "6.5 mm", "least_offcut": "24 in", "offcut_value": "50"},
        "contingency_level": 80,
        "price_spread": {"tube": {"low": "0.9", "high": "1.25"}},
    });
    let wanted = json!({"letterhead": {"name": "S"}, "currency": "USD", "pricing": pricing});
    let set = body(service.put(SHOP, None, &wanted).await, StatusCode::OK).await;
    let cutting = &set["pricing"]["cutting"];
    assert_eq!(
        cutting,
        &json!({"kerf": "0.0625 in", "end_trim": "6.5 mm", "least_offcut": "24 in", "offcut_value": "50"})
    );
    assert_eq!(set["pricing"]["price_spread"], pricing["price_spread"]);
    let again = body(service.put(SHOP, Some("*"), &set).await, StatusCode::OK).await;
    assert_eq!(again, set);
    let wrong = json!({"letterhead": {"name": "S"}, "currency": "USD", "pricing": {
        "contingency": "3", "contingency_level": 80,
        "cutting": {"kerf": "-1 mm", "least_offcut": "0 in"},
        "price_spread": {"tube": {"low": "1.1", "high": "0.9"}, "labour": {"low": "1", "high": "1"}}}});
    let refused = service.put(SHOP, Some("*"), &wrong).await;
    let found = faults(&body(refused, StatusCode::UNPROCESSABLE_ENTITY).await);
    for expected in [
        "/pricing/contingency_level two_contingencies",
        "/pricing/cutting/kerf out_of_range",
        "/pricing/cutting/least_offcut out_of_range",
        "/pricing/price_spread/tube/low out_of_range",
        "/pricing/price_spread/tube/high wrong_spread",
        "/pricing/price_spread/labour unknown_field",
    ] {
        assert!(
            found.iter().any(|one| one == expected),
            "{expected:?} in {found:?}"
        );
    }
}

#[tokio::test]
async fn every_fault_of_settings_is_named_at_once_and_nothing_is_stored() {
    let service = Service::start();
    let wrong = json!({
        "letterhead": {"name": "", "fax": "1"},
        "currency": "dollars",
        "paper": "A4",
        "pricing": {
            "burden": -1,
            "crew_rate": "48,50",
            "discount": "100.5",
            "profit": {"kind": "margin", "percent": "100"},
            "tax": {"name": "VAT"},
        },
        "quoting": {"number_pattern": "Q-{year}", "valid_days": 0},
    });
    let problem = body(
        service.put(SHOP, None, &wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    let mut found = faults(&problem);
    found.sort();
    assert_eq!(
        found,
        [
            "/currency not_a_currency",
            "/letterhead/fax unknown_field",
            "/letterhead/name too_short",
            "/paper unknown_value",
            "/pricing/burden out_of_range",
            "/pricing/crew_rate not_a_decimal",
            "/pricing/discount out_of_range",
            "/pricing/profit/percent impossible_margin",
            "/pricing/tax/rate missing",
            "/quoting/number_pattern unsound_pattern",
            "/quoting/valid_days out_of_range",
        ]
    );
    assert_eq!(service.get(SHOP).await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn quote_numbers_hold_only_what_addresses_and_header_fields_take() {
    let service = Service::start();
    let shop = |pattern: &str| {
        json!({"letterhead": {"name": "Quay Street Pipe Shop"}, "currency": "EUR",
            "quoting": {"number_pattern": pattern}})
    };
    for wrong in ["%41{seq}", "{seq}%2F", "A\"b\\{seq}", "Ü–{seq}", "<b>{seq}"] {
        let refused = service.put(SHOP, None, &shop(wrong)).await;
        let problem = body(refused, StatusCode::UNPROCESSABLE_ENTITY).await;
        assert_eq!(
            faults(&problem),
            ["/quoting/number_pattern unsound_pattern"]
        );
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        assert!(detail.contains("digits, -, _ and ."), "{detail}");
    }
    let taken = service.put(SHOP, None, &shop("A_{year}.{seq:3}-x")).await;
    assert!(taken.status().is_success(), "{}", taken.status());
}

#[tokio::test]
async fn only_an_admin_changes_the_shop_and_any_scope_reads_it() {
    let service = Service::start();
    let small = json!({"letterhead": {"name": "Quay Street Pipe Shop"}, "currency": "EUR"});
    let refused = service
        .request(Method::PUT, SHOP, &service.estimator)
        .json(&small);
    assert_eq!(
        refused.send().await.unwrap().status(),
        StatusCode::FORBIDDEN
    );
    let trial = service
        .put("/v1/shop?validate_only=true", None, &small)
        .await;
    assert_eq!(body(trial, StatusCode::OK).await["currency"], "EUR");
    assert_eq!(service.get(SHOP).await.status(), StatusCode::NOT_FOUND);
    assert_eq!(
        service.put(SHOP, None, &small).await.status(),
        StatusCode::OK
    );
    for scope in ["check", "estimate", "account"] {
        let read = service.request(Method::GET, SHOP, &service.shop.key(scope));
        assert_eq!(
            read.send().await.unwrap().status(),
            StatusCode::OK,
            "{scope}"
        );
    }
}
