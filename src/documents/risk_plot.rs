//! What a price may become, as a picture: how likely it is to be undercut, and what moves it most.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::drawing::canvas::{Anchor, Canvas, Fill, Pen, Point, Style};
use crate::shop::quote::Totals;
use crate::shop::risk::{Percentiles, Swing};

/// Width of the picture, in drawing units.
const WIDTH: f64 = 720.0;
/// Where the curve stands: left, top, right, bottom.
const CURVE: (f64, f64, f64, f64) = (70.0, 76.0, 690.0, 286.0);
/// Where the first bar of the swings stands, and from one bar to the next.
const BARS: (f64, f64) = (366.0, 26.0);
/// Where bars begin and end: beside their names.
const BAR_ROOM: (f64, f64) = (240.0, 620.0);
/// Height of a bar.
const BAR: f64 = 14.0;

const TITLE: Style = Style::plain(14.0).bold();
const TEXT: Style = Style::plain(10.0);
const HEADING: Style = Style::plain(9.5).bold();
const END: Style = Style::plain(9.5).held(Anchor::End);
const MIDDLE: Style = Style::plain(9.5).held(Anchor::Middle);

/// Draws the risk of a priced schedule.
pub fn risk_plot(totals: &Totals, risk: &Percentiles) -> String {
    let plot = Plot { totals, risk };
    let mut canvas = Canvas::default();
    canvas.text(TITLE, (24.0, 28.0), "What the net price may become");
    canvas.text(TEXT, (24.0, 46.0), &plot.summary());
    let height = if risk.curve.is_empty() {
        canvas.text(TEXT, (24.0, 64.0), &sentence(&risk.basis));
        84.0
    } else {
        plot.curve(&mut canvas);
        plot.swings(&mut canvas)
    };
    let title = "Risk of the net price";
    canvas.finish((WIDTH, height), title, &plot.description())
}

struct Plot<'a> {
    totals: &'a Totals,
    risk: &'a Percentiles,
}

fn number(amount: Decimal) -> f64 {
    amount.to_f64().unwrap_or(0.0)
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

impl Plot<'_> {
    fn summary(&self) -> String {
        let Percentiles { p50, p80, p90, .. } = self.risk;
        format!(
            "net as estimated {} {}; stays below {p50} / {p80} / {p90} in 50 / 80 / 90 of 100 cases",
            self.totals.net, self.totals.currency
        )
    }

    /// Least and greatest net price of the curve, with the estimate and some room.
    fn span(&self) -> (f64, f64) {
        let all = self.risk.curve.iter().map(|(_, net)| number(*net));
        let all = all.chain(std::iter::once(number(self.totals.net)));
        let (least, most) = all.fold((f64::MAX, f64::MIN), |(least, most), net| {
            (least.min(net), most.max(net))
        });
        let room = ((most - least) * 0.06).max(most.abs() * 1e-3).max(0.01);
        (least - room, most + room)
    }

    fn at(&self, percent: f64, net: f64) -> Point {
        let (left, top, right, bottom) = CURVE;
        let (least, most) = self.span();
        (
            left + (right - left) * (net - least) / (most - least),
            bottom - (bottom - top) * percent / 100.0,
        )
    }

    fn curve(&self, canvas: &mut Canvas) {
        let (left, top, right, bottom) = CURVE;
        canvas.line(Pen::Thin, (left, bottom), (right, bottom));
        canvas.line(Pen::Thin, (left, top), (left, bottom));
        for percent in [0_u32, 20, 40, 60, 80, 100] {
            let y = self.at(f64::from(percent), 0.0).1;
            canvas.line(Pen::Thin, (left - 4.0, y), (left, y));
            canvas.text(END, (left - 8.0, y + 3.5), &format!("{percent} %"));
        }
        let (least, most) = self.span();
        for part in 0..=4 {
            let net = least + (most - least) * f64::from(part) / 4.0;
            let (x, _) = self.at(0.0, net);
            canvas.line(Pen::Thin, (x, bottom), (x, bottom + 4.0));
            canvas.text(MIDDLE, (x, bottom + 17.0), &format!("{net:.0}"));
        }
        let points = self.risk.curve.iter();
        let points: Vec<Point> = points
            .map(|(percent, net)| self.at(*percent as f64, number(*net)))
            .collect();
        canvas.polyline(Pen::Outline, &points);
        let estimate = self.at(0.0, number(self.totals.net)).0;
        canvas.line(Pen::Centre, (estimate, top), (estimate, bottom));
        canvas.text(MIDDLE, (estimate, top - 5.0), "estimate");
        let middle = f64::midpoint(left, right);
        let said = format!(
            "net price, {}; upwards: cases in which it stays below",
            self.totals.currency
        );
        canvas.text(MIDDLE, (middle, bottom + 34.0), &said);
    }

    /// The bars of the swings; where the picture ends.
    fn swings(&self, canvas: &mut Canvas) -> f64 {
        let heading = "What moves it most: one thing at its low and its high (1 of 10 cases beyond), all else as likely";
        canvas.text(HEADING, (24.0, BARS.0 - 16.0), heading);
        let ends = self.risk.swings.iter();
        let (least, most) = ends.fold((f64::MAX, f64::MIN), |(least, most), swing| {
            (least.min(number(swing.low)), most.max(number(swing.high)))
        });
        let width = (most - least).max(0.01);
        let along =
            |net: Decimal| BAR_ROOM.0 + (BAR_ROOM.1 - BAR_ROOM.0) * (number(net) - least) / width;
        let mut y = BARS.0;
        for Swing { what, low, high } in &self.risk.swings {
            let (from, to) = (along(*low), along(*high));
            let middle = y + BAR - 3.5;
            canvas.text(END, (150.0, middle), what);
            let corners = [(from, y), (to, y), (to, y + BAR), (from, y + BAR)];
            canvas.polygon(Pen::Outline, Fill::Tint, &corners);
            canvas.text(END, (from - 6.0, middle), &low.to_string());
            canvas.text(TEXT, (to + 6.0, middle), &high.to_string());
            y += BARS.1;
        }
        y + 10.0
    }

    /// The same in words, for those who cannot see it.
    fn description(&self) -> String {
        let mut said = format!("{}. {}.", self.summary(), sentence(&self.risk.basis));
        for Swing { what, low, high } in &self.risk.swings {
            said.push_str(&format!(" {}: {low} to {high}.", sentence(what)));
        }
        said
    }
}
