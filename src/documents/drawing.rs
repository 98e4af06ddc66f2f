//! The shop drawing of a manifold, as SVG: side view with ordinate stations, end view with
//! clock positions, what the bench sets, the cut list.
//!
//! Drawn to scale. Text stays text; its width is reckoned for the widest font that is asked for,
//! so labels keep apart in every other.

pub(super) mod canvas;
mod dimension;
mod dxf;
mod end_view;
mod frame;
mod ordinate;
mod piece_marks;
mod rows;
mod shape;
mod side;
mod spoken;
mod table;
mod words;

pub use dxf::dxf;

use canvas::{Canvas, Pen, Style};
use frame::Frame;
use ordinate::Label;
use rows::{Room, Stretch, Views, stations, views};

use crate::shop::settings::Units;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;

/// Width of the drawing, in drawing units.
const WIDTH: f64 = 720.0;
/// Left free all round.
const MARGIN: f64 = 16.0;
/// Left free beside the run, for the fittings over its ends.
const RUN_MARGIN: f64 = 52.0;
/// Most height of the manifold in one view.
const MOST_HEIGHT: f64 = 190.0;
/// Height of the gaps above, within and below a view, in drawing units.
const VIEW_GAPS: f64 = 32.0;
/// Characters of a mark that the heading shows.
const MARK_SHOWN: usize = 48;

/// A drawing and what it shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// The picture.
    pub svg: String,
    /// The same in words, for those who cannot see it.
    pub description: String,
}

/// Draws a manifold and its layout, with dimensions in the units asked for.
pub fn drawing(manifold: &Manifold, layout: &Layout, units: Units) -> Drawing {
    let mut canvas = Canvas::default();
    let description = spoken::description(manifold, layout, units);
    let mut y = draw_heading(&mut canvas, manifold, units);
    y = draw_views(&mut canvas, y, manifold, (layout, units));
    y = draw_tables(&mut canvas, y, manifold, (layout, units));
    y = draw_notes(&mut canvas, y, manifold, (layout, units));
    Drawing {
        svg: canvas.finish(
            (WIDTH, (y + MARGIN).ceil()),
            &spoken::title(manifold),
            &description,
        ),
        description,
    }
}

/// The heading on the left, the end view on the right; returns where the views begin.
fn draw_heading(canvas: &mut Canvas, manifold: &Manifold, units: Units) -> f64 {
    let width = WIDTH - 2.0 * MARGIN - end_view::ROOM.0 - 10.0;
    let mut y = MARGIN;
    let mut mark: String = manifold.mark.chars().take(MARK_SHOWN).collect();
    if mark.chars().count() < manifold.mark.chars().count() {
        mark.push('…');
    }
    y = table::draw_text(
        canvas,
        Style::plain(15.0).bold(),
        (MARGIN, y - 4.0),
        width,
        &mark,
    );
    y += 4.0;
    for line in spoken::heading(manifold, units) {
        y = table::draw_text(canvas, Style::plain(9.5), (MARGIN, y), width, &line) + 1.5;
    }
    let corner = (WIDTH - MARGIN - end_view::ROOM.0, MARGIN);
    end_view::draw(canvas, corner, manifold);
    y.max(MARGIN + end_view::ROOM.1) + 6.0
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

fn reach_of(manifold: &Manifold, outlet: &crate::trade::manifold::Outlet) -> (f64, f64) {
    side::vertical_extent(
        outlet.clock,
        outlet.tube.outer_radius().in_inches(),
        shape::reach(manifold, outlet),
    )
}

fn draw_views(
    canvas: &mut Canvas,
    mut y: f64,
    manifold: &Manifold,
    (layout, units): (&Layout, Units),
) -> f64 {
    let labels = ordinate::labels(manifold, layout, units);
    let (low, high) = extent(manifold);
    let room = Room {
        width: WIDTH - 2.0 * RUN_MARGIN,
        height: MOST_HEIGHT,
    };
    let marks: Vec<f64> = labels
        .iter()
        .map(|label| label.station)
        .filter(|station| *station > 0.0 && *station < manifold.run.length.in_inches())
        .collect();
    let Views { stretches, scale } = views(
        manifold.run.length.in_inches(),
        &marks,
        (high - low, manifold.run.tube.od.in_inches()),
        (room, |stretch: &Stretch| {
            ordinate::height(&labels, stretch) + VIEW_GAPS
        }),
    );
    let longest = stretches.iter().map(|s| s.to - s.from).fold(0.0, f64::max);
    let left = RUN_MARGIN + (room.width - longest * scale) / 2.0;
    for stretch in stretches {
        let frame = Frame {
            stretch,
            left,
            axis: y + 12.0 + high * scale,
            scale,
        };
        side::draw(canvas, &frame, manifold, layout);
        let below = frame.y(low) + 10.0;
        draw_labels(canvas, &frame, (&labels, below), manifold);
        y = below + ordinate::height(&labels, &frame.stretch) + 10.0;
    }
    y
}

/// Leaders begin below whatever stands at their station.
fn draw_labels(
    canvas: &mut Canvas,
    frame: &Frame,
    (labels, below): (&[Label], f64),
    manifold: &Manifold,
) {
    let run = shape::fitting_radius(&manifold.run.tube);
    let groups = stations(manifold);
    ordinate::draw(canvas, frame, labels, below, |station| {
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

/// The outlet table and the cut list, side by side where they fit.
fn draw_tables(
    canvas: &mut Canvas,
    y: f64,
    manifold: &Manifold,
    (layout, units): (&Layout, Units),
) -> f64 {
    let width = WIDTH - 2.0 * MARGIN;
    canvas.line(Pen::Thin, (MARGIN, y), (WIDTH - MARGIN, y));
    let outlets = table::outlets(manifold, layout, units);
    let end = outlets.draw(canvas, (MARGIN, y + 6.0), width);
    match table::cut_list(layout, units) {
        Some(cuts) => {
            let begin = table::draw_title(canvas, (MARGIN, end + 4.0), words::CUT_LIST);
            cuts.draw(canvas, (MARGIN, begin), width)
        }
        None => end,
    }
}

fn draw_notes(
    canvas: &mut Canvas,
    y: f64,
    manifold: &Manifold,
    (layout, units): (&Layout, Units),
) -> f64 {
    let mut notes = vec![match units {
        Units::Imperial => words::note::INCHES,
        Units::Metric => words::note::MILLIMETRES,
    }];
    notes.push(words::note::CLOCK);
    if table::is_clocked(manifold) {
        notes.push(words::note::ARC);
    }
    notes.push(words::note::STUB);
    if !layout.formed.is_empty() {
        notes.push(words::note::FORMED);
    }
    if shape::of_tees(manifold.build) {
        notes.push(words::note::FITTINGS);
    }
    notes.push(words::note::DEFERS);
    table::draw_text(
        canvas,
        Style::plain(8.5),
        (MARGIN, y + 2.0),
        WIDTH - 2.0 * MARGIN,
        &notes.join(" "),
    )
}
