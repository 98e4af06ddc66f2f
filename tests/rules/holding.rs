//! What must hold of all designs: ratings go the right way, and a worse design keeps its stops.

use std::collections::BTreeSet;

use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::{Build, Design};
use offtake::trade::quantity::{Pressure, Temperature};
use offtake::trade::strength::{barlow_with_tolerances, rate_tube};
use offtake::trade::tube::Temper;
use proptest::prelude::*;

use crate::designs::{catalogue, changed, checked, inches, resolved, row};

/// Rule and place of every stop.
pub fn stops(design: &Design) -> BTreeSet<(Rule, String)> {
    checked(design.clone())
        .findings
        .into_iter()
        .filter(|finding| finding.level == Level::Stop)
        .map(|finding| (finding.rule, finding.pointer))
        .collect()
}

const BRANCHES: [&str; 6] = [
    "b88-l-0.5",
    "b88-l-1",
    "b88-m-1.25",
    "b88-k-1.5",
    "en1057-28x1.2",
    "b280-0.875",
];
const RUNS: [&str; 6] = [
    "b88-l-2",
    "b88-m-2",
    "b88-k-3",
    "b88-l-4",
    "en1057-54x2",
    "b819-k-2",
];

prop_compose! {
    /// Designs of all sorts, good and bad, that can be laid out.
    pub fn designs()(
        run in 0..RUNS.len(), branch in 0..BRANCHES.len(), count in 1_u32..8,
        first in 0.5_f64..8.0, pitch in 0.6_f64..6.0, beyond in 0.5_f64..8.0,
        pressure in 0.0_f64..500.0, degf in 40.0_f64..390.0, build in 0..Build::ALL.len(),
    ) -> Design {
        changed(|d| {
            d.run.tube = crate::designs::tube(RUNS[run]);
            d.outlets = vec![row(BRANCHES[branch], count, first, pitch)];
            d.run.length = Some(inches(first + pitch * f64::from(count - 1) + beyond));
            d.design_pressure = Pressure::psi(pressure);
            d.design_temperature = Temperature::fahrenheit(degf);
            d.build = Build::ALL[build];
        })
    }
}

proptest! {
    #[test]
    fn a_rating_never_rises_with_temperature(
        at in 0..219_usize, drawn in any::<bool>(), cold in 0.0_f64..400.0, more in 0.0_f64..100.0,
    ) {
        let tube = &catalogue().tubes()[at];
        let temper = if drawn { Temper::Drawn } else { Temper::Annealed };
        let rate = |degf| rate_tube(catalogue(), tube, temper, Temperature::fahrenheit(degf)).ok();
        if let (Some(cold), Some(hot)) = (rate(cold), rate(cold + more)) {
            prop_assert!(hot.pressure.in_psi() <= cold.pressure.in_psi() + 1e-9);
        }
    }

    #[test]
    fn a_rating_rises_with_the_wall(
        psi in 1000.0_f64..12000.0, od in 0.3_f64..12.0, part in 0.01_f64..0.4, more in 0.001_f64..0.05,
    ) {
        let hold = |wall: f64| {
            barlow_with_tolerances(Pressure::psi(psi), inches(wall), inches(od)).in_psi()
        };
        prop_assert!(hold(od * (part + more)) > hold(od * part));
    }

    #[test]
    fn more_pressure_never_clears_a_stop(design in designs(), more in 0.0_f64..400.0) {
        let mut worse = design.clone();
        worse.design_pressure = design.design_pressure + Pressure::psi(more);
        let (before, after) = (stops(&design), stops(&worse));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn a_shorter_pitch_never_clears_a_stop(design in designs(), part in 0.1_f64..1.0) {
        let mut worse = design.clone();
        let (pitch, count) = (design.outlets[0].pitch.unwrap(), design.outlets[0].count.unwrap());
        worse.outlets[0].pitch = Some(pitch * part);
        let shorter = pitch * (1.0 - part) * f64::from(count - 1);
        worse.run.length = design.run.length.map(|length| length - shorter);
        let (before, after) = (stops(&design), stops(&worse));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn nearer_the_end_never_clears_a_stop(design in designs(), part in 0.1_f64..1.0) {
        // The whole row and the second end move towards the first end.
        let mut worse = design.clone();
        let first = design.outlets[0].first.unwrap();
        worse.outlets[0].first = Some(first * part);
        worse.run.length = design.run.length.map(|length| length - first * (1.0 - part));
        let (before, after) = (stops(&design), stops(&worse));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn every_pointer_of_a_finding_leads_into_the_design(design in designs()) {
        let rows = design.outlets.len();
        for finding in checked(design).findings {
            let known = ["", "/run/tube", "/run/temper", "/run/length", "/filler", "/service", "/build",
                "/design_pressure", "/design_temperature"];
            let row = finding.pointer.strip_prefix("/outlets/").and_then(|rest| {
                rest.split('/').next()?.parse::<usize>().ok()
            });
            prop_assert!(
                known.contains(&finding.pointer.as_str()) || row.is_some_and(|row| row < rows),
                "{finding:?}"
            );
        }
    }
}

#[test]
fn a_thicker_series_holds_more_at_every_size() {
    // ASTM B88: K is thicker than L, and L than M, at every size but 1/4 in, where there is no M.
    let at = Temperature::fahrenheit(150.0);
    let hold = |series: &str, size: f64| {
        let tube = catalogue().tube(&format!("b88-{series}-{size}"))?;
        let rating = rate_tube(catalogue(), tube, Temper::Annealed, at).unwrap();
        Some(rating.pressure.in_psi())
    };
    for size in [0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0] {
        let [k, l, m] = ["k", "l", "m"].map(|series| hold(series, size).unwrap());
        assert!(k > l && l > m, "{size}: {k} {l} {m}");
    }
}

#[test]
fn the_designs_tried_are_of_both_sorts() {
    let lengths = |beyond: f64| {
        changed(|d| {
            d.run.length = Some(inches(19.0 + beyond));
        })
    };
    assert!(stops(&lengths(4.0)).is_empty());
    assert!(!stops(&lengths(0.3)).is_empty());
    assert!(resolved(lengths(0.0)).is_err());
}
