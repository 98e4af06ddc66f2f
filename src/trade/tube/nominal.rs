//! The size a tube goes by, which is never a dimension to cut to.

use std::cmp::Ordering;

use crate::trade::quantity::{Length, Quantity as _};

/// The size a tube goes by: `1-1/4` (close to the bore) for water tube, the outside diameter in
/// inches for refrigerant tube, the outside diameter in millimetres for metric tube.
///
/// Sizes are ordered by the outside diameter of their tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nominal(Kind);

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    /// Eighths of an inch, close to the bore.
    Inch(u32),
    /// Sixteenths of an inch of outside diameter.
    OutsideInch(u32),
    /// Tenths of a millimetre of outside diameter.
    OutsideMillimetre(u32),
}

/// A whole number of steps, within what tube comes in.
fn whole(steps: f64) -> Option<u32> {
    let rounded = steps.round();
    let fits = (steps - rounded).abs() < 1e-6 && (1.0..=10_000.0).contains(&rounded);
    fits.then_some(rounded as u32)
}

impl Nominal {
    /// From whole eighths of an inch.
    pub const fn eighths(eighths: u32) -> Self {
        Self(Kind::Inch(eighths))
    }

    /// From a decimal number of inches that is a whole number of eighths.
    pub fn from_decimal(inches: f64) -> Option<Self> {
        let eighths = whole(inches * 8.0).filter(|eighths| *eighths <= 1000)?;
        Some(Self(Kind::Inch(eighths)))
    }

    /// The size of tube that goes by its outside diameter in inches, in whole sixteenths.
    pub fn outside_inches(od: f64) -> Option<Self> {
        whole(od * 16.0).map(|it| Self(Kind::OutsideInch(it)))
    }

    /// The size of tube that goes by its outside diameter in millimetres, in whole tenths.
    pub fn outside_millimetres(od: f64) -> Option<Self> {
        whole(od * 10.0).map(|it| Self(Kind::OutsideMillimetre(it)))
    }

    /// From a text as the trade writes sizes: `2`, `1-1/4`, `1.25 in`; `7/8 OD`, `7/8 in OD`;
    /// `28 mm`. `None` when it is none, or larger than any tube.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let size = if let Some(outside) = text.strip_suffix("OD") {
            Self::outside_inches(inches(outside)?)
        } else if let Some(metric) = text.strip_suffix("mm") {
            Self::outside_millimetres(metric.trim().parse().ok()?)
        } else {
            Self::from_decimal(inches(text)?)
        };
        size.filter(|size| *size <= LARGEST)
    }

    /// The bare number, in the unit the size goes by.
    pub fn decimal(self) -> f64 {
        match self.0 {
            Kind::Inch(eighths) => f64::from(eighths) / 8.0,
            Kind::OutsideInch(sixteenths) => f64::from(sixteenths) / 16.0,
            Kind::OutsideMillimetre(tenths) => f64::from(tenths) / 10.0,
        }
    }

    /// Whether the size is metric.
    pub const fn is_metric(self) -> bool {
        matches!(self.0, Kind::OutsideMillimetre(_))
    }

    /// Outside diameter of the tube of this size: nominal and 1/8 in for inch water tube.
    pub fn od(self) -> Length {
        Length::millimetres(self.tenths_of_micrometres() as f64 / 10_000.0)
    }

    fn tenths_of_micrometres(self) -> u64 {
        match self.0 {
            Kind::Inch(eighths) => (u64::from(eighths) + 1) * 31_750,
            Kind::OutsideInch(sixteenths) => u64::from(sixteenths) * 15_875,
            Kind::OutsideMillimetre(tenths) => u64::from(tenths) * 1_000,
        }
    }

    /// The inch size whose fittings and tables serve this one: itself; 1/8 in less than the
    /// outside diameter of refrigerant tube; for metric tube the nearest in outside diameter
    /// (common practice: 15 mm counts as 1/2, 28 mm as 1, 108 mm as 4).
    pub fn counted_as(self) -> Self {
        let eighths = match self.0 {
            Kind::Inch(eighths) => eighths,
            Kind::OutsideInch(sixteenths) => (sixteenths / 2).saturating_sub(1),
            Kind::OutsideMillimetre(_) => {
                let apart = |eighths: &u32| {
                    let there = Self::eighths(*eighths).tenths_of_micrometres();
                    there.abs_diff(self.tenths_of_micrometres())
                };
                SIZES.into_iter().min_by_key(apart).unwrap_or_default()
            }
        };
        Self(Kind::Inch(eighths))
    }

    /// The size its fittings go by: refrigerant tube takes the solder cups of inch water tube
    /// of the same outside diameter, when there is such a size.
    pub fn fitting_size(self) -> Self {
        match self.0 {
            Kind::OutsideInch(sixteenths) if sixteenths % 2 == 0 => self.counted_as(),
            _ => self,
        }
    }

    /// As the trade writes it: `1-1/4`, `7/8 OD`, `28 mm`.
    pub fn text(self) -> String {
        match self.0 {
            Kind::Inch(eighths) => fraction(eighths, 8),
            Kind::OutsideInch(sixteenths) => format!("{} OD", fraction(sixteenths, 16)),
            Kind::OutsideMillimetre(_) => format!("{} mm", self.decimal()),
        }
    }

    /// With its unit, for sentences: `1-1/4 in`, `7/8 in OD`, `28 mm`.
    pub fn with_unit(self) -> String {
        match self.0 {
            Kind::Inch(_) => format!("{} in", self.text()),
            Kind::OutsideInch(sixteenths) => format!("{} in OD", fraction(sixteenths, 16)),
            Kind::OutsideMillimetre(_) => self.text(),
        }
    }
}

/// The largest size of any tube here.
const LARGEST: Nominal = Nominal(Kind::Inch(96));

/// A number of inches, with its unit or without.
fn inches(text: &str) -> Option<f64> {
    let bare = text.trim().trim_end_matches("in").trim_end_matches('"');
    let length = Length::parse(&format!("{} in", bare.trim())).ok()?;
    Some(length.in_inches())
}

/// The sizes inch water tube comes in, in eighths.
const SIZES: [u32; 18] = [
    2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 28, 32, 40, 48, 64, 80, 96,
];

impl Ord for Nominal {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_od = self
            .tenths_of_micrometres()
            .cmp(&other.tenths_of_micrometres());
        by_od.then_with(|| self.0.cmp(&other.0))
    }
}

impl PartialOrd for Nominal {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// A number of parts of an inch as a whole number and the lowest fraction.
fn fraction(parts: u32, of: u32) -> String {
    let (whole, rest) = (parts / of, parts % of);
    if rest == 0 {
        return whole.to_string();
    }
    let shift = rest.trailing_zeros();
    let fraction = format!("{}/{}", rest >> shift, of >> shift);
    if whole == 0 {
        fraction
    } else {
        format!("{whole}-{fraction}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_print_as_the_trade_writes_them() {
        for (decimal, text) in [
            (0.25, "1/4"),
            (0.5, "1/2"),
            (1.0, "1"),
            (1.25, "1-1/4"),
            (3.5, "3-1/2"),
        ] {
            assert_eq!(Nominal::from_decimal(decimal).unwrap().text(), text);
        }
        assert!(Nominal::from_decimal(0.3).is_none());
        assert!(Nominal::from_decimal(-1.0).is_none());
        let outside = Nominal::outside_inches(0.875).unwrap();
        assert_eq!(
            (outside.text().as_str(), outside.with_unit().as_str()),
            ("7/8 OD", "7/8 in OD")
        );
        let metric = Nominal::outside_millimetres(66.7).unwrap();
        assert_eq!(metric.with_unit(), "66.7 mm");
    }

    #[test]
    fn sizes_read_as_the_trade_writes_them() {
        for (text, wanted) in [
            ("2", "2"),
            ("1-1/4", "1-1/4"),
            ("1 1/4", "1-1/4"),
            ("1.25", "1-1/4"),
            ("1/2 in", "1/2"),
            ("3\"", "3"),
            ("7/8 OD", "7/8 OD"),
            ("1-1/8 in OD", "1-1/8 OD"),
            ("28 mm", "28 mm"),
            ("66.7mm", "66.7 mm"),
        ] {
            let size = Nominal::parse(text).unwrap();
            assert_eq!(size.text(), wanted, "{text}");
            assert_eq!(Nominal::parse(&size.text()), Some(size));
            assert_eq!(Nominal::parse(&size.with_unit()), Some(size));
        }
        for text in [
            "", "two", "0", "-1", "0.3", "13", "OD", "mm", "0 mm", "NaN mm", "inf mm", "400 mm",
            "28 cm",
        ] {
            assert!(Nominal::parse(text).is_none(), "{text}");
        }
    }

    #[test]
    fn metric_sizes_count_as_their_inch_neighbours() {
        for (od, text) in [
            (15.0, "1/2"),
            (22.0, "3/4"),
            (28.0, "1"),
            (54.0, "2"),
            (66.7, "2-1/2"),
            (108.0, "4"),
            (219.0, "8"),
        ] {
            assert_eq!(
                Nominal::outside_millimetres(od)
                    .unwrap()
                    .counted_as()
                    .text(),
                text
            );
        }
        let outside = Nominal::outside_inches(2.125).unwrap();
        assert_eq!(outside.counted_as(), Nominal::eighths(16));
    }

    #[test]
    fn sizes_are_ordered_by_outside_diameter() {
        let inch = Nominal::eighths(8);
        let metric = Nominal::outside_millimetres(28.0).unwrap();
        let outside = Nominal::outside_inches(1.25).unwrap();
        assert!(metric < inch && inch < outside);
        assert!((inch.od().in_inches() - 1.125).abs() < 1e-12);
    }
}
