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
        FittingKind::Coupling
        | FittingKind::Tee
        | FittingKind::Reducer
        | FittingKind::MaleAdapter
        | FittingKind::FemaleAdapter => cup,
    }
}

/// From the centre of a tee to the bottom of the cup that a tube of `leg` enters, when the
/// leg across has the outside diameter of `across`.
///
/// A stand-in: half the diameter across, and 1/16 in of metal.
pub fn centre_to_stop(across: &Tube) -> Length {
    centre_to_stop_across(across.od)
}

/// [`centre_to_stop`] when the leg across takes tube of that outside diameter.
pub fn centre_to_stop_across(od: Length) -> Length {
    od / 2.0 + STAND_IN_METAL
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
    /// A reducing coupling, from one size to a smaller one.
    Reducer,
    /// An adapter from a cup to a male thread.
    MaleAdapter,
    /// An adapter from a cup to a female thread.
    FemaleAdapter,
}

impl FittingKind {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Tee,
        Self::Cap,
        Self::Coupling,
        Self::Reducer,
        Self::MaleAdapter,
        Self::FemaleAdapter,
    ];

    /// The trade's word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tee => "tee",
            Self::Cap => "cap",
            Self::Coupling => "coupling",
            Self::Reducer => "reducer",
            Self::MaleAdapter => "male adapter",
            Self::FemaleAdapter => "female adapter",
        }
    }

    /// The word its codes begin with.
    const fn code_word(self) -> &'static str {
        match self {
            Self::MaleAdapter => "male-adapter",
            Self::FemaleAdapter => "female-adapter",
            Self::Tee | Self::Cap | Self::Coupling | Self::Reducer => self.word(),
        }
    }

    /// Whether manifolds are made of it here, so that estimates count it and price lists hold it.
    pub const fn is_counted(self) -> bool {
        matches!(self, Self::Tee | Self::Cap | Self::Coupling)
    }

    /// How many cups it has.
    pub const fn cups(self) -> u32 {
        match self {
            Self::Tee => 3,
            Self::Coupling | Self::Reducer => 2,
            Self::Cap | Self::MaleAdapter | Self::FemaleAdapter => 1,
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
    /// Size of the branch, for a tee; of the smaller end, for a reducer.
    pub branch: Option<Nominal>,
}

impl Fitting {
    /// The code under which a price list holds it: `tee-2x2x1`, `cap-2`, `cap-28mm`;
    /// `reducer-2x1` and `male-adapter-1` of those that are bought beside.
    pub fn code(&self) -> String {
        let run = size_code(self.run);
        match (self.kind, self.branch) {
            (FittingKind::Tee, Some(branch)) => format!("tee-{run}x{run}x{}", size_code(branch)),
            (kind, Some(smaller)) => format!("{}-{run}x{}", kind.code_word(), size_code(smaller)),
            (kind, None) => format!("{}-{run}", kind.code_word()),
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
            (kind, Some(smaller)) => {
                let run = if self.run.is_metric() {
                    self.run.decimal().to_string()
                } else {
                    self.run.text()
                };
                format!("{} {run} x {}", kind.word(), smaller.with_unit())
            }
            (kind, None) => format!("{} {}", kind.word(), self.run.with_unit()),
        }
    }

    /// Its ends, with the size of tube or thread that each takes.
    pub fn ends(&self) -> Vec<FittingEnd> {
        let end = |place, nominal, join| FittingEnd {
            place,
            nominal,
            join,
        };
        let run = |place| end(place, self.run, EndJoin::Cup);
        let small = |place| self.branch.map(|size| end(place, size, EndJoin::Cup));
        match self.kind {
            FittingKind::Tee => [run("run"), run("run")]
                .into_iter()
                .chain(small("branch"))
                .collect(),
            FittingKind::Cap => vec![run("run")],
            FittingKind::Coupling => vec![run("run"), run("run")],
            FittingKind::Reducer => [run("large")].into_iter().chain(small("small")).collect(),
            FittingKind::MaleAdapter => {
                vec![run("run"), end("thread", self.run, EndJoin::MaleThread)]
            }
            FittingKind::FemaleAdapter => {
                vec![run("run"), end("thread", self.run, EndJoin::FemaleThread)]
            }
        }
    }

    /// From its centre to the bottom of the cup of one of its ends, where that is known or stands
    /// in: half the leg across for a tee; nothing for a coupling, in whose middle the tubes meet.
    pub fn make_up(&self, end: &FittingEnd) -> Option<(Length, Source)> {
        match (self.kind, self.branch) {
            (FittingKind::Tee, Some(branch)) => {
                let across = if end.place == "branch" {
                    self.run
                } else {
                    branch
                };
                Some((centre_to_stop_across(across.od()), centre_to_stop_source()))
            }
            (FittingKind::Coupling, _) => Some((
                Length::ZERO,
                Source::new(
                    "stand-in: the tubes meet in the middle of the coupling; measure the stop of those you buy",
                    Status::StandIn,
                ),
            )),
            _ => None,
        }
    }
}

/// How an end of a fitting takes what is joined to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EndJoin {
    /// A solder cup that tube goes into.
    Cup,
    /// A male pipe thread.
    MaleThread,
    /// A female pipe thread.
    FemaleThread,
}

/// One end of a fitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FittingEnd {
    /// Which end: `run`, `branch`, `large`, `small` or `thread`.
    pub place: &'static str,
    /// The size it goes by.
    pub nominal: Nominal,
    /// How it is joined.
    pub join: EndJoin,
}

impl FittingEnd {
    /// The thread by its name, of an end that has one: a taper pipe thread of the size that the
    /// tube counts as (common practice).
    pub fn thread(&self) -> Option<String> {
        let size = self.nominal.counted_as().text();
        match (self.join, self.nominal.is_metric()) {
            (EndJoin::Cup, _) => None,
            (EndJoin::MaleThread | EndJoin::FemaleThread, false) => Some(format!("{size} NPT")),
            (EndJoin::MaleThread, true) => Some(format!("R {size}")),
            (EndJoin::FemaleThread, true) => Some(format!("Rp {size}")),
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
        (FittingKind::Cap, _) => run_cup + run.outer_radius() / 2.0,
        (_, _) => run_cup * 2.0,
    };
    let branch_mass = branch.map_or(Mass::ZERO, |(tube, cup)| {
        tube.linear_mass() * (run.wall + cup)
    });
    run.linear_mass() * run_length + branch_mass
}
