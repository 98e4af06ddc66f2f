//! The audit trail: who did what when, for every change, as a chain in which each entry holds the hash
//! of the one before.
//!
//! A use case that writes calls [`App::record`] last in its transaction, so that no change is ever
//! without its entry, and no entry without its change. `docs/audit.md` says what is hashed, and
//! what such a chain can and cannot prove.

mod chain;
mod done;

use std::str::FromStr;

use serde_json::Value;

use super::{App, AppError};
use crate::store::audit::{self, AuditFilter, AuditRow};
use crate::store::{Db, Tx};

pub use crate::store::audit::{AuditFilter as AuditQuery, AuditRow as AuditEntry};
pub(in crate::app) use chain::sha256;
pub use chain::{Chain, Flaw, GENESIS, hashed_text, written_instant};
pub(super) use done::{Done, content, differences};

/// Entries that are read at a time.
const BATCH: i64 = 500;

/// An entry that somebody has kept a note of elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptEntry {
    /// Its number.
    pub number: i64,
    /// Its hash, in lower-case hex.
    pub hash: String,
}

/// A text that is no note of an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("give the number of an entry and its hash with a colon between, such as 12:9f86d0...")]
pub struct NoNote;

impl FromStr for KeptEntry {
    type Err = NoNote;

    fn from_str(text: &str) -> Result<Self, NoNote> {
        let (number, hash) = text.trim().split_once(':').ok_or(NoNote)?;
        let number = number.parse().ok().filter(|number| *number > 0);
        let hash = hash.to_ascii_lowercase();
        let is_hash = hash.len() == GENESIS.len() && hash.bytes().all(|b| b.is_ascii_hexdigit());
        match number {
            Some(number) if is_hash => Ok(Self { number, hash }),
            _ => Err(NoNote),
        }
    }
}

/// What came of walking the chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Entries that fit, from the first one on.
    pub entries: i64,
    /// The last of these.
    pub head: Option<KeptEntry>,
    /// The first that does not fit, if any.
    pub flaw: Option<Flaw>,
}

impl App {
    /// Writes down what is done in this transaction, and by whom. Call it last: until the transaction
    /// ends, others who change anything wait.
    ///
    /// # Errors
    /// When the database fails.
    pub(super) async fn record(&self, tx: &mut Tx, done: Done) -> Result<(), AppError> {
        record_all(tx, vec![(self, done)]).await
    }

    fn entry(&self, number: i64, previous: String, done: Done) -> Result<AuditRow, AppError> {
        let actor = self.actor();
        let mut entry = AuditRow {
            number,
            at: self.now(),
            actor: actor.kind().to_owned(),
            actor_id: actor.id(),
            actor_label: actor.label().to_owned(),
            actor_scopes: actor.scopes().to_owned(),
            deed: done.deed.word().to_owned(),
            subject: done.deed.subject().to_owned(),
            subject_id: done.subject,
            subject_version: done.version,
            detail: chain::canonical(&Value::Object(done.detail))?,
            previous,
            hash: String::new(),
        };
        entry.hash = chain::hash(&entry)?;
        Ok(entry)
    }

    /// Up to `limit` entries, oldest first.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn audit_entries(
        &self,
        query: &AuditQuery,
        limit: u32,
    ) -> Result<Vec<AuditEntry>, AppError> {
        let mut tx = self.db().read().await?;
        Ok(audit::page(&mut tx, query, i64::from(limit)).await?)
    }

    /// Walks the whole chain. With the note of an entry, also says whether that entry is still there
    /// and still the same.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn verify_audit(&self, kept: Option<&KeptEntry>) -> Result<Verdict, AppError> {
        let mut chain = Chain::new(kept.cloned());
        let flaw = walk(self.db(), &mut chain).await?;
        Ok(Verdict {
            entries: chain.number(),
            head: chain.head(),
            flaw,
        })
    }
}

/// Writes down what is done in this transaction, one thing at least, each by whom; as [`App::record`] does.
pub(super) async fn record_all(tx: &mut Tx, done: Vec<(&App, Done)>) -> Result<(), AppError> {
    let (first, previous) = audit::next(tx, done.len() as i64).await?;
    let mut previous = previous.unwrap_or_else(|| GENESIS.to_owned());
    let mut entries = Vec::with_capacity(done.len());
    for (number, (app, done)) in (first..).zip(done) {
        let entry = app.entry(number, previous, done)?;
        previous = entry.hash.clone();
        entries.push(entry);
    }
    audit::insert(tx, &entries).await?;
    Ok(())
}

async fn walk(db: &Db, chain: &mut Chain) -> Result<Option<Flaw>, AppError> {
    let mut tx = db.read().await?;
    loop {
        let filter = AuditFilter {
            after: chain.number(),
            ..AuditFilter::default()
        };
        let entries = audit::page(&mut tx, &filter, BATCH).await?;
        if entries.is_empty() {
            break;
        }
        for entry in &entries {
            if let Err(flaw) = chain.follow(entry) {
                return Ok(Some(flaw));
            }
        }
    }
    let given = audit::last_number(&mut tx).await?;
    Ok(chain.end(given).err())
}
