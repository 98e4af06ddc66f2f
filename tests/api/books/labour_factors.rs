//! Conditions and repetition of a labour model; two truths for one day.

use super::service::{Service, body, faults, version};
use reqwest::StatusCode;
use serde_json::{Value, json};

const MODELS: &str = "/v1/labour-models";

/// A draft with one time; its address and its version.
async fn draft(service: &Service, name: &str) -> (String, String) {
    let model = json!({"name": name, "effective_on": "2026-01-01",
        "times": [{"operation": "cut", "minutes_each": "1", "source": "opinion"}]});
    let made = service.post(MODELS, &model).await;
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    (place, version(&made))
}

#[tokio::test]
async fn conditions_go_both_ways_as_json_and_as_a_sheet_and_leave_the_times_alone() {
    let service = Service::start();
    let (place, tag) = draft(&service, "Bench").await;
    let times = body(service.get(&format!("{place}/times")).await, StatusCode::OK).await;
    let place = format!("{place}/conditions");
    let sheet = "condition,group,factor,source\r\noverhead,joining,1.30,opinion\r\noverhead,forming,1.1,opinion\r\nin place,,1.2,booked_hours\r\n";
    let put = service.put_sheet(&place, &tag, sheet.to_owned()).await;
    assert_eq!(put.status(), StatusCode::OK);
    let tag = version(&put);
    let got = body(service.get(&place).await, StatusCode::OK).await;
    assert_eq!(
        got["conditions"],
        json!([
            {"condition": "overhead", "group": "joining", "factor": "1.30", "source": "opinion"},
            {"condition": "overhead", "group": "forming", "factor": "1.1", "source": "opinion"},
            {"condition": "in place", "group": null, "factor": "1.2", "source": "booked_hours"},
        ])
    );
    let again = service.put(&place, Some(&tag), &got).await;
    assert_eq!(again.status(), StatusCode::OK);
    let answered = service.get(&format!("{place}?format=csv")).await;
    assert_eq!(answered.text().await.unwrap(), sheet);
    let place = place.replace("/conditions", "/times");
    assert_eq!(body(service.get(&place).await, StatusCode::OK).await, times);
}

#[tokio::test]
async fn every_fault_of_conditions_and_repetition_is_named() {
    let service = Service::start();
    let (place, tag) = draft(&service, "Bench").await;
    let wrong = json!({"conditions": [
        {"condition": "overhead", "factor": "0", "source": "opinion"},
        {"condition": "in place", "group": "brazing", "factor": "-1", "source": "guess"},
        {"condition": "Overhead", "factor": "1.1", "source": "opinion"},
    ]});
    let put = service
        .put(&format!("{place}/conditions"), Some(&tag), &wrong)
        .await;
    let problem = body(put, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(
        faults(&problem),
        [
            "/conditions/0/factor no_time",
            "/conditions/1/group unknown_value",
            "/conditions/1/factor out_of_range",
            "/conditions/1/source unknown_value",
            "/conditions/2/condition duplicate",
        ]
    );
    let place = format!("{place}/repetition");
    let wrong =
        json!({"repetition": {"curve": "both", "slope": "50", "timed_at": 0, "source": "opinion"}});
    let put = service.put(&place, Some(&tag), &wrong).await;
    let problem = body(put, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(
        faults(&problem),
        [
            "/repetition/curve unknown_value",
            "/repetition/timed_at out_of_range",
            "/repetition/slope out_of_range",
        ]
    );
    let none = body(service.get(&place).await, StatusCode::OK).await;
    assert_eq!(none, json!({"repetition": null}));
    let right = json!({"repetition": {"curve": "wright", "slope": "85", "timed_at": 4, "source": "opinion"}});
    let put = service.put(&place, Some(&tag), &right).await;
    assert_eq!(put.status(), StatusCode::OK);
    assert_eq!(body(service.get(&place).await, StatusCode::OK).await, right);
}

#[tokio::test]
async fn two_models_of_one_day_are_refused_unless_one_takes_the_others_place() {
    let service = Service::start();
    let (first, _) = draft(&service, "First").await;
    let (second, _) = draft(&service, "Second").await;
    let publish = |place: &str, query: &str| format!("{place}/publish{query}");
    let nothing = json!({});
    let done = service.post(&publish(&first, ""), &nothing).await;
    assert_eq!(done.status(), StatusCode::OK);
    for query in ["", "?validate_only=true"] {
        let refused = service.post(&publish(&second, query), &nothing).await;
        let problem = body(refused, StatusCode::UNPROCESSABLE_ENTITY).await;
        assert_eq!(faults(&problem), ["/effective_on overlapping_dates"]);
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        assert!(detail.contains("\"First\""), "{detail}");
    }
    let id = first.rsplit('/').next().unwrap();
    let instead = publish(&second, &format!("?in_place_of={id}"));
    let done = service.post(&instead, &nothing).await;
    assert_eq!(done.status(), StatusCode::OK);
    let (third, _) = draft(&service, "Third").await;
    let gone = publish(&third, &format!("?in_place_of={id}"));
    let problem = body(
        service.post(&gone, &nothing).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert!(
        problem["errors"][0]["detail"]
            .as_str()
            .unwrap()
            .contains("\"Second\"")
    );
}

#[tokio::test]
async fn a_crew_and_taxes_by_head_are_set_and_sent_back() {
    let service = Service::start();
    let pricing: Value = json!({"burden": "35",
        "crew": [{"role": "fitter", "count": "2", "wage": "44.00", "burden": null},
            {"role": "apprentice", "count": "0.5", "wage": "26.00", "burden": "20"}],
        "tax": {"name": "Sales tax", "rate": "8"},
        "tax_by_head": {"labour": {"name": "Labour, untaxed", "rate": "0"}}});
    let shop = json!({"letterhead": {"name": "S"}, "currency": "USD", "pricing": pricing});
    let set = service.put("/v1/shop", None, &shop).await;
    let tag = version(&set);
    let set = body(set, StatusCode::OK).await;
    for field in ["crew", "tax", "tax_by_head"] {
        assert_eq!(set["pricing"][field], pricing[field], "{field}");
    }
    assert_eq!(
        service.put("/v1/shop", Some(&tag), &set).await.status(),
        StatusCode::OK
    );
    let mut wrong = set;
    wrong["pricing"]["crew_rate"] = json!("40");
    wrong["pricing"]["crew"][0]["count"] = json!("0");
    wrong["pricing"]["tax_by_head"]["profit"] = json!({"name": "x", "rate": "1"});
    let problem = body(
        service.put("/v1/shop", Some("*"), &wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(
        faults(&problem),
        [
            "/pricing/crew/0/count nobody",
            "/pricing/tax_by_head/profit unknown_field",
            "/pricing/crew two_rates",
        ]
    );
}
