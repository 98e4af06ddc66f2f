//! A cut plan as a picture: every stick with its pieces, alike ones once with their number.

use rust_decimal::Decimal;

use super::drawing::canvas::{Anchor, Canvas, Fill, Pen, Point, Style};
use crate::shop::cut_plan::{CutLength, CutSchedule, CutStick, SchedulePlan, TubePlan};
use crate::shop::money::Currency;
use crate::shop::settings::Units;
use crate::trade::quantity::{BenchLength, nearest_millimetre};

/// Width of the picture, in drawing units.
const WIDTH: f64 = 1_040.0;
/// Where the longest stick begins and ends.
const BAR: (f64, f64) = (170.0, 1_016.0);
/// Height of a stick, and from one stick to the next.
const STICK: (f64, f64) = (30.0, 54.0);
/// Room above the first stick of a tube.
const HEADING: f64 = 40.0;

const TITLE: Style = Style::plain(15.0).bold();
const TEXT: Style = Style::plain(10.0);
const TUBE: Style = Style::plain(12.0).bold();
const STOCK: Style = Style::plain(10.0).held(Anchor::End);
const STOCK_NOTE: Style = Style::plain(9.0).held(Anchor::End);
const PIECE: Style = Style::plain(9.0).held(Anchor::Middle);
const PIECE_LENGTH: Style = Style::plain(8.5).held(Anchor::Middle);

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct PictureOf<'a> {
    /// What was to be cut, and from what.
    pub schedule: &'a CutSchedule,
    /// The plan.
    pub plan: &'a SchedulePlan,
    /// The currency of its cost.
    pub currency: Option<Currency>,
    /// Units of its lengths.
    pub units: Units,
}

/// Sticks cut alike.
struct Alike<'a> {
    stick: &'a CutStick,
    count: usize,
}

/// Draws a cut plan.
pub fn cut_picture(of: &PictureOf<'_>) -> String {
    let mut canvas = Canvas::default();
    canvas.text(TITLE, (24.0, 30.0), "Cut plan");
    canvas.text(TEXT, (24.0, 48.0), &of.summary());
    canvas.text(TEXT, (24.0, 64.0), &of.where_it_goes());
    let mut y = 84.0;
    for tube in &of.plan.tubes {
        y = of.tube(&mut canvas, tube, y);
    }
    canvas.text(
        TEXT,
        (24.0, y + 18.0),
        "Grey: what is left. A thick edge on the right: worth keeping. Prove the saw's kerf before the first stick.",
    );
    canvas.finish((WIDTH, y + 36.0), "Cut plan", &of.description())
}

impl PictureOf<'_> {
    fn length(&self, length: CutLength) -> String {
        let length = length.length();
        match self.units {
            Units::Imperial => BenchLength { exact: length }.text(),
            Units::Metric => format!("{} mm", nearest_millimetre(length).in_millimetres().round()),
        }
    }

    /// In feet or metres, for what no tape shows.
    fn far(&self, length: CutLength) -> String {
        match self.units {
            Units::Imperial => format!("{:.2} ft", length.length().in_feet()),
            Units::Metric => format!("{:.3} m", length.length().in_metres()),
        }
    }

    fn money(&self, amount: Decimal) -> String {
        match self.currency {
            // XXX is the code for no currency.
            Some(currency) if currency.code() != "XXX" => format!("{amount} {currency}"),
            _ => amount.to_string(),
        }
    }

    fn summary(&self) -> String {
        let sticks: usize = self.plan.tubes.iter().map(|it| it.plan.sticks.len()).sum();
        let proof = if self.plan.is_proven() {
            "proven: no plan costs less".to_owned()
        } else {
            format!(
                "not proven: no plan costs less than {}",
                self.money(self.plan.bound())
            )
        };
        format!(
            "{sticks} sticks and offcuts, kerf {}, cost {}, {proof}",
            fine(self.schedule.kerf, self.units),
            self.money(self.plan.cost())
        )
    }

    fn where_it_goes(&self) -> String {
        let balance = self.plan.balance();
        format!(
            "stock {} = pieces {} + kerf {} + end trim {} + kept {} + scrap {}",
            self.far(balance.stock),
            self.far(balance.pieces),
            self.far(balance.kerf),
            self.far(balance.trim),
            self.far(balance.kept),
            self.far(balance.scrap)
        )
    }

    /// Draws the sticks of a tube; where they end.
    fn tube(&self, canvas: &mut Canvas, tube: &TubePlan, top: f64) -> f64 {
        let name = tube.tube.as_deref().unwrap_or("tube of no name");
        canvas.text(TUBE, (24.0, top + 18.0), name);
        let line = format!(
            "{}, cost {}, {}",
            sticks(tube.plan.sticks.len()),
            self.money(tube.plan.cost),
            if tube.plan.is_proven {
                "proven"
            } else {
                "not proven"
            }
        );
        canvas.text(TEXT, (BAR.0, top + 18.0), &line);
        let stock = tube.plan.sticks.iter().map(|it| self.stock_length(it));
        let longest = stock.max().unwrap_or(CutLength::METRE);
        let scale = (BAR.1 - BAR.0) / longest.length().in_metres();
        let mut y = top + HEADING;
        for alike in alike(&tube.plan.sticks) {
            self.stick(canvas, &alike, (y, scale));
            y += STICK.1;
        }
        y
    }

    fn stock_length(&self, stick: &CutStick) -> CutLength {
        self.schedule.stock[stick.stock].1.length
    }

    fn stick(&self, canvas: &mut Canvas, alike: &Alike<'_>, (y, scale): (f64, f64)) {
        let stick = alike.stick;
        let stock = &self.schedule.stock[stick.stock].1;
        let wide = |length: CutLength| length.length().in_metres() * scale;
        let end = BAR.0 + wide(stock.length);
        let bottom = y + STICK.0;
        let name = format!("{} x {}", alike.count, shortened(&stock.id, STOCK, 128.0));
        canvas.text(STOCK, (BAR.0 - 10.0, y + 13.0), &name);
        canvas.text(
            STOCK_NOTE,
            (BAR.0 - 10.0, y + 25.0),
            &self.length(stock.length),
        );
        // The whole stick in grey first; pieces cover it, so that cuts and trims show through.
        canvas.polygon(Pen::Thin, Fill::Tint, &corners(BAR.0, y, end, bottom));
        let half = CutLength::nanometres(stock.trim.in_nanometres() / 2);
        let mut x = BAR.0 + wide(half);
        let runs = counted(&stick.pieces);
        let last = runs.len().saturating_sub(1);
        for (index, (place, count)) in runs.into_iter().enumerate() {
            let piece = &self.schedule.pieces[place].1;
            let from = x;
            let mut named = true;
            for _ in 0..count {
                let to = x + wide(piece.length);
                canvas.polygon(Pen::Outline, Fill::Ground, &corners(x, y, to, bottom));
                named &= self.name_piece(canvas, (&piece.id, piece.length), (x, to, y));
                x = to + wide(self.schedule.kerf);
            }
            if !named {
                let to = x - wide(self.schedule.kerf);
                let room = if index == last { end } else { to };
                let places = [from, to, room.max(to)];
                self.name_run(canvas, (&piece.id, piece.length, count), (places, bottom));
            }
        }
        if stick.rest > CutLength::ZERO {
            self.name_rest(canvas, stick, (x, end - wide(stock.trim - half), y));
        }
    }

    /// Names a piece where there is room in it; whether there was.
    fn name_piece(
        &self,
        canvas: &mut Canvas,
        (id, length): (&str, CutLength),
        (from, to, y): (f64, f64, f64),
    ) -> bool {
        let (room, middle) = (to - from - 4.0, f64::midpoint(from, to));
        let said = self.length(length);
        if PIECE_LENGTH.width(&said).max(PIECE.width(id)) > room {
            return false;
        }
        canvas.text(PIECE, (middle, y + 13.0), id);
        canvas.text(PIECE_LENGTH, (middle, y + 25.0), &said);
        true
    }

    /// Names pieces alike below the stick, since there is no room in them: from where to where
    /// they lie, and how far their name may reach.
    fn name_run(
        &self,
        canvas: &mut Canvas,
        (id, length, count): (&str, CutLength, usize),
        ([from, to, room], bottom): ([f64; 3], f64),
    ) {
        let below = bottom + 4.0;
        canvas.polyline(
            Pen::Thin,
            &[(from, bottom), (from, below), (to, below), (to, bottom)],
        );
        let length = self.length(length);
        let said = format!("{count} x {id} {length}");
        let line = bottom + 14.0;
        if PIECE_LENGTH.width(&said) <= to - from {
            canvas.text(PIECE_LENGTH, (f64::midpoint(from, to), line), &said);
        } else if PIECE_LENGTH.width(&said) <= room - from {
            canvas.text(PIECE_LENGTH.held(Anchor::Start), (from, line), &said);
        } else if PIECE_LENGTH.width(id) <= to - from {
            // What has no room is in the description.
            canvas.text(PIECE_LENGTH, (f64::midpoint(from, to), line), id);
        }
    }

    fn name_rest(&self, canvas: &mut Canvas, stick: &CutStick, (from, to, y): (f64, f64, f64)) {
        let middle = f64::midpoint(from, to);
        let said = self.length(stick.rest);
        let word = if stick.is_kept { "keep" } else { "scrap" };
        if stick.is_kept {
            let bottom = y + STICK.0;
            canvas.polygon(Pen::Outline, Fill::Solid, &corners(to - 3.0, y, to, bottom));
        }
        let room = to - from - 8.0;
        if PIECE_LENGTH.width(&said).max(PIECE.width(word)) <= room {
            canvas.text(PIECE, (middle, y + 13.0), word);
            canvas.text(PIECE_LENGTH, (middle, y + 25.0), &said);
        }
    }

    /// The same in words, for those who cannot see it, and for what had no room.
    fn description(&self) -> String {
        let mut said = format!("{}. {}.", self.summary(), self.where_it_goes());
        for tube in &self.plan.tubes {
            let name = tube.tube.as_deref().unwrap_or("Tube of no name");
            said.push_str(&format!(" {name}:"));
            for Alike { stick, count } in alike(&tube.plan.sticks) {
                let stock = &self.schedule.stock[stick.stock].1;
                let cut = counted(&stick.pieces).into_iter().map(|(piece, times)| {
                    let piece = &self.schedule.pieces[piece].1;
                    format!("{times} x {} of {}", piece.id, self.length(piece.length))
                });
                let cut: Vec<String> = cut.collect();
                let left = self.length(stick.rest);
                said.push_str(&format!(
                    " {count} x {}: {}; left {left}.",
                    stock.id,
                    cut.join(", ")
                ));
            }
        }
        said
    }
}

/// A kerf to the ten-thousandth of an inch or the hundredth of a millimetre.
fn fine(length: CutLength, units: Units) -> String {
    match units {
        Units::Imperial => format!("{} in", (length.length().in_inches() * 1e4).round() / 1e4),
        Units::Metric => format!(
            "{} mm",
            (length.length().in_millimetres() * 1e2).round() / 1e2
        ),
    }
}

/// So many sticks, in words.
fn sticks(count: usize) -> String {
    match count {
        1 => "1 stick".to_owned(),
        count => format!("{count} sticks"),
    }
}

/// Neighbours that are cut alike, together.
fn alike(sticks: &[CutStick]) -> Vec<Alike<'_>> {
    let mut groups: Vec<Alike<'_>> = Vec::new();
    for stick in sticks {
        match groups.last_mut() {
            Some(group) if group.stick == stick => group.count += 1,
            _ => groups.push(Alike { stick, count: 1 }),
        }
    }
    groups
}

/// Pieces that follow each other, with how many of each.
fn counted(pieces: &[usize]) -> Vec<(usize, usize)> {
    let runs = pieces.chunk_by(|one, next| one == next);
    runs.map(|run| (run[0], run.len())).collect()
}

fn corners(left: f64, top: f64, right: f64, bottom: f64) -> [Point; 4] {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}

/// As much of a text as there is room for.
fn shortened(text: &str, style: Style, room: f64) -> String {
    if style.width(text) <= room {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while kept.pop().is_some() {
        let with_mark = format!("{}\u{2026}", kept.trim_end());
        if style.width(&with_mark) <= room {
            return with_mark;
        }
    }
    String::new()
}
