//! From an empty database to the books.

use axum::body::Bytes;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use reqwest::header::HeaderValue;
use reqwest::{Method, StatusCode};
use serde_json::json;
use sha2::{Digest as _, Sha256};

use crate::harness::{Shop, cents, quote_of, read, schedule};

pub async fn from_an_empty_database_to_the_books(shop: Shop) {
    shop.set_up().await;
    let all = schedule();
    let checked = shop
        .post(
            "/v1/manifolds/check",
            &json!({"manifolds": all}),
            StatusCode::OK,
        )
        .await;
    let verdicts: Vec<_> = checked["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["verdict"].clone())
        .collect();
    assert_eq!(verdicts.last().unwrap(), "not_buildable");
    assert!(
        verdicts[..6]
            .iter()
            .all(|verdict| verdict != "not_buildable"),
        "{verdicts:?}"
    );

    let estimate = shop
        .post("/v1/estimates", &json!({"manifolds": all}), StatusCode::OK)
        .await;
    assert_eq!(estimate["summary"], json!({"ok": 6, "failed": 1}));
    let sum = |list: &str| -> i64 {
        estimate[list]
            .as_array()
            .unwrap()
            .iter()
            .filter(|line| !line["amount"].is_null())
            .map(|line| cents(&line["amount"]["amount"]))
            .sum()
    };
    let net = cents(&estimate["net"]["amount"]);
    assert_eq!(sum("lines"), net);
    assert_eq!(sum("items"), net);
    assert_eq!(
        net + cents(&estimate["tax"]["amount"]),
        cents(&estimate["gross"]["amount"])
    );
    assert!(
        estimate["remarks"][0]
            .as_str()
            .unwrap()
            .contains("invented for the demo shop")
    );
    assert!(
        estimate["lines"]
            .as_array()
            .unwrap()
            .iter()
            .all(|line| !line["basis"].as_str().unwrap().is_empty())
    );

    let compared = shop
        .post(
            "/v1/estimates/compare",
            &json!({"manifolds": all}),
            StatusCode::OK,
        )
        .await;
    for item in compared["items"].as_array().unwrap() {
        assert_eq!(item["builds"].as_array().unwrap().len(), 4);
    }
    let soldered = &compared["items"][0]["builds"][2];
    assert_eq!(soldered["build"], "tees_soldered");
    assert_eq!(soldered["feasible"], true, "{soldered}");

    let quote = shop
        .post("/v1/quotes", &quote_of(&all[..6]), StatusCode::CREATED)
        .await;
    assert_eq!(
        quote["number"].as_str().unwrap().rsplit('-').next(),
        Some("0001")
    );
    assert_eq!(quote["state"], "draft");
    assert_eq!(cents(&quote["net"]["amount"]), net);
    let number = quote["number"].as_str().unwrap();
    let issued = shop.make(number, "issue", StatusCode::OK).await;
    assert_eq!(issued["state"], "issued");
    papers_agree(&shop, number, &issued).await;
    let accepted = json!({"name": "A. Buyer", "po_number": "PO-9"});
    let accepted = shop
        .post(
            &format!("/v1/quotes/{number}/accept"),
            &accepted,
            StatusCode::OK,
        )
        .await;
    assert_eq!(
        (&accepted["state"], &accepted["po_number"]),
        (&json!("accepted"), &json!("PO-9"))
    );

    let totals = shop.get("/v1/quote-totals").await;
    let total = &totals["items"][0];
    assert_eq!(total["state"], "accepted");
    assert_eq!(cents(&total["net"]), net);
    assert_eq!(
        total["heads"]
            .as_object()
            .unwrap()
            .values()
            .map(cents)
            .sum::<i64>(),
        net
    );
}

/// The PDF is the same twice, and the JSON document says what the quote says.
async fn papers_agree(shop: &Shop, number: &str, issued: &serde_json::Value) {
    let path = format!("/v1/quotes/{number}/revisions/1/document");
    let pdf = |path: String| {
        let request = shop
            .request(Method::GET, &path)
            .header("accept", "application/pdf");
        async move {
            let response = request.send().await.unwrap();
            assert_eq!(response.headers()["content-type"], "application/pdf");
            let digest = response.headers().get("repr-digest").cloned();
            (digest, response.bytes().await.unwrap())
        }
    };
    let (first, second) = (pdf(path.clone()).await, pdf(path.clone()).await);
    assert!(first.1.starts_with(b"%PDF-") && first == second);
    kept_with_its_digest(shop, number, &first).await;
    let offer = read(
        shop.request(Method::GET, &format!("{path}?format=json"))
            .send()
            .await
            .unwrap(),
        StatusCode::OK,
    )
    .await;
    assert_eq!(offer["gross"], issued["gross"]["amount"]);
    assert_eq!(offer["lines"].as_array().unwrap().len(), 6);
    let text = offer.to_string();
    for secret in ["build_up", "overhead", "markup", "crew", "hours"] {
        assert!(
            !text.contains(secret),
            "the customer's paper speaks of {secret}"
        );
    }
}

/// The digest of the paper goes with it (RFC 9530), and stands in the audit trail, once.
async fn kept_with_its_digest(
    shop: &Shop,
    number: &str,
    (digest, content): &(Option<HeaderValue>, Bytes),
) {
    let hash = Sha256::digest(content);
    let wanted = format!("sha-256=:{}:", STANDARD.encode(hash));
    assert_eq!(digest.as_ref().unwrap(), wanted.as_str());
    let trail = shop.get("/v1/audit?deed=quote_printed").await;
    let hex: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
    let entries = trail["items"].as_array().unwrap();
    assert_eq!(entries.len(), 1, "{trail}");
    assert_eq!(entries[0]["subject"]["id"], number);
    assert_eq!(entries[0]["detail"]["sha256"], hex);
}

pub async fn an_empty_shop_is_told_everything_it_lacks(shop: Shop) {
    let body = json!({"manifolds": [schedule()[0]]});
    let problem = shop
        .post("/v1/estimates", &body, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
    let errors = problem["errors"].as_array().unwrap();
    let count = |code: &str| errors.iter().filter(|error| error["code"] == code).count();
    assert_eq!(
        (
            count("missing_shop"),
            count("missing_price_list"),
            count("missing_setting")
        ),
        (1, 1, 1)
    );
    // Tube of two sizes, cap, filler, consumables; fifteen operations of a formed header.
    assert_eq!(
        (count("missing_price"), count("missing_operation")),
        (5, 15)
    );
    assert!(
        errors
            .iter()
            .any(|error| error["detail"].as_str().unwrap().contains("b88-l-2"))
    );
}

pub async fn what_cannot_be_built_is_not_quoted(shop: Shop) {
    shop.set_up().await;
    let problem = shop
        .post(
            "/v1/quotes",
            &quote_of(&schedule()),
            StatusCode::UNPROCESSABLE_ENTITY,
        )
        .await;
    let errors = problem["errors"].as_array().unwrap();
    assert!(
        errors.iter().all(|error| error["pointer"]
            .as_str()
            .unwrap()
            .starts_with("/manifolds/6/")),
        "{problem}"
    );
    assert!(errors.iter().any(|error| {
        error["detail"]
            .as_str()
            .unwrap()
            .contains("branch-intrusion")
    }));
    assert_eq!(shop.get("/v1/quotes").await["items"], json!([]));
    // Faults of the request itself are all named, too.
    let mut wrong = quote_of(&schedule()[..2]);
    wrong["projekt"] = json!("x");
    wrong["manifolds"][0]["run"]["tube"] = json!("b88-l-7");
    wrong["manifolds"][1]["outlets"][0]["pitch"] = json!(6);
    wrong["manifolds"][1]["design_pressure"] = json!("-5 psi");
    let problem = shop
        .post("/v1/quotes", &wrong, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
    let pointers: Vec<_> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["pointer"].as_str().unwrap().to_owned())
        .collect();
    for pointer in [
        "/projekt",
        "/manifolds/0/run/tube",
        "/manifolds/1/outlets/0/pitch",
        "/manifolds/1/design_pressure",
    ] {
        assert!(
            pointers.iter().any(|found| found == pointer),
            "{pointer} is not among {pointers:?}"
        );
    }
    // No number was used up by all that.
    assert!(shop.draft(1).await.ends_with("-0001"));
}
