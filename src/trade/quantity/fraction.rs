//! Lengths as the bench reads them: feet away, inches and sixteenths kept.

use super::Length;

/// A length rounded for the bench, beside the exact one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BenchLength {
    /// The exact length.
    pub exact: Length,
}

impl BenchLength {
    /// The text a tape measure can be set to: `4 1/2 in`.
    pub fn text(self) -> String {
        format!("{} in", bench_inches(self.exact))
    }
}

/// A length to the nearest whole millimetre, as a metric tape shows it.
pub fn nearest_millimetre(length: Length) -> Length {
    Length::millimetres(length.in_millimetres().round())
}

/// A length to the nearest sixteenth of an inch.
pub fn nearest_sixteenth(length: Length) -> Length {
    Length::inches((length.in_inches() * 16.0).round() / 16.0)
}

/// Inches to the nearest sixteenth, as `4 1/2`, `3/16`, `0` or `-1/4`.
pub fn bench_inches(length: Length) -> String {
    let sixteenths = (length.in_inches() * 16.0).round() as i64;
    let sign = if sixteenths < 0 { "-" } else { "" };
    let (whole, rest) = (sixteenths.abs() / 16, sixteenths.abs() % 16);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let shift = rest.trailing_zeros();
    let (top, bottom) = (rest >> shift, 16 >> shift);
    if whole == 0 {
        format!("{sign}{top}/{bottom}")
    } else {
        format!("{sign}{whole} {top}/{bottom}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteenths_print_in_lowest_terms() {
        for (inches, text) in [
            (4.5, "4 1/2"),
            (0.1875, "3/16"),
            (0.0, "0"),
            (-0.25, "-1/4"),
            (2.94, "2 15/16"),
            (2.999, "3"),
        ] {
            assert_eq!(bench_inches(Length::inches(inches)), text);
        }
    }
}
