//! Where a station of the run stands in a view.

use super::canvas::Point;
use super::rows::Stretch;

/// One view: a stretch of the run, its place and its scale.
#[derive(Debug, Clone, Copy)]
pub struct Frame {
    /// What it shows.
    pub stretch: Stretch,
    /// Where the stretch begins, in drawing units.
    pub left: f64,
    /// Where the axis of the run lies, in drawing units.
    pub axis: f64,
    /// Drawing units an inch.
    pub scale: f64,
}

impl Frame {
    /// Across, of a station in inches.
    pub fn x(&self, station: f64) -> f64 {
        self.left + (station - self.stretch.from) * self.scale
    }

    /// Down, of a height above the axis in inches.
    pub fn y(&self, height: f64) -> f64 {
        self.axis - height * self.scale
    }

    /// A point at a station and a height above the axis, in inches.
    pub fn at(&self, station: f64, height: f64) -> Point {
        (self.x(station), self.y(height))
    }

    /// The corners of a rectangle between two stations and two heights.
    pub fn rectangle(&self, (from, to): (f64, f64), (low, high): (f64, f64)) -> [Point; 4] {
        [
            self.at(from, low),
            self.at(from, high),
            self.at(to, high),
            self.at(to, low),
        ]
    }
}
