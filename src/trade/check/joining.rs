//! `joint-method`, `filler-service`, `filler-materials`, `temperature-joint`: whether the
//! filler, the method and the temperature go together.

use super::{Subject, rows};
use crate::trade::filler::{Filler, FillerFamily};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::joint::{BRAZE_LIMIT, JointMethod, SOLDER_LIMIT};
use crate::trade::manifold::{Build, Manifold};
use crate::trade::metal::{Flux, Metal};
use crate::trade::quantity::Temperature;
use crate::trade::service::Service;
use crate::trade::source::Basis;

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    let Some(method) = subject.manifold.build.joint_method() else {
        return;
    };
    joint_method(subject, method, findings);
    filler_service(subject, findings);
    filler_materials(subject, findings);
    temperature(subject, method, findings);
}

fn joint_method(subject: &Subject, method: JointMethod, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let filler = &manifold.filler;
    let (basis, detail, remedy) = match (manifold.build, filler.is_brazing(), method) {
        (Build::FormedOutlets, false, _) => (
            Basis::code(
                "model plumbing codes and the Copper Tube Handbook, ch. 5: formed outlets are brazed, soft solder is not permitted",
            ),
            format!(
                "{} is soft solder; a formed outlet is brazed only",
                filler.id
            ),
            "choose a brazing filler such as BCuP-3",
        ),
        (_, false, JointMethod::Brazed) => (
            Basis::common_practice("brazing needs a filler that melts above 840 F"),
            format!("{} is soft solder, but this build is brazed", filler.id),
            "choose a brazing filler, or build it as tees_soldered",
        ),
        (_, true, JointMethod::Soldered) => (
            Basis::common_practice("soldering is done below 840 F"),
            format!(
                "{} is a brazing filler, but this build is soldered",
                filler.id
            ),
            "choose a solder such as Sb5, or build it as tees_brazed",
        ),
        _ => return,
    };
    findings.push(
        Finding::new(Rule::JointMethod, Level::Stop, "/filler", basis, detail).remedy(remedy),
    );
}

fn filler_service(subject: &Subject, findings: &mut Vec<Finding>) {
    let filler = &subject.manifold.filler;
    if subject.manifold.service == Service::FuelGas && filler.has_phosphorus() {
        findings.push(
            Finding::new(
                Rule::FillerService,
                Level::Stop,
                "/filler",
                Basis::code("fuel gas codes: the brazing filler holds less than 0.05 % phosphorus"),
                format!(
                    "{} is a copper-phosphorus filler, which fuel gas rules out",
                    filler.id
                ),
            )
            .remedy("choose a silver filler without phosphorus, with flux"),
        );
    }
    if subject.manifold.service == Service::Other && filler.has_phosphorus() {
        findings.push(
            Finding::new(
                Rule::FillerService,
                Level::Caution,
                "/filler",
                Basis::common_practice(
                    "brazing handbooks: hot gases and oils with sulphur attack copper-phosphorus joints (from memory)",
                ),
                format!(
                    "{} holds phosphorus, and the service is not named: sulphur would attack its joints",
                    filler.id
                ),
            )
            .remedy("make sure that no sulphur reaches the joints, or choose a silver filler with flux"),
        );
    }
}

fn filler_materials(subject: &Subject, findings: &mut Vec<Finding>) {
    let filler = &subject.manifold.filler;
    if filler.has_cadmium {
        findings.push(
            Finding::new(
                Rule::FillerMaterials,
                Level::Stop,
                "/filler",
                Basis::common_practice(
                    "cadmium fumes are poisonous; cadmium-free fillers do the same work",
                ),
                format!("{} contains cadmium", filler.id),
            )
            .remedy("choose a cadmium-free filler"),
        );
    }
    if filler.family == FillerFamily::Silver {
        findings.push(
            Finding::new(
                Rule::FillerMaterials,
                Level::Note,
                "/filler",
                Basis::handbook("Copper Tube Handbook, brazing: silver fillers need flux; gap 0.002 to 0.005 in"),
                format!("{} needs flux; clean the residue off afterwards", filler.id),
            )
            .remedy("count flux among the consumables and keep its fumes away from people"),
        );
    }
    for (pointer, metal) in other_metals(subject.manifold) {
        findings.extend(on_metal(filler, metal, pointer));
    }
}

/// What is joined to another metal than copper, each with its place.
pub(super) fn other_metals(manifold: &Manifold) -> Vec<(String, Metal)> {
    let ends = manifold.run.joins.into_iter().enumerate();
    let ends = ends.map(|(end, metal)| (format!("/run/ends/{end}/joins"), metal));
    let rows = rows(manifold).into_iter();
    let branches = rows.map(|(row, outlet)| (format!("/outlets/{row}/joins"), outlet.joins));
    let mut found: Vec<(String, Metal)> = ends.chain(branches).collect();
    found.retain(|(_, metal)| *metal != Metal::Copper);
    found
}

const PHOSPHORUS: &str = "Copper Tube Handbook, brazing: copper-phosphorus filler needs no flux copper to copper, flux on brass and bronze, and is never used on iron, steel, nickel or copper alloys above 10 % nickel";

fn on_metal(filler: &Filler, metal: Metal, pointer: String) -> Option<Finding> {
    let said = |level, basis, detail: String, remedy: &str| {
        Some(Finding::new(Rule::FillerMaterials, level, pointer, basis, detail).remedy(remedy))
    };
    let (id, spoken) = (&filler.id, metal.spoken());
    match (filler.family, Flux::of(filler, metal)) {
        (_, Flux::NeverJoined) => said(
            Level::Stop,
            Basis::handbook(PHOSPHORUS),
            format!("{id} never joins {spoken}: its phosphorus makes the joint brittle"),
            "choose a silver filler with flux, such as BAg-5, or BAg-24 on stainless steel",
        ),
        (FillerFamily::CopperPhosphorus, Flux::Needed) => said(
            Level::Caution,
            Basis::handbook(PHOSPHORUS),
            format!("{id} needs flux on {spoken}, though it needs none copper to copper"),
            "flux that joint and wash the residue off once it is cool",
        ),
        (FillerFamily::Silver, _)
            if metal == Metal::StainlessSteel && !filler.composition.contains("Ni") =>
        {
            said(
                Level::Caution,
                Basis::common_practice(
                    "in water, stainless steel brazed with silver filler that holds no nickel corrodes along the joint (from memory)",
                ),
                format!(
                    "{id} holds no nickel: its joint on {spoken} may come apart in wet service"
                ),
                "choose a filler with nickel, such as BAg-24, and the flux its maker names for stainless steel",
            )
        }
        (FillerFamily::Solder, _) if metal.has_iron_or_nickel() => said(
            Level::Caution,
            Basis::common_practice(
                "flux for copper does not clean iron, nickel and stainless steel (from memory)",
            ),
            format!("{id} takes on {spoken} only with a flux made for that metal"),
            "use the flux that its maker names for the metal, tin the part first, or use a threaded adapter of brass",
        ),
        _ => None,
    }
}

/// Colder than this no copper tube is listed for (ASME B31.3, table A-1; from memory).
const COLDEST: Temperature = Temperature::fahrenheit(-325.0);

fn too_cold(subject: &Subject) -> Option<Finding> {
    let design = subject.manifold.design_temperature;
    (design < COLDEST).then(|| {
        Finding::new(
            Rule::TemperatureJoint,
            Level::Stop,
            "/design_temperature",
            Basis::standard(
                "ASME B31.3, table A-1: copper tube is listed down to -325 F (from memory)",
            ),
            format!(
                "no figure for copper tube reaches down to {:.0} degF",
                design.in_fahrenheit()
            ),
        )
        .against(design, COLDEST)
        .remedy("this is work for a designer of cryogenic piping")
    })
}

fn temperature(subject: &Subject, method: JointMethod, findings: &mut Vec<Finding>) {
    findings.extend(too_cold(subject));
    let limit = match method {
        JointMethod::Brazed => BRAZE_LIMIT,
        JointMethod::Soldered => SOLDER_LIMIT,
    };
    let design = subject.manifold.design_temperature;
    if design > limit {
        findings.push(
            Finding::new(
                Rule::TemperatureJoint,
                Level::Stop,
                "/design_temperature",
                Basis::handbook(
                    "Copper Tube Handbook: soldered joints serve to 250 F, brazed joints to 350 F",
                ),
                format!(
                    "{} joints serve to {:.0} degF; the design temperature is {:.0} degF",
                    method.word(),
                    limit.in_fahrenheit(),
                    design.in_fahrenheit()
                ),
            )
            .against(design, limit)
            .remedy(match method {
                JointMethod::Soldered => "braze it",
                JointMethod::Brazed => "this is beyond copper tube with brazed joints",
            }),
        );
    }
}
