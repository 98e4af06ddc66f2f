//! `service-allowed`, `lead-free`: whether this build may carry this service.

use super::Subject;
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::manifold::{Build, Manifold};
use crate::trade::service::Service;
use crate::trade::source::Basis;

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    if manifold.build == Build::Purchased {
        findings.push(bought(manifold));
    }
    findings.extend(service_allowed(manifold));
    lead_free(manifold, findings);
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

fn service_allowed(manifold: &Manifold) -> Option<Finding> {
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
        Service::MedicalGas => finding(
            Level::Stop,
            Basis::standard(
                "medical gas piping is ASTM B819 tube, cleaned and capped (NFPA 99, from memory); this tube is made to another standard",
            ),
            "this tube is not medical gas tube",
            "use ASTM B819 tube and a brazer qualified for medical gas, with a nitrogen purge",
        ),
        Service::Refrigerant => finding(
            Level::Caution,
            Basis::standard(
                "refrigerant piping is ASTM B280 tube, rated with its system (ASME B31.5)",
            ),
            "water tube is not made or cleaned for refrigerant",
            "have the refrigeration engineer confirm tube, rating and cleanliness",
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
        | Service::CompressedAir => return None,
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
                "drinking water: every fitting, valve, filler and flux must be lead-free by the law's measure",
            )
            .remedy("order lead-free parts and keep their certificates with the job"),
        );
    }
}
