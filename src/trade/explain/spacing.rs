//! The rules of distances, lengths and loads.

use super::{Example, Explanation, derived, memory, seen, stand_in};
use crate::trade::quantity::Length;

pub(super) fn outlet_pitch() -> Explanation {
    Explanation {
        title: "Outlets are far enough apart",
        text: "Between two collars the wall should be left undisturbed. No code gives a pitch for collars: the limit is the forming profile's, measured over the surface of the run. Until a shop enters the pitch that its own equipment has proved, one and a half times the mean of the two openings stands in, as a caution.",
        formula: "distance over the surface = sqrt(along^2 + (R_o x turn)^2) >= 1.5 x mean of the two openings, opening = branch outside diameter + 2 gap",
        sources: vec![seen(
            "ASME B31.3-2016 304.3.3(e), an analogue: 1.5 times the average of two openings",
        )],
        example: Example {
            told: "They stand 1.6 in apart.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-l-1", 4, (4.0, 1.6))?];
                Some(())
            },
        },
    }
}

pub(super) fn end_distance() -> Explanation {
    Explanation {
        title: "Outlets are far enough from the ends",
        text: "A collar must stand clear of the end of the run, and of the cup of a cap or coupling over it: otherwise it stops. The forming profile may ask for more. Tees need their own length and the cups on both sides.",
        formula: "to the centre: cup + branch radius + gap + run wall at least; wanted: cup + 0.75 x opening",
        sources: vec![
            derived("the collar stands clear of the end and of the cup (geometry)"),
            stand_in("half of the pitch rule; no code gives an end distance"),
        ],
        example: Example {
            told: "The first outlet stands 0.7 in from an open end.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-l-1", 4, (0.7, 5.0))?];
                Some(())
            },
        },
    }
}

pub(super) fn outlet_overlap() -> Explanation {
    Explanation {
        title: "Outlets do not meet",
        text: "Two collars cannot share the same wall, and two tees cannot share the same length of run. It is measured over the surface of the run, so that outlets at the same station may stand on different sides.",
        formula: "distance over the surface >= sum of both reaches, reach = branch radius + gap + run wall",
        sources: vec![derived("two collars cannot share the same wall (geometry)")],
        example: Example {
            told: "They stand 1 in apart.",
            change: |parts, design| {
                design.outlets = vec![parts.row("b88-l-1", 4, (4.0, 1.0))?];
                Some(())
            },
        },
    }
}

pub(super) fn run_length() -> Explanation {
    Explanation {
        title: "The run comes out of one stick",
        text: "Tube is sold in straight lengths. A longer run is joined with couplings clear of the outlets, which the customer should know; where there is no place for one, it stops.",
        formula: "",
        sources: vec![seen("ASTM B88: straight lengths as sold")],
        example: Example {
            told: "The run is 25 ft long.",
            change: |_, design| {
                design.run.length = Some(Length::inches(300.0));
                Some(())
            },
        },
    }
}

pub(super) fn lift_mass() -> Explanation {
    Explanation {
        title: "One person can lift it",
        text: "An assembly heavier than one person lifts at best needs two, or a hoist. The limit is of the best case: arms close, no twist, seldom.",
        formula: "mass = pi (OD - t) t x density x length of every tube, and fittings by a stand-in",
        sources: vec![memory(
            "NIOSH lifting equation (1991): 23 kg (51 lb) at best",
        )],
        example: Example {
            told: "The run is 8 ft of heavy tube.",
            change: |parts, design| {
                design.run.tube = parts.tube("b88-k-8")?;
                design.run.length = Some(Length::inches(96.0));
                design.outlets = vec![parts.row("b88-l-2", 3, (12.0, 24.0))?];
                Some(())
            },
        },
    }
}
