//! Quotes as days pass, and who may see what. The life of quotes on real databases is told in
//! `tests/job`.

use super::harness::{ACCOUNT, CHECK, TestServer, empty_shop, problem};
use jiff::ToSpan;
use jiff::tz::TimeZone;
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};
use std::sync::{Arc, Mutex};

pub async fn ok(request: reqwest::RequestBuilder) -> Value {
    let response = request.send().await.unwrap();
    let status = response.status();
    let text = response.text().await.unwrap();
    assert!(status.is_success(), "{status}: {text}");
    serde_json::from_str(&text).unwrap()
}

/// The demo's shop, and a quote issued in it; the quote's address.
pub async fn issued_quote(server: &TestServer) -> String {
    let settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    ok(server.admin(Method::PUT, "/v1/shop").json(&settings)).await;
    for (place, part, sheet) in [
        (
            "/v1/price-lists",
            "items",
            include_str!("../../src/demo/data/prices.csv"),
        ),
        (
            "/v1/labour-models",
            "times",
            include_str!("../../src/demo/data/labour.csv"),
        ),
    ] {
        let mut head = json!({"name": "D", "effective_on": "2026-01-01"});
        if part == "items" {
            head["supplier"] = json!("S");
            head["currency"] = json!("USD");
        }
        let made = ok(server.admin(Method::POST, place).json(&head)).await;
        let address = format!("{place}/{}", made["id"].as_str().unwrap());
        let put = server
            .admin(Method::PUT, &format!("{address}/{part}"))
            .header("content-type", "text/csv")
            .header("if-match", "*")
            .body(sheet);
        ok(put).await;
        ok(server.admin(Method::POST, &format!("{address}/publish"))).await;
    }
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let body = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]]});
    let quote = ok(server.admin(Method::POST, "/v1/quotes").json(&body)).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    ok(server.admin(Method::POST, &format!("{path}/issue"))).await;
    path
}

#[tokio::test]
async fn a_quote_expires_by_the_day_and_nobody_has_to_write_it_down() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let state = async || ok(server.admin(Method::GET, &path)).await["state"].clone();
    let quote = ok(server.admin(Method::GET, &path)).await;
    assert_eq!(quote["valid_until"], "2026-12-25");
    let pass = |days: i64| {
        let mut now = server.now.lock().unwrap();
        *now += (days * 24).hours();
    };
    pass(30);
    assert_eq!(state().await, "issued");
    pass(1);
    assert_eq!(state().await, "expired");
    let late = server
        .admin(Method::POST, &format!("{path}/accept"))
        .json(&json!({"name": "A"}));
    let answer = problem(
        late.send().await.unwrap(),
        StatusCode::CONFLICT,
        "wrong-state",
    )
    .await;
    assert!(
        answer["detail"].as_str().unwrap().contains("expired"),
        "{answer}"
    );
    // The books know it, too, although no one asked for the quote since.
    let totals = ok(server.admin(Method::GET, "/v1/quote-totals")).await;
    assert_eq!(totals["items"][0]["state"], "expired");
    let listed = ok(server.admin(Method::GET, "/v1/quotes?state=expired")).await;
    assert_eq!(listed["items"].as_array().unwrap().len(), 1);
    // It can be offered again.
    let again = ok(server.admin(Method::POST, &format!("{path}/revisions"))).await;
    assert_eq!(
        (&again["revision"], &again["state"]),
        (&json!(2), &json!("draft"))
    );
}

#[tokio::test]
async fn keys_see_what_their_scope_allows() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    for (key, path, allowed) in [
        (ACCOUNT, "/v1/quote-totals", true),
        (ACCOUNT, path.as_str(), true),
        (ACCOUNT, "/v1/quotes", true),
        (CHECK, "/v1/quote-totals", false),
        (CHECK, path.as_str(), false),
    ] {
        let answer = server
            .request(Method::GET, path)
            .bearer_auth(key)
            .send()
            .await
            .unwrap();
        let wanted = if allowed {
            StatusCode::OK
        } else {
            StatusCode::FORBIDDEN
        };
        assert_eq!(answer.status(), wanted, "{path}");
    }
    let issue = server
        .request(Method::POST, &format!("{path}/withdraw"))
        .bearer_auth(ACCOUNT);
    problem(
        issue.send().await.unwrap(),
        StatusCode::FORBIDDEN,
        "missing-scope",
    )
    .await;
}

#[tokio::test]
async fn a_paper_is_offered_in_the_forms_there_are() {
    let server = TestServer::start().await;
    let path = format!("{}/revisions/1/document", issued_quote(&server).await);
    let other = server
        .admin(Method::GET, &path)
        .header("accept", "image/png");
    let answer = problem(
        other.send().await.unwrap(),
        StatusCode::NOT_ACCEPTABLE,
        "not-acceptable",
    )
    .await;
    assert!(
        answer["detail"]
            .as_str()
            .unwrap()
            .contains("application/pdf"),
        "{answer}"
    );
    let wrong = server.admin(Method::GET, &format!("{path}?format=docx"));
    problem(
        wrong.send().await.unwrap(),
        StatusCode::BAD_REQUEST,
        "invalid-query",
    )
    .await;
    let none = server.admin(Method::GET, &path.replace("revisions/1", "revisions/9"));
    problem(
        none.send().await.unwrap(),
        StatusCode::NOT_FOUND,
        "not-found",
    )
    .await;
    let paper = server.admin(Method::GET, &path).send().await.unwrap();
    let version = paper.headers()["etag"].to_str().unwrap().to_owned();
    assert_eq!(paper.headers()["content-type"], "application/pdf");
    let again = server
        .admin(Method::GET, &path)
        .header("if-none-match", version);
    assert_eq!(
        again.send().await.unwrap().status(),
        StatusCode::NOT_MODIFIED
    );
}

#[tokio::test]
async fn revisions_are_held_against_each_other_and_copied() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let first = ok(server.admin(Method::GET, &path)).await;
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let (mut changed, added) = (schedule[0].clone(), &schedule[1]);
    changed["quantity"] = json!(5);
    let body =
        json!({"customer": {"name": "C"}, "project": "P, east", "manifolds": [changed, added]});
    ok(server
        .admin(Method::POST, &format!("{path}/revisions"))
        .json(&body))
    .await;
    let found = ok(server.admin(Method::GET, &format!("{path}/revisions/2/changes"))).await;
    let texts: Vec<&str> = found["changes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|change| change["text"].as_str().unwrap())
        .collect();
    assert!(texts.contains(&"project was P, is P, east"), "{texts:?}");
    assert!(
        texts
            .iter()
            .any(|text| text.ends_with("quantity was 2, is 5")),
        "{texts:?}"
    );
    assert!(
        texts
            .iter()
            .any(|text| text.starts_with("manifold added: ")),
        "{texts:?}"
    );
    let cents = |amount: &Value| -> i64 {
        let text = amount["amount"].as_str().unwrap();
        text.replace('.', "").parse().unwrap()
    };
    let gross = &found["gross"];
    assert_eq!(
        cents(&gross["after"]) - cents(&gross["before"]),
        cents(&gross["difference"])
    );
    let none = ok(server.admin(Method::GET, &format!("{path}/revisions/1/changes"))).await;
    assert_eq!(none["changes"], json!([]));
    let copy = ok(server
        .admin(Method::POST, &format!("{path}/copy"))
        .json(&json!({"revision": 1, "customer": {"name": "Other"}})))
    .await;
    assert_ne!(copy["number"], first["number"]);
    assert_eq!(
        (&copy["state"], &copy["customer"]["name"], &copy["project"]),
        (&json!("draft"), &json!("Other"), &json!("P"))
    );
    assert_eq!(copy["gross"], first["gross"]);
    let listed = ok(server.admin(Method::GET, "/v1/quotes?text=other&least_gross=1")).await;
    assert_eq!(listed["items"].as_array().unwrap().len(), 1);
    assert_eq!(listed["items"][0]["number"], copy["number"]);
}

/// Texts of the changes of the second revision of a quote that was issued as `first` and revised to `second`.
async fn told(server: &TestServer, first: &Value, second: &Value) -> Vec<String> {
    let quote = ok(server.admin(Method::POST, "/v1/quotes").json(first)).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    ok(server.admin(Method::POST, &format!("{path}/issue"))).await;
    let revise = server.admin(Method::POST, &format!("{path}/revisions"));
    ok(revise.json(second)).await;
    let found = ok(server.admin(Method::GET, &format!("{path}/revisions/2/changes"))).await;
    let changes = found["changes"].as_array().unwrap().iter();
    let texts = changes.map(|change| change["text"].as_str().unwrap().to_owned());
    texts.collect()
}

fn full_quote() -> Value {
    json!({
        "customer": {"name": "C", "contact": "Jo", "address": ["4 Quay Street", "Millport"], "email": "jo@example.com"},
        "project": "P", "note": "Two weeks.", "valid_until": "2026-12-20",
        "manifolds": [{"mark": "H-1", "quantity": 2, "service": "hydronic_heating", "design_pressure": "75 psi",
            "design_temperature": "180 degF", "build": "formed_outlets",
            "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
            "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}],
        "options": [{"name": "Spare", "manifold": {"mark": "S-1", "service": "hydronic_heating",
            "design_pressure": "75 psi", "design_temperature": "180 degF", "build": "formed_outlets",
            "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
            "outlets": [{"tube": "b88-l-1", "count": 2, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}}]
    })
}

/// Puts a value at a pointer whose last member need not be there.
fn put(body: &mut Value, pointer: &str, value: Value) {
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    let parent = body.pointer_mut(parent).unwrap();
    match parent {
        Value::Array(list) => list[name.parse::<usize>().unwrap()] = value,
        object => object[name] = value,
    }
}

#[tokio::test]
async fn whatever_alone_is_asked_otherwise_is_told() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let first = full_quote();
    assert_eq!(told(&server, &first, &first).await, [""; 0]);
    // The usual last day, which an issue has and a draft has not yet, is no change.
    let mut usual = first.clone();
    put(&mut usual, "/valid_until", json!(null));
    assert_eq!(told(&server, &usual, &usual).await, [""; 0]);
    for (pointer, value, wanted) in [
        ("/customer/name", json!("D"), "customer was C, is D"),
        (
            "/customer/contact",
            json!("Al"),
            "customer's contact was Jo, is Al",
        ),
        (
            "/customer/address",
            json!(["5 Quay Street", "Millport"]),
            "customer's address was 4 Quay Street, Millport, is 5 Quay Street, Millport",
        ),
        (
            "/customer/email",
            json!(null),
            "customer's email taken out: jo@example.com",
        ),
        ("/project", json!("Q"), "project was P, is Q"),
        ("/note", json!("Three."), "note was Two weeks., is Three."),
        (
            "/valid_until",
            json!("2026-12-31"),
            "valid until was 2026-12-20, is 2026-12-31",
        ),
        (
            "/valid_until",
            json!(null),
            "valid until was 2026-12-20, is 30 days from the day of issue",
        ),
        (
            "/presentation",
            json!("lump_sum"),
            "price shown was itemised, is one price for the schedule",
        ),
        (
            "/manifolds/0/quantity",
            json!(3),
            "H-1: quantity was 2, is 3",
        ),
        (
            "/options/0/manifold/mark",
            json!("S-2"),
            "option Spare: mark was S-1, is S-2",
        ),
        (
            "/options/0/manifold/outlets/0/clock",
            json!("45 deg"),
            "option Spare: clock of outlets 1 and 2 was 0 deg, is 45 deg",
        ),
    ] {
        let mut second = first.clone();
        put(&mut second, pointer, value);
        let told = told(&server, &first, &second).await;
        assert!(
            told.iter().any(|text| text == wanted),
            "{wanted}: {told:#?}"
        );
    }
}

#[tokio::test]
async fn whatever_alone_of_a_manifold_is_asked_otherwise_is_told() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let first = full_quote();
    for (pointer, value, wanted) in [
        ("service", json!("chilled_water"), "particular was service "),
        (
            "design_pressure",
            json!("80 psi"),
            "particular was design 75 psi at 180 °F, is design 80 psi at 180 °F",
        ),
        (
            "design_pressure",
            json!("75.25 psi"),
            "design pressure was 75 psi, is 75.25 psi",
        ),
        (
            "design_temperature",
            json!("170 degF"),
            "particular was design 75 psi at 180 °F, is design 75 psi at 170 °F",
        ),
        (
            "design_temperature",
            json!("180.25 degF"),
            "design temperature was 180 °F, is 180.25 °F",
        ),
        (
            "build",
            json!("tees_brazed"),
            "build was collars formed from the run, branches brazed in, is built up from tees, brazed",
        ),
        (
            "filler_wire",
            json!("0.125 in"),
            "filler wire added: 0.125 in",
        ),
        (
            "filler",
            json!("BCuP-5"),
            "particular was joints 7 brazed with BCuP-3, is joints 7 brazed with BCuP-5",
        ),
        (
            "supply",
            json!({"head": "10 ft"}),
            "supply added: a head of 10 ft, water, losses by tee factors",
        ),
        (
            "run/tube",
            json!("b88-k-2"),
            "particular was run 2 in type L, drawn, 33 in, is run 2 in type K, drawn, 33 in",
        ),
        (
            "run/ends/1/beyond",
            json!("6 in"),
            "particular was run 2 in type L, drawn, 33 in, is run 2 in type L, drawn, 35 in",
        ),
        (
            "run/ends/1/beyond",
            json!("4.02 in"),
            "run length was 33 in, is 33.02 in",
        ),
        (
            "run/ends/1/kind",
            json!("coupling"),
            "particular was ends capped / plain, is ends capped / coupling",
        ),
        (
            "run/ends/1/joins",
            json!("brass"),
            "metal joined at the ends was copper / copper, is copper / brass",
        ),
        (
            "outlets/0/clock",
            json!("90 deg"),
            "clock of outlets 1 to 6 was 0 deg, is 90 deg",
        ),
        (
            "outlets/0/stub",
            json!("6 in"),
            "stub of outlets 1 to 6 was 3 in, is 6 in",
        ),
        (
            "outlets/0/tube",
            json!("b88-l-0.75"),
            "tube of outlets 1 to 6 was 1 in type L, is 3/4 in type L",
        ),
        (
            "outlets/0/flow",
            json!("6 gpm"),
            "flow wanted of outlets 1 to 6 added: 6 gpm",
        ),
        (
            "outlets/0/cv",
            json!(2.5),
            "what is fed of outlets 1 to 6 added: Cv 2.5",
        ),
        (
            "outlets/0/loss_factor",
            json!(1.5),
            "loss factor of outlets 1 to 6 was 0, is 1.5",
        ),
        (
            "outlets/0/pilot",
            json!("0.87 in"),
            "pilot of outlets 1 to 6 added: 0.87 in",
        ),
        (
            "outlets/0/collar_height",
            json!("0.2 in"),
            "collar height of outlets 1 to 6 added: 0.2 in",
        ),
        (
            "outlets/0/joins",
            json!("brass"),
            "metal joined to the branch of outlets 1 to 6 was copper, is brass",
        ),
        (
            "outlets/0/pitch",
            json!("5.01 in"),
            "station of outlet 2 was 9 in, is 9.01 in",
        ),
        (
            "outlets/0/count",
            json!(7),
            "outlets added: 1 x 1 in type L, stub 3 in, turned 0 deg, at 34 in",
        ),
        (
            "outlets/0/count",
            json!(4),
            "outlets taken out: 2 x 1 in type L, stub 3 in, turned 0 deg, at 24 in and 29 in",
        ),
    ] {
        let mut second = first.clone();
        put(&mut second, &format!("/manifolds/0/{pointer}"), value);
        let told = told(&server, &first, &second).await;
        let wanted = format!("H-1: {wanted}");
        assert!(
            told.iter().any(|text| text.starts_with(&wanted)),
            "{wanted} is not in {told:#?}"
        );
        // What the particulars say is not said again.
        assert!(
            !told.iter().any(|text| text.starts_with("H-1: service was")),
            "{told:#?}"
        );
    }
}

#[tokio::test]
async fn a_move_is_made_on_the_version_that_was_read_or_on_any() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let copy = || async {
        let copy = ok(server.admin(Method::POST, &format!("{path}/copy"))).await;
        format!("/v1/quotes/{}", copy["number"].as_str().unwrap())
    };
    let issue = |path: &str, tag: &str| {
        server
            .admin(Method::POST, &format!("{path}/issue"))
            .header("if-match", tag)
    };
    // Any version, if there is one.
    let draft = copy().await;
    ok(issue(&draft, "*")).await;
    let nothing = issue("/v1/quotes/Q-0", "*").send().await.unwrap();
    problem(nothing, StatusCode::NOT_FOUND, "not-found").await;
    // The one that was read; by what it is now, and no longer by what it was.
    let draft = copy().await;
    let read = server.admin(Method::GET, &draft).send().await.unwrap();
    let tag = read.headers()["etag"].to_str().unwrap().to_owned();
    let issued = issue(&draft, &tag).send().await.unwrap();
    assert_eq!(issued.status(), StatusCode::OK);
    let now = issued.headers()["etag"].clone();
    let late = server
        .admin(Method::POST, &format!("{draft}/withdraw"))
        .header("if-match", &tag)
        .send()
        .await
        .unwrap();
    assert_eq!(late.headers()["etag"], now);
    problem(late, StatusCode::PRECONDITION_FAILED, "stale").await;
    let withdraw = server
        .admin(Method::POST, &format!("{draft}/withdraw"))
        .header("if-match", now);
    assert_eq!(ok(withdraw).await["state"], "withdrawn");
}

#[tokio::test]
async fn trying_a_revision_refuses_what_making_it_would() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let body = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]]});
    let attempt = |path: &str| {
        server
            .admin(
                Method::POST,
                &format!("{path}/revisions?validate_only=true"),
            )
            .header("if-match", "*")
            .json(&body)
    };
    assert_eq!(ok(attempt(&path)).await["state"], "draft");
    let nothing = attempt("/v1/quotes/Q-0").send().await.unwrap();
    problem(nothing, StatusCode::NOT_FOUND, "not-found").await;
    let accept = server
        .admin(Method::POST, &format!("{path}/accept"))
        .json(&json!({"name": "A. Buyer"}));
    ok(accept).await;
    let late = attempt(&path).send().await.unwrap();
    problem(late, StatusCode::CONFLICT, "wrong-state").await;
}

#[tokio::test]
async fn a_draft_whose_last_day_has_passed_is_not_issued() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let copy = ok(server.admin(Method::POST, &format!("{path}/copy"))).await;
    let draft = format!("/v1/quotes/{}", copy["number"].as_str().unwrap());
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    let body = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]],
        "valid_until": "2026-11-26"});
    let write = |body: &Value| {
        server
            .admin(Method::PUT, &draft)
            .header("if-match", "*")
            .json(body)
    };
    ok(write(&body)).await;
    *server.now.lock().unwrap() = "2026-11-27T08:00:00Z".parse().unwrap();
    let issue = || server.admin(Method::POST, &format!("{draft}/issue"));
    let late = problem(
        issue().send().await.unwrap(),
        StatusCode::CONFLICT,
        "conflict",
    )
    .await;
    assert!(late["detail"].as_str().unwrap().contains("2026-11-26"));
    let later = json!({"customer": {"name": "C"}, "project": "P", "manifolds": [schedule[0]],
        "valid_until": "2026-11-27"});
    ok(write(&later)).await;
    assert_eq!(ok(issue()).await["state"], "issued");
}

#[tokio::test]
async fn a_number_that_a_pattern_of_before_gave_out_is_passed_over() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let mut settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    let mut made = Vec::new();
    // The second quote is number 12, which the twelfth would be too.
    for (pattern, count) in [("1{seq}", 1), ("{seq}", 10)] {
        settings["quoting"]["number_pattern"] = json!(pattern);
        let put = server
            .admin(Method::PUT, "/v1/shop")
            .header("if-match", "*");
        ok(put.json(&settings)).await;
        for _ in 0..count {
            let copy = ok(server.admin(Method::POST, &format!("{path}/copy"))).await;
            made.push(copy["number"].as_str().unwrap().to_owned());
        }
    }
    let wanted = ["12", "3", "4", "5", "6", "7", "8", "9", "10", "11", "13"];
    assert_eq!(made, wanted);
}

#[tokio::test]
async fn an_order_of_the_last_day_may_be_written_down_later() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let quote = ok(server.admin(Method::GET, &path)).await;
    let last = quote["valid_until"].as_str().unwrap();
    *server.now.lock().unwrap() = "2027-03-01T08:00:00Z".parse().unwrap();
    // Listing it writes the expiry down.
    ok(server.admin(Method::GET, "/v1/quotes")).await;
    assert_eq!(
        ok(server.admin(Method::GET, &path)).await["state"],
        "expired"
    );
    let accept = |date: Value| {
        server
            .admin(Method::POST, &format!("{path}/accept"))
            .json(&json!({"name": "A. Buyer", "date": date}))
    };
    for late in [json!(null), json!("2027-02-28")] {
        let refused = accept(late).send().await.unwrap();
        problem(refused, StatusCode::CONFLICT, "wrong-state").await;
    }
    let before = accept(json!("2026-11-24")).send().await.unwrap();
    problem(before, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
    let taken = ok(accept(json!(last))).await;
    assert_eq!(
        (&taken["state"], &taken["accepted_on"]),
        (&json!("accepted"), &json!(last))
    );
    let totals = ok(server.admin(Method::GET, "/v1/quote-totals?state=accepted")).await;
    assert_eq!(totals["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn an_offer_that_another_has_followed_is_not_accepted_later() {
    let server = TestServer::start().await;
    let path = issued_quote(&server).await;
    let first = ok(server.admin(Method::GET, &path)).await;
    *server.now.lock().unwrap() = "2027-03-01T08:00:00Z".parse().unwrap();
    ok(server.admin(Method::GET, "/v1/quotes")).await;
    ok(server.admin(Method::POST, &format!("{path}/revisions"))).await;
    ok(server.admin(Method::POST, &format!("{path}/issue"))).await;
    let late = json!({"name": "A. Buyer", "date": first["valid_until"], "revision": 1});
    let accept = server
        .admin(Method::POST, &format!("{path}/accept"))
        .json(&late);
    let refused = accept.send().await.unwrap();
    problem(refused, StatusCode::CONFLICT, "wrong-state").await;
    // One order at most comes of a quote.
    let accept = server.admin(Method::POST, &format!("{path}/accept"));
    ok(accept.json(&json!({"name": "A. Buyer"}))).await;
    let totals = ok(server.admin(Method::GET, "/v1/quote-totals?state=accepted")).await;
    assert_eq!(totals["items"].as_array().unwrap().len(), 1);
    assert_eq!(totals["items"][0]["revision"], 2);
}

#[tokio::test]
async fn days_are_those_of_the_shop() {
    let now = "2026-11-26T01:30:00Z".parse().unwrap();
    let app = empty_shop(&Arc::new(Mutex::new(now))).await;
    assert_eq!(app.today().to_string(), "2026-11-26");
    // Half past five on the evening before (Pacific Standard Time is UTC-8: IANA time zone database).
    let west = app.with_time_zone(TimeZone::get("America/Los_Angeles").unwrap());
    assert_eq!(west.today().to_string(), "2026-11-25");
    assert_eq!(
        west.end_of(west.today()).to_string(),
        "2026-11-26T08:00:00Z"
    );
    // On the day summer time ends, at two in the morning of 1 November 2026, the day has 25 hours.
    let long = "2026-11-01".parse().unwrap();
    assert_eq!(west.end_of(long).to_string(), "2026-11-02T08:00:00Z");
}

#[tokio::test]
async fn texts_that_no_paper_can_hold_are_refused_in_bodies_and_in_sheets() {
    let server = TestServer::start().await;
    issued_quote(&server).await;
    let schedule: Vec<Value> =
        serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap();
    for (name, code) in [
        ("a\u{ffff}b", "control_character"),
        ("a\u{fffe}b", "control_character"),
        ("a\u{202e}b", "control_character"),
        ("a\u{2069}b", "control_character"),
        ("\u{200b}\u{feff} ", "too_short"),
    ] {
        let body = json!({"customer": {"name": name}, "project": "P", "manifolds": [schedule[0]]});
        let made = server.admin(Method::POST, "/v1/quotes").json(&body);
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        let refused = problem(made.send().await.unwrap(), status, "invalid-body").await;
        assert_eq!(refused["errors"][0]["pointer"], "/customer/name");
        assert_eq!(refused["errors"][0]["code"], code, "{refused}");
        let sheet = format!(
            "mark,quantity,service,design_pressure (psi),design_temperature (degF),build,run,first_end,outlet_tube,outlets,first (in),pitch (in),stub (in)\r\n{name},1,hydronic_heating,75,180,formed_outlets,b88-l-2,cap,b88-l-1,2,4,5,3\r\n"
        );
        let sent = server
            .admin(Method::POST, "/v1/schedules?format=json")
            .header("content-type", "text/csv")
            .body(sheet);
        let answer = sent.send().await.unwrap().text().await.unwrap();
        assert!(answer.contains(&format!("\"code\":\"{code}\"")), "{answer}");
    }
}
