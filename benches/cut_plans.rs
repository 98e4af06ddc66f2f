//! How long a cut plan of shop size takes to its proof, beside OR-Tools on the same problems.
//!
//! `cargo bench --bench cut_plans` makes problems of up to 200 pieces in 30 lengths, plans them,
//! and hands the same problems to `tests/cut_plans/data/solve_with_ortools.py` in the same run
//! (PyPI `ortools`). `cargo bench --bench cut_plans -- venv/bin/python` names the interpreter that
//! has it, else `python3`. It prints each ratio, their median and the worst. Where OR-Tools is not
//! there it says so.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark may fail by panicking, and prints what it measured"
)]

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use offtake::shop::cut_plan::{CutJob, CutLength, CutPlan, Stock, USUAL_WORK, Wanted, plan};
use rust_decimal::Decimal;

/// Problems of each kind.
const EACH: u64 = 8;
/// Seconds that OR-Tools may take for one.
const PATIENCE: &str = "30";
const SCRIPT: &str = "tests/cut_plans/data/solve_with_ortools.py";

/// A problem: lengths in 1/64 in, costs in hundredths.
struct Problem {
    name: String,
    kerf: i64,
    stock: Vec<(i64, i64)>,
    pieces: Vec<(i64, u32)>,
}

/// The same draws on every machine (Numerical Recipes' linear congruence).
struct Draws(u64);

impl Draws {
    fn upto(&mut self, least: u64, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        least + (self.0 >> 33) % (most - least + 1)
    }
}

/// Lengths to the sixteenth between two bounds in inches, about so many pieces.
fn problem(name: &str, seed: u64, lengths: u64, pieces: u64, inches: (u64, u64)) -> Problem {
    let mut draws = Draws(seed);
    let each = pieces / lengths;
    let mut wanted: Vec<(i64, u32)> = Vec::new();
    while (wanted.len() as u64) < lengths {
        let length = 4 * draws.upto(inches.0 * 16, inches.1 * 16) as i64;
        if wanted.iter().all(|(known, _)| *known != length) {
            wanted.push((length, draws.upto(1, 2 * each - 1) as u32));
        }
    }
    Problem {
        name: format!("{name}-{seed}"),
        kerf: 4,
        stock: vec![(240 * 64, 10_400), (120 * 64, 5_600)],
        pieces: wanted,
    }
}

impl Problem {
    fn job(&self) -> CutJob {
        let stock = self.stock.iter().enumerate();
        let pieces = self.pieces.iter().enumerate();
        CutJob {
            kerf: CutLength::sixty_fourths(self.kerf),
            stock: stock
                .map(|(place, (length, cost))| Stock {
                    id: format!("S{place}"),
                    length: CutLength::sixty_fourths(*length),
                    trim: CutLength::ZERO,
                    cost: Decimal::new(*cost, 2),
                    count: None,
                })
                .collect(),
            pieces: pieces
                .map(|(place, (length, count))| Wanted {
                    id: format!("P{place}"),
                    length: CutLength::sixty_fourths(*length),
                    count: *count,
                })
                .collect(),
            keep: None,
            decimals: 2,
        }
    }

    /// A line as the script reads it.
    fn line(&self) -> String {
        let mut line = format!("{} {} {}", self.name, self.kerf, self.stock.len());
        for (length, cost) in &self.stock {
            write!(line, " {length} {cost} -1").unwrap();
        }
        write!(line, " {}", self.pieces.len()).unwrap();
        for (length, count) in &self.pieces {
            write!(line, " {length} {count}").unwrap();
        }
        line.push_str(" 0 0 1");
        line
    }

    fn timed(&self) -> (CutPlan, Duration) {
        let job = self.job();
        let begun = Instant::now();
        let found = plan(&job, USUAL_WORK).unwrap();
        (found, begun.elapsed())
    }
}

/// What OR-Tools says of each: optimum in hundredths where it was proved in time, and seconds.
fn by_ortools(problems: &[Problem]) -> Option<Vec<(Option<i64>, f64)>> {
    // Cargo passes a flag of its own.
    let named = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    let python = named.unwrap_or_else(|| "python3".to_owned());
    let mut child = Command::new(python)
        .args([SCRIPT, "--times", PATIENCE])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    let lines: Vec<String> = problems.iter().map(Problem::line).collect();
    let mut input = child.stdin.take()?;
    // A script that cannot import ortools ends before it has read everything.
    input.write_all(lines.join("\n").as_bytes()).ok()?;
    drop(input);
    let output = child.wait_with_output().ok()?;
    output.status.success().then_some(())?;
    let text = String::from_utf8(output.stdout).ok()?;
    let told = text.lines().map(|line| {
        let words: Vec<&str> = line.split(' ').collect();
        (words[1].parse().ok(), words[2].parse().unwrap())
    });
    Some(told.collect())
}

fn main() {
    let mut problems = Vec::new();
    for seed in 1..=EACH {
        problems.push(problem("one-job", seed, 10, 40, (6, 90)));
        problems.push(problem("long", seed, 30, 200, (20, 110)));
        problems.push(problem("short", seed, 30, 200, (4, 60)));
    }
    let ours: Vec<(CutPlan, Duration)> = problems.iter().map(Problem::timed).collect();
    let theirs = by_ortools(&problems);
    let mut ratios = Vec::new();
    for (place, problem) in problems.iter().enumerate() {
        let (plan, took) = &ours[place];
        let pieces: u32 = problem.pieces.iter().map(|(_, count)| count).sum();
        let seconds = took.as_secs_f64();
        let proof = if plan.is_proven { "proven" } else { "open" };
        print!(
            "{:<10} {pieces:>4} pieces  offtake {proof} {seconds:8.4} s",
            problem.name
        );
        if let Some(theirs) = &theirs {
            let (optimum, others) = &theirs[place];
            let said = match optimum {
                Some(optimum) if Decimal::new(*optimum, 2) == plan.cost => "same cost",
                Some(_) => "OTHER COST",
                None => "not proved in time",
            };
            ratios.push(others / seconds);
            print!(
                "  ortools {others:8.3} s, {said}, ratio {:.1}",
                others / seconds
            );
        }
        println!();
    }
    let proven = ours.iter().filter(|(plan, _)| plan.is_proven).count();
    let worst = ours
        .iter()
        .map(|(_, took)| took.as_secs_f64())
        .fold(0.0, f64::max);
    println!(
        "{proven} of {} proven, the slowest in {worst:.3} s",
        ours.len()
    );
    if ratios.is_empty() {
        println!("no interpreter with ortools: nothing to compare with");
        return;
    }
    ratios.sort_by(f64::total_cmp);
    println!(
        "ortools takes {:.1} times as long in the median, {:.1} at the least, {:.1} at the most",
        ratios[ratios.len() / 2],
        ratios[0],
        ratios[ratios.len() - 1]
    );
}
