//! Scribe lines: the lines along the run on which outlets stand, when they are turned about it.

use std::f64::consts::PI;

use crate::trade::manifold::Manifold;
use crate::trade::quantity::{Angle, Length};

/// Outlets turned less than this from each other stand on one line.
const ALIKE: Angle = Angle::degrees(0.05);

/// A line to scribe along the run.
#[derive(Debug, Clone, PartialEq)]
pub struct ScribeLine {
    /// Clockwise from the first line as seen from the datum end, from 0 to below a full turn.
    pub clock: Angle,
    /// The same as a length round the outside of the run, clockwise.
    pub arc: Length,
    /// The same line reached the other way round.
    pub other_way: Length,
    /// The outlets on it, counted from 0, in order along the run.
    pub outlets: Vec<usize>,
}

/// The lines of a manifold, by clock position. Every outlet is on one of them.
pub fn scribe_lines(manifold: &Manifold) -> Vec<ScribeLine> {
    let radius = manifold.run.tube.outer_radius();
    let mut lines: Vec<ScribeLine> = Vec::new();
    for (index, outlet) in manifold.outlets.iter().enumerate() {
        let clock = within_a_turn(outlet.clock);
        let alike = |line: &&mut ScribeLine| {
            let apart = (line.clock - clock).abs().in_degrees();
            apart.min(360.0 - apart) < ALIKE.in_degrees()
        };
        match lines.iter_mut().find(alike) {
            Some(line) => line.outlets.push(index),
            None => lines.push(ScribeLine {
                clock,
                arc: radius * clock.in_radians(),
                other_way: radius * (2.0 * PI - clock.in_radians()),
                outlets: vec![index],
            }),
        }
    }
    lines.sort_by(|a, b| a.clock.in_radians().total_cmp(&b.clock.in_radians()));
    lines
}

/// An angle brought between 0 and a full turn; a hair below a full turn is 0.
fn within_a_turn(clock: Angle) -> Angle {
    let degrees = clock.in_degrees().rem_euclid(360.0);
    Angle::degrees(if 360.0 - degrees < 1e-9 { 0.0 } else { degrees })
}
