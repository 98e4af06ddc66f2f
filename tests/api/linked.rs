//! What spreadsheets read by a link: figures, papers and totals, as plain HTTP. LibreOffice does so in
//! `tests/outside/check_formulas.py`.

use super::harness::{ACCOUNT, CHECK, ESTIMATE, TestServer, header, problem};
use super::quotes::{issued_quote, ok};
use jiff::ToSpan;
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

/// A link to something of a quote: its address, and what is kept of it.
async fn link(server: &TestServer, quote: &str, opens: &str) -> (String, Value) {
    let path = format!("{quote}/links");
    let made = server
        .request_as(Method::POST, &path, ACCOUNT)
        .json(&json!({"opens": opens, "label": "Month-end sheet"}));
    let made = ok(made).await;
    (
        made["path"].as_str().unwrap().to_owned(),
        made["link"].clone(),
    )
}

async fn text(server: &TestServer, path: &str) -> String {
    let answer = server.get(path).await;
    assert_eq!(answer.status(), StatusCode::OK, "{path}");
    assert_eq!(header(&answer, "content-type"), "text/plain; charset=utf-8");
    assert_eq!(header(&answer, "cache-control"), "no-store");
    assert_eq!(header(&answer, "referrer-policy"), "no-referrer");
    answer.text().await.unwrap()
}

#[tokio::test]
async fn every_figure_of_a_quote_stands_alone_for_a_cell() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, kept) = link(&server, &quote, "total").await;
    assert!(path.ends_with("/total"), "{path}");
    assert_eq!(kept["purpose"], "quote_total");
    assert_eq!(kept["revision"], Value::Null, "it follows the quote");
    let shown = ok(server.admin(Method::GET, &quote)).await;
    // Nothing follows the figure: a line end would keep the cell from being a number.
    assert_eq!(text(&server, &path).await, shown["gross"]["amount"]);
    for figure in ["net", "tax", "gross"] {
        let told = text(&server, &format!("{path}/{figure}")).await;
        assert_eq!(told, shown[figure]["amount"], "{figure}");
    }
    for (figure, told) in [
        ("currency", shown["gross"]["currency"].as_str().unwrap()),
        ("number", shown["number"].as_str().unwrap()),
        ("revision", "1"),
        ("state", "issued"),
        ("issued_on", shown["issued_on"].as_str().unwrap()),
        ("valid_until", shown["valid_until"].as_str().unwrap()),
        ("accepted_on", ""),
        ("po_number", ""),
    ] {
        assert_eq!(
            text(&server, &format!("{path}/{figure}")).await,
            told,
            "{figure}"
        );
    }
    let unknown = problem(
        server.get(&format!("{path}/profit")).await,
        StatusCode::NOT_FOUND,
        "not-found",
    )
    .await;
    assert!(
        unknown["detail"]
            .as_str()
            .unwrap()
            .contains("gross, net, tax")
    );
    let token = path.split('/').nth(2).unwrap();
    assert!(!unknown.to_string().contains(token), "{unknown}");
}

#[tokio::test]
async fn the_total_follows_the_quote_unless_a_revision_is_named() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (follows, _) = link(&server, &quote, "total").await;
    let fixed = server
        .request_as(Method::POST, &format!("{quote}/links"), ACCOUNT)
        .json(&json!({"opens": "total", "revision": 1}));
    let fixed = ok(fixed).await["path"].as_str().unwrap().to_owned();
    ok(server.admin(Method::POST, &format!("{quote}/revisions"))).await;
    assert_eq!(text(&server, &format!("{follows}/revision")).await, "1");
    ok(server.admin(Method::POST, &format!("{quote}/issue"))).await;
    assert_eq!(text(&server, &format!("{follows}/revision")).await, "2");
    assert_eq!(text(&server, &format!("{follows}/state")).await, "issued");
    assert_eq!(text(&server, &format!("{fixed}/revision")).await, "1");
    assert_eq!(text(&server, &format!("{fixed}/state")).await, "superseded");
}

#[tokio::test]
async fn a_document_opens_in_every_form_and_is_counted() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, kept) = link(&server, &quote, "document").await;
    for (form, media) in [
        ("pdf", "application/pdf"),
        ("html", "text/html; charset=utf-8"),
        ("ubl", "application/xml; charset=utf-8"),
        ("json", "application/json; charset=utf-8"),
        (
            "xlsx",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        ),
    ] {
        let answer = server.get(&format!("{path}?format={form}")).await;
        assert_eq!(answer.status(), StatusCode::OK, "{form}");
        assert_eq!(header(&answer, "content-type"), media);
        assert_eq!(header(&answer, "cache-control"), "no-store");
    }
    let head = server.request(Method::HEAD, &path).send().await.unwrap();
    assert_eq!(head.status(), StatusCode::OK);
    let kept = format!("/v1/links/{}", kept["id"].as_str().unwrap());
    let events = ok(server.admin(Method::GET, &kept)).await["events"].clone();
    assert_eq!(events.as_array().unwrap().len(), 5, "HEAD fetches nothing");
}

#[tokio::test]
async fn totals_open_as_a_sheet_in_both_manners() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let made = server.request_as(Method::POST, "/v1/links", ACCOUNT);
    let made = ok(made).await;
    assert_eq!(made["link"]["purpose"], "totals");
    let path = made["path"].as_str().unwrap();
    assert_eq!(made["url"], format!("https://quotes.example.com{path}"));
    let plain = server.get(path).await;
    assert!(header(&plain, "content-type").starts_with("text/csv"));
    assert_eq!(header(&plain, "cache-control"), "no-store");
    let plain = plain.text().await.unwrap();
    let by_key = server
        .request_as(Method::GET, "/v1/quote-totals?format=csv", ACCOUNT)
        .send();
    assert_eq!(plain, by_key.await.unwrap().text().await.unwrap());
    let commas = server
        .get(&format!("{path}?decimal=comma&state=issued"))
        .await;
    let commas = commas.text().await.unwrap();
    assert!(commas.starts_with("\u{feff}number;revision;"), "{commas}");
    let second = |text: &str| text.lines().nth(1).unwrap().to_owned();
    let net = second(&plain).split(',').nth(6).unwrap().replace('.', ",");
    assert_eq!(second(&commas).split(';').nth(6).unwrap(), net);
    let none = server.get(&format!("{path}?state=accepted")).await;
    assert_eq!(none.text().await.unwrap().lines().count(), 1);
    let wrong = server.get(&format!("{path}?limit=3")).await;
    problem(wrong, StatusCode::BAD_REQUEST, "invalid-query").await;
}

#[tokio::test]
async fn a_token_opens_its_own_thing_while_it_lasts() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (total, kept) = link(&server, &quote, "total").await;
    let token = total.split('/').nth(2).unwrap();
    for other in ["", "/document", "/totals", "/quote.pdf"] {
        let answer = server.get(&format!("/q/{token}{other}")).await;
        assert_eq!(answer.status(), StatusCode::NOT_FOUND, "{other}");
    }
    let forged = server
        .request(Method::POST, &format!("/q/{token}/accept"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body("name=Jo&agree=yes");
    assert_eq!(forged.send().await.unwrap().status(), StatusCode::NOT_FOUND);
    // As LibreOffice asks before it reads: without credentials, and for the head alone.
    let options = server
        .request(Method::OPTIONS, &total)
        .send()
        .await
        .unwrap();
    assert!(options.status().is_success(), "{}", options.status());
    let head = server.request(Method::HEAD, &total).send().await.unwrap();
    assert_eq!(head.status(), StatusCode::OK);
    let id = kept["id"].as_str().unwrap();
    let revoke = server.request_as(Method::POST, &format!("/v1/links/{id}/revoke"), ACCOUNT);
    assert_eq!(ok(revoke).await["state"], "revoked");
    problem(server.get(&total).await, StatusCode::GONE, "link-ended").await;
    let (total, _) = link(&server, &quote, "total").await;
    // The quote's last day passes, and its figures are still read; then the link's does.
    let pass = |days: i64| *server.now.lock().unwrap() += (days * 24).hours();
    pass(31);
    assert_eq!(text(&server, &format!("{total}/state")).await, "expired");
    pass(40);
    problem(server.get(&total).await, StatusCode::GONE, "link-ended").await;
}

#[tokio::test]
async fn accounting_makes_and_revokes_only_what_is_read() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let links = format!("{quote}/links");
    let page = server
        .request_as(Method::POST, &links, ACCOUNT)
        .json(&json!({"opens": "page"}));
    problem(
        page.send().await.unwrap(),
        StatusCode::FORBIDDEN,
        "missing-scope",
    )
    .await;
    let page = ok(server.request_as(Method::POST, &links, ESTIMATE)).await;
    let id = page["link"]["id"].as_str().unwrap();
    let revoke = format!("/v1/links/{id}/revoke");
    let refused = server.request_as(Method::POST, &revoke, ACCOUNT).send();
    problem(refused.await.unwrap(), StatusCode::NOT_FOUND, "not-found").await;
    for key in [CHECK, ESTIMATE] {
        let totals = server.request_as(Method::POST, "/v1/links", key).send();
        problem(
            totals.await.unwrap(),
            StatusCode::FORBIDDEN,
            "missing-scope",
        )
        .await;
    }
    link(&server, &quote, "document").await;
    let all = ok(server.request_as(Method::GET, "/v1/links?limit=1", ACCOUNT)).await;
    assert_eq!(all["items"][0]["purpose"], "quote_page");
    let next = all["next"].as_str().unwrap();
    let rest = ok(server.request_as(Method::GET, next, ACCOUNT)).await;
    assert_eq!(rest["items"][0]["purpose"], "quote_document");
    assert_eq!(rest["next"], Value::Null);
    let draft = format!("{quote}/copy");
    let draft = ok(server.admin(Method::POST, &draft)).await;
    let path = format!("/v1/quotes/{}/links", draft["number"].as_str().unwrap());
    let early = server
        .request_as(Method::POST, &path, ACCOUNT)
        .json(&json!({"opens": "total"}));
    problem(
        early.send().await.unwrap(),
        StatusCode::CONFLICT,
        "conflict",
    )
    .await;
}
