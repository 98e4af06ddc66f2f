//! What may go wrong with a database, by who can do something about it.

use std::path::PathBuf;

use sqlx::error::{DatabaseError, ErrorKind};
use sqlx::migrate::MigrateError;
use sqlx::postgres::PgDatabaseError;
use sqlx::sqlite::SqliteError;
use thiserror::Error;

/// What went wrong with the database. A message never repeats its source: log the whole chain, once.
#[derive(Debug, Error)]
pub enum StoreError {
    /// The address of the database is not one this program can use.
    #[error("the database address {0}")]
    Address(&'static str),
    /// The database cannot be reached or cannot go on (disk, network, rights, too many connections).
    #[error("the database cannot be used at the moment")]
    Unavailable(#[source] sqlx::Error),
    /// Other writers were in the way for too long; the same work may be tried again.
    #[error("the database is busy with other work; try again")]
    Busy(#[source] sqlx::Error),
    /// A row with the same unique value is there already.
    #[error("a row with the same unique value is there already")]
    Conflict(#[source] sqlx::Error),
    /// The row refers to another that is not there.
    #[error("the row refers to another that is not there")]
    Dangling(#[source] sqlx::Error),
    /// A rule kept by the database itself forbids the change (for one, that nothing issued ever changes).
    #[error("a rule of the database forbids the change")]
    Refused(#[source] sqlx::Error),
    /// A stored value cannot be read as what it should be.
    #[error("the stored {what} cannot be read")]
    Corrupt {
        /// Which value: the column, or what was to be there.
        what: String,
        /// What the reader said.
        source: sqlx::Error,
    },
    /// The tables could not be brought up to date, or belong to another version of the program.
    #[error("the tables could not be brought to the shape this program needs")]
    Migration(#[source] MigrateError),
    /// A Postgres database is backed up by Postgres' own program.
    #[error("a Postgres database is backed up with `pg_dump`, not by this program")]
    BackupByPgDump,
    /// There is a file already where the backup should go.
    #[error("there is a file already at {}; a backup never overwrites one", .0.display())]
    BackupExists(PathBuf),
    /// The path of the backup is not UTF-8 text.
    #[error("the backup path {} is not UTF-8 text", .0.display())]
    BackupPath(PathBuf),
    /// The database did not take a statement: a fault of this program.
    #[error("the database did not take a statement")]
    Statement(#[source] sqlx::Error),
}

impl StoreError {
    /// The same for another who waited for the same work; what caused it is told in its words.
    #[must_use]
    pub fn for_another(&self) -> Self {
        let source = |error: &sqlx::Error| sqlx::Error::Protocol(error.to_string());
        match self {
            Self::Busy(error) => Self::Busy(source(error)),
            Self::Unavailable(error) => Self::Unavailable(source(error)),
            other => Self::Statement(sqlx::Error::Protocol(other.to_string())),
        }
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match &error {
            sqlx::Error::Database(source) => match cause(source.as_ref()) {
                Cause::Busy => Self::Busy(error),
                Cause::Unavailable => Self::Unavailable(error),
                Cause::Conflict => Self::Conflict(error),
                Cause::Dangling => Self::Dangling(error),
                Cause::Refused => Self::Refused(error),
                Cause::Statement => Self::Statement(error),
            },
            sqlx::Error::PoolTimedOut => Self::Busy(error),
            sqlx::Error::Io(_)
            | sqlx::Error::Tls(_)
            | sqlx::Error::PoolClosed
            | sqlx::Error::WorkerCrashed
            | sqlx::Error::Configuration(_) => Self::Unavailable(error),
            sqlx::Error::ColumnDecode { index, .. } => Self::Corrupt {
                what: format!("value of {index}"),
                source: error,
            },
            sqlx::Error::Decode(_) => Self::Corrupt {
                what: "value".to_owned(),
                source: error,
            },
            // Only rows that must be there are asked for in this way.
            sqlx::Error::RowNotFound => Self::Corrupt {
                what: "row that belongs to another".to_owned(),
                source: error,
            },
            _ => Self::Statement(error),
        }
    }
}

impl From<MigrateError> for StoreError {
    fn from(error: MigrateError) -> Self {
        match error {
            // Not reaching the database is no fault of the tables.
            MigrateError::Execute(source) => match Self::from(source) {
                Self::Statement(source) => Self::Migration(MigrateError::Execute(source)),
                other => other,
            },
            other => Self::Migration(other),
        }
    }
}

/// Who can do something about an answer of the database.
enum Cause {
    Busy,
    Unavailable,
    Conflict,
    Dangling,
    Refused,
    Statement,
}

fn cause(error: &dyn DatabaseError) -> Cause {
    match error.kind() {
        ErrorKind::UniqueViolation => return Cause::Conflict,
        ErrorKind::ForeignKeyViolation => return Cause::Dangling,
        ErrorKind::CheckViolation => return Cause::Refused,
        _ => {}
    }
    let code = error.code().unwrap_or_default();
    if error.try_downcast_ref::<SqliteError>().is_some() {
        sqlite_cause(&code)
    } else if error.try_downcast_ref::<PgDatabaseError>().is_some() {
        postgres_cause(&code)
    } else {
        Cause::Statement
    }
}

/// Result codes of SQLite: <https://www.sqlite.org/rescode.html>. The low eight bits are the primary code.
fn sqlite_cause(code: &str) -> Cause {
    const CONSTRAINT_TRIGGER: i32 = 1811;
    match code.parse::<i32>() {
        Ok(CONSTRAINT_TRIGGER) => Cause::Refused,
        // BUSY, LOCKED
        Ok(code) if matches!(code & 0xff, 5 | 6) => Cause::Busy,
        // PERM, READONLY, IOERR, CORRUPT, FULL, CANTOPEN, AUTH, NOTADB
        Ok(code) if matches!(code & 0xff, 3 | 8 | 10 | 11 | 13 | 14 | 23 | 26) => {
            Cause::Unavailable
        }
        _ => Cause::Statement,
    }
}

/// Error codes of Postgres: <https://www.postgresql.org/docs/current/errcodes-appendix.html>.
fn postgres_cause(code: &str) -> Cause {
    match code {
        // serialization_failure, deadlock_detected, lock_not_available, query_canceled
        "40001" | "40P01" | "55P03" | "57014" => Cause::Busy,
        // Classes: connection, authorisation, no such database, resources, operator, system
        _ if ["08", "28", "3D", "53", "57", "58"]
            .iter()
            .any(|class| code.starts_with(class)) =>
        {
            Cause::Unavailable
        }
        _ => Cause::Statement,
    }
}
