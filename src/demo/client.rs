//! A small client of the API, as another shop tool would write one.

use reqwest::{Method, StatusCode};
use serde_json::Value;

/// A client with a key.
#[derive(Debug, Clone)]
pub struct Client {
    http: reqwest::Client,
    base: String,
    key: String,
}

/// A call that failed.
#[derive(Debug, thiserror::Error)]
pub enum ClientError {
    /// The server could not be reached.
    #[error("{method} {path} did not reach the server")]
    Unreached {
        /// The method.
        method: Method,
        /// The path.
        path: String,
        /// Why.
        source: reqwest::Error,
    },
    /// The server refused.
    #[error("{method} {path} was answered with {status}: {body}")]
    Refused {
        /// The method.
        method: Method,
        /// The path.
        path: String,
        /// The status.
        status: StatusCode,
        /// The problem document.
        body: String,
    },
}

/// A body to send.
#[derive(Debug, Clone)]
pub enum Body {
    /// JSON.
    Json(Value),
    /// CSV.
    Csv(&'static str),
    /// Nothing.
    None,
}

/// An answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Its version, when it has one.
    pub etag: Option<String>,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl Answer {
    /// As JSON; `null` when it is none.
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes).unwrap_or_default()
    }
}

impl Client {
    /// A client of the server at `base`.
    pub fn new(base: &str, key: &str) -> Self {
        Self {
            http: reqwest::Client::new(),
            base: base.to_owned(),
            key: key.to_owned(),
        }
    }

    /// GET, as `accept`.
    ///
    /// # Errors
    /// When the server cannot be reached or refuses.
    pub async fn get(&self, path: &str, accept: &str) -> Result<Answer, ClientError> {
        let request = self
            .http
            .request(Method::GET, format!("{}{path}", self.base))
            .header("accept", accept);
        self.send(Method::GET, path, request).await
    }

    /// POST with a name for the request, so that a repeat does nothing twice.
    ///
    /// # Errors
    /// When the server cannot be reached or refuses.
    pub async fn post(
        &self,
        path: &str,
        body: Body,
        retry_name: &str,
    ) -> Result<Answer, ClientError> {
        let request = with_body(
            self.http
                .request(Method::POST, format!("{}{path}", self.base)),
            body,
        )
        .header("idempotency-key", retry_name);
        self.send(Method::POST, path, request).await
    }

    /// POST that asks for another form than JSON.
    ///
    /// # Errors
    /// When the server cannot be reached or refuses.
    pub async fn post_for(
        &self,
        path: &str,
        body: Value,
        accept: &str,
    ) -> Result<Answer, ClientError> {
        let request = with_body(
            self.http
                .request(Method::POST, format!("{}{path}", self.base)),
            Body::Json(body),
        )
        .header("accept", accept);
        self.send(Method::POST, path, request).await
    }

    /// PUT over a version, or where nothing was.
    ///
    /// # Errors
    /// When the server cannot be reached or refuses.
    pub async fn put(
        &self,
        path: &str,
        body: Body,
        version: Option<&str>,
    ) -> Result<Answer, ClientError> {
        let mut request = with_body(
            self.http
                .request(Method::PUT, format!("{}{path}", self.base)),
            body,
        );
        if let Some(version) = version {
            request = request.header("if-match", version);
        }
        self.send(Method::PUT, path, request).await
    }

    async fn send(
        &self,
        method: Method,
        path: &str,
        request: reqwest::RequestBuilder,
    ) -> Result<Answer, ClientError> {
        let unreached = |source| ClientError::Unreached {
            method: method.clone(),
            path: path.to_owned(),
            source,
        };
        let response = request
            .bearer_auth(&self.key)
            .send()
            .await
            .map_err(unreached)?;
        let status = response.status();
        let etag = response
            .headers()
            .get("etag")
            .and_then(|tag| tag.to_str().ok())
            .map(str::to_owned);
        let bytes = response.bytes().await.map_err(unreached)?.to_vec();
        if status.is_success() {
            return Ok(Answer { etag, bytes });
        }
        Err(ClientError::Refused {
            method,
            path: path.to_owned(),
            status,
            body: String::from_utf8_lossy(&bytes).into_owned(),
        })
    }
}

fn with_body(request: reqwest::RequestBuilder, body: Body) -> reqwest::RequestBuilder {
    match body {
        Body::Json(value) => request.json(&value),
        Body::Csv(text) => request.header("content-type", "text/csv").body(text),
        Body::None => request,
    }
}
