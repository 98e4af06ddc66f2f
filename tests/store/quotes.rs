//! Quotes, their revisions and numbers.

use std::collections::BTreeMap;

use offtake::store::quote_revisions::StateMove;
use offtake::store::{
    Db, StoreError, Tx, Written, counters, labour_models, price_lists, quote_revisions, quotes,
};
use tokio::task::JoinSet;

use crate::rows::{
    amount, at, day, draft, id, labour_model, move_state, move_to, price_list, quote,
};
use crate::runner::{number, raw};

on_both!(
    numbers_have_no_gaps_under_sixteen_writers_who_sometimes_give_up,
    counters_count_apart,
    a_quote_comes_back_with_its_current_revision,
    a_number_is_there_once,
    a_revision_must_name_what_is_there,
    a_draft_changes_at_the_expected_version_only,
    of_ten_who_issue_the_same_quote_one_does,
    what_an_issued_revision_froze_never_changes,
    a_move_keeps_what_it_does_not_name,
    several_move_at_once_but_for_those_that_changed,
    those_who_move_several_never_wait_in_a_circle,
    an_order_never_changes,
    a_revision_follows_another,
);

/// Puts a quote `Q-n` in, with a draft.
pub async fn put(db: &Db, n: usize) {
    let mut tx = db.write().await.unwrap();
    quotes::insert(&mut tx, &quote(n, &format!("Q-{n}")), &draft(n, 1))
        .await
        .unwrap();
    tx.commit().await.unwrap();
}

async fn numbers_have_no_gaps_under_sixteen_writers_who_sometimes_give_up(db: Db) {
    const WRITERS: usize = 16;
    const TRIES: usize = 9;
    let mut tasks = JoinSet::new();
    for writer in 0..WRITERS {
        let db = db.clone();
        tasks.spawn(async move {
            let mut kept = Vec::new();
            for attempt in 0..TRIES {
                let mut tx = db.write().await.unwrap();
                let next = counters::next(&mut tx, "quote").await.unwrap();
                let n = 1 + writer * TRIES + attempt;
                quotes::insert(&mut tx, &quote(n, &format!("Q-{next}")), &draft(n, 1))
                    .await
                    .unwrap();
                match attempt % 3 {
                    0 => {
                        tx.commit().await.unwrap();
                        kept.push(next);
                    }
                    1 => tx.rollback().await.unwrap(),
                    _ => drop(tx),
                }
            }
            kept
        });
    }
    let mut kept: Vec<i64> = tasks.join_all().await.into_iter().flatten().collect();
    kept.sort_unstable();
    let expected: Vec<i64> = (1..=48).collect();
    assert_eq!(kept, expected, "16 writers kept 3 each");

    let mut tx = db.read().await.unwrap();
    for next in expected {
        assert!(
            quotes::get(&mut tx, &format!("Q-{next}"))
                .await
                .unwrap()
                .is_some(),
            "Q-{next}"
        );
    }
    assert_eq!(number(&mut tx, "select count(*) from quotes").await, 48);
    assert_eq!(
        number(&mut tx, "select count(*) from quote_revisions").await,
        48
    );
}

async fn counters_count_apart(db: Db) {
    let mut tx = db.write().await.unwrap();
    assert_eq!(counters::next(&mut tx, "a").await.unwrap(), 1);
    assert_eq!(counters::next(&mut tx, "a").await.unwrap(), 2);
    assert_eq!(counters::next(&mut tx, "b").await.unwrap(), 1);
    assert_eq!(counters::next(&mut tx, "a").await.unwrap(), 3);
}

async fn a_quote_comes_back_with_its_current_revision(db: Db) {
    let mut tx = db.write().await.unwrap();
    price_lists_and_models(&mut tx).await;
    let mut first = draft(1, 1);
    first.valid_until = Some(day("2026-12-31"));
    first.reason = Some("because".to_owned());
    first.price_list_id = Some(id(50));
    first.labour_model_id = Some(id(60));
    quotes::insert(&mut tx, &quote(1, "Q-1"), &first)
        .await
        .unwrap();
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    assert_eq!(
        quotes::get(&mut tx, "Q-1").await.unwrap(),
        Some((quote(1, "Q-1"), first.clone()))
    );
    assert_eq!(
        quotes::get(&mut tx, "q-1").await.unwrap(),
        None,
        "numbers mind case"
    );
    assert_eq!(
        quote_revisions::get(&mut tx, id(1), 1).await.unwrap(),
        Some(first)
    );
    assert_eq!(quote_revisions::get(&mut tx, id(1), 2).await.unwrap(), None);
}

async fn price_lists_and_models(tx: &mut Tx) {
    price_lists::insert(tx, &price_list(50, "2026-01-01"))
        .await
        .unwrap();
    labour_models::insert(tx, &labour_model(60, "2026-01-01"))
        .await
        .unwrap();
}

async fn a_number_is_there_once(db: Db) {
    put(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    let error = quotes::insert(&mut tx, &quote(2, "Q-1"), &draft(2, 1))
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Conflict(_)), "{error:?}");
}

async fn a_revision_must_name_what_is_there(db: Db) {
    let mut tx = db.write().await.unwrap();
    let mut stray = draft(1, 1);
    stray.price_list_id = Some(id(404));
    let error = quotes::insert(&mut tx, &quote(1, "Q-1"), &stray)
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Dangling(_)), "{error:?}");
    drop(tx);

    let mut tx = db.write().await.unwrap();
    let error = quotes::insert(&mut tx, &quote(1, "Q-1"), &draft(2, 1))
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Dangling(_)), "{error:?}");
}

async fn a_draft_changes_at_the_expected_version_only(db: Db) {
    put(&db, 1).await;
    let mut changed = draft(1, 1);
    changed.frozen = r#"{"new": true}"#.to_owned();
    changed.net = amount("2.00");
    changed.valid_until = Some(day("2026-06-30"));
    changed.changed_at = at(8);

    let mut tx = db.write().await.unwrap();
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 7, &changed)
            .await
            .unwrap(),
        Written::Stale
    );
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 1, &draft(9, 1))
            .await
            .unwrap(),
        Written::Missing
    );
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 1, &draft(1, 2))
            .await
            .unwrap(),
        Written::Missing
    );
    let (before, _) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
    assert_eq!(before.version, 1, "a refusal changes nothing");
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 1, &changed)
            .await
            .unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 1, &draft(1, 1))
            .await
            .unwrap(),
        Written::Stale
    );
    let (after, revision) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
    assert_eq!((after.version, revision), (2, changed));
}

async fn of_ten_who_issue_the_same_quote_one_does(db: Db) {
    put(&db, 1).await;
    let mut tasks = JoinSet::new();
    for _ in 0..10 {
        let db = db.clone();
        tasks.spawn(async move {
            let mut tx = db.write().await.unwrap();
            let written = move_state(&mut tx, &move_to(id(1), "issued", 1))
                .await
                .unwrap();
            tx.commit().await.unwrap();
            written
        });
    }
    let outcomes = tasks.join_all().await;
    assert_eq!(
        outcomes.iter().filter(|moved| **moved == Some(2)).count(),
        1,
        "{outcomes:?}"
    );
    assert_eq!(
        outcomes.iter().filter(|moved| moved.is_none()).count(),
        9,
        "{outcomes:?}"
    );
}

async fn what_an_issued_revision_froze_never_changes(db: Db) {
    put(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    let issued = move_state(&mut tx, &move_to(id(1), "issued", 1))
        .await
        .unwrap();
    assert_eq!(issued, Some(2));
    let mut other = draft(1, 1);
    other.frozen = "{}".to_owned();
    assert_eq!(
        quote_revisions::update_draft(&mut tx, 2, &other)
            .await
            .unwrap(),
        Written::Fixed
    );
    tx.commit().await.unwrap();

    // Not even by hand.
    for sql in [
        "update quote_records set content = '{}'",
        "delete from quote_records",
        "update quote_revisions set net = '0'",
        "update quote_revisions set heads = '{}', state = 'accepted'",
        "update quote_revisions set revision = 5",
        "update quote_revisions set state = 'draft'",
        "delete from quote_revisions",
    ] {
        let mut tx = db.write().await.unwrap();
        let error = raw(&mut tx, sql).await.unwrap_err();
        assert!(matches!(error, StoreError::Refused(_)), "{sql}: {error:?}");
    }
    let mut tx = db.write().await.unwrap();
    let error = move_state(&mut tx, &move_to(id(1), "lost", 2))
        .await
        .unwrap_err();
    assert!(
        matches!(error, StoreError::Refused(_)),
        "no such state: {error:?}"
    );
    drop(tx);

    let mut tx = db.read().await.unwrap();
    let (quote, revision) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
    assert_eq!((quote.version, revision.state.as_str()), (2, "issued"));
    assert_eq!(
        (revision.frozen, revision.net),
        (draft(1, 1).frozen, draft(1, 1).net)
    );
}

async fn a_move_keeps_what_it_does_not_name(db: Db) {
    put(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    let mut issue = move_to(id(1), "issued", 1);
    issue.issued_on = Some(day("2026-05-01"));
    issue.valid_until = Some(day("2026-05-31"));
    assert_eq!(move_state(&mut tx, &issue).await.unwrap(), Some(2));
    let mut accept = move_to(id(1), "accepted", 2);
    accept.at = at(7);
    accept.accepted_on = Some(day("2026-05-02"));
    accept.accepted_by = Some("A. Buyer".to_owned());
    accept.po_number = Some("007".to_owned());
    assert_eq!(move_state(&mut tx, &accept).await.unwrap(), Some(3));

    let mut elsewhere = move_to(id(1), "declined", 3);
    elsewhere.revision = 2;
    assert_eq!(move_state(&mut tx, &elsewhere).await.unwrap(), None);
    let nowhere = move_state(&mut tx, &move_to(id(2), "declined", 1))
        .await
        .unwrap();
    assert_eq!(nowhere, None);
    let late = move_state(&mut tx, &move_to(id(1), "declined", 2))
        .await
        .unwrap();
    assert_eq!(late, None);

    let mut expected = draft(1, 1);
    expected.state = "accepted".to_owned();
    expected.issued_on = issue.issued_on;
    expected.valid_until = issue.valid_until;
    expected.accepted_on = accept.accepted_on;
    expected.accepted_by = accept.accepted_by;
    expected.po_number = accept.po_number;
    expected.changed_at = at(7);
    let (quote, revision) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
    assert_eq!((quote.version, revision), (3, expected));
}

async fn several_move_at_once_but_for_those_that_changed(db: Db) {
    for n in 1..=4 {
        put(&db, n).await;
    }
    let mut tx = db.write().await.unwrap();
    let issued = StateMove {
        issued_on: Some(day("2026-05-01")),
        ..move_to(id(1), "issued", 1)
    };
    let changed = move_to(id(2), "issued", 7);
    let without = StateMove {
        revision: 2,
        ..move_to(id(3), "issued", 1)
    };
    let withdrawn = StateMove {
        reason: Some("Too late".to_owned()),
        ..move_to(id(4), "withdrawn", 1)
    };
    let elsewhere = move_to(id(9), "issued", 1);
    let moves = [withdrawn, changed, without, elsewhere, issued];
    let versions = quote_revisions::move_states(&mut tx, &moves).await.unwrap();
    assert_eq!(versions, BTreeMap::from([(id(1), 2), (id(4), 2)]));
    let none = quote_revisions::move_states(&mut tx, &[]).await.unwrap();
    assert!(none.is_empty());
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    let numbers = ["Q-4", "Q-3", "Q-none", "Q-2", "Q-1"];
    let found = quotes::get_all(&mut tx, &numbers).await.unwrap();
    let found: Vec<_> = found
        .iter()
        .map(|(quote, revision)| {
            let reason = revision.reason.as_deref();
            (
                quote.number.as_str(),
                quote.version,
                revision.state.as_str(),
                reason,
            )
        })
        .collect();
    let wanted = [
        ("Q-1", 2, "issued", None),
        ("Q-2", 1, "draft", None),
        ("Q-3", 1, "draft", None),
        ("Q-4", 2, "withdrawn", Some("Too late")),
    ];
    assert_eq!(found, wanted);
}

async fn those_who_move_several_never_wait_in_a_circle(db: Db) {
    const QUOTES: usize = 6;
    const TASKS: usize = 8;
    const TURNS: usize = 10;
    for n in 1..=QUOTES {
        put(&db, n).await;
    }
    let mut tasks = JoinSet::new();
    for task in 0..TASKS {
        let db = db.clone();
        // Each names them in another order.
        let mut order: Vec<usize> = (1..=QUOTES).collect();
        order.rotate_left(task % QUOTES);
        if task % 2 == 1 {
            order.reverse();
        }
        tasks.spawn(async move {
            for _ in 0..TURNS {
                let mut tx = db.write().await.unwrap();
                let numbers: Vec<String> = order.iter().map(|n| format!("Q-{n}")).collect();
                quotes::hold(&mut tx, &numbers).await.unwrap();
                let (quote, _) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
                let moves = order
                    .iter()
                    .map(|n| move_to(id(*n), "issued", quote.version));
                let moves: Vec<StateMove> = moves.collect();
                let moved = quote_revisions::move_states(&mut tx, &moves).await.unwrap();
                assert_eq!(moved.len(), QUOTES, "{moved:?}");
                tx.commit().await.unwrap();
            }
        });
    }
    tasks.join_all().await;
    let mut tx = db.read().await.unwrap();
    for n in 1..=QUOTES {
        let (quote, _) = quotes::get(&mut tx, &format!("Q-{n}"))
            .await
            .unwrap()
            .unwrap();
        assert_eq!(quote.version, 1 + (TASKS * TURNS) as i64);
    }
}

async fn an_order_never_changes(db: Db) {
    put(&db, 1).await;
    let order = r#"{ "options": ["Spare"] }"#;
    let mut tx = db.write().await.unwrap();
    let accepted = StateMove {
        ordered: Some(order.to_owned()),
        ..move_to(id(1), "accepted", 1)
    };
    let moved = move_state(&mut tx, &accepted).await;
    assert!(matches!(moved, Ok(Some(_))));
    tx.commit().await.unwrap();
    for other in ["'{}'", "null"] {
        let mut tx = db.write().await.unwrap();
        let sql = format!("update quote_revisions set ordered = {other}");
        let refused = raw(&mut tx, &sql).await;
        assert!(matches!(refused, Err(StoreError::Refused(_))), "{sql}");
    }
    let mut tx = db.read().await.unwrap();
    let kept = quote_revisions::get(&mut tx, id(1), 1).await.unwrap();
    assert_eq!(kept.unwrap().ordered.as_deref(), Some(order));
}

async fn a_revision_follows_another(db: Db) {
    put(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    assert_eq!(
        quote_revisions::insert(&mut tx, 1, &draft(9, 2))
            .await
            .unwrap(),
        Written::Missing
    );
    assert_eq!(
        quote_revisions::insert(&mut tx, 4, &draft(1, 2))
            .await
            .unwrap(),
        Written::Stale
    );
    assert_eq!(
        quote_revisions::insert(&mut tx, 1, &draft(1, 2))
            .await
            .unwrap(),
        Written::Done(2)
    );
    let (quote, revision) = quotes::get(&mut tx, "Q-1").await.unwrap().unwrap();
    assert_eq!(
        (quote.current_revision, quote.version, revision.revision),
        (2, 2, 2)
    );
    let moved = move_state(&mut tx, &move_to(id(1), "superseded", 2))
        .await
        .unwrap();
    assert_eq!(
        moved,
        Some(3),
        "the first revision moves while the second is current"
    );
    assert_eq!(
        quote_revisions::get(&mut tx, id(1), 1)
            .await
            .unwrap()
            .unwrap()
            .state,
        "superseded"
    );
    assert_eq!(
        quote_revisions::get(&mut tx, id(1), 2)
            .await
            .unwrap()
            .unwrap()
            .state,
        "draft"
    );

    let error = quote_revisions::insert(&mut tx, 3, &draft(1, 2))
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Conflict(_)), "{error:?}");
}
