//! Filler per joint. Sources: Copper Tube Handbook, consumption tables for solder and for
//! brazing filler (seen); `tests/data/published_*_consumption.csv`.

use offtake::trade::joint::{JointMethod, cup_filler_mass};
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
        let mass =
            cup_filler_mass(JointMethod::Soldered, od(&row["nominal_in"]), cup, density) * 100.0;
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
        let mass =
            cup_filler_mass(JointMethod::Brazed, od(&row["nominal_in"]), cup, density) * 100.0;
        let published: f64 = row["lb_per_100_joints"].parse().unwrap();
        assert!(
            (mass.in_pounds() / published - 1.0).abs() < 0.0265,
            "{row:?}: {}",
            mass.in_pounds()
        );
    }
}
