//! Wrought copper fittings: how deep a cup is, and how long a tee.
//!
//! ASME B16.22 fixes cup depths, not the distance from a fitting's centre to the bottom of
//! its cup; that one varies by maker, so a stand-in is used and named.

use super::quantity::{Length, Mass};
use super::source::{Source, Status};
use super::tube::{Nominal, Tube};

/// The depth of the solder cup of one nominal size.
#[derive(Debug, Clone, PartialEq)]
pub struct Cup {
    /// The size.
    pub nominal: Nominal,
    /// How far the tube goes in.
    pub depth: Length,
    /// Where the depth comes from.
    pub source: Source,
}

/// Metal of a fitting round its cup, and at the bottom of it: a stand-in.
pub const STAND_IN_METAL: Length = Length::inches(1.0 / 16.0);

/// How far a fitting over the end of a tube stands out beyond it: half a coupling, or the round
/// end of a cap (a stand-in: two fifths of its outside radius).
pub fn end_overhang(kind: FittingKind, tube: &Tube, cup: Length) -> Length {
    match kind {
        FittingKind::Cap => (tube.outer_radius() + STAND_IN_METAL) * 0.4,
        FittingKind::Coupling | FittingKind::Tee => cup,
    }
}

/// From the centre of a tee to the bottom of the cup that a tube of `leg` enters, when the
/// leg across has the outside diameter of `across`.
///
/// A stand-in: half the diameter across, and 1/16 in of metal.
pub fn centre_to_stop(across: &Tube) -> Length {
    across.outer_radius() + STAND_IN_METAL
}

/// The source of [`centre_to_stop`].
pub fn centre_to_stop_source() -> Source {
    Source::new(
        "stand-in: half the outside diameter of the other leg + 1/16 in; measure the fittings you buy",
        Status::StandIn,
    )
}

/// What a wrought fitting is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FittingKind {
    /// A tee: run by run by branch.
    Tee,
    /// A cap over the end of a tube.
    Cap,
    /// A straight coupling.
    Coupling,
}

impl FittingKind {
    /// The trade's word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tee => "tee",
            Self::Cap => "cap",
            Self::Coupling => "coupling",
        }
    }
}

/// A fitting to buy, by kind and sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fitting {
    /// What it is.
    pub kind: FittingKind,
    /// Size of the run (or the only size).
    pub run: Nominal,
    /// Size of the branch, for a tee.
    pub branch: Option<Nominal>,
}

impl Fitting {
    /// The code under which a price list holds it: `tee-2x2x1`, `cap-2`, `cap-28mm`.
    pub fn code(&self) -> String {
        let run = size_code(self.run);
        match (self.kind, self.branch) {
            (FittingKind::Tee, Some(branch)) => format!("tee-{run}x{run}x{}", size_code(branch)),
            (kind, _) => format!("{}-{run}", kind.word()),
        }
    }

    /// How a person names it: `tee 2 x 2 x 1 in`, `cap 28 mm`.
    pub fn call_out(&self) -> String {
        match (self.kind, self.branch) {
            (FittingKind::Tee, Some(branch)) if branch.is_metric() == self.run.is_metric() => {
                let run = if self.run.is_metric() {
                    self.run.decimal().to_string()
                } else {
                    self.run.text()
                };
                format!("tee {run} x {run} x {}", branch.with_unit())
            }
            (FittingKind::Tee, Some(branch)) => {
                let run = self.run.with_unit();
                format!("tee {run} x {run} x {}", branch.with_unit())
            }
            (kind, _) => format!("{} {}", kind.word(), self.run.with_unit()),
        }
    }
}

/// A size in the code of a fitting: inches bare, millimetres said.
fn size_code(size: Nominal) -> String {
    let number = size.decimal();
    if size.is_metric() {
        format!("{number}mm")
    } else {
        number.to_string()
    }
}

/// Mass of a fitting, taken as copper of the given tube's wall along its legs and cups.
///
/// A stand-in for the maker's weight: it serves handling times and lifting, not purchase.
pub fn stand_in_mass(
    kind: FittingKind,
    run: &Tube,
    run_cup: Length,
    branch: Option<(&Tube, Length)>,
) -> Mass {
    let run_length = match (kind, branch) {
        (FittingKind::Tee, Some((branch, _))) => (centre_to_stop(branch) + run_cup) * 2.0,
        (FittingKind::Coupling | FittingKind::Tee, _) => run_cup * 2.0,
        (FittingKind::Cap, _) => run_cup + run.outer_radius() / 2.0,
    };
    let branch_mass = branch.map_or(Mass::ZERO, |(tube, cup)| {
        tube.linear_mass() * (run.wall + cup)
    });
    run.linear_mass() * run_length + branch_mass
}
