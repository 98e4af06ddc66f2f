//! The papers of a quote.

use axum::http::HeaderValue;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;

use super::etag;
use crate::app::quotes::{KeptPaper, QuoteView};
use crate::http::auth::{MayEstimateOrAccount, State};
use crate::http::etag::Tagged;
use crate::http::linked::policy;
use crate::http::negotiate::{HTML, JSON, Negotiator, Offer, PDF, UBL, XLSX};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{WirePath, WireQuery, wire_enum, wire_query};

wire_enum! {
    /// The form of a document.
    pub enum DocumentFormat {
        /// A printable paper: PDF/A-3a, tagged for screen readers (PDF/UA-1), with the JSON and the UBL attached.
        Pdf = "pdf",
        /// The same content as a page to read.
        Html = "html",
        /// The same content as a workbook, its sums as formulas.
        Xlsx = "xlsx",
        /// The same content as JSON.
        Json = "json",
        /// The same content as OASIS UBL 2.1 `Quotation`.
        Ubl = "ubl",
    }
}

wire_query! {
    /// In which form.
    pub struct DocumentQuery {
        /// The form; else by `Accept`, and PDF when that does not mind.
        #[example = "pdf"]
        format: Option<DocumentFormat>,
    }
}

/// The paper of a quote
///
/// Scope `estimate` or `account`. By `?format=` or `Accept` as `application/pdf`, `text/html`, a workbook,
/// `application/json` or `application/xml` (OASIS UBL 2.1): what the customer may see, without the build-up of the price.
/// The PDF of an issued revision is made once and kept: it is the same bytes for ever, and `Repr-Digest` says which.
/// That digest is in the audit trail, too, as `quote_printed`.
#[utoipa::path(get, path = "/v1/quotes/{number}/revisions/{revision}/document", tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote.", example = "Q-2026-0001"),
        ("revision" = u32, Path, description = "Which revision, from 1.", example = 1), DocumentQuery),
    responses(
        (status = 200, description = "The paper.",
            headers(("Repr-Digest" = String, description = "SHA-256 of the PDF of an issued revision (RFC 9530).")), content(
            (Vec<u8> = "application/pdf"), (String = "text/html"), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"), (serde_json::Value = "application/json"), (String = "application/xml"))),
        (status = 404, description = "There is no such quote or revision.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "A template of the shop's own, which the revision froze, does not take this quote.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_quote_document(
    _caller: MayEstimateOrAccount,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<DocumentQuery>,
    WirePath((number, revision)): WirePath<(String, u32)>,
) -> Result<Response, Problem> {
    let form = query.form(negotiator)?;
    let view = state
        .app()
        .quote_revision(&number, i64::from(revision))
        .await?;
    paper(&state, view, form).await
}

impl DocumentQuery {
    /// The form that is wanted.
    ///
    /// # Errors
    /// 406 when it is none of ours.
    pub fn form(&self, negotiator: Negotiator) -> Result<Offer, Problem> {
        let asked = self.format.map(DocumentFormat::as_str);
        negotiator
            .asked(asked)
            .choose(&[PDF, HTML, XLSX, JSON, UBL])
    }
}

/// The paper of a revision in a form, made off the serving threads.
///
/// # Errors
/// 503 when too much is being made already, 500 when it cannot be made.
pub async fn paper(state: &ApiState, view: QuoteView, form: Offer) -> Result<Response, Problem> {
    let tag = etag(view.mark());
    let (number, revision) = (view.quote.number.clone(), view.revision.revision);
    let (media, ending) = media_and_ending(form);
    let (body, digest) = if form.is(PDF) {
        let paper = printed(state, view).await?;
        (paper.content, paper.sha256)
    } else {
        let quote = state.app().printable(view).await?;
        let job = move || match ending {
            "xml" => quote.ubl(),
            "xlsx" => quote.xlsx(),
            "html" => quote.html().map(String::into_bytes),
            _ => quote.offer().map(String::into_bytes),
        };
        (state.heavy().run(job).await??, None)
    };
    let mut response = Tagged(tag, body).into_response();
    let headers = response.headers_mut();
    if let Some(digest) = digest.and_then(|digest| repr_digest(&digest)) {
        headers.insert("repr-digest", digest);
    }
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(media));
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
    if form.is(HTML)
        && let Ok(policy) = HeaderValue::try_from(policy())
    {
        headers.insert(CONTENT_SECURITY_POLICY, policy);
    }
    if let Ok(name) =
        HeaderValue::try_from(format!("inline; filename=\"{number}-{revision}.{ending}\""))
    {
        headers.insert(CONTENT_DISPOSITION, name);
    }
    Ok(response)
}

/// The PDF of a revision. That of an issued one is made once, off the serving threads, and kept.
///
/// # Errors
/// 503 when too much is being made already, 500 when it cannot be made or kept.
pub async fn printed(state: &ApiState, view: QuoteView) -> Result<KeptPaper, Problem> {
    if let Some(kept) = state.app().kept_paper(&view).await? {
        return Ok(kept);
    }
    let quote = state.app().printable(view).await?;
    let print = move || quote.pdf().map(|content| (quote.view, content));
    let (view, content) = state.heavy().run(print).await??;
    Ok(state.app().keep_paper(&view, content).await?)
}

/// The digest of a whole representation (RFC 9530), from lower-case hex.
fn repr_digest(hex: &str) -> Option<HeaderValue> {
    let octet = |place| u8::from_str_radix(hex.get(place..place + 2)?, 16).ok();
    let octets: Option<Vec<u8>> = (0..hex.len()).step_by(2).map(octet).collect();
    let text = base64::engine::general_purpose::STANDARD.encode(octets?);
    HeaderValue::try_from(format!("sha-256=:{text}:")).ok()
}

/// The content type of a form, and how its file's name ends.
fn media_and_ending(form: Offer) -> (&'static str, &'static str) {
    if form.is(PDF) {
        ("application/pdf", "pdf")
    } else if form.is(HTML) {
        ("text/html; charset=utf-8", "html")
    } else if form.is(XLSX) {
        (XLSX.media, "xlsx")
    } else if form.is(UBL) {
        ("application/xml; charset=utf-8", "xml")
    } else {
        ("application/json; charset=utf-8", "json")
    }
}
