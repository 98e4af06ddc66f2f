//! The rules of collars and of the tube they are drawn from.

use super::{Example, Explanation, SOUND, derived, memory, seen};
use crate::trade::quantity::{Length, Pressure};

pub(super) fn run_wall() -> Explanation {
    Explanation {
        title: "The wall left at the rim of a collar holds the pressure",
        text: "Drawing a collar stretches the edge of the pilot hole and thins it. The rim is judged as annealed tube of the collar's diameter with the wall that is left, less the tolerance of the run's wall. If it holds less than the design pressure, the manifold may not be built like this.",
        formula: "K = d0 / D; t_rim = T sqrt(K); P = 2 S (t_rim - tolerance) / (D_out - 0.8 (t_rim - tolerance)), where d0 is the pilot, D the mean diameter of the collar, T the wall of the run, D_out = D + t_rim and S the allowable stress of annealed copper at the design temperature",
        sources: vec![
            seen("Copper Tube Handbook, Tables 14.3a to 14.3c: the tube formula and its stresses"),
            derived("thinning of the rim by the uniaxial law, T sqrt(K)"),
        ],
        example: Example {
            told: "The pilot is far too small, 0.24 in, and the design pressure is 240 psi.",
            change: |_, design| {
                design.design_pressure = Pressure::psi(240.0);
                design.outlets.first_mut()?.collar.pilot = Some(Length::inches(0.24));
                Some(())
            },
        },
    }
}

pub(super) fn run_type() -> Explanation {
    Explanation {
        title: "The run's tube type suits forming and pressure",
        text: "Collars are drawn from tube of the thinnest type that the forming profile allows, or thicker, and only from the types that the rule set takes. Drainage tube is never pressure tube. A temper in which the tube is not sold is a caution.",
        formula: "",
        sources: vec![
            seen("Copper Tube Handbook, ch. 13: collars from types K, L and M"),
            seen("one provincial plumbing code: types K or L only"),
            memory("common practice: type L or thicker"),
            seen("ASTM B306: drainage, waste and vent tube"),
        ],
        example: Example {
            told: "The run is thinner than the built-in forming profile allows.",
            change: |parts, design| {
                design.run.tube = parts.tube("b88-m-2")?;
                Some(())
            },
        },
    }
}

pub(super) fn branch_size() -> Explanation {
    Explanation {
        title: "The branch size suits the run and the equipment",
        text: "A branch is no larger than its run. Collars are formed within the sizes of the forming profile; tees exist only where wrought fittings of both sizes do.",
        formula: "",
        sources: vec![
            seen("Copper Tube Handbook, ch. 13: outlets of 1/2 to 4 in from runs of 1/2 to 8 in"),
            memory("ASME B16.22: wrought fittings to 8 in"),
        ],
        example: Example {
            told: "The outlets are smaller than any that are formed.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-l-0.375", 4, (4.0, 5.0))?];
                Some(())
            },
        },
    }
}

pub(super) fn collar_height() -> Explanation {
    Explanation {
        title: "The collar is high enough",
        text: "The branch is brazed into the collar, so the collar must be at least three walls high: three times the branch's wall by the model plumbing codes, three times the thicker of both walls by the stricter reading of a federal guide specification; the rule set says which. The pilot hole for that height is worked out; a smaller pilot gives a higher collar.",
        formula: "wanted: h >= 3 t; h = (D / 3) (1 - K^1.5); K = d0 / D; D = branch outside diameter + 2 gap + run wall, where h is the height of the collar, d0 the pilot, D the mean diameter of the collar and t the wall of the branch, or by the stricter reading the thicker of both",
        sources: vec![
            seen("model plumbing codes (CPC 2016 605.1.3.1): three times the wall of the branch"),
            seen(
                "federal guide specification UFGS-15569A 3.2.6.6: three times the wall of the tube",
            ),
            derived(
                "height of the rim by the uniaxial law; a published column on hole extrusions (2011) bears the volume out",
            ),
        ],
        example: Example {
            told: "A sample was measured: its collar stands 0.120 in high.",
            change: |_, design| {
                design.outlets.first_mut()?.collar.height = Some(Length::inches(0.12));
                Some(())
            },
        },
    }
}

pub(super) fn forming_severity() -> Explanation {
    Explanation {
        title: "How hard the draw is",
        text: "The smaller the pilot against the collar, the more its edge is stretched and the sooner it cracks. Below the usual ratio the draw is severe: the spot is annealed and proved on a sample. Below the severe ratio it is beyond that, and the more so. It is never passed in silence. Small branches on thick runs are the hard case. Both ratios belong to the forming profile.",
        formula: "K = d0 / D; stretch of the edge = 1 / K - 1, where d0 is the pilot and D the mean diameter of the collar",
        sources: vec![
            memory("limits for annealed copper: about 0.72, severe from 0.63"),
            derived("stretch of the edge of the hole"),
        ],
        example: Example {
            told: "The branches are small and thick.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-k-0.5", 4, (4.0, 5.0))?];
                Some(())
            },
        },
    }
}

pub(super) fn rim_level() -> Explanation {
    Explanation {
        title: "How level the rim stands",
        text: "The run is round, so a collar from a round pilot stands higher in line with the run than square to it. The rule says how high the rim stands above the crown at both places, and above the surface of the run, on which the branch laps. Where a level rim is wanted, the pilot is cut oval with its long axis along the run; the rule gives its axes, seen along the branch, and how hard the draw is across.",
        formula: "above the surface: h = integral from p to r of sqrt(x / r) sqrt(1 + z'^2) dx, z = sqrt(R_o^2 - x^2 sin^2 phi); above the crown: h - s, s = R_o - sqrt(R_o^2 - r^2 sin^2 phi); in line with the run: h = (D / 3) (1 - K^1.5), where phi is the angle round the outlet from the line of the run, R_o the outside radius of the run, r the mean radius of the collar and p of the pilot, D = 2 r and K = p / r",
        sources: vec![
            derived(
                "each strip of the wall is drawn by the uniaxial law along the curve of the run",
            ),
            derived("the integrals are held against scipy's"),
        ],
        example: Example {
            told: "A round pilot is cut for a collar of three branch walls.",
            change: SOUND,
        },
    }
}

pub(super) fn opening_reinforcement() -> Explanation {
    Explanation {
        title: "The metal round an opening makes up for what was cut out",
        text: "A second opinion beside the ratings of run, branch and joint: the pressure up to which the spare metal of run and branch makes up for the wall that the opening takes away, as a piping code reckons for extruded outlets. Above it is a caution, never a stop; below it is no approval, either. The collar's own lip is not counted, which errs on the safe side. What settles it is a burst test of the shop's own outlets, or somebody licensed.",
        formula: "required K t_h d_x = available d_x (T_h - t_h) + 2 L (T_b - t_b); K = 0.6 + (2/3) D_b / D_h, between 0.7 and 1.0; L = 0.7 sqrt(D_b T_x); t = P D / (2 S + 0.8 P), where h is the run, b the branch, T their least and t their needed walls, D their greatest diameters, d_x the inside diameter of the collar, T_x its wall at the rim and S the lower stress of both, annealed",
        sources: vec![
            seen(
                "ASME B31.3-2016 304.3.4: a factor between 0.7 and 1.0, with 0.6 + (2/3) d / D between",
            ),
            memory(
                "the same: break points at 0.15 and 0.60, terms of the areas, height of the zone",
            ),
            derived("the pressure at which both areas are equal, solved in closed form"),
        ],
        example: Example {
            told: "The design pressure is 200 psi.",
            change: |_, design| {
                design.design_pressure = Pressure::psi(200.0);
                Some(())
            },
        },
    }
}

pub(super) fn branch_intrusion() -> Explanation {
    Explanation {
        title: "The branch end follows the bore and does not stand into it",
        text: "The end of the branch is notched to the inner curve of the run, so that nothing stands into the bore. A branch wider than the bore cannot be notched to it.",
        formula: "n = R_i - sqrt(R_i^2 - r^2), where R_i is the inside radius of the run and r the outside radius of the branch; it is real only if r <= R_i",
        sources: vec![seen(
            "model plumbing codes (CPC 2016 605.1.3.1) and UFGS-15569A: notched to the inner curve of the run, without obstructing it",
        )],
        example: Example {
            told: "The branch is as wide as the run.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-l-2", 2, (6.0, 8.0))?];
                Some(())
            },
        },
    }
}

pub(super) fn dimples() -> Explanation {
    Explanation {
        title: "Where the two dimples stand",
        text: "Two dimples in the branch, in line with the run: the first stops the branch on the rim of the collar when its apex is flush with the bore, the second stays in sight above it and proves the depth after brazing.",
        formula: "a1 = collar height + run wall, from the apex of the notch; a2 = a1 + 1/4 in",
        sources: vec![
            seen(
                "model plumbing codes (CPC 2016 605.1.3.1): two dimples in line with the run, the first a depth stop",
            ),
            seen("plumbing code 605.5.1.1: the second 1/4 in above the first"),
        ],
        example: Example {
            told: "The collar is three branch walls high.",
            change: SOUND,
        },
    }
}
