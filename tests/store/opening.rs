//! Opening a database, transactions, readiness and backup.

use std::error::Error;

use offtake::store::{Db, StoreError, Tx, keys};
use sqlx::Row;

use crate::databases::on_sqlite;
use crate::rows::key;
use crate::runner::migrated;

on_both!(
    a_transaction_that_is_dropped_leaves_nothing,
    a_reader_sees_one_state_while_a_writer_commits,
    a_read_transaction_cannot_write,
    a_message_never_repeats_its_source,
    clones_share_the_database,
);

async fn count(db: &Db) -> i64 {
    keys::count_live(&mut db.read().await.unwrap())
        .await
        .unwrap()
}

async fn add(db: &Db, n: usize) {
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(n)).await.unwrap();
    tx.commit().await.unwrap();
}

async fn a_transaction_that_is_dropped_leaves_nothing(db: Db) {
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(1)).await.unwrap();
    drop(tx);
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(2)).await.unwrap();
    tx.rollback().await.unwrap();
    assert_eq!(count(&db).await, 0);
    add(&db, 1).await;
    assert_eq!(count(&db).await, 1);
}

async fn a_reader_sees_one_state_while_a_writer_commits(db: Db) {
    let mut reading = db.read().await.unwrap();
    assert_eq!(keys::count_live(&mut reading).await.unwrap(), 0);
    let mut writing = db.write().await.unwrap();
    keys::insert(&mut writing, &key(1)).await.unwrap();
    assert_eq!(
        keys::count_live(&mut reading).await.unwrap(),
        0,
        "not committed"
    );
    writing.commit().await.unwrap();
    assert_eq!(
        keys::count_live(&mut reading).await.unwrap(),
        0,
        "committed later"
    );
    drop(reading);
    assert_eq!(count(&db).await, 1);
}

async fn a_read_transaction_cannot_write(db: Db) {
    let mut tx = db.read().await.unwrap();
    let error = keys::insert(&mut tx, &key(1)).await.unwrap_err();
    assert!(
        matches!(error, StoreError::Unavailable(_) | StoreError::Statement(_)),
        "{error:?}"
    );
    drop(tx);
    assert_eq!(count(&db).await, 0);
}

async fn a_message_never_repeats_its_source(db: Db) {
    add(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    let error = keys::insert(&mut tx, &key(1)).await.unwrap_err();
    let source = error.source().unwrap();
    assert!(!error.to_string().contains(&source.to_string()), "{error}");
    assert!(
        source.to_string().to_lowercase().contains("unique"),
        "{source}"
    );
}

async fn clones_share_the_database(db: Db) {
    add(&db, 1).await;
    assert_eq!(count(&db.clone()).await, 1);
    db.ping().await.unwrap();
}

#[test]
fn a_missing_file_is_made_and_kept() {
    on_sqlite(|url| async move {
        let db = Db::connect(&url).await.unwrap();
        assert!(!db.is_migrated().await.unwrap());
        db.migrate().await.unwrap();
        db.migrate().await.unwrap();
        assert!(db.is_migrated().await.unwrap());
        add(&db, 1).await;
        db.close().await;
        let again = Db::connect(&url).await.unwrap();
        assert!(again.is_migrated().await.unwrap());
        assert_eq!(count(&again).await, 1);
    });
}

#[test]
fn sqlite_writes_safely() {
    on_sqlite(|url| {
        migrated(url, |db| async move {
            let Tx::Sqlite(mut tx) = db.write().await.unwrap() else {
                panic!("not SQLite")
            };
            // The values are those of <https://www.sqlite.org/pragma.html>: 2 is FULL.
            for (sql, expected) in [
                ("pragma synchronous", "2"),
                ("pragma foreign_keys", "1"),
                ("pragma busy_timeout", "10000"),
                (
                    "select group_concat(name) from pragma_table_list where strict = 0 and name not like 'sqlite%'",
                    "_sqlx_migrations",
                ),
            ] {
                let row = sqlx::query(sql).fetch_one(&mut *tx).await.unwrap();
                let found = row
                    .try_get::<String, _>(0)
                    .or_else(|_| row.try_get::<i64, _>(0).map(|n| n.to_string()));
                assert_eq!(found.unwrap(), expected, "{sql}");
            }
            let mode: String = sqlx::query_scalar("pragma journal_mode")
                .fetch_one(&mut *tx)
                .await
                .unwrap();
            assert_eq!(mode, "wal");
        })
    });
}

#[test]
fn a_database_in_memory_serves_readers_and_writers() {
    on_sqlite(|_| {
        migrated("sqlite::memory:".to_owned(), |db| async move {
            add(&db, 1).await;
            assert_eq!(count(&db).await, 1);
            // Another has its own memory.
            let other = Db::connect("sqlite::memory:").await.unwrap();
            assert!(!other.is_migrated().await.unwrap());
        })
    });
}

#[test]
fn an_address_of_another_kind_is_refused() {
    on_sqlite(|_| async {
        for url in ["", "offtake.db", "http://localhost/", "file:offtake.db"] {
            let error = Db::connect(url).await.unwrap_err();
            assert!(matches!(error, StoreError::Address(_)), "{url}: {error:?}");
        }
        let error = Db::connect("sqlite:///no/such/folder/offtake.db")
            .await
            .unwrap_err();
        assert!(matches!(error, StoreError::Unavailable(_)), "{error:?}");
        let error = Db::connect("postgres://nobody@127.0.0.1:1/nothing")
            .await
            .unwrap_err();
        assert!(matches!(error, StoreError::Unavailable(_)), "{error:?}");
    });
}

#[test]
fn a_backup_is_a_whole_database_and_overwrites_nothing() {
    on_sqlite(|url| {
        migrated(url, |db| async move {
            add(&db, 1).await;
            let folder = tempfile::tempdir().unwrap();
            // A quote mark in a path must not end the text of the statement.
            let path = folder.path().join("it's a copy.db");
            let reading = db.read().await.unwrap();
            db.backup(&path).await.unwrap();
            drop(reading);
            let error = db.backup(&path).await.unwrap_err();
            assert!(matches!(error, StoreError::BackupExists(_)), "{error:?}");

            add(&db, 2).await;
            let copy = Db::connect(&format!("sqlite://{}", path.display()))
                .await
                .unwrap();
            assert!(copy.is_migrated().await.unwrap());
            assert_eq!(count(&copy).await, 1, "as it was");
            copy.close().await;
        })
    });
}

#[test]
fn a_backup_of_postgres_is_for_its_own_program() {
    crate::databases::on_postgres(|url| {
        migrated(url, |db| async move {
            let folder = tempfile::tempdir().unwrap();
            let error = db.backup(&folder.path().join("copy")).await.unwrap_err();
            assert!(matches!(error, StoreError::BackupByPgDump), "{error:?}");
            assert!(error.to_string().contains("pg_dump"));
        })
    });
}
