//! The audit trail: who did what when, and whether that is still as it was written.

mod out;

use std::borrow::Cow;

use axum::Json;
use axum::http::header::LINK;
use axum::http::{HeaderValue, Uri};
use axum::response::{IntoResponse, Response};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};
use uuid::Uuid;

use super::quote_totals::{InstantIn, ListFormat};
use super::words::DeedWord;
use crate::app::audit::{AuditQuery, KeptEntry, NoNote};
use crate::http::auth::{MayAdmin, State};
use crate::http::negotiate::{CSV, JSON, Negotiator, XLSX};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{At, Faults, FromWire, Text, WireQuery, code, given, wire_query};

pub use out::{AuditEntryOut, AuditVerdict};

wire_query! {
    /// Which entries.
    pub struct AuditEntriesQuery {
        /// Only what was done with the key or link of this id.
        #[example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"]
        actor: Option<Uuid>,
        /// Only deeds of this kind.
        #[example = "quote_issued"]
        deed: Option<DeedWord>,
        /// Only what was done to the thing of this id or number.
        #[example = "Q-2026-0001"]
        subject: Option<Text<200>>,
        /// Only what was done at that instant or later.
        #[example = "2026-11-01T00:00:00Z"]
        from: Option<InstantIn>,
        /// Only what was done before that instant.
        #[example = "2026-12-01T00:00:00Z"]
        to: Option<InstantIn>,
        /// Items of a page.
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
        /// The form; else by `Accept`, and JSON when that does not mind.
        #[example = "json"]
        format: Option<ListFormat>,
    }
}

/// The note of an entry that somebody has kept elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptIn(KeptEntry);

impl FromWire for KeptIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let kept = value.as_str().unwrap_or_default().parse();
        if kept.is_err() {
            let detail = format!("{} is {}; {NoNote}", at.name(), given(value));
            faults.report(at, code::UNKNOWN_VALUE, detail);
        }
        kept.ok().map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        NoNote.to_string().into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some("^[1-9][0-9]{0,17}:[0-9A-Fa-f]{64}$"))
            .into()
    }
}

wire_query! {
    /// What to hold the chain against.
    pub struct VerifyQuery {
        /// An entry that you have kept a note of: its number and its hash, with a colon between. Says, too, whether
        /// that entry is still there and still the same.
        #[example = "1:9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"]
        kept: Option<KeptIn>,
    }
}

/// The audit trail
///
/// Scope `admin`. Every change with who made it, oldest first. Each entry holds the hash of the one
/// before and its own: the SHA-256 of the entry without `hash`, as canonical JSON (RFC 8785). As a sheet
/// by `Accept` or `?format=` (CSV or XLSX); there `hashed` is the very text that was hashed, and `next`
/// stands in the `Link` field. What such a chain proves, and what it does not, is told in `docs/audit.md`.
#[utoipa::path(get, path = "/v1/audit", tag = "shop", params(AuditEntriesQuery),
    responses((status = 200, description = "A page of entries.", content(
        (Page<AuditEntryOut> = "application/json"), (String = "text/csv"),
        (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")))))]
pub async fn list_audit_entries(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    uri: Uri,
    WireQuery(query): WireQuery<AuditEntriesQuery>,
) -> Result<Response, Problem> {
    let asked = query.format.map(ListFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, CSV, XLSX])?;
    let size = query.limit.unwrap_or_default().get();
    let wanted = AuditQuery {
        after: query
            .after
            .as_ref()
            .map(Cursor::key)
            .transpose()?
            .unwrap_or(0),
        actor_id: query.actor,
        deed: query.deed.map(|deed| deed.0.word().to_owned()),
        subject_id: query.subject.map(Text::into_string),
        from: query.from.map(InstantIn::get),
        to: query.to.map(InstantIn::get),
    };
    let mut found = state
        .app()
        .audit_entries(&wanted, size.saturating_add(1))
        .await?;
    let more = found.len() > size as usize;
    found.truncate(size as usize);
    let next = match found.last() {
        Some(last) if more => Some(Cursor::of(&last.number)?),
        _ => None,
    };
    if form.is(JSON) {
        let items = found.into_iter().map(AuditEntryOut::of);
        return Ok(Page::new(items.collect::<Result<_, _>>()?, next, &uri).into_response());
    }
    let mut response = out::sheet(form, &found)?;
    let next = Page::<()>::new(Vec::new(), next, &uri).next;
    let link = next.and_then(|next| HeaderValue::try_from(format!("<{next}>; rel=\"next\"")).ok());
    if let Some(link) = link {
        response.headers_mut().append(LINK, link);
    }
    Ok(response)
}

/// Verify the audit trail
///
/// Scope `admin`. Walks the whole chain: how many entries fit, the last of these, and the first that does
/// not. Keep `head` where whoever can write the database cannot, and send it as `kept` next time: then
/// a chain that was written anew is found, too.
#[utoipa::path(get, path = "/v1/audit/verify", tag = "shop", params(VerifyQuery),
    responses((status = 200, description = "What came of it.", body = AuditVerdict)))]
pub async fn verify_audit(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<VerifyQuery>,
) -> Result<Json<AuditVerdict>, Problem> {
    let kept = query.kept.map(|kept| kept.0);
    Ok(Json(state.app().verify_audit(kept.as_ref()).await?.into()))
}
