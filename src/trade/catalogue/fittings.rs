//! The wrought fittings that go with the cups of the catalogue.
//!
//! The product standards fix cups, not what is stocked: every combination of sizes with a cup is
//! listed, and whether somebody sells it is for the shop to ask.

use crate::trade::fitting::{Cup, Fitting, FittingKind};
use crate::trade::source::{Source, Status};
use crate::trade::tube::Nominal;

/// A fitting of the catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FittingRow {
    /// Its code, as price lists hold it.
    pub id: String,
    /// What it is.
    pub fitting: Fitting,
}

impl FittingRow {
    /// The product standard of its cups.
    pub const fn standard(&self) -> &'static str {
        if self.fitting.run.is_metric() {
            "EN 1254-1"
        } else {
            "ASME B16.22"
        }
    }

    /// Where its combination of sizes comes from.
    pub fn sizes_source(&self) -> Source {
        match self.fitting.kind {
            FittingKind::Tee | FittingKind::Reducer => Source::new(
                "every pair of sizes that have a cup; which of them are stocked is for your supplier to say",
                Status::StandIn,
            ),
            FittingKind::Cap | FittingKind::Coupling => Source::new(
                "every size that has a cup; which of them are stocked is for your supplier to say",
                Status::Inferred,
            ),
            FittingKind::MaleAdapter | FittingKind::FemaleAdapter => Source::new(
                "common practice: the pipe thread of the size the tube counts as; other pairs are sold",
                Status::Memory,
            ),
        }
    }

    /// What no source that was read gives of it.
    pub fn not_known(&self) -> Vec<&'static str> {
        let mut wanting = vec!["mass", "length over all"];
        match self.fitting.kind {
            FittingKind::Tee => wanting.push("centre to the bottom of each cup"),
            FittingKind::Coupling => wanting.push("width of the stop"),
            FittingKind::Reducer => wanting.push("distance between the bottoms of the cups"),
            FittingKind::MaleAdapter | FittingKind::FemaleAdapter => {
                wanting.extend([
                    "bottom of the cup to the end of the thread",
                    "whether it is copper or a copper alloy, which settles filler and flux",
                ]);
            }
            FittingKind::Cap => {}
        }
        wanting
    }
}

/// Every fitting whose ends have a cup, by kind, system and size.
pub(super) fn of_cups(cups: &[Cup]) -> Vec<FittingRow> {
    let sizes: Vec<Nominal> = cups.iter().map(|cup| cup.nominal).collect();
    let mut rows = Vec::new();
    for kind in FittingKind::ALL {
        for run in sizes.iter().copied() {
            let of_size = |branch| {
                let fitting = Fitting { kind, run, branch };
                FittingRow {
                    id: fitting.code(),
                    fitting,
                }
            };
            let smaller = |size: &&Nominal| size.is_metric() == run.is_metric() && **size < run;
            let same = |size: &&Nominal| **size == run;
            match kind {
                FittingKind::Tee => {
                    let branches = sizes.iter().filter(|it| smaller(it) || same(it));
                    rows.extend(branches.map(|branch| of_size(Some(*branch))));
                }
                FittingKind::Reducer => {
                    let ends = sizes.iter().filter(smaller);
                    rows.extend(ends.map(|end| of_size(Some(*end))));
                }
                FittingKind::Cap | FittingKind::Coupling => rows.push(of_size(None)),
                FittingKind::MaleAdapter | FittingKind::FemaleAdapter => {
                    rows.extend(has_thread(run).then(|| of_size(None)));
                }
            }
        }
    }
    rows
}

/// Whether a pipe thread goes with tube of that size: there is none of 5/8 in, and metric
/// adapters are taken from 15 to 54 mm (common practice).
fn has_thread(size: Nominal) -> bool {
    const USUAL: [f64; 6] = [15.0, 22.0, 28.0, 35.0, 42.0, 54.0];
    if size.is_metric() {
        USUAL.contains(&size.decimal())
    } else {
        size != Nominal::eighths(5)
    }
}
