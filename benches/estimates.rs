//! How long an estimate takes, with its risk; and the worked spreadsheet beside it.
//!
//! `cargo bench --bench estimates` prints milliseconds, which differ from machine to machine. Given a
//! Python that has LibreOffice's `uno` (Debian: `python3-uno`), as in
//! `cargo bench --bench estimates -- /usr/bin/python3`, LibreOffice recalculates the worked sheet in the
//! same run, and the ratio to the program's estimate of the same schedule is printed.

#![expect(clippy::unwrap_used, reason = "a bench may fail by panicking")]
#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod timing;

#[path = "../tests/worked/bench.rs"]
mod bench;
#[path = "../tests/worked/worked_books.rs"]
mod worked_books;

use std::hint::black_box;
use std::process::Command;
use std::time::Duration;

use offtake::shop::estimate::{Books, Scheduled, estimate};
use offtake::shop::labour::Spread;
use offtake::shop::risk::percentiles;
use offtake::trade::catalogue::Catalogue;
use offtake::trade::check::check;
use offtake::trade::manifold::Manifold;
use offtake::trade::rule_set::RuleSet;
use rust_decimal::dec;
use timing::median;

use bench::{Header, plain_shop, prices, times};

/// Manifolds of the long schedule.
const MANIFOLDS: u32 = 100;

fn catalogue() -> &'static Catalogue {
    Catalogue::built_in().unwrap()
}

/// Checks, takes off and estimates a schedule, as a call does.
fn estimated(manifolds: &[Manifold], books: Books<'_>, with_risk: bool) -> Duration {
    let (catalogue, rules) = (catalogue(), RuleSet::default_set());
    median(51, || {
        let checked: Vec<_> = manifolds
            .iter()
            .map(|manifold| check(manifold, catalogue, &rules))
            .collect();
        let schedule: Vec<Scheduled<'_>> = manifolds
            .iter()
            .zip(&checked)
            .map(|(manifold, checked)| Scheduled {
                manifold,
                takeoff: &checked.takeoff,
            })
            .collect();
        let made = estimate(&schedule, books).unwrap();
        if with_risk {
            black_box(percentiles(&made, &books));
        }
        black_box(made);
    })
}

fn long_schedule() -> Duration {
    let manifolds: Vec<Manifold> = (0..MANIFOLDS)
        .map(|place| {
            let mut manifold = Header {
                count: 2 + place % 11,
                quantity: 1 + place % 4,
                ..Header::USUAL
            }
            .manifold(catalogue());
            manifold.mark = format!("H-{place}");
            manifold
        })
        .collect();
    let spread = Spread {
        low: dec!(0.8),
        high: dec!(1.6),
    };
    let (shop, prices, labour) = (plain_shop("USD"), prices("USD"), times("1", Some(spread)));
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    estimated(&manifolds, books, true)
}

fn worked_schedule() -> Duration {
    let manifolds = worked_books::schedule();
    let (shop, prices, labour) = (
        worked_books::shop(),
        worked_books::prices(),
        worked_books::times(),
    );
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    estimated(&manifolds, books, false)
}

/// Seconds that LibreOffice takes to recalculate the worked sheet.
fn recalculated(python: &str) -> f64 {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests");
    let told = Command::new(python)
        .arg(format!("{folder}/outside/time_worked_sheet.py"))
        .arg(format!("{folder}/worked/estimate.xlsx"))
        .output()
        .unwrap();
    assert!(told.status.success(), "{told:?}");
    String::from_utf8(told.stdout)
        .unwrap()
        .trim()
        .parse()
        .unwrap()
}

fn main() {
    let long = long_schedule();
    println!(
        "check and estimate of {MANIFOLDS} manifolds with risk: {:.1} ms",
        long.as_secs_f64() * 1e3
    );
    let worked = worked_schedule();
    println!(
        "check and estimate of the worked schedule: {:.3} ms, {:.0} a second",
        worked.as_secs_f64() * 1e3,
        1.0 / worked.as_secs_f64()
    );
    let python = std::env::args().nth(1).filter(|it| !it.starts_with('-'));
    if let Some(python) = python {
        let sheet = recalculated(&python);
        println!(
            "LibreOffice recalculates the worked sheet in {:.3} ms, {:.1} times as long",
            sheet * 1e3,
            sheet / worked.as_secs_f64()
        );
    }
}
