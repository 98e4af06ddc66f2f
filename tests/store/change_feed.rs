//! The log that accounting pulls from, compared with a plain model of it.

use std::collections::{BTreeMap, BTreeSet};
use std::slice;

use offtake::store::quote_changes::{self, ChangeFilter, NumberedChange, Pull};
use offtake::store::{Db, StoreError, quotes};
use tokio::sync::watch;
use tokio::task::JoinSet;
use uuid::Uuid;

use crate::rows::{at, change, draft, move_state, move_to, quote};
use crate::runner::raw;

on_both!(
    pulls_miss_nothing_and_repeat_nothing_while_quotes_move,
    a_pull_starts_where_an_instant_says,
    only_the_latest_state_counts_for_a_filter,
    the_log_never_changes,
);

const QUOTES: usize = 7;
const WRITERS: usize = 6;
const ROUNDS: usize = 12;
const STATES: [&str; 5] = ["issued", "accepted", "declined", "withdrawn", "expired"];

/// A change as the model knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Entry {
    seq: i64,
    quote: Uuid,
    state: String,
}

/// A pull that was made.
struct Pulled {
    since: i64,
    upto: i64,
    entries: Vec<Entry>,
}

/// What a pull should give: of each quote the latest entry up to `upto`, if it is after `since`.
fn expected(log: &[Entry], since: i64, upto: i64) -> Vec<Entry> {
    let mut latest: BTreeMap<Uuid, &Entry> = BTreeMap::new();
    for entry in log.iter().filter(|entry| entry.seq <= upto) {
        latest.insert(entry.quote, entry);
    }
    let mut entries: Vec<Entry> = latest
        .into_values()
        .filter(|entry| entry.seq > since)
        .cloned()
        .collect();
    entries.sort_by_key(|entry| entry.seq);
    entries
}

async fn put_quotes(db: &Db, count: usize) {
    let mut tx = db.write().await.unwrap();
    for n in 1..=count {
        quotes::insert(&mut tx, &quote(n, &format!("Q-{n}")), &draft(n, 1))
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
}

/// Moves a quote and logs it, in one transaction. `None` when it was given up on purpose or somebody was first.
async fn move_one(db: &Db, n: usize, state: &str, give_up: bool) -> Option<Entry> {
    let mut tx = db.write().await.unwrap();
    let (row, mut revision) = quotes::get(&mut tx, &format!("Q-{n}"))
        .await
        .unwrap()
        .unwrap();
    let version = move_state(&mut tx, &move_to(row.id, state, row.version))
        .await
        .unwrap()?;
    assert_eq!(version, row.version + 1);
    revision.state = state.to_owned();
    let seq = quote_changes::append(&mut tx, &[change(&row, &revision, at(0))])
        .await
        .unwrap();
    if give_up {
        return None;
    }
    tx.commit().await.unwrap();
    Some(Entry {
        seq,
        quote: row.id,
        state: state.to_owned(),
    })
}

/// Reads one page, as one request would.
async fn page(db: &Db, since: i64, upto: i64, after: i64) -> Vec<NumberedChange> {
    let mut tx = db.read().await.unwrap();
    let pull = Pull {
        since,
        upto,
        after,
        filter: ChangeFilter::default(),
        limit: 2,
    };
    quote_changes::page(&mut tx, &pull).await.unwrap()
}

async fn pull(db: &Db, since: i64, pages: &watch::Sender<usize>) -> Pulled {
    let mut tx = db.read().await.unwrap();
    let upto = quote_changes::head(&mut tx).await.unwrap();
    drop(tx);
    let mut entries: Vec<Entry> = Vec::new();
    loop {
        let after = entries.last().map_or(0, |entry| entry.seq);
        let found = page(db, since, upto, after).await;
        pages.send_modify(|pages| *pages += 1);
        if found.is_empty() {
            return Pulled {
                since,
                upto,
                entries,
            };
        }
        assert!(found.len() <= 2);
        entries.extend(found.into_iter().map(|row| Entry {
            seq: row.seq,
            quote: row.change.quote_id,
            state: row.change.state,
        }));
    }
}

async fn pulls_miss_nothing_and_repeat_nothing_while_quotes_move(db: Db) {
    put_quotes(&db, QUOTES).await;
    let (pages, seen_pages) = watch::channel(0);
    let mut writers = JoinSet::new();
    for writer in 0..WRITERS {
        let (db, mut seen_pages) = (db.clone(), seen_pages.clone());
        writers.spawn(async move {
            let mut written = Vec::new();
            for round in 0..ROUNDS {
                // Writers never run ahead of the reader, so each of them writes between its pages.
                seen_pages.wait_for(|pages| *pages >= round).await.unwrap();
                let n = 1 + (writer * 5 + round * 3) % QUOTES;
                let give_up = (writer + round) % 4 == 3;
                written.extend(
                    move_one(&db, n, STATES[(writer + round) % STATES.len()], give_up).await,
                );
            }
            written
        });
    }
    let mut pulls: Vec<Pulled> = Vec::new();
    let mut log: Vec<Entry> = Vec::new();
    let mut writing = true;
    // One more pull after the last writer is done sees what was left.
    while writing {
        while let Some(written) = writers.try_join_next() {
            log.extend(written.unwrap());
        }
        writing = !writers.is_empty();
        let since = pulls.last().map_or(0, |pull| pull.upto);
        pulls.push(pull(&db, since, &pages).await);
    }
    log.sort_by_key(|entry| entry.seq);

    let gapless: Vec<i64> = (1..=log.len().try_into().unwrap()).collect();
    assert_eq!(
        log.iter().map(|entry| entry.seq).collect::<Vec<_>>(),
        gapless
    );
    let mut known: BTreeMap<Uuid, Entry> = BTreeMap::new();
    for pull in &pulls {
        let (since, upto) = (pull.since, pull.upto);
        assert_eq!(
            pull.entries,
            expected(&log, since, upto),
            "pull from {since} to {upto}"
        );
        let once: BTreeSet<Uuid> = pull.entries.iter().map(|entry| entry.quote).collect();
        assert_eq!(
            once.len(),
            pull.entries.len(),
            "pull from {since} to {upto} repeats a quote"
        );
        known.extend(
            pull.entries
                .iter()
                .map(|entry| (entry.quote, entry.clone())),
        );
    }
    let busy = pulls.iter().filter(|pull| !pull.entries.is_empty()).count();
    assert!(busy > 1, "the reader was there while quotes moved");
    // Who followed all pulls knows what who reads it all at the end knows.
    let whole = expected(&log, 0, i64::MAX);
    assert_eq!(known.len(), QUOTES);
    assert_eq!(
        known,
        whole
            .into_iter()
            .map(|entry| (entry.quote, entry))
            .collect()
    );
}

async fn a_pull_starts_where_an_instant_says(db: Db) {
    put_quotes(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    assert_eq!(quote_changes::head(&mut tx).await.unwrap(), 0);
    assert_eq!(quote_changes::since(&mut tx, at(0)).await.unwrap(), 0);
    // The second has the clock of another instance, a little behind.
    for (seq, second) in [(1, 10), (2, 30), (3, 20), (4, 40)] {
        let entry = change(&quote(1, "Q-1"), &draft(1, 1), at(second));
        assert_eq!(
            quote_changes::append(&mut tx, slice::from_ref(&entry))
                .await
                .unwrap(),
            seq
        );
    }
    for (second, expected) in [
        (0, 0),
        (10, 0),
        (11, 1),
        (20, 1),
        (25, 1),
        (31, 3),
        (40, 3),
        (41, 4),
    ] {
        assert_eq!(
            quote_changes::since(&mut tx, at(second)).await.unwrap(),
            expected,
            "second {second}"
        );
    }
    assert_eq!(quote_changes::head(&mut tx).await.unwrap(), 4);
}

async fn only_the_latest_state_counts_for_a_filter(db: Db) {
    put_quotes(&db, 3).await;
    for (n, state) in [
        (1, "issued"),
        (2, "issued"),
        (3, "issued"),
        (1, "accepted"),
        (3, "declined"),
    ] {
        move_one(&db, n, state, false).await.unwrap();
    }
    let mut tx = db.read().await.unwrap();
    for (states, since, upto, expected) in [
        (vec!["issued"], 0, 5, vec![2]),
        (vec!["issued"], 0, 3, vec![1, 2, 3]),
        (vec!["issued"], 2, 5, vec![]),
        (vec!["accepted", "declined"], 0, 5, vec![4, 5]),
        (vec!["accepted", "declined"], 4, 5, vec![5]),
        (vec!["draft"], 0, 5, vec![]),
        (vec![], 0, 5, vec![2, 4, 5]),
    ] {
        let states = states.into_iter().map(str::to_owned).collect();
        let pull = Pull {
            since,
            upto,
            after: 0,
            filter: ChangeFilter {
                states,
                ..ChangeFilter::default()
            },
            limit: 10,
        };
        let found = quote_changes::page(&mut tx, &pull).await.unwrap();
        assert_eq!(
            found.iter().map(|row| row.seq).collect::<Vec<_>>(),
            expected,
            "{pull:?}"
        );
    }
    let pull = Pull {
        since: 3,
        upto: 4,
        after: 0,
        filter: ChangeFilter::default(),
        limit: 10,
    };
    let mut accepted = draft(1, 1);
    accepted.state = "accepted".to_owned();
    let expected = NumberedChange {
        seq: 4,
        change: change(&quote(1, "Q-1"), &accepted, at(0)),
    };
    assert_eq!(
        quote_changes::page(&mut tx, &pull).await.unwrap(),
        [expected]
    );
}

async fn the_log_never_changes(db: Db) {
    put_quotes(&db, 1).await;
    move_one(&db, 1, "issued", false).await.unwrap();
    for sql in [
        "update quote_changes set gross = '0'",
        "delete from quote_changes",
    ] {
        let mut tx = db.write().await.unwrap();
        let error = raw(&mut tx, sql).await.unwrap_err();
        assert!(matches!(error, StoreError::Refused(_)), "{sql}: {error:?}");
    }
    let mut tx = db.write().await.unwrap();
    let stray = change(&quote(2, "Q-2"), &draft(2, 1), at(0));
    let error = quote_changes::append(&mut tx, slice::from_ref(&stray))
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Dangling(_)), "{error:?}");
}
