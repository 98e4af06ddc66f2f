//! Pressure along a header, as a picture.

use super::drawing::canvas::{Anchor, Canvas, Fill, Pen, Point, Style};
use crate::shop::settings::Units;
use crate::trade::flow::outcome::{Outcome, StretchFlow};
use crate::trade::manifold::Manifold;
use crate::trade::quantity::{FlowRate, Length, Pressure};

/// Size of the picture, in drawing units.
const SIZE: Point = (720.0, 400.0);
/// Where the axes stand: left, top, right, bottom.
const FRAME: (f64, f64, f64, f64) = (92.0, 66.0, 690.0, 300.0);
/// Most labels along the stations before they are thinned out.
const MOST_LABELS: usize = 12;

const TITLE: Style = Style::plain(14.0).bold();
const TEXT: Style = Style::plain(10.0);
const TICK: Style = Style::plain(9.5).held(Anchor::End);
const STATION: Style = Style::plain(9.5).held(Anchor::Middle);

/// Draws the pressure along the supply header, and along the return header where there is one.
pub fn flow_plot(manifold: &Manifold, outcome: &Outcome, units: Units) -> String {
    let plot = Plot {
        manifold,
        outcome,
        units,
        span: span(outcome),
    };
    let mut canvas = Canvas::default();
    plot.title(&mut canvas);
    plot.axes(&mut canvas);
    plot.line(&mut canvas, &outcome.supply, Pen::Outline);
    plot.line(&mut canvas, &outcome.back, Pen::Hidden);
    plot.stations(&mut canvas);
    plot.key(&mut canvas);
    let title = format!("Pressure along the header of manifold {}", manifold.mark);
    canvas.finish(SIZE, &title, &plot.description())
}

/// Least and greatest pressure shown, with some room.
fn span(outcome: &Outcome) -> (f64, f64) {
    let all = || {
        outcome
            .supply
            .iter()
            .chain(&outcome.back)
            .flat_map(|it| [it.pressure_from.in_pascals(), it.pressure_to.in_pascals()])
    };
    let (least, most) = (
        all().fold(f64::MAX, f64::min),
        all().fold(f64::MIN, f64::max),
    );
    let room = ((most - least) * 0.08).max(most.abs() * 1e-3).max(10.0);
    (least - room, most + room)
}

struct Plot<'a> {
    manifold: &'a Manifold,
    outcome: &'a Outcome,
    units: Units,
    span: (f64, f64),
}

impl Plot<'_> {
    fn at(&self, station: Length, pressure: Pressure) -> Point {
        let (left, top, right, bottom) = FRAME;
        let along = station / self.manifold.run.length;
        let up = (pressure.in_pascals() - self.span.0) / (self.span.1 - self.span.0);
        (left + (right - left) * along, bottom - (bottom - top) * up)
    }

    fn pressure(&self, pressure: Pressure) -> String {
        match self.units {
            Units::Imperial => format!("{:.3} psi", pressure.in_psi()),
            Units::Metric => format!("{:.2} kPa", pressure.in_kilopascals()),
        }
    }

    fn flow(&self, flow: FlowRate) -> String {
        match self.units {
            Units::Imperial => format!("{:.2} gpm", flow.in_gallons_per_minute()),
            Units::Metric => format!("{:.3} l/s", flow.in_litres_per_second()),
        }
    }

    fn length(&self, length: Length) -> String {
        match self.units {
            Units::Imperial => format!("{:.1}", length.in_inches()),
            Units::Metric => format!("{:.0}", length.in_millimetres()),
        }
    }

    /// The same in words, for those who cannot see it.
    fn description(&self) -> String {
        let mut said = format!("Flow {} in all.", self.flow(self.outcome.total));
        let outlets = self.manifold.outlets.iter().zip(&self.outcome.outlets);
        for (place, (outlet, flow)) in outlets.enumerate() {
            said.push_str(&format!(
                " Outlet {} at {}: {} at {}.",
                place + 1,
                self.length(outlet.station),
                self.flow(flow.flow),
                self.pressure(flow.header_pressure)
            ));
        }
        said
    }

    fn title(&self, canvas: &mut Canvas) {
        let outcome = self.outcome;
        let head = match self.units {
            Units::Imperial => format!("{:.2} ft", outcome.head.in_feet()),
            Units::Metric => format!("{:.3} m", outcome.head.in_metres()),
        };
        canvas.text(
            TITLE,
            (24.0, 26.0),
            &format!("{}: pressure along the header", self.manifold.mark),
        );
        let line = format!(
            "flow {}, head {head}, outlets differ by {:.1} % of their mean",
            self.flow(outcome.total),
            outcome.spread * 100.0
        );
        canvas.text(TEXT, (24.0, 44.0), &line);
    }

    fn axes(&self, canvas: &mut Canvas) {
        let (left, top, right, bottom) = FRAME;
        canvas.line(Pen::Thin, (left, bottom), (right, bottom));
        canvas.line(Pen::Thin, (left, top), (left, bottom));
        for tick in 0..=4 {
            let part = f64::from(tick) / 4.0;
            let pascals = self.span.0 + (self.span.1 - self.span.0) * part;
            let pressure = Pressure::pascals(pascals);
            let at = self.at(Length::ZERO, pressure);
            canvas.line(Pen::Thin, (left - 4.0, at.1), at);
            canvas.text(TICK, (left - 8.0, at.1 + 3.0), &self.pressure(pressure));
        }
    }

    fn line(&self, canvas: &mut Canvas, stretches: &[StretchFlow], pen: Pen) {
        let points: Vec<Point> = stretches
            .iter()
            .flat_map(|it| {
                [
                    self.at(it.from, it.pressure_from),
                    self.at(it.to, it.pressure_to),
                ]
            })
            .collect();
        canvas.polyline(pen, &points);
    }

    fn stations(&self, canvas: &mut Canvas) {
        let bottom = FRAME.3;
        let count = self.manifold.outlets.len();
        let every = count.div_ceil(MOST_LABELS);
        for (place, outlet) in self.manifold.outlets.iter().enumerate() {
            let (x, _) = self.at(outlet.station, Pressure::ZERO);
            canvas.line(Pen::Thin, (x, bottom), (x, bottom + 5.0));
            if place % every == 0 {
                canvas.text(STATION, (x, bottom + 18.0), &self.length(outlet.station));
            }
        }
        let unit = match self.units {
            Units::Imperial => "in",
            Units::Metric => "mm",
        };
        let middle = f64::midpoint(FRAME.0, FRAME.2);
        let said = format!("outlets, {unit} from the first end's finished face");
        canvas.text(STATION, (middle, bottom + 36.0), &said);
    }

    fn key(&self, canvas: &mut Canvas) {
        let y = FRAME.3 + 60.0;
        canvas.line(Pen::Outline, (92.0, y), (122.0, y));
        canvas.text(TEXT, (130.0, y + 3.5), "supply header, static pressure");
        if !self.outcome.back.is_empty() {
            canvas.line(Pen::Hidden, (370.0, y), (400.0, y));
            canvas.text(TEXT, (408.0, y + 3.5), "return header");
        }
        let note =
            "Worked out, not measured. It replaces neither the local code nor licensed practice.";
        canvas.text(TEXT, (92.0, y + 24.0), note);
        canvas.polygon(
            Pen::Thin,
            Fill::Clear,
            &[
                (1.0, 1.0),
                (SIZE.0 - 1.0, 1.0),
                (SIZE.0 - 1.0, SIZE.1 - 1.0),
                (1.0, SIZE.1 - 1.0),
            ],
        );
    }
}
