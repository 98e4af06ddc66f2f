//! Problem documents (RFC 9457): the one way this API says that something is wrong.

mod body;
mod catalogue;
mod of_app;
mod pages;

pub use body::{MEDIA_TYPE, ProblemBody};
pub use catalogue::Slug;
pub use of_app::lacking_faults;
pub(super) use pages::routes;

use super::state::Unavailable;
use super::wire::{Fault, Faults};
use axum::http::header::{HeaderName, RETRY_AFTER, WWW_AUTHENTICATE};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};

/// Something wrong, to be answered as a problem document. Boxed, since it rides in every result.
#[derive(Debug, Clone)]
pub struct Problem(Box<Parts>);

#[derive(Debug, Clone)]
struct Parts {
    slug: Slug,
    detail: Option<String>,
    faults: Faults,
    moves: Option<Vec<&'static str>>,
    headers: HeaderMap,
}

impl Problem {
    /// A problem of that kind, with the detail and header fields that kind usually has.
    pub fn new(slug: Slug) -> Self {
        let problem = Self(Box::new(Parts {
            slug,
            detail: None,
            faults: Faults::new(),
            moves: None,
            headers: HeaderMap::new(),
        }));
        match slug {
            Slug::Busy | Slug::NotReady | Slug::RequestRunning => problem.with_retry_after(1),
            _ => problem,
        }
    }

    /// Nothing of that kind goes by that name.
    pub fn not_found(kind: &str, name: &str) -> Self {
        let shown: String = name.chars().take(80).collect();
        Self::new(Slug::NotFound).with_detail(format!("There is no {kind} \"{shown}\"."))
    }

    /// Something that is the operator's to mend. The cause goes to the log, not to the client.
    pub fn internal(cause: &dyn std::fmt::Display) -> Self {
        tracing::error!(%cause, "internal error");
        Self::new(Slug::InternalError)
    }

    /// What happened this time, and what to do.
    pub fn with_detail(mut self, detail: impl Into<String>) -> Self {
        self.0.detail = Some(detail.into());
        self
    }

    /// The moves that are open instead of the one that was refused.
    pub fn with_moves(mut self, moves: impl IntoIterator<Item = &'static str>) -> Self {
        self.0.moves = Some(moves.into_iter().collect());
        self
    }

    /// Every fault of the request.
    pub fn with_faults(mut self, faults: Faults) -> Self {
        self.0.faults = faults;
        self
    }

    /// The same as [`Self::with_faults`], from faults found one by one.
    pub fn with_errors(self, faults: impl IntoIterator<Item = Fault>) -> Self {
        self.with_faults(faults.into_iter().collect())
    }

    /// Every fault told otherwise, as where it stands in what was sent.
    pub fn map_faults(mut self, tell: impl FnMut(Fault) -> Fault) -> Self {
        self.0.faults = self.0.faults.map(tell);
        self
    }

    /// When to try again.
    pub fn with_retry_after(self, seconds: u64) -> Self {
        self.with_header(RETRY_AFTER, HeaderValue::from(seconds))
    }

    /// A header field beside the document.
    pub fn with_header<N: TryInto<HeaderName>>(mut self, name: N, value: HeaderValue) -> Self {
        if let Ok(name) = name.try_into() {
            self.0.headers.append(name, value);
        }
        self
    }

    /// What it is.
    pub const fn slug(&self) -> Slug {
        self.0.slug
    }

    /// Its status.
    pub const fn status(&self) -> StatusCode {
        self.0.slug.status()
    }

    /// The document, for an answer that carries several (bulk calls).
    pub fn body(&self) -> ProblemBody {
        let counted = self.0.faults.count();
        let kept = self.0.faults.as_slice();
        let detail = self.0.detail.clone().unwrap_or_else(|| match kept {
            [] => self.0.slug.explanation().to_owned(),
            [one] => capital(&one.detail),
            _ => format!("{counted} things are wrong; `errors` names each and says what to do."),
        });
        ProblemBody {
            kind: format!("/problems/{}", self.0.slug.as_str()),
            title: self.0.slug.title().to_owned(),
            status: self.status().as_u16(),
            detail,
            instance: None,
            request_id: None,
            moves: self.0.moves.clone(),
            errors: (counted > 0).then(|| kept.to_vec()),
            errors_truncated: (counted > kept.len()).then_some(true),
        }
    }

    /// The answer, naming the request it belongs to.
    pub(super) fn answer(self, request_id: &str, path: &str) -> Response {
        let body = ProblemBody {
            instance: Some(path.to_owned()),
            request_id: Some(request_id.to_owned()),
            ..self.body()
        };
        self.with_body(&body)
    }

    fn with_body(self, body: &ProblemBody) -> Response {
        let mut response = body.clone().into_response();
        response.headers_mut().extend(self.0.headers.clone());
        if self.status() == StatusCode::UNAUTHORIZED {
            for challenge in challenges(self.0.slug) {
                let value = HeaderValue::from_static(challenge);
                response.headers_mut().append(WWW_AUTHENTICATE, value);
            }
        }
        response
    }
}

/// The ways to send a key (RFC 6750 section 3, RFC 7617 section 2).
const fn challenges(slug: Slug) -> [&'static str; 2] {
    const BASIC: &str = "Basic realm=\"offtake\", charset=\"UTF-8\"";
    match slug {
        Slug::InvalidKey => ["Bearer realm=\"offtake\", error=\"invalid_token\"", BASIC],
        _ => ["Bearer realm=\"offtake\"", BASIC],
    }
}

/// What the server depends on does not answer: the cause goes to the log.
impl From<Unavailable> for Problem {
    fn from(error: Unavailable) -> Self {
        tracing::error!(%error, "not ready");
        Self::new(Slug::NotReady)
    }
}

/// The first letter in capital, unless it is a name in back quotes.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

impl IntoResponse for Problem {
    /// The layer around every route writes the document again with the request's id.
    fn into_response(self) -> Response {
        let mut response = self.clone().with_body(&self.body());
        response.extensions_mut().insert(self);
        response
    }
}
