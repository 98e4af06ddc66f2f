//! Pressures, tests and lifting.

use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::{Build, EndKind};
use offtake::trade::quantity::{Pressure, Temperature};
use offtake::trade::source::BasisKind::{CommonPractice, Handbook, Standard};

use super::Seen::Near;
use super::{Case, filler};
use crate::designs::{changed, inches, row, tube};

pub fn cases() -> Vec<Case> {
    [tubes_and_fittings(), joints_tests_and_lifting()]
        .into_iter()
        .flatten()
        .collect()
}

fn tubes_and_fittings() -> Vec<Case> {
    vec![
        // Copper Tube Handbook, Table 14.3b (S 4900 psi at 200 degF): 2 in type L, annealed:
        // 2 x 4900 x 0.063 / (2.130 - 0.8 x 0.063) = 296.9 psi.
        Case {
            rule: Rule::PressureRun,
            level: Level::Stop,
            pointer: "/run/tube",
            basis: Handbook,
            figures: Some((Near(300.0, 1e-6), Near(296.9, 0.1))),
            design: changed(|d| {
                d.design_temperature = Temperature::fahrenheit(200.0);
                d.design_pressure = Pressure::psi(300.0);
            }),
        },
        // 2 in type L on a run of 8 in type K, whose rating at 100 degF is higher:
        // 2 x 6000 x 0.063 / (2.130 - 0.0504) = 363.5 psi.
        Case {
            rule: Rule::PressureBranch,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: Handbook,
            figures: Some((Near(370.0, 1e-6), Near(363.5, 0.1))),
            design: changed(|d| {
                d.run.tube = tube("b88-k-8");
                d.run.length = Some(inches(48.0));
                d.outlets = vec![row("b88-l-2", 3, 12.0, 12.0)];
                d.design_temperature = Temperature::fahrenheit(100.0);
                d.design_pressure = Pressure::psi(370.0);
            }),
        },
        // ASME B16.22: a cap of 2 in is rated as annealed type L tube, though the run is type K.
        Case {
            rule: Rule::PressureFitting,
            level: Level::Stop,
            pointer: "/run/tube",
            basis: Standard,
            figures: Some((Near(370.0, 1e-6), Near(363.5, 0.1))),
            design: changed(|d| {
                d.run.tube = tube("b88-k-2");
                d.run.ends[0].kind = EndKind::Cap;
                d.design_temperature = Temperature::fahrenheit(100.0);
                d.design_pressure = Pressure::psi(370.0);
            }),
        },
    ]
}

fn joints_tests_and_lifting() -> Vec<Case> {
    vec![
        // Copper Tube Handbook, Table 14.4a: 50-50 solder, 1-1/4 to 2 in, 150 degF: 125 psi.
        Case {
            rule: Rule::PressureJoint,
            level: Level::Stop,
            pointer: "/filler",
            basis: Handbook,
            figures: Some((Near(140.0, 1e-6), Near(125.0, 1e-6))),
            design: changed(|d| {
                d.build = Build::TeesSoldered;
                d.design_temperature = Temperature::fahrenheit(120.0);
                d.design_pressure = Pressure::psi(140.0);
                filler(d, "Sn50");
            }),
        },
        // Hydronic practice (from memory): 1.5 x 260 psi, above the cold rating of 363.5 psi.
        Case {
            rule: Rule::TestPressure,
            level: Level::Caution,
            pointer: "/design_pressure",
            basis: CommonPractice,
            figures: Some((Near(390.0, 1e-6), Near(363.5, 0.1))),
            design: changed(|d| d.design_pressure = Pressure::psi(260.0)),
        },
        // NIOSH (from memory): 51 lb; eight feet of 8 in type K weigh 8 x 25.9 lb and more.
        Case {
            rule: Rule::LiftMass,
            level: Level::Caution,
            pointer: "",
            basis: Handbook,
            figures: Some((Near(212.0, 5.0), Near(50.7, 0.1))),
            design: changed(|d| {
                d.run.tube = tube("b88-k-8");
                d.run.length = Some(inches(96.0));
                d.outlets = vec![row("b88-l-2", 3, 12.0, 24.0)];
            }),
        },
    ]
}
