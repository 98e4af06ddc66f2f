//! How fast quotes are issued, and how fast their paper is printed.
//!
//! `cargo bench --bench quotes -- venv/bin/python` prints rates, which differ from machine to machine, and ratios
//! to something measured in the same run, which differ little: quotes issued a second beside small rows that a
//! bare program commits durably in the same folder; and the paper of a quote of two pages beside its page printed
//! by WeasyPrint (PyPI: weasyprint), when a Python that has it is given. `OFFTAKE_BENCH_FOLDER` says on which
//! file system; else that of the target folder.

#![expect(clippy::unwrap_used, reason = "a bench may fail by panicking")]
#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod service;
mod shop;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use axum::Router;
use axum::http::Method;
use serde_json::{Value, json};
use shop::{as_json, ask};
use sqlx::Connection;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection, SqliteJournalMode, SqliteSynchronous};

/// Quotes issued, and rows committed, in one go; goes of each, in turn.
const QUOTES: usize = 320;
/// Manifolds of a long quote.
const LONG: usize = 120;
/// Callers who issue at once: an office, and as many as keep the program busy.
const CALLERS: [usize; 2] = [8, 32];
const GOES: usize = 5;

/// A draft for so many manifolds, those of the demo's schedule again and again; its number.
async fn draft(service: &Router, manifolds: usize) -> String {
    /// The last of the demo's cannot be built.
    const BUILDABLE: usize = 6;
    let all: Vec<Value> =
        serde_json::from_str(include_str!("../src/demo/data/schedule.json")).unwrap();
    let manifolds = (0..manifolds).map(|place| {
        let mut manifold = all[place % BUILDABLE].clone();
        manifold["mark"] = json!(format!("M-{place}"));
        manifold
    });
    let manifolds: Vec<Value> = manifolds.collect();
    let quote = json!({"customer": {"name": "Bench"}, "project": "P", "manifolds": manifolds});
    let made = ask(service, Method::POST, "/v1/quotes", as_json(&quote)).await;
    let made: Value = serde_json::from_slice(&made).unwrap();
    made["number"].as_str().unwrap().to_owned()
}

/// Issues quotes that are drafted beforehand, by several callers.
async fn issued(service: &Router, callers: usize) -> Duration {
    let mut numbers = Vec::new();
    for _ in 0..QUOTES {
        numbers.push(draft(service, 1).await);
    }
    let begun = Instant::now();
    let callers = numbers.chunks(QUOTES / callers).map(|numbers| {
        let (service, numbers) = (service.clone(), numbers.to_vec());
        tokio::spawn(async move {
            for number in numbers {
                let path = format!("/v1/quotes/{number}/issue");
                ask(&service, Method::POST, &path, as_json(&json!({}))).await;
            }
        })
    });
    for caller in callers.collect::<Vec<_>>() {
        caller.await.unwrap();
    }
    begun.elapsed()
}

/// Commits small rows, one after the other, as durably as the program does.
async fn committed(folder: &Path) -> Duration {
    let options = SqliteConnectOptions::new()
        .filename(folder.join("bare.db"))
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full);
    let mut bare = SqliteConnection::connect_with(&options).await.unwrap();
    sqlx::query("create table if not exists rows (id integer primary key, text text not null)")
        .execute(&mut bare)
        .await
        .unwrap();
    let begun = Instant::now();
    for _ in 0..QUOTES {
        sqlx::query("insert into rows (text) values ('a small row')")
            .execute(&mut bare)
            .await
            .unwrap();
    }
    let took = begun.elapsed();
    bare.close().await.unwrap();
    took
}

fn rate(times: &mut [Duration]) -> f64 {
    times.sort();
    QUOTES as f64 / times[times.len() / 2].as_secs_f64()
}

async fn quotes_a_second(service: &Router, folder: &Path) {
    for callers in CALLERS {
        let (mut issuing, mut committing) = (Vec::new(), Vec::new());
        for _ in 0..GOES {
            committing.push(committed(folder).await);
            issuing.push(issued(service, callers).await);
        }
        let (quotes, rows) = (rate(&mut issuing), rate(&mut committing));
        println!(
            "quotes issued on SQLite by {callers} callers: {quotes:.0} a second, {:.2} of the {rows:.0} small rows that a bare program commits durably",
            quotes / rows
        );
    }
}

/// A draft whose paper has two pages, and that paper: a draft's paper is not kept, so it is printed anew.
async fn of_two_pages(service: &Router) -> Option<String> {
    for manifolds in 1..=6 {
        let number = draft(service, manifolds).await;
        let path = format!("/v1/quotes/{number}/revisions/1/document");
        let paper = ask(
            service,
            Method::GET,
            &format!("{path}?format=pdf"),
            as_json(&json!({})),
        )
        .await;
        if lopdf::Document::load_mem(&paper).unwrap().get_pages().len() >= 2 {
            return Some(path);
        }
    }
    None
}

/// The time of a paper, made anew.
async fn printed(service: &Router, path: &str, goes: usize) -> f64 {
    let pdf = format!("{path}?format=pdf");
    let mut times = Vec::new();
    for _ in 0..goes {
        let begun = Instant::now();
        ask(service, Method::GET, &pdf, as_json(&json!({}))).await;
        times.push(begun.elapsed());
    }
    times.sort();
    times[times.len() / 2].as_secs_f64()
}

async fn paper(service: &Router, folder: &Path, python: Option<String>) {
    let path = of_two_pages(service).await.unwrap();
    let ours = printed(service, &path, 31).await;
    let long = draft(service, LONG).await;
    let long = format!("/v1/quotes/{long}/revisions/1/document");
    let long = printed(service, &long, 3).await;
    println!("the paper of a quote of {LONG} manifolds, with a drawing of each: {long:.2} s");
    println!("the paper of a quote of two pages: {:.1} ms", ours * 1e3);
    let Some(python) = python else { return };
    let page = ask(
        service,
        Method::GET,
        &format!("{path}?format=html"),
        as_json(&json!({})),
    )
    .await;
    let file = folder.join("page.html");
    std::fs::write(&file, page).unwrap();
    let printed = Command::new(python)
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/outside/time_page.py"
        ))
        .arg(&file)
        .output()
        .unwrap();
    assert!(
        printed.status.success(),
        "{}",
        String::from_utf8_lossy(&printed.stderr)
    );
    let told = String::from_utf8(printed.stdout).unwrap();
    let mut words = told.split_whitespace();
    let theirs: f64 = words.next().unwrap().parse().unwrap();
    println!(
        "WeasyPrint {} takes {:.1} ms for its page ({} pages), {:.0} times as long",
        words.next().unwrap(),
        theirs * 1e3,
        words.next().unwrap(),
        theirs / ours
    );
}

async fn bench(python: Option<String>) {
    let place = std::env::var_os("OFFTAKE_BENCH_FOLDER")
        .map_or_else(|| PathBuf::from(env!("CARGO_TARGET_TMPDIR")), PathBuf::from);
    let folder = tempfile::tempdir_in(place).unwrap();
    let database = format!("sqlite://{}", folder.path().join("bench.db").display());
    let service = shop::open(&database).await;
    quotes_a_second(&service, folder.path()).await;
    paper(&service, folder.path(), python).await;
}

fn main() {
    let python = std::env::args()
        .skip(1)
        .find(|argument| !argument.starts_with("--"));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(bench(python));
}
