//! The shapes of a side view, in inches: what every part looks like before it is placed.

use crate::trade::fitting::centre_to_stop;
use crate::trade::layout::{Layout, PieceUse};
use crate::trade::manifold::{Build, Manifold, Outlet};
use crate::trade::quantity::Length;
use crate::trade::tube::Tube;

/// Wall of a wrought fitting as drawn.
const FITTING_WALL: f64 = 1.0 / 16.0;
/// Depth of a cup as drawn, over the outside diameter; for recognition, not for measuring.
const CUP_SHARE: f64 = 0.65;

/// A tube or cup that stands out from the run.
#[derive(Debug, Clone, Copy)]
pub struct Spur {
    /// Where it stands.
    pub station: f64,
    /// Its outside radius.
    pub radius: f64,
    /// Its bore radius, shown when it faces the reader.
    pub bore: Option<f64>,
    /// From the axis of the run to its end.
    pub reach: f64,
    /// Belongs to a fitting.
    pub fitting: bool,
}

/// A sleeve over the run: part of a tee, or a coupling.
#[derive(Debug, Clone, Copy)]
pub struct Sleeve {
    /// Where it begins and ends.
    pub span: (f64, f64),
}

/// A stretch of run that is one cut piece, with its mark.
#[derive(Debug, Clone)]
pub struct Marked {
    /// Where tube can be seen.
    pub span: (f64, f64),
    /// Its mark in the cut list.
    pub mark: String,
}

/// Depth of a cup of a tube as drawn.
pub fn drawn_cup(tube: &Tube) -> f64 {
    tube.od.in_inches() * CUP_SHARE
}

/// Outside radius of a fitting over a tube as drawn.
pub fn fitting_radius(tube: &Tube) -> f64 {
    tube.outer_radius().in_inches() + FITTING_WALL
}

/// Built up from tees.
pub const fn of_tees(build: Build) -> bool {
    matches!(build, Build::TeesBrazed | Build::TeesSoldered)
}

/// From the axis of the run to the end of a branch.
pub fn reach(manifold: &Manifold, outlet: &Outlet) -> f64 {
    (manifold.run.tube.outer_radius() + outlet.stub).in_inches()
}

/// Everything that stands out at one outlet, innermost last: collar or tee leg, then the branch.
pub fn spurs(manifold: &Manifold, layout: &Layout, index: usize) -> Vec<Spur> {
    let Some(outlet) = manifold.outlets.get(index) else {
        return Vec::new();
    };
    let (run, station) = (&manifold.run.tube, outlet.station.in_inches());
    let reach = reach(manifold, outlet);
    let branch = Spur {
        station,
        radius: outlet.tube.outer_radius().in_inches(),
        bore: Some(outlet.tube.inner_radius().in_inches()),
        reach,
        fitting: false,
    };
    let collar = layout.formed.get(index).and_then(|formed| formed.collar);
    let outer = match collar {
        Some(collar) => Some(Spur {
            radius: collar.outer_radius(run).in_inches(),
            bore: None,
            reach: (run.outer_radius() + collar.height).in_inches().min(reach),
            ..branch
        }),
        None if of_tees(manifold.build) => Some(Spur {
            radius: fitting_radius(&outlet.tube),
            bore: None,
            reach: (centre_to_stop(run).in_inches() + drawn_cup(&outlet.tube)).min(reach),
            fitting: true,
            ..branch
        }),
        None => None,
    };
    outer.into_iter().chain(std::iter::once(branch)).collect()
}

/// Sleeves along the run: of tees, and couplings within it.
pub fn sleeves(manifold: &Manifold, layout: &Layout) -> Vec<Sleeve> {
    let cup = drawn_cup(&manifold.run.tube);
    let couplings = layout.couplings.iter().map(|coupling| {
        let station = coupling.station.in_inches();
        Sleeve {
            span: (station - cup, station + cup),
        }
    });
    if !of_tees(manifold.build) {
        return couplings.collect();
    }
    let outlets = &manifold.outlets;
    let length = manifold.run.length.in_inches();
    outlets
        .iter()
        .enumerate()
        .map(|(index, outlet)| {
            let station = outlet.station.in_inches();
            let wanted = centre_to_stop(&outlet.tube).in_inches() + cup;
            // Two tees share the room between them; short runs cut the cup as drawn.
            let before = index
                .checked_sub(1)
                .and_then(|before| outlets.get(before))
                .map_or(station, |other| (station - other.station.in_inches()) / 2.0);
            let after = outlets.get(index + 1).map_or(length - station, |other| {
                (other.station.in_inches() - station) / 2.0
            });
            Sleeve {
                span: (station - wanted.min(before), station + wanted.min(after)),
            }
        })
        .chain(couplings)
        .collect()
}

/// The cut pieces of the run, with their marks, where the cut list holds them.
pub fn marked_pieces(manifold: &Manifold, layout: &Layout) -> Vec<Marked> {
    layout
        .run_cuts
        .iter()
        .filter_map(|cut| {
            let (from, to) = (cut.from, cut.to);
            let mark = piece_mark(layout, PieceUse::Run, &manifold.run.tube, to - from)?;
            Some(Marked {
                span: (from.in_inches(), to.in_inches()),
                mark: mark.to_owned(),
            })
        })
        .collect()
}

/// The mark of an outlet's branch in the cut list.
pub fn branch_mark<'a>(manifold: &Manifold, layout: &'a Layout, index: usize) -> Option<&'a str> {
    let outlet = manifold.outlets.get(index)?;
    let run = &manifold.run.tube;
    let length = match layout.formed.get(index) {
        Some(formed) => outlet.stub + run.wall + formed.notch.unwrap_or(Length::ZERO),
        None => outlet.stub + run.outer_radius() - centre_to_stop(run),
    };
    piece_mark(layout, PieceUse::Branch, &outlet.tube, length)
}

fn piece_mark<'a>(
    layout: &'a Layout,
    used_as: PieceUse,
    tube: &Tube,
    length: Length,
) -> Option<&'a str> {
    // The cut list gathers pieces within 0.05 mm of the first of them.
    let alike = Length::millimetres(0.06);
    layout
        .pieces
        .iter()
        .filter(|piece| piece.used_as == used_as && piece.tube.id == tube.id)
        .find(|piece| (piece.length - length).abs() < alike)
        .map(|piece| piece.id.as_str())
}
