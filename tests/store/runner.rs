//! What a storage test is wrapped in.

use std::future::Future;

use offtake::store::{Db, StoreError, Tx};
use sqlx::AssertSqlSafe;

/// Runs each test on both databases.
macro_rules! on_both {
    ($($test:ident),+ $(,)?) => {
        mod sqlite {
            $(
                #[test]
                fn $test() {
                    crate::databases::on_sqlite(|url| crate::runner::migrated(url, super::$test));
                }
            )+
        }
        mod postgres {
            $(
                #[test]
                fn $test() {
                    crate::databases::on_postgres(|url| crate::runner::migrated(url, super::$test));
                }
            )+
        }
    };
}

/// Opens the database, makes its tables and runs the test.
pub async fn migrated<F: Future<Output = ()>>(url: String, test: impl FnOnce(Db) -> F) {
    let db = Db::connect(&url).await.unwrap();
    db.migrate().await.unwrap();
    test(db.clone()).await;
    db.close().await;
}

/// Runs a statement that the store has no function for; how many rows it touched.
pub async fn raw(tx: &mut Tx, sql: &str) -> Result<u64, StoreError> {
    let sql = AssertSqlSafe(sql);
    Ok(match tx {
        Tx::Sqlite(tx) => sqlx::query(sql).execute(&mut **tx).await?.rows_affected(),
        Tx::Postgres(tx) => sqlx::query(sql).execute(&mut **tx).await?.rows_affected(),
    })
}

/// The one number a query answers.
pub async fn number(tx: &mut Tx, sql: &str) -> i64 {
    let sql = AssertSqlSafe(sql);
    match tx {
        Tx::Sqlite(tx) => sqlx::query_scalar(sql).fetch_one(&mut **tx).await.unwrap(),
        Tx::Postgres(tx) => sqlx::query_scalar(sql).fetch_one(&mut **tx).await.unwrap(),
    }
}
