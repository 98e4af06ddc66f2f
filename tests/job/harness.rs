//! The program as a process of its own, and a client with a key.

use std::io::{BufRead, BufReader};
use std::pin::Pin;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use reqwest::{Method, RequestBuilder, Response, StatusCode};
use serde_json::{Value, json};

const PROGRAM: &str = env!("CARGO_BIN_EXE_offtake");

/// A running program with a key that may do everything.
#[derive(Clone)]
pub struct Shop {
    base: String,
    key: String,
    client: reqwest::Client,
}

/// The program; it ends with the test.
pub struct Running(Child);

impl Running {
    /// Ends it where it stands.
    pub fn kill(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Runs a story against a fresh server on a database.
pub async fn run(url: &str, story: impl FnOnce(Shop) -> Pin<Box<dyn Future<Output = ()> + Send>>) {
    let key = admin_key(url);
    let (_running, base) = serve(url);
    story(Shop::new(base, &key)).await;
}

/// Makes a key that may do everything.
pub fn admin_key(url: &str) -> String {
    let made = Command::new(PROGRAM)
        .args([
            "keys",
            "create",
            "--scope",
            "admin",
            "--label",
            "test",
            "--database",
            url,
        ])
        .output()
        .unwrap();
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    String::from_utf8(made.stdout).unwrap().trim().to_owned()
}

/// Starts the program on a database; where it listens.
pub fn serve(url: &str) -> (Running, String) {
    let mut child = Command::new(PROGRAM)
        .args([
            "serve",
            "--listen",
            "127.0.0.1:0",
            "--database",
            url,
            "--log",
            "warn",
            "--private-webhooks",
        ])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    let base = line
        .trim()
        .strip_prefix("listening on ")
        .unwrap_or_else(|| panic!("the server said {line:?}"));
    (Running(child), base.to_owned())
}

/// The manifolds of the demo's schedule; the last one cannot be built.
pub fn schedule() -> Vec<Value> {
    serde_json::from_str(include_str!("../../src/demo/data/schedule.json")).unwrap()
}

/// A quote for some of them.
pub fn quote_of(manifolds: &[Value]) -> Value {
    json!({"customer": {"name": "Test & Sons"}, "project": "Stair 3", "manifolds": manifolds})
}

impl Shop {
    pub fn new(base: String, key: &str) -> Self {
        let client = reqwest::Client::builder()
            .timeout(Duration::from_secs(60))
            .build()
            .unwrap();
        let key = key.to_owned();
        Self { base, key, client }
    }

    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        self.client
            .request(method, format!("{}{path}", self.base))
            .bearer_auth(&self.key)
    }

    pub async fn get(&self, path: &str) -> Value {
        read(
            self.request(Method::GET, path).send().await.unwrap(),
            StatusCode::OK,
        )
        .await
    }

    pub async fn post(&self, path: &str, body: &Value, expected: StatusCode) -> Value {
        read(
            self.request(Method::POST, path)
                .json(body)
                .send()
                .await
                .unwrap(),
            expected,
        )
        .await
    }

    /// Makes the demo's shop: settings, prices, times.
    pub async fn set_up(&self) {
        let settings: Value =
            serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
        read(
            self.request(Method::PUT, "/v1/shop")
                .json(&settings)
                .send()
                .await
                .unwrap(),
            StatusCode::OK,
        )
        .await;
        let prices = include_str!("../../src/demo/data/prices.csv");
        let head =
            json!({"name": "P", "supplier": "S", "currency": "USD", "effective_on": "2020-01-01"});
        self.publish("/v1/price-lists", head, "items", prices).await;
        let times = include_str!("../../src/demo/data/labour.csv");
        let head = json!({"name": "T", "effective_on": "2020-01-01"});
        self.publish("/v1/labour-models", head, "times", times)
            .await;
    }

    async fn publish(&self, place: &str, head: Value, part: &str, sheet: &'static str) {
        let made = self
            .request(Method::POST, place)
            .json(&head)
            .send()
            .await
            .unwrap();
        let etag = made.headers()["etag"].to_str().unwrap().to_owned();
        let made = read(made, StatusCode::CREATED).await;
        let address = format!("{place}/{}", made["id"].as_str().unwrap());
        let put = self
            .request(Method::PUT, &format!("{address}/{part}"))
            .header("content-type", "text/csv")
            .header("if-match", etag)
            .body(sheet);
        read(put.send().await.unwrap(), StatusCode::OK).await;
        self.post(&format!("{address}/publish"), &json!({}), StatusCode::OK)
            .await;
    }

    /// A draft for the first `count` manifolds of the schedule; its number.
    pub async fn draft(&self, count: usize) -> String {
        let quote = self
            .post(
                "/v1/quotes",
                &quote_of(&schedule()[..count]),
                StatusCode::CREATED,
            )
            .await;
        quote["number"].as_str().unwrap().to_owned()
    }

    /// Makes a move with an empty body.
    pub async fn make(&self, number: &str, verb: &str, expected: StatusCode) -> Value {
        let body = if verb == "accept" {
            json!({"name": "A. Buyer"})
        } else {
            json!({})
        };
        self.post(&format!("/v1/quotes/{number}/{verb}"), &body, expected)
            .await
    }
}

/// The body as JSON; the status must be the expected one.
pub async fn read(response: Response, expected: StatusCode) -> Value {
    let status = response.status();
    let text = response.text().await.unwrap();
    assert_eq!(status, expected, "{text}");
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

/// An amount of an answer as exact cents.
pub fn cents(amount: &Value) -> i64 {
    let text = amount
        .as_str()
        .unwrap_or_else(|| panic!("{amount} is no amount"));
    assert!(
        text.split_once('.')
            .is_some_and(|(_, part)| part.len() == 2),
        "{text}"
    );
    text.replace('.', "").parse().unwrap()
}
