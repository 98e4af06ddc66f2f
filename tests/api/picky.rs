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
