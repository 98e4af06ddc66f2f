//! The side view: the run with its ends, outlets as the reader sees them, and centre lines.
//!
//! The first end is on the left and 0 degrees is up, so that 90 degrees faces the reader.

use super::canvas::{Canvas, Fill, Pen, Point};
use super::frame::Frame;
use super::piece_marks;
use super::shape::{Sleeve, Spur, drawn_cup, fitting_radius, sleeves, spurs};
use crate::trade::layout::Layout;
use crate::trade::manifold::{EndKind, Manifold};
use crate::trade::quantity::Angle;

/// How far a fitting over an end may stand out in the drawing, in drawing units.
pub const MOST_OVERHANG: f64 = 30.0;
/// An outlet is drawn straight up or down when its slant is below this.
const STRAIGHT: f64 = 0.02;

/// How far an outlet turned by `clock` reaches above (positive) or below the axis, both of its
/// rims taken, in inches.
pub fn vertical_extent(clock: Angle, radius: f64, reach: f64) -> (f64, f64) {
    let (up, out) = (
        clock.in_radians().cos(),
        clock.in_radians().sin().abs() * radius,
    );
    (up * reach - out, up * reach + out)
}

/// Draws the part of a manifold that a frame shows.
pub fn draw(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold, layout: &Layout) {
    let here: Vec<usize> = (0..manifold.outlets.len())
        .filter(|index| {
            frame
                .stretch
                .holds(manifold.outlets[*index].station.in_inches())
        })
        .collect();
    let facing = |index: &usize| manifold.outlets[*index].clock.in_radians().sin() > STRAIGHT;
    for index in here.iter().filter(|index| !facing(index)) {
        draw_outlet(canvas, frame, manifold, (layout, *index));
    }
    draw_run(canvas, frame, manifold);
    for sleeve in sleeves(manifold, layout) {
        draw_sleeve(canvas, frame, manifold, sleeve);
    }
    draw_ends(canvas, frame, manifold);
    for index in here.iter().filter(|index| facing(index)) {
        draw_outlet(canvas, frame, manifold, (layout, *index));
    }
    for index in &here {
        let outlet = &manifold.outlets[*index];
        draw_behind(canvas, frame, manifold, *index);
        draw_centre(canvas, frame, (manifold, outlet));
    }
    let length = (frame.stretch.from, frame.stretch.to);
    canvas.line(
        Pen::Centre,
        (frame.x(length.0) - 8.0, frame.axis),
        (frame.x(length.1) + 8.0, frame.axis),
    );
    piece_marks::draw(canvas, frame, manifold, layout);
}

fn draw_outlet(
    canvas: &mut Canvas,
    frame: &Frame,
    manifold: &Manifold,
    (layout, index): (&Layout, usize),
) {
    let clock = manifold.outlets[index].clock;
    let from = manifold.run.tube.outer_radius().in_inches();
    for spur in spurs(manifold, layout, index) {
        draw_spur(canvas, frame, (clock, from), spur);
    }
}

/// A tube seen from the side: two edges, and its end as the ellipse that its slant makes of it.
fn draw_spur(canvas: &mut Canvas, frame: &Frame, (clock, from): (Angle, f64), spur: Spur) {
    let (up, out) = (clock.in_radians().cos(), clock.in_radians().sin());
    let fill = if spur.fitting {
        Fill::Tint
    } else {
        Fill::Ground
    };
    let (left, right) = (spur.station - spur.radius, spur.station + spur.radius);
    let root = if out > STRAIGHT { from * up } else { 0.0 };
    let end = spur.reach * up;
    if out.abs() <= STRAIGHT {
        canvas.polygon(
            Pen::Outline,
            fill,
            &frame.rectangle((left, right), (root, end)),
        );
        return;
    }
    let radii = |radius: f64| (radius * frame.scale, radius * out.abs() * frame.scale);
    let (foot, head) = (frame.at(spur.station, root), frame.at(spur.station, end));
    if out > 0.0 {
        canvas.ellipse(Pen::Outline, fill, foot, radii(spur.radius));
    }
    canvas.cover(fill, &frame.rectangle((left, right), (root, end)));
    for edge in [left, right] {
        canvas.line(Pen::Outline, frame.at(edge, root), frame.at(edge, end));
    }
    canvas.ellipse(Pen::Outline, fill, head, radii(spur.radius));
    if let (Some(bore), true) = (spur.bore, out > 0.0) {
        canvas.ellipse(Pen::Outline, Fill::Clear, head, radii(bore));
    }
}

/// The opening of an outlet that the run hides.
fn draw_behind(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold, index: usize) {
    let outlet = &manifold.outlets[index];
    let (up, out) = (
        outlet.clock.in_radians().cos(),
        outlet.clock.in_radians().sin(),
    );
    if out < -STRAIGHT {
        let radius = outlet.tube.outer_radius().in_inches() * frame.scale;
        let root = manifold.run.tube.outer_radius().in_inches() * up;
        canvas.ellipse(
            Pen::Hidden,
            Fill::Clear,
            frame.at(outlet.station.in_inches(), root),
            (radius, radius * out.abs()),
        );
    }
}

fn draw_centre(
    canvas: &mut Canvas,
    frame: &Frame,
    (manifold, outlet): (&Manifold, &crate::trade::manifold::Outlet),
) {
    let run = manifold.run.tube.outer_radius().in_inches();
    let (low, high) = vertical_extent(
        outlet.clock,
        outlet.tube.outer_radius().in_inches(),
        super::shape::reach(manifold, outlet),
    );
    let x = frame.x(outlet.station.in_inches());
    canvas.line(
        Pen::Centre,
        (x, frame.y(high.max(run)) - 5.0),
        (x, frame.y(low.min(-run)) + 3.0),
    );
}

fn draw_run(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold) {
    let radius = manifold.run.tube.outer_radius().in_inches();
    let (from, to) = (frame.stretch.from, frame.stretch.to);
    canvas.cover(
        Fill::Ground,
        &frame.rectangle((from, to), (-radius, radius)),
    );
    for edge in [radius, -radius] {
        canvas.line(Pen::Outline, frame.at(from, edge), frame.at(to, edge));
    }
    let last = manifold.run.length.in_inches();
    for (face, at_end) in [(from, from <= 0.0), (to, to >= last)] {
        let (top, bottom) = (frame.at(face, radius), frame.at(face, -radius));
        if at_end {
            canvas.line(Pen::Outline, top, bottom);
        } else {
            canvas.break_line((top.0, top.1 - 4.0), (bottom.0, bottom.1 + 4.0));
        }
    }
}

fn draw_sleeve(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold, sleeve: Sleeve) {
    let (from, to) = (
        sleeve.span.0.max(frame.stretch.from),
        sleeve.span.1.min(frame.stretch.to),
    );
    if from < to {
        let radius = fitting_radius(&manifold.run.tube);
        let corners = frame.rectangle((from, to), (-radius, radius));
        canvas.polygon(Pen::Outline, Fill::Tint, &corners);
    }
}

/// Caps and couplings over the ends; the face of the tube stays visible as a hidden edge.
fn draw_ends(canvas: &mut Canvas, frame: &Frame, manifold: &Manifold) {
    let last = manifold.run.length.in_inches();
    let shown = [frame.stretch.from <= 0.0, frame.stretch.to >= last];
    for (side, kind) in manifold.run.ends.into_iter().enumerate() {
        if !shown[side] || kind == EndKind::Plain {
            continue;
        }
        let (face, outward) = if side == 0 { (0.0, -1.0) } else { (last, 1.0) };
        draw_end_fitting(canvas, frame, manifold, (kind, face, outward));
    }
}

fn draw_end_fitting(
    canvas: &mut Canvas,
    frame: &Frame,
    manifold: &Manifold,
    (kind, face, outward): (EndKind, f64, f64),
) {
    let tube = &manifold.run.tube;
    let radius = fitting_radius(tube);
    let cup = drawn_cup(tube).min(manifold.run.length.in_inches() / 4.0);
    let overhang = match kind {
        EndKind::Cap => radius * 0.4,
        _ => drawn_cup(tube),
    };
    let overhang = overhang.min(MOST_OVERHANG / frame.scale);
    let (inner, outer) = (face - outward * cup, face + outward * overhang);
    let corner = if kind == EndKind::Cap {
        overhang * 0.7
    } else {
        0.0
    };
    let shoulder = outer - outward * corner;
    let points: Vec<Point> = [
        (inner, radius),
        (shoulder, radius),
        (outer, radius - corner),
        (outer, corner - radius),
        (shoulder, -radius),
        (inner, -radius),
    ]
    .into_iter()
    .map(|(station, height)| frame.at(station, height))
    .collect();
    canvas.polygon(Pen::Outline, Fill::Tint, &points);
    let tube_radius = tube.outer_radius().in_inches();
    canvas.line(
        Pen::Hidden,
        frame.at(face, tube_radius),
        frame.at(face, -tube_radius),
    );
}
