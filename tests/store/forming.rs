//! Forming profiles: every version kept.

use offtake::store::forming_profiles::{self, FormingProfileRow};
use offtake::store::{Db, Written};

use crate::rows::at;

fn row(id: &str, name: &str) -> FormingProfileRow {
    FormingProfileRow {
        id: id.to_owned(),
        version: 0,
        name: name.to_owned(),
        body: "{}".to_owned(),
        changed_at: at(1),
    }
}

async fn add(db: &Db, expected: i64, row: &FormingProfileRow) -> Written {
    let mut tx = db.write().await.unwrap();
    let written = forming_profiles::append(&mut tx, expected, row)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    written
}

async fn each_change_is_a_version_and_none_is_lost(db: Db) {
    assert_eq!(add(&db, 0, &row("shop", "one")).await, Written::Done(1));
    assert_eq!(add(&db, 1, &row("shop", "two")).await, Written::Done(2));
    // Two who read version 1: the second is told.
    assert_eq!(add(&db, 1, &row("shop", "late")).await, Written::Stale);
    assert_eq!(add(&db, 0, &row("shop", "anew")).await, Written::Stale);
    assert_eq!(add(&db, 3, &row("press-2", "gap")).await, Written::Stale);
    let mut tx = db.read().await.unwrap();
    let newest = forming_profiles::get(&mut tx, "shop", None)
        .await
        .unwrap()
        .unwrap();
    assert_eq!((newest.version, newest.name.as_str()), (2, "two"));
    assert_eq!(newest.changed_at, at(1));
    let old = forming_profiles::get(&mut tx, "shop", Some(1))
        .await
        .unwrap()
        .unwrap();
    assert_eq!((old.version, old.name.as_str()), (1, "one"));
    for (id, version) in [("shop", Some(3)), ("press-2", None)] {
        let none = forming_profiles::get(&mut tx, id, version).await.unwrap();
        assert_eq!(none, None);
    }
}

async fn a_page_holds_the_newest_of_each(db: Db) {
    for id in ["shop", "press-2", "a"] {
        assert_eq!(add(&db, 0, &row(id, id)).await, Written::Done(1));
    }
    assert_eq!(add(&db, 1, &row("shop", "changed")).await, Written::Done(2));
    let mut tx = db.read().await.unwrap();
    let names = |rows: Vec<FormingProfileRow>| -> Vec<(String, i64)> {
        rows.into_iter().map(|row| (row.id, row.version)).collect()
    };
    let first = forming_profiles::page(&mut tx, None, 2).await.unwrap();
    assert_eq!(
        names(first),
        [("a".to_owned(), 1), ("press-2".to_owned(), 1)]
    );
    let rest = forming_profiles::page(&mut tx, Some("press-2"), 2)
        .await
        .unwrap();
    assert_eq!(names(rest), [("shop".to_owned(), 2)]);
}

on_both!(
    each_change_is_a_version_and_none_is_lost,
    a_page_holds_the_newest_of_each,
);
