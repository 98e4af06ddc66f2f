//! Labour models.

use super::service::{Service, body, faults, version};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

const MODELS: &str = "/v1/labour-models";

fn model(times: Value) -> Value {
    json!({"name": "Bench times", "effective_on": "2026-01-01", "times": times})
}

#[tokio::test]
async fn a_blank_sheet_is_filled_in_and_becomes_a_model() {
    let service = Service::start();
    let blank = service
        .get("/v1/labour-models/blank")
        .await
        .text()
        .await
        .unwrap();
    assert!(blank.starts_with("operation,setup_minutes,minutes_each,minutes_per_driver,low,high,source,counted_by,driver\r\n"));
    assert!(
        blank.contains("braze,,,,,,,joint,inch of outside diameter\r\n"),
        "{blank}"
    );
    let filled = blank
        .replace("braze,,,,,,,", "braze,,3,2.5,0.8,1.6,opinion,")
        .replace("mark_out,,,,,,,", "mark_out,5,0.75,,,,time_study,");
    let made = service
        .post(
            MODELS,
            &json!({"name": "Bench times", "effective_on": "2026-01-01"}),
        )
        .await;
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    let times = format!("{place}/times");
    let put = service.put_sheet(&times, &version(&made), filled).await;
    assert_eq!(put.status(), StatusCode::OK);
    let got = body(service.get(&times).await, StatusCode::OK).await;
    assert_eq!(
        got["times"],
        json!([
            {"operation": "mark_out", "setup_minutes": "5", "minutes_each": "0.75", "minutes_per_driver": "0", "low": null, "high": null, "source": "time_study"},
            {"operation": "braze", "setup_minutes": "0", "minutes_each": "3", "minutes_per_driver": "2.5", "low": "0.8", "high": "1.6", "source": "opinion"},
        ])
    );
    let sheet = service.get(&format!("{times}?format=csv")).await;
    let tag = version(&sheet);
    let sheet = sheet.text().await.unwrap();
    assert_eq!(
        service.put_sheet(&times, &tag, sheet).await.status(),
        StatusCode::OK
    );
    assert_eq!(body(service.get(&times).await, StatusCode::OK).await, got);
    let publish = format!("{place}/publish");
    let refused = service
        .request(Method::POST, &publish, &service.estimator)
        .send()
        .await
        .unwrap();
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let published = service.post(&publish, &json!({})).await;
    let tag = version(&published);
    assert_eq!(body(published, StatusCode::OK).await["state"], "published");
    let frozen = service.put(&times, Some(&tag), &json!({"times": []})).await;
    assert_eq!(frozen.status(), StatusCode::CONFLICT);
    let all = body(service.get(MODELS).await, StatusCode::OK).await;
    assert_eq!(all["items"][0]["name"], "Bench times");
}

#[tokio::test]
async fn every_fault_of_the_times_is_named_at_once() {
    let service = Service::start();
    let wrong = model(json!([
        {"operation": "brase", "minutes_each": "1", "source": "opinion"},
        {"operation": "cut", "minutes_each": -1, "source": "guess"},
        {"operation": "mark_out", "minutes_per_driver": "2", "source": "demo"},
        {"operation": "clean", "minutes_each": "1", "low": "1.2", "high": "0.9", "source": "opinion"},
        {"operation": "solder", "minutes_each": "1", "low": "0.9", "source": "opinion"},
        {"operation": "inspect", "source": "opinion"},
        {"operation": "cut", "minutes_each": "1", "source": "opinion"},
    ]));
    let problem = body(
        service.post(MODELS, &wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(
        faults(&problem),
        [
            "/times/0/operation unknown_value",
            "/times/1/minutes_each out_of_range",
            "/times/1/source unknown_value",
            "/times/2/minutes_per_driver no_driver",
            "/times/3/low wrong_spread",
            "/times/3/high wrong_spread",
            "/times/4/high half_a_spread",
            "/times/5/minutes_each no_time",
            "/times/6/operation duplicate",
        ]
    );
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("did you mean \"braze\""), "{detail}");
    assert_eq!(
        body(service.get(MODELS).await, StatusCode::OK).await["items"],
        json!([])
    );
}

#[tokio::test]
async fn a_model_is_changed_with_care_and_tried_first() {
    let service = Service::start();
    let times = json!([{"operation": "cut", "minutes_each": "1.5", "source": "opinion"}]);
    let trial = service
        .post(
            &format!("{MODELS}?validate_only=true"),
            &model(times.clone()),
        )
        .await;
    assert_eq!(
        body(trial, StatusCode::OK).await,
        json!({"valid": true, "rows": 1})
    );
    assert_eq!(
        body(service.get(MODELS).await, StatusCode::OK).await["items"],
        json!([])
    );
    let made = service.post(MODELS, &model(times.clone())).await;
    let place = format!("{}/times", made.headers()["location"].to_str().unwrap());
    let first = version(&made);
    let put = json!({"times": times});
    assert_eq!(
        service.put(&place, None, &put).await.status(),
        StatusCode::PRECONDITION_REQUIRED
    );
    assert_eq!(
        service.put(&place, Some(&first), &put).await.status(),
        StatusCode::OK
    );
    assert_eq!(
        service.put(&place, Some(&first), &put).await.status(),
        StatusCode::PRECONDITION_FAILED
    );
    let bad = service
        .put_sheet(
            &place,
            "*",
            "operation,source,minutes_each\ncut,opinion,\"1,5\"\n",
        )
        .await;
    assert_eq!(
        faults(&body(bad, StatusCode::UNPROCESSABLE_ENTITY).await),
        ["2 minutes_each not_a_decimal"]
    );
}
