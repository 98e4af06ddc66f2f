//! The audit trail as an intruder with a database shell, and many writers at once, would leave it.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use offtake::app::App;
use offtake::app::audit::{AuditQuery, KeptEntry, Verdict};
use offtake::shop::audit::Actor;
use offtake::shop::quote::Customer;
use offtake::store::{Db, StoreError};
use offtake::trade::catalogue::Catalogue;
use uuid::Uuid;

use crate::rows::at;
use crate::runner::raw;

on_both!(
    an_entry_is_never_changed_deleted_or_replaced,
    a_changed_entry_is_found_where_it_stands,
    entries_taken_out_are_missed,
    a_chain_written_anew_does_not_hold_what_was_kept,
    many_writers_leave_one_chain,
    what_is_undone_leaves_no_entry,
);

/// Ids given out so far, by all apps of this process.
static IDS: AtomicU64 = AtomicU64::new(1);

fn app(db: &Db) -> App {
    App::new(
        db.clone(),
        Catalogue::built_in().unwrap(),
        Arc::new(|| at(0)),
        Arc::new(|| Uuid::from_u128(u128::from(IDS.fetch_add(1, Ordering::SeqCst)))),
        Arc::new(|| Some([7; 32])),
    )
}

fn customer(name: &str) -> Customer {
    Customer {
        name: name.to_owned(),
        contact: String::new(),
        address: Vec::new(),
        email: String::new(),
    }
}

async fn add(app: &App, count: usize) {
    for n in 0..count {
        app.add_customer(customer(&format!("C-{n}"))).await.unwrap();
    }
}

/// Runs statements with the triggers out of the way, as whoever owns the database can.
async fn intrude(db: &Db, statements: &[&str]) {
    let mut tx = db.write().await.unwrap();
    for trigger in ["audit_entry_is_frozen", "audit_entry_stays"] {
        let drop = match db {
            Db::Sqlite(_) => format!("drop trigger {trigger}"),
            Db::Postgres(_) => format!("drop trigger {trigger} on audit_entries"),
        };
        raw(&mut tx, &drop).await.unwrap();
    }
    for statement in statements {
        assert!(raw(&mut tx, statement).await.unwrap() > 0, "{statement}");
    }
    tx.commit().await.unwrap();
}

fn found_at(verdict: &Verdict) -> Option<i64> {
    verdict.flaw.as_ref().map(|flaw| flaw.number)
}

async fn an_entry_is_never_changed_deleted_or_replaced(db: Db) {
    add(&app(&db), 2).await;
    let mut refused = vec![
        "update audit_entries set actor_label = 'x' where number = 1",
        "delete from audit_entries where number = 2",
    ];
    match db {
        Db::Sqlite(_) => refused.push(
            "insert or replace into audit_entries select number, at, actor, actor_id, 'x', actor_scopes, deed, subject, subject_id, subject_version, detail, previous, hash from audit_entries where number = 1",
        ),
        Db::Postgres(_) => refused.push("truncate audit_entries"),
    }
    for statement in refused {
        let mut tx = db.write().await.unwrap();
        let outcome: Result<u64, StoreError> = raw(&mut tx, statement).await;
        assert!(outcome.is_err(), "{statement}");
    }
    let verdict = app(&db).verify_audit(None).await.unwrap();
    assert_eq!((verdict.entries, verdict.flaw), (2, None));
}

async fn a_changed_entry_is_found_where_it_stands(db: Db) {
    let app = app(&db);
    // More than are read at a time.
    add(&app, 510).await;
    assert_eq!(app.verify_audit(None).await.unwrap().entries, 510);
    let change = "update audit_entries set detail = '{\"name\":\"Z\"}' where number = 505";
    intrude(&db, &[change]).await;
    let verdict = app.verify_audit(None).await.unwrap();
    assert_eq!((verdict.entries, found_at(&verdict)), (504, Some(505)));
    assert_eq!(verdict.head.unwrap().number, 504);
}

async fn entries_taken_out_are_missed(db: Db) {
    let app = app(&db);
    add(&app, 6).await;
    intrude(&db, &["delete from audit_entries where number > 4"]).await;
    let at_the_end = app.verify_audit(None).await.unwrap();
    assert_eq!(found_at(&at_the_end), Some(5));
    // Work goes on; the gap stays.
    add(&app, 1).await;
    assert_eq!(found_at(&app.verify_audit(None).await.unwrap()), Some(5));
    let mut tx = db.write().await.unwrap();
    raw(&mut tx, "delete from audit_entries where number = 2")
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(found_at(&app.verify_audit(None).await.unwrap()), Some(2));
}

async fn a_chain_written_anew_does_not_hold_what_was_kept(db: Db) {
    let app = app(&db);
    add(&app, 3).await;
    let kept = app.verify_audit(None).await.unwrap().head.unwrap();
    let whole = app.verify_audit(Some(&kept)).await.unwrap();
    assert_eq!(whole.flaw, None);
    // The intruder empties the trail, winds the counter back, and does other things in its place.
    intrude(
        &db,
        &[
            "delete from audit_entries",
            "update counters set value = 0 where name = 'audit_entry'",
        ],
    )
    .await;
    let emptied = app.verify_audit(Some(&kept)).await.unwrap();
    assert_eq!((emptied.entries, found_at(&emptied)), (0, Some(1)));
    add(&app, 4).await;
    assert_eq!(app.verify_audit(None).await.unwrap().flaw, None);
    let anew = app.verify_audit(Some(&kept)).await.unwrap();
    assert_eq!(found_at(&anew), Some(3));
    let unknown = KeptEntry { number: 9, ..kept };
    let missing = app.verify_audit(Some(&unknown)).await.unwrap();
    assert!(missing.flaw.unwrap().detail.contains("entry 9"));
}

async fn many_writers_leave_one_chain(db: Db) {
    const WRITERS: u128 = 8;
    const EACH: usize = 5;
    let writers: Vec<_> = (1..=WRITERS)
        .map(|n| {
            let writer = app(&db).acting_as(Actor::Key {
                id: Uuid::from_u128(n),
                label: format!("writer {n}"),
                scopes: "estimate".to_owned(),
            });
            tokio::spawn(async move { add(&writer, EACH).await })
        })
        .collect();
    for writer in writers {
        writer.await.unwrap();
    }
    let app = app(&db);
    let verdict = app.verify_audit(None).await.unwrap();
    assert_eq!(
        (verdict.entries, verdict.flaw),
        (WRITERS as i64 * EACH as i64, None)
    );
    for n in 1..=WRITERS {
        let query = AuditQuery {
            actor_id: Some(Uuid::from_u128(n)),
            ..AuditQuery::default()
        };
        let entries = app.audit_entries(&query, 100).await.unwrap();
        assert_eq!(entries.len(), EACH);
    }
}

async fn what_is_undone_leaves_no_entry(db: Db) {
    let app = app(&db);
    add(&app, 1).await;
    let nobody = Uuid::from_u128(404);
    let changed = app.change_customer(nobody, 1, &customer("X")).await;
    assert!(changed.is_err());
    assert!(app.revoke_key(nobody).await.is_err());
    let known = app.add_customer(customer("Y")).await.unwrap();
    let stale = app.change_customer(known.id, 7, &customer("X")).await;
    assert!(stale.is_err());
    let verdict = app.verify_audit(None).await.unwrap();
    assert_eq!((verdict.entries, verdict.flaw), (2, None));
}
