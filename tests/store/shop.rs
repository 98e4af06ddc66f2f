//! Settings, labour models and customers.

use offtake::store::customers::{self, CustomerChange, CustomerRow};
use offtake::store::shop_files::{self, ShopFileRow};
use offtake::store::{Db, Written, labour_models, settings};
use tokio::task::JoinSet;

use crate::rows::{at, day, id, labour_model};
use crate::runner::raw;

on_both!(
    settings_keep_every_version,
    of_ten_who_change_the_same_settings_one_does,
    a_file_is_kept_once_and_for_good,
    a_labour_model_may_change_until_it_is_published,
    the_labour_model_in_force_is_the_latest_published,
    a_customer_changes_at_the_expected_version_only,
    customers_page_without_gaps_or_repeats,
);

async fn settings_keep_every_version(db: Db) {
    let mut tx = db.write().await.unwrap();
    assert_eq!(settings::current(&mut tx).await.unwrap(), None);
    assert_eq!(
        settings::append(&mut tx, 1, "{}", at(1)).await.unwrap(),
        Written::Stale,
        "none yet"
    );
    assert_eq!(
        settings::append(&mut tx, 0, r#"{"a": 1}"#, at(1))
            .await
            .unwrap(),
        Written::Done(1)
    );
    assert_eq!(
        settings::append(&mut tx, 0, "{}", at(2)).await.unwrap(),
        Written::Stale
    );
    assert_eq!(
        settings::append(&mut tx, 1, r#"{"a": 2}"#, at(2))
            .await
            .unwrap(),
        Written::Done(2)
    );
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    let current = settings::current(&mut tx).await.unwrap().unwrap();
    assert_eq!(
        (current.version, current.body.as_str(), current.changed_at),
        (2, r#"{"a": 2}"#, at(2))
    );
    let history = settings::history(&mut tx, None, 10).await.unwrap();
    assert_eq!(
        history.iter().map(|row| row.version).collect::<Vec<_>>(),
        [2, 1]
    );
    assert_eq!(history[1].body, r#"{"a": 1}"#);
}

async fn of_ten_who_change_the_same_settings_one_does(db: Db) {
    let mut tasks = JoinSet::new();
    for rival in 0..10 {
        let db = db.clone();
        tasks.spawn(async move {
            let mut tx = db.write().await.unwrap();
            let written = settings::append(&mut tx, 0, &format!("{rival}"), at(rival))
                .await
                .unwrap();
            tx.commit().await.unwrap();
            written
        });
    }
    let outcomes = tasks.join_all().await;
    assert_eq!(
        outcomes
            .iter()
            .filter(|written| **written == Written::Done(1))
            .count(),
        1,
        "{outcomes:?}"
    );
    assert_eq!(
        outcomes
            .iter()
            .filter(|written| **written == Written::Stale)
            .count(),
        9,
        "{outcomes:?}"
    );
}

async fn a_file_is_kept_once_and_for_good(db: Db) {
    let file = |n: i64, content: &[u8]| ShopFileRow {
        digest: "d1".to_owned(),
        media_type: "image/png".to_owned(),
        content: content.to_vec(),
        at: at(n),
    };
    let mut tx = db.write().await.unwrap();
    assert_eq!(shop_files::get(&mut tx, "d1").await.unwrap(), None);
    // Bytes of every value come back as they went in.
    let all: Vec<u8> = (0..=255).collect();
    shop_files::insert(&mut tx, &file(1, &all)).await.unwrap();
    shop_files::insert(&mut tx, &file(2, &all)).await.unwrap();
    tx.commit().await.unwrap();
    let mut tx = db.read().await.unwrap();
    let kept = shop_files::get(&mut tx, "d1").await.unwrap();
    assert_eq!(kept, Some(file(1, &all)), "the first stays");
    drop(tx);
    let mut refused = vec![
        "update shop_files set media_type = 'image/svg+xml'",
        "delete from shop_files",
    ];
    match db {
        Db::Sqlite(_) => refused.push(
            "insert or replace into shop_files select digest, media_type, x'00', at from shop_files",
        ),
        Db::Postgres(_) => refused.push("truncate shop_files"),
    }
    for sql in refused {
        let mut tx = db.write().await.unwrap();
        assert!(raw(&mut tx, sql).await.is_err(), "{sql}");
    }
}

async fn a_labour_model_may_change_until_it_is_published(db: Db) {
    let mut tx = db.write().await.unwrap();
    labour_models::insert(&mut tx, &labour_model(1, "2026-01-01"))
        .await
        .unwrap();
    assert_eq!(
        labour_models::get(&mut tx, id(1)).await.unwrap(),
        Some(labour_model(1, "2026-01-01"))
    );
    assert_eq!(labour_models::get(&mut tx, id(2)).await.unwrap(), None);

    assert_eq!(
        labour_models::replace_body(&mut tx, id(2), 1, "{}")
            .await
            .unwrap(),
        Written::Missing
    );
    assert_eq!(
        labour_models::replace_body(&mut tx, id(1), 1, "{}")
            .await
            .unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        labour_models::replace_body(&mut tx, id(1), 1, "[]")
            .await
            .unwrap(),
        Written::Stale
    );
    assert_eq!(
        labour_models::publish(&mut tx, id(1), 1, at(5))
            .await
            .unwrap(),
        Written::Stale
    );
    assert_eq!(
        labour_models::publish(&mut tx, id(1), 2, at(5))
            .await
            .unwrap(),
        Written::Done(3)
    );
    assert_eq!(
        labour_models::publish(&mut tx, id(1), 3, at(6))
            .await
            .unwrap(),
        Written::Fixed
    );
    assert_eq!(
        labour_models::replace_body(&mut tx, id(1), 3, "[]")
            .await
            .unwrap(),
        Written::Fixed
    );

    let model = labour_models::get(&mut tx, id(1)).await.unwrap().unwrap();
    assert_eq!(
        (model.state.as_str(), model.body.as_str()),
        ("published", "{}")
    );
    assert_eq!((model.published_at, model.version), (Some(at(5)), 3));
}

async fn the_labour_model_in_force_is_the_latest_published(db: Db) {
    let mut tx = db.write().await.unwrap();
    for (n, effective_on) in [
        (1, "2026-01-01"),
        (2, "2026-03-01"),
        (3, "2026-02-01"),
        (4, "2026-01-01"),
    ] {
        labour_models::insert(&mut tx, &labour_model(n, effective_on))
            .await
            .unwrap();
        if n != 3 {
            let second = n.try_into().unwrap();
            assert_eq!(
                labour_models::publish(&mut tx, id(n), 1, at(second))
                    .await
                    .unwrap(),
                Written::Done(2)
            );
        }
    }
    for (on, expected) in [
        ("2025-12-31", None),
        ("2026-01-01", Some(4)),
        ("2026-02-28", Some(4)),
        ("2026-03-01", Some(2)),
        ("2030-01-01", Some(2)),
    ] {
        let found = labour_models::in_force(&mut tx, day(on)).await.unwrap();
        assert_eq!(found.map(|model| model.id), expected.map(id), "on {on}");
    }
    let page = labour_models::page(&mut tx, Some(id(1)), 2).await.unwrap();
    assert_eq!(
        page.iter().map(|model| model.id).collect::<Vec<_>>(),
        [id(2), id(3)]
    );
}

fn customer(n: usize) -> CustomerRow {
    CustomerRow {
        id: id(n),
        name: format!("Customer {n}"),
        body: r#"{"city": "Köln"}"#.to_owned(),
        version: 1,
        created_at: at(1),
        changed_at: at(1),
    }
}

async fn a_customer_changes_at_the_expected_version_only(db: Db) {
    let mut tx = db.write().await.unwrap();
    customers::insert(&mut tx, &customer(1)).await.unwrap();
    let change = CustomerChange {
        expected: 1,
        name: "New name".to_owned(),
        body: "{}".to_owned(),
        at: at(2),
    };
    assert_eq!(
        customers::update(&mut tx, id(2), &change).await.unwrap(),
        Written::Missing
    );
    assert_eq!(
        customers::update(&mut tx, id(1), &change).await.unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        customers::update(&mut tx, id(1), &change).await.unwrap(),
        Written::Stale
    );
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    let expected = CustomerRow {
        name: "New name".to_owned(),
        body: "{}".to_owned(),
        version: 2,
        changed_at: at(2),
        ..customer(1)
    };
    assert_eq!(
        customers::get(&mut tx, id(1)).await.unwrap(),
        Some(expected)
    );
    assert_eq!(customers::get(&mut tx, id(2)).await.unwrap(), None);
}

async fn customers_page_without_gaps_or_repeats(db: Db) {
    let mut tx = db.write().await.unwrap();
    for n in (1..=7).rev() {
        customers::insert(&mut tx, &customer(n)).await.unwrap();
    }
    let mut seen = Vec::new();
    loop {
        let page = customers::page(&mut tx, seen.last().copied(), 3)
            .await
            .unwrap();
        if page.is_empty() {
            break;
        }
        seen.extend(page.iter().map(|row| row.id));
    }
    assert_eq!(seen, (1..=7).map(id).collect::<Vec<_>>());
}
