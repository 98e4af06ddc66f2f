//! The pages that problem types point to, made from the catalogue.

use super::{Problem, ProblemBody, Slug};
use crate::http::negotiate::{HTML, JSON, Negotiator};
use crate::http::page::{escape, page, prose};
use crate::http::state::ApiState;
use crate::http::wire::{CODES, WirePath};
use axum::Json;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// The routes of the catalogue.
pub(in crate::http) fn routes() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(list_problems))
        .routes(routes!(get_problem))
}

/// A kind of problem.
#[derive(Debug, Serialize, ToSchema)]
struct ProblemKind {
    /// Its address, as in the `type` of a problem document.
    #[serde(rename = "type")]
    #[schema(example = "/problems/stale")]
    kind: String,
    /// The kind in a few words.
    #[schema(example = "It has changed since you read it")]
    title: &'static str,
    /// The status it is answered with.
    #[schema(example = 412)]
    status: u16,
    /// What has happened.
    #[schema(example = "The `If-Match` field names a version that is no longer the current one.")]
    explanation: &'static str,
    /// What the caller can do about it.
    #[schema(example = "Fetch it again and send your change with the new `ETag`.")]
    remedy: &'static str,
}

/// A code of a fault.
#[derive(Debug, Serialize, ToSchema)]
struct FaultKind {
    /// The code, as in `errors` of a problem document.
    #[schema(value_type = String, example = "unit_missing")]
    code: &'static str,
    /// What it means.
    #[schema(value_type = String, example = "A quantity without its unit.")]
    meaning: &'static str,
}

/// The kinds of problem.
#[derive(Debug, Serialize, ToSchema)]
struct ProblemKinds {
    /// Every kind there is.
    items: Vec<ProblemKind>,
    /// Every code that an entry of `errors` can have. There may be more in later versions.
    codes: Vec<FaultKind>,
}

impl From<Slug> for ProblemKind {
    fn from(slug: Slug) -> Self {
        Self {
            kind: format!("/problems/{}", slug.as_str()),
            title: slug.title(),
            status: slug.status().as_u16(),
            explanation: slug.explanation(),
            remedy: slug.remedy(),
        }
    }
}

/// Every kind of problem
///
/// The catalogue of everything that can be wrong, for people (HTML, the default here) or programs (JSON).
#[utoipa::path(get, path = "/problems", tag = "meta", security(()),
    responses(
        (status = 200, description = "The catalogue.", content((ProblemKinds = "application/json"), (String = "text/html"))),
        (status = 406, description = "Neither HTML nor JSON is wanted.", body = ProblemBody, content_type = "application/problem+json"),
    ))]
async fn list_problems(negotiator: Negotiator) -> Result<Response, Problem> {
    let items: Vec<ProblemKind> = Slug::ALL.iter().copied().map(Into::into).collect();
    if negotiator.choose(&[HTML, JSON])?.is(JSON) {
        let kind = |(code, meaning): &(&'static str, &'static str)| FaultKind { code, meaning };
        let codes = CODES.iter().map(kind).collect();
        return Ok(Json(ProblemKinds { items, codes }).into_response());
    }
    let rows: String = items
        .iter()
        .map(|item| {
            format!(
                "<tr><td>{}</td><td><a href=\"{}\">{}</a></td></tr>\n",
                item.status,
                item.kind,
                escape(item.title)
            )
        })
        .collect();
    let codes: String = CODES
        .iter()
        .map(|(code, meaning)| {
            format!(
                "<tr id=\"{code}\"><td><code>{code}</code></td><td>{}</td></tr>\n",
                prose(meaning)
            )
        })
        .collect();
    let content = format!(
        "<p>Each kind of problem this API reports, by status.</p>\n\
         <table><thead><tr><th>Status</th><th>Problem</th></tr></thead><tbody>\n{rows}</tbody></table>\n\
         <h2>Codes of faults</h2>\n<p>Each entry of <code>errors</code> has one of these codes.</p>\n\
         <table><thead><tr><th>Code</th><th>Meaning</th></tr></thead><tbody>\n{codes}</tbody></table>"
    );
    Ok(page("Problems", &content).into_response())
}

/// One kind of problem
///
/// What it means and what to do about it, for people (HTML, the default here) or programs (JSON).
#[utoipa::path(get, path = "/problems/{slug}", tag = "meta", security(()),
    params(("slug" = String, Path, description = "Name of the kind.", example = "stale")),
    responses(
        (status = 200, description = "The kind.", content((ProblemKind = "application/json"), (String = "text/html"))),
        (status = 404, description = "There is no such kind.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "Neither HTML nor JSON is wanted.", body = ProblemBody, content_type = "application/problem+json"),
    ))]
async fn get_problem(
    negotiator: Negotiator,
    WirePath(name): WirePath<String>,
) -> Result<Response, Problem> {
    let slug = Slug::ALL
        .iter()
        .copied()
        .find(|slug| slug.as_str() == name)
        .ok_or_else(|| Problem::not_found("kind of problem", &name))?;
    let kind = ProblemKind::from(slug);
    if negotiator.choose(&[HTML, JSON])?.is(JSON) {
        return Ok(Json(kind).into_response());
    }
    let content = format!(
        "<p>Status {}</p>\n<h2>What has happened</h2>\n<p>{}</p>\n<h2>What to do</h2>\n<p>{}</p>\n\
         <p><a href=\"/problems\">All problems</a></p>",
        kind.status,
        prose(kind.explanation),
        prose(kind.remedy)
    );
    Ok(page(kind.title, &content).into_response())
}
