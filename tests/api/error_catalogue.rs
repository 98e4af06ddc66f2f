//! The catalogue of what can be wrong, the OpenAPI document and what the source can say agree;
//! and whoever refuses a request, handler or layer, says so in the same way.

use super::harness::{ADMIN, CHECK, TestServer, header};
use offtake::http::problem::Slug;
use offtake::http::rate::RateLimit;
use offtake::http::state::Limits;
use offtake::http::wire::CODES;
use reqwest::{Method, RequestBuilder, Response};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::atomic::Ordering;
use std::time::Duration;

const DOCUMENT: &str = include_str!("../../openapi/offtake.json");

fn document() -> Value {
    serde_json::from_str(DOCUMENT).unwrap()
}

#[test]
fn the_document_knows_every_status_of_the_catalogue_and_no_other() {
    let document = document();
    let mut described = BTreeSet::new();
    for item in document["paths"].as_object().unwrap().values() {
        for operation in item.as_object().unwrap().values() {
            let answers = operation["responses"].as_object().into_iter().flatten();
            described.extend(answers.map(|(status, _)| status.parse::<u16>().unwrap()));
        }
    }
    described.retain(|status| *status >= 400);
    // The method is part of what is described: a wrong one (405) is no answer of an operation. What opens by
    // a link (410) has no place in the document: its addresses are secrets.
    let known: BTreeSet<u16> = Slug::ALL
        .iter()
        .map(|slug| slug.status().as_u16())
        .filter(|status| ![405, 410].contains(status))
        .collect();
    assert_eq!(described, known);
    for (name, answer) in document["components"]["responses"].as_object().unwrap() {
        let status: u16 = name.trim_start_matches("Problem").parse().unwrap();
        let text = answer["description"].as_str().unwrap();
        for slug in Slug::ALL
            .iter()
            .filter(|slug| slug.status().as_u16() == status)
        {
            assert!(text.contains(slug.as_str()), "{name}: {}", slug.as_str());
        }
    }
}

#[tokio::test]
async fn the_document_and_the_pages_list_every_code() {
    let codes: Vec<&str> = CODES.iter().map(|(code, _)| *code).collect();
    let once: BTreeSet<&str> = codes.iter().copied().collect();
    assert_eq!(once.len(), codes.len(), "a code stands twice");
    let document = document();
    let told = &document["components"]["schemas"]["Fault"]["properties"]["code"]["examples"];
    assert_eq!(*told, serde_json::json!(codes));
    let server = TestServer::start().await;
    let json = server.get("/problems?format=json").await;
    let json: Value = json.json().await.unwrap();
    let page = server.get("/problems").await.text().await.unwrap();
    for (entry, (code, meaning)) in json["codes"].as_array().unwrap().iter().zip(CODES) {
        assert_eq!(entry["code"], *code);
        assert_eq!(entry["meaning"], *meaning);
        assert!(page.contains(&format!("<tr id=\"{code}\">")), "{code}");
    }
    assert_eq!(json["codes"].as_array().unwrap().len(), CODES.len());
}

/// The source without comments and unit tests, but for the catalogue itself.
fn source() -> Vec<String> {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    let mut texts = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let is_catalogue = ["wire/codes.rs", "problem/catalogue.rs", "wire/tests.rs"]
                .iter()
                .any(|name| path.ends_with(name));
            if path.is_dir() {
                folders.push(path);
            } else if !is_catalogue && path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(path).unwrap();
                let code = text.split("\n#[cfg(test)]\nmod tests").next().unwrap();
                let lines = code.lines().map(str::trim);
                texts.push(
                    lines
                        .filter(|line| !line.starts_with("//"))
                        .collect::<String>(),
                );
            }
        }
    }
    texts
}

/// Codes written as texts where the source makes a fault: `Fault::new(pointer, "code", ...)`,
/// `faults.report(&at, "code", ...)`, `code: "code"`.
fn literal_codes(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (call, place) in [
        ("Fault::new(", 1),
        ("CodeFault::new(", 0),
        ("Fault::of_parameter(", 1),
        (".report(", 1),
        ("code: ", 0),
    ] {
        for (at, _) in text.match_indices(call) {
            let before = text[..at].chars().next_back();
            let within = before.is_some_and(|c| c.is_alphanumeric() || c == '_');
            if within && !call.starts_with('.') {
                continue;
            }
            let argument = argument(&text[at + call.len()..], place);
            let literal = argument
                .strip_prefix('"')
                .and_then(|rest| rest.strip_suffix('"'));
            found.extend(literal.map(str::to_owned));
        }
    }
    found
}

/// The argument at that place of a call, of which the text begins behind its bracket.
fn argument(text: &str, place: usize) -> &str {
    let (mut depth, mut seen, mut start, mut quoted, mut escaped) = (0, 0, 0, false, false);
    for (at, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            _ if quoted => {}
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' | ',' if depth == 0 => {
                if seen == place || c != ',' {
                    return text[start..at].trim();
                }
                (seen, start) = (seen + 1, at + 1);
            }
            ')' | ']' | '}' => depth -= 1,
            _ => {}
        }
    }
    ""
}

#[test]
fn what_the_source_can_say_is_in_the_catalogue_and_all_of_it_can_be_said() {
    let source = source();
    let known: BTreeSet<&str> = CODES.iter().map(|(code, _)| *code).collect();
    let said: BTreeSet<String> = source.iter().flat_map(|text| literal_codes(text)).collect();
    assert!(said.len() > 35, "the search finds too little: {said:?}");
    let missing: Vec<&String> = said
        .iter()
        .filter(|code| !known.contains(code.as_str()))
        .collect();
    assert!(
        missing.is_empty(),
        "add these to src/http/wire/codes.rs, with what they mean: {missing:?}"
    );
    let all = source.concat();
    let unused: Vec<&&str> = known
        .iter()
        .filter(|code| {
            let name = format!("code::{}", code.to_uppercase());
            !all.contains(&format!("\"{code}\"")) && !all.contains(&name)
        })
        .collect();
    assert!(unused.is_empty(), "nothing says {unused:?}");
    for slug in Slug::ALL {
        // A layer picks some by their status alone.
        assert!(all.contains(&format!("Slug::{slug:?}")), "{slug:?}");
    }
}

/// Asserts that an answer is a problem that explains itself, leads to its page, and shows nothing
/// that is nobody's business.
async fn explained(server: &TestServer, answer: Response, slug: Slug) {
    assert_eq!(answer.status(), slug.status(), "{slug:?}");
    let kind = header(&answer, "content-type").to_owned();
    assert_eq!(kind, "application/problem+json; charset=utf-8", "{slug:?}");
    let id = header(&answer, "x-request-id").to_owned();
    let fields = format!("{:?}", answer.headers());
    let text = answer.text().await.unwrap();
    let body: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(body["type"], format!("/problems/{}", slug.as_str()));
    assert_eq!(body["title"], slug.title());
    assert!(!id.is_empty() && body["request_id"] == id, "{text}");
    for secret in [ADMIN, CHECK, "panicked", ".rs:", "backtrace", "a secret"] {
        assert!(!text.contains(secret) && !fields.contains(secret), "{text}");
    }
    let page = server.get(body["type"].as_str().unwrap()).await;
    assert_eq!(header(&page, "content-type"), "text/html; charset=utf-8");
    assert!(page.text().await.unwrap().contains("What to do"));
    let page = server.request(Method::GET, body["type"].as_str().unwrap());
    let page = page
        .header("accept", "application/json")
        .send()
        .await
        .unwrap();
    let page: Value = page.json().await.unwrap();
    assert_eq!(page["status"], slug.status().as_u16());
}

#[tokio::test]
async fn whoever_refuses_says_so_in_the_same_way() {
    let server = TestServer::start().await;
    let things = |body: String| {
        let request = server.admin(Method::POST, "/v1/test/things");
        request
            .header("content-type", "application/json")
            .body(body)
    };
    let admin = |method, path: &str| server.admin(method, path);
    let long = format!("/v1/units?quantity={}", "x".repeat(20_000));
    let refusals: Vec<(RequestBuilder, Slug)> = vec![
        (admin(Method::GET, "/nowhere"), Slug::NoSuchPath),
        (admin(Method::DELETE, "/v1/units"), Slug::MethodNotAllowed),
        (
            admin(Method::GET, "/v1/test/forms").header("accept", "image/png"),
            Slug::NotAcceptable,
        ),
        (things("x".repeat(1_100_000)), Slug::BodyTooLarge),
        (admin(Method::GET, &long), Slug::AddressTooLong),
        (
            admin(Method::POST, "/v1/test/things").body("<a/>"),
            Slug::UnsupportedMediaType,
        ),
        (admin(Method::PUT, "/v1/test/thing"), Slug::VersionRequired),
        (
            admin(Method::PUT, "/v1/test/thing").header("if-match", "\"old\""),
            Slug::Stale,
        ),
        (
            admin(Method::GET, "/v1/units").header("cookie", "y".repeat(70_000)),
            Slug::HeaderTooLarge,
        ),
        (admin(Method::GET, "/v1/test/panic"), Slug::InternalError),
        (things("{".to_owned()), Slug::MalformedBody),
        (things("{}".to_owned()), Slug::InvalidBody),
        (admin(Method::GET, "/v1/units?limt=1"), Slug::InvalidQuery),
        (server.request(Method::GET, "/v1/units"), Slug::MissingKey),
        (
            server
                .request(Method::GET, "/v1/units")
                .bearer_auth("no-such-key"),
            Slug::InvalidKey,
        ),
        (
            server
                .request(Method::GET, "/v1/webhooks")
                .bearer_auth(CHECK),
            Slug::MissingScope,
        ),
        (
            things("{}".to_owned()).header("idempotency-key", " "),
            Slug::InvalidHeader,
        ),
    ];
    for (request, slug) in refusals {
        explained(&server, request.send().await.unwrap(), slug).await;
    }
    server.ready.0.store(false, Ordering::SeqCst);
    explained(&server, server.get("/health/ready").await, Slug::NotReady).await;
}

#[tokio::test]
async fn so_do_those_who_guard_time_and_share() {
    let limits = Limits {
        timeout: Duration::from_millis(50),
        rate: Some(RateLimit {
            requests: 2,
            window: Duration::from_secs(60),
        }),
        ..Limits::default()
    };
    let server = TestServer::with_limits(limits).await;
    let ask = |path: &str| server.admin(Method::GET, path).send();
    let late = ask("/v1/test/never").await.unwrap();
    explained(&server, late, Slug::RequestTimeout).await;
    ask("/v1/units").await.unwrap();
    let refused = ask("/v1/units").await.unwrap();
    assert_eq!(header(&refused, "retry-after"), "30");
    explained(&server, refused, Slug::TooManyRequests).await;
}
