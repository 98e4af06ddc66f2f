//! The drawing for CAD: DXF at full size, in inches or millimetres.
//!
//! Side view with the datum at the origin, end view to the left of it, and below them the outside
//! of the run laid flat, with scribe lines and pilot holes in their true places and shapes.

mod writer;

use super::dimension::{degrees, fine, spread, unit};
use super::ordinate::{self, Label};
use super::shape::{Spur, drawn_cup, fitting_radius, marked_pieces, reach, sleeves, spurs};
use super::{spoken, table};
use crate::documents::words::drawing as words;
use crate::shop::settings::Units;
use crate::trade::layout::Layout;
use crate::trade::manifold::{EndKind, Manifold};
use crate::trade::quantity::Length;
use writer::{Dxf, Layer, Point, TextStyle};

/// An outlet is drawn straight up or down when its slant is below this.
const STRAIGHT: f64 = 0.02;
/// Steps round a pilot hole laid flat.
const HOLE_STEPS: u32 = 48;

/// Everything a view needs: what is drawn, and how large words are. Lengths are in inches until
/// they are written.
struct Plan<'a> {
    dxf: Dxf,
    manifold: &'a Manifold,
    layout: &'a Layout,
    units: Units,
    /// Height of text, in inches.
    text: f64,
}

/// Draws a manifold and its layout for CAD. The same input gives the same bytes.
pub fn dxf(manifold: &Manifold, layout: &Layout, units: Units) -> String {
    let labels = ordinate::labels(manifold, layout, units.into());
    let length = manifold.run.length.in_inches();
    let text = (length / 120.0)
        .min(length / (1.6 * labels.len() as f64))
        .clamp(0.06, 0.75);
    let mut plan = Plan {
        dxf: Dxf::default(),
        manifold,
        layout,
        units,
        text,
    };
    let high = plan.side_view();
    plan.end_view();
    let below = plan.stations(&labels);
    let foot = plan.laid_flat(below);
    plan.words(high, foot);
    let dash = plan.scaled(text);
    plan.dxf.finish(dash)
}

impl Plan<'_> {
    /// Inches in the unit of the drawing.
    fn scaled(&self, inches: f64) -> f64 {
        match self.units {
            Units::Imperial => inches,
            Units::Metric => Length::inches(inches).in_millimetres(),
        }
    }

    fn at(&self, (x, y): Point) -> Point {
        (self.scaled(x), self.scaled(y))
    }

    fn line(&mut self, layer: Layer, from: Point, to: Point) {
        let (from, to) = (self.at(from), self.at(to));
        self.dxf.line(layer, from, to);
    }

    fn outline(&mut self, layer: Layer, points: &[Point]) {
        let points: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        self.dxf.polyline(layer, &points, true);
    }

    fn rectangle(&mut self, layer: Layer, (left, right): (f64, f64), (low, high): (f64, f64)) {
        let corners = [(left, low), (right, low), (right, high), (left, high)];
        self.outline(layer, &corners);
    }

    fn ellipse(&mut self, layer: Layer, centre: Point, radii: (f64, f64)) {
        let (centre, radii) = (self.at(centre), self.at(radii));
        if (radii.0 - radii.1).abs() < 1e-9 {
            self.dxf.circle(layer, centre, radii.0);
        } else {
            self.dxf.ellipse(layer, centre, radii);
        }
    }

    /// A line of text; `size` is over the usual height.
    fn write(
        &mut self,
        layer: Layer,
        at: Point,
        (size, upright, centred): (f64, bool, bool),
        text: &str,
    ) {
        let style = TextStyle {
            height: self.scaled(self.text * size),
            upright,
            centred,
        };
        let at = self.at(at);
        self.dxf.text(layer, style, at, text);
    }

    /// The run with its ends, sleeves and outlets; returns how far up it reaches.
    fn side_view(&mut self) -> f64 {
        let (manifold, layout) = (self.manifold, self.layout);
        let radius = manifold.run.tube.outer_radius().in_inches();
        let length = manifold.run.length.in_inches();
        self.rectangle(Layer::Outline, (0.0, length), (-radius, radius));
        let bore = manifold.run.tube.inner_radius().in_inches();
        for edge in [bore, -bore] {
            self.line(Layer::Hidden, (0.0, edge), (length, edge));
        }
        let beyond = self.text * 2.0;
        self.line(Layer::Centres, (-beyond, 0.0), (length + beyond, 0.0));
        let fitting = fitting_radius(&manifold.run.tube);
        for sleeve in sleeves(manifold, layout) {
            self.rectangle(Layer::Outline, sleeve.span, (-fitting, fitting));
        }
        self.end_fittings();
        let mut high = fitting;
        for (index, outlet) in manifold.outlets.iter().enumerate() {
            for spur in spurs(manifold, layout, index) {
                self.spur(outlet.clock.in_radians(), radius, &spur);
            }
            let tip = reach(manifold, outlet) * outlet.clock.in_radians().cos();
            let (top, low) = (tip.max(radius) + self.text, tip.min(-radius) - self.text);
            let station = outlet.station.in_inches();
            self.line(Layer::Centres, (station, low), (station, top));
            let tag = (index + 1).to_string();
            self.write(
                Layer::Text,
                (station, top + self.text),
                (1.0, false, true),
                &tag,
            );
            high = high.max(top + 2.0 * self.text);
        }
        for marked in marked_pieces(manifold, layout) {
            let middle = f64::midpoint(marked.span.0, marked.span.1);
            let at = (middle, -radius - self.text);
            self.write(Layer::Text, at, (1.0, false, true), &marked.mark);
        }
        high
    }

    fn end_fittings(&mut self) {
        let tube = &self.manifold.run.tube;
        let (radius, cup) = (fitting_radius(tube), drawn_cup(tube));
        let last = self.manifold.run.length.in_inches();
        for ((face, outward), kind) in [(0.0, -1.0), (last, 1.0)]
            .into_iter()
            .zip(self.manifold.run.ends)
        {
            let overhang = match kind {
                EndKind::Plain => continue,
                EndKind::Cap => radius * 0.4,
                EndKind::Coupling => cup,
            };
            let (inner, outer) = (face - outward * cup, face + outward * overhang);
            self.rectangle(
                Layer::Outline,
                (inner.min(outer), inner.max(outer)),
                (-radius, radius),
            );
        }
    }

    /// A tube that stands out, as seen from the side.
    fn spur(&mut self, clock: f64, from: f64, spur: &Spur) {
        let (up, out) = (clock.cos(), clock.sin());
        let (left, right) = (spur.station - spur.radius, spur.station + spur.radius);
        let layer = if out < -STRAIGHT {
            Layer::Hidden
        } else {
            Layer::Outline
        };
        if out.abs() <= STRAIGHT {
            let (root, end) = (from * up, spur.reach * up);
            self.rectangle(layer, (left, right), (root.min(end), root.max(end)));
            return;
        }
        for edge in [left, right] {
            self.line(layer, (edge, from * up), (edge, spur.reach * up));
        }
        let head = (spur.station, spur.reach * up);
        self.ellipse(layer, head, (spur.radius, spur.radius * out.abs()));
        if let Some(bore) = spur.bore {
            self.ellipse(layer, head, (bore, bore * out.abs()));
        }
    }

    /// The run from the datum end, left of the side view.
    fn end_view(&mut self) {
        let manifold = self.manifold;
        let run = &manifold.run.tube;
        let (radius, bore) = (
            run.outer_radius().in_inches(),
            run.inner_radius().in_inches(),
        );
        let widest = manifold
            .outlets
            .iter()
            .map(|outlet| reach(manifold, outlet))
            .fold(radius, f64::max);
        let centre = -(widest * 2.0 + radius + self.text * 8.0);
        for r in [radius, bore] {
            self.ellipse(Layer::Outline, (centre, 0.0), (r, r));
        }
        let mut drawn: Vec<(i64, i64, i64)> = Vec::new();
        for outlet in &manifold.outlets {
            let (tube, far) = (
                outlet.tube.outer_radius().in_inches(),
                reach(manifold, outlet),
            );
            let key = |value: f64| (value * 1e3).round() as i64;
            let arm = (key(outlet.clock.in_degrees()), key(tube), key(far));
            if drawn.contains(&arm) {
                continue;
            }
            drawn.push(arm);
            let (up, right) = (
                outlet.clock.in_radians().cos(),
                outlet.clock.in_radians().sin(),
            );
            let place = |along: f64, aside: f64| {
                (
                    centre + along * right + aside * up,
                    along * up - aside * right,
                )
            };
            let root = (radius * radius - tube * tube).max(0.0).sqrt();
            for side in [tube, -tube] {
                self.line(Layer::Outline, place(root, side), place(far, side));
            }
            self.line(Layer::Outline, place(far, tube), place(far, -tube));
            self.line(Layer::Centres, place(0.0, 0.0), place(far + self.text, 0.0));
            let label = degrees(outlet.clock);
            self.write(
                Layer::Dimensions,
                place(far + self.text * 3.0, 0.0),
                (1.0, false, true),
                &label,
            );
        }
        let caption = (centre, -widest - self.text * 6.0);
        self.write(Layer::Text, caption, (1.0, false, true), words::END_VIEW);
    }

    /// Ordinate dimensions below the side view; returns where they end.
    fn stations(&mut self, labels: &[Label]) -> f64 {
        let manifold = self.manifold;
        let low = manifold
            .outlets
            .iter()
            .map(|outlet| super::views::reach_of(manifold, outlet).0)
            .fold(-fitting_radius(&manifold.run.tube), f64::min)
            - self.text * 3.0;
        let wanted: Vec<f64> = labels.iter().map(|label| label.station).collect();
        let gap = self.text * 1.5;
        let slack = gap * labels.len() as f64;
        let placed = spread(
            &wanted,
            gap,
            (-slack, manifold.run.length.in_inches() + slack),
        );
        let bend = low - self.text * 2.0;
        let mut end = bend;
        for (label, at) in labels.iter().zip(&placed) {
            self.line(
                Layer::Dimensions,
                (label.station, -self.text),
                (label.station, low),
            );
            self.line(Layer::Dimensions, (label.station, low), (*at, bend));
            let text = if label.tag.is_empty() {
                label.text.clone()
            } else {
                format!("{}: {}", label.tag, label.text)
            };
            // Reads upwards, and ends at its leader.
            let room = text.chars().count() as f64 * self.text;
            let foot = bend - room - self.text * 0.5;
            self.write(
                Layer::Dimensions,
                (*at, bend - room / 2.0 - self.text * 0.5),
                (1.0, true, true),
                &text,
            );
            end = end.min(foot);
        }
        end
    }

    /// The outside of the run laid flat: stations along, arcs across, pilot holes in their true
    /// shape; returns where it ends below.
    fn laid_flat(&mut self, below: f64) -> f64 {
        let (manifold, layout) = (self.manifold, self.layout);
        if layout.holes.is_empty() {
            return below;
        }
        let radius = manifold.run.tube.outer_radius().in_inches();
        let length = manifold.run.length.in_inches();
        let round = std::f64::consts::TAU * radius;
        let half = round / 2.0;
        // The first line lies in the middle: both ways round are in reach.
        let zero = below - self.text * 4.0 - half;
        self.rectangle(Layer::Outline, (0.0, length), (zero - half, zero + half));
        let flat = |arc: f64| {
            let turned = (arc + half).rem_euclid(round) - half;
            zero - turned
        };
        for line in &layout.lines {
            let y = flat(line.arc.in_inches());
            self.line(Layer::Centres, (0.0, y), (length, y));
            let text = format!(
                "{}: arc {} {}",
                degrees(line.clock),
                fine(line.arc, self.units),
                unit(self.units)
            );
            self.write(
                Layer::Dimensions,
                (length + self.text, y),
                (1.0, false, false),
                &text,
            );
        }
        for hole in &layout.holes {
            let (x, y) = (hole.station.in_inches(), flat(hole.arc.in_inches()));
            self.line(Layer::Centres, (x, y - self.text), (x, y + self.text));
            let Some(pilot) = hole.diameter.map(|it| it.in_inches() / 2.0) else {
                continue;
            };
            let edges = (zero - half, zero + half);
            // A hole that the cut through the sheet divides shows one part at each edge.
            for turned in [y - round, y, y + round] {
                let points = hole_laid_flat((x, turned), (pilot, radius), edges);
                if points.iter().any(|(_, y)| *y > edges.0 && *y < edges.1) {
                    self.outline(Layer::Holes, &points);
                }
            }
        }
        let caption = (0.0, zero - half - self.text * 2.5);
        self.write(Layer::Text, caption, (1.0, false, false), words::LAID_FLAT);
        zero - half - self.text * 3.0
    }

    /// The heading above, the cut list and the notes below.
    fn words(&mut self, high: f64, foot: f64) {
        let (manifold, layout) = (self.manifold, self.layout);
        let mut lines = vec![spoken::title(manifold)];
        lines.extend(spoken::heading(manifold, self.units.into()));
        lines.push(match self.units {
            Units::Imperial => words::note::DXF_INCHES.to_owned(),
            Units::Metric => words::note::DXF_MILLIMETRES.to_owned(),
        });
        let mut y = high + self.text * 2.0 * (lines.len() as f64 + 1.0);
        for (place, line) in lines.iter().enumerate() {
            let size = if place == 0 { 1.6 } else { 1.0 };
            self.write(Layer::Text, (0.0, y), (size, false, false), line);
            y -= self.text * 2.0;
        }
        let mut y = foot - self.text * 2.0;
        let mut below = table::outlets(manifold, layout, self.units.into()).lines();
        if let Some(cuts) = table::cut_list(layout, self.units.into()) {
            below.push(words::CUT_LIST.to_owned());
            below.extend(cuts.lines());
        }
        below.push(words::note::DXF_DEFERS.to_owned());
        for line in below {
            self.write(Layer::Text, (0.0, y), (1.0, false, false), &line);
            y -= self.text * 2.0;
        }
    }
}

/// The rim of a pilot hole on the sheet, as far as it lies between its edges.
fn hole_laid_flat(
    (x, y): Point,
    (pilot, radius): (f64, f64),
    (low, high): (f64, f64),
) -> Vec<Point> {
    let steps = 0..HOLE_STEPS;
    steps
        .map(|step| {
            let turn = std::f64::consts::TAU * f64::from(step) / f64::from(HOLE_STEPS);
            let across = (pilot * turn.sin() / radius).clamp(-1.0, 1.0);
            let across = y + radius * across.asin();
            (x + pilot * turn.cos(), across.clamp(low, high))
        })
        .collect()
}
