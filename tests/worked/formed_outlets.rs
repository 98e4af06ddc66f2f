//! Formed outlets: notch, dimples, rim, oval pilot, volume. Figures in thousandths of an inch were
//! worked by hand from the geometry (circle and chord); `tests/data/rim_heights.json` was made
//! with PyPI `scipy` by `tests/outside/make_rim_fixtures.py`, which names its version in the file;
//! the volumes of the last test are a published worked example.

mod reinforcement;

use std::f64::consts::PI;

use offtake::trade::forming::FormingProfile;
use offtake::trade::outlet::{
    Collar, DrawLaw, GivenCollar, OvalPilot, Rim, Saddle, WallOf, dimples, formed_outlet,
    notch_depth, required_height, required_wall,
};
use offtake::trade::quantity::{Angle, Length};
use offtake::trade::rule_set::CollarBasis;
use offtake::trade::tube::Tube;

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
    // Run 2.125 in, collar of 0.5625 in radius, pilot radius 0.150 in less, strips that keep their
    // length: the rim stands 0.150 in above the crown in line and 0.008 in square to the run.
    let saddle = Saddle::new(Length::inches(1.0625), Length::inches(0.5625)).unwrap();
    let above_crown = |degrees| {
        let angle = Angle::degrees(degrees);
        let height = saddle.rim_height(DrawLaw::Length, angle, Length::inches(0.4125));
        height - saddle.fall(angle)
    };
    assert_eq!(thousandths(above_crown(0.0)), 150);
    assert_eq!(thousandths(above_crown(90.0)), 8);
}

fn fixture() -> Vec<serde_json::Value> {
    let text = include_str!("../data/rim_heights.json");
    let file: serde_json::Value = serde_json::from_str(text).unwrap();
    assert_eq!(file["made_by"]["scipy"], "1.16.3");
    file["rows"].as_array().unwrap().clone()
}

fn near(ours: Length, theirs: f64) -> bool {
    (ours.in_inches() - theirs).abs() < 1e-8
}

#[test]
fn rims_stand_where_scipy_puts_them() {
    let rows = fixture();
    assert_eq!(rows.len(), 5);
    for row in &rows {
        let number = |name: &str| row[name].as_f64().unwrap();
        let radius = Length::inches(number("radius"));
        let saddle = Saddle::new(Length::inches(number("outer")), radius).unwrap();
        let pilot = radius * number("ratio");
        let heights = row["heights"].as_array().unwrap();
        assert_eq!(heights.len(), 21);
        for point in heights {
            let law = match point["law"].as_str().unwrap() {
                "uniaxial" => DrawLaw::Uniaxial,
                "length" => DrawLaw::Length,
                _ => DrawLaw::Thickness,
            };
            let angle = Angle::degrees(point["angle"].as_f64().unwrap());
            let ours = saddle.rim_height(law, angle, pilot);
            assert!(
                near(ours, point["height"].as_f64().unwrap()),
                "{point} {ours:?}"
            );
        }
        for (degrees, fall) in [0.0, 30.0, 60.0, 90.0]
            .into_iter()
            .zip(row["falls"].as_array().unwrap())
        {
            assert!(near(
                saddle.fall(Angle::degrees(degrees)),
                fall.as_f64().unwrap()
            ));
        }
        let oval = OvalPilot::level(&saddle, pilot * 2.0).unwrap();
        assert!(near(oval.across / 2.0, number("level_across")), "{row}");
        let rim = Rim::of(&saddle, (pilot, pilot));
        assert!(near(rim.in_line().above_surface, number("height")));
        assert!(rim.lowest_above_crown() == rim.square());
        assert!(rim.lowest_above_surface() == rim.in_line());
    }
}

#[test]
fn the_pilot_for_three_walls_is_that_of_scipy() {
    let catalogue = crate::catalogue();
    let profile = FormingProfile::built_in();
    let pairs = [
        ("b88-l-2", "b88-l-1"),
        ("b88-l-3", "b88-l-2"),
        ("b88-l-1", "b88-l-0.5"),
        ("b88-l-4", "b88-l-1.25"),
        ("b88-l-2", "b88-l-1.5"),
    ];
    for ((run, branch), row) in pairs.into_iter().zip(fixture()) {
        let tubes: (&Tube, &Tube) = (
            catalogue.tube(run).unwrap(),
            catalogue.tube(branch).unwrap(),
        );
        let none = GivenCollar::default();
        let formed = formed_outlet(&profile, CollarBasis::Branch, tubes, none);
        let collar = formed.collar.unwrap();
        assert!((collar.ratio - row["ratio"].as_f64().unwrap()).abs() < 1e-9);
        assert!(near(
            collar.mean_diameter / 2.0,
            row["radius"].as_f64().unwrap()
        ));
        assert!(near(tubes.0.wall, row["wall"].as_f64().unwrap()));
        // The lap is least in line with the run, where it is the height of the collar.
        let lap = formed.least_lap(tubes.0, None).unwrap();
        assert!(near(lap - formed.required, 0.0));
        let low = Length::inches(0.1);
        assert_eq!(formed.least_lap(tubes.0, Some(low)), Some(low));
    }
}

#[test]
fn a_collar_of_two_by_one_in_figures() {
    // By hand: D = 1.125 + 0.006 + 0.070 = 1.201 in, K = (1 - 0.450/1.201)^(2/3) = 0.73125;
    // rim 0.070 x 0.73125^0.5 = 0.05986, between 0.070 x 0.73125 = 0.05119 and 0.070 in;
    // height between 1.201 (1 - 0.53472)/4 = 0.13970 and 1.201 (1 - 0.73125)/2 = 0.16139 in.
    let catalogue = crate::catalogue();
    let (run, branch) = (
        catalogue.tube("b88-l-2").unwrap(),
        catalogue.tube("b88-l-1").unwrap(),
    );
    let gap = Length::inches(0.003);
    let collar = Collar::for_height(run, branch, Length::inches(0.15), gap).unwrap();
    let close = |ours: f64, hand: f64| (ours - hand).abs() < 1e-5;
    assert!(close(collar.ratio, 0.73125) && close(collar.expansion(), 0.36752));
    let (rim, height) = (collar.rim_wall_bounds(run), collar.height_bounds());
    assert!(close(collar.rim_wall.in_inches(), 0.05986));
    assert!(close(rim.least.in_inches(), 0.05119) && close(rim.most.in_inches(), 0.07));
    assert!(close(height.least.in_inches(), 0.13970) && close(height.most.in_inches(), 0.16139));
}

#[test]
fn the_thicker_wall_rules_the_collar_only_where_the_stricter_text_is_chosen() {
    // Model plumbing codes: the branch's wall. UFGS-15569A: the wall of the tube, read strictly.
    let catalogue = crate::catalogue();
    let tube = |id| catalogue.tube(id).unwrap();
    for (basis, run, branch, wall) in [
        (CollarBasis::Branch, "b88-l-2", "b88-l-1", WallOf::Branch),
        (
            CollarBasis::ThickerOfBoth,
            "b88-l-2",
            "b88-l-1",
            WallOf::Run,
        ),
        (
            CollarBasis::ThickerOfBoth,
            "b88-m-2",
            "b88-k-1",
            WallOf::Branch,
        ),
    ] {
        assert_eq!(required_wall(basis, tube(run), tube(branch)), wall);
        let height = required_height(basis, tube(run), tube(branch));
        let taken = if wall == WallOf::Run { run } else { branch };
        assert_eq!(height, tube(taken).wall * 3.0);
    }
}

#[test]
fn the_tongue_reaches_from_the_first_dimple_to_the_end_of_the_branch() {
    // 2 x 1 in type L, by hand: dimple 0.220 in above the apex, notch 0.175 in.
    let catalogue = crate::catalogue();
    let tubes: (&Tube, &Tube) = (
        catalogue.tube("b88-l-2").unwrap(),
        catalogue.tube("b88-l-1").unwrap(),
    );
    let profile = FormingProfile::built_in();
    let formed = formed_outlet(&profile, CollarBasis::Branch, tubes, GivenCollar::default());
    let tongue = formed.tongue().unwrap();
    assert_eq!(thousandths(tongue.in_line), 220);
    assert_eq!(thousandths(tongue.square), 395);
}

#[test]
fn drawing_a_collar_makes_and_loses_no_copper() {
    // A published column on hole extrusions (2011): sheet 3.0 mm, hole 3.0 mm, inside 8.2 mm; the
    // sheet holds 137.225 mm3, and a wall of 1.5 mm drawn 3.0 mm high takes 137.131 mm3.
    let (sheet, ratio) = (Length::millimetres(3.0), 3.0 / 8.2);
    let across = Length::millimetres(8.2);
    for law in [DrawLaw::Uniaxial, DrawLaw::Length, DrawLaw::Thickness] {
        // Rings of the collar from its root, where the ratio is 1, to its rim.
        let steps = 20_000;
        let at = |step: i32| 1.0 - (1.0 - ratio) * f64::from(step) / f64::from(steps);
        let height = |step| law.flat_height(across, at(step)).in_millimetres();
        let drawn: f64 = (0..steps)
            .map(|step| {
                let middle = (at(step) + at(step + 1)) / 2.0;
                let wall = law.rim_wall(sheet, middle).in_millimetres();
                PI * 8.2 * wall * (height(step + 1) - height(step))
            })
            .sum();
        assert!((drawn - 137.225).abs() < 1e-3, "{law:?} {drawn}");
        assert!((drawn / 137.131 - 1.0).abs() < 1e-3);
    }
}
