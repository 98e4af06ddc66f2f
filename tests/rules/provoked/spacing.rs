//! Tubes that go together, and where outlets stand.

use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::{Build, EndKind};
use offtake::trade::quantity::Angle;
use offtake::trade::source::BasisKind::{Code, CommonPractice, Shop, Standard};
use offtake::trade::tube::Temper;

use super::Case;
use super::Seen::{Near, Word};
use crate::designs::{changed, inches, row, sound, tube};

pub fn cases() -> Vec<Case> {
    [tubes(), outlets(), runs(), torch()]
        .into_iter()
        .flatten()
        .collect()
}

fn tubes() -> Vec<Case> {
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
    ]
}

fn outlets() -> Vec<Case> {
    vec![
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
    ]
}

fn runs() -> Vec<Case> {
    vec![
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
    ]
}

fn torch() -> Vec<Case> {
    vec![
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
