//! The rules of pressure: run, branches, fittings and joints.

use super::{Example, Explanation, memory, seen};
use crate::trade::manifold::{Build, EndKind};
use crate::trade::quantity::{Length, Pressure, Temperature};

const TUBE_FORMULA: &str = "P = 2 S t_min / (D_max - 0.8 t_min), where t_min is the wall less its tolerance, D_max the outside diameter with its tolerance and S the allowable stress of temper and temperature; metric tube by its own standard";

pub(super) fn run() -> Explanation {
    Explanation {
        title: "The run holds the pressure",
        text: "The run is rated by the least wall and the greatest diameter that its standard permits. Whatever is brazed is annealed by it, whatever it was bought as, and takes the annealed rating. No stress is extrapolated beyond the table.",
        formula: TUBE_FORMULA,
        sources: vec![seen("Copper Tube Handbook, Tables 14.3a to 14.3c")],
        example: Example {
            told: "The design pressure is 300 psi at 200 degF.",
            change: |_, design| {
                design.design_temperature = Temperature::fahrenheit(200.0);
                design.design_pressure = Pressure::psi(300.0);
                Some(())
            },
        },
    }
}

pub(super) fn branch() -> Explanation {
    Explanation {
        title: "The branches hold the pressure",
        text: "Each branch is rated like the run, by its own size and wall, annealed where it is brazed. A branch that holds less than the design pressure stops.",
        formula: TUBE_FORMULA,
        sources: vec![seen("Copper Tube Handbook, Tables 14.3a to 14.3c")],
        example: Example {
            told: "The design pressure is 370 psi at 100 degF.",
            change: |parts, design| {
                design.run.tube = parts.tube("b88-k-8")?;
                design.run.length = Some(Length::inches(48.0));
                design.outlets = vec![parts.row("b88-l-2", 3, (12.0, 12.0))?];
                design.design_temperature = Temperature::fahrenheit(100.0);
                design.design_pressure = Pressure::psi(370.0);
                Some(())
            },
        },
    }
}

pub(super) fn fitting() -> Explanation {
    Explanation {
        title: "The fittings hold the pressure",
        text: "A wrought fitting is rated as annealed type L tube of its size, even on a run of type K.",
        formula: TUBE_FORMULA,
        sources: vec![seen(
            "ASME B16.22: rated as annealed type L tube of its size",
        )],
        example: Example {
            told: "The first end is capped and the design pressure is 370 psi at 100 degF.",
            change: |parts, design| {
                design.run.tube = parts.tube("b88-k-2")?;
                design.run.ends[0].kind = EndKind::Cap;
                design.design_temperature = Temperature::fahrenheit(100.0);
                design.design_pressure = Pressure::psi(370.0);
                Some(())
            },
        },
    }
}

pub(super) fn joint() -> Explanation {
    Explanation {
        title: "The joints hold the pressure",
        text: "Soldered joints are rated by solder, size and temperature; between two rows of the table the hotter one counts. A brazed joint of full lap is as strong as the annealed tube it joins, which is rated already. With saturated steam in it every joint goes by the table's column for steam: 15 psi soldered, 120 psi brazed with filler that melts at 1100 degF or above. A filler or temperature that the table does not hold stops.",
        formula: "",
        sources: vec![
            seen("Copper Tube Handbook, Table 14.4a: rated pressures of soldered joints"),
            memory("a brazed lap of three walls outlasts the annealed tube"),
        ],
        example: Example {
            told: "The solder named is 50-50 tin and lead; the design pressure is 140 psi at 120 degF.",
            change: |parts, design| {
                design.build = Build::TeesSoldered;
                design.design_temperature = Temperature::fahrenheit(120.0);
                design.design_pressure = Pressure::psi(140.0);
                design.filler = Some(parts.filler("Sn50")?);
                Some(())
            },
        },
    }
}
