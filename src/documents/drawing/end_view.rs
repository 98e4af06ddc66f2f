//! The end view: the run from the datum end, with every clock position.

use super::canvas::{Anchor, Canvas, Fill, Pen, Point, Style};
use super::dimension::degrees;
use super::figure_style::FigureStyle;
use super::shape::reach;
use crate::documents::words::drawing as words;
use crate::trade::manifold::Manifold;
use crate::trade::quantity::Angle;

/// Room of the view: width and height with its caption, in drawing units.
pub const ROOM: (f64, f64) = (190.0, 172.0);
/// Room that labels need around it.
const LABEL_ROOM: f64 = 22.0;
/// Height of the caption.
const CAPTION_ROOM: f64 = 16.0;
const CAPTION: Style = Style::plain(9.5).held(Anchor::Middle);
const LABEL: Style = Style::plain(9.0).held(Anchor::Middle);

/// An arm of the view: outlets alike as seen from the end.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Arm {
    clock: Angle,
    radius: f64,
    reach: f64,
}

impl Arm {
    /// A point along the arm and aside of it, in inches: right and up as seen from the end.
    fn at(&self, along: f64, aside: f64) -> Point {
        let (up, right) = (self.clock.in_radians().cos(), self.clock.in_radians().sin());
        (along * right + aside * up, along * up - aside * right)
    }
}

fn arms(manifold: &Manifold) -> Vec<Arm> {
    let mut arms: Vec<Arm> = Vec::new();
    for outlet in &manifold.outlets {
        let arm = Arm {
            clock: outlet.clock,
            radius: outlet.tube.outer_radius().in_inches(),
            reach: reach(manifold, outlet),
        };
        let alike = |known: &Arm| {
            (known.clock - arm.clock).abs() < Angle::degrees(0.05)
                && (known.radius - arm.radius).abs() < 1e-3
                && (known.reach - arm.reach).abs() < 1e-3
        };
        if !arms.iter().any(alike) {
            arms.push(arm);
        }
    }
    // The longest first, so that shorter ones stay in sight.
    arms.sort_by(|a, b| b.reach.total_cmp(&a.reach));
    arms
}

/// Draws the view with its upper left corner at a point.
pub fn draw(canvas: &mut Canvas, corner: Point, manifold: &Manifold, figures: FigureStyle) {
    let run = &manifold.run.tube;
    let arms = arms(manifold);
    let radius = run.outer_radius().in_inches();
    let tips: Vec<Point> = arms
        .iter()
        .flat_map(|arm| {
            [
                arm.at(arm.reach, arm.radius),
                arm.at(arm.reach, -arm.radius),
            ]
        })
        .collect();
    let low = tips.iter().fold((-radius, -radius), |low, tip| {
        (low.0.min(tip.0), low.1.min(tip.1))
    });
    let high = tips.iter().fold((radius, radius), |high, tip| {
        (high.0.max(tip.0), high.1.max(tip.1))
    });
    let room = (
        ROOM.0 - 2.0 * LABEL_ROOM,
        ROOM.1 - CAPTION_ROOM - 2.0 * LABEL_ROOM,
    );
    let scale = (room.0 / (high.0 - low.0)).min(room.1 / (high.1 - low.1));
    let centre = (
        corner.0 + ROOM.0 / 2.0 - f64::midpoint(low.0, high.0) * scale,
        corner.1 + CAPTION_ROOM + LABEL_ROOM + room.1 / 2.0 + f64::midpoint(low.1, high.1) * scale,
    );
    let place = |point: Point| (centre.0 + point.0 * scale, centre.1 - point.1 * scale);
    canvas.text(
        CAPTION,
        (corner.0 + ROOM.0 / 2.0, corner.1 + 10.0),
        words::END_VIEW,
    );
    for arm in &arms {
        let corners = [
            (0.0, arm.radius),
            (arm.reach, arm.radius),
            (arm.reach, -arm.radius),
            (0.0, -arm.radius),
        ]
        .map(|(along, aside)| place(arm.at(along, aside)));
        canvas.polygon(Pen::Outline, Fill::Ground, &corners);
    }
    for (fill, r) in [
        (Fill::Ground, radius),
        (Fill::Clear, run.inner_radius().in_inches()),
    ] {
        canvas.ellipse(Pen::Outline, fill, centre, (r * scale, r * scale));
    }
    for arm in &arms {
        let beyond = arm.reach + 4.0 / scale;
        canvas.line(Pen::Centre, centre, place(arm.at(beyond, 0.0)));
    }
    let label = |arm: &Arm| figures.written(degrees(arm.clock));
    draw_labels(canvas, &arms, label, (&place, scale));
}

/// Writes each clock position once, beyond its longest arm, where no other label stands.
fn draw_labels(
    canvas: &mut Canvas,
    arms: &[Arm],
    label: impl Fn(&Arm) -> String,
    (place, scale): (&dyn Fn(Point) -> Point, f64),
) {
    let mut taken: Vec<(Point, f64)> = Vec::new();
    let mut written: Vec<String> = Vec::new();
    for arm in arms {
        let text = label(arm);
        if written.contains(&text) {
            continue;
        }
        let half = LABEL.width(&text) / 2.0;
        let sideways = arm.clock.in_radians().sin().abs();
        let at = place(arm.at(arm.reach + (9.0 + half * sideways) / scale, 0.0));
        let clear = taken.iter().all(|(other, other_half)| {
            (other.0 - at.0).abs() > half + other_half + 2.0
                || (other.1 - at.1).abs() > LABEL.size + 1.0
        });
        // A position without room here is still in the table of outlets.
        if clear {
            canvas.text(LABEL, (at.0, at.1 + LABEL.size * 0.35), &text);
            taken.push((at, half));
            written.push(text);
        }
    }
}
