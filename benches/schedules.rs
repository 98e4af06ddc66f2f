//! How long a sheet of 500 rows takes, and how long the slowest calls take when eight callers call.
//!
//! `cargo bench --bench schedules` prints seconds, which differ from machine to machine, and the ratio of the
//! sheet to the same schedule sent as JSON in the same run, which differs little.

#![expect(clippy::unwrap_used, reason = "a bench may fail by panicking")]
#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod service;
mod shop;

use std::time::{Duration, Instant};

use axum::Router;
use axum::body::Bytes;
use axum::http::Method;
use rust_xlsxwriter::Workbook;
use serde_json::{Value, json};
use shop::{as_json, ask};

/// Rows of the sheet.
const ROWS: usize = 500;
/// Callers at once, and the calls of each.
const CALLERS: usize = 8;
const CALLS: usize = 40;
const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

const HEADING: [&str; 13] = [
    "mark",
    "quantity",
    "service",
    "pressure (psi)",
    "temperature (degF)",
    "build",
    "run",
    "first end",
    "second beyond (in)",
    "branch",
    "outlets",
    "first (in)",
    "stub (in)",
];

fn row(place: usize) -> [String; 14] {
    let builds = ["formed_outlets", "tees_soldered", "tees_brazed"];
    let outlets = 2 + place % 11;
    [
        format!("M-{place}"),
        (1 + place % 4).to_string(),
        "hydronic_heating".to_owned(),
        "75".to_owned(),
        "180".to_owned(),
        builds[place % 3].to_owned(),
        "b88-l-2".to_owned(),
        "cap".to_owned(),
        "4".to_owned(),
        "b88-l-1".to_owned(),
        outlets.to_string(),
        "4".to_owned(),
        "3".to_owned(),
        "5".to_owned(),
    ]
}

fn csv_sheet() -> Bytes {
    let mut text = format!("{},pitch (in)\r\n", HEADING.join(","));
    for place in 0..ROWS {
        text.push_str(&row(place).join(","));
        text.push_str("\r\n");
    }
    text.into()
}

fn workbook() -> Bytes {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write_row(0, 0, HEADING).unwrap();
    sheet.write_string(0, 13, "pitch (in)").unwrap();
    for place in 0..ROWS {
        sheet.write_row(place as u32 + 1, 0, row(place)).unwrap();
    }
    book.save_to_buffer().unwrap().into()
}

fn request() -> Value {
    let manifolds = (0..ROWS).map(|place| {
        let row = row(place);
        json!({"mark": row[0], "quantity": 1 + place % 4, "service": row[2], "design_pressure": "75 psi",
            "design_temperature": "180 degF", "build": row[5],
            "run": {"tube": row[6], "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
            "outlets": [{"tube": row[9], "count": 2 + place % 11, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]})
    });
    json!({ "manifolds": manifolds.collect::<Vec<_>>() })
}

/// The median of several calls.
async fn time(service: &Router, path: &str, body: (&str, Bytes)) -> Duration {
    let mut times = Vec::new();
    for _ in 0..11 {
        let begun = Instant::now();
        ask(service, Method::POST, path, body.clone()).await;
        times.push(begun.elapsed());
    }
    times.sort();
    times[times.len() / 2]
}

/// What callers ask for, in turn: sheets, estimates, comparisons, checks, layouts and papers.
fn calls() -> Vec<(&'static str, (&'static str, Bytes))> {
    let few = |count: usize| {
        let mut request = request();
        let manifolds = request["manifolds"].as_array_mut().unwrap();
        manifolds.truncate(count);
        request
    };
    vec![
        ("/v1/schedules", ("text/csv", csv_sheet())),
        ("/v1/estimates", as_json(&few(100))),
        ("/v1/estimates/compare", as_json(&few(20))),
        ("/v1/manifolds/check", as_json(&few(100))),
        ("/v1/manifolds/layout", as_json(&few(20))),
        (
            "/v1/cut-plans",
            as_json(&json!({"manifolds": few(20)["manifolds"], "kerf": "1/16 in"})),
        ),
        ("/v1/schedules?format=xlsx", (XLSX, workbook())),
        ("/v1/estimates?explain=true", as_json(&few(50))),
    ]
}

async fn eight_callers(service: &Router) -> Vec<(Duration, &'static str)> {
    let callers = (0..CALLERS).map(|caller| {
        let service = service.clone();
        tokio::spawn(async move {
            let (calls, mut times) = (calls(), Vec::new());
            for call in 0..CALLS {
                let (path, body) = calls[(caller + call) % calls.len()].clone();
                let begun = Instant::now();
                ask(&service, Method::POST, path, body).await;
                times.push((begun.elapsed(), path));
            }
            times
        })
    });
    let mut all = Vec::new();
    for caller in callers.collect::<Vec<_>>() {
        all.extend(caller.await.unwrap());
    }
    all.sort();
    all
}

async fn bench() {
    let service = shop::open("sqlite::memory:").await;
    let estimate = time(&service, "/v1/estimates", as_json(&request())).await;
    for (kind, sheet) in [("text/csv", csv_sheet()), (XLSX, workbook())] {
        let took = time(&service, "/v1/schedules", (kind, sheet)).await;
        println!(
            "a sheet of {ROWS} rows as {}: {:.3} s, {:.2} times the same schedule as JSON",
            kind.rsplit('.').next().unwrap(),
            took.as_secs_f64(),
            took.as_secs_f64() / estimate.as_secs_f64()
        );
    }
    let times = eight_callers(&service).await;
    let at = |share: f64| times[((times.len() as f64 * share) as usize).min(times.len() - 1)];
    println!(
        "{} calls by {CALLERS} callers: half within {:.3} s, 99 of 100 within {:.3} s ({})",
        times.len(),
        at(0.5).0.as_secs_f64(),
        at(0.99).0.as_secs_f64(),
        at(0.99).1
    );
}

fn main() {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(bench());
}
