//! A small SVG writer: a few strokes, text, and escaping.

use std::fmt::Write as _;

/// Families to ask for: the first ships with the PDF writer, the last is any browser's own.
const FONT_FAMILY: &str = "DejaVu Sans Mono, DejaVu Sans, sans-serif";

/// Width of a character over its size: that of the widest family asked for.
const CHARACTER_WIDTH: f64 = 0.602;

/// Colour of lines and text; the ground is white, so both show in a dark window too.
const INK: &str = "#1c1c1c";

/// A point of the drawing: right and down, in drawing units.
pub type Point = (f64, f64);

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// An edge in sight.
    Outline,
    /// An edge out of sight.
    Hidden,
    /// A line through a centre.
    Centre,
    /// Dimension lines, leaders, rules.
    Thin,
}

impl Pen {
    const fn attributes(self) -> &'static str {
        match self {
            Self::Outline => r##"stroke="#1c1c1c" stroke-width="1.1""##,
            Self::Hidden => r##"stroke="#1c1c1c" stroke-width="0.7" stroke-dasharray="3 2""##,
            Self::Centre => r##"stroke="#4a5a6a" stroke-width="0.5" stroke-dasharray="9 2 2 2""##,
            Self::Thin => r##"stroke="#4a5a6a" stroke-width="0.5""##,
        }
    }
}

/// What a closed shape is filled with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Nothing.
    Clear,
    /// The ground: hides what was drawn before.
    Ground,
    /// A light tint, for fittings.
    Tint,
    /// Ink.
    Solid,
}

impl Fill {
    const fn colour(self) -> &'static str {
        match self {
            Self::Clear => "none",
            Self::Ground => "#ffffff",
            Self::Tint => "#e9edf0",
            Self::Solid => INK,
        }
    }
}

/// Which part of a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// How a text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Size, in drawing units.
    pub size: f64,
    /// Bold.
    pub bold: bool,
    /// Which part stands at the point.
    pub anchor: Anchor,
    /// Turned to read upwards.
    pub upright: bool,
}

impl Style {
    /// Plain text of a size, beginning at its point.
    pub const fn plain(size: f64) -> Self {
        Self {
            size,
            bold: false,
            anchor: Anchor::Start,
            upright: false,
        }
    }

    /// The same in bold.
    #[must_use]
    pub const fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    /// The same, held elsewhere.
    #[must_use]
    pub const fn held(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// The same, reading upwards.
    #[must_use]
    pub const fn upright(mut self) -> Self {
        self.upright = true;
        self
    }

    /// Room that a text takes along its line, at most.
    pub fn width(self, text: &str) -> f64 {
        text.chars().count() as f64 * self.size * CHARACTER_WIDTH
    }
}

/// What is drawn so far.
#[derive(Debug, Default)]
pub struct Canvas {
    body: String,
}

impl Canvas {
    fn push(&mut self, arguments: std::fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let _ = self.body.write_fmt(arguments);
        self.body.push('\n');
    }

    /// A straight line.
    pub fn line(&mut self, pen: Pen, from: Point, to: Point) {
        self.path(pen, Fill::Clear, &[from, to], false);
    }

    /// A broken line, or a polygon when closed.
    pub fn polygon(&mut self, pen: Pen, fill: Fill, points: &[Point]) {
        self.path(pen, fill, points, true);
    }

    /// An open broken line.
    pub fn polyline(&mut self, pen: Pen, points: &[Point]) {
        self.path(pen, Fill::Clear, points, false);
    }

    /// Covers what was drawn before, with no edge of its own.
    pub fn cover(&mut self, fill: Fill, points: &[Point]) {
        let data = path_data(points, true);
        self.push(format_args!(
            r#"<path d="{data}" fill="{}" stroke="none"/>"#,
            fill.colour()
        ));
    }

    fn path(&mut self, pen: Pen, fill: Fill, points: &[Point], closed: bool) {
        let data = path_data(points, closed);
        self.push(format_args!(
            r#"<path d="{data}" fill="{}" {}/>"#,
            fill.colour(),
            pen.attributes()
        ));
    }

    /// The wavy line at which a view is broken off, from one point down to another.
    pub fn break_line(&mut self, top: Point, bottom: Point) {
        let (x, third) = (top.0, (bottom.1 - top.1) / 3.0);
        let wave = third.clamp(2.0, 5.0);
        self.push(format_args!(
            r#"<path d="M{0} {1}C{2} {3} {4} {5} {0} {6}" fill="none" {7}/>"#,
            number(x),
            number(top.1),
            number(x + wave),
            number(top.1 + third),
            number(x - wave),
            number(bottom.1 - third),
            number(bottom.1),
            Pen::Outline.attributes()
        ));
    }

    /// An ellipse about a centre.
    pub fn ellipse(&mut self, pen: Pen, fill: Fill, centre: Point, radii: (f64, f64)) {
        self.push(format_args!(
            r#"<ellipse cx="{}" cy="{}" rx="{}" ry="{}" fill="{}" {}/>"#,
            number(centre.0),
            number(centre.1),
            number(radii.0),
            number(radii.1),
            fill.colour(),
            pen.attributes()
        ));
    }

    /// A line of text.
    pub fn text(&mut self, style: Style, at: Point, text: &str) {
        let anchor = match style.anchor {
            Anchor::Start => "",
            Anchor::Middle => r#" text-anchor="middle""#,
            Anchor::End => r#" text-anchor="end""#,
        };
        let weight = if style.bold {
            r#" font-weight="bold""#
        } else {
            ""
        };
        let turn = if style.upright {
            format!(
                r#" transform="rotate(-90 {} {})""#,
                number(at.0),
                number(at.1)
            )
        } else {
            String::new()
        };
        self.push(format_args!(
            r#"<text x="{}" y="{}" font-size="{}"{anchor}{weight}{turn} fill="{INK}">{}</text>"#,
            number(at.0),
            number(at.1),
            number(style.size),
            escape(text)
        ));
    }

    /// The finished picture, with a name and a description for those who cannot see it.
    pub fn finish(self, (width, height): (f64, f64), title: &str, description: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
             aria-labelledby=\"drawing-title drawing-description\" font-family=\"{FONT_FAMILY}\">\n\
             <title id=\"drawing-title\">{}</title>\n<desc id=\"drawing-description\">{}</desc>\n\
             <rect x=\"0\" y=\"0\" width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n{}</svg>\n",
            escape(title),
            escape(description),
            self.body,
            w = number(width),
            h = number(height),
        )
    }
}

fn path_data(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    for (index, point) in points.iter().enumerate() {
        let letter = if index == 0 { "M" } else { "L" };
        // Writing to a string cannot fail.
        let _ = write!(data, "{letter}{} {}", number(point.0), number(point.1));
    }
    if closed {
        data.push('Z');
    }
    data
}

/// A number to two decimals, without idle zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// Text that XML 1.0 can hold: markup escaped, characters it forbids replaced.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {
                escaped.push('\u{fffd}');
            }
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped_and_numbers_are_short() {
        assert_eq!(
            escape("<a b=\"c\" & 'd'>\u{0}"),
            "&lt;a b=&quot;c&quot; &amp; &#39;d&#39;&gt;\u{fffd}"
        );
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.345), "12.35");
        assert_eq!(number(100.0), "100");
    }
}
