//! The accountant's pull.

use std::collections::BTreeMap;

use reqwest::{Method, StatusCode};
use serde_json::Value;

use crate::harness::{Shop, cents};

/// Follows `next` to the end; the items, and where to resume.
async fn pull(shop: &Shop, first: String) -> (Vec<Value>, String) {
    let mut items = Vec::new();
    let mut path = first;
    loop {
        let page = shop.get(&path).await;
        items.extend(page["items"].as_array().unwrap().iter().cloned());
        match page["next"].as_str() {
            Some(next) => path = next.to_owned(),
            None => return (items, page["resume"].as_str().unwrap().to_owned()),
        }
    }
}

fn states(items: &[Value]) -> BTreeMap<String, String> {
    let mut states = BTreeMap::new();
    for item in items {
        let old = states.insert(
            format!("{}/{}", item["number"].as_str().unwrap(), item["revision"]),
            item["state"].as_str().unwrap().to_owned(),
        );
        assert!(old.is_none(), "{item} came twice in one pull");
    }
    states
}

pub async fn a_pull_shows_each_revision_once_while_quotes_change(shop: Shop) {
    shop.set_up().await;
    let mut numbers = Vec::new();
    for _ in 0..7 {
        numbers.push(shop.draft(1).await);
    }
    // The first page is taken, then every quote moves, and the rest of the pull goes on.
    let page = shop.get("/v1/quote-totals?limit=2").await;
    for number in &numbers {
        shop.make(number, "issue", StatusCode::OK).await;
    }
    let extra = shop.draft(1).await;
    let (rest, resume) = pull(&shop, page["next"].as_str().unwrap().to_owned()).await;
    let mut first = page["items"].as_array().unwrap().clone();
    first.extend(rest);
    let seen = states(&first);
    assert_eq!(seen.len(), 7);
    assert!(seen.values().all(|state| state == "draft"), "{seen:?}");
    // The next pull brings exactly what changed.
    let (next, resume) = pull(&shop, format!("/v1/quote-totals?limit=3&after={resume}")).await;
    let seen = states(&next);
    assert_eq!(seen.len(), 8);
    assert_eq!(seen[&format!("{extra}/1")], "draft");
    assert_eq!(seen.values().filter(|state| *state == "issued").count(), 7);
    let (nothing, _) = pull(&shop, format!("/v1/quote-totals?after={resume}")).await;
    assert!(nothing.is_empty());
    let (issued, _) = pull(&shop, "/v1/quote-totals?limit=5&state=issued".to_owned()).await;
    assert_eq!(issued.len(), 7);
}

pub async fn the_sheet_says_the_same_as_the_json(shop: Shop) {
    shop.set_up().await;
    for count in 1..4 {
        let number = shop.draft(count).await;
        shop.make(&number, "issue", StatusCode::OK).await;
    }
    let (items, _) = pull(&shop, "/v1/quote-totals".to_owned()).await;
    let sheet = shop
        .request(Method::GET, "/v1/quote-totals")
        .header("accept", "text/csv")
        .send()
        .await
        .unwrap();
    assert_eq!(
        sheet.headers()["content-type"],
        "text/csv; charset=utf-8; header=present"
    );
    let text = sheet.text().await.unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<BTreeMap<String, String>> =
        reader.deserialize().map(|row| row.unwrap()).collect();
    assert_eq!(rows.len(), items.len());
    for (row, item) in rows.iter().zip(&items) {
        for field in [
            "number",
            "state",
            "customer",
            "net",
            "tax",
            "gross",
            "issued_on",
        ] {
            assert_eq!(row[field], item[field].as_str().unwrap(), "{field}");
        }
        let heads = [
            "tube",
            "fittings",
            "consumables",
            "labour",
            "equipment",
            "overhead",
            "profit",
            "other",
        ];
        let sum: i64 = heads
            .iter()
            .map(|head| cents(&row[*head].clone().into()))
            .sum();
        assert_eq!(sum, cents(&item["net"]));
    }
}

/// Labour untaxed, the rest at the shop's rate: each tax by itself, and both again in the sheet.
pub async fn each_tax_stands_by_its_rate(shop: Shop) {
    shop.set_up().await;
    let mut settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    settings["pricing"]["tax_by_head"] =
        serde_json::json!({"labour": {"name": "Labour, untaxed", "rate": "0"}});
    let put = shop
        .request(Method::PUT, "/v1/shop")
        .header("if-match", "*")
        .json(&settings);
    crate::harness::read(put.send().await.unwrap(), StatusCode::OK).await;
    let number = shop.draft(2).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let (items, _) = pull(&shop, "/v1/quote-totals".to_owned()).await;
    let (total, taxes) = (&items[0], items[0]["taxes"].as_array().unwrap());
    let sum = |part: &str| taxes.iter().map(|tax| cents(&tax[part])).sum::<i64>();
    assert_eq!(sum("base"), cents(&total["net"]));
    assert_eq!(sum("amount"), cents(&total["tax"]));
    let by_rate: BTreeMap<&str, &Value> = taxes
        .iter()
        .map(|tax| (tax["rate"].as_str().unwrap(), tax))
        .collect();
    assert_eq!(by_rate.len(), 2, "{total}");
    assert_eq!(cents(&by_rate["0"]["amount"]), 0);
    // 7.25 % of the base, by hand in ten-thousandths of a cent, to the nearest cent.
    let exact = cents(&by_rate["7.25"]["base"]) * 725;
    assert!((cents(&by_rate["7.25"]["amount"]) * 10_000 - exact).abs() <= 5_000);

    let sheet = shop.request(Method::GET, "/v1/quote-totals?format=csv");
    let text = sheet.send().await.unwrap().text().await.unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let row: BTreeMap<String, String> = reader.deserialize().next().unwrap().unwrap();
    for (place, tax) in taxes.iter().enumerate() {
        for part in ["name", "rate", "base", "amount"] {
            assert_eq!(
                row[&format!("tax_{}_{part}", place + 1)],
                tax[part].as_str().unwrap()
            );
        }
    }
    assert_eq!(row["tax_3_name"], "");
    assert_eq!(row["other_taxes_amount"], "0.00");
}
