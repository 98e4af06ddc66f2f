//! What must hold of every plan, whatever the job.

use std::collections::BTreeMap;

use offtake::shop::cut_plan::{CutJob, CutLength, CutPlan, Keep, plan};
use proptest::prelude::*;
use rust_decimal::{Decimal, dec};

use crate::job::job;

/// Little work: what must hold does so whether or not the plan is proven.
const WORK: u64 = 400_000;

fn jobs() -> impl Strategy<Value = CutJob> {
    let stock = prop::collection::vec(
        (400_i64..1600, 1_i64..9000, prop::option::of(1_u32..4)),
        0..4,
    );
    let pieces = prop::collection::vec((1_i64..900, 1_u32..6), 1..14);
    let keep = prop::option::of((1_i64..700, 0_i64..100));
    (0_i64..9, stock, pieces, 1_i64..9000, keep, 0_i64..40).prop_map(
        |(kerf, mut stock, pieces, cost, keep, trim)| {
            // One endless kind takes every piece.
            stock.push((1700, cost, None));
            let mut job = job(kerf, &stock, &pieces);
            for stock in &mut job.stock {
                stock.trim = CutLength::sixty_fourths(trim);
            }
            job.keep = keep.map(|(least, percent)| Keep {
                least: CutLength::sixty_fourths(least),
                // A share of the cheapest stock's cost by length, so that nobody gains by buying.
                value: cheapest(&job) * Decimal::new(percent, 2),
                per: CutLength::FOOT,
            });
            if let Some(keep) = &mut job.keep {
                keep.value = keep.value.trunc_with_scale(4);
            }
            job
        },
    )
}

/// Least cost of a foot.
fn cheapest(job: &CutJob) -> Decimal {
    let foot = Decimal::from(CutLength::FOOT.in_nanometres());
    let costs = job.stock.iter();
    let rates = costs.map(|it| it.cost * foot / Decimal::from(it.length.in_nanometres()));
    rates.min().unwrap()
}

fn holds(job: &CutJob, plan: &CutPlan) {
    let mut cut: BTreeMap<usize, u32> = BTreeMap::new();
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    let (mut kept, mut scrap) = (CutLength::ZERO, CutLength::ZERO);
    for stick in &plan.sticks {
        let stock = &job.stock[stick.stock];
        *used.entry(stick.stock).or_default() += 1;
        let mut pieces = CutLength::ZERO;
        for piece in &stick.pieces {
            *cut.entry(*piece).or_default() += 1;
            pieces = pieces + job.pieces[*piece].length;
        }
        assert!(!stick.pieces.is_empty());
        assert!(stick.rest >= CutLength::ZERO && stick.kerf >= CutLength::ZERO);
        // Every stick adds up, and its cuts take a kerf each; the last may run off the end.
        assert_eq!(pieces + stick.kerf + stick.rest + stock.trim, stock.length);
        let count = stick.pieces.len() as u32;
        assert!(stick.kerf <= job.kerf * count && stick.kerf >= job.kerf * (count - 1));
        assert!(stick.rest == CutLength::ZERO || stick.kerf == job.kerf * count);
        if stick.is_kept {
            kept = kept + stick.rest;
        } else {
            scrap = scrap + stick.rest;
        }
    }
    for (place, piece) in job.pieces.iter().enumerate() {
        assert_eq!(cut.get(&place), Some(&piece.count));
    }
    for (place, stock) in job.stock.iter().enumerate() {
        let most = stock.count.unwrap_or(u32::MAX);
        assert!(used.get(&place).copied().unwrap_or(0) <= most);
    }
    let sum = &plan.balance;
    assert_eq!(
        sum.stock,
        sum.pieces + sum.kerf + sum.trim + sum.kept + sum.scrap
    );
    assert_eq!((sum.kept, sum.scrap), (kept, scrap));
    assert!(plan.bound <= plan.cost);
    assert_eq!(plan.is_proven, plan.bound == plan.cost);
    let paid: Decimal = plan
        .sticks
        .iter()
        .map(|stick| job.stock[stick.stock].cost)
        .sum();
    assert_eq!(paid, plan.stock_cost);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_plan_adds_up_and_comes_out_alike_again(job in jobs()) {
        let made = plan(&job, WORK).unwrap();
        holds(&job, &made);
        prop_assert_eq!(plan(&job, WORK).unwrap(), made);
    }
}

#[test]
fn what_is_left_gathers_on_few_sticks() {
    // 2 sticks whatever one does; kept together, the rests make one offcut of 60 instead of two
    // of 30 that nobody would keep.
    let mut job = job(0, &[(100, 500, None)], &[(40, 2), (30, 2)]);
    job.keep = Some(Keep {
        least: CutLength::sixty_fourths(50),
        value: dec!(0),
        per: CutLength::FOOT,
    });
    let made = plan(&job, WORK).unwrap();
    holds(&job, &made);
    assert_eq!(made.sticks.len(), 2);
    assert_eq!(made.balance.kept, CutLength::sixty_fourths(60));
}

#[test]
fn of_equal_costs_the_fewer_sticks_are_taken() {
    let stock = [(100, 500, None), (200, 1000, None)];
    let made = plan(&job(0, &stock, &[(50, 4), (30, 6)]), WORK).unwrap();
    assert_eq!((made.cost, made.sticks.len()), (dec!(20.00), 2));
}

#[test]
fn what_offcuts_bring_back_decides_between_lengths() {
    // A piece of 60: from 100 at 5.00, or from 200 at 9.00 of which 140 come back at 3.00 for 100.
    let mut job = job(0, &[(100, 500, None), (200, 900, None)], &[(60, 1)]);
    assert_eq!(plan(&job, WORK).unwrap().cost, dec!(5.00));
    job.keep = Some(Keep {
        least: CutLength::sixty_fourths(100),
        value: dec!(3.00),
        per: CutLength::sixty_fourths(100),
    });
    let made = plan(&job, WORK).unwrap();
    assert_eq!((made.cost, made.stock_cost), (dec!(4.80), dec!(9.00)));
    assert!(made.is_proven);
}
