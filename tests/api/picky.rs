//! Clients of every kind are served: spreadsheets, macros, old libraries.

use super::harness::{ADMIN, TestServer, read_to_end, soon};
use reqwest::{Method, StatusCode};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

#[tokio::test]
async fn options_needs_no_key_and_lists_the_methods() {
    let server = TestServer::start().await;
    for (path, allow) in [
        ("/v1/units", "GET,HEAD"),
        ("/v1/test/things", "POST"),
        ("/v1/test/thing", "GET,HEAD,PUT"),
        ("/health/live", "GET,HEAD"),
    ] {
        let answer = server.request(Method::OPTIONS, path).send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::NO_CONTENT, "{path}");
        assert_eq!(answer.headers()["allow"], allow, "{path}");
    }
}

#[tokio::test]
async fn http_1_0_without_accept_or_user_agent() {
    let server = TestServer::start().await;
    let request =
        format!("GET /v1/units HTTP/1.0\r\nHost: x\r\nAuthorization: Bearer {ADMIN}\r\n\r\n");
    let answer = server.raw(request.as_bytes()).await;
    assert!(answer.starts_with("HTTP/1.0 200 OK\r\n"), "{answer}");
    assert!(answer.contains("content-type: application/json; charset=utf-8\r\n"));
    assert!(!answer.to_lowercase().contains("transfer-encoding"));
    assert!(answer.contains("\"4 1/2 in\""));
}

#[tokio::test]
async fn http_1_0_post_as_a_macro_sends_it() {
    let server = TestServer::start().await;
    let body = r#"{"length": "4 1/2 in"}"#;
    let request = format!(
        "POST /v1/test/things HTTP/1.0\r\nAuthorization: Bearer {ADMIN}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let answer = server.raw(request.as_bytes()).await;
    assert!(answer.starts_with("HTTP/1.0 201 Created\r\n"), "{answer}");
}

#[tokio::test]
async fn chunked_with_expect_100_continue() {
    let server = TestServer::start().await;
    let head = format!(
        "POST /v1/test/things HTTP/1.1\r\nHost: x\r\nConnection: close\r\nAuthorization: Bearer {ADMIN}\r\n\
         Content-Type: application/json\r\nTransfer-Encoding: chunked\r\nExpect: 100-continue\r\n\
         Accept: */*\r\nAccept-Encoding: deflate, gzip, br, zstd\r\n\r\n"
    );
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    stream.write_all(head.as_bytes()).await.unwrap();
    let mut word = [0; 25];
    stream.read_exact(&mut word).await.unwrap();
    assert_eq!(&word, b"HTTP/1.1 100 Continue\r\n\r\n");
    stream
        .write_all(b"b\r\n{\"length\": \r\n7\r\n\"5 in\"}\r\n0\r\n\r\n")
        .await
        .unwrap();
    let answer = read_to_end(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.1 201 Created\r\n"), "{answer}");
}

#[tokio::test]
async fn a_client_that_waits_is_spared_an_oversized_body() {
    let server = TestServer::start().await;
    let head = format!(
        "POST /v1/test/things HTTP/1.1\r\nHost: x\r\nConnection: close\r\nAuthorization: Bearer {ADMIN}\r\n\
         Content-Type: application/json\r\nContent-Length: 2000000\r\nExpect: 100-continue\r\n\r\n"
    );
    let answer = server.raw(head.as_bytes()).await;
    assert!(answer.starts_with("HTTP/1.1 413 "), "{answer}");
    assert!(answer.contains("/problems/body-too-large"));
}

#[tokio::test]
async fn a_client_that_closes_its_half_still_hears_the_answer() {
    let server = TestServer::start().await;
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let request = format!("POST /v1/test/held HTTP/1.0\r\nAuthorization: Bearer {ADMIN}\r\n\r\n");
    stream.write_all(request.as_bytes()).await.unwrap();
    soon(server.counters.entered.notified()).await;
    stream.shutdown().await.unwrap();
    // The server notices the closed half when it next looks at the connection; another request
    // on a connection of its own makes sure it had the time to.
    assert_eq!(server.get("/health/live").await.status(), StatusCode::OK);
    server.counters.release.notify_one();
    let answer = read_to_end(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.0 201 Created\r\n"), "{answer}");
}

#[tokio::test]
async fn what_is_compressed_says_so_and_is_the_same() {
    let server = TestServer::start().await;
    let plain = server.admin(Method::GET, "/v1/units").send().await.unwrap();
    let plain = plain.bytes().await.unwrap();
    for coding in ["gzip", "br"] {
        let sent = server
            .admin(Method::GET, "/v1/units")
            .header("accept-encoding", coding);
        let answer = sent.send().await.unwrap();
        assert_eq!(answer.headers()["content-encoding"], coding);
        let vary: Vec<_> = answer
            .headers()
            .get_all("vary")
            .iter()
            .map(|v| v.to_str().unwrap())
            .collect();
        assert!(vary.contains(&"accept-encoding"), "{vary:?}");
        assert!(answer.bytes().await.unwrap().len() < plain.len() / 2);
    }
}

/// The answer to bytes sent as they are, as one text.
async fn asked(server: &TestServer, line: &str, fields: &str, body: &[u8]) -> String {
    let head = format!(
        "{line}\r\nConnection: close\r\nAuthorization: Bearer {ADMIN}\r\n{fields}Content-Length: {}\r\n\r\n",
        body.len()
    );
    server.raw(&[head.as_bytes(), body].concat()).await
}

#[tokio::test]
async fn names_of_fields_in_any_case_and_no_user_agent_or_accept() {
    let server = TestServer::start().await;
    for name in ["AUTHORIZATION", "authorization", "aUtHoRiZaTiOn"] {
        let request = format!(
            "GET /v1/units HTTP/1.1\r\nHOST: x\r\nCONNECTION: close\r\n{name}: Bearer {ADMIN}\r\n\r\n"
        );
        let answer = server.raw(request.as_bytes()).await;
        assert!(answer.starts_with("HTTP/1.1 200 OK\r\n"), "{answer}");
    }
    let bare = format!("GET /v1/units HTTP/1.0\r\nAuthorization: Bearer {ADMIN}\r\n\r\n");
    let answer = server.raw(bare.as_bytes()).await;
    assert!(answer.starts_with("HTTP/1.0 200 OK\r\n"), "{answer}");
}

#[tokio::test]
async fn the_whole_address_in_the_request_line() {
    let server = TestServer::start().await;
    let line = format!("GET http://{}/v1/units HTTP/1.1\r\nHost: x", server.address);
    let answer = asked(&server, &line, "", b"").await;
    assert!(answer.starts_with("HTTP/1.1 200 OK\r\n"), "{answer}");
}

#[tokio::test]
async fn several_requests_at_once_on_one_connection_are_answered_in_order() {
    let server = TestServer::start().await;
    let get = |path: &str, last: bool| {
        let close = if last { "Connection: close\r\n" } else { "" };
        format!("GET {path} HTTP/1.1\r\nHost: x\r\n{close}Authorization: Bearer {ADMIN}\r\n\r\n")
    };
    let body = r#"{"length": "5 in"}"#;
    let post = format!(
        "POST /v1/test/things HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {ADMIN}\r\n\
         Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let all = [
        get("/v1/units", false),
        post,
        get("/nowhere", false),
        get("/health/live", true),
    ];
    let answers = server.raw(all.concat().as_bytes()).await;
    let statuses: Vec<&str> = answers
        .match_indices("HTTP/1.1 ")
        .map(|(at, _)| &answers[at + 9..at + 12])
        .collect();
    assert_eq!(statuses, ["200", "201", "404", "200"]);
}

#[tokio::test]
async fn a_slow_body_is_waited_for() {
    let server = TestServer::start().await;
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let body = br#"{"length": "5 in"}"#;
    let head = format!(
        "POST /v1/test/things HTTP/1.1\r\nHost: x\r\nConnection: close\r\nAuthorization: Bearer {ADMIN}\r\n\
         Content-Type: application/json\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).await.unwrap();
    for byte in body {
        stream.write_all(&[*byte]).await.unwrap();
        tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    }
    let answer = read_to_end(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.1 201 Created\r\n"), "{answer}");
}

#[tokio::test]
async fn a_long_field_is_read_and_a_monstrous_one_refused() {
    let server = TestServer::start().await;
    let line = "GET /v1/units HTTP/1.1\r\nHost: x";
    for (bytes, word) in [(8_000, "200"), (70_000, "431"), (600_000, "431")] {
        let cookie = format!("Cookie: {}\r\n", "c".repeat(bytes));
        let answer = asked(&server, line, &cookie, b"").await;
        assert!(
            answer.starts_with(&format!("HTTP/1.1 {word} ")),
            "{bytes}: {answer}"
        );
    }
}

#[tokio::test]
async fn json_with_a_byte_order_mark_and_any_word_of_its_charset() {
    let server = TestServer::start().await;
    let line = "POST /v1/test/things HTTP/1.1\r\nHost: x";
    let body = r#"{"length": "5 in"}"#.as_bytes();
    let marked = [b"\xEF\xBB\xBF", body].concat();
    for kind in [
        "application/json",
        "application/json; charset=utf-8",
        "application/json;charset=UTF-8",
        "Application/JSON; charset=\"utf-8\"",
        "application/json; charset=iso-8859-1",
    ] {
        let fields = format!("Content-Type: {kind}\r\n");
        for body in [body, &marked] {
            let answer = asked(&server, line, &fields, body).await;
            assert!(answer.starts_with("HTTP/1.1 201 "), "{kind}: {answer}");
        }
    }
    // What is not UTF-8 is refused, whatever it says of itself (RFC 8259 section 8.1).
    let fields = "Content-Type: application/json; charset=iso-8859-1\r\n";
    let answer = asked(&server, line, fields, b"{\"length\": \"5 \xBD in\"}").await;
    assert!(answer.starts_with("HTTP/1.1 400 "), "{answer}");
    assert!(answer.contains("UTF-8"), "{answer}");
}

#[tokio::test]
async fn every_way_to_say_that_any_form_will_do() {
    let server = TestServer::start().await;
    for (accept, kind) in [
        ("*/*", "application/json"),
        ("text/html, */*;q=0.1", "application/json"),
        (
            "text/html, application/xhtml+xml, image/jxr, */*",
            "application/json",
        ),
        ("application/json;q=0, */*", "text/csv"),
        ("text/csv;q=0.2, application/json;q=0.1", "text/csv"),
    ] {
        let request = server
            .admin(Method::GET, "/v1/test/forms")
            .header("accept", accept);
        let answer = request.send().await.unwrap();
        let found = answer.headers()["content-type"].to_str().unwrap();
        assert!(found.starts_with(kind), "{accept}: {found}");
        assert!(found.contains("charset=utf-8"), "{found}");
    }
    let none = server
        .admin(Method::GET, "/v1/test/forms")
        .header("accept", "*/*;q=0");
    assert_eq!(
        none.send().await.unwrap().status(),
        StatusCode::NOT_ACCEPTABLE
    );
}

#[tokio::test]
async fn codings_that_are_not_offered_or_not_wanted_are_not_used() {
    let server = TestServer::start().await;
    for (wanted, used) in [
        ("deflate, gzip, br, zstd", Some(["gzip", "br"].as_slice())),
        ("gzip;q=0, br;q=0", None),
        ("zstd", None),
        ("identity", None),
    ] {
        let request = server
            .admin(Method::GET, "/v1/units")
            .header("accept-encoding", wanted);
        let answer = request.send().await.unwrap();
        let found = answer
            .headers()
            .get("content-encoding")
            .map(|coding| coding.to_str().unwrap());
        match used {
            Some(some) => assert!(
                found.is_some_and(|coding| some.contains(&coding)),
                "{wanted}"
            ),
            None => assert_eq!(found, None, "{wanted}"),
        }
    }
}

/// The addresses of all calls, with the examples of the document in them.
fn addresses() -> Vec<(String, serde_json::Value)> {
    let document = include_str!("../../openapi/offtake.json");
    let document: serde_json::Value = serde_json::from_str(document).unwrap();
    let paths = document["paths"].as_object().unwrap().iter();
    let filled = paths.map(|(path, item)| {
        let mut address = path.clone();
        let operations = item.as_object().unwrap().values();
        let parameters = operations.filter_map(|operation| operation["parameters"].as_array());
        for parameter in parameters.flatten().filter(|one| one["in"] == "path") {
            let example = match &parameter["example"] {
                serde_json::Value::String(text) => text.clone(),
                other => other.to_string(),
            };
            address = address.replace(
                &format!("{{{}}}", parameter["name"].as_str().unwrap()),
                &example,
            );
        }
        (address, item.clone())
    });
    filled.collect()
}

#[tokio::test]
async fn options_lists_what_the_document_describes_for_every_address() {
    let server = TestServer::start().await;
    for (address, item) in addresses() {
        let answer = server
            .request(Method::OPTIONS, &address)
            .send()
            .await
            .unwrap();
        assert_eq!(answer.status(), StatusCode::NO_CONTENT, "{address}");
        let mut allowed: Vec<String> = answer.headers()["allow"]
            .to_str()
            .unwrap()
            .split(',')
            .map(str::to_lowercase)
            .filter(|method| method != "head")
            .collect();
        let mut described: Vec<String> = item.as_object().unwrap().keys().cloned().collect();
        allowed.sort();
        described.sort();
        assert_eq!(allowed, described, "{address}");
    }
}

#[tokio::test]
async fn head_answers_as_get_at_every_address() {
    let server = TestServer::start().await;
    let mut looked = 0;
    for (address, item) in addresses() {
        if item.get("get").is_none() {
            continue;
        }
        let get = server.admin(Method::GET, &address).send().await.unwrap();
        let head = server.admin(Method::HEAD, &address).send().await.unwrap();
        assert_eq!(head.status(), get.status(), "{address}");
        // The counters have moved on by the first request.
        let changes: &[&str] = match address.as_str() {
            "/metrics" => &["x-request-id", "date", "content-length", "etag"],
            _ => &["x-request-id", "date"],
        };
        let fields = |answer: &reqwest::Response| {
            let mut all: Vec<String> = answer
                .headers()
                .iter()
                .filter(|(name, _)| !changes.contains(&name.as_str()))
                .map(|(name, value)| format!("{name}: {value:?}"))
                .collect();
            all.sort();
            all
        };
        // The id of a request has a length of its own in a problem.
        if get.status().is_success() {
            assert_eq!(fields(&head), fields(&get), "{address}");
        }
        let kind = get.headers()["content-type"].to_str().unwrap().to_owned();
        if kind.starts_with("text/") || kind.contains("json") || kind.starts_with("application/xml")
        {
            assert!(kind.contains("charset=utf-8"), "{address}: {kind}");
        }
        assert!(head.bytes().await.unwrap().is_empty(), "{address}");
        looked += 1;
    }
    assert!(looked >= 40, "only {looked} addresses were looked at");
}
