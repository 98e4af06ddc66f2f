//! A design made worse keeps its stops. What must hold here is no figure of any source: it follows
//! from what a stop is for.

use std::collections::BTreeSet;

use offtake::trade::finding::Rule;
use offtake::trade::manifold::{Build, Design};
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Length, Temperature};
use offtake::trade::service::Service;
use offtake::trade::tube::Temper;
use proptest::prelude::*;

use crate::designs::{catalogue, checked, inches, resolved};
use crate::holding::{designs, stops};

/// The stops of some rules alone: others may rightly go when a design is changed that way.
fn stops_of(rules: &[Rule], design: &Design) -> BTreeSet<(Rule, String)> {
    let mut found = stops(design);
    found.retain(|(rule, _)| rules.contains(rule));
    found
}

/// The design with every outlet's collar given.
fn with_collar(design: &Design, collar: GivenCollar) -> Design {
    let mut changed = design.clone();
    changed.build = Build::FormedOutlets;
    for row in &mut changed.outlets {
        row.collar = collar;
    }
    changed
}

/// The branch of the same series that is next in size, when there is one no wider than the run.
fn wider_branch(design: &Design) -> Option<Design> {
    let (branch, run) = (&design.outlets[0].tube, &design.run.tube);
    let series = |id: &str| id.rsplit_once('-').map(|(series, _)| series.to_owned());
    let wider = catalogue()
        .tubes()
        .iter()
        .filter(|tube| series(&tube.id) == series(&branch.id))
        .filter(|tube| tube.od > branch.od && tube.od <= run.od)
        .min_by(|a, b| a.od.in_metres().total_cmp(&b.od.in_metres()))?;
    let mut worse = design.clone();
    worse.outlets[0].tube = wider.clone();
    Some(worse)
}

/// The same size of run in the next thinner type of water tube.
fn thinner_run(design: &Design) -> Option<Design> {
    let id = &design.run.tube.id;
    let thinner = if id.contains("-k-") {
        id.replace("-k-", "-l-")
    } else {
        id.replace("-l-", "-m-")
    };
    let mut worse = design.clone();
    worse.run.tube = catalogue().tube(&thinner)?.clone();
    (thinner != *id).then_some(worse)
}

proptest! {
    #[test]
    fn more_heat_never_clears_a_stop(
        design in designs(), service in 0..Service::ALL.len(), more in 0.0_f64..200.0,
    ) {
        let mut design = design;
        design.service = Service::ALL[service];
        // The temperature of saturated steam is that of its pressure: colder is wrong, too.
        prop_assume!(design.service != Service::SaturatedSteam);
        let mut worse = design.clone();
        let hotter = design.design_temperature.in_fahrenheit() + more;
        worse.design_temperature = Temperature::fahrenheit(hotter);
        let (before, after) = (stops(&design), stops(&worse));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn more_heat_never_raises_the_rating_of_an_assembly(design in designs(), more in 0.0_f64..200.0) {
        let mut hotter = design.clone();
        let degf = design.design_temperature.in_fahrenheit() + more;
        hotter.design_temperature = Temperature::fahrenheit(degf);
        let (cold, hot) = (checked(design).rating, checked(hotter).rating);
        // A part that has no rating when it is cold gets none by heat.
        prop_assert!(cold.is_some() || hot.is_none());
        if let (Some(cold), Some(hot)) = (cold, hot) {
            prop_assert!(hot.pressure.in_psi() <= cold.pressure.in_psi() + 1e-9);
            prop_assert!((hot.cold.in_psi() - cold.cold.in_psi()).abs() < 1e-9);
        }
    }

    #[test]
    fn a_thinner_run_never_clears_a_stop_of_strength(design in designs()) {
        // The bore grows as the wall thins: what clears the bore is not asked here.
        const STRENGTH: [Rule; 3] = [Rule::RunWall, Rule::RunType, Rule::PressureRun];
        if let Some(worse) = thinner_run(&design) {
            let (before, after) = (stops_of(&STRENGTH, &design), stops_of(&STRENGTH, &worse));
            prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
            let rating = |design: Design| checked(design).rating.map(|it| it.pressure.in_psi());
            if let (Some(thick), Some(thin)) = (rating(design), rating(worse)) {
                prop_assert!(thin <= thick + 1e-9);
            }
        }
    }

    #[test]
    fn a_wider_branch_never_clears_a_stop_of_room(design in designs()) {
        const ROOM: [Rule; 4] = [
            Rule::OutletOverlap, Rule::EndDistance, Rule::BranchIntrusion, Rule::OutletPitch,
        ];
        let worse = wider_branch(&design).filter(|worse| resolved(worse.clone()).is_ok());
        if let Some(worse) = worse {
            let (before, after) = (stops_of(&ROOM, &design), stops_of(&ROOM, &worse));
            prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
        }
    }

    #[test]
    fn a_lower_collar_never_clears_the_stop_of_its_height(
        design in designs(), height in 0.01_f64..0.3, part in 0.1_f64..1.0,
    ) {
        let of = |inch: f64| with_collar(&design, GivenCollar { pilot: None, height: Some(inches(inch)) });
        // A height that cannot be drawn at all is another fault, and stands at the tube.
        let short = |design: &Design| {
            let mut found = stops_of(&[Rule::CollarHeight], design);
            found.retain(|(_, pointer)| pointer.ends_with("/collar_height"));
            found
        };
        let (before, after) = (short(&of(height)), short(&of(height * part)));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn a_larger_pilot_keeps_the_stop_of_height_and_a_smaller_one_that_of_the_rim(
        design in designs(), pilot in 0.05_f64..1.0, part in 0.05_f64..1.0,
    ) {
        let branch = design.outlets[0].tube.od;
        let of = |share: f64| {
            let pilot: Option<Length> = Some(branch * share);
            with_collar(&design, GivenCollar { pilot, height: None })
        };
        let (large, small) = (of(pilot), of(pilot * part));
        let height_stops = |design: &Design| stops_of(&[Rule::CollarHeight], design);
        prop_assert!(height_stops(&small).is_subset(&height_stops(&large)));
        let rim_stops = |design: &Design| stops_of(&[Rule::RunWall], design);
        prop_assert!(rim_stops(&large).is_subset(&rim_stops(&small)));
    }

    #[test]
    fn softer_tube_never_clears_a_stop_of_pressure(design in designs()) {
        let softer = Design { run: offtake::trade::manifold::RunDesign {
            temper: Temper::Annealed, ..design.run.clone()
        }, ..design.clone() };
        const PRESSURE: [Rule; 4] = [
            Rule::PressureRun, Rule::PressureBranch, Rule::PressureFitting, Rule::PressureJoint,
        ];
        let (before, after) = (stops_of(&PRESSURE, &design), stops_of(&PRESSURE, &softer));
        prop_assert!(before.is_subset(&after), "{before:?} {after:?}");
    }

    #[test]
    fn the_second_opinion_on_an_opening_never_stops_and_falls_with_heat(
        design in designs(), more in 0.0_f64..100.0,
    ) {
        use offtake::trade::finding::{Figure, Level};
        let holds = |design: Design| -> Option<f64> {
            let found = checked(design).findings;
            let of_opening = found.iter().filter(|it| it.rule == Rule::OpeningReinforcement);
            of_opening.filter_map(|it| {
                assert!(it.level < Level::Stop);
                match it.limit {
                    Some(Figure::Pressure(held)) => Some(held.in_psi()),
                    _ => None,
                }
            }).next()
        };
        let mut hotter = design.clone();
        let degf = design.design_temperature.in_fahrenheit() + more;
        hotter.design_temperature = Temperature::fahrenheit(degf);
        if let (Some(cold), Some(hot)) = (holds(design), holds(hotter)) {
            prop_assert!(hot <= cold + 1e-9);
        }
    }
}

#[test]
fn designs_can_be_made_worse_in_each_of_these_ways() {
    let sound = crate::designs::sound();
    let thinner = thinner_run(&sound).unwrap();
    assert_eq!(thinner.run.tube.id, "b88-m-2");
    let wider = wider_branch(&sound).unwrap();
    assert_eq!(wider.outlets[0].tube.id, "b88-l-1.25");
    let low = GivenCollar {
        pilot: None,
        height: Some(inches(0.05)),
    };
    assert!(!stops_of(&[Rule::CollarHeight], &with_collar(&sound, low)).is_empty());
}
