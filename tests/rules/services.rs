//! Services that ask for tube of their own standard, and tube of standards other than ASTM B88.

use offtake::trade::check::{Checked, Verdict};
use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::{Build, Design, EndKind};
use offtake::trade::quantity::{Pressure, Temperature};
use offtake::trade::service::Service;

use crate::designs::{changed, checked, inches, row, tube};

fn on(run: &str, branch: &str, change: impl FnOnce(&mut Design)) -> Checked {
    checked(changed(|d| {
        d.run.tube = tube(run);
        d.run.temper = d.run.tube.usual_temper();
        d.outlets = vec![row(branch, 4, 5.0, 6.0)];
        d.run.length = Some(inches(29.0));
        d.design_temperature = Temperature::fahrenheit(100.0);
        change(d);
    }))
}

fn stops(result: &Checked) -> Vec<(Rule, &str)> {
    result
        .stops()
        .map(|it| (it.rule, it.pointer.as_str()))
        .collect()
}

#[test]
fn medical_gas_is_built_of_medical_gas_tube_only() {
    // NFPA 99 (from memory): ASTM B819 tube of type K or L, brazed.
    let medical = |d: &mut Design| d.service = Service::MedicalGas;
    let good = on("b819-l-2", "b819-l-1", medical);
    assert_eq!(
        good.verdict,
        Verdict::BuildableWithCautions,
        "{:#?}",
        good.findings
    );
    let purge = |it: &&offtake::trade::finding::Finding| it.rule == Rule::Purge;
    assert_eq!(good.findings.iter().filter(purge).count(), 1);
    let branch = on("b819-l-2", "b88-l-1", medical);
    assert_eq!(stops(&branch), [(Rule::ServiceAllowed, "/outlets/0/tube")]);
    let run = on("b88-l-2", "b819-l-1", medical);
    assert_eq!(stops(&run), [(Rule::ServiceAllowed, "/run/tube")]);
    let soldered = on("b819-l-2", "b819-l-1", |d| {
        medical(d);
        d.build = Build::TeesSoldered;
    });
    assert_eq!(stops(&soldered), [(Rule::ServiceAllowed, "/build")]);
}

#[test]
fn refrigerant_tube_carries_refrigerant_with_cautions() {
    let refrigerant = |d: &mut Design| d.service = Service::Refrigerant;
    let cautions = |result: &Checked| -> Vec<String> {
        let found = result.findings.iter();
        found
            .filter(|it| it.rule == Rule::ServiceAllowed && it.level == Level::Caution)
            .map(|it| it.pointer.clone())
            .collect()
    };
    let good = on("b280-2.125", "b280-0.875", refrigerant);
    assert_eq!(
        good.verdict,
        Verdict::BuildableWithCautions,
        "{:#?}",
        good.findings
    );
    assert_eq!(cautions(&good), ["/service"]);
    let water = on("b88-l-2", "b280-0.875", refrigerant);
    assert_eq!(cautions(&water), ["/run/tube", "/service"]);
}

#[test]
fn metric_tube_is_judged_like_inch_tube() {
    // EN 1057: 54 x 2 annealed at 65 degC: 2 x 46 x 2 / 52 = 3.538 N/mm2 = 35.38 bar.
    let formed = on("en1057-54x2", "en1057-28x1.2", |d| {
        d.design_temperature = Temperature::celsius(65.0);
    });
    assert_eq!(formed.stops().count(), 0, "{:#?}", formed.findings);
    // The branch, 28 x 1.2, holds 2 x 46 x 1.2 / 26.8 = 4.119 N/mm2: the run governs.
    let rating = formed.rating.unwrap();
    assert_eq!(rating.governed_by.word(), "run");
    assert!((rating.pressure.in_bar() - 35.3846).abs() < 1e-3);
    let higher = on("en1057-54x2", "en1057-28x1.2", |d| {
        d.design_temperature = Temperature::celsius(65.0);
        d.design_pressure = Pressure::bar(36.0);
    });
    assert!(stops(&higher).contains(&(Rule::PressureRun, "/run/tube")));
    // Thinner than type L of its diameter: not drawn by the built-in profile.
    let thin = on("en1057-54x1.2", "en1057-28x1.2", |_| {});
    assert_eq!(stops(&thin), [(Rule::RunType, "/run/tube")]);
}

#[test]
fn metric_fittings_are_rated_by_a_stand_in_that_says_so() {
    // The thinnest EN 1057 tube of 54 mm: 1.2: 2 x 46 x 1.2 / 52.8 = 2.091 N/mm2.
    let tees = on("en1057-54x2", "en1057-28x1.2", |d| {
        d.build = Build::TeesBrazed;
        d.run.ends[0].kind = EndKind::Cap;
        d.design_temperature = Temperature::celsius(65.0);
        d.outlets[0].first = Some(inches(8.0));
        d.outlets[0].pitch = Some(inches(8.0));
        d.run.length = Some(inches(40.0));
    });
    assert_eq!(tees.stops().count(), 0, "{:#?}", tees.findings);
    let said = tees
        .findings
        .iter()
        .find(|it| it.rule == Rule::PressureFitting)
        .unwrap();
    assert_eq!(
        (said.level, said.detail.contains("stand-in")),
        (Level::Caution, true)
    );
    assert_eq!(tees.rating.unwrap().governed_by.word(), "fitting");
    let mixed = on("en1057-54x2", "b88-l-1", |d| d.build = Build::TeesBrazed);
    assert!(stops(&mixed).contains(&(Rule::BranchSize, "/outlets/0/tube")));
    let none = on("b88m-a-206", "b88m-b-54", |d| d.build = Build::TeesBrazed);
    assert!(stops(&none).contains(&(Rule::BranchSize, "/run/tube")));
}
