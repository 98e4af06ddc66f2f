//! The steps that build the tables, embedded in the program.
//!
//! Both folders hold the same numbers with the same names, from 1 on. The macro makes the compiler watch every file it has
//! embedded, so an edit is noticed; a file that is new is noticed when this file is compiled again. A build script
//! for that alone is not worth it: `tests/store/migrations.rs` fails when a folder and the program differ, and says
//! to touch this file.

use sqlx::migrate::Migrator;

use super::{Db, StoreError};

/// The steps for SQLite.
pub static SQLITE_MIGRATIONS: Migrator = sqlx::migrate!("migrations/sqlite");

/// The steps for Postgres.
pub static POSTGRES_MIGRATIONS: Migrator = sqlx::migrate!("migrations/postgres");

impl Db {
    /// Brings the tables up to date. Does nothing when they are; several instances may call it at once.
    ///
    /// # Errors
    /// [`StoreError::Migration`] when the tables belong to a newer program or a step was altered after it was applied.
    pub async fn migrate(&self) -> Result<(), StoreError> {
        match self {
            Self::Sqlite(pools) => SQLITE_MIGRATIONS.run(&pools.writer).await?,
            Self::Postgres(pool) => POSTGRES_MIGRATIONS.run(pool).await?,
        }
        Ok(())
    }

    /// Whether the tables are exactly those this program was built for.
    ///
    /// # Errors
    /// Any [`StoreError`] of a read.
    pub async fn is_migrated(&self) -> Result<bool, StoreError> {
        const APPLIED: &str = "select version from _sqlx_migrations where success order by version";
        let (expected, applied): (&Migrator, Vec<i64>) = match self {
            Self::Sqlite(pools) => {
                let there: i64 = sqlx::query_scalar(
                    "select count(*) from sqlite_schema where name = '_sqlx_migrations'",
                )
                .fetch_one(&pools.readers)
                .await?;
                if there == 0 {
                    return Ok(false);
                }
                (
                    &SQLITE_MIGRATIONS,
                    sqlx::query_scalar(APPLIED)
                        .fetch_all(&pools.readers)
                        .await?,
                )
            }
            Self::Postgres(pool) => {
                let there: bool =
                    sqlx::query_scalar("select to_regclass('_sqlx_migrations') is not null")
                        .fetch_one(pool)
                        .await?;
                if !there {
                    return Ok(false);
                }
                (
                    &POSTGRES_MIGRATIONS,
                    sqlx::query_scalar(APPLIED).fetch_all(pool).await?,
                )
            }
        };
        Ok(expected.iter().map(|step| step.version).eq(applied))
    }
}
