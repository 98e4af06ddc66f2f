//! The papers of issued revisions.

use offtake::store::quote_papers::{self, PaperRow};
use offtake::store::{Db, StoreError};

use crate::rows::{at, id};
use crate::runner::raw;

on_both!(
    the_first_paper_stays,
    a_paper_is_never_changed_deleted_or_replaced,
    no_paper_without_its_revision,
);

fn paper(content: &[u8]) -> PaperRow {
    PaperRow {
        quote_id: id(1),
        revision: 1,
        sha256: format!("of {} bytes", content.len()),
        content: content.to_vec(),
        at: at(3),
    }
}

async fn keep(db: &Db, paper: &PaperRow) -> bool {
    let mut tx = db.write().await.unwrap();
    let kept = quote_papers::keep(&mut tx, paper).await.unwrap();
    tx.commit().await.unwrap();
    kept
}

async fn kept(db: &Db) -> Option<PaperRow> {
    let mut tx = db.read().await.unwrap();
    quote_papers::get(&mut tx, id(1), 1).await.unwrap()
}

async fn the_first_paper_stays(db: Db) {
    crate::quotes::put(&db, 1).await;
    assert_eq!(kept(&db).await, None);
    let first = paper(b"%PDF-1.7 \x00\xff");
    assert!(keep(&db, &first).await);
    assert!(!keep(&db, &paper(b"%PDF-2.0")).await);
    assert!(!keep(&db, &first).await);
    assert_eq!(kept(&db).await, Some(first));
}

async fn a_paper_is_never_changed_deleted_or_replaced(db: Db) {
    crate::quotes::put(&db, 1).await;
    let first = paper(b"%PDF-1.7");
    assert!(keep(&db, &first).await);
    let mut refused = vec![
        "update quote_papers set sha256 = 'x'",
        "delete from quote_papers",
    ];
    if let Db::Postgres(_) = db {
        refused.push("truncate quote_papers");
    }
    for statement in refused {
        let mut tx = db.write().await.unwrap();
        let outcome: Result<u64, StoreError> = raw(&mut tx, statement).await;
        assert!(outcome.is_err(), "{statement}");
    }
    if let Db::Sqlite(_) = db {
        let mut tx = db.write().await.unwrap();
        let replace = "insert or replace into quote_papers select quote_id, revision, 'x', x'00', at from quote_papers";
        assert_eq!(raw(&mut tx, replace).await.unwrap(), 0);
        tx.commit().await.unwrap();
    }
    assert_eq!(kept(&db).await, Some(first));
}

async fn no_paper_without_its_revision(db: Db) {
    let mut tx = db.write().await.unwrap();
    let outcome = match quote_papers::keep(&mut tx, &paper(b"%PDF-1.7")).await {
        Ok(_) => tx.commit().await,
        Err(error) => Err(error),
    };
    assert!(
        matches!(outcome, Err(StoreError::Dangling(_))),
        "{outcome:?}"
    );
}
