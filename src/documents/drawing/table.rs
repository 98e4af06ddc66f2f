//! Small tables: outlets alike with what the bench sets, and the cut list.

use super::canvas::{Canvas, Pen, Point, Style};
use super::dimension::{bench, degrees, fine, ranges, wrap};
use super::figure_style::FigureStyle;
use super::shape::branch_mark;
use crate::documents::words::drawing::column;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;

/// Room between columns.
const COLUMN_GAP: f64 = 13.0;
/// Lines of a cell stand this far apart, over the text size.
const LEADING: f64 = 1.3;
/// Longest list of outlet numbers in one line.
const NUMBERS_WIDE: usize = 18;
/// Text size, shrunk only when a table would not fit its width.
const SIZE: f64 = 9.0;

/// A table: headings and rows of as many cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    headings: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

/// Whether any outlet stands off the scribe line.
pub fn is_clocked(manifold: &Manifold) -> bool {
    manifold
        .outlets
        .iter()
        .any(|outlet| outlet.clock.in_degrees().abs() > 0.05)
}

/// Outlets alike, one row for each kind.
pub fn outlets(manifold: &Manifold, layout: &Layout, figures: FigureStyle) -> Table {
    let clocked = is_clocked(manifold);
    let formed = !layout.formed.is_empty();
    let cut = layout.pieces.iter().any(|piece| piece.id.starts_with('B'));
    let mut headings = vec![column::OUTLETS, column::TUBE, column::CLOCK];
    headings.extend(clocked.then_some(column::ARC));
    headings.push(column::STUB);
    if formed {
        headings.extend([
            column::PILOT,
            column::COLLAR,
            column::NOTCH,
            column::DIMPLES,
        ]);
    }
    headings.extend(cut.then_some(column::PIECE));
    let mut kinds: Vec<(Vec<String>, Vec<usize>)> = Vec::new();
    for (index, outlet) in manifold.outlets.iter().enumerate() {
        let mut cells = vec![
            figures.written(outlet.tube.call_out()),
            figures.written(degrees(outlet.clock)),
        ];
        if clocked {
            let arc = manifold.run.tube.outer_radius() * outlet.clock.in_radians();
            cells.push(bench(arc, figures));
        }
        cells.push(bench(outlet.stub, figures));
        if let Some(formed) = layout.formed.get(index) {
            cells.push(settled(
                formed.collar.map(|collar| fine(collar.pilot, figures)),
            ));
            cells.push(settled(
                formed.collar.map(|collar| fine(collar.height, figures)),
            ));
            cells.push(settled(formed.notch.map(|notch| fine(notch, figures))));
            let dimples = [formed.dimples.first, formed.dimples.second];
            cells.push(figures.listed(&dimples.map(|dimple| fine(dimple, figures))));
        }
        if cut {
            cells.push(settled(
                branch_mark(manifold, layout, index).map(str::to_owned),
            ));
        }
        match kinds.iter_mut().find(|(known, _)| *known == cells) {
            Some((_, numbers)) => numbers.push(index + 1),
            None => kinds.push((cells, vec![index + 1])),
        }
    }
    let rows = kinds
        .into_iter()
        .map(|(cells, numbers)| std::iter::once(ranges(&numbers)).chain(cells).collect())
        .collect();
    Table { headings, rows }
}

/// A value, or a dash where none can be had.
fn settled(value: Option<String>) -> String {
    value.unwrap_or_else(|| "–".to_owned())
}

/// The cut list; nothing when nothing is cut here.
pub fn cut_list(layout: &Layout, figures: FigureStyle) -> Option<Table> {
    let rows: Vec<Vec<String>> = layout
        .pieces
        .iter()
        .map(|piece| {
            vec![
                piece.id.clone(),
                figures.written(piece.tube.call_out()),
                bench(piece.length, figures),
                piece.count.to_string(),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        headings: vec![column::PIECE, column::TUBE, column::LENGTH, column::COUNT],
        rows,
    })
}

impl Table {
    /// The table as lines of text: headings, then rows, cells set apart.
    pub fn lines(&self) -> Vec<String> {
        let headings = self.headings.join(" | ");
        let rows = self.rows.iter().map(|row| row.join(" | "));
        std::iter::once(headings).chain(rows).collect()
    }

    fn columns(&self) -> Vec<usize> {
        (0..self.headings.len())
            .map(|column| {
                let cells = self.rows.iter().flat_map(|row| row.get(column));
                let widest = cells.map(|cell| cell.chars().count()).max().unwrap_or(0);
                let heading = self.headings[column].chars().count();
                let limit = if column == 0 {
                    NUMBERS_WIDE
                } else {
                    usize::MAX
                };
                widest.min(limit).max(heading)
            })
            .collect()
    }

    /// Width at a text size, without the last gap.
    fn width(&self, size: f64) -> f64 {
        let columns = self.columns();
        let gaps = columns.len().saturating_sub(1) as f64 * COLUMN_GAP;
        columns
            .iter()
            .map(|characters| Style::plain(size).width(&"0".repeat(*characters)))
            .sum::<f64>()
            + gaps
    }

    /// Draws the table with its upper left corner at a point; returns where it ends below.
    pub fn draw(&self, canvas: &mut Canvas, corner: Point, most_width: f64) -> f64 {
        let full = self.width(SIZE);
        let size = (SIZE * most_width / full).min(SIZE);
        let style = Style::plain(size);
        let columns = self.columns();
        let mut places = Vec::new();
        let mut x = corner.0;
        for characters in &columns {
            places.push(x);
            x += style.width(&"0".repeat(*characters)) + COLUMN_GAP * size / SIZE;
        }
        let right = x - COLUMN_GAP * size / SIZE;
        let line = size * LEADING;
        let mut y = corner.1 + size;
        for (place, heading) in places.iter().zip(&self.headings) {
            canvas.text(style.bold(), (*place, y), heading);
        }
        y += size * 0.45;
        canvas.line(Pen::Thin, (corner.0, y), (right, y));
        y += size * 0.1;
        for row in &self.rows {
            let cells: Vec<Vec<String>> = row
                .iter()
                .zip(&columns)
                .map(|(cell, characters)| wrap(cell, *characters))
                .collect();
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
            for (place, cell) in places.iter().zip(&cells) {
                for (index, text) in cell.iter().enumerate() {
                    canvas.text(style, (*place, y + line * (index + 1) as f64), text);
                }
            }
            y += line * lines as f64 + size * 0.2;
        }
        y + size * 0.4
    }
}

/// Draws running text; returns where it ends below.
pub fn draw_text(canvas: &mut Canvas, style: Style, corner: Point, width: f64, text: &str) -> f64 {
    let most = (width / style.width("0")).floor() as usize;
    let mut y = corner.1;
    for line in wrap(text, most) {
        y += style.size * LEADING;
        canvas.text(style, (corner.0, y), &line);
    }
    y
}

/// Draws the title of a table; returns where the table begins.
pub fn draw_title(canvas: &mut Canvas, corner: Point, text: &str) -> f64 {
    canvas.text(Style::plain(10.0).bold(), (corner.0, corner.1 + 10.0), text);
    corner.1 + 15.0
}
