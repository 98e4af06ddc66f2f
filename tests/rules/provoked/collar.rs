//! Collars and branch ends.

use offtake::trade::finding::{Level, Rule};
use offtake::trade::quantity::Pressure;
use offtake::trade::source::BasisKind::{Code, CommonPractice, Handbook, Shop, Standard};

use super::Case;
use super::Seen::Near;
use crate::designs::{changed, inches, row, sound};

pub fn cases() -> Vec<Case> {
    [heights_and_draws(), openings(), branch_ends()]
        .into_iter()
        .flatten()
        .collect()
}

fn heights_and_draws() -> Vec<Case> {
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
        // Outside of run 1.0625 in radius, collar 0.6005 in, pilot 0.4391 in: the rim stands as high
        // as the collar in line with the run, and square to it 0.1726 in above the surface (scipy,
        // tests/data/rim_heights.json), which has fallen 1.0625 - 0.8765 = 0.1860 in there.
        Case {
            rule: Rule::RimLevel,
            level: Level::Note,
            pointer: "/outlets/0/tube",
            basis: CommonPractice,
            figures: Some((Near(-0.0133, 0.0001), Near(0.15, 1e-9))),
            design: sound(),
        },
    ]
}

fn openings() -> Vec<Case> {
    // Run 2 x 1 in type L, annealed: S 4980 psi at 180 degF, least walls 0.063 and 0.045 in,
    // greatest diameters 2.130 and 1.1285 in; worked in
    // tests/worked/formed_outlets/reinforcement.rs.
    let case = |level, psi: f64| Case {
        rule: Rule::OpeningReinforcement,
        level,
        pointer: "/outlets/0/tube",
        basis: Standard,
        figures: Some((Near(psi, 1e-6), Near(172.97, 0.1))),
        design: changed(|d| d.design_pressure = Pressure::psi(psi)),
    };
    vec![case(Level::Note, 75.0), case(Level::Caution, 200.0)]
}

fn branch_ends() -> Vec<Case> {
    vec![
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
