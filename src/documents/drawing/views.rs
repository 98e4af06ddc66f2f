//! The views of a manifold: which stretches of the run they show, and at what scale.

use super::WIDTH;
use super::canvas::Canvas;
use super::figure_style::FigureStyle;
use super::frame::Frame;
use super::ordinate::{self, Label};
use super::rows::{Budget, Room, Stretch, Views, stations, views};
use super::{shape, side, spoken};
use crate::trade::layout::Layout;
use crate::trade::manifold::{Manifold, Outlet};

/// Left free beside the run, for the fittings over its ends.
const RUN_MARGIN: f64 = 52.0;
/// Most height of the manifold in one view.
const MOST_HEIGHT: f64 = 190.0;
/// Gap above a view, between it and its labels, and below them, in drawing units.
const GAPS: (f64, f64, f64) = (12.0, 10.0, 10.0);

/// The views of one manifold, planned.
pub struct Plan<'a> {
    manifold: &'a Manifold,
    layout: &'a Layout,
    figures: FigureStyle,
    labels: Vec<Label>,
    /// How far it reaches below and above its axis, in inches.
    extent: (f64, f64),
    views: Views,
    /// Where the run begins in every view.
    left: f64,
}

impl<'a> Plan<'a> {
    /// Plans the views within a budget.
    pub fn of(
        manifold: &'a Manifold,
        layout: &'a Layout,
        (figures, budget): (FigureStyle, Budget),
    ) -> Self {
        let labels = ordinate::labels(manifold, layout, figures);
        let (low, high) = extent(manifold);
        let length = manifold.run.length.in_inches();
        let room = Room {
            width: WIDTH - 2.0 * RUN_MARGIN,
            height: MOST_HEIGHT,
        };
        let marks: Vec<f64> = labels
            .iter()
            .map(|label| label.station)
            .filter(|station| *station > 0.0 && *station < length)
            .collect();
        let gaps = GAPS.0 + GAPS.1 + GAPS.2;
        let views = views(
            (length, &marks),
            (high - low, manifold.run.tube.od.in_inches()),
            (room, budget),
            |stretch: &Stretch| ordinate::height(&labels, stretch) + gaps,
        );
        let longest = views
            .stretches
            .iter()
            .map(|stretch| stretch.to - stretch.from)
            .fold(0.0, f64::max);
        Self {
            manifold,
            layout,
            figures,
            left: RUN_MARGIN + (room.width - longest * views.scale) / 2.0,
            labels,
            extent: (low, high),
            views,
        }
    }

    /// What each view shows, in order along the run.
    pub fn stretches(&self) -> &[Stretch] {
        &self.views.stretches
    }

    /// Height of a view with its labels and gaps.
    pub fn height(&self, stretch: &Stretch) -> f64 {
        (self.extent.1 - self.extent.0) * self.views.scale
            + ordinate::height(&self.labels, stretch)
            + GAPS.0
            + GAPS.1
            + GAPS.2
    }

    /// Draws one view below `y`; returns where it ends.
    pub fn draw(&self, canvas: &mut Canvas, y: f64, stretch: &Stretch) -> f64 {
        let (low, high) = self.extent;
        let scale = self.views.scale;
        let frame = Frame {
            stretch: *stretch,
            left: self.left,
            axis: y + GAPS.0 + high * scale,
            scale,
        };
        side::draw(canvas, &frame, self.manifold, self.layout);
        let below = frame.y(low) + GAPS.1;
        self.draw_labels(canvas, &frame, below);
        below + ordinate::height(&self.labels, stretch) + GAPS.2
    }

    /// Leaders begin below whatever stands at their station.
    fn draw_labels(&self, canvas: &mut Canvas, frame: &Frame, below: f64) {
        let manifold = self.manifold;
        let run = shape::fitting_radius(&manifold.run.tube);
        let groups = stations(manifold);
        ordinate::draw(canvas, frame, &self.labels, below, |station| {
            let down = groups
                .iter()
                .filter(|group| (group.station.in_inches() - station).abs() < 1e-6)
                .flat_map(|group| &group.outlets)
                .filter_map(|number| manifold.outlets.get(number - 1))
                .map(|outlet| reach_of(manifold, outlet).0)
                .fold(-run, f64::min);
            frame.y(down) + 4.0
        });
    }

    /// One sheet of several in words: what the first says of all, then which part is shown.
    pub fn said(&self, before: usize, span: (f64, f64)) -> String {
        let part = spoken::part(span, self.figures);
        if before == 0 {
            let whole = spoken::description(self.manifold, self.layout, self.figures);
            format!("{whole} {part}")
        } else {
            format!("{}, continued. {part}", spoken::title(self.manifold))
        }
    }
}

/// How far the manifold reaches below and above its axis, in inches.
fn extent(manifold: &Manifold) -> (f64, f64) {
    let radius = shape::fitting_radius(&manifold.run.tube);
    manifold
        .outlets
        .iter()
        .map(|outlet| reach_of(manifold, outlet))
        .fold((-radius, radius), |(low, high), (down, up)| {
            (low.min(down), high.max(up))
        })
}

/// How far an outlet reaches below and above the axis, in inches.
pub fn reach_of(manifold: &Manifold, outlet: &Outlet) -> (f64, f64) {
    side::vertical_extent(
        outlet.clock,
        outlet.tube.outer_radius().in_inches(),
        shape::reach(manifold, outlet),
    )
}
