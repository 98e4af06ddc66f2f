//! The cut list of each build.

use std::sync::Arc;

use super::{Piece, PieceUse};
use crate::trade::catalogue::Catalogue;
use crate::trade::fitting::centre_to_stop;
use crate::trade::manifold::{Build, EndKind, Manifold, Outlet};
use crate::trade::outlet::FormedOutlet;
use crate::trade::quantity::Length;
use crate::trade::tube::Tube;

/// Pieces closer than this are cut alike.
const ALIKE: Length = Length::millimetres(0.05);

/// A coupling in the run, at its station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coupled {
    /// From the datum end to the middle of the coupling.
    pub station: Length,
}

/// Tube between two neighbouring tees, or `None` when the tees would meet.
pub fn tee_gap(from: &Outlet, to: &Outlet) -> Option<Length> {
    let gap = to.station - from.station - centre_to_stop(&from.tube) - centre_to_stop(&to.tube);
    (gap > Length::ZERO).then_some(gap)
}

/// Couplings for a run longer than a stick, each clear of the outlets, of the run's own ends and
/// of each other.
///
/// From the datum end, every length is as long as a stick allows; where that would put the
/// coupling on an outlet it moves back until its cup is clear of the branch. Where no clear
/// place is left the rest of the run stays longer than a stick: `run-length` then stops it.
pub fn couplings(manifold: &Manifold, catalogue: &Catalogue) -> Vec<Coupled> {
    let run = &manifold.run.tube;
    let cup = catalogue.cup(run.nominal).map_or(run.od, |cup| cup.depth);
    let mut found: Vec<Coupled> = Vec::new();
    if manifold.build != Build::FormedOutlets {
        return found;
    }
    let taken = |end: EndKind| match end {
        EndKind::Plain => Length::ZERO,
        EndKind::Cap | EndKind::Coupling => cup,
    };
    let [first, second] = manifold.run.ends;
    let last_place = manifold.run.length - taken(second) - cup;
    let mut from = Length::ZERO;
    let mut before = taken(first);
    while manifold.run.length - from > run.stick {
        let at = clear_place(manifold, (from + run.stick).min(last_place), cup);
        if at < from + before + cup {
            return found;
        }
        found.push(Coupled { station: at });
        from = at;
        before = cup;
    }
    found
}

/// The last place up to `at` where a coupling's cup is clear of every branch.
fn clear_place(manifold: &Manifold, at: Length, cup: Length) -> Length {
    let run = &manifold.run.tube;
    // Outlets stand in order: going back along the run meets each once.
    manifold.outlets.iter().rev().fold(at, |at, outlet| {
        let clear = cup + outlet.tube.outer_radius() + run.wall;
        if (at - outlet.station).abs() < clear {
            outlet.station - clear
        } else {
            at
        }
    })
}

/// The cut list: run lengths first, then branches.
pub fn cut_list(manifold: &Manifold, formed: &[FormedOutlet], couplings: &[Coupled]) -> Vec<Piece> {
    let (run, branches) = match manifold.build {
        Build::FormedOutlets => (
            whole_run(manifold, couplings),
            formed_branches(manifold, formed),
        ),
        Build::TeesBrazed | Build::TeesSoldered => {
            (run_between_tees(manifold), tee_branches(manifold))
        }
        Build::Purchased => (Vec::new(), Vec::new()),
    };
    let run_tube = &manifold.run.tube;
    let mut pieces = Vec::new();
    gather(
        &mut pieces,
        PieceUse::Run,
        run.into_iter().map(|length| (run_tube, length)),
    );
    gather(&mut pieces, PieceUse::Branch, branches.into_iter());
    pieces
}

fn gather<'a>(
    pieces: &mut Vec<Piece>,
    used_as: PieceUse,
    cuts: impl Iterator<Item = (&'a Arc<Tube>, Length)>,
) {
    let begin = pieces.len();
    let letter = match used_as {
        PieceUse::Run => 'R',
        PieceUse::Branch => 'B',
    };
    for (tube, length) in cuts {
        let alike = pieces[begin..]
            .iter_mut()
            .find(|piece| piece.tube.id == tube.id && (piece.length - length).abs() < ALIKE);
        match alike {
            Some(piece) => piece.count += 1,
            None => pieces.push(Piece {
                id: format!("{letter}{}", pieces.len() - begin + 1),
                used_as,
                tube: Arc::clone(tube),
                length,
                count: 1,
            }),
        }
    }
}

/// The run in one piece, or in stick lengths that meet inside couplings.
fn whole_run(manifold: &Manifold, couplings: &[Coupled]) -> Vec<Length> {
    let mut from = Length::ZERO;
    let mut lengths = Vec::new();
    for coupling in couplings {
        lengths.push(coupling.station - from);
        from = coupling.station;
    }
    lengths.push(manifold.run.length - from);
    lengths
}

/// A formed branch reaches from its end down to the tip of its tongues: stub, wall of the run, notch.
fn formed_branches<'a>(
    manifold: &'a Manifold,
    formed: &[FormedOutlet],
) -> Vec<(&'a Arc<Tube>, Length)> {
    manifold
        .outlets
        .iter()
        .zip(formed)
        .map(|(outlet, formed)| {
            let notch = formed.notch.unwrap_or(Length::ZERO);
            (&outlet.tube, outlet.stub + manifold.run.tube.wall + notch)
        })
        .collect()
}

/// Stretches of tube from the first end to the first tee, between tees, and to the second end.
pub fn stretches(manifold: &Manifold) -> Vec<Length> {
    let (Some(first), Some(last)) = (manifold.outlets.first(), manifold.outlets.last()) else {
        return vec![manifold.run.length];
    };
    let to_first = first.station - centre_to_stop(&first.tube);
    let from_last = manifold.run.length - last.station - centre_to_stop(&last.tube);
    let between = manifold
        .outlets
        .windows(2)
        .filter_map(|pair| tee_gap(&pair[0], &pair[1]));
    std::iter::once(to_first)
        .chain(between)
        .chain(std::iter::once(from_last))
        .filter(|length| *length > Length::ZERO)
        .collect()
}

fn run_between_tees(manifold: &Manifold) -> Vec<Length> {
    let stick = manifold.run.tube.stick;
    stretches(manifold)
        .into_iter()
        .flat_map(|length| in_sticks(length, stick))
        .collect()
}

fn in_sticks(length: Length, stick: Length) -> Vec<Length> {
    let mut rest = length;
    let mut lengths = Vec::new();
    while rest > stick {
        lengths.push(stick);
        rest = rest - stick;
    }
    lengths.push(rest);
    lengths
}

/// A branch that goes into a tee starts at the bottom of the tee's branch cup.
fn tee_branches(manifold: &Manifold) -> Vec<(&Arc<Tube>, Length)> {
    let run = &manifold.run.tube;
    manifold
        .outlets
        .iter()
        .map(|outlet| {
            (
                &outlet.tube,
                outlet.stub + run.outer_radius() - centre_to_stop(run),
            )
        })
        .filter(|(_, length)| *length > Length::ZERO)
        .collect()
}
