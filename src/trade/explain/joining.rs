//! The rules of joints, fillers and services.

use super::{Example, Explanation, memory, seen};
use crate::trade::manifold::Build;
use crate::trade::quantity::Temperature;
use crate::trade::service::Service;

pub(super) fn joint_method() -> Explanation {
    Explanation {
        title: "The joining method suits the build",
        text: "A formed outlet is brazed; soft solder is not permitted in it, and the filler melts above 1000 degF. Tees are brazed with a brazing filler or soldered with a solder, as the build says.",
        formula: "",
        sources: vec![
            seen(
                "model plumbing codes; Copper Tube Handbook, ch. 5; UFGS-15569A: formed outlets are brazed",
            ),
            seen("brazing begins above 840 degF (450 degC)"),
        ],
        example: Example {
            told: "The filler named is a soft solder.",
            change: |parts, design| {
                design.filler = Some(parts.filler("Sb5")?);
                Some(())
            },
        },
    }
}

pub(super) fn filler_service() -> Explanation {
    Explanation {
        title: "The filler suits the service",
        text: "Fuel gas holds sulphur compounds that attack phosphorus in the filler: its fillers hold less than 0.05 % phosphorus, which rules out every copper-phosphorus filler. Where the service is not named, a caution says the same of other gases and oils with sulphur.",
        formula: "",
        sources: vec![seen(
            "fuel gas codes: less than 0.05 % phosphorus in the brazing filler",
        )],
        example: Example {
            told: "No filler is named, so the usual copper-phosphorus one is taken.",
            change: |_, design| {
                design.service = Service::FuelGas;
                design.build = Build::TeesBrazed;
                Some(())
            },
        },
    }
}

pub(super) fn filler_materials() -> Explanation {
    Explanation {
        title: "The filler suits the metals, and people",
        text: "Copper-phosphorus filler needs no flux copper to copper, needs it on brass and bronze, and never joins iron, steel, nickel or copper alloys above 10 % nickel: what an end or a branch is joined to is said in `joins`. Silver filler and solder need flux on every metal, and harm by its fumes. Filler with cadmium is refused. Every joint laps three times the thinner wall at least; by strength less would do. The check gives lap, gap, filler and length of wire of each joint.",
        formula: "filler V = pi D lap gap; wire V / (pi d^2 / 4); lap by strength X = W (D - W) T / (C L D), W thinner wall, D outside diameter, T 30 000 psi, C 0.8, L 25 000 psi",
        sources: vec![
            seen("Copper Tube Handbook, brazing: flux, gaps and metals"),
            seen("AWS A5.8 compositions: BAg-1 holds 24 % cadmium"),
            memory(
                "brazing handbooks: lap by strength; stainless steel in water wants filler with nickel",
            ),
        ],
        example: Example {
            told: "The filler named holds cadmium.",
            change: |parts, design| {
                design.filler = Some(parts.filler("BAg-1")?);
                Some(())
            },
        },
    }
}

pub(super) fn service_allowed() -> Explanation {
    Explanation {
        title: "The build is allowed in the service",
        text: "Formed outlets may not carry fuel gas or drainage. Fire sprinkler, medical gas and refrigerant work need listings, tube of their own standard or qualified people. Saturated steam is as hot as its pressure makes it: a design temperature below that stops, one above it is a caution. Water below freezing is a caution. A service that is not named cannot be judged, and the answer says so.",
        formula: "steam: ln(p / 22.064 MPa) = (647.096 K / T) (a1 v + a2 v^1.5 + a3 v^3 + a4 v^3.5 + a5 v^4 + a6 v^7.5), v = 1 - T / 647.096 K, p the design pressure over the standard atmosphere",
        sources: vec![
            seen("fuel gas codes; Copper Tube Handbook (sprinkler work); 46 CFR 56.30"),
            memory("medical gas: ASTM B819 tube (NFPA 99)"),
            seen("IAPWS SR1-86(1992): saturation pressure of water"),
        ],
        example: Example {
            told: "It is to drain water.",
            change: |_, design| {
                design.service = Service::Drainage;
                Some(())
            },
        },
    }
}

pub(super) fn lead_free() -> Explanation {
    Explanation {
        title: "Drinking water touches no lead",
        text: "Whatever drinking water touches is lead-free by the law's measure: fittings and valves by weighted wetted surface, solder and flux by content. A filler with lead stops. Order certified parts, keep their certificates with the job, and flush before use.",
        formula: "weighted average over the wetted surface <= 0.25 %; solder and flux <= 0.2 %",
        sources: vec![seen("US Safe Drinking Water Act, section 1417")],
        example: Example {
            told: "The solder named is half lead.",
            change: |parts, design| {
                design.service = Service::PotableCold;
                design.build = Build::TeesSoldered;
                design.filler = Some(parts.filler("Sn50")?);
                Some(())
            },
        },
    }
}

pub(super) fn temperature_joint() -> Explanation {
    Explanation {
        title: "The joints bear the temperature",
        text: "Soldered joints serve to 250 degF, brazed joints to 350 degF. Beyond that they creep, and the manifold may not be built like this. Below -325 degF no figure for copper tube is known here.",
        formula: "",
        sources: vec![
            seen("Copper Tube Handbook: service temperatures of soldered and brazed joints"),
            memory("ASME B31.3, table A-1: copper tube down to -325 F"),
        ],
        example: Example {
            told: "It is to serve at 260 degF.",
            change: |_, design| {
                design.build = Build::TeesSoldered;
                design.design_temperature = Temperature::fahrenheit(260.0);
                Some(())
            },
        },
    }
}
