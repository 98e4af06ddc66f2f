//! Opening reinforcement, from first principles: both areas are reckoned here in inches, by a code of
//! its own, and the pressure at which they are equal is found by halving. The form is that of ASME
//! B31.3-2016 304.3.4 (form of the factor seen; break points and area terms from memory); tube
//! figures are those of ASTM B88, the stress that of the Copper Tube Handbook, Table 14.3b.

use offtake::trade::forming::FormingProfile;
use offtake::trade::outlet::{GivenCollar, formed_outlet};
use offtake::trade::quantity::{Length, Pressure, Temperature};
use offtake::trade::reinforcement::{Opening, Shell, reinforced_pressure};
use offtake::trade::rule_set::CollarBasis;
use offtake::trade::strength::NoRating;
use offtake::trade::tube::Tube;

/// Least wall and greatest diameter.
type Dimensions = (f64, f64);

/// The pressure at which the area cut out and the area to spare are equal.
fn halved(run: Dimensions, branch: Dimensions, (bore, rim): (f64, f64), stress: f64) -> f64 {
    let share = branch.1 / run.1;
    let factor = if share > 0.60 {
        1.0
    } else if share > 0.15 {
        0.6 + 2.0 * share / 3.0
    } else {
        0.7
    };
    let zone = 0.7 * (branch.1 * rim).sqrt();
    let short = |psi: f64| {
        let takes = |diameter: f64| psi * diameter / (2.0 * stress + 0.8 * psi);
        let cut = factor * takes(run.1) * bore;
        let spare = bore * (run.0 - takes(run.1)) + 2.0 * zone * (branch.0 - takes(branch.1));
        cut > spare
    };
    let (mut low, mut high) = (0.0, 5000.0);
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if short(middle) {
            high = middle
        } else {
            low = middle
        }
    }
    low
}

fn ours(run: &str, branch: &str, degf: f64) -> Result<f64, NoRating> {
    let catalogue = crate::catalogue();
    let tubes: (&Tube, &Tube) = (
        catalogue.tube(run).unwrap(),
        catalogue.tube(branch).unwrap(),
    );
    let profile = FormingProfile::built_in();
    let formed = formed_outlet(&profile, CollarBasis::Branch, tubes, GivenCollar::default());
    let at = Temperature::fahrenheit(degf);
    let found = reinforced_pressure(catalogue, tubes, &formed.collar.unwrap(), at);
    found.map(Pressure::in_psi)
}

#[test]
fn the_pressure_is_where_both_areas_are_equal() {
    // 4980 psi at 180 degF, between 5100 at 150 and 4900 at 200. Rims T sqrt(K), by hand:
    // 2 x 1: K 0.73125, 0.070 x 0.85513; 3 x 2: K 0.80060, 0.090 x 0.89476.
    let two_by_one = halved((0.063, 2.130), (0.045, 1.1285), (1.131, 0.059859), 4980.0);
    let three_by_two = halved((0.081, 3.130), (0.063, 2.130), (2.131, 0.080529), 4980.0);
    assert!((two_by_one - 172.97).abs() < 0.1, "{two_by_one}");
    for (run, branch, halved) in [
        ("b88-l-2", "b88-l-1", two_by_one),
        ("b88-l-3", "b88-l-2", three_by_two),
    ] {
        let found = ours(run, branch, 180.0).unwrap();
        assert!((found - halved).abs() < 0.01, "{run} {found} {halved}");
    }
}

#[test]
fn the_factor_has_its_two_break_points() {
    for (share, factor) in [
        (0.10, 0.7),
        (0.15, 0.7),
        (0.30, 0.8),
        (0.45, 0.9),
        (0.60, 1.0),
        (0.9, 1.0),
    ] {
        let shell = |od: f64| Shell {
            wall: Length::inches(0.05),
            od: Length::inches(od),
        };
        let opening = Opening {
            run: shell(2.0),
            branch: shell(2.0 * share),
            bore: Length::inches(2.0 * share),
            rim_wall: Length::inches(0.04),
        };
        assert!((opening.factor() - factor).abs() < 1e-12, "{share}");
        let stress = Pressure::psi(5000.0);
        let held = opening.balanced(stress);
        let (required, available) = (
            opening.required(held, stress),
            opening.available(held, stress),
        );
        assert!((required.in_square_inches() - available.in_square_inches()).abs() < 1e-12);
    }
}

#[test]
fn it_never_exceeds_what_the_tubes_hold_and_needs_their_ratings() {
    // A branch much thinner than its run: the branch's own rating is the lower.
    let catalogue = crate::catalogue();
    let pairs = [
        ("b88-k-8", "b88-m-4"),
        ("b88-k-1", "b88-l-0.5"),
        ("en1057-54x2", "en1057-28x0.9"),
        ("b88-k-6", "en1057-54x1.2"),
    ];
    for (run, branch) in pairs {
        let held = ours(run, branch, 100.0).unwrap();
        let rated = [run, branch].map(|id| {
            let tube = catalogue.tube(id).unwrap();
            let at = Temperature::fahrenheit(100.0);
            let annealed = offtake::trade::tube::Temper::Annealed;
            let rating = offtake::trade::strength::rate_tube(catalogue, tube, annealed, at);
            rating.unwrap().pressure.in_psi()
        });
        assert!(held <= rated[0] && held <= rated[1], "{held} {rated:?}");
    }
    assert!(matches!(
        ours("b88-l-2", "b88-l-1", 401.0),
        Err(NoRating::TooHot { .. })
    ));
    assert!(matches!(
        ours("b306-dwv-2", "b88-l-1", 100.0),
        Err(NoRating::NotPressureTube)
    ));
}
