//! The customer's page, as plain HTTP. In a browser it is driven by `tests/outside/drive_page.mjs`.

use super::harness::{ACCOUNT, TestServer, header, problem};
use super::quotes::{issued_quote, ok};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use jiff::ToSpan;
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

/// A link to the current revision of the quote: its page, and what is kept of it.
async fn link(server: &TestServer, quote: &str) -> (String, Value) {
    let made = ok(server.admin(Method::POST, &format!("{quote}/links"))).await;
    (
        made["path"].as_str().unwrap().to_owned(),
        made["link"].clone(),
    )
}

async fn send(server: &TestServer, path: &str, form: &[(&str, &str)]) -> Response {
    server
        .request(Method::POST, path)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(encoded(form))
        .send()
        .await
        .unwrap()
}

/// As a browser sends a form (WHATWG URL, section 5).
fn encoded(form: &[(&str, &str)]) -> String {
    let part = |text: &str| -> String {
        let byte = |byte: u8| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'_' | b'-' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        };
        text.bytes().map(byte).collect()
    };
    let pairs = form
        .iter()
        .map(|(name, value)| format!("{}={}", part(name), part(value)));
    pairs.collect::<Vec<_>>().join("&")
}

async fn page(server: &TestServer, path: &str, status: StatusCode) -> String {
    let answer = server.get(path).await;
    assert_eq!(answer.status(), status, "{path}");
    assert_eq!(header(&answer, "content-type"), "text/html; charset=utf-8");
    answer.text().await.unwrap()
}

async fn acts(server: &TestServer, link: &Value) -> Vec<String> {
    let path = format!("/v1/links/{}", link["id"].as_str().unwrap());
    let kept = ok(server.admin(Method::GET, &path)).await;
    let events = kept["events"].as_array().unwrap();
    let what = events
        .iter()
        .map(|event| event["what"].as_str().unwrap().to_owned());
    what.collect()
}

#[tokio::test]
async fn a_customer_accepts_and_everything_is_written_down() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, kept) = link(&server, &quote).await;
    let first = server.get(&path).await;
    assert_eq!(header(&first, "cache-control"), "no-store");
    assert_eq!(header(&first, "referrer-policy"), "no-referrer");
    let policy = header(&first, "content-security-policy").to_owned();
    assert!(policy.starts_with("default-src 'none'; style-src 'sha256-"));
    assert!(!policy.contains("unsafe"), "{policy}");
    let text = first.text().await.unwrap();
    assert!(text.contains("This quotation is open."), "{text}");
    assert!(!text.contains("http://") && !text.contains("https://") && !text.contains("<script"));
    let answer = [
        ("name", "Jo Tiller"),
        ("po_number", "PO-771"),
        ("agree", "yes"),
    ];
    let accepted = send(&server, &format!("{path}/accept"), &answer).await;
    assert_eq!(accepted.status(), StatusCode::SEE_OTHER);
    assert_eq!(header(&accepted, "location"), path);
    let shown = page(&server, &path, StatusCode::OK).await;
    assert!(shown.contains("Accepted by Jo Tiller on 25 November 2026"));
    assert!(
        !shown.contains("<form"),
        "there is nothing left to be answered"
    );
    let now = ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(
        (&now["state"], &now["po_number"]),
        (&json!("accepted"), &json!("PO-771"))
    );
    let again = send(&server, &format!("{path}/accept"), &answer).await;
    assert_eq!(again.status(), StatusCode::CONFLICT);
    let text = again.text().await.unwrap();
    assert!(
        text.contains("no longer open") && text.contains("Accepted by Jo Tiller"),
        "{text}"
    );
    let pdf = server.get(&format!("{path}/quote.pdf")).await;
    assert_eq!(header(&pdf, "content-type"), "application/pdf");
    assert_eq!(
        acts(&server, &kept).await,
        ["downloaded", "refused", "viewed", "accepted", "viewed"]
    );
}

/// The address of an issued quote with two alternates of one manifold and something on top.
async fn quote_with_options(server: &TestServer) -> String {
    issued_quote(server).await;
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let manifold = |mark: &str, build: &str| {
        let mut made = schedule[0].clone();
        made["mark"] = json!(mark);
        made["build"] = json!(build);
        made["outlets"][0]["pitch"] = json!("7 in");
        made["outlets"][0]["first"] = json!("6 in");
        made["run"]["ends"][1]["beyond"] = json!("6 in");
        made
    };
    let body = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]], "options": [
        {"name": "Tees & <braze>", "instead_of": "H-1", "manifold": manifold("T", "tees_brazed")},
        {"name": "Wider", "instead_of": "H-1", "manifold": manifold("W", "formed_outlets")},
        {"name": "Spare", "manifold": manifold("S", "formed_outlets")}]});
    let quote = ok(server.admin(Method::POST, "/v1/quotes").json(&body)).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    ok(server.admin(Method::POST, &format!("{path}/issue"))).await;
    path
}

#[tokio::test]
async fn a_customer_orders_with_options_and_reads_the_sum() {
    let server = TestServer::start().await;
    let quote = quote_with_options(&server).await;
    let (path, _) = link(&server, &quote).await;
    let offered = ok(server.admin(Method::GET, &quote)).await;
    let text = page(&server, &path, StatusCode::OK).await;
    // Columns of money say which.
    for head in [
        "Unit price, USD",
        "Amount, USD",
        "Net, USD",
        "With tax, USD",
    ] {
        assert!(text.contains(&format!(">{head}</th>")), "{head}");
    }
    assert_eq!(
        text.matches("type=\"radio\"").count(),
        3,
        "as quoted, and two others"
    );
    assert!(
        text.contains("value=\"Tees &amp; &lt;braze&gt;\""),
        "{text}"
    );
    // What was chosen is still chosen when something else must be mended.
    let unsigned = [("option", "Spare"), ("alternate-1", "Wider")];
    let mended = send(&server, &format!("{path}/accept"), &unsigned).await;
    assert_eq!(mended.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let text = mended.text().await.unwrap();
    assert!(text.contains("value=\"Spare\" checked") && text.contains("value=\"Wider\" checked"));
    assert!(
        text.contains("name=\"alternate-1\" value=\"\">"),
        "no longer as quoted"
    );
    let signed = [("name", "Jo Tiller"), ("agree", "yes")];
    for (wrong, said) in [
        (
            ("option", "Gold"),
            "One of the options is not in this quotation.",
        ),
        (
            ("option", "Wider"),
            "Choose one build only for each manifold.",
        ),
    ] {
        let form = [
            signed[0],
            signed[1],
            wrong,
            ("alternate-1", "Tees & <braze>"),
        ];
        let refused = send(&server, &format!("{path}/accept"), &form).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let text = refused.text().await.unwrap();
        assert!(
            text.contains(&format!("<a href=\"#accept-options\">{said}")),
            "{text}"
        );
        assert!(text.contains("id=\"accept-options\""), "{text}");
    }
    let form = [
        signed[0],
        signed[1],
        ("option", "Spare"),
        ("alternate-1", ""),
    ];
    let place = json!({"url": "https://books.example/in"});
    let hook = ok(server.admin(Method::POST, "/v1/webhooks").json(&place)).await;
    let accepted = send(&server, &format!("{path}/accept"), &form).await;
    assert_eq!(accepted.status(), StatusCode::SEE_OTHER);
    let now = ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(now["ordered"]["options"], json!(["Spare"]));
    let gross = now["ordered"]["totals"]["gross"]["amount"]
        .as_str()
        .unwrap();
    assert_ne!(now["gross"]["amount"], gross);
    assert_eq!(now["gross"], offered["gross"]);
    let number = quote.rsplit('/').next().unwrap();
    let trail = format!("/v1/audit?subject={number}&deed=quote_accepted");
    let entry = ok(server.admin(Method::GET, &trail)).await["items"][0].clone();
    assert_eq!(entry["detail"]["options"], json!(["Spare"]));
    assert_eq!(entry["detail"]["gross"], gross);
    let hook = hook["webhook"]["id"].as_str().unwrap();
    let sent = format!("/v1/webhooks/{hook}/deliveries");
    let notice = ok(server.admin(Method::GET, &sent)).await["items"][0].clone();
    assert_eq!(notice["event"], "quote.accepted");
    assert_eq!(notice["body"]["data"]["gross"], gross);
    let text = page(&server, &path, StatusCode::OK).await;
    assert!(text.contains("What was ordered"), "{text}");
    let plain = text.replace(',', "");
    assert!(
        plain.contains(&format!("<td class=\"number\">{gross}</td>")),
        "{text}"
    );
}

#[tokio::test]
async fn a_customer_declines_with_a_reason() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, kept) = link(&server, &quote).await;
    let hasty = send(&server, &format!("{path}/decline"), &[("reason", "Late")]).await;
    assert_eq!(hasty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(hasty.text().await.unwrap().contains(">Late</textarea>"));
    let answer = [("reason", "Too late for the job"), ("agree", "yes")];
    let declined = send(&server, &format!("{path}/decline"), &answer).await;
    assert_eq!(declined.status(), StatusCode::SEE_OTHER);
    let now = ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(
        (&now["state"], &now["reason"]),
        (&json!("declined"), &json!("Too late for the job"))
    );
    assert_eq!(acts(&server, &kept).await, ["declined"]);
}

#[tokio::test]
async fn what_is_wrong_with_an_answer_is_said_beside_the_fields() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, _) = link(&server, &quote).await;
    let huge = "x".repeat(1_000_000);
    let answer = [("po_number", huge.as_str())];
    let refused = send(&server, &format!("{path}/accept"), &answer).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let text = refused.text().await.unwrap();
    for said in [
        "Enter your name.",
        "Shorten the purchase order number",
        "Tick the box",
    ] {
        assert!(text.contains(said), "{said}");
    }
    // The message leads to each field that is marked.
    for field in ["accept-name", "accept-po_number", "accept-agree"] {
        assert!(text.contains(&format!("<a href=\"#{field}\">")), "{text}");
        let marked = text
            .split('<')
            .find(|tag| tag.starts_with("input") && tag.contains(&format!("id=\"{field}\"")));
        assert!(marked.unwrap().contains("aria-invalid"), "{marked:?}");
    }
    assert!(text.len() < 200_000, "{}", text.len());
    let unsure = send(&server, &format!("{path}/decline"), &[("reason", "a\u{1}")]).await;
    let text = unsure.text().await.unwrap();
    for link in [
        "<a href=\"#decline-agree\">Tick the box if you decline.</a>",
        "<a href=\"#decline-reason\">Reason: Take out characters",
    ] {
        assert!(text.contains(link), "{link}: {text}");
    }
    let script = [("name", "<script>alert(1)</script>\"'"), ("agree", "no")];
    let shown = send(&server, &format!("{path}/accept"), &script).await;
    let text = shown.text().await.unwrap();
    assert!(
        !text.contains("<script>") && text.contains("&lt;script&gt;"),
        "{text}"
    );
    // Two megabytes, and what is no form at all, are answered, too.
    let too_much = send(
        &server,
        &format!("{path}/accept"),
        &[("name", &"x".repeat(3_000_000))],
    )
    .await;
    assert_eq!(too_much.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let no_form = server
        .request(Method::POST, &format!("{path}/decline"))
        .json(&json!([]));
    assert_eq!(
        no_form.send().await.unwrap().status(),
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        ok(server.admin(Method::GET, &quote)).await["state"],
        "issued"
    );
}

#[tokio::test]
async fn late_revoked_and_unknown_links_are_answered_plainly() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, kept) = link(&server, &quote).await;
    let (revoked, other) = link(&server, &quote).await;
    let revoke = format!("/v1/links/{}/revoke", other["id"].as_str().unwrap());
    let state = ok(server.admin(Method::POST, &revoke)).await["state"].clone();
    assert_eq!(state, "revoked");
    let text = page(&server, &revoked, StatusCode::GONE).await;
    assert!(
        text.contains("revoked") && !text.contains("Schedule"),
        "{text}"
    );
    let answer = [("name", "Jo"), ("agree", "yes")];
    let taken = send(&server, &format!("{revoked}/accept"), &answer).await;
    assert_eq!(taken.status(), StatusCode::GONE);
    page(
        &server,
        "/q/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
        StatusCode::NOT_FOUND,
    )
    .await;
    page(
        &server,
        &format!("/q/{}", "A".repeat(5_000)),
        StatusCode::NOT_FOUND,
    )
    .await;
    // The quote expires first, and its page says so; then the link does.
    let pass = |days: i64| *server.now.lock().unwrap() += (days * 24).hours();
    pass(31);
    let text = page(&server, &path, StatusCode::OK).await;
    assert!(text.contains("has expired") && !text.contains("<form"));
    let late = send(&server, &format!("{path}/accept"), &answer).await;
    assert_eq!(late.status(), StatusCode::CONFLICT);
    pass(40);
    let text = page(&server, &path, StatusCode::GONE).await;
    assert!(
        text.contains("This link has expired") && text.contains("Fernhollow"),
        "{text}"
    );
    // The look after the end is told, too; and so are look and answer by the link that was taken back.
    assert_eq!(acts(&server, &kept).await, ["refused", "refused", "viewed"]);
    assert_eq!(acts(&server, &other).await, ["refused", "refused"]);
}

#[tokio::test]
async fn a_superseded_revision_cannot_be_accepted_with_its_old_link() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, _) = link(&server, &quote).await;
    ok(server.admin(Method::POST, &format!("{quote}/revisions"))).await;
    let draft = server.admin(Method::POST, &format!("{quote}/links"));
    problem(
        draft.send().await.unwrap(),
        StatusCode::CONFLICT,
        "conflict",
    )
    .await;
    ok(server.admin(Method::POST, &format!("{quote}/issue"))).await;
    let answer = [("name", "Jo"), ("agree", "yes")];
    let taken = send(&server, &format!("{path}/accept"), &answer).await;
    assert_eq!(taken.status(), StatusCode::CONFLICT);
    assert!(
        taken
            .text()
            .await
            .unwrap()
            .contains("A later revision has taken the place")
    );
    assert_eq!(
        ok(server.admin(Method::GET, &quote)).await["state"],
        "issued"
    );
}

#[tokio::test]
async fn links_are_made_within_bounds_and_by_those_who_may() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let address = format!("{quote}/links");
    for (body, status) in [
        (json!({"expires_on": "2026-11-24"}), 422),
        (json!({"expires_on": "2030-01-01"}), 422),
        (json!({"revision": 7}), 404),
        (json!({"expires_on": "2026-11-25", "label": "today"}), 201),
    ] {
        let made = server.admin(Method::POST, &address).json(&body);
        assert_eq!(made.send().await.unwrap().status(), status, "{body}");
    }
    let account = server.request(Method::POST, &address).bearer_auth(ACCOUNT);
    problem(
        account.send().await.unwrap(),
        StatusCode::FORBIDDEN,
        "missing-scope",
    )
    .await;
    let links = ok(server.admin(Method::GET, &address)).await;
    let items = links["items"].as_array().unwrap();
    assert_eq!(items.len(), 1);
    assert_eq!(items[0]["expires_at"], "2026-11-26T00:00:00Z");
    assert!(!links.to_string().contains("/q/"), "{links}");
}

#[tokio::test]
async fn the_paper_comes_as_a_page_too() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let paper = server.admin(
        Method::GET,
        &format!("{quote}/revisions/1/document?format=html"),
    );
    let paper = paper.send().await.unwrap();
    assert_eq!(header(&paper, "content-type"), "text/html; charset=utf-8");
    assert!(header(&paper, "content-security-policy").contains("default-src 'none'"));
    let text = paper.text().await.unwrap();
    assert!(text.contains("Quotation Q-") && !text.contains("<form"));
}

#[tokio::test]
async fn drawings_are_frozen_as_the_shop_writes_its_figures() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let mut settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    settings["units"] = json!("metric");
    settings["decimal_mark"] = json!("comma");
    let put = server.admin(Method::PUT, "/v1/shop");
    ok(put.header("if-match", "*").json(&settings)).await;
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let body = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]]});
    let made = ok(server.admin(Method::POST, "/v1/quotes").json(&body)).await;
    let quote = format!("/v1/quotes/{}", made["number"].as_str().unwrap());
    ok(server.admin(Method::POST, &format!("{quote}/issue"))).await;
    let (path, _) = link(&server, &quote).await;
    let shown = page(&server, &path, StatusCode::OK).await;
    let shown = shown.replace("&#x2f;", "/");
    let picture = shown
        .split_once("src=\"data:image/svg+xml;base64,")
        .unwrap()
        .1;
    let picture = STANDARD.decode(picture.split('"').next().unwrap()).unwrap();
    let picture = String::from_utf8(picture).unwrap();
    assert!(shown.contains("5,2 bar at"), "{shown}");
    assert!(picture.contains("Design: 5,2 bar gauge at"), "{picture}");
    assert!(
        picture.contains(">101,6<") && !picture.contains(">101.6<"),
        "{picture}"
    );
    assert!(shown.contains("101,6 mm; "), "the words beside it: {shown}");
}

#[tokio::test]
async fn a_name_that_turns_text_round_or_cannot_be_seen_accepts_nothing() {
    let server = TestServer::start().await;
    let quote = issued_quote(&server).await;
    let (path, _) = link(&server, &quote).await;
    for name in ["Jo\u{202e}Tiller", "Jo\u{ffff}", "\u{200b}\u{2060}"] {
        let answer = [("name", name), ("agree", "yes")];
        let refused = send(&server, &format!("{path}/accept"), &answer).await;
        assert_eq!(
            refused.status(),
            StatusCode::UNPROCESSABLE_ENTITY,
            "{name:?}"
        );
    }
    let now = ok(server.admin(Method::GET, &quote)).await;
    assert_eq!(now["state"], "issued");
}
