//! Copper tube: sizes, tolerances, mass and contents.

use std::f64::consts::PI;

use super::quantity::{Area, Density, Length, LinearMass, Volume};
use super::source::Source;

/// Copper C12200 as ASTM tube weights take it: 0.323 lb/in3 reproduces every published
/// ASTM B88 weight at three figures (seen).
pub const COPPER_DENSITY: Density = Density::pounds_per_cubic_inch(0.323);

/// The product standard a tube is made to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standard {
    /// ASTM B88, seamless copper water tube.
    AstmB88,
    /// ASTM B306, copper drainage tube (DWV).
    AstmB306,
}

impl Standard {
    /// Every standard of the catalogue.
    pub const ALL: [Self; 2] = [Self::AstmB88, Self::AstmB306];

    /// The name as printed on the standard.
    pub const fn name(self) -> &'static str {
        match self {
            Self::AstmB88 => "ASTM B88",
            Self::AstmB306 => "ASTM B306",
        }
    }

    /// How tube ids of this standard begin.
    pub const fn id_prefix(self) -> &'static str {
        match self {
            Self::AstmB88 => "b88",
            Self::AstmB306 => "b306",
        }
    }
}

/// The wall series of a standard, thinnest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallType {
    /// Drainage tube. Never pressure tube.
    Dwv,
    /// Thin.
    M,
    /// Medium.
    L,
    /// Thick.
    K,
}

impl WallType {
    /// Every type, thinnest first.
    pub const ALL: [Self; 4] = [Self::Dwv, Self::M, Self::L, Self::K];

    /// The letter or letters of the trade.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dwv => "DWV",
            Self::M => "M",
            Self::L => "L",
            Self::K => "K",
        }
    }

    /// From its letters, in either case.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.name().eq_ignore_ascii_case(name))
    }
}

/// How hard the tube is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Temper {
    /// Soft: ASTM O60 or O50; also any tube that has been brazed.
    Annealed,
    /// Hard: ASTM H58.
    Drawn,
}

impl Temper {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Annealed => "annealed",
            Self::Drawn => "drawn",
        }
    }
}

/// A nominal size such as `1-1/4`: close to the bore, never a dimension to cut to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Nominal {
    eighths: u32,
}

impl Nominal {
    /// From whole eighths of an inch.
    pub const fn eighths(eighths: u32) -> Self {
        Self { eighths }
    }

    /// From a decimal number of inches that is a whole number of eighths.
    pub fn from_decimal(inches: f64) -> Option<Self> {
        let eighths = (inches * 8.0).round();
        let whole = (inches * 8.0 - eighths).abs() < 1e-9 && (1.0..=1000.0).contains(&eighths);
        whole.then_some(Self {
            eighths: eighths as u32,
        })
    }

    /// As a decimal number of inches.
    pub fn decimal(self) -> f64 {
        f64::from(self.eighths) / 8.0
    }

    /// As the trade writes it: `1-1/4`.
    pub fn text(self) -> String {
        let (whole, rest) = (self.eighths / 8, self.eighths % 8);
        if rest == 0 {
            return whole.to_string();
        }
        let shift = rest.trailing_zeros();
        let fraction = format!("{}/{}", rest >> shift, 8 >> shift);
        if whole == 0 {
            fraction
        } else {
            format!("{whole}-{fraction}")
        }
    }
}

/// Permitted variations of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    /// Most the mean outside diameter of annealed tube may exceed the standard one.
    pub od_annealed: Option<Length>,
    /// The same for drawn tube.
    pub od_drawn: Option<Length>,
    /// Most the wall may fall short of, or exceed, the standard one.
    pub wall: Length,
    /// Where the tolerances come from.
    pub source: Source,
}

/// One size of one tube standard.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    /// The id clients use, such as `b88-l-1.25`.
    pub id: String,
    /// The product standard.
    pub standard: Standard,
    /// The wall series.
    pub wall_type: WallType,
    /// The nominal size.
    pub nominal: Nominal,
    /// Outside diameter.
    pub od: Length,
    /// Standard (nominal) wall.
    pub wall: Length,
    /// Permitted variations.
    pub tolerances: Tolerances,
    /// Tempers it is sold in.
    pub tempers: Vec<Temper>,
    /// Length of a straight stick as sold.
    pub stick: Length,
    /// Where the dimensions come from.
    pub source: Source,
}

impl Tube {
    /// Bore diameter at the standard wall.
    pub fn bore(&self) -> Length {
        self.od - self.wall * 2.0
    }

    /// Outside radius.
    pub fn outer_radius(&self) -> Length {
        self.od / 2.0
    }

    /// Inside radius.
    pub fn inner_radius(&self) -> Length {
        self.bore() / 2.0
    }

    /// Area of the bore.
    pub fn bore_area(&self) -> Area {
        self.bore() * self.bore() * (PI / 4.0)
    }

    /// Copper per length: pi (OD - t) t rho.
    pub fn linear_mass(&self) -> LinearMass {
        (self.od - self.wall) * self.wall * PI * COPPER_DENSITY
    }

    /// What a length holds when full.
    pub fn contents(&self, length: Length) -> Volume {
        self.bore_area() * length
    }

    /// Whether the standard makes it as pressure tube.
    pub fn is_pressure_tube(&self) -> bool {
        self.wall_type != WallType::Dwv
    }

    /// How the trade calls it: `2 in type L`.
    pub fn call_out(&self) -> String {
        match self.wall_type {
            WallType::Dwv => format!("{} in DWV", self.nominal.text()),
            kind => format!("{} in type {}", self.nominal.text(), kind.name()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nominal_sizes_print_as_the_trade_writes_them() {
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
    }
}
