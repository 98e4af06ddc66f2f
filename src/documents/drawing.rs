//! The shop drawing of a manifold, as SVG: side view with ordinate stations, end view with
//! clock positions, what the bench sets, the cut list.
//!
//! Drawn to scale. Text stays text; its width is reckoned for the widest font that is asked for,
//! so labels keep apart in every other.

pub(super) mod canvas;
mod dimension;
mod dxf;
mod end_view;
mod figure_style;
mod frame;
mod ordinate;
mod piece_marks;
mod rows;
mod shape;
mod side;
mod spoken;
mod table;
mod views;

pub use dxf::dxf;
pub use figure_style::FigureStyle;

pub(super) use dimension::{bench, degrees, fine, ranges, unit};
pub(super) use shape::branch_mark;

use canvas::{Canvas, Pen, Style};
use rows::Budget;
use views::Plan;

use crate::documents::words::drawing as words;
use crate::shop::settings::Units;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;

/// Width of the drawing, in drawing units.
const WIDTH: f64 = 720.0;
/// Left free all round.
const MARGIN: f64 = 16.0;
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

/// Draws a manifold and its layout on one page, with dimensions as asked for.
pub fn drawing(manifold: &Manifold, layout: &Layout, figures: impl Into<FigureStyle>) -> Drawing {
    on_one_sheet(manifold, layout, figures.into(), Budget::PAGE)
}

/// The same with as many views, one below the other, as make every outlet legible.
pub fn shop_drawing(
    manifold: &Manifold,
    layout: &Layout,
    figures: impl Into<FigureStyle>,
) -> Drawing {
    on_one_sheet(manifold, layout, figures.into(), Budget::ROOMY)
}

fn on_one_sheet(
    manifold: &Manifold,
    layout: &Layout,
    figures: FigureStyle,
    budget: Budget,
) -> Drawing {
    let mut canvas = Canvas::default();
    let plan = Plan::of(manifold, layout, (figures, budget));
    let mut y = draw_heading(&mut canvas, manifold, figures);
    for stretch in plan.stretches() {
        y = plan.draw(&mut canvas, y, stretch);
    }
    y = draw_tables(&mut canvas, y, manifold, (layout, figures));
    y = draw_notes(&mut canvas, y, manifold, (layout, figures));
    let description = spoken::description(manifold, layout, figures);
    finished(canvas, y, &spoken::title(manifold), description)
}

fn finished(canvas: Canvas, y: f64, title: &str, description: String) -> Drawing {
    Drawing {
        svg: canvas.finish((WIDTH, (y + MARGIN).ceil()), title, &description),
        description,
    }
}

/// The views alone, without tables and notes, on as many sheets as their heights ask for: the
/// first sheet with the heading, none higher than it may be unless a single view is.
pub fn sheets(
    manifold: &Manifold,
    layout: &Layout,
    figures: impl Into<FigureStyle>,
    (first, others): (f64, f64),
) -> Vec<Drawing> {
    let figures = figures.into();
    let plan = Plan::of(manifold, layout, (figures, Budget::ROOMY));
    let title = spoken::title(manifold);
    let mut found = Vec::new();
    let mut canvas = Canvas::default();
    let mut y = draw_heading(&mut canvas, manifold, figures);
    let (mut most, mut views) = (first, 0);
    let mut from = 0.0;
    for stretch in plan.stretches() {
        if views > 0 && y + plan.height(stretch) > most {
            let said = plan.said(found.len(), (from, stretch.from));
            found.push(finished(std::mem::take(&mut canvas), y, &title, said));
            (y, most, views, from) = (MARGIN, others, 0, stretch.from);
        }
        y = plan.draw(&mut canvas, y, stretch);
        views += 1;
    }
    let said = if found.is_empty() {
        spoken::description(manifold, layout, figures)
    } else {
        plan.said(found.len(), (from, manifold.run.length.in_inches()))
    };
    found.push(finished(canvas, y, &title, said));
    found
}

/// The heading on the left, the end view on the right; returns where the views begin.
fn draw_heading(canvas: &mut Canvas, manifold: &Manifold, figures: FigureStyle) -> f64 {
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
    for line in spoken::heading(manifold, figures) {
        y = table::draw_text(canvas, Style::plain(9.5), (MARGIN, y), width, &line) + 1.5;
    }
    let corner = (WIDTH - MARGIN - end_view::ROOM.0, MARGIN);
    end_view::draw(canvas, corner, manifold, figures);
    y.max(MARGIN + end_view::ROOM.1) + 6.0
}

/// The outlet table and the cut list, side by side where they fit.
fn draw_tables(
    canvas: &mut Canvas,
    y: f64,
    manifold: &Manifold,
    (layout, figures): (&Layout, FigureStyle),
) -> f64 {
    let width = WIDTH - 2.0 * MARGIN;
    canvas.line(Pen::Thin, (MARGIN, y), (WIDTH - MARGIN, y));
    let outlets = table::outlets(manifold, layout, figures);
    let end = outlets.draw(canvas, (MARGIN, y + 6.0), width);
    match table::cut_list(layout, figures) {
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
    (layout, figures): (&Layout, FigureStyle),
) -> f64 {
    let mut notes = vec![match figures.units {
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
