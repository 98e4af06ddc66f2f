//! Every choice of a rule set changes an answer.

use std::fmt::Write;

use offtake::trade::check::check;
use offtake::trade::flow::limits::velocity_limit;
use offtake::trade::layout::Layout;
use offtake::trade::manifold::Design;
use offtake::trade::quantity::{FlowRate, Mass, Pressure, Temperature, Velocity};
use offtake::trade::rule_set::{
    CollarBasis, FormingTypes, RuleSet, SupportBasis, TestPressureBasis, VelocityBasis,
};
use offtake::trade::service::Service;
use offtake::trade::support::{self, Direction, supports};
use offtake::trade::tube::WallType;

use crate::designs::{catalogue, changed, inches, resolved, row, tube};

/// Designs on which texts differ: cold and hot, slow and fast, large and small, low and high.
fn designs() -> Vec<Design> {
    let flow = |d: &mut Design, gpm| d.outlets[0].flow = Some(FlowRate::gallons_per_minute(gpm));
    vec![
        changed(|d| flow(d, 10.0)),
        changed(|d| {
            d.service = Service::PotableCold;
            d.design_temperature = Temperature::fahrenheit(60.0);
            flow(d, 15.0);
        }),
        changed(|d| d.design_pressure = Pressure::psi(120.0)),
        changed(|d| {
            d.service = Service::PotableCold;
            d.design_pressure = Pressure::psi(120.0);
        }),
        changed(|d| d.run.tube = tube("b88-m-2")),
        changed(|d| {
            d.run.tube = tube("b88-l-2.5");
            d.run.length = Some(inches(220.0));
            d.outlets = vec![row("b88-l-1", 4, 40.0, 40.0)];
            d.outlets[0].collar.height = Some(inches(0.16));
        }),
    ]
}

/// All that the rules say of the designs, and where they are held.
fn answer(rules: &RuleSet) -> String {
    let mut said = String::new();
    for design in designs() {
        let manifold = resolved(design).unwrap();
        let found = check(&manifold, catalogue(), rules);
        let layout = Layout::of(&manifold, catalogue(), rules);
        let text = support::SupportBasis::of(rules.support);
        let wanted = (Direction::Horizontal, Some(text));
        let held = supports(&manifold, &layout, catalogue(), wanted);
        write!(said, "{:?} {held:?}", found.findings).unwrap();
    }
    said
}

/// Answers under each of several choices must all differ.
fn all_differ<T: std::fmt::Debug + Copy>(choices: &[T], with: impl Fn(T, &mut RuleSet)) {
    let answers: Vec<(T, String)> = choices
        .iter()
        .map(|choice| {
            let mut rules = RuleSet::default_set();
            // Equipment that draws all types leaves the choice of types to the text.
            rules.forming.thinnest_run = WallType::M;
            with(*choice, &mut rules);
            (*choice, answer(&rules))
        })
        .collect();
    for (index, (choice, said)) in answers.iter().enumerate() {
        for (other, as_well) in &answers[index + 1..] {
            assert!(said != as_well, "{choice:?} and {other:?} say the same");
        }
    }
}

#[test]
fn every_choice_changes_an_answer() {
    all_differ(CollarBasis::ALL, |it, rules| rules.collar_basis = it);
    all_differ(FormingTypes::ALL, |it, rules| rules.forming_types = it);
    all_differ(VelocityBasis::ALL, |it, rules| rules.velocity = it);
    all_differ(TestPressureBasis::ALL, |it, rules| rules.test_pressure = it);
    all_differ(SupportBasis::ALL, |it, rules| rules.support = it);
    all_differ(&[30, 60], |it, rules| rules.fire_watch_minutes = it);
    all_differ(&[5.0, 23.0], |it, rules| {
        rules.lift_limit = Mass::kilograms(it)
    });
}

#[test]
fn no_two_rule_sets_say_the_same() {
    let answers = RuleSet::all().map(|rules| (rules.name, answer(&rules)));
    for (index, (name, said)) in answers.iter().enumerate() {
        for (other, as_well) in &answers[index + 1..] {
            assert!(said != as_well, "{name} and {other} say the same");
        }
    }
}

#[test]
fn velocities_follow_the_text_that_is_chosen() {
    // ETB-930: 8 ft/s cold, 5 ft/s hot to 140 F, 2 to 3 ft/s above. IRC 2018, appendix P: 5 to 8 ft/s.
    use VelocityBasis::{CodeNote, Handbook, Strictest};
    let run = tube("b88-l-2");
    for (service, degf, basis, most, advised) in [
        (Service::PotableCold, 60.0, Handbook, 8.0, 8.0),
        (Service::PotableCold, 60.0, CodeNote, 8.0, 5.0),
        (Service::PotableCold, 60.0, Strictest, 8.0, 5.0),
        (Service::HydronicHeating, 180.0, Handbook, 3.0, 2.0),
        (Service::HydronicHeating, 180.0, CodeNote, 8.0, 5.0),
        (Service::HydronicHeating, 180.0, Strictest, 3.0, 2.0),
        (Service::PotableHot, 120.0, Strictest, 5.0, 5.0),
    ] {
        let limit = velocity_limit(service, Temperature::fahrenheit(degf), &run, basis).unwrap();
        let wanted = [most, advised].map(Velocity::feet_per_second);
        assert_eq!([limit.most, limit.advised], wanted, "{service:?} {basis:?}");
    }
}
