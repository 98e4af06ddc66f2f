//! The program as a process on a database file of its own, and ways to talk to it.

use reqwest::{Method, RequestBuilder, Response, StatusCode};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};

use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// How long a test waits before it says that something hangs.
const PATIENCE: Duration = Duration::from_secs(30);

/// A folder with a database in it.
pub struct Shop {
    pub folder: TempDir,
}

impl Shop {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    pub fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    /// A command of the program over the database of the folder.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_offtake"));
        let database = format!("sqlite://{}", self.path("shop.db").display());
        command
            .args(arguments)
            .env_clear()
            .env("OFFTAKE_DATABASE_URL", database);
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    /// The output of a command that must be done.
    pub fn done(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let stderr = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {stderr}");
        String::from_utf8(output.stdout).unwrap()
    }

    pub fn key(&self, scope: &str) -> String {
        let printed = self.done(&["keys", "create", "--scope", scope, "--label", scope]);
        printed.trim_end().to_owned()
    }

    pub fn write(&self, name: &str, text: &str) -> String {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name).display().to_string()
    }
}

/// The service over it.
pub struct Service {
    pub shop: Shop,
    pub admin: String,
    pub estimator: String,
    address: String,
    client: reqwest::Client,
    process: Child,
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

impl Service {
    /// One whose shop has its settings.
    pub async fn with_shop() -> Self {
        let service = Self::start();
        let shop = json!({"letterhead": {"name": "Quay Street Pipe Shop"}, "currency": "USD"});
        let set = service.put("/v1/shop", None, &shop).await;
        assert_eq!(set.status(), StatusCode::OK);
        service
    }

    pub fn start() -> Self {
        let shop = Shop::new();
        let (admin, estimator) = (shop.key("admin"), shop.key("estimate"));
        let mut process = shop
            .command(&["serve", "--listen", "127.0.0.1:0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        let mut lines = BufReader::new(process.stdout.take().unwrap());
        lines.read_line(&mut line).unwrap();
        let address = line
            .strip_prefix("listening on ")
            .unwrap()
            .trim()
            .to_owned();
        let client = reqwest::Client::builder()
            .timeout(PATIENCE)
            .build()
            .unwrap();
        Self {
            shop,
            admin,
            estimator,
            address,
            client,
            process,
        }
    }

    pub fn request(&self, method: Method, path: &str, key: &str) -> RequestBuilder {
        self.client
            .request(method, format!("{}{path}", self.address))
            .bearer_auth(key)
    }

    pub async fn get(&self, path: &str) -> Response {
        let request = self.request(Method::GET, path, &self.admin);
        request.send().await.unwrap()
    }

    pub async fn post(&self, path: &str, body: &Value) -> Response {
        let request = self.request(Method::POST, path, &self.admin);
        request.json(body).send().await.unwrap()
    }

    pub async fn put(&self, path: &str, version: Option<&str>, body: &Value) -> Response {
        let mut request = self.request(Method::PUT, path, &self.admin).json(body);
        if let Some(version) = version {
            request = request.header("if-match", version);
        }
        request.send().await.unwrap()
    }

    pub async fn put_sheet(
        &self,
        path: &str,
        version: &str,
        sheet: impl Into<Vec<u8>>,
    ) -> Response {
        self.request(Method::PUT, path, &self.admin)
            .header("if-match", version)
            .header("content-type", "text/csv; charset=utf-8")
            .body(sheet.into())
            .send()
            .await
            .unwrap()
    }
}

pub fn version(response: &Response) -> String {
    let tag = response.headers().get("etag").expect("an ETag");
    tag.to_str().unwrap().to_owned()
}

/// The body of an answer of that status.
pub async fn body(response: Response, status: StatusCode) -> Value {
    let found = response.status();
    let text = response.text().await.unwrap();
    assert_eq!(found, status, "{text}");
    serde_json::from_str(&text).unwrap()
}

/// What each fault of a problem names: row and column of a sheet, or the pointer, and the code.
pub fn faults(problem: &Value) -> Vec<String> {
    let errors = problem["errors"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default();
    let place = |error: &Value| match error["sheet_row"].as_u64() {
        Some(row) => format!("{row} {}", error["column"].as_str().unwrap()),
        None => error["pointer"].as_str().unwrap().to_owned(),
    };
    errors
        .iter()
        .map(|error| format!("{} {}", place(error), error["code"].as_str().unwrap()))
        .collect()
}
