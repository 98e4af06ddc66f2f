//! Numbers of quotes under two programs on one database, each of them killed in the middle.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use crate::harness::{Running, Shop, admin_key, quote_of, schedule, serve};
use reqwest::StatusCode;

/// Quotes that are to be made while the programs come and go.
const QUOTES: usize = 48;
const CLIENTS: usize = 6;
/// After so many quotes a program is killed, in turn.
const KILLS: [usize; 3] = [8, 20, 32];

/// The programs, and where they listen just now.
struct Programs {
    running: Vec<Running>,
    shops: Arc<Mutex<Vec<Shop>>>,
    key: String,
}

impl Programs {
    fn start(url: &str) -> Self {
        let key = admin_key(url);
        let (running, shops) = (0..2)
            .map(|_| {
                let (running, base) = serve(url);
                (running, Shop::new(base, &key))
            })
            .unzip();
        Self {
            running,
            shops: Arc::new(Mutex::new(shops)),
            key,
        }
    }

    /// Kills a program where it stands (SIGKILL) and starts another in its place.
    fn kill(&mut self, place: usize, url: &str) {
        self.running[place].kill();
        let (running, base) = serve(url);
        self.running[place] = running;
        self.shops.lock().unwrap()[place] = Shop::new(base, &self.key);
    }
}

/// Makes quotes at either program until enough are made; every third wish is for one that cannot be built, and is
/// refused.
async fn client(shops: Arc<Mutex<Vec<Shop>>>, made: Arc<AtomicUsize>, first: usize) -> Vec<String> {
    let mut numbers = Vec::new();
    let (good, bad) = (quote_of(&schedule()[..1]), quote_of(&schedule()[6..]));
    for turn in first.. {
        if made.load(Ordering::SeqCst) >= QUOTES {
            break;
        }
        let shop = shops.lock().unwrap()[turn % 2].clone();
        let is_good = turn % 3 != 0;
        let body = if is_good { &good } else { &bad };
        // A program that was just killed does not answer: what became of the wish is not known.
        let sent = shop.request(reqwest::Method::POST, "/v1/quotes").json(body);
        let Ok(answer) = sent.send().await else {
            continue;
        };
        let status = answer.status();
        let Ok(answer) = answer.json::<serde_json::Value>().await else {
            continue;
        };
        if is_good {
            assert_eq!(status, StatusCode::CREATED, "{answer}");
            numbers.push(answer["number"].as_str().unwrap().to_owned());
            made.fetch_add(1, Ordering::SeqCst);
        } else {
            assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{answer}");
        }
    }
    numbers
}

/// Whatever is killed: each number that somebody was told is one quote's, and the numbers of the
/// quotes that are there run from 1 without a gap or a repeat.
async fn numbers_survive_kills(url: String) {
    let mut programs = Programs::start(&url);
    let shop = programs.shops.lock().unwrap()[0].clone();
    shop.set_up().await;
    let made = Arc::new(AtomicUsize::new(0));
    let clients: Vec<_> = (0..CLIENTS)
        .map(|first| {
            let shops = Arc::clone(&programs.shops);
            tokio::spawn(client(shops, Arc::clone(&made), first))
        })
        .collect();
    for (turn, kill_at) in KILLS.into_iter().enumerate() {
        let begun = Instant::now();
        while made.load(Ordering::SeqCst) < kill_at {
            assert!(begun.elapsed() < Duration::from_secs(120), "nothing moves");
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        programs.kill(turn % 2, &url);
    }
    let mut told = Vec::new();
    for client in clients {
        told.extend(client.await.unwrap());
    }
    let shop = programs.shops.lock().unwrap()[1].clone();
    let mut there = Vec::new();
    let mut path = "/v1/quotes?limit=37".to_owned();
    loop {
        let page = shop.get(&path).await;
        let items = page["items"].as_array().unwrap();
        there.extend(
            items
                .iter()
                .map(|item| item["number"].as_str().unwrap().to_owned()),
        );
        match page["next"].as_str() {
            Some(next) => path = next.to_owned(),
            None => break,
        }
    }
    let distinct: BTreeSet<&String> = told.iter().collect();
    assert_eq!(distinct.len(), told.len(), "a number was told twice");
    let stored: BTreeSet<&String> = there.iter().collect();
    assert_eq!(stored.len(), there.len(), "a number is there twice");
    assert!(distinct.is_subset(&stored), "a quote that was told is gone");
    let mut numbers: Vec<usize> = there
        .iter()
        .map(|number| number.rsplit('-').next().unwrap().parse().unwrap())
        .collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=there.len()).collect::<Vec<_>>());
    // Each is in the books, and nothing was done that the trail does not tell.
    let totals = shop.get("/v1/quote-totals?limit=200").await;
    assert_eq!(totals["items"].as_array().unwrap().len(), there.len());
    let verdict = shop.get("/v1/audit/verify").await;
    assert_eq!(verdict["intact"], true, "{verdict}");
}

#[test]
fn two_programs_on_one_sqlite_file_survive_kills() {
    crate::databases::on_sqlite(numbers_survive_kills);
}

#[test]
fn two_programs_on_one_postgres_survive_kills() {
    crate::databases::on_postgres(numbers_survive_kills);
}
