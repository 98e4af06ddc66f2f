//! Fillers, joints and services.

use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::Build;
use offtake::trade::quantity::Temperature;
use offtake::trade::service::Service;
use offtake::trade::source::BasisKind::{Code, CommonPractice, Handbook, Standard};

use super::Seen::Near;
use super::{Case, filler};
use crate::designs::changed;
use offtake::trade::metal::Metal;

pub fn cases() -> Vec<Case> {
    [fillers(), metals(), services(), lead()]
        .into_iter()
        .flatten()
        .collect()
}

fn fillers() -> Vec<Case> {
    vec![
        // Model plumbing codes: soft solder is not permitted on formed outlets.
        Case {
            rule: Rule::JointMethod,
            level: Level::Stop,
            pointer: "/filler",
            basis: Code,
            figures: None,
            design: changed(|d| filler(d, "Sb5")),
        },
        Case {
            rule: Rule::JointMethod,
            level: Level::Stop,
            pointer: "/filler",
            basis: CommonPractice,
            figures: None,
            design: changed(|d| {
                d.build = Build::TeesSoldered;
                filler(d, "BCuP-3");
            }),
        },
        // Fuel gas codes: less than 0.05 % phosphorus.
        Case {
            rule: Rule::FillerService,
            level: Level::Stop,
            pointer: "/filler",
            basis: Code,
            figures: None,
            design: changed(|d| {
                d.service = Service::FuelGas;
                d.build = Build::TeesBrazed;
            }),
        },
        // AWS A5.8: BAg-1 holds 24 % cadmium.
        Case {
            rule: Rule::FillerMaterials,
            level: Level::Stop,
            pointer: "/filler",
            basis: CommonPractice,
            figures: None,
            design: changed(|d| filler(d, "BAg-1")),
        },
        Case {
            rule: Rule::FillerMaterials,
            level: Level::Note,
            pointer: "/filler",
            basis: Handbook,
            figures: None,
            design: changed(|d| filler(d, "BAg-24")),
        },
    ]
}

fn metals() -> Vec<Case> {
    let of = |level, pointer, basis, design| Case {
        rule: Rule::FillerMaterials,
        level,
        pointer,
        basis,
        figures: None,
        design,
    };
    vec![
        // Copper Tube Handbook, brazing: copper-phosphorus filler is never used on iron or nickel,
        // and needs flux on brass and bronze.
        of(
            Level::Stop,
            "/outlets/0/joins",
            Handbook,
            changed(|d| d.outlets[0].joins = Metal::Steel),
        ),
        of(
            Level::Stop,
            "/run/ends/1/joins",
            Handbook,
            changed(|d| d.run.ends[1].joins = Metal::NickelAlloy),
        ),
        of(
            Level::Caution,
            "/run/ends/0/joins",
            Handbook,
            changed(|d| d.run.ends[0].joins = Metal::Brass),
        ),
        // From memory: silver filler without nickel on stainless steel in water.
        of(
            Level::Caution,
            "/outlets/0/joins",
            CommonPractice,
            changed(|d| {
                filler(d, "BAg-5");
                d.outlets[0].joins = Metal::StainlessSteel;
            }),
        ),
        of(
            Level::Caution,
            "/outlets/0/joins",
            CommonPractice,
            changed(|d| {
                d.build = Build::TeesSoldered;
                d.outlets[0].joins = Metal::Iron;
            }),
        ),
    ]
}

fn services() -> Vec<Case> {
    vec![
        // Copper Tube Handbook: soldered joints serve to 250 F, brazed ones to 350 F.
        Case {
            rule: Rule::TemperatureJoint,
            level: Level::Stop,
            pointer: "/design_temperature",
            basis: Handbook,
            figures: Some((Near(260.0, 1e-6), Near(250.0, 1e-6))),
            design: changed(|d| {
                d.build = Build::TeesSoldered;
                d.design_temperature = Temperature::fahrenheit(260.0);
            }),
        },
        Case {
            rule: Rule::TemperatureJoint,
            level: Level::Stop,
            pointer: "/design_temperature",
            basis: Handbook,
            figures: Some((Near(360.0, 1e-6), Near(350.0, 1e-6))),
            design: changed(|d| d.design_temperature = Temperature::fahrenheit(360.0)),
        },
        Case {
            rule: Rule::ServiceAllowed,
            level: Level::Stop,
            pointer: "/service",
            basis: Code,
            figures: None,
            design: changed(|d| d.service = Service::Drainage),
        },
        Case {
            rule: Rule::ServiceAllowed,
            level: Level::Caution,
            pointer: "/build",
            basis: CommonPractice,
            figures: None,
            design: changed(|d| d.build = Build::Purchased),
        },
        Case {
            rule: Rule::Purge,
            level: Level::Caution,
            pointer: "/service",
            basis: Standard,
            figures: None,
            design: changed(|d| d.service = Service::MedicalGas),
        },
    ]
}

fn lead() -> Vec<Case> {
    vec![
        // US Safe Drinking Water Act: 50-50 solder is half lead.
        Case {
            rule: Rule::LeadFree,
            level: Level::Stop,
            pointer: "/filler",
            basis: Code,
            figures: None,
            design: changed(|d| {
                d.service = Service::PotableCold;
                d.build = Build::TeesSoldered;
                filler(d, "Sn50");
            }),
        },
    ]
}
