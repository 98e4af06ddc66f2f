//! Entries of the audit trail in answers.

use std::collections::BTreeSet;

use axum::response::Response;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;
use uuid::Uuid;

use crate::app::audit::{AuditEntry, Flaw, KeptEntry, Verdict, hashed_text, written_instant};
use crate::http::negotiate::Offer;
use crate::http::problem::Problem;
use crate::http::v1::sheet::{self, Cell, CsvForm, Page};

/// Who acted.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditActor {
    /// `key`; `link`, a customer; `command`, somebody at the machine itself; `program`, by itself.
    #[schema(example = "key")]
    kind: String,
    /// Id of the key or link.
    #[schema(value_type = Option<String>, required, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Option<Uuid>,
    /// What it is called.
    #[schema(example = "office")]
    label: String,
    /// What the key may do.
    #[schema(example = json!(["estimate"]))]
    scopes: Vec<String>,
}

/// What something was done to.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditSubject {
    /// What it is.
    #[schema(example = "quote")]
    kind: String,
    /// Its id or number.
    #[schema(example = "Q-2026-0001")]
    id: String,
    /// The version it came to; of a quote, the revision.
    #[schema(required, example = 1)]
    version: Option<i64>,
}

/// An entry of the audit trail.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AuditEntry)]
pub struct AuditEntryOut {
    /// Its number, from 1 without gaps.
    #[schema(example = 12)]
    number: i64,
    /// When it was done, to the microsecond.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36.500000Z")]
    at: String,
    /// Who did it.
    actor: AuditActor,
    /// What was done.
    #[schema(example = "quote_issued")]
    deed: String,
    /// To what.
    subject: AuditSubject,
    /// What changed, as far as is written down.
    #[schema(value_type = Object, example = json!({"net": "1240.00"}))]
    detail: Value,
    /// The hash of the entry before; zeros in the first.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    previous: String,
    /// Its own hash.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    hash: String,
}

impl AuditEntryOut {
    /// From what is kept.
    ///
    /// # Errors
    /// 500 when its detail does not read.
    pub fn of(entry: AuditEntry) -> Result<Self, Problem> {
        let detail =
            serde_json::from_str(&entry.detail).map_err(|error| Problem::internal(&error))?;
        Ok(Self {
            number: entry.number,
            at: written_instant(entry.at),
            actor: AuditActor {
                kind: entry.actor,
                id: entry.actor_id,
                label: entry.actor_label,
                scopes: entry
                    .actor_scopes
                    .split_whitespace()
                    .map(str::to_owned)
                    .collect(),
            },
            deed: entry.deed,
            subject: AuditSubject {
                kind: entry.subject,
                id: entry.subject_id,
                version: entry.subject_version,
            },
            detail,
            previous: entry.previous,
            hash: entry.hash,
        })
    }
}

const COLUMNS: [&str; 13] = [
    "number",
    "at",
    "actor",
    "actor_id",
    "actor_label",
    "deed",
    "subject",
    "subject_id",
    "version",
    "detail",
    "previous",
    "hash",
    "hashed",
];

/// Entries as a sheet. The last column is the very text that was hashed, since cells of CSV that begin like
/// a formula are not written as they are.
///
/// # Errors
/// 500 when it cannot be written.
pub fn sheet(form: Offer, entries: &[AuditEntry]) -> Result<Response, Problem> {
    let page = Page {
        name: "audit".to_owned(),
        heading: COLUMNS.map(str::to_owned).to_vec(),
        cells: entries.iter().map(row).collect::<Result<_, _>>()?,
        marked: BTreeSet::new(),
    };
    sheet::answer_pages(form, CsvForm::PLAIN, vec![page], "audit")
}

fn row(entry: &AuditEntry) -> Result<Vec<Cell>, Problem> {
    let id = entry.actor_id.map(|id| id.to_string());
    let version = entry.subject_version.map(|version| version.to_string());
    let text = |text: &str| Cell::Text(text.to_owned());
    Ok(vec![
        Cell::Number(entry.number.to_string()),
        Cell::Text(written_instant(entry.at)),
        text(&entry.actor),
        Cell::Text(id.unwrap_or_default()),
        text(&entry.actor_label),
        text(&entry.deed),
        text(&entry.subject),
        text(&entry.subject_id),
        version.map_or_else(Cell::default, Cell::Number),
        text(&entry.detail),
        text(&entry.previous),
        text(&entry.hash),
        Cell::Text(hashed_text(entry)?),
    ])
}

/// An entry to keep a note of.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditHead {
    /// Its number.
    #[schema(example = 12)]
    number: i64,
    /// Its hash.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    hash: String,
}

impl From<KeptEntry> for AuditHead {
    fn from(kept: KeptEntry) -> Self {
        Self {
            number: kept.number,
            hash: kept.hash,
        }
    }
}

/// Where the chain is broken.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditFlaw {
    /// The number of the first entry that does not fit, or that is missing.
    #[schema(example = 7)]
    number: i64,
    /// In a sentence.
    #[schema(
        example = "entry 7 was changed: what it says now does not give the hash that it holds"
    )]
    detail: String,
}

impl From<Flaw> for AuditFlaw {
    fn from(flaw: Flaw) -> Self {
        Self {
            number: flaw.number,
            detail: flaw.detail,
        }
    }
}

/// What came of walking the chain.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditVerdict {
    /// Every entry fits.
    intact: bool,
    /// Entries that fit, from the first one on.
    #[schema(example = 12)]
    entries: i64,
    /// The last of these: keep it elsewhere.
    head: Option<AuditHead>,
    /// The first that does not fit.
    flaw: Option<AuditFlaw>,
}

impl From<Verdict> for AuditVerdict {
    fn from(verdict: Verdict) -> Self {
        Self {
            intact: verdict.flaw.is_none(),
            entries: verdict.entries,
            head: verdict.head.map(AuditHead::from),
            flaw: verdict.flaw.map(AuditFlaw::from),
        }
    }
}
