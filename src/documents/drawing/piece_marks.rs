//! Marks of the cut list, written on the run.

use super::canvas::{Anchor, Canvas, Fill, Pen, Style};
use super::frame::Frame;
use super::shape::{Marked, drawn_cup, fitting_radius, marked_pieces, of_tees, sleeves};
use crate::trade::layout::Layout;
use crate::trade::manifold::{EndKind, Manifold};

/// How marks are set.
const MARK: Style = Style::plain(9.0).bold().held(Anchor::Middle);

/// A stretch along the run, in inches.
type Span = (f64, f64);

/// Writes the mark of every piece of run that a frame shows where tube lies bare; over the run,
/// with a leader, where fittings hide it. What has no room is still in the cut list.
pub fn draw(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold, layout: &Layout) {
    let hidden = on_the_axis(manifold, layout);
    let above = above_the_run(manifold);
    for marked in marked_pieces(manifold, layout) {
        let span = (
            marked.span.0.max(frame.stretch.from),
            marked.span.1.min(frame.stretch.to),
        );
        let need = (MARK.width(&marked.mark) + 6.0) / frame.scale;
        let high = manifold.run.tube.od.in_inches() * frame.scale >= MARK.size + 3.0;
        if let (true, Some(at)) = (high, gap(span, &hidden, need)) {
            write_on_axis(canvas, frame, &marked, at);
        } else if let Some(at) = gap(span, &above, need) {
            write_above(canvas, frame, manifold, &marked, at);
        }
    }
}

/// Outlets, sleeves and end fittings: where the axis is not bare tube.
fn on_the_axis(manifold: &Manifold, layout: &Layout) -> Vec<Span> {
    let cup = drawn_cup(&manifold.run.tube);
    let length = manifold.run.length.in_inches();
    let ends = [(0.0, cup), (length - cup, length)]
        .into_iter()
        .zip(manifold.run.ends)
        .filter(|(_, kind)| *kind != EndKind::Plain)
        .map(|(span, _)| span);
    let sleeves = sleeves(manifold, layout)
        .into_iter()
        .map(|sleeve| sleeve.span);
    in_order(
        above_the_run(manifold)
            .into_iter()
            .chain(sleeves)
            .chain(ends)
            .collect(),
    )
}

/// Branches, with the collar or the leg of the tee that holds them.
fn above_the_run(manifold: &Manifold) -> Vec<Span> {
    let tees = of_tees(manifold.build);
    let wall = manifold.run.tube.wall.in_inches();
    in_order(
        manifold
            .outlets
            .iter()
            .map(|outlet| {
                let station = outlet.station.in_inches();
                let radius = if tees {
                    fitting_radius(&outlet.tube)
                } else {
                    outlet.tube.outer_radius().in_inches() + wall
                };
                (station - radius, station + radius)
            })
            .collect(),
    )
}

fn in_order(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    spans
}

/// The middle of the first gap of a span that has room and nothing in it.
fn gap(span: Span, taken: &[Span], need: f64) -> Option<f64> {
    let mut begin = span.0;
    for (from, to) in taken.iter().chain(std::iter::once(&(span.1, span.1))) {
        let end = from.min(span.1);
        if end - begin >= need {
            return Some(f64::midpoint(begin, end));
        }
        begin = begin.max(*to);
    }
    None
}

fn write_on_axis(canvas: &mut Canvas, frame: &Frame, marked: &Marked, station: f64) {
    let (x, y) = frame.at(station, 0.0);
    let half = MARK.width(&marked.mark) / 2.0 + 1.5;
    // The mark stands on the axis: the centre line gives way to it.
    canvas.cover(
        Fill::Ground,
        &[
            (x - half, y - 1.0),
            (x + half, y - 1.0),
            (x + half, y + 1.0),
            (x - half, y + 1.0),
        ],
    );
    canvas.text(MARK, (x, y + MARK.size * 0.35), &marked.mark);
}

fn write_above(
    canvas: &mut Canvas,
    frame: &Frame,
    manifold: &Manifold,
    marked: &Marked,
    station: f64,
) {
    let (x, top) = frame.at(station, fitting_radius(&manifold.run.tube));
    canvas.line(Pen::Thin, (x, top - 4.0), frame.at(station, 0.0));
    canvas.text(MARK, (x, top - 6.0), &marked.mark);
}
