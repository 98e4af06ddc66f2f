//! Where everything goes: hole stations, cut pieces, the branch ends.
//!
//! Dimensions are ordinate: every station is measured from the first end's finished face, so
//! rounding for the bench never adds up.

mod lines;
mod pieces;

use std::sync::Arc;

use super::catalogue::Catalogue;
use super::manifold::{Build, Manifold};
use super::outlet::{FormedOutlet, formed_outlet};
use super::quantity::{Angle, Length};
use super::rule_set::RuleSet;
use super::tube::Tube;

pub use lines::{ScribeLine, scribe_lines};
pub use pieces::{ALIKE, Coupled, Stretch, stretches, tee_gap};

/// A hole to mark and cut in the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Which outlet of the manifold, counted from 0.
    pub outlet: usize,
    /// From the datum end to the centre.
    pub station: Length,
    /// Which scribe line it stands on, counted from 0.
    pub line: usize,
    /// Turned about the run from the first scribe line.
    pub clock: Angle,
    /// The same turn as a length round the outside of the run.
    pub arc: Length,
    /// Diameter to cut: the pilot.
    pub diameter: Option<Length>,
}

/// What a piece becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceUse {
    /// The run, or a length of it.
    Run,
    /// A branch.
    Branch,
}

/// Pieces of tube cut alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// `R1`, `B1`, ... within the manifold.
    pub id: String,
    /// What it becomes.
    pub used_as: PieceUse,
    /// From which tube.
    pub tube: Arc<Tube>,
    /// Cut length.
    pub length: Length,
    /// How much of it is out of sight once made up: in cups, or below the outer surface of the
    /// run.
    pub make_up: Length,
    /// How many in one manifold.
    pub count: u32,
}

/// The layout of one manifold.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Finished length of the run.
    pub length: Length,
    /// Lines to scribe along the run, by clock position.
    pub lines: Vec<ScribeLine>,
    /// Holes, in order; none for builds that cut no holes.
    pub holes: Vec<Hole>,
    /// Cut list.
    pub pieces: Vec<Piece>,
    /// What forming each outlet needs, beside its hole; empty for other builds.
    pub formed: Vec<FormedOutlet>,
    /// Couplings that join tube longer than a stick.
    pub couplings: Vec<Coupled>,
    /// Where each length of run tube stands; none for what is bought.
    pub run_cuts: Vec<Stretch>,
}

impl Layout {
    /// Lays out a manifold.
    pub fn of(manifold: &Manifold, catalogue: &Catalogue, rules: &RuleSet) -> Self {
        let formed = formed_outlets(manifold, rules);
        let couplings = pieces::couplings(manifold, catalogue);
        let run_cuts = pieces::run_cuts(manifold, catalogue, &couplings);
        let lines = scribe_lines(manifold);
        Self {
            length: manifold.run.length,
            holes: holes(manifold, &formed, &lines),
            pieces: pieces::cut_list(manifold, catalogue, (&formed, &run_cuts)),
            lines,
            formed,
            couplings,
            run_cuts,
        }
    }
}

/// The formed outlets of a manifold; none when it is built another way.
pub fn formed_outlets(manifold: &Manifold, rules: &RuleSet) -> Vec<FormedOutlet> {
    if manifold.build != Build::FormedOutlets {
        return Vec::new();
    }
    manifold
        .outlets
        .iter()
        .map(|outlet| {
            formed_outlet(
                &rules.forming,
                rules.collar_basis,
                (&manifold.run.tube, &outlet.tube),
                outlet.collar,
            )
        })
        .collect()
}

fn holes(manifold: &Manifold, formed: &[FormedOutlet], lines: &[ScribeLine]) -> Vec<Hole> {
    manifold
        .outlets
        .iter()
        .zip(formed)
        .enumerate()
        .map(|(index, (outlet, formed))| Hole {
            outlet: index,
            station: outlet.station,
            line: lines
                .iter()
                .position(|line| line.outlets.contains(&index))
                .unwrap_or(0),
            clock: outlet.clock,
            arc: manifold.run.tube.outer_radius() * outlet.clock.in_radians(),
            diameter: formed.collar.map(|collar| collar.pilot),
        })
        .collect()
}
