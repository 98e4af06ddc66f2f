//! Quantities as people write them: `4-1/2"`, `6' 3 1/4"`, `115 mm`, `180 degF`.

use super::{Angle, FlowRate, Length, Mass, Pressure, Temperature, Velocity, Volume};

/// Why a text is not the quantity it should be. The text says what to write.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseQuantityError {
    /// Nothing but blanks.
    #[error("is empty; write {wanted}, for example \"{example}\"")]
    Empty {
        /// What it should be, with its article.
        wanted: &'static str,
        /// A text that would do.
        example: &'static str,
    },
    /// A number without a unit.
    #[error("\"{text}\" has no unit; write {wanted} with its unit, for example \"{example}\"")]
    NoUnit {
        /// What was given.
        text: String,
        /// What it should be, with its article.
        wanted: &'static str,
        /// A text that would do.
        example: &'static str,
    },
    /// A unit that measures something else, or nothing.
    #[error("\"{unit}\" is not a unit of {wanted}; use one of {accepted}")]
    UnknownUnit {
        /// What was given.
        unit: String,
        /// What it should be, with its article.
        wanted: &'static str,
        /// The units that would do.
        accepted: String,
    },
    /// Not a number.
    #[error("\"{text}\" is not a number; write {wanted} such as \"{example}\"")]
    NotANumber {
        /// What was given.
        text: String,
        /// What it should be, with its article.
        wanted: &'static str,
        /// A text that would do.
        example: &'static str,
    },
}

/// Spellings of one unit, the one we print first, and how a number of it is made.
pub type Unit<Q> = (&'static [&'static str], fn(f64) -> Q);

/// A kind of quantity that can be read from text.
pub trait Quantity: Sized + 'static {
    /// What it is, with its article: `a length`.
    const WANTED: &'static str;
    /// A text that reads well.
    const EXAMPLE: &'static str;
    /// Accepted unit spellings, the first of each row being the one we print.
    const UNITS: &'static [Unit<Self>];

    /// From a number and the name of its unit.
    ///
    /// # Errors
    /// When the unit is none of this quantity's.
    fn from_parts(value: f64, unit: &str) -> Result<Self, ParseQuantityError> {
        let folded = unit.trim();
        Self::UNITS
            .iter()
            .find(|(names, _)| names.iter().any(|name| name.eq_ignore_ascii_case(folded)))
            .map(|(_, make)| make(value))
            .ok_or_else(|| ParseQuantityError::UnknownUnit {
                unit: folded.to_owned(),
                wanted: Self::WANTED,
                accepted: Self::UNITS
                    .iter()
                    .map(|(names, _)| names[0])
                    .collect::<Vec<_>>()
                    .join(", "),
            })
    }

    /// From text: a number (whole, decimal, fraction or mixed) and a unit.
    ///
    /// # Errors
    /// When the text has no number, no unit, or a unit of something else.
    fn parse(text: &str) -> Result<Self, ParseQuantityError> {
        let Reading { number, unit } = Reading::split::<Self>(text)?;
        let not_a_number = || ParseQuantityError::NotANumber {
            text: number.to_owned(),
            wanted: Self::WANTED,
            example: Self::EXAMPLE,
        };
        let value = mixed_number(number).ok_or_else(not_a_number)?;
        if unit.is_empty() {
            return Err(ParseQuantityError::NoUnit {
                text: text.trim().to_owned(),
                wanted: Self::WANTED,
                example: Self::EXAMPLE,
            });
        }
        Self::from_parts(value, unit)
    }
}

/// A text split where its number ends and its unit begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Reading<'a> {
    /// The number as written.
    number: &'a str,
    /// The unit as written, perhaps empty.
    unit: &'a str,
}

impl<'a> Reading<'a> {
    fn split<Q: Quantity>(text: &'a str) -> Result<Self, ParseQuantityError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ParseQuantityError::Empty {
                wanted: Q::WANTED,
                example: Q::EXAMPLE,
            });
        }
        let end = text
            .char_indices()
            .find(|(_, c)| !is_number_char(*c))
            .map_or(text.len(), |(at, _)| at);
        let (number, unit) = text.split_at(end);
        Ok(Self {
            number: number.trim().trim_end_matches('-').trim_end(),
            unit: unit.trim(),
        })
    }
}

fn is_number_char(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | '/' | '-' | '+' | ' ') || vulgar(c).is_some()
}

/// The one-character fractions that keyboards and spreadsheets make.
fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

/// Reads `4`, `4.5`, `1/2`, `4 1/2`, `4-1/2`, `4½`, with a sign in front.
fn mixed_number(text: &str) -> Option<f64> {
    let (sign, text) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    if text.starts_with('-') || text.contains("--") {
        return None;
    }
    let spaced: String = text
        .chars()
        .map(|c| if c == '-' { ' ' } else { c })
        .collect();
    let mut total = 0.0;
    let mut parts = 0;
    for (place, word) in spaced.split_whitespace().enumerate() {
        let last_is_vulgar = word.chars().last().and_then(vulgar);
        let value = match (last_is_vulgar, word.split_once('/')) {
            (Some(part), _) => {
                let whole = &word[..word.len() - word.chars().last().map_or(0, char::len_utf8)];
                if whole.is_empty() {
                    part
                } else {
                    plain(whole)? + part
                }
            }
            (None, Some((top, bottom))) => {
                let bottom = plain(bottom).filter(|b| *b > 0.0)?;
                plain(top)? / bottom
            }
            (None, None) => plain(word)?,
        };
        let is_fraction = last_is_vulgar.is_some() || word.contains('/');
        if place > 0 && !is_fraction {
            return None;
        }
        total += value;
        parts += 1;
    }
    (1..=2).contains(&parts).then_some(sign * total)
}

/// A plain decimal without sign or exponent.
fn plain(text: &str) -> Option<f64> {
    text.chars()
        .all(|c| c.is_ascii_digit() || c == '.')
        .then(|| text.parse().ok())
        .flatten()
}

impl Quantity for Length {
    const WANTED: &'static str = "a length";
    const EXAMPLE: &'static str = "4 1/2 in";
    const UNITS: &'static [Unit<Self>] = &[
        (
            &["in", "\"", "″", "''", "inch", "inches", "in."],
            Self::inches,
        ),
        (&["ft", "'", "′", "foot", "feet", "ft."], Self::feet),
        (
            &[
                "mm",
                "millimetre",
                "millimetres",
                "millimeter",
                "millimeters",
            ],
            Self::millimetres,
        ),
        (&["cm"], |v| Self::millimetres(v * 10.0)),
        (&["m", "metre", "metres", "meter", "meters"], Self::metres),
    ];

    /// Also reads feet with inches, `6' 3 1/4"`.
    fn parse(text: &str) -> Result<Self, ParseQuantityError> {
        for mark in ["'", "′", "ft"] {
            let Some((feet, inches)) = text.split_once(mark) else {
                continue;
            };
            let inches = inches.trim().trim_start_matches('-').trim();
            if inches.is_empty() || inches == "'" || inches.starts_with('.') {
                continue;
            }
            let inches = single_length(inches)?;
            let feet = single_length(&format!("{feet} ft"))?;
            return Ok(if feet < Self::ZERO {
                feet - inches
            } else {
                feet + inches
            });
        }
        single_length(text)
    }
}

fn single_length(text: &str) -> Result<Length, ParseQuantityError> {
    struct Single(Length);
    impl Quantity for Single {
        const WANTED: &'static str = Length::WANTED;
        const EXAMPLE: &'static str = Length::EXAMPLE;
        const UNITS: &'static [Unit<Self>] = &[];
        fn from_parts(value: f64, unit: &str) -> Result<Self, ParseQuantityError> {
            Length::from_parts(value, unit).map(Single)
        }
    }
    Single::parse(text).map(|single| single.0)
}

impl Quantity for Pressure {
    const WANTED: &'static str = "a pressure";
    const EXAMPLE: &'static str = "75 psi";
    const UNITS: &'static [Unit<Self>] = &[
        (&["psi", "psig", "lbf/in2"], Self::psi),
        (&["bar", "barg"], Self::bar),
        (&["kPa"], Self::kilopascals),
        (&["MPa", "N/mm2"], Self::megapascals),
    ];
}

impl Quantity for Temperature {
    const WANTED: &'static str = "a temperature";
    const EXAMPLE: &'static str = "180 degF";
    const UNITS: &'static [Unit<Self>] = &[
        (&["degF", "°F", "F", "deg F"], Self::fahrenheit),
        (&["degC", "°C", "C", "deg C"], Self::celsius),
        (&["K"], Self::kelvin),
    ];
}

impl Quantity for FlowRate {
    const WANTED: &'static str = "a flow";
    const EXAMPLE: &'static str = "6 gpm";
    const UNITS: &'static [Unit<Self>] = &[
        (&["gpm", "gal/min", "US gpm"], Self::gallons_per_minute),
        (&["l/s", "L/s"], Self::litres_per_second),
        (&["l/min", "lpm"], |v| Self::litres_per_second(v / 60.0)),
        (&["m3/h", "m³/h"], |v| {
            Self::cubic_metres_per_second(v / 3600.0)
        }),
    ];
}

impl Quantity for Velocity {
    const WANTED: &'static str = "a velocity";
    const EXAMPLE: &'static str = "5 ft/s";
    const UNITS: &'static [Unit<Self>] = &[
        (&["ft/s", "fps"], Self::feet_per_second),
        (&["m/s"], Self::metres_per_second),
    ];
}

impl Quantity for Angle {
    const WANTED: &'static str = "an angle";
    const EXAMPLE: &'static str = "90 deg";
    const UNITS: &'static [Unit<Self>] = &[
        (&["deg", "°", "degrees", "degree"], Self::degrees),
        (&["rad"], Self::radians),
    ];
}

impl Quantity for Mass {
    const WANTED: &'static str = "a mass";
    const EXAMPLE: &'static str = "2.5 lb";
    const UNITS: &'static [Unit<Self>] = &[
        (&["lb", "lbs", "pound", "pounds"], Self::pounds),
        (&["oz"], Self::ounces),
        (&["kg"], Self::kilograms),
        (&["g"], Self::grams),
    ];
}

impl Quantity for Volume {
    const WANTED: &'static str = "a volume";
    const EXAMPLE: &'static str = "1.2 gal";
    const UNITS: &'static [Unit<Self>] = &[
        (&["gal", "US gal"], Self::gallons),
        (&["l", "litre", "litres", "liter", "liters"], Self::litres),
        (&["m3"], Self::cubic_metres),
    ];
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_as_people_write_them() {
        for (text, inches) in [
            ("4 1/2 in", 4.5),
            ("4-1/2\"", 4.5),
            ("4½\"", 4.5),
            ("½ in", 0.5),
            ("6' 3 1/4\"", 75.25),
            ("6'-3 1/4\"", 75.25),
            ("6 ft 3 in", 75.0),
            ("6'", 72.0),
            ("20 ft", 240.0),
            ("115 mm", 115.0 / 25.4),
            ("1.5 m", 1500.0 / 25.4),
            ("-2 in", -2.0),
            (" .5in ", 0.5),
            ("3 ''", 3.0),
        ] {
            let read = Length::parse(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!(
                (read.in_inches() - inches).abs() < 1e-9,
                "{text} read as {read:?}"
            );
        }
    }

    #[test]
    fn other_quantities_read_with_either_system() {
        assert!((Pressure::parse("6.9 bar").unwrap().in_kilopascals() - 690.0).abs() < 1e-9);
        assert!((Temperature::parse("82 degC").unwrap().in_fahrenheit() - 179.6).abs() < 1e-9);
        assert!((FlowRate::parse("0.35 l/s").unwrap().in_litres_per_second() - 0.35).abs() < 1e-12);
        assert!(
            (Angle::parse("90 deg").unwrap().in_radians() - std::f64::consts::FRAC_PI_2).abs()
                < 1e-12
        );
    }

    #[test]
    fn what_is_no_quantity_says_what_to_write() {
        for (text, part) in [
            ("", "is empty"),
            ("3", "has no unit"),
            ("3 psi", "not a unit of a length"),
            ("abc in", "not a number"),
            ("1e5 in", "not a unit"),
            ("NaN in", "not a number"),
            ("1/0 in", "not a number"),
            ("3 4 in", "not a number"),
            ("--3 in", "not a number"),
            ("1/2/3 in", "not a number"),
        ] {
            let error = Length::parse(text).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
    }
}
