//! A small writer of DXF R12 (AC1009) in ASCII: layers, line types, and the few entities that a
//! shop drawing needs. Readers of every later version take it.
//!
//! A file is pairs of lines: a group code and its value, as the published DXF reference lists
//! them. R12 has no object handles, no clock and no random ids: the same drawing, the same bytes.

use std::fmt::Write as _;

/// A point of the model: along the run and across it, in the unit of the drawing.
pub type Point = (f64, f64);

/// What a layer holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// Edges in sight.
    Outline,
    /// Edges out of sight.
    Hidden,
    /// Lines through centres, scribe lines.
    Centres,
    /// Holes to cut, on the run laid flat.
    Holes,
    /// Words.
    Text,
    /// Dimensions.
    Dimensions,
}

impl Layer {
    /// Every layer.
    pub const ALL: [Self; 6] = [
        Self::Outline,
        Self::Hidden,
        Self::Centres,
        Self::Holes,
        Self::Text,
        Self::Dimensions,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Outline => "OUTLINE",
            Self::Hidden => "HIDDEN",
            Self::Centres => "CENTRES",
            Self::Holes => "HOLES",
            Self::Text => "TEXT",
            Self::Dimensions => "DIMENSIONS",
        }
    }

    /// Its colour by number (7 is black on white and white on black) and its line type.
    const fn look(self) -> (u8, &'static str) {
        match self {
            Self::Outline | Self::Text => (7, "CONTINUOUS"),
            Self::Hidden => (8, "HIDDEN"),
            Self::Centres => (5, "CENTER"),
            Self::Holes => (1, "CONTINUOUS"),
            Self::Dimensions => (3, "CONTINUOUS"),
        }
    }
}

/// How a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextStyle {
    /// Height of its capitals.
    pub height: f64,
    /// Reads upwards.
    pub upright: bool,
    /// Its middle stands at the point, else its beginning.
    pub centred: bool,
}

/// A drawing being written.
#[derive(Debug, Default)]
pub struct Dxf {
    entities: String,
    low: Option<Point>,
    high: Option<Point>,
}

fn pair(out: &mut String, code: u16, value: impl std::fmt::Display) {
    // Writing to a string cannot fail.
    let _ = write!(out, "{code:>3}\n{value}\n");
}

/// A number to a millionth, without a negative nothing.
fn number(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

impl Dxf {
    fn begin(&mut self, kind: &str, layer: Layer) {
        pair(&mut self.entities, 0, kind);
        pair(&mut self.entities, 8, layer.name());
    }

    fn point(&mut self, code: u16, (x, y): Point) {
        pair(&mut self.entities, code, number(x));
        pair(&mut self.entities, code + 10, number(y));
        let (low, high) = (self.low.unwrap_or((x, y)), self.high.unwrap_or((x, y)));
        self.low = Some((low.0.min(x), low.1.min(y)));
        self.high = Some((high.0.max(x), high.1.max(y)));
    }

    /// A straight line.
    pub fn line(&mut self, layer: Layer, from: Point, to: Point) {
        self.begin("LINE", layer);
        self.point(10, from);
        self.point(11, to);
    }

    /// A circle.
    pub fn circle(&mut self, layer: Layer, centre: Point, radius: f64) {
        self.begin("CIRCLE", layer);
        self.point(10, centre);
        pair(&mut self.entities, 40, number(radius));
    }

    /// Points joined by straight lines, back to the first when closed.
    pub fn polyline(&mut self, layer: Layer, points: &[Point], closed: bool) {
        self.begin("POLYLINE", layer);
        pair(&mut self.entities, 66, 1);
        pair(&mut self.entities, 10, 0);
        pair(&mut self.entities, 20, 0);
        pair(&mut self.entities, 70, u8::from(closed));
        for point in points {
            self.begin("VERTEX", layer);
            self.point(10, *point);
        }
        self.begin("SEQEND", layer);
    }

    /// A closed ellipse, as a polygon: R12 has none of its own.
    pub fn ellipse(&mut self, layer: Layer, centre: Point, (across, along): (f64, f64)) {
        const STEPS: u32 = 48;
        let points: Vec<Point> = (0..STEPS)
            .map(|step| {
                let turn = std::f64::consts::TAU * f64::from(step) / f64::from(STEPS);
                (
                    centre.0 + across * turn.cos(),
                    centre.1 + along * turn.sin(),
                )
            })
            .collect();
        self.polyline(layer, &points, true);
    }

    /// A line of text.
    pub fn text(&mut self, layer: Layer, style: TextStyle, at: Point, text: &str) {
        self.begin("TEXT", layer);
        self.point(10, at);
        pair(&mut self.entities, 40, number(style.height));
        pair(&mut self.entities, 1, escape(text));
        if style.upright {
            pair(&mut self.entities, 50, 90);
        }
        if style.centred {
            pair(&mut self.entities, 72, 1);
            pair(&mut self.entities, 73, 2);
            self.point(11, at);
        }
    }

    /// The file. `dash` is the length of a dash of the broken line types, in drawing units.
    pub fn finish(self, dash: f64) -> String {
        let mut out = String::new();
        let section = |out: &mut String, name: &str| {
            pair(out, 0, "SECTION");
            pair(out, 2, name);
        };
        section(&mut out, "HEADER");
        pair(&mut out, 9, "$ACADVER");
        pair(&mut out, 1, "AC1009");
        for (name, (x, y)) in [("$EXTMIN", self.low), ("$EXTMAX", self.high)]
            .map(|(name, point)| (name, point.unwrap_or_default()))
        {
            pair(&mut out, 9, name);
            pair(&mut out, 10, number(x));
            pair(&mut out, 20, number(y));
        }
        pair(&mut out, 0, "ENDSEC");
        section(&mut out, "TABLES");
        line_types(&mut out, dash);
        layers(&mut out);
        pair(&mut out, 0, "ENDSEC");
        section(&mut out, "ENTITIES");
        out.push_str(&self.entities);
        pair(&mut out, 0, "ENDSEC");
        pair(&mut out, 0, "EOF");
        out
    }
}

fn table(out: &mut String, name: &str, rows: usize) {
    pair(out, 0, "TABLE");
    pair(out, 2, name);
    pair(out, 70, rows);
}

fn line_types(out: &mut String, dash: f64) {
    let types: [(&str, &str, &[f64]); 3] = [
        ("CONTINUOUS", "Solid line", &[]),
        ("CENTER", "Long and short dashes", &[4.0, -1.0, 1.0, -1.0]),
        ("HIDDEN", "Short dashes", &[1.0, -0.5]),
    ];
    table(out, "LTYPE", types.len());
    for (name, said, dashes) in types {
        pair(out, 0, "LTYPE");
        pair(out, 2, name);
        pair(out, 70, 0);
        pair(out, 3, said);
        pair(out, 72, 65);
        pair(out, 73, dashes.len());
        let whole: f64 = dashes.iter().map(|part| part.abs() * dash).sum();
        pair(out, 40, number(whole));
        for part in dashes {
            pair(out, 49, number(part * dash));
        }
    }
    pair(out, 0, "ENDTAB");
}

fn layers(out: &mut String) {
    table(out, "LAYER", Layer::ALL.len());
    for layer in Layer::ALL {
        let (colour, line_type) = layer.look();
        pair(out, 0, "LAYER");
        pair(out, 2, layer.name());
        pair(out, 70, 0);
        pair(out, 62, colour);
        pair(out, 6, line_type);
    }
    pair(out, 0, "ENDTAB");
}

/// Text as R12 carries it: ASCII, other characters by number, nothing that a reader would take
/// for a control code.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            control if control.is_control() => escaped.push(' '),
            // A caret before another character stands for a control; before a blank, for itself.
            '^' => escaped.push_str("^ "),
            // Two percent signs open a code; `%%%` is one of them.
            '%' => escaped.push_str("%%%"),
            '°' => escaped.push_str("%%d"),
            ascii if ascii.is_ascii() => escaped.push(ascii),
            other => {
                let mut units = [0; 2];
                for unit in other.encode_utf16(&mut units) {
                    // Writing to a string cannot fail.
                    let _ = write!(escaped, "\\U+{unit:04X}");
                }
            }
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_ascii_and_holds_no_codes_of_its_own() {
        assert_eq!(escape("H-1 90° Ø½"), "H-1 90%%d \\U+00D8\\U+00BD");
        assert_eq!(escape("50%%u ^J\n0"), "50%%%%%%u ^ J 0");
    }
}
