//! The two databases behind one door: connecting, transactions, backup.

use std::io::ErrorKind;
use std::path::Path;
use std::str::FromStr;
use std::time::Duration;

use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{Connection, PgConnection, PgPool, Postgres, Sqlite, SqlitePool, Transaction};

use super::StoreError;

/// How long a caller waits for a connection or a lock before it is told that the database is busy.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);

/// Readers of one SQLite file at a time; they never wait for the writer.
const SQLITE_READERS: u32 = 8;

/// Connections of one instance to Postgres, whose own default is 100 for all instances together.
const POSTGRES_CONNECTIONS: u32 = 16;

/// A database, SQLite or Postgres. Cheap to clone: clones share the connections.
#[derive(Debug, Clone)]
pub enum Db {
    /// Embedded SQLite.
    Sqlite(SqlitePools),
    /// A Postgres server.
    Postgres(PgPool),
}

/// The connections to one SQLite file.
///
/// SQLite has one writer at a time, so there is one connection that writes: writers of this process queue for it in
/// the order they came, and only writers of other processes meet in SQLite's own `busy_timeout`, which is not fair.
#[derive(Debug, Clone)]
pub struct SqlitePools {
    pub(super) readers: SqlitePool,
    pub(super) writer: SqlitePool,
}

/// A transaction on either database. Dropping it undoes everything done in it.
#[derive(Debug)]
pub enum Tx {
    /// On SQLite.
    Sqlite(Transaction<'static, Sqlite>),
    /// On Postgres.
    Postgres(Transaction<'static, Postgres>),
}

/// Runs one body on whichever database the transaction is on. The body is compiled once for each, so the same SQL
/// text and the same binds serve both.
macro_rules! on_backend {
    ($tx:expr, $connection:ident => $body:expr) => {
        match $tx {
            $crate::store::Tx::Sqlite(tx) => {
                let $connection = &mut **tx;
                $body
            }
            $crate::store::Tx::Postgres(tx) => {
                let $connection = &mut **tx;
                $body
            }
        }
    };
}
pub(super) use on_backend;

impl Db {
    /// Opens the database at `url`: `sqlite://offtake.db` (made when missing), `sqlite::memory:` (gone when closed;
    /// one connection, so a task must not hold two transactions at once) or `postgres://user@host/name`.
    ///
    /// # Errors
    /// [`StoreError::Address`] for a URL of another kind, [`StoreError::Unavailable`] when it cannot be opened.
    pub async fn connect(url: &str) -> Result<Self, StoreError> {
        if url.starts_with("sqlite:") {
            let options = SqliteConnectOptions::from_str(url)?;
            let in_memory = url.contains(":memory:") || url.contains("mode=memory");
            let pools = if in_memory {
                memory(options).await?
            } else {
                file(options).await?
            };
            Ok(Self::Sqlite(pools))
        } else if url.starts_with("postgres:") || url.starts_with("postgresql:") {
            let pool = server(PgConnectOptions::from_str(url)?).await?;
            Ok(Self::Postgres(pool))
        } else {
            Err(StoreError::Address(
                "must begin with `sqlite:` or `postgres:`",
            ))
        }
    }

    /// Begins a transaction that only reads: everything in it sees the same state of the database, whatever writers
    /// do meanwhile. A write in it fails.
    ///
    /// # Errors
    /// [`StoreError::Busy`] or [`StoreError::Unavailable`].
    pub async fn read(&self) -> Result<Tx, StoreError> {
        Ok(match self {
            Self::Sqlite(pools) => Tx::Sqlite(pools.readers.begin().await?),
            Self::Postgres(pool) => Tx::Postgres(
                pool.begin_with("begin isolation level repeatable read read only")
                    .await?,
            ),
        })
    }

    /// Begins a transaction that writes. SQLite takes its one write lock here; Postgres locks row by row as they are
    /// changed.
    ///
    /// # Errors
    /// [`StoreError::Busy`] when other writers were in the way for 10 s, or [`StoreError::Unavailable`].
    pub async fn write(&self) -> Result<Tx, StoreError> {
        Ok(match self {
            Self::Sqlite(pools) => Tx::Sqlite(pools.writer.begin_with("begin immediate").await?),
            Self::Postgres(pool) => Tx::Postgres(
                pool.begin_with("begin isolation level read committed")
                    .await?,
            ),
        })
    }

    /// Asks the database for an answer, whatever its tables.
    ///
    /// # Errors
    /// [`StoreError::Busy`] or [`StoreError::Unavailable`].
    pub async fn ping(&self) -> Result<(), StoreError> {
        const SQL: &str = "select 1";
        match self {
            Self::Sqlite(pools) => sqlx::query(SQL).execute(&pools.readers).await.map(|_| ())?,
            Self::Postgres(pool) => sqlx::query(SQL).execute(pool).await.map(|_| ())?,
        }
        Ok(())
    }

    /// Writes a whole copy of a SQLite database to a new file, while the service goes on.
    ///
    /// # Errors
    /// [`StoreError::BackupByPgDump`] on Postgres; [`StoreError::BackupExists`] when there is a file at `path`.
    pub async fn backup(&self, path: &Path) -> Result<(), StoreError> {
        let Self::Sqlite(pools) = self else {
            return Err(StoreError::BackupByPgDump);
        };
        // SQLite itself would take an empty file as good enough to write into.
        if path.exists() {
            return Err(StoreError::BackupExists(path.to_owned()));
        }
        let target = path
            .to_str()
            .ok_or_else(|| StoreError::BackupPath(path.to_owned()))?;
        // Not through a reader: `query_only` forbids writing the copy, too.
        sqlx::query("vacuum into $1")
            .bind(target)
            .execute(&pools.writer)
            .await?;
        Ok(())
    }

    /// Closes every connection after the work in flight; SQLite folds its log back into the file.
    pub async fn close(&self) {
        match self {
            Self::Sqlite(pools) => {
                pools.readers.close().await;
                pools.writer.close().await;
            }
            Self::Postgres(pool) => pool.close().await,
        }
    }
}

impl Tx {
    /// Makes everything done in the transaction last.
    ///
    /// # Errors
    /// Any [`StoreError`]; nothing was kept then, unless the connection broke while the answer was on its way.
    pub async fn commit(self) -> Result<(), StoreError> {
        match self {
            Self::Sqlite(tx) => tx.commit().await?,
            Self::Postgres(tx) => tx.commit().await?,
        }
        Ok(())
    }

    /// Undoes everything done in the transaction, and waits until it is undone.
    ///
    /// # Errors
    /// Any [`StoreError`]; nothing was kept in any case.
    pub async fn rollback(self) -> Result<(), StoreError> {
        match self {
            Self::Sqlite(tx) => tx.rollback().await?,
            Self::Postgres(tx) => tx.rollback().await?,
        }
        Ok(())
    }
}

async fn server(options: PgConnectOptions) -> Result<PgPool, StoreError> {
    let options = options.application_name("offtake");
    // A pool would try again for as long as it has patience and then only say that it ran out; a first connection
    // of its own says at once what is wrong.
    let first = tokio::time::timeout(PATIENCE, PgConnection::connect_with(&options)).await;
    first
        .map_err(|_| sqlx::Error::Io(ErrorKind::TimedOut.into()))??
        .close()
        .await?;
    Ok(PgPoolOptions::new()
        .max_connections(POSTGRES_CONNECTIONS)
        .acquire_timeout(PATIENCE)
        .connect_lazy_with(options))
}

fn common(options: SqliteConnectOptions) -> SqliteConnectOptions {
    options.foreign_keys(true).busy_timeout(PATIENCE)
}

/// SQLite is in this process: a connection that waited in the pool is as good as new, and asking it each time would
/// only cost another turn.
fn sqlite_pool() -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .acquire_timeout(PATIENCE)
        .test_before_acquire(false)
}

async fn file(options: SqliteConnectOptions) -> Result<SqlitePools, StoreError> {
    let options = common(options);
    // The writer first: it makes the file and turns the write-ahead log on.
    let writing = options
        .clone()
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        // A quote that was issued must survive a power cut, so each commit waits for the disk.
        .synchronous(SqliteSynchronous::Full);
    let writer = sqlite_pool()
        .max_connections(1)
        .idle_timeout(None)
        .max_lifetime(None)
        .connect_with(writing)
        .await?;
    let readers = sqlite_pool()
        .max_connections(SQLITE_READERS)
        .connect_with(options.pragma("query_only", "on"))
        .await?;
    Ok(SqlitePools { readers, writer })
}

async fn memory(options: SqliteConnectOptions) -> Result<SqlitePools, StoreError> {
    // The database lives as long as its connection, so that one is never given up; and readers share it with the
    // writer, for a second connection to memory has table locks that do not wait.
    let only = sqlite_pool()
        .max_connections(1)
        .idle_timeout(None)
        .max_lifetime(None)
        .connect_with(common(options))
        .await?;
    Ok(SqlitePools {
        readers: only.clone(),
        writer: only,
    })
}
