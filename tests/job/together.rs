//! Moves of quotes that wait for the database at the same time.
//!
//! A program makes the shop and its drafts, and reads what came of them. The moves are made by use cases in this
//! process, so that the order in which they are asked for is certain: the test polls them one after the other, while
//! it holds what they need.

#![expect(
    clippy::disallowed_methods,
    reason = "what moves beside a running program bears the hour of that program"
)]

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use futures::future::join_all;
use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use offtake::app::quotes::{Acceptance, MoveRequest, QuoteQuery, QuoteView};
use offtake::app::{App, AppError};
use offtake::shop::audit::Actor;
use offtake::shop::quote::Move;
use offtake::store::{Db, Tx, counters};
use offtake::trade::catalogue::Catalogue;
use reqwest::StatusCode;
use serde_json::{Value, json};
use uuid::Uuid;

use crate::harness::{Running, Shop, admin_key, serve};

/// How long a test waits before it says that something hangs.
const PATIENCE: Duration = Duration::from_secs(60);

/// A program with drafts.
struct Office {
    url: String,
    shop: Shop,
    /// Numbers of drafts, in the order they were made.
    drafts: Vec<String>,
    _running: Running,
}

impl Office {
    async fn open(url: &str, drafts: usize) -> Self {
        let key = admin_key(url);
        let (running, base) = serve(url);
        let shop = Shop::new(base, &key);
        shop.set_up().await;
        let mut numbers = Vec::new();
        for _ in 0..drafts {
            numbers.push(shop.draft(1).await);
        }
        Self {
            url: url.to_owned(),
            shop,
            drafts: numbers,
            _running: running,
        }
    }

    /// The use cases over the same database, as another program has them, so much later.
    async fn program(&self, later: SignedDuration) -> App {
        App::new(
            Db::connect(&self.url).await.unwrap(),
            Catalogue::built_in().unwrap(),
            Arc::new(move || Timestamp::now() + later),
            Arc::new(Uuid::now_v7),
            Arc::new(|| None),
        )
    }

    /// Takes what every change of a quote needs: SQLite's write lock, or the row that numbers changes.
    async fn hold(&self) -> Tx {
        let mut tx = Db::connect(&self.url).await.unwrap().write().await.unwrap();
        counters::next(&mut tx, "quote_change").await.unwrap();
        tx
    }

    /// Another revision, a draft.
    async fn revise(&self, number: &str) {
        let path = format!("/v1/quotes/{number}/revisions");
        self.shop
            .post(&path, &json!(null), StatusCode::CREATED)
            .await;
    }

    /// Numbers and states in the order of the log.
    async fn log(&self) -> Vec<(String, String)> {
        let totals = self.shop.get("/v1/quote-totals?limit=200").await;
        let items = totals["items"].as_array().unwrap().iter();
        items
            .map(|item| (text(&item["number"]), text(&item["state"])))
            .collect()
    }

    /// Who did this, by the number of the quote; that nobody did it twice.
    async fn doers(&self, deed: &str) -> BTreeMap<String, String> {
        let entries = self
            .shop
            .get(&format!("/v1/audit?deed={deed}&limit=200"))
            .await;
        let mut doers = BTreeMap::new();
        for entry in entries["items"].as_array().unwrap() {
            let number = text(&entry["subject"]["id"]);
            let before = doers.insert(number.clone(), text(&entry["actor"]["label"]));
            assert_eq!(before, None, "{deed} of {number} twice");
        }
        doers
    }

    async fn assert_intact(&self) {
        let verdict = self.shop.get("/v1/audit/verify").await;
        assert_eq!(verdict["intact"], true, "{verdict}");
    }
}

fn text(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

fn to(attempted: Move) -> MoveRequest {
    MoveRequest {
        attempted,
        revision: None,
        expected: None,
        acceptance: None,
        reason: None,
        is_printed: false,
    }
}

fn accept(on: Option<Date>) -> MoveRequest {
    MoveRequest {
        acceptance: Some(Acceptance {
            name: "A. Buyer".to_owned(),
            on,
            po_number: None,
            options: Vec::new(),
        }),
        ..to(Move::Accept)
    }
}

/// The outcomes of moves that were all asked for, in this order, before what they need is let go.
async fn let_go<F>(held: Tx, moves: Vec<F>) -> Vec<Result<QuoteView, AppError>>
where
    F: Future<Output = Result<QuoteView, AppError>>,
{
    let both = async { tokio::join!(join_all(moves), async { held.rollback().await.unwrap() }).0 };
    tokio::time::timeout(PATIENCE, both).await.unwrap()
}

/// Asked for from the last to the first, they are logged in the order of their quotes: but for those who may have
/// gone ahead, it was one transaction that made them.
async fn those_who_wait_are_taken_together(url: String) {
    let office = Office::open(&url, 9).await;
    let program = office.program(SignedDuration::ZERO).await;
    let desks = ["front desk", "back room"].map(|label| program.acting_as(Actor::Command(label)));
    let held = office.hold().await;
    let places = office.drafts.iter().enumerate().rev();
    let moves = places.map(|(place, number)| desks[place % 2].move_quote(number, to(Move::Issue)));
    let outcomes = let_go(held, moves.collect()).await;
    for (outcome, number) in outcomes.iter().zip(office.drafts.iter().rev()) {
        let view = outcome.as_ref().unwrap();
        assert_eq!((&view.quote.number, view.state.word()), (number, "issued"));
    }
    let log = office.log().await;
    assert!(log.iter().all(|(_, state)| state == "issued"), "{log:?}");
    let transactions = 1 + log.windows(2).filter(|pair| pair[0].0 > pair[1].0).count();
    assert!(transactions <= 2, "{log:?}");
    // Each under the name of whoever asked.
    let doers = office.doers("quote_issued").await;
    for (place, number) in office.drafts.iter().enumerate() {
        assert_eq!(doers[number], ["front desk", "back room"][place % 2]);
    }
    office.assert_intact().await;
}

/// Beside moves that cannot be made, those that can are made, and each is told its own fault.
async fn nobody_suffers_for_anothers_fault(url: String) {
    let office = Office::open(&url, 6).await;
    let [first, twice, draft, stale, revised, last] = &office.drafts[..] else {
        panic!("{:?}", office.drafts)
    };
    office.shop.make(revised, "issue", StatusCode::OK).await;
    office.revise(revised).await;
    let program = office.program(SignedDuration::ZERO).await;
    let unknown = MoveRequest {
        revision: Some(7),
        ..to(Move::Issue)
    };
    let known = MoveRequest {
        expected: Some(9),
        ..to(Move::Issue)
    };
    let wishes = [
        (first.as_str(), to(Move::Issue)),
        (twice, to(Move::Issue)),
        (twice, to(Move::Issue)),
        (draft, accept(None)),
        ("Q-0", to(Move::Issue)),
        (stale, unknown),
        (stale, known),
        (revised, to(Move::Issue)),
        (last, to(Move::Withdraw)),
    ];
    let held = office.hold().await;
    let moves = wishes.map(|(number, request)| program.move_quote(number, request));
    let outcomes = let_go(held, moves.into()).await;
    let told: Vec<String> = outcomes
        .iter()
        .map(|outcome| match outcome {
            Ok(view) => view.state.word().to_owned(),
            Err(error) => error.to_string(),
        })
        .collect();
    let wrong = |told: &String| told.contains("allowed from here:");
    assert_eq!(told[0], "issued");
    assert_eq!(told[1], "issued");
    assert!(wrong(&told[2]), "{}", told[2]);
    assert!(wrong(&told[3]), "{}", told[3]);
    assert_eq!(told[4], "there is no quote \"Q-0\"");
    assert_eq!(told[5], format!("there is no revision \"{stale}/7\""));
    assert_eq!(told[6], AppError::Stale.to_string());
    assert_eq!(told[7], "issued");
    assert_eq!(told[8], "withdrawn");

    let mut log = office.log().await;
    log.sort();
    let mut wanted = [
        (first, "issued"),
        (twice, "issued"),
        (draft, "draft"),
        (stale, "draft"),
        (revised, "superseded"),
        (revised, "issued"),
        (last, "withdrawn"),
    ]
    .map(|(number, state)| (number.clone(), state.to_owned()));
    wanted.sort();
    assert_eq!(log, wanted);
    office.assert_intact().await;
}

/// Whoever goes away while it waits holds up nobody, and leaves nothing half made.
async fn who_goes_away_holds_up_nobody(url: String) {
    let office = Office::open(&url, 3).await;
    let program = office.program(SignedDuration::ZERO).await;
    let held = office.hold().await;
    let (away, stays) = office.drafts.split_at(2);
    for number in away {
        // It is asked once, and dropped.
        let asked = program.move_quote(number, to(Move::Issue));
        let gone = tokio::time::timeout(Duration::ZERO, asked).await;
        assert!(gone.is_err(), "{gone:?}");
    }
    let moves = vec![program.move_quote(&stays[0], to(Move::Issue))];
    let outcomes = let_go(held, moves).await;
    assert_eq!(outcomes[0].as_ref().unwrap().state.word(), "issued");
    // Their own were made before they went, or can be made now.
    for number in away {
        match program.move_quote(number, to(Move::Issue)).await {
            Ok(_) | Err(AppError::WrongMove(_)) => {}
            Err(error) => panic!("{error:?}"),
        }
    }
    assert_eq!(office.doers("quote_issued").await.len(), 3);
    office.assert_intact().await;
}

/// Two programs that move the same quotes, more than go into one transaction, some of them superseding: each move is
/// made by one of them, and neither waits for the other in a circle.
async fn two_programs_share_the_quotes(url: String) {
    const QUOTES: usize = 40;
    let office = Office::open(&url, QUOTES).await;
    for number in office.drafts.iter().step_by(7) {
        office.shop.make(number, "issue", StatusCode::OK).await;
        office.revise(number).await;
    }
    let one = office.program(SignedDuration::ZERO).await;
    let other = office.program(SignedDuration::ZERO).await;
    let forward = office.drafts.iter();
    let ones = join_all(forward.map(|number| one.move_quote(number, to(Move::Issue))));
    let backward = office.drafts.iter().rev();
    let others = join_all(backward.map(|number| other.move_quote(number, to(Move::Issue))));
    let both = async { tokio::join!(ones, others) };
    let (ones, mut others) = tokio::time::timeout(PATIENCE, both).await.unwrap();
    others.reverse();
    for (number, (one, other)) in office.drafts.iter().zip(ones.iter().zip(&others)) {
        match (one, other) {
            (Ok(_), Err(AppError::WrongMove(_))) | (Err(AppError::WrongMove(_)), Ok(_)) => {}
            both => panic!("{number}: {both:?}"),
        }
    }
    let issued = office.log().await;
    let issued = issued.iter().filter(|(_, state)| state == "issued");
    assert_eq!(issued.count(), QUOTES);
    office.assert_intact().await;
}

/// Two programs that find the same quotes due on the first look of a day write each expiry down once.
async fn an_expiry_is_written_down_once(url: String) {
    let office = Office::open(&url, 5).await;
    for number in &office.drafts {
        office.shop.make(number, "issue", StatusCode::OK).await;
    }
    let year = SignedDuration::from_hours(24 * 365);
    let programs = [office.program(year).await, office.program(year).await];
    let query = QuoteQuery {
        limit: 10,
        ..QuoteQuery::default()
    };
    let held = office.hold().await;
    let looks = programs
        .iter()
        .cycle()
        .take(6)
        .map(|program| program.quotes(query.clone()));
    let looks = async { tokio::join!(join_all(looks), async { held.rollback().await.unwrap() }).0 };
    for listing in tokio::time::timeout(PATIENCE, looks).await.unwrap() {
        let listing = listing.unwrap();
        let states = listing.quotes.iter().map(|quote| quote.state.as_str());
        assert_eq!(states.collect::<Vec<_>>(), ["expired"; 5]);
    }
    assert_eq!(office.doers("quote_expired").await.len(), 5);
    // An order that came in time is taken all the same.
    let number = &office.drafts[0];
    let last = programs[0]
        .quote(number)
        .await
        .unwrap()
        .revision
        .valid_until;
    let accept = accept(last);
    let taken = programs[1].move_quote(number, accept).await.unwrap();
    assert_eq!(
        (taken.state.word(), taken.revision.accepted_on),
        ("accepted", last)
    );
    office.assert_intact().await;
}

macro_rules! on_both {
    ($($story:ident)+) => {
        mod on_sqlite {
            $(#[test] fn $story() { crate::databases::on_sqlite(super::$story); })+
        }
        mod on_postgres {
            $(#[test] fn $story() { crate::databases::on_postgres(super::$story); })+
        }
    };
}

on_both! {
    those_who_wait_are_taken_together
    nobody_suffers_for_anothers_fault
    who_goes_away_holds_up_nobody
    two_programs_share_the_quotes
    an_expiry_is_written_down_once
}
