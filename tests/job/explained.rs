//! Every figure of an estimate explained, over HTTP.

use reqwest::StatusCode;
use rust_decimal::Decimal;
use serde_json::{Value, json};

use crate::harness::{Shop, schedule};

fn number(value: &Value) -> Decimal {
    value.as_str().unwrap().parse().unwrap()
}

/// The figure that a step makes of the parts, for those steps that do not round.
fn holds(tree: &Value) -> usize {
    let parts: &[Value] = tree["parts"].as_array().map_or(&[], Vec::as_slice);
    let values: Vec<Decimal> = parts.iter().map(|part| number(&part["value"])).collect();
    let value = number(&tree["value"]);
    match tree["step"].as_str().unwrap() {
        "given" => assert!(parts.is_empty() && tree["source"].is_string(), "{tree}"),
        "sum" => assert_eq!(value, values.iter().sum(), "{tree}"),
        "product" => assert_eq!(value, values.iter().product(), "{tree}"),
        _ => assert!(!parts.is_empty(), "{tree}"),
    }
    1 + parts.iter().map(holds).sum::<usize>()
}

pub async fn every_amount_comes_with_its_derivation(shop: Shop) {
    shop.set_up().await;
    let mut manifolds = schedule();
    manifolds[0]["conditions"] = json!([]);
    let request = json!({ "manifolds": manifolds });
    let plain = shop.post("/v1/estimates", &request, StatusCode::OK).await;
    assert!(plain.get("derivations").is_none());
    let told = shop
        .post("/v1/estimates?explain=true", &request, StatusCode::OK)
        .await;
    assert_eq!(told["net"], plain["net"]);
    let of = |list: &str| told["derivations"][list].as_array().unwrap().clone();
    for (figures, list, amount) in [
        (&told["lines"], of("lines"), "amount"),
        (&told["items"], of("items"), "unit_price"),
        (&told["taxes"], of("taxes"), "amount"),
    ] {
        // What a check stops has no price to explain.
        let figures = figures.as_array().unwrap().iter();
        let figures: Vec<&Value> = figures.filter(|it| it.get(amount).is_some()).collect();
        assert_eq!(figures.len(), list.len());
        for (figure, tree) in figures.into_iter().zip(&list) {
            assert_eq!(figure[amount]["amount"], tree["value"], "{tree}");
            assert!(holds(tree) > 1, "{tree}");
        }
    }
    // A condition that the model does not know is named, and nothing is priced.
    let mut wrong = request;
    wrong["manifolds"][0]["conditions"] = json!(["on a ladder"]);
    let refused = shop
        .post("/v1/estimates", &wrong, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
    assert_eq!(refused["errors"][0]["code"], "unknown_condition");
}
