//! Filler per joint. Sources: Copper Tube Handbook, consumption tables for solder and for
//! brazing filler (seen); `tests/data/published_*_consumption.csv`.

use offtake::trade::joint::{JointFill, JointMethod, LeastLap, wire_length};
use offtake::trade::quantity::{Density, Length};

/// Outside diameter of the tube of a nominal size: nominal + 1/8 in (ASTM B88).
fn od(nominal: &str) -> Length {
    Length::inches(crate::nominal(nominal) + 0.125)
}

#[test]
fn solder_for_a_hundred_joints_is_the_published_weight() {
    for row in crate::published(include_str!("../data/published_solder_consumption.csv")) {
        // The table follows from 0.266 lb/in3 (seen).
        let density = Density::pounds_per_cubic_inch(0.266);
        let cup = Length::inches(row["cup_depth_in"].parse().unwrap());
        let fill = JointFill::of_cup(JointMethod::Soldered, od(&row["nominal_in"]), cup, density);
        let mass = fill.mass * 100.0;
        let published: f64 = row["lb_per_100_joints_at_0.010"].parse().unwrap();
        assert!(
            (mass.in_pounds() / published - 1.0).abs() < 0.003,
            "{row:?}: {}",
            mass.in_pounds()
        );
    }
}

#[test]
fn brazing_filler_for_a_hundred_joints_is_within_the_stated_error() {
    for row in crate::published(include_str!("../data/published_brazing_consumption.csv")) {
        // The table follows from 0.300 lb/in3 within 2.6 % from 3/8 in up.
        let density = Density::pounds_per_cubic_inch(0.300);
        let cup = Length::inches(row["cup_depth_in(T14.10)"].parse().unwrap());
        let fill = JointFill::of_cup(JointMethod::Brazed, od(&row["nominal_in"]), cup, density);
        let mass = fill.mass * 100.0;
        let published: f64 = row["lb_per_100_joints"].parse().unwrap();
        assert!(
            (mass.in_pounds() / published - 1.0).abs() < 0.0265,
            "{row:?}: {}",
            mass.in_pounds()
        );
    }
}

#[test]
fn solder_wire_is_as_long_as_the_published_one() {
    // The table's lengths are of 1/8 in wire, at clearances from 0.001 to 0.010 in.
    let mut compared = 0;
    for row in crate::published(include_str!("../data/published_solder_consumption.csv")) {
        let cup = Length::inches(row["cup_depth_in"].parse().unwrap());
        for thousandths in 1..=10 {
            let gap = f64::from(thousandths) / 1000.0;
            let printed: f64 = row[&format!("wire_len_in_per_joint_clr_{gap:.3}")]
                .parse()
                .unwrap();
            let ring = (cup, Length::inches(gap));
            let density = Density::pounds_per_cubic_inch(0.266);
            let fill = JointFill::new(od(&row["nominal_in"]), ring, density);
            let length = wire_length(fill.volume, Length::inches(0.125)).in_inches();
            // Printed to the thousandth, from a wire section rounded to four figures.
            let off = 0.0006 + 3e-4 * printed;
            assert!((length - printed).abs() < off, "{row:?} {gap}: {length}");
            compared += 1;
        }
    }
    assert_eq!(compared, 60);
}

#[test]
fn brazing_wire_is_as_long_as_the_published_one() {
    // Printed in eighths of an inch: within one of them, or 1 % of the long ones.
    let mut compared = 0;
    for row in crate::published(include_str!("../data/published_brazing_consumption.csv")) {
        let cup = Length::inches(row["cup_depth_in(T14.10)"].parse().unwrap());
        let density = Density::pounds_per_cubic_inch(0.300);
        let fill = JointFill::of_cup(JointMethod::Brazed, od(&row["nominal_in"]), cup, density);
        for (column, diameter) in [
            ("len_1/16_wire_in", 0.0625),
            ("len_3/32_wire_in", 0.09375),
            ("len_1/8_wire_in", 0.125),
        ] {
            let Ok(printed) = row[column].parse::<f64>() else {
                continue;
            };
            let length = wire_length(fill.volume, Length::inches(diameter)).in_inches();
            let within = (printed * 0.01).max(0.125);
            assert!(
                (length - printed).abs() <= within,
                "{row:?} {column}: {length}"
            );
            compared += 1;
        }
    }
    assert_eq!(compared, 14);
}

#[test]
fn three_walls_of_lap_are_stronger_than_the_tube() {
    // By hand, 1 in type L: 0.050 x (1.125 - 0.050) / 1.125 x 30 000 / (0.8 x 25 000) = 0.0717 in.
    let catalogue = crate::catalogue();
    let lap = LeastLap::new(
        JointMethod::Brazed,
        catalogue.tube("b88-l-1").unwrap(),
        None,
    );
    assert!((lap.by_strength.unwrap().in_inches() - 0.0717).abs() < 5e-5);
    assert!((lap.by_wall.in_inches() - 0.150).abs() < 1e-9);
    for tube in catalogue.tubes() {
        let lap = LeastLap::new(JointMethod::Brazed, tube, None);
        assert!(lap.by_strength.unwrap() < lap.by_wall, "{}", tube.id);
        let cup = catalogue.cup(tube.nominal).map(|cup| cup.depth);
        assert!(cup.is_none_or(|cup| cup > lap.by_wall), "{}", tube.id);
    }
    // A branch thicker than its run laps by the run's wall; soldered joints go by their ratings.
    let run = catalogue.tube("b88-m-2").unwrap();
    let thick = catalogue.tube("b88-k-2").unwrap();
    let lap = LeastLap::new(JointMethod::Soldered, thick, Some(run));
    assert_eq!((lap.by_wall, lap.by_strength), (run.wall * 3.0, None));
}
