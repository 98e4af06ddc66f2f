//! `service-allowed`, `lead-free`: whether this build may carry this service.

mod steam;

use super::{Subject, rows};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::flow::fluid::Fluid;
use crate::trade::joint::JointMethod;
use crate::trade::manifold::{Build, Manifold};
use crate::trade::service::Service;
use crate::trade::source::Basis;
use crate::trade::tube::{Standard, Tube};

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    if manifold.build == Build::Purchased {
        findings.push(bought(manifold));
    }
    service_allowed(manifold, findings);
    findings.extend(freezing(manifold));
    lead_free(manifold, findings);
}

/// Water that may freeze bursts what holds it.
fn freezing(manifold: &Manifold) -> Option<Finding> {
    let fluid = manifold.supply.as_ref().map(|supply| supply.fluid);
    let freezing = fluid.unwrap_or(Fluid::Water).freezing();
    let design = manifold.design_temperature;
    (manifold.service.is_water() && design <= freezing).then(|| {
        Finding::new(
            Rule::ServiceAllowed,
            Level::Caution,
            "/design_temperature",
            Basis::common_practice("water bursts tube and joints as it freezes"),
            format!(
                "the design temperature is {:.0} degF; what runs in it freezes at {:.0} degF",
                design.in_fahrenheit(),
                freezing.in_fahrenheit()
            ),
        )
        .against(design, freezing)
        .remedy("say which glycol it holds in `supply`, keep it warm, or let it drain")
    })
}

fn finding(level: Level, basis: Basis, detail: &str, remedy: &str) -> Finding {
    Finding::new(Rule::ServiceAllowed, level, "/service", basis, detail).remedy(remedy)
}

fn bought(manifold: &Manifold) -> Finding {
    Finding::new(
        Rule::ServiceAllowed,
        Level::Caution,
        "/build",
        Basis::common_practice(
            "a bought manifold is judged by its maker's papers, not by this check",
        ),
        format!(
            "whether a bought manifold suits {} is for its maker to say",
            manifold.service.spoken()
        ),
    )
    .remedy(
        "get the maker's pressure and temperature rating and listing in writing before quoting it",
    )
}

fn fuel_gas(build: Build) -> Finding {
    match build {
        Build::FormedOutlets => finding(
            Level::Stop,
            Basis::code(
                "fuel gas codes exclude the copper-phosphorus filler that formed outlets are brazed with",
            ),
            "formed outlets may not carry fuel gas",
            "use listed fittings joined as the fuel gas code of the place says",
        ),
        Build::TeesSoldered => finding(
            Level::Stop,
            Basis::code(
                "fuel gas codes: joints are brazed with filler that melts above 1000 F (from memory)",
            ),
            "soldered joints may not carry fuel gas",
            "braze it with a filler free of phosphorus, as the code of the place says",
        ),
        Build::TeesBrazed | Build::Purchased => finding(
            Level::Caution,
            Basis::code("fuel gas codes differ from place to place"),
            "fuel gas piping is for a licensed gas fitter and the code of the place",
            "have the authority confirm material, joints and test before quoting",
        ),
    }
}

fn drainage(build: Build) -> Finding {
    if build == Build::FormedOutlets {
        return finding(
            Level::Stop,
            Basis::code(
                "drainage branches enter by pitched drainage fittings, not square to the run",
            ),
            "formed outlets may not be used for drainage",
            "use drainage-pattern fittings",
        );
    }
    finding(
        Level::Caution,
        Basis::code("plumbing codes: drainage needs drainage-pattern fittings laid to a fall"),
        "square tees are pressure pattern; drainage needs its own fittings",
        "check the pattern of every fitting with the plumbing code of the place",
    )
}

/// Tubes of another standard than the one a service asks for, each with its place.
fn of_other_standard(manifold: &Manifold, wanted: Standard) -> Vec<(String, &Tube)> {
    let branches = rows(manifold)
        .into_iter()
        .map(|(row, outlet)| (format!("/outlets/{row}/tube"), outlet.tube.as_ref()));
    std::iter::once(("/run/tube".to_owned(), manifold.run.tube.as_ref()))
        .chain(branches)
        .filter(|(_, tube)| tube.standard != wanted)
        .collect()
}

const MEDICAL: &str = "medical gas piping is ASTM B819 tube, cleaned and capped, with brazed joints (NFPA 99, from memory)";

fn medical_gas(manifold: &Manifold, findings: &mut Vec<Finding>) {
    let stop = |pointer: &str, detail: String, remedy: &str| {
        let basis = Basis::standard(MEDICAL);
        Finding::new(Rule::ServiceAllowed, Level::Stop, pointer, basis, detail).remedy(remedy)
    };
    for (pointer, tube) in of_other_standard(manifold, Standard::AstmB819) {
        let detail = format!(
            "{} is {} ({}), not medical gas tube",
            tube.call_out(),
            tube.standard.made_for(),
            tube.standard.name()
        );
        findings.push(stop(&pointer, detail, "use ASTM B819 tube of type K or L"));
    }
    if manifold.build.joint_method() == Some(JointMethod::Soldered) {
        let detail = "soldered joints may not carry medical gas".to_owned();
        findings.push(stop("/build", detail, "braze it"));
    }
    findings.push(finding(
        Level::Caution,
        Basis::standard(MEDICAL),
        "medical gas piping is installed, brazed and tested by people qualified for it, and verified by a third party",
        "use a brazer qualified for medical gas and a nitrogen purge, keep the tube clean and capped, and have the authority approve formed outlets before quoting them",
    ));
}

fn refrigerant(manifold: &Manifold, findings: &mut Vec<Finding>) {
    let basis = || {
        Basis::standard("refrigerant piping is ASTM B280 tube, rated with its system (ASME B31.5)")
    };
    for (pointer, tube) in of_other_standard(manifold, Standard::AstmB280) {
        findings.push(
            Finding::new(
                Rule::ServiceAllowed,
                Level::Caution,
                pointer,
                basis(),
                format!(
                    "{} is {} ({}); it is not made or cleaned for refrigerant",
                    tube.call_out(),
                    tube.standard.made_for(),
                    tube.standard.name()
                ),
            )
            .remedy("use ASTM B280 tube, cleaned and capped"),
        );
    }
    findings.push(finding(
        Level::Caution,
        basis(),
        "the design pressure of refrigerant piping is the system's, at its hottest side and standing still",
        "have the refrigeration engineer confirm tube, pressure, rating and cleanliness",
    ));
}

fn service_allowed(manifold: &Manifold, findings: &mut Vec<Finding>) {
    match manifold.service {
        Service::MedicalGas => medical_gas(manifold, findings),
        Service::Refrigerant => refrigerant(manifold, findings),
        Service::SaturatedSteam => steam::check(manifold, findings),
        _ => findings.extend(by_service(manifold)),
    }
}

fn by_service(manifold: &Manifold) -> Option<Finding> {
    Some(match manifold.service {
        Service::FuelGas => fuel_gas(manifold.build),
        Service::Drainage => drainage(manifold.build),
        Service::FireSprinkler => finding(
            Level::Caution,
            Basis::handbook(
                "Copper Tube Handbook lists formed outlets in sprinkler work; listing and approval rest with the authority",
            ),
            "sprinkler piping needs listed materials and approval",
            "have the listing and the authority's consent in writing",
        ),
        Service::Other => finding(
            Level::Caution,
            Basis::common_practice("a service that is not named cannot be judged"),
            "the service is not named, so whether it is allowed was not judged",
            "have a licensed person confirm that copper and this joint suit the fluid",
        ),
        Service::PotableCold
        | Service::PotableHot
        | Service::HydronicHeating
        | Service::ChilledWater
        | Service::CompressedAir
        | Service::MedicalGas
        | Service::Refrigerant
        | Service::SaturatedSteam => return None,
    })
}

fn lead_free(manifold: &Manifold, findings: &mut Vec<Finding>) {
    if !manifold.service.is_potable() {
        return;
    }
    let law = || {
        Basis::code(
            "US Safe Drinking Water Act, section 1417: 0.25 % weighted lead on wetted surfaces, 0.2 % in solder and flux",
        )
    };
    if manifold.filler.has_lead && manifold.build != Build::Purchased {
        findings.push(
            Finding::new(
                Rule::LeadFree,
                Level::Stop,
                "/filler",
                law(),
                format!(
                    "{} contains lead and may not touch drinking water",
                    manifold.filler.id
                ),
            )
            .remedy("choose a lead-free filler"),
        );
    } else {
        findings.push(
            Finding::new(
                Rule::LeadFree,
                Level::Note,
                "/service",
                law(),
                "drinking water: fittings and valves hold at most 0.25 % lead, weighted over the surfaces it wets, solder and flux at most 0.2 %",
            )
            .remedy("order parts certified lead-free (such as to NSF/ANSI/CAN 372, from memory) and keep their certificates with the job, keep leaded solder off the bench, flush before use; the code of the place decides"),
        );
    }
}
