//! Every rule is provoked by a design of its own, and its finding is looked at field by field.
//! The limits are worked by hand from the tube table (ASTM B88) and the texts named beside them.

use std::sync::Arc;

use offtake::trade::check::Verdict;
use offtake::trade::finding::{Figure, Finding, Level, Rule};
use offtake::trade::manifold::{Build, Design, EndKind};
use offtake::trade::quantity::{Angle, Pressure, Temperature};
use offtake::trade::service::Service;
use offtake::trade::source::BasisKind;
use offtake::trade::tube::Temper;

use crate::designs::{catalogue, changed, checked, inches, row, sound, tube};

/// What a rule must say of a design.
struct Case {
    rule: Rule,
    level: Level,
    pointer: &'static str,
    basis: BasisKind,
    /// Measured and limit: lengths in inches, pressures in psi, temperatures in degF, masses in
    /// pounds, words as they are.
    figures: Option<(Seen, Seen)>,
    design: Design,
}

#[derive(Debug, Clone, Copy)]
enum Seen {
    /// A number, within that much.
    Near(f64, f64),
    Word(&'static str),
}
use Seen::{Near, Word};

fn fits(figure: &Figure, seen: Seen) -> bool {
    let number = match (figure, seen) {
        (Figure::Word(word), Word(wanted)) => return word == wanted,
        (Figure::Length(it), _) => it.in_inches(),
        (Figure::Pressure(it), _) => it.in_psi(),
        (Figure::Temperature(it), _) => it.in_fahrenheit(),
        (Figure::Mass(it), _) => it.in_pounds(),
        (Figure::Number(it), _) => *it,
        (Figure::Word(_), _) => return false,
    };
    matches!(seen, Near(wanted, within) if (number - wanted).abs() <= within)
}

fn look(case: Case) -> Result<(), String> {
    let rule = case.rule;
    let result = checked(case.design);
    let found: Vec<&Finding> = result
        .findings
        .iter()
        .filter(|it| it.rule == rule && it.level == case.level && it.pointer == case.pointer)
        .collect();
    let [finding] = found.as_slice() else {
        return Err(format!("{rule:?}: {:#?}", result.findings));
    };
    let figures = (finding.measured.as_ref(), finding.limit.as_ref());
    let figures_fit = match (case.figures, figures) {
        (None, (None, None)) => true,
        (Some((measured, limit)), (Some(a), Some(b))) => fits(a, measured) && fits(b, limit),
        _ => false,
    };
    let whole = !finding.detail.is_empty()
        && !finding.remedy.is_empty()
        && !finding.basis.cite.is_empty()
        && finding.basis.kind == case.basis;
    let verdict = match case.level {
        Level::Stop => result.verdict == Verdict::NotBuildable,
        Level::Caution => result.verdict >= Verdict::BuildableWithCautions,
        Level::Note => true,
    };
    if figures_fit && whole && verdict {
        Ok(())
    } else {
        Err(format!("{finding:#?}"))
    }
}

fn filler(design: &mut Design, id: &str) {
    design.filler = Some(Arc::clone(catalogue().filler(id).unwrap()));
}

fn collar_cases() -> Vec<Case> {
    use BasisKind::{Code, CommonPractice, Handbook, Shop};
    vec![
        // Pilot 0.24 in of a collar of 1.125 + 0.006 + 0.070 = 1.201 in mean diameter: the rim keeps
        // 0.070 x sqrt(0.24/1.201) = 0.0313 in, less 0.007 in tolerance; with S 4980 psi at 180 degF
        // 2 x 4980 x 0.0243 / (1.2323 - 0.8 x 0.0243) = 199.6 psi.
        Case {
            rule: Rule::RunWall,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: Handbook,
            figures: Some((Near(240.0, 1e-6), Near(199.6, 0.5))),
            design: changed(|d| {
                d.design_pressure = Pressure::psi(240.0);
                d.outlets[0].collar.pilot = Some(inches(0.24));
            }),
        },
        // Model plumbing codes: three times the branch wall, 3 x 0.050 in.
        Case {
            rule: Rule::CollarHeight,
            level: Level::Stop,
            pointer: "/outlets/0/collar_height",
            basis: Code,
            figures: Some((Near(0.12, 1e-9), Near(0.150, 1e-9))),
            design: changed(|d| d.outlets[0].collar.height = Some(inches(0.12))),
        },
        // Branch 1/2 in type K: 3 x 0.049 in on D = 0.625 + 0.006 + 0.070 = 0.701 in:
        // K = (1 - 3 x 0.147/0.701)^(2/3) = 0.5162, below 0.63 (from memory).
        Case {
            rule: Rule::FormingSeverity,
            level: Level::Caution,
            pointer: "/outlets/0/tube",
            basis: Shop,
            figures: Some((Near(0.5162, 0.0001), Near(0.63, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-k-0.5", 4, 4.0, 5.0)]),
        },
        // Outside of run 1.0625 in radius, branch 0.5625 in; pilot radius 0.4392 in: the rim
        // stands 0.5625 - 0.4392 in above the crown in line with the run, and square to it
        // 1.0625 (asin 0.5294 - asin 0.4134) - (1.0625 - 0.9014) = -0.021 in.
        Case {
            rule: Rule::RimLevel,
            level: Level::Note,
            pointer: "/outlets/0/tube",
            basis: CommonPractice,
            figures: Some((Near(-0.0211, 0.0002), Near(0.1233, 0.0002))),
            design: sound(),
        },
        // A branch as wide as its run is wider than the bore: 2.125 in against 1.985 in.
        Case {
            rule: Rule::BranchIntrusion,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: Code,
            figures: Some((Near(2.125, 1e-9), Near(1.985, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-l-2", 2, 6.0, 8.0)]),
        },
        // Model plumbing codes: the second dimple 1/4 in above the first.
        Case {
            rule: Rule::Dimples,
            level: Level::Note,
            pointer: "/outlets/0/tube",
            basis: Code,
            figures: Some((Near(0.25, 1e-9), Near(0.25, 1e-9))),
            design: sound(),
        },
    ]
}

fn spacing_cases() -> Vec<Case> {
    use BasisKind::{Code, CommonPractice, Shop, Standard};
    vec![
        // ASTM B88 walls in order M, L, K; forming wants L or thicker (common practice).
        Case {
            rule: Rule::RunType,
            level: Level::Stop,
            pointer: "/run/tube",
            basis: Shop,
            figures: Some((Word("M"), Word("L"))),
            design: changed(|d| d.run.tube = tube("b88-m-2")),
        },
        Case {
            rule: Rule::RunType,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: Standard,
            figures: None,
            design: changed(|d| d.outlets = vec![row("b306-dwv-1.25", 4, 4.0, 5.0)]),
        },
        // ASTM B88: type M is sold drawn only.
        Case {
            rule: Rule::RunType,
            level: Level::Caution,
            pointer: "/run/temper",
            basis: Standard,
            figures: None,
            design: changed(|d| {
                d.run.tube = tube("b88-m-2");
                d.run.temper = Temper::Annealed;
                d.build = Build::TeesBrazed;
            }),
        },
        Case {
            rule: Rule::BranchSize,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: CommonPractice,
            figures: Some((Near(3.125, 1e-9), Near(2.125, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-l-3", 1, 12.0, 1.0)]),
        },
        // Copper Tube Handbook, ch. 13: outlets 1/2 to 4 in.
        Case {
            rule: Rule::BranchSize,
            level: Level::Stop,
            pointer: "/outlets/0/tube",
            basis: Shop,
            figures: Some((Word("3/8 in"), Word("1/2 to 4 in"))),
            design: changed(|d| d.outlets = vec![row("b88-l-0.375", 4, 4.0, 5.0)]),
        },
        // 1.5 x (1.125 + 2 x 0.003) in.
        Case {
            rule: Rule::OutletPitch,
            level: Level::Caution,
            pointer: "/outlets/0",
            basis: Shop,
            figures: Some((Near(1.6, 1e-9), Near(1.6965, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-l-1", 4, 4.0, 1.6)]),
        },
        // 2 x (0.5625 + 0.003 + 0.070) in.
        Case {
            rule: Rule::OutletOverlap,
            level: Level::Stop,
            pointer: "/outlets/0",
            basis: CommonPractice,
            figures: Some((Near(1.0, 1e-9), Near(1.271, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-l-1", 4, 4.0, 1.0)]),
        },
        // Turned a tenth of a turn about the run, 1.0625 x 36 deg = 0.6676 in round its outside.
        Case {
            rule: Rule::OutletOverlap,
            level: Level::Stop,
            pointer: "/outlets/1",
            basis: CommonPractice,
            figures: Some((Near(0.6676, 1e-4), Near(1.271, 1e-9))),
            design: changed(|d| {
                d.outlets.push(row("b88-l-1", 1, 4.0, 1.0));
                d.outlets[1].clock = Angle::degrees(36.0);
            }),
        },
        // A cap takes the cup of 2 in, 1.34 in (Copper Tube Handbook); then 0.5625 + 0.003 + 0.070 in.
        Case {
            rule: Rule::EndDistance,
            level: Level::Stop,
            pointer: "/outlets/0",
            basis: Shop,
            figures: Some((Near(1.9, 1e-9), Near(1.9755, 1e-9))),
            design: changed(|d| {
                d.run.ends[0].kind = EndKind::Cap;
                d.outlets = vec![row("b88-l-1", 4, 1.9, 5.0)];
            }),
        },
        // Clear of the end by geometry, but not by half of the pitch rule: 0.75 x 1.131 in.
        Case {
            rule: Rule::EndDistance,
            level: Level::Caution,
            pointer: "/outlets/0",
            basis: Shop,
            figures: Some((Near(0.7, 1e-9), Near(0.84825, 1e-9))),
            design: changed(|d| d.outlets = vec![row("b88-l-1", 4, 0.7, 5.0)]),
        },
        // ASTM B88: 2 in comes in sticks of 20 ft.
        Case {
            rule: Rule::RunLength,
            level: Level::Caution,
            pointer: "/run/length",
            basis: Standard,
            figures: Some((Near(300.0, 1e-9), Near(240.0, 1e-9))),
            design: changed(|d| d.run.length = Some(inches(300.0))),
        },
        Case {
            rule: Rule::RunLength,
            level: Level::Note,
            pointer: "/run/length",
            basis: Standard,
            figures: Some((Near(300.0, 1e-9), Near(240.0, 1e-9))),
            design: changed(|d| {
                d.build = Build::TeesBrazed;
                d.run.length = Some(inches(300.0));
            }),
        },
        // Outlets every 3 in leave no 2 x 1.34 in for a coupling between them.
        Case {
            rule: Rule::RunLength,
            level: Level::Stop,
            pointer: "/run/length",
            basis: Standard,
            figures: Some((Near(262.0, 1e-6), Near(240.0, 1e-9))),
            design: changed(|d| {
                d.run.length = Some(inches(262.0));
                d.outlets = vec![row("b88-l-1", 86, 3.0, 3.0)];
            }),
        },
        // A 3/8 in run is below the handbook's envelope of 1/2 to 8 in.
        Case {
            rule: Rule::BranchSize,
            level: Level::Stop,
            pointer: "/run/tube",
            basis: Shop,
            figures: Some((Word("3/8 in"), Word("1/2 to 8 in"))),
            design: changed(|d| {
                d.run.tube = tube("b88-l-0.375");
                d.outlets = vec![row("b88-l-0.25", 4, 4.0, 5.0)];
            }),
        },
        // Model plumbing codes: hot work is watched for 30 minutes at least; this rule set asks 60.
        Case {
            rule: Rule::HotWork,
            level: Level::Note,
            pointer: "/build",
            basis: Code,
            figures: Some((Near(60.0, 1e-9), Near(30.0, 1e-9))),
            design: sound(),
        },
    ]
}

fn joining_cases() -> Vec<Case> {
    use BasisKind::{Code, CommonPractice, Handbook, Standard};
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

fn strength_cases() -> Vec<Case> {
    use BasisKind::{Code, Handbook, Standard};
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
            basis: Code,
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

#[test]
fn every_rule_says_what_it_measured_and_why() {
    let cases = [
        collar_cases(),
        spacing_cases(),
        joining_cases(),
        strength_cases(),
    ];
    let cases: Vec<Case> = cases.into_iter().flatten().collect();
    for rule in Rule::ALL {
        let provoked = cases.iter().any(|case| case.rule == *rule);
        assert!(provoked, "no design provokes {rule:?}");
    }
    let wrong: Vec<String> = cases
        .into_iter()
        .filter_map(|case| look(case).err())
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn nothing_stops_the_sound_design() {
    let result = checked(sound());
    assert_eq!(result.stops().count(), 0, "{:#?}", result.findings);
    assert_eq!(result.rating.unwrap().governed_by.word(), "run");
}

#[test]
fn a_stop_at_one_end_is_not_hidden_by_a_caution_at_the_other() {
    // The first outlet is 5 % short of clearing its end, the last one 20 % short of what is wanted.
    let design = changed(|d| {
        d.outlets = vec![row("b88-l-1", 2, 0.6, 22.72)];
    });
    let result = checked(design);
    let ends: Vec<Level> = result
        .findings
        .iter()
        .filter(|finding| finding.rule == Rule::EndDistance)
        .map(|finding| finding.level)
        .collect();
    assert_eq!(ends, [Level::Stop]);
}

#[test]
fn drainage_without_pressure_needs_no_rating() {
    let drain = |psi: f64| {
        checked(changed(|d| {
            d.service = Service::Drainage;
            d.build = Build::TeesSoldered;
            d.run.tube = tube("b306-dwv-2");
            d.outlets = vec![row("b306-dwv-1.25", 2, 6.0, 8.0)];
            d.design_temperature = Temperature::fahrenheit(100.0);
            d.design_pressure = Pressure::psi(psi);
        }))
    };
    assert_eq!(drain(0.0).stops().count(), 0, "{:#?}", drain(0.0).findings);
    assert!(drain(1.0).stops().any(|it| it.rule == Rule::PressureRun));
}
