//! The audit trail over HTTP: who is named for what, and what leaves no entry.

use super::harness::{ACCOUNT, TestServer, header, problem};
use super::quotes::{issued_quote, ok};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

async fn entries(server: &TestServer, query: &str) -> Vec<Value> {
    let path = format!("/v1/audit?limit=500{query}");
    let page = ok(server.admin(Method::GET, &path)).await;
    page["items"].as_array().unwrap().clone()
}

fn deeds(entries: &[Value]) -> Vec<&str> {
    let deeds = entries.iter().map(|entry| entry["deed"].as_str().unwrap());
    deeds.collect()
}

#[tokio::test]
async fn every_step_to_an_issued_quote_is_told_with_its_key() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let all = entries(&server, "").await;
    assert_eq!(
        deeds(&all),
        [
            "shop_set",
            "price_list_added",
            "price_items_replaced",
            "price_list_published",
            "labour_model_added",
            "labour_model_changed",
            "labour_model_published",
            "quote_created",
            "quote_issued",
        ]
    );
    for entry in &all {
        assert_eq!(entry["actor"]["kind"], "key");
        assert_eq!(entry["actor"]["label"], "key-admin");
        assert_eq!(entry["actor"]["scopes"], json!(["admin"]));
        assert_eq!(entry["at"], "2026-11-25T08:00:00.000000Z");
    }
    let number = quote.rsplit('/').next().unwrap();
    let issued = &all[8];
    assert_eq!(
        issued["subject"],
        json!({"kind": "quote", "id": number, "version": 1})
    );
    let written = ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(issued["detail"]["net"], written["net"]["amount"]);
    assert_eq!(all[1]["previous"], all[0]["hash"]);
    let of_quote = entries(&server, &format!("&subject={number}")).await;
    assert_eq!(deeds(&of_quote), ["quote_created", "quote_issued"]);
    let of_deed = entries(&server, "&deed=shop_set").await;
    assert_eq!(of_deed.len(), 1);
    assert!(entries(&server, "&to=2026-11-25").await.is_empty());
    assert_eq!(entries(&server, "&from=2026-11-25").await.len(), 9);
    let nobody = "&actor=0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e";
    assert!(entries(&server, nobody).await.is_empty());
    let verdict = ok(server.admin(Method::GET, "/v1/audit/verify")).await;
    assert_eq!(
        (&verdict["intact"], &verdict["entries"]),
        (&json!(true), &json!(9))
    );
    assert_eq!(verdict["head"]["hash"], issued["hash"]);
}

#[tokio::test]
async fn what_changes_nothing_leaves_no_entry() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let count = entries(&server, "").await.len();
    // A refused move, a trial, a look.
    let refused = server.admin(Method::POST, &format!("{quote}/issue"));
    problem(
        refused.send().await.unwrap(),
        StatusCode::CONFLICT,
        "wrong-state",
    )
    .await;
    ok(server.admin(Method::POST, &format!("{quote}/copy?validate_only=true"))).await;
    ok(server.admin(
        Method::POST,
        &format!("{quote}/revisions?validate_only=true"),
    ))
    .await;
    ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(entries(&server, "").await.len(), count);
    // Sent twice, done once.
    for _ in 0..2 {
        let withdraw = server
            .admin(Method::POST, &format!("{quote}/withdraw"))
            .header("idempotency-key", "withdraw-1");
        ok(withdraw).await;
    }
    let after = entries(&server, "").await;
    assert_eq!(after.len(), count + 1);
    assert_eq!(deeds(&after)[count], "quote_withdrawn");
}

#[tokio::test]
async fn a_copy_names_what_it_was_copied_from() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let copy = ok(server.admin(Method::POST, &format!("{quote}/copy"))).await;
    let copied = entries(&server, "&deed=quote_copied").await;
    assert_eq!(copied.len(), 1);
    assert_eq!(copied[0]["subject"]["id"], copy["number"]);
    let number = quote.rsplit('/').next().unwrap();
    assert_eq!(copied[0]["detail"]["copied_from"], format!("{number}/1"));
    // What was not copied says nothing of it.
    let created = entries(&server, "&deed=quote_created").await;
    assert!(created[0]["detail"].get("copied_from").is_none());
}

#[tokio::test]
async fn a_customer_who_accepts_by_a_link_is_who_acted() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let made = ok(server
        .admin(Method::POST, &format!("{quote}/links"))
        .json(&json!({"label": "R. Ashdown"})))
    .await;
    let page = made["path"].as_str().unwrap();
    let sent = server
        .request(Method::POST, &format!("{page}/accept"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body("name=Ada&po_number=PO-9&agree=yes");
    assert_eq!(sent.send().await.unwrap().status(), StatusCode::SEE_OTHER);
    let all = entries(&server, "").await;
    let accepted = all.last().unwrap();
    assert_eq!(accepted["deed"], "quote_accepted");
    assert_eq!(
        accepted["actor"],
        json!({"kind": "link", "id": made["link"]["id"], "label": "R. Ashdown", "scopes": []})
    );
    assert_eq!(accepted["detail"]["accepted_by"], "Ada");
    assert_eq!(accepted["detail"]["po_number"], "PO-9");
}

#[tokio::test]
async fn the_day_that_expires_a_quote_is_no_deed_of_who_looks() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    *server.now.lock().unwrap() = "2027-11-25T08:00:00Z".parse().unwrap();
    ok(server.admin(Method::GET, "/v1/quotes")).await;
    let all = entries(&server, "&deed=quote_expired").await;
    assert_eq!(all.len(), 1);
    assert_eq!(all[0]["actor"]["kind"], "program");
    assert_eq!(all[0]["actor"]["label"], "expiry");
}

#[tokio::test]
async fn no_secret_is_ever_written_down() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let link = ok(server.admin(Method::POST, &format!("{quote}/links"))).await;
    let token = link["path"].as_str().unwrap().trim_start_matches("/q/");
    let hook = json!({"url": "https://books.example/in/sesame?word=sesame"});
    let made = ok(server.admin(Method::POST, "/v1/webhooks").json(&hook)).await;
    let place = format!("/v1/webhooks/{}", made["webhook"]["id"].as_str().unwrap());
    let turned = ok(server.admin(Method::POST, &format!("{place}/rotate"))).await;
    let told = json!(entries(&server, "").await).to_string();
    for secret in [
        token,
        made["secret"].as_str().unwrap(),
        turned["secret"].as_str().unwrap(),
        "sesame",
    ] {
        assert!(!secret.is_empty() && !told.contains(secret), "{secret}");
    }
    assert!(told.contains("webhook_secret_rotated") && told.contains("books.example"));
}

#[tokio::test]
async fn settings_are_told_by_what_was_and_what_is() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let mut settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    settings["letterhead"]["name"] = json!("Rill and Sons");
    let put = server
        .admin(Method::PUT, "/v1/shop")
        .header("if-match", "*");
    ok(put.json(&settings)).await;
    let set = entries(&server, "&deed=shop_set").await;
    let changed = set[1]["detail"]["changed"].as_array().unwrap();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert_eq!(changed[0]["at"], "/letterhead/name");
    assert_eq!(changed[0]["after"], "Rill and Sons");
    assert_eq!(set[1]["subject"]["version"], 2);
}

#[tokio::test]
async fn the_sheet_holds_the_very_text_that_was_hashed() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let odd = json!({"name": "=1+1"});
    ok(server.admin(Method::POST, "/v1/customers").json(&odd)).await;
    let (mut path, mut hashes) = ("/v1/audit?format=csv&limit=4".to_owned(), Vec::new());
    loop {
        let answer = server.admin(Method::GET, &path).send().await.unwrap();
        let link = header(&answer, "link").to_owned();
        let text = answer.text().await.unwrap();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        for row in reader.records() {
            let row = row.unwrap();
            assert!(row[12].starts_with('{'));
            hashes.push((row[12].to_owned(), row[11].to_owned()));
        }
        let next = link
            .strip_prefix('<')
            .and_then(|rest| rest.split('>').next());
        match next {
            Some(next) => path = next.to_owned(),
            None => break,
        }
    }
    let all = entries(&server, "").await;
    assert_eq!(hashes.len(), all.len());
    for ((hashed, hash), mut entry) in hashes.into_iter().zip(all) {
        assert_eq!(entry["hash"], hash);
        entry.as_object_mut().unwrap().remove("hash");
        let said: Value = serde_json::from_str(&hashed).unwrap();
        assert_eq!(said, entry);
    }
}

#[tokio::test]
async fn only_the_shop_itself_reads_it() {
    let server = TestServer::start().await;
    for path in ["/v1/audit", "/v1/audit/verify"] {
        let asked = server.request(Method::GET, path).bearer_auth(ACCOUNT);
        let refused = asked.send().await.unwrap();
        problem(refused, StatusCode::FORBIDDEN, "missing-scope").await;
    }
    let empty = ok(server.admin(Method::GET, "/v1/audit/verify")).await;
    assert_eq!(
        empty,
        json!({"intact": true, "entries": 0, "head": null, "flaw": null})
    );
    let odd = server.admin(Method::GET, "/v1/audit/verify?kept=yesterday");
    let answer = problem(
        odd.send().await.unwrap(),
        StatusCode::BAD_REQUEST,
        "invalid-query",
    )
    .await;
    assert!(answer.to_string().contains("NUMBER") || answer.to_string().contains("colon"));
    let kept = format!("/v1/audit/verify?kept=3:{}", "ab".repeat(32));
    let missing = ok(server.admin(Method::GET, &kept)).await;
    assert_eq!(missing["intact"], false);
    assert_eq!(missing["flaw"]["number"], 1);
}
