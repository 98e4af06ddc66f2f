//! The offcut rack: one piece is one piece, whoever reaches for it.

use offtake::store::offcuts::{self, OffcutChange, OffcutFilter, OffcutRow};
use offtake::store::{Db, Written};
use tokio::task::JoinSet;

use crate::rows::{at, id};

fn offcut(n: usize, tube: &str, length_nm: i64) -> OffcutRow {
    OffcutRow {
        id: id(n),
        tube: tube.to_owned(),
        temper: "drawn".to_owned(),
        length_nm,
        label: format!("R-{n}"),
        state: "available".to_owned(),
        job: None,
        version: 1,
        created_at: at(1),
        changed_at: at(1),
    }
}

async fn add(db: &Db, row: &OffcutRow) {
    let mut tx = db.write().await.unwrap();
    offcuts::insert(&mut tx, row).await.unwrap();
    tx.commit().await.unwrap();
}

fn reserve(expected: i64, job: &str) -> OffcutChange {
    OffcutChange {
        expected,
        made: "reserve",
        state: "reserved",
        job: Some(job.to_owned()),
        length_nm: 800,
        at: at(2),
    }
}

async fn change(db: &Db, n: usize, change: &OffcutChange) -> Written {
    let mut tx = db.write().await.unwrap();
    let written = offcuts::change(&mut tx, id(n), change).await.unwrap();
    tx.commit().await.unwrap();
    written
}

async fn what_was_done_is_kept(db: Db) {
    let row = offcut(1, "b88-l-2", 800);
    add(&db, &row).await;
    assert_eq!(change(&db, 1, &reserve(1, "J-1")).await, Written::Done(2));
    let back = OffcutChange {
        expected: 2,
        made: "return",
        state: "available",
        job: None,
        length_nm: 500,
        at: at(3),
    };
    assert_eq!(change(&db, 1, &back).await, Written::Done(3));
    let mut tx = db.read().await.unwrap();
    let now = offcuts::get(&mut tx, id(1)).await.unwrap().unwrap();
    let expected = OffcutRow {
        length_nm: 500,
        version: 3,
        changed_at: at(3),
        ..row
    };
    assert_eq!(now, expected);
    let moves = offcuts::moves(&mut tx, id(1)).await.unwrap();
    let told: Vec<_> = moves
        .iter()
        .map(|it| {
            (
                it.version,
                it.made.as_str(),
                it.job.as_deref(),
                it.length_nm,
                it.at,
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (1, "add", None, 800, at(1)),
            (2, "reserve", Some("J-1"), 800, at(2)),
            (3, "return", None, 500, at(3)),
        ]
    );
}

async fn a_stale_or_missing_piece_is_not_moved(db: Db) {
    add(&db, &offcut(1, "b88-l-2", 800)).await;
    assert_eq!(change(&db, 1, &reserve(1, "J-1")).await, Written::Done(2));
    assert_eq!(change(&db, 1, &reserve(1, "J-2")).await, Written::Stale);
    assert_eq!(change(&db, 2, &reserve(1, "J-2")).await, Written::Missing);
    let mut tx = db.read().await.unwrap();
    let now = offcuts::get(&mut tx, id(1)).await.unwrap().unwrap();
    assert_eq!((now.job.as_deref(), now.version), (Some("J-1"), 2));
    assert_eq!(offcuts::moves(&mut tx, id(1)).await.unwrap().len(), 2);
}

async fn one_piece_is_never_given_twice(db: Db) {
    const PIECES: usize = 4;
    const RIVALS: usize = 8;
    for n in 1..=PIECES {
        add(&db, &offcut(n, "b88-l-2", 800)).await;
    }
    let mut tasks = JoinSet::new();
    for rival in 0..RIVALS {
        let db = db.clone();
        tasks.spawn(async move {
            let mut won = Vec::new();
            for n in 1..=PIECES {
                let job = format!("J-{rival}");
                if let Written::Done(_) = change(&db, n, &reserve(1, &job)).await {
                    won.push((n, job));
                }
            }
            won
        });
    }
    let mut won: Vec<(usize, String)> = tasks.join_all().await.into_iter().flatten().collect();
    won.sort();
    let pieces: Vec<usize> = won.iter().map(|(n, _)| *n).collect();
    assert_eq!(pieces, [1, 2, 3, 4]);
    let mut tx = db.read().await.unwrap();
    for (n, job) in won {
        let kept = offcuts::get(&mut tx, id(n)).await.unwrap().unwrap();
        assert_eq!(kept.job, Some(job));
    }
}

async fn a_page_narrows_by_tube_state_and_job(db: Db) {
    for (n, tube) in [
        (1, "b88-l-2"),
        (2, "b88-l-1"),
        (3, "b88-l-2"),
        (4, "b88-l-2"),
    ] {
        add(&db, &offcut(n, tube, 800)).await;
    }
    assert_eq!(change(&db, 3, &reserve(1, "J-1")).await, Written::Done(2));
    let mut tx = db.read().await.unwrap();
    let all = OffcutFilter::default();
    let of = |tube: &str| OffcutFilter {
        tube: Some(tube.to_owned()),
        ..OffcutFilter::default()
    };
    for (filter, after, limit, expected) in [
        (all.clone(), None, 3, vec![1, 2, 3]),
        (all, Some(id(3)), 3, vec![4]),
        (of("b88-l-2"), None, 9, vec![1, 3, 4]),
        (
            OffcutFilter {
                state: Some("available".to_owned()),
                ..of("b88-l-2")
            },
            None,
            9,
            vec![1, 4],
        ),
        (
            OffcutFilter {
                job: Some("J-1".to_owned()),
                ..OffcutFilter::default()
            },
            None,
            9,
            vec![3],
        ),
    ] {
        let found = offcuts::page(&mut tx, &filter, after, limit).await.unwrap();
        let found: Vec<_> = found.iter().map(|row| row.id).collect();
        let expected: Vec<_> = expected.into_iter().map(id).collect();
        assert_eq!(found, expected, "{filter:?}");
    }
}

on_both!(
    what_was_done_is_kept,
    a_stale_or_missing_piece_is_not_moved,
    one_piece_is_never_given_twice,
    a_page_narrows_by_tube_state_and_job,
);
