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
pub const ALIKE: Length = Length::millimetres(0.05);

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

/// A stretch of run tube between two fittings or faces, before it is cut to sticks: where it
/// begins and ends, and how much of each end is out of sight in a cup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins, from the datum end.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// How far its first end goes into a cup.
    pub cup_before: Length,
    /// How far its second end goes into a cup.
    pub cup_after: Length,
}

/// Depth of the run's cups.
fn run_cup(manifold: &Manifold, catalogue: &Catalogue) -> Length {
    catalogue.cup_depth(&manifold.run.tube)
}

/// Stretches of tube: the whole run; or from the first end to the first tee, between tees, and to
/// the second end. None for what is bought.
pub fn stretches(manifold: &Manifold, catalogue: &Catalogue) -> Vec<Stretch> {
    let cup = run_cup(manifold, catalogue);
    let [first, second] = manifold.run.ends.map(|end| match end {
        EndKind::Plain => Length::ZERO,
        EndKind::Cap | EndKind::Coupling => cup,
    });
    let mut found = Vec::new();
    let (mut from, mut cup_before) = (Length::ZERO, first);
    if manifold.build == Build::Purchased {
        return found;
    }
    if manifold.build != Build::FormedOutlets {
        for outlet in &manifold.outlets {
            let half = centre_to_stop(&outlet.tube);
            found.push(Stretch {
                from,
                to: outlet.station - half,
                cup_before,
                cup_after: cup,
            });
            (from, cup_before) = (outlet.station + half, cup);
        }
    }
    found.push(Stretch {
        from,
        to: manifold.run.length,
        cup_before,
        cup_after: second,
    });
    // Tees that meet have no tube between them.
    found.retain(|stretch| stretch.to > stretch.from);
    found
}

/// Couplings for stretches longer than a stick, each clear of the outlets, of the stretch's own
/// ends and of each other.
///
/// From the datum end, every length is as long as a stick allows; where that would put the
/// coupling on an outlet it moves back until its cup is clear of the branch. Where no clear
/// place is left the rest of the run stays longer than a stick: `run-length` then stops it.
pub fn couplings(manifold: &Manifold, catalogue: &Catalogue) -> Vec<Coupled> {
    let cup = run_cup(manifold, catalogue);
    let stick = manifold.run.tube.stick;
    let mut found: Vec<Coupled> = Vec::new();
    for stretch in stretches(manifold, catalogue) {
        let last_place = stretch.to - stretch.cup_after - cup;
        let (mut from, mut before) = (stretch.from, stretch.cup_before);
        // A run as long as a stick is one stick, whatever a sum of pitches adds in its last digits.
        while stretch.to - from > stick + ALIKE {
            let at = clear_place(manifold, (from + stick).min(last_place), cup);
            if at < from + before + cup {
                break;
            }
            found.push(Coupled { station: at });
            (from, before) = (at, cup);
        }
    }
    found
}

/// The last place up to `at` where a coupling's cup is clear of every branch.
fn clear_place(manifold: &Manifold, at: Length, cup: Length) -> Length {
    let run = &manifold.run.tube;
    if manifold.build != Build::FormedOutlets {
        // A stretch between tees has no outlets.
        return at;
    }
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

/// The lengths of run tube to cut, where each stands: its stretch, or as much of it as a stick
/// gives, ending inside couplings.
pub fn run_cuts(manifold: &Manifold, catalogue: &Catalogue, couplings: &[Coupled]) -> Vec<Stretch> {
    let cup = run_cup(manifold, catalogue);
    let mut cuts = Vec::new();
    for stretch in stretches(manifold, catalogue) {
        let mut rest = stretch;
        let inside = |it: &&Coupled| it.station > stretch.from && it.station < stretch.to;
        for coupling in couplings.iter().filter(inside) {
            cuts.push(Stretch {
                to: coupling.station,
                cup_after: cup,
                ..rest
            });
            rest.from = coupling.station;
            rest.cup_before = cup;
        }
        cuts.push(rest);
    }
    cuts
}

/// One piece to cut: its tube, its length, and how much of that goes out of sight.
struct Cut<'a> {
    tube: &'a Arc<Tube>,
    length: Length,
    make_up: Length,
}

/// The cut list: run lengths first, then branches.
pub fn cut_list(
    manifold: &Manifold,
    catalogue: &Catalogue,
    (formed, run_cuts): (&[FormedOutlet], &[Stretch]),
) -> Vec<Piece> {
    let run = run_cuts.iter().map(|cut| Cut {
        tube: &manifold.run.tube,
        length: cut.to - cut.from,
        make_up: cut.cup_before + cut.cup_after,
    });
    let branches = match manifold.build {
        Build::FormedOutlets => formed_branches(manifold, formed),
        Build::TeesBrazed | Build::TeesSoldered => tee_branches(manifold, catalogue),
        Build::Purchased => Vec::new(),
    };
    let mut pieces = Vec::new();
    gather(&mut pieces, PieceUse::Run, run);
    gather(&mut pieces, PieceUse::Branch, branches.into_iter());
    pieces
}

fn gather<'a>(pieces: &mut Vec<Piece>, used_as: PieceUse, cuts: impl Iterator<Item = Cut<'a>>) {
    let begin = pieces.len();
    let letter = match used_as {
        PieceUse::Run => 'R',
        PieceUse::Branch => 'B',
    };
    for Cut {
        tube,
        length,
        make_up,
    } in cuts
    {
        // What is made up otherwise shows otherwise, so that it is a piece of its own.
        let alike = pieces[begin..].iter_mut().find(|piece| {
            piece.tube.id == tube.id
                && (piece.length - length).abs() < ALIKE
                && (piece.make_up - make_up).abs() < ALIKE
        });
        match alike {
            Some(piece) => piece.count += 1,
            None => pieces.push(Piece {
                id: format!("{letter}{}", pieces.len() - begin + 1),
                used_as,
                tube: Arc::clone(tube),
                length,
                make_up,
                count: 1,
            }),
        }
    }
}

/// A formed branch reaches from its end down to the tip of its tongues: stub, wall of the run, notch.
fn formed_branches<'a>(manifold: &'a Manifold, formed: &[FormedOutlet]) -> Vec<Cut<'a>> {
    let outlets = manifold.outlets.iter().zip(formed);
    outlets
        .map(|(outlet, formed)| {
            let make_up = manifold.run.tube.wall + formed.notch.unwrap_or(Length::ZERO);
            Cut {
                tube: &outlet.tube,
                length: outlet.stub + make_up,
                make_up,
            }
        })
        .collect()
}

/// A branch that goes into a tee starts at the bottom of the tee's branch cup.
fn tee_branches<'a>(manifold: &'a Manifold, catalogue: &Catalogue) -> Vec<Cut<'a>> {
    let run = &manifold.run.tube;
    manifold
        .outlets
        .iter()
        .map(|outlet| {
            let tube = &outlet.tube;
            let length = outlet.stub + run.outer_radius() - centre_to_stop(run);
            let cup = catalogue.cup(tube.nominal).map_or(tube.od, |cup| cup.depth);
            Cut {
                tube,
                length,
                make_up: cup.min(length),
            }
        })
        .filter(|cut| cut.length > Length::ZERO)
        .collect()
}
