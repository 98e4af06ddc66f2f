//! The offcut rack.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// An offcut.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct OffcutRow {
    /// Its id.
    pub id: Uuid,
    /// Id of its tube.
    pub tube: String,
    /// Its temper, as a word.
    pub temper: String,
    /// Its length in nanometres.
    pub length_nm: i64,
    /// What is written on it.
    pub label: String,
    /// Where it stands, as a word.
    pub state: String,
    /// The job it is reserved or taken for.
    pub job: Option<String>,
    /// Counted from 1 with each move.
    pub version: i64,
    /// When it was put on the rack first.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it was last moved.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// What was done with an offcut.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct OffcutMoveRow {
    /// The version it made.
    pub version: i64,
    /// `add`, `reserve`, `take` or `return`.
    pub made: String,
    /// The job it was for.
    pub job: Option<String>,
    /// The length afterwards, in nanometres.
    pub length_nm: i64,
    /// When.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
}

/// What a move changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffcutChange {
    /// The version it is to be a change of.
    pub expected: i64,
    /// What is done.
    pub made: &'static str,
    /// Where it stands afterwards, as a word.
    pub state: &'static str,
    /// The job afterwards.
    pub job: Option<String>,
    /// The length afterwards, in nanometres.
    pub length_nm: i64,
    /// Now.
    pub at: Timestamp,
}

/// Which offcuts a list shows. What is `None` does not narrow it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OffcutFilter {
    /// The tube.
    pub tube: Option<String>,
    /// Where they stand.
    pub state: Option<String>,
    /// The job they are reserved or taken for.
    pub job: Option<String>,
}

/// Puts an offcut on the rack.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn insert(tx: &mut Tx, row: &OffcutRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into offcuts (id, tube, temper, length_nm, label, state, job, version, created_at, changed_at)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    on_backend!(&mut *tx, db => {
        sqlx::query(SQL)
            .bind(row.id)
            .bind(&row.tube)
            .bind(&row.temper)
            .bind(row.length_nm)
            .bind(&row.label)
            .bind(&row.state)
            .bind(&row.job)
            .bind(row.version)
            .bind(Instant(row.created_at))
            .bind(Instant(row.changed_at))
            .execute(db)
            .await?;
    });
    let moved = OffcutMoveRow {
        version: row.version,
        made: "add".to_owned(),
        job: row.job.clone(),
        length_nm: row.length_nm,
        at: row.created_at,
    };
    log(tx, row.id, &moved).await
}

async fn log(tx: &mut Tx, id: Uuid, moved: &OffcutMoveRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into offcut_moves (offcut_id, version, made, job, length_nm, at)
        values ($1, $2, $3, $4, $5, $6)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(id)
            .bind(moved.version)
            .bind(&moved.made)
            .bind(&moved.job)
            .bind(moved.length_nm)
            .bind(Instant(moved.at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The offcut with this id. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<OffcutRow>, StoreError> {
    const SQL: &str = "
        select id, tube, temper, length_nm, label, state, job, version, created_at, changed_at
        from offcuts where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// What was done with an offcut, oldest first.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn moves(tx: &mut Tx, id: Uuid) -> Result<Vec<OffcutMoveRow>, StoreError> {
    const SQL: &str = "
        select version, made, job, length_nm, at from offcut_moves
        where offcut_id = $1 order by version";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_all(db).await?))
}

/// Moves an offcut that is at the version expected, and writes that down. [`Written::Missing`] or
/// [`Written::Stale`], and nothing changed, otherwise: of two who move the same piece at the same
/// moment, the second is told.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn change(tx: &mut Tx, id: Uuid, change: &OffcutChange) -> Result<Written, StoreError> {
    const SQL: &str = "
        update offcuts set state = $3, job = $4, length_nm = $5, changed_at = $6, version = version + 1
        where id = $1 and version = $2
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL)
            .bind(id)
            .bind(change.expected)
            .bind(change.state)
            .bind(&change.job)
            .bind(change.length_nm)
            .bind(Instant(change.at))
            .fetch_optional(db)
            .await?
    });
    let Some(version) = version else {
        return Ok(match get(tx, id).await? {
            Some(_) => Written::Stale,
            None => Written::Missing,
        });
    };
    let moved = OffcutMoveRow {
        version,
        made: change.made.to_owned(),
        job: change.job.clone(),
        length_nm: change.length_nm,
        at: change.at,
    };
    log(tx, id, &moved).await?;
    Ok(Written::Done(version))
}

/// Up to `limit` offcuts in the order they were added, after the one with id `after`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    filter: &OffcutFilter,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<OffcutRow>, StoreError> {
    const SQL: &str = "
        select id, tube, temper, length_nm, label, state, job, version, created_at, changed_at
        from offcuts
        where ($1 is null or tube = $1) and ($2 is null or state = $2) and ($3 is null or job = $3)
          and id > $4
        order by id limit $5";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL)
            .bind(&filter.tube)
            .bind(&filter.state)
            .bind(&filter.job)
            .bind(after.unwrap_or_default())
            .bind(limit)
            .fetch_all(db)
            .await?
    }))
}
