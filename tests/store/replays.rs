//! Requests that come twice.

use offtake::store::Db;
use offtake::store::replays::{self, Answer, Claim, NewClaim, ReplayKey};
use tokio::task::JoinSet;

use crate::rows::{at, id};

on_both!(
    of_twenty_rivals_one_claims,
    of_twenty_rivals_one_takes_over_a_stale_claim,
    a_finished_answer_comes_back_byte_for_byte,
    a_claim_taken_over_cannot_be_finished_by_its_old_holder,
    a_released_claim_can_be_claimed_again,
    an_expired_answer_is_forgotten,
    the_same_key_for_another_caller_or_operation_is_another_request,
);

fn request() -> ReplayKey {
    ReplayKey {
        key_id: id(1),
        operation: "create_quote".to_owned(),
        idempotency_key: "job-7 rev-2".to_owned(),
    }
}

/// A claim made at second `made`; claims of the last 60 seconds are not stale, answers keep for 1000.
fn new(claim: usize, made: i64) -> NewClaim {
    NewClaim {
        claim_id: id(claim),
        fingerprint: format!("content {claim}"),
        at: at(made),
        expires_at: at(made + 1000),
        stale_before: at(made - 60),
    }
}

fn answer() -> Answer {
    Answer {
        status: 201,
        headers: r#"[["etag", "\"1\""]]"#.to_owned(),
        body: vec![0, 255, b'{', b'}', 0],
    }
}

async fn claim_alone(db: &Db, claim: NewClaim) -> Claim {
    let mut tx = db.write().await.unwrap();
    let claimed = replays::claim(&mut tx, &request(), &claim).await.unwrap();
    tx.commit().await.unwrap();
    claimed
}

/// Lets twenty tasks claim at once; which of them did.
async fn race(db: &Db, made: i64) -> Vec<usize> {
    let mut tasks = JoinSet::new();
    for rival in 1..=20 {
        let db = db.clone();
        tasks.spawn(async move { (rival, claim_alone(&db, new(rival, made)).await) });
    }
    let mut outcomes = tasks.join_all().await;
    outcomes.sort_by_key(|(rival, _)| *rival);
    let winners: Vec<usize> = outcomes
        .iter()
        .filter(|(_, claim)| *claim == Claim::Claimed)
        .map(|(rival, _)| *rival)
        .collect();
    for (rival, claim) in outcomes {
        if !winners.contains(&rival) {
            let fingerprint = format!("content {}", winners[0]);
            assert_eq!(claim, Claim::Running { fingerprint }, "rival {rival}");
        }
    }
    winners
}

async fn of_twenty_rivals_one_claims(db: Db) {
    let winners = race(&db, 0).await;
    assert_eq!(winners.len(), 1, "{winners:?}");

    let mut tx = db.write().await.unwrap();
    assert!(
        replays::finish(&mut tx, &request(), id(winners[0]), &answer())
            .await
            .unwrap()
    );
    tx.commit().await.unwrap();
    let fingerprint = format!("content {}", winners[0]);
    assert_eq!(
        claim_alone(&db, new(30, 500)).await,
        Claim::Done {
            fingerprint,
            answer: answer()
        }
    );
}

async fn of_twenty_rivals_one_takes_over_a_stale_claim(db: Db) {
    assert_eq!(claim_alone(&db, new(40, 0)).await, Claim::Claimed);
    let winners = race(&db, 61).await;
    assert_eq!(winners.len(), 1, "{winners:?}");
}

async fn a_finished_answer_comes_back_byte_for_byte(db: Db) {
    assert_eq!(claim_alone(&db, new(1, 0)).await, Claim::Claimed);
    let running = Claim::Running {
        fingerprint: "content 1".to_owned(),
    };
    assert_eq!(
        claim_alone(&db, new(2, 60)).await,
        running,
        "60 s old is not yet stale"
    );

    let mut tx = db.write().await.unwrap();
    assert!(
        !replays::finish(&mut tx, &request(), id(2), &answer())
            .await
            .unwrap(),
        "another's claim"
    );
    assert!(
        replays::finish(&mut tx, &request(), id(1), &answer())
            .await
            .unwrap()
    );
    assert!(
        !replays::finish(&mut tx, &request(), id(1), &answer())
            .await
            .unwrap(),
        "finished before"
    );
    assert!(
        !replays::release(&mut tx, &request(), id(1)).await.unwrap(),
        "finished before"
    );
    tx.commit().await.unwrap();

    let done = Claim::Done {
        fingerprint: "content 1".to_owned(),
        answer: answer(),
    };
    assert_eq!(
        claim_alone(&db, new(3, 999)).await,
        done,
        "old, but done is never stale"
    );
}

async fn a_claim_taken_over_cannot_be_finished_by_its_old_holder(db: Db) {
    assert_eq!(claim_alone(&db, new(1, 0)).await, Claim::Claimed);
    assert_eq!(claim_alone(&db, new(2, 61)).await, Claim::Claimed);

    let mut tx = db.write().await.unwrap();
    assert!(
        !replays::finish(&mut tx, &request(), id(1), &answer())
            .await
            .unwrap()
    );
    assert!(!replays::release(&mut tx, &request(), id(1)).await.unwrap());
    assert!(
        replays::finish(&mut tx, &request(), id(2), &answer())
            .await
            .unwrap()
    );
    tx.commit().await.unwrap();
}

async fn a_released_claim_can_be_claimed_again(db: Db) {
    assert_eq!(claim_alone(&db, new(1, 0)).await, Claim::Claimed);
    let mut tx = db.write().await.unwrap();
    assert!(replays::release(&mut tx, &request(), id(1)).await.unwrap());
    assert!(
        !replays::release(&mut tx, &request(), id(1)).await.unwrap(),
        "not there"
    );
    tx.commit().await.unwrap();
    assert_eq!(claim_alone(&db, new(2, 1)).await, Claim::Claimed);
}

async fn an_expired_answer_is_forgotten(db: Db) {
    assert_eq!(claim_alone(&db, new(1, 0)).await, Claim::Claimed);
    let mut tx = db.write().await.unwrap();
    assert!(
        replays::finish(&mut tx, &request(), id(1), &answer())
            .await
            .unwrap()
    );
    assert_eq!(replays::delete_expired(&mut tx, at(999)).await.unwrap(), 0);
    tx.commit().await.unwrap();

    assert_eq!(
        claim_alone(&db, new(2, 1000)).await,
        Claim::Claimed,
        "expired counts as not there"
    );
    let mut tx = db.write().await.unwrap();
    assert!(
        replays::finish(&mut tx, &request(), id(2), &answer())
            .await
            .unwrap(),
        "nothing of the old answer is left in the way"
    );
    assert_eq!(replays::delete_expired(&mut tx, at(2000)).await.unwrap(), 1);
    assert_eq!(replays::delete_expired(&mut tx, at(2000)).await.unwrap(), 0);
    tx.commit().await.unwrap();
}

async fn the_same_key_for_another_caller_or_operation_is_another_request(db: Db) {
    let other_caller = ReplayKey {
        key_id: id(2),
        ..request()
    };
    let other_operation = ReplayKey {
        operation: "issue_quote".to_owned(),
        ..request()
    };
    let other_key = ReplayKey {
        idempotency_key: "JOB-7 REV-2".to_owned(),
        ..request()
    };
    let mut tx = db.write().await.unwrap();
    for key in [request(), other_caller, other_operation, other_key] {
        assert_eq!(
            replays::claim(&mut tx, &key, &new(1, 0)).await.unwrap(),
            Claim::Claimed,
            "{key:?}"
        );
    }
    tx.commit().await.unwrap();
}
