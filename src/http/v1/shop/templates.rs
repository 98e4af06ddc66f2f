//! Templates of the quotation that a shop may replace.

use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::AppError;
use crate::documents::file_fault::Place;
use crate::http::auth::{MayAdmin, State};
use crate::http::etag::{Etag, Tagged};
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::v1::kept::TrialQuery;
use crate::http::wire::{RawBody, WirePath, WireQuery};
use crate::shop::own::TemplateName;

/// The media types that are read.
const TEXTS: &str = "text/plain";

/// A template, as it is for documents to come.
#[derive(Debug, Serialize, ToSchema)]
pub struct TemplateOut {
    /// Its name.
    #[schema(value_type = String, example = "quote.typ")]
    name: &'static str,
    /// Whether it is the shop's own.
    #[schema(example = true)]
    own: bool,
    /// How many bytes it has.
    #[schema(example = 2048)]
    bytes: usize,
}

fn named(name: &str) -> Result<TemplateName, Problem> {
    let known = TemplateName::ALL.into_iter().find(|it| it.file() == name);
    known.ok_or_else(|| {
        let names = TemplateName::ALL.map(TemplateName::file).join(" and ");
        Problem::new(Slug::NotFound)
            .with_detail(format!("There is no such template; there are {names}."))
    })
}

fn text(body: &RawBody) -> Result<String, Problem> {
    body.expect(TEXTS)?;
    let bytes = body
        .bytes
        .strip_prefix(b"\xEF\xBB\xBF")
        .unwrap_or(&body.bytes);
    String::from_utf8(bytes.to_vec()).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let place = Place::of_byte(&String::from_utf8_lossy(bytes), valid);
        Problem::new(Slug::MalformedBody).with_detail(format!(
            "The template is not text in UTF-8 from {place} on; save it as UTF-8."
        ))
    })
}

/// A template
///
/// Scope `admin`. The one that documents to come are made with: the shop's own, else the built-in one, which is a
/// good place to begin. `docs/templates.md` tells what each is given.
#[utoipa::path(get, path = "/v1/shop/templates/{name}", tag = "shop",
    params(("name" = String, Path, description = "`quote.html`, the page, or `quote.typ`, the paper.", example = "quote.typ")),
    responses(
        (status = 200, description = "Its text.", body = String, content_type = "text/plain",
            headers(("ETag" = String, description = "Its version."))),
        (status = 404, description = "There is no such template.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_template(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(name): WirePath<String>,
) -> Result<Response, Problem> {
    let name = named(&name)?;
    let template = state.app().template(name).await?;
    let tag = Etag::of_bytes(template.text.as_bytes());
    let mut response = Tagged(tag, template.text).into_response();
    // A browser that opens it shows its text, not the page it would make.
    let shown = HeaderValue::from_static("text/plain; charset=utf-8");
    response.headers_mut().insert(CONTENT_TYPE, shown);
    Ok(response)
}

/// Put a template in place of the built-in one
///
/// Scope `admin`. Sample quotes are made with it first, in a process of their own: what does not parse or fails, takes
/// more than 10 seconds or too much memory, or leaves a customer without the forms to answer, is refused, each fault by line and column where it has
/// a place. Quotes made from now on are made with it; those there are keep what they froze.
#[utoipa::path(put, path = "/v1/shop/templates/{name}", tag = "shop",
    params(TrialQuery, ("name" = String, Path, description = "`quote.html`, the page (Jinja syntax), or `quote.typ`, the paper (Typst).", example = "quote.typ")),
    request_body(description = "The template.", content = String, content_type = "text/plain",
        example = json!("#let q = json(\"quote.json\")\n#let w = json(\"words.json\")\n#let d = q.document_date\n#set document(title: w.quotation + \" \" + q.number, date: datetime(year: d.year, month: d.month, day: d.day))\n#set page(paper: q.paper)\n#set text(lang: w.lang)\n= #w.quotation #q.number\n#for line in q.schedule [- #line.quantity #text(line.description): #line.amount\n]\n#for total in q.totals [- #text(total.amount)\n]\n")),
    responses((status = 200, description = "The template.", body = TemplateOut),
        (status = 404, description = "There is no such template.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn put_template(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(name): WirePath<String>,
    WireQuery(trial): WireQuery<TrialQuery>,
    body: RawBody,
) -> Result<Json<TemplateOut>, Problem> {
    let name = named(&name)?;
    let text = text(&body)?;
    let out = TemplateOut {
        name: name.file(),
        own: true,
        bytes: text.len(),
    };
    let (shop, _) = state.app().current_shop().await?;
    let app = state.app().clone();
    let work = move || app.check_template(&shop, name, text);
    let checked = state.heavy().run(work).await??;
    if !trial.is_trial() {
        state.app().set_template(&checked).await?;
    }
    Ok(Json(out))
}

/// Put the built-in template back
///
/// Scope `admin`. Quotes made from now on are made with it; those there are keep what they froze.
#[utoipa::path(delete, path = "/v1/shop/templates/{name}", tag = "shop",
    params(("name" = String, Path, description = "`quote.html`, the page, or `quote.typ`, the paper.", example = "quote.typ")),
    responses((status = 204, description = "The built-in one is in its place."),
        (status = 404, description = "It was, or there is no such template.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn delete_template(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(name): WirePath<String>,
) -> Result<StatusCode, Problem> {
    let name = named(&name)?;
    match state.app().remove_template(name).await {
        Ok(_) => Ok(StatusCode::NO_CONTENT),
        Err(AppError::NotFound { .. } | AppError::NoShop) => Err(Problem::new(Slug::NotFound)
            .with_detail(format!(
                "The shop has no {} of its own: the built-in one is in its place.",
                name.file()
            ))),
        Err(error) => Err(error.into()),
    }
}
