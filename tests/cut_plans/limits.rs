//! Bad jobs, jobs without enough stock, and jobs too large to prove.

use offtake::shop::cut_plan::{
    CutError, CutFault, CutJob, CutLength, Keep, PieceFault, StockFault, USUAL_WORK, plan,
};
use rust_decimal::dec;

use crate::job::job;

#[test]
fn every_fault_is_told_at_once() {
    let mut bad = job(
        -1,
        &[(100, 100, Some(0)), (0, -1, None)],
        &[(101, 1), (0, 0)],
    );
    bad.stock[1].id = "S0".to_owned();
    bad.pieces[1].id = "P0".to_owned();
    bad.keep = Some(Keep {
        least: CutLength::ZERO,
        value: dec!(-1),
        per: CutLength::FOOT,
    });
    let Err(CutError::Faulty(faults)) = plan(&bad, USUAL_WORK) else {
        panic!("it has faults");
    };
    let length = CutLength::sixty_fourths;
    for fault in [
        CutFault::Kerf(length(-1)),
        CutFault::Stock(0, StockFault::Count),
        CutFault::Stock(1, StockFault::SameName(0)),
        CutFault::Stock(1, StockFault::Length),
        CutFault::Stock(1, StockFault::Cost),
        CutFault::Least(CutLength::ZERO),
        CutFault::Value,
        CutFault::Piece(0, PieceFault::TooLong(length(100))),
        CutFault::Piece(1, PieceFault::SameName(0)),
        CutFault::Piece(1, PieceFault::Count),
        CutFault::Piece(1, PieceFault::Length),
    ] {
        assert!(faults.contains(&fault), "{fault:?} is not among {faults:?}");
    }
    assert_eq!(faults.len(), 11, "{faults:?}");
}

#[test]
fn empty_and_oversized_jobs_are_refused() {
    let faults = |job: &CutJob| match plan(job, USUAL_WORK) {
        Err(CutError::Faulty(faults)) => faults,
        other => panic!("{other:?}"),
    };
    let empty = job(0, &[], &[]);
    assert_eq!(faults(&empty), [CutFault::NoStock, CutFault::NoPieces]);
    let many = job(0, &[(100, 1, None)], &[(10, 5_001)]);
    assert_eq!(faults(&many), [CutFault::Pieces(5_001)]);
    // An offcut of a whole stick would bring more than the stick cost.
    let mut dear = job(0, &[(64 * 12, 100, None)], &[(10, 1)]);
    dear.keep = Some(Keep {
        least: CutLength::sixty_fourths(10),
        value: dec!(1.01),
        per: CutLength::FOOT,
    });
    assert_eq!(
        faults(&dear),
        [CutFault::Stock(0, StockFault::ValueAboveCost)]
    );
}

#[test]
fn stock_that_runs_out_is_told_with_what_is_left_over() {
    let short = job(0, &[(100, 100, Some(2))], &[(60, 2), (40, 3)]);
    assert_eq!(
        plan(&short, USUAL_WORK),
        Err(CutError::NotEnough(vec![(1, 1)]))
    );
    let enough = job(
        0,
        &[(100, 100, Some(2)), (40, 900, Some(1))],
        &[(60, 2), (40, 3)],
    );
    let made = plan(&enough, USUAL_WORK).unwrap();
    assert_eq!((made.cost, made.is_proven), (dec!(11.00), true));
}

#[test]
fn the_largest_job_is_planned_with_its_gap_told() {
    // 5000 pieces of 5000 lengths, drawn by a fixed rule.
    let pieces: Vec<(i64, u32)> = (0..5_000_i64)
        .map(|k| (400 + (k * 7919) % 10_007, 1))
        .collect();
    let large = job(8, &[(15_360, 4_000, None), (7_680, 2_100, None)], &pieces);
    let made = plan(&large, 2_000_000).unwrap();
    assert!(!made.is_proven && made.bound < made.cost);
    assert!(
        made.bound * dec!(1.05) > made.cost,
        "{} {}",
        made.bound,
        made.cost
    );
}
