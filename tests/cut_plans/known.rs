//! Plans whose optimum is known from outside.

use rust_decimal::{Decimal, RoundingStrategy, dec};

use crate::job::{job, read, solved};

const OPTIMA: &str = include_str!("data/optima.txt");

#[test]
fn the_textbook_job_takes_453_rolls() {
    // Chvatal, Linear Programming (1983), chapter 13: rolls of 100; 45 x 97, 36 x 610, 31 x 395,
    // 14 x 211 are cut from 453 of them, the optimum of the linear relaxation being 452.25.
    let pieces = [(45, 97), (36, 610), (31, 395), (14, 211)];
    let plan = solved(&job(0, &[(100, 100, None)], &pieces));
    assert!(plan.is_proven);
    assert_eq!(plan.sticks.len(), 453);
    assert_eq!((plan.cost, plan.bound), (dec!(453), dec!(453)));
}

#[test]
fn a_kerf_can_cost_a_stick() {
    // Counted by hand: three 80s fill 240 only while cuts take nothing.
    let stock = [(240 * 16, 100, None)];
    for (kerf, pieces, sticks) in [
        (0, vec![(80, 6)], 2),
        (1, vec![(80, 6)], 3),
        (0, vec![(60, 8), (48, 5), (40, 6)], 4),
        (1, vec![(60, 8), (48, 5), (40, 6)], 5),
    ] {
        let pieces: Vec<_> = pieces
            .into_iter()
            .map(|(it, count)| (it * 16, count))
            .collect();
        let plan = solved(&job(kerf, &stock, &pieces));
        assert!(plan.is_proven);
        assert_eq!(plan.sticks.len(), sticks, "kerf {kerf}, {pieces:?}");
    }
}

#[test]
fn the_last_cut_may_fall_off_the_end() {
    // 2 x 50 and the cut between them: 101 is enough, 100 is not.
    for (length, sticks) in [(101, 1), (100, 2)] {
        let plan = solved(&job(1, &[(length, 100, None)], &[(50, 2)]));
        assert_eq!(plan.sticks.len(), sticks);
    }
}

/// At least 200 random jobs against OR-Tools (`data/solve_with_ortools.py` names the version):
/// jobs with several lengths of stock, costs, counts, kerfs and offcuts worth keeping.
#[test]
fn random_jobs_cost_what_ortools_proves() {
    let mut seen = 0;
    let mut unproven = Vec::new();
    for line in OPTIMA.lines() {
        let known = read(line);
        let plan = solved(&known.job);
        let optimum = known.optimum / Decimal::ONE_HUNDRED;
        let optimum = optimum.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
        assert!(plan.bound <= optimum, "{}: {plan:?}", known.name);
        assert!(
            plan.cost >= optimum,
            "{}: cheaper than possible",
            known.name
        );
        if !plan.is_proven || plan.cost > optimum {
            unproven.push(known.name);
        }
        seen += 1;
    }
    assert!(seen >= 200, "only {seen} jobs");
    assert!(unproven.is_empty(), "{unproven:?}");
}
