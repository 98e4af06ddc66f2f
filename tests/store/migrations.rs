//! Each step of the tables meets rows put in after every step before it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use offtake::store::{Db, POSTGRES_MIGRATIONS, SQLITE_MIGRATIONS, Tx};
use offtake::store::{
    audit, customers, forming_profiles, keys, labour_models, links, offcuts, price_items,
    price_lists, quote_changes, quote_papers, quotes, settings, shop_files, webhooks,
};
use sqlx::migrate::Migrator;
use sqlx::{AssertSqlSafe, PgPool, SqlitePool};

use crate::databases::{on_postgres, on_sqlite};
use crate::rows::{day, id};
use crate::runner::number;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn files(name: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder(name))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// The rows put in after a step: `{id n}` stands for the `n`th id, which the databases write differently.
fn samples(version: i64, write_id: fn(usize) -> String) -> String {
    let path = folder("tests/store/samples").join(format!("{version:04}.sql"));
    let mut sql = std::fs::read_to_string(&path).unwrap_or_else(|error| {
        panic!(
            "every step needs sample rows in {}: {error}",
            path.display()
        )
    });
    for n in (1..100).rev() {
        sql = sql.replace(&format!("{{id {n}}}"), &write_id(n));
    }
    assert!(
        !sql.contains("{id"),
        "an id out of range in {}",
        path.display()
    );
    sql
}

/// The tables that sample rows go into, with how many rows each.
fn tables(sql: &str) -> BTreeMap<String, i64> {
    let mut counts = BTreeMap::new();
    for line in sql.lines() {
        if let Some(rest) = line.strip_prefix("insert into ") {
            let table = rest.split([' ', '(']).next().unwrap().to_owned();
            *counts.entry(table).or_default() += 1;
        }
    }
    counts
}

#[test]
fn both_databases_have_the_same_steps_and_the_program_has_them_all() {
    let names = files("migrations/sqlite");
    assert_eq!(names, files("migrations/postgres"));
    for (steps, database) in [
        (&SQLITE_MIGRATIONS, "sqlite"),
        (&POSTGRES_MIGRATIONS, "postgres"),
    ] {
        let embedded: Vec<String> = steps
            .iter()
            .map(|step| {
                format!(
                    "{:04}_{}.sql",
                    step.version,
                    step.description.replace(' ', "_")
                )
            })
            .collect();
        assert_eq!(
            embedded, names,
            "{database}: touch src/store/migrations.rs and build again"
        );
        let versions: Vec<i64> = steps.iter().map(|step| step.version).collect();
        assert_eq!(
            versions,
            (1..=i64::try_from(names.len()).unwrap()).collect::<Vec<_>>()
        );
    }
}

#[test]
fn every_table_has_sample_rows() {
    on_sqlite(|url| async move {
        let pool = sqlite_pool(&url).await;
        SQLITE_MIGRATIONS.run(&pool).await.unwrap();
        let made: Vec<String> = sqlx::query_scalar(
            "select name from sqlite_schema where type = 'table' and name not like '\\_sqlx%' escape '\\' order by name",
        )
        .fetch_all(&pool)
        .await
        .unwrap();
        let mut filled = BTreeMap::new();
        for step in SQLITE_MIGRATIONS.iter() {
            filled.extend(tables(&samples(step.version, |n| n.to_string())));
        }
        assert_eq!(made, filled.into_keys().collect::<Vec<_>>());
    });
}

async fn sqlite_pool(url: &str) -> SqlitePool {
    // Opening it once makes the file.
    Db::connect(url).await.unwrap().close().await;
    SqlitePool::connect(url).await.unwrap()
}

macro_rules! step_by_step {
    ($steps:expr, $pool:expr, $write_id:expr) => {{
        let (steps, pool): (&Migrator, _) = ($steps, $pool);
        let mut rows: BTreeMap<String, i64> = BTreeMap::new();
        for step in steps.iter() {
            steps.run_to(step.version, &pool).await.unwrap();
            if step.version == 13 {
                // What revisions froze was taken over.
                rows.insert("quote_records".to_owned(), rows["quote_revisions"]);
            }
            let sql = samples(step.version, $write_id);
            for (table, count) in tables(&sql) {
                *rows.entry(table).or_default() += count;
            }
            sqlx::raw_sql(AssertSqlSafe(sql))
                .execute(&pool)
                .await
                .unwrap();
        }
        pool.close().await;
        rows
    }};
}

#[test]
fn sample_rows_live_through_every_step_on_sqlite() {
    on_sqlite(|url| async move {
        let pool = sqlite_pool(&url).await;
        let rows = step_by_step!(&SQLITE_MIGRATIONS, pool, |n| format!(
            "x'{}'",
            id(n).simple()
        ));
        all_there(&Db::connect(&url).await.unwrap(), rows).await;
    });
}

#[test]
fn sample_rows_live_through_every_step_on_postgres() {
    on_postgres(|url| async move {
        let pool = PgPool::connect(&url).await.unwrap();
        let rows = step_by_step!(&POSTGRES_MIGRATIONS, pool, |n| format!("'{}'", id(n)));
        all_there(&Db::connect(&url).await.unwrap(), rows).await;
    });
}

async fn all_there(db: &Db, rows: BTreeMap<String, i64>) {
    assert!(db.is_migrated().await.unwrap());
    db.migrate().await.unwrap();
    let mut tx = db.read().await.unwrap();
    for (table, expected) in rows {
        assert_eq!(
            number(&mut tx, &format!("select count(*) from {table}")).await,
            expected,
            "{table}"
        );
    }
    readable(&mut tx).await;
    drop(tx);
    db.close().await;
}

/// The store of today reads the rows of every step.
async fn readable(tx: &mut Tx) {
    assert_eq!(keys::list(tx).await.unwrap().len(), 2);
    assert_eq!(keys::count_live(tx).await.unwrap(), 1);
    assert_eq!(settings::current(tx).await.unwrap().unwrap().version, 2);
    let list = price_lists::in_force(tx, day("2026-06-01"), Some("USD"))
        .await
        .unwrap()
        .unwrap();
    assert_eq!(price_items::all(tx, list.id).await.unwrap().len(), 2);
    assert!(
        labour_models::in_force(tx, day("2026-06-01"))
            .await
            .unwrap()
            .is_some()
    );
    assert!(customers::get(tx, id(5)).await.unwrap().is_some());
    let profile = forming_profiles::get(tx, "shop", None).await.unwrap();
    assert_eq!(profile.unwrap().version, 2);
    let offcut = offcuts::get(tx, id(41)).await.unwrap().unwrap();
    assert_eq!(offcut.job.as_deref(), Some("J-1"));
    assert_eq!(offcuts::moves(tx, id(41)).await.unwrap().len(), 2);
    let paper = quote_papers::get(tx, id(1), 1).await.unwrap().unwrap();
    assert!(!paper.content.is_empty());
    let (quote, revision) = quotes::get(tx, "Q-1").await.unwrap().unwrap();
    assert_eq!(
        (quote.current_revision, revision.state.as_str()),
        (2, "draft")
    );
    let (_, taken) = quotes::get(tx, "Q-10").await.unwrap().unwrap();
    assert!(taken.ordered.unwrap().contains("Chrome caps"));
    let file = shop_files::get(tx, "a0").await.unwrap().unwrap();
    assert_eq!(file.media_type, "image/svg+xml");
    let entries = audit::page(tx, &audit::AuditFilter::default(), 9).await;
    assert_eq!(entries.unwrap().len(), 2);
    assert_eq!(quote_changes::head(tx).await.unwrap(), 1);
    let deliveries = webhooks::log(tx, id(80), None, 9).await.unwrap();
    assert_eq!(deliveries.len(), 1);
    assert_eq!(webhooks::tries(tx, id(81), id(80)).await.unwrap().len(), 1);
    assert_eq!(links::of_quote(tx, id(1)).await.unwrap().len(), 2);
    assert_eq!(links::count(tx, id(70), "viewed").await.unwrap(), 1);
}
