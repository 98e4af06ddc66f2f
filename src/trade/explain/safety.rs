//! The rules of torch and test.

use super::{Example, Explanation, SOUND, derived, memory, seen};
use crate::trade::quantity::Pressure;
use crate::trade::service::Service;

pub(super) fn purge() -> Explanation {
    Explanation {
        title: "The inside is purged while brazing",
        text: "Copper heated in air scales inside. Medical gas and refrigerant tube is brazed under an oil-free nitrogen purge, by people qualified for it. Nitrogen displaces air: ventilate, and never purge where somebody could be short of it.",
        formula: "",
        sources: vec![
            memory("medical gas brazing under nitrogen purge (NFPA 99)"),
            memory(
                "refrigerant tube is brazed under a slow flow of dry nitrogen (common practice)",
            ),
        ],
        example: Example {
            told: "It is to carry medical gas.",
            change: |_, design| {
                design.service = Service::MedicalGas;
                Some(())
            },
        },
    }
}

pub(super) fn hot_work() -> Explanation {
    Explanation {
        title: "Hot work is watched",
        text: "Brazing is hot work: what burns is cleared or shielded, an extinguisher stands ready, and somebody watches for fire after the torch is out, for as long as the rule set says. Never heat a closed, wet or pressurised assembly; ventilate, since flux and filler fumes harm: fluxes for brazing give off fluorides, overheated brass and silver filler zinc. Where a joint wants flux, a finding of its own says so.",
        formula: "",
        sources: vec![
            seen("hot work rules: fire watch at least 30 minutes after the torch is out"),
            memory("later editions of the hot work standard NFPA 51B ask 60 minutes"),
            memory("ANSI Z49.1: fluxes with fluorides, metal fumes"),
        ],
        example: Example {
            told: "It is brazed at the bench.",
            change: SOUND,
        },
    }
}

pub(super) fn test_pressure() -> Explanation {
    Explanation {
        title: "What pressure it is tested at",
        text: "The test pressure follows the text that the rule set chooses. It is never above the rating of any part. Water is preferred: the same test with air holds many times the energy and throws parts when something gives. Services of gas are usually tested with gas all the same: their finding is a caution that says how much energy that is.",
        formula: "hydronic: 1.5 P, 100 psi at least; city code: P + 50 psi, 150 psi at least; medical gas: 1.5 P, 150 psi at least. Energy as gas: E = 2.5 P V (1 - (Pa / P)^0.286), P absolute",
        sources: vec![
            memory("hydronic practice: 1.5 times working pressure, 100 psi at least"),
            seen("a city plumbing code: working pressure + 50 psi, 150 psi at least, 15 minutes"),
            seen("medical gas: 1.5 times working pressure, 150 psi at least"),
            derived("stored energy of air against water: 10 l at 150 psi hold 14.2 kJ and 2.4 J"),
        ],
        example: Example {
            told: "The design pressure is 260 psi.",
            change: |_, design| {
                design.design_pressure = Pressure::psi(260.0);
                Some(())
            },
        },
    }
}
