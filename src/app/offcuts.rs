//! The offcut rack.

use std::sync::Arc;

use jiff::Timestamp;
use serde_json::json;
use uuid::Uuid;

use super::audit::Done;
use super::drafts::{damaged, settled, stored_word};
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::cut_plan::CutLength;
use crate::shop::offcut::{NewOffcut, OffcutMove, OffcutStanding, OffcutState};
use crate::store::offcuts::{self, OffcutChange, OffcutFilter, OffcutRow};
use crate::store::{Tx, Written};
use crate::trade::tube::{Temper, Tube};

const KIND: &str = "offcut";

/// An offcut that is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownOffcut {
    /// Its id.
    pub id: Uuid,
    /// Its tube.
    pub tube: Arc<Tube>,
    /// Its temper.
    pub temper: Temper,
    /// What is written on it; may be empty.
    pub label: String,
    /// Where it stands.
    pub standing: OffcutStanding,
    /// Counted from 1 with each move.
    pub version: i64,
    /// When it was put on the rack first.
    pub created_at: Timestamp,
    /// When it was last moved.
    pub changed_at: Timestamp,
}

/// What was done with an offcut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffcutMoved {
    /// `add`, `reserve`, `take` or `return`.
    pub made: String,
    /// The job it was for.
    pub job: Option<String>,
    /// The length afterwards.
    pub length: CutLength,
    /// When.
    pub at: Timestamp,
}

/// Which offcuts are wanted. What is `None` does not narrow it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OffcutSearch {
    /// Id of the tube.
    pub tube: Option<String>,
    /// Where they stand.
    pub state: Option<OffcutState>,
    /// The job they are reserved or taken for.
    pub job: Option<String>,
}

impl OffcutSearch {
    fn filter(&self) -> OffcutFilter {
        OffcutFilter {
            tube: self.tube.clone(),
            state: self.state.map(|state| state.word().to_owned()),
            job: self.job.clone(),
        }
    }
}

impl App {
    fn known_offcut(&self, row: OffcutRow) -> Result<KnownOffcut, AppError> {
        let tube = self.catalogue().tube(&row.tube);
        let tube = tube.ok_or_else(|| damaged(KIND, &format!("no tube {:?}", row.tube)))?;
        let standing = OffcutStanding {
            state: stored_word(KIND, &row.state, &OffcutState::ALL, OffcutState::word)?,
            job: row.job,
            length: CutLength::nanometres(row.length_nm),
        };
        Ok(KnownOffcut {
            id: row.id,
            tube: Arc::clone(tube),
            temper: stored_word(KIND, &row.temper, &Temper::ALL, Temper::word)?,
            label: row.label,
            standing,
            version: row.version,
            created_at: row.created_at,
            changed_at: row.changed_at,
        })
    }

    async fn offcut(&self, tx: &mut Tx, id: Uuid) -> Result<KnownOffcut, AppError> {
        let row = offcuts::get(tx, id).await?;
        self.known_offcut(row.ok_or_else(|| AppError::not_found(KIND, id))?)
    }

    /// The offcut of an id, and what was done with it, oldest first.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn find_offcut(&self, id: Uuid) -> Result<(KnownOffcut, Vec<OffcutMoved>), AppError> {
        let mut tx = self.db().read().await?;
        let known = self.offcut(&mut tx, id).await?;
        let moves = offcuts::moves(&mut tx, id).await?.into_iter();
        let moves = moves.map(|row| OffcutMoved {
            made: row.made,
            job: row.job,
            length: CutLength::nanometres(row.length_nm),
            at: row.at,
        });
        Ok((known, moves.collect()))
    }

    /// Up to `limit` offcuts in the order they were added, after the one of that id.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn offcuts(
        &self,
        search: &OffcutSearch,
        after: Option<Uuid>,
        limit: u32,
    ) -> Result<Vec<KnownOffcut>, AppError> {
        let mut tx = self.db().read().await?;
        let rows = offcuts::page(&mut tx, &search.filter(), after, i64::from(limit)).await?;
        let known = rows.into_iter().map(|row| self.known_offcut(row));
        known.collect()
    }

    /// Puts an offcut on the rack.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn add_offcut(&self, new: &NewOffcut) -> Result<KnownOffcut, AppError> {
        let now = self.now();
        let row = OffcutRow {
            id: self.new_id(),
            tube: new.tube.clone(),
            temper: new.temper.word().to_owned(),
            length_nm: new.length.in_nanometres(),
            label: new.label.clone(),
            state: OffcutState::Available.word().to_owned(),
            job: None,
            version: 1,
            created_at: now,
            changed_at: now,
        };
        let mut tx = self.db().write().await?;
        offcuts::insert(&mut tx, &row).await?;
        let added = self.known_offcut(row)?;
        self.record(&mut tx, done(Deed::OffcutAdded, &added))
            .await?;
        tx.commit().await?;
        Ok(added)
    }

    /// Moves an offcut that was seen at version `expected`.
    ///
    /// # Errors
    /// [`AppError::WrongOffcutMove`], or [`AppError::Stale`] when somebody moved it meanwhile.
    pub async fn move_offcut(
        &self,
        seen: &KnownOffcut,
        made: &OffcutMove,
    ) -> Result<KnownOffcut, AppError> {
        let mut tx = self.db().write().await?;
        settled(KIND, seen.id, self.make_move(&mut tx, seen, made).await?)?;
        let moved = self.offcut(&mut tx, seen.id).await?;
        self.record(&mut tx, done(deed(made), &moved)).await?;
        tx.commit().await?;
        Ok(moved)
    }

    /// Writes down that offcuts were reserved within other work, which may do nothing after this.
    ///
    /// # Errors
    /// When the database fails.
    pub(super) async fn record_reserved(&self, tx: &mut Tx, ids: &[Uuid]) -> Result<(), AppError> {
        for id in ids {
            let reserved = self.offcut(tx, *id).await?;
            self.record(tx, done(Deed::OffcutReserved, &reserved))
                .await?;
        }
        Ok(())
    }

    /// Makes a move within other work, which writes it down when it is done.
    ///
    /// # Errors
    /// [`AppError::WrongOffcutMove`].
    pub(super) async fn make_move(
        &self,
        tx: &mut Tx,
        seen: &KnownOffcut,
        made: &OffcutMove,
    ) -> Result<Written, AppError> {
        let after = seen.standing.after(made)?;
        let change = OffcutChange {
            expected: seen.version,
            made: made.verb(),
            state: after.state.word(),
            job: after.job,
            length_nm: after.length.in_nanometres(),
            at: self.now(),
        };
        Ok(offcuts::change(tx, seen.id, &change).await?)
    }
}

const fn deed(made: &OffcutMove) -> Deed {
    match made {
        OffcutMove::Reserve { .. } => Deed::OffcutReserved,
        OffcutMove::Take { .. } => Deed::OffcutTaken,
        OffcutMove::Return { .. } => Deed::OffcutReturned,
    }
}

fn done(deed: Deed, offcut: &KnownOffcut) -> Done {
    Done::new(deed, offcut.id)
        .version(offcut.version)
        .with(json!({
            "tube": offcut.tube.id,
            "length_nm": offcut.standing.length.in_nanometres(),
            "for": offcut.standing.job,
        }))
}
