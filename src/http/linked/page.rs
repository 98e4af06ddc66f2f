//! The customer's page: whoever holds the link sees the quotation and answers it, without a key.

use axum::Router;
use axum::extract::rejection::FormRejection;
use axum::extract::{Form, Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, LOCATION};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{Html, IntoResponse, Response};
use axum::routing::{get, post};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

use super::PLACE;
use crate::app::AppError;
use crate::app::links::OfferAnswer;
use crate::app::quotes::PrintableQuote;
use crate::documents::page::{Desk, Notice, STYLE, notice_page};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::v1::quotes::printed;
use crate::http::wire::{is_unseen, unfit};
use crate::shop::link::{Act, Standing};

/// The pages. They are for people, and not part of the described interface.
pub(super) fn routes() -> Router<ApiState> {
    Router::new()
        .route("/q/{token}", get(show))
        .route("/q/{token}/quote.pdf", get(paper))
        .route("/q/{token}/accept", post(accept).get(back))
        .route("/q/{token}/decline", post(decline).get(back))
}

/// What a page may load and do: its own style and pictures inside it, and send its forms here.
pub(in crate::http) fn policy() -> String {
    let hash = STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    format!(
        "default-src 'none'; style-src 'sha256-{hash}'; img-src data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
}

/// The quote of a live link, else the page that says why there is none.
async fn opened(
    state: &ApiState,
    token: &str,
    act: Option<Act>,
) -> Result<PrintableQuote, Response> {
    let offered = state
        .app()
        .offered_quote(token, act)
        .await
        .map_err(apology)?;
    let standing = offered.standing;
    let quote = state.app().printable(offered.view).await.map_err(apology)?;
    let notice = match standing {
        Standing::Live => return Ok(quote),
        Standing::Expired => Notice::Expired,
        Standing::Revoked => Notice::Revoked,
    };
    Err(written(StatusCode::GONE, quote.notice(notice)))
}

/// Writes the page; one of the shop's own takes a process, and so a place among heavy work. Where there is none,
/// ours is shown: a customer must be able to answer.
async fn drawn(
    state: &ApiState,
    quote: PrintableQuote,
    write: impl Fn(&PrintableQuote) -> Result<String, AppError> + Clone + Send + 'static,
) -> Result<String, Problem> {
    if !quote.has_own_page() {
        return Ok(write(&quote)?);
    }
    let (ours, own) = (quote.with_our_page(), write.clone());
    match state.heavy().run(move || own(&quote)).await {
        Ok(page) => Ok(page?),
        Err(_) => Ok(write(&ours)?),
    }
}

fn written(status: StatusCode, page: Result<String, AppError>) -> Response {
    match page {
        Ok(text) => (status, Html(text)).into_response(),
        Err(error) => Problem::from(error).into_response(),
    }
}

fn shown(status: StatusCode, page: Result<String, Problem>) -> Response {
    match page {
        Ok(text) => (status, Html(text)).into_response(),
        Err(problem) => sorry(&problem),
    }
}

/// What went wrong, for somebody who knows nothing of this service; its cause goes to the log.
fn apology(error: AppError) -> Response {
    sorry(&Problem::from(error))
}

fn sorry(problem: &Problem) -> Response {
    let notice = match problem.slug() {
        Slug::NotFound => Notice::Unknown,
        _ => Notice::Unavailable,
    };
    let page = notice_page(notice, None).map_err(|error| AppError::Document(Box::new(error)));
    written(problem.status(), page)
}

async fn show(
    State(state): State<ApiState>,
    method: Method,
    Path(token): Path<String>,
) -> Response {
    // Asking for the head alone is no look at the page.
    let act = (method == Method::GET).then_some(Act::Viewed);
    let offered = match opened(&state, &token, act).await {
        Ok(offered) => offered,
        Err(instead) => return instead,
    };
    let base = format!("{PLACE}{token}");
    let page = drawn(&state, offered, move |quote| {
        let desk = Desk {
            base: &base,
            ..Desk::default()
        };
        quote.customer_page(&desk)
    });
    shown(StatusCode::OK, page.await)
}

async fn paper(
    State(state): State<ApiState>,
    method: Method,
    Path(token): Path<String>,
) -> Result<Response, Problem> {
    let act = (method == Method::GET).then_some(Act::Downloaded);
    let offered = match opened(&state, &token, act).await {
        Ok(offered) => offered,
        Err(instead) => return Ok(instead),
    };
    let name = format!(
        "inline; filename=\"{}-{}.pdf\"",
        offered.view.quote.number, offered.view.revision.revision
    );
    let printed = printed(&state, offered.view).await?;
    let mut response = printed.content.into_response();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static("application/pdf"));
    if let Ok(name) = HeaderValue::try_from(name) {
        headers.insert(CONTENT_DISPOSITION, name);
    }
    Ok(response)
}

/// Somebody opens the address that a form was sent to.
async fn back(Path(token): Path<String>) -> Response {
    see(&token)
}

fn see(token: &str) -> Response {
    let mut response = StatusCode::SEE_OTHER.into_response();
    if let Ok(place) = HeaderValue::try_from(format!("{PLACE}{token}")) {
        response.headers_mut().insert(LOCATION, place);
    }
    response
}

type Entries = Result<Form<Vec<(String, String)>>, FormRejection>;

/// What was entered; an answer that is not a form counts as nothing entered.
struct Entered {
    /// Field by field.
    fields: BTreeMap<String, String>,
    /// Names of the options that were chosen, each once.
    options: Vec<String>,
}

impl Entered {
    fn of(entries: Entries) -> Self {
        let entries = entries.map(|Form(entries)| entries).unwrap_or_default();
        let mut options: Vec<String> = Vec::new();
        let is_choice = |field: &str| field == "option" || field.starts_with("alternate-");
        let chosen = entries.iter().filter(|(field, _)| is_choice(field));
        for name in chosen.map(|(_, name)| name.trim()) {
            // A build as quoted has no name.
            if !name.is_empty() && !options.iter().any(|known| known == name) {
                options.push(name.to_owned());
            }
        }
        Self {
            fields: entries.into_iter().collect(),
            options,
        }
    }

    fn text(&self, field: &str) -> &str {
        self.fields
            .get(field)
            .map_or("", |text| text.trim_matches(is_unseen))
    }

    /// As it is shown again: a text that is far too long is not sent back whole.
    fn shown(&self, field: &str) -> String {
        self.text(field).chars().take(2_000).collect()
    }

    fn check(
        &self,
        field: &'static str,
        (most, long): (usize, &'static str),
        faults: &mut Vec<(&'static str, &'static str)>,
    ) {
        let text = self.text(field);
        let unprintable = |sign: char| unfit(sign).is_some();
        if text.chars().count() > most {
            faults.push((field, long));
        } else if text.contains(unprintable) {
            faults.push((field, "control"));
        }
    }

    fn given(&self, field: &str) -> Option<String> {
        let text = self.text(field);
        (!text.is_empty()).then(|| text.to_owned())
    }
}

type Faults = Vec<(&'static str, &'static str)>;

async fn accept(
    State(state): State<ApiState>,
    Path(token): Path<String>,
    entries: Entries,
) -> Response {
    let entered = Entered::of(entries);
    let mut faults = Faults::new();
    if entered.text("name").is_empty() {
        faults.push(("name", "name_missing"));
    }
    entered.check("name", (200, "name_long"), &mut faults);
    entered.check("po_number", (80, "order_long"), &mut faults);
    if entered.text("agree") != "yes" {
        faults.push(("agree", "agree_missing"));
    }
    let answer = OfferAnswer::Accept {
        name: entered.text("name").to_owned(),
        po_number: entered.given("po_number"),
        options: entered.options.clone(),
    };
    take(&state, &token, &entered, (answer, faults)).await
}

async fn decline(
    State(state): State<ApiState>,
    Path(token): Path<String>,
    entries: Entries,
) -> Response {
    let entered = Entered::of(entries);
    let mut faults = Faults::new();
    entered.check("name", (200, "name_long"), &mut faults);
    entered.check("reason", (2_000, "reason_long"), &mut faults);
    if entered.text("agree") != "yes" {
        faults.push(("agree", "sure_missing"));
    }
    let answer = OfferAnswer::Decline {
        name: entered.text("name").to_owned(),
        reason: entered.given("reason"),
    };
    take(&state, &token, &entered, (answer, faults)).await
}

/// Takes an answer in, or shows the page again with what stands against it.
async fn take(
    state: &ApiState,
    token: &str,
    entered: &Entered,
    (answer, mut faults): (OfferAnswer, Faults),
) -> Response {
    let offered = match opened(state, token, None).await {
        Ok(offered) => offered,
        Err(instead) => return instead,
    };
    if let OfferAnswer::Accept { options, .. } = &answer {
        let refused = offered.view.record.order(options).err();
        let refused = refused.and_then(|refused| refused.into_iter().next());
        faults.extend(refused.map(|fault| ("options", fault.code)));
    }
    let (status, refused) = if faults.is_empty() {
        match state.app().answer_offer(token, &answer).await {
            Ok(()) => return see(token),
            Err(AppError::WrongMove(_)) => (StatusCode::CONFLICT, Some("wrong_state")),
            Err(AppError::Stale | AppError::Conflict(_)) => (StatusCode::CONFLICT, Some("changed")),
            Err(error) => return apology(error),
        }
    } else {
        (StatusCode::UNPROCESSABLE_ENTITY, None)
    };
    // Read again: what it is now is part of the answer.
    let offered = match opened(state, token, None).await {
        Ok(offered) => offered,
        Err(instead) => return instead,
    };
    let base = format!("{PLACE}{token}");
    let (name, po_number, reason) = (
        entered.shown("name"),
        entered.shown("po_number"),
        entered.shown("reason"),
    );
    let accepting = matches!(answer, OfferAnswer::Accept { .. });
    let (accept_faults, decline_faults) = match accepting {
        true => (faults, Faults::new()),
        false => (Faults::new(), faults),
    };
    let options = entered.options.clone();
    let page = drawn(state, offered, move |quote| {
        let desk = Desk {
            base: &base,
            name: &name,
            po_number: &po_number,
            options: &options,
            reason: &reason,
            accept_faults: accept_faults.clone(),
            decline_faults: decline_faults.clone(),
            refused,
        };
        quote.customer_page(&desk)
    });
    shown(status, page.await)
}
