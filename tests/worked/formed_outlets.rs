//! Formed outlets: notch, dimples, rim. The expected figures were worked by hand from the
//! geometry (circle and chord), to the thousandth of an inch; the blank of the last test is a
//! published worked example.

use offtake::trade::outlet::{dimples, notch_depth, required_height, rim_level};
use offtake::trade::quantity::Length;
use offtake::trade::rule_set::CollarBasis;

fn thousandths(length: Length) -> i64 {
    (length.in_inches() * 1000.0).round() as i64
}

#[test]
fn notch_and_first_dimple_of_three_type_l_outlets() {
    let catalogue = crate::catalogue();
    for (run, branch, notch, first) in [
        ("b88-l-2", "b88-l-1", 175, 220),
        ("b88-l-3", "b88-l-2", 453, 300),
        ("b88-l-1", "b88-l-0.5", 106, 170),
    ] {
        let (run, branch) = (
            catalogue.tube(run).unwrap(),
            catalogue.tube(branch).unwrap(),
        );
        assert_eq!(thousandths(notch_depth(run, branch).unwrap()), notch);
        let height = required_height(CollarBasis::Branch, run, branch);
        let set = dimples(run, height);
        assert_eq!(thousandths(set.first), first);
        // Model plumbing code (seen): the second dimple is 1/4 in above the first.
        assert_eq!(thousandths(set.second - set.first), 250);
    }
}

#[test]
fn a_branch_wider_than_the_bore_has_no_notch() {
    let catalogue = crate::catalogue();
    let tube = catalogue.tube("b88-l-2").unwrap();
    assert!(notch_depth(tube, tube).is_none());
}

#[test]
fn a_round_pilot_leaves_the_rim_low_at_the_sides() {
    // Run 2.125 in, branch 1.125 in outside, pilot radius 0.150 in less than the branch's:
    // the rim stands 0.150 in above the crown in line and 0.008 in square to the run.
    let rim = rim_level(
        Length::inches(1.0625),
        Length::inches(0.5625),
        Length::inches(0.4125),
    );
    assert_eq!(thousandths(rim.in_line), 150);
    assert_eq!(thousandths(rim.square), 8);
}
