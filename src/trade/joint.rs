//! Joints: how far a tube goes in, how much filler fills the gap, and what the joint holds.

use std::f64::consts::PI;

use super::catalogue::Catalogue;
use super::filler::Filler;
use super::quantity::{Density, Length, Mass, Pressure, Temperature};
use super::tube::Nominal;

/// Soldered joints serve to 250 F, brazed ones to 350 F (Copper Tube Handbook, seen).
pub const SOLDER_LIMIT: Temperature = Temperature::fahrenheit(250.0);
/// The brazed limit; see [`SOLDER_LIMIT`].
pub const BRAZE_LIMIT: Temperature = Temperature::fahrenheit(350.0);

/// Radial gap taken for a brazed cup: the handbook's brazing table follows from 0.005 in (seen).
pub const BRAZED_CUP_GAP: Length = Length::inches(0.005);
/// Radial gap taken for a soldered cup: the handbook's solder table, widest column (seen).
pub const SOLDERED_CUP_GAP: Length = Length::inches(0.010);
/// Filler reaches two thirds of a cup when brazed (derived from the handbook's table).
pub const BRAZED_CUP_SHARE: f64 = 2.0 / 3.0;

/// How two pieces are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointMethod {
    /// Filler above 840 F.
    Brazed,
    /// Soft solder.
    Soldered,
}

impl JointMethod {
    /// The word people read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Brazed => "brazed",
            Self::Soldered => "soldered",
        }
    }
}

/// The kind of fitting a soldered rating is printed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointPattern {
    /// Pressure fittings.
    Pressure,
    /// Drainage fittings.
    Drainage,
}

/// One printed rating of a soldered joint.
#[derive(Debug, Clone, PartialEq)]
pub struct JointRating {
    /// The alloy.
    pub solder: String,
    /// The row's temperature.
    pub temperature: Temperature,
    /// Which kind of fitting.
    pub pattern: JointPattern,
    /// Smallest nominal size of the group, inches.
    pub from_inches: f64,
    /// Largest nominal size of the group, inches.
    pub to_inches: f64,
    /// The rating.
    pub rating: Pressure,
}

/// Rating of a soldered pressure joint: the row of the next printed temperature at or above,
/// without interpolation (the stricter reading of the table). Metric and refrigerant tube is
/// looked up by the inch size it counts as.
///
/// `None` above the hottest row, or for a size or alloy that the table does not hold.
pub fn soldered_rating(
    catalogue: &Catalogue,
    solder: &Filler,
    nominal: Nominal,
    temperature: Temperature,
) -> Option<Pressure> {
    let size = nominal.counted_as().decimal();
    catalogue
        .joint_ratings()
        .iter()
        .filter(|row| row.solder == solder.id && row.pattern == JointPattern::Pressure)
        .filter(|row| (row.from_inches..=row.to_inches).contains(&size))
        .filter(|row| row.temperature >= temperature)
        .min_by(|a, b| {
            a.temperature
                .in_kelvin()
                .total_cmp(&b.temperature.in_kelvin())
        })
        .map(|row| row.rating)
}

/// Filler that fills a gap: pi d lap gap rho, before any allowance.
pub fn filler_mass(diameter: Length, lap: Length, gap: Length, density: Density) -> Mass {
    diameter * lap * PI * gap * density
}

/// Filler for a tube of `diameter` in a cup of `depth`, before any allowance.
pub fn cup_filler_mass(
    method: JointMethod,
    diameter: Length,
    depth: Length,
    density: Density,
) -> Mass {
    match method {
        JointMethod::Brazed => {
            filler_mass(diameter, depth * BRAZED_CUP_SHARE, BRAZED_CUP_GAP, density)
        }
        JointMethod::Soldered => filler_mass(diameter, depth, SOLDERED_CUP_GAP, density),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn soldered_ratings_take_the_next_hotter_row() {
        // Copper Tube Handbook, Table 14.4a (seen): 50-50 solder, 1-1/4 to 2 in:
        // 175 psi at 100 F, 125 psi at 150 F, 75 psi at 250 F.
        let catalogue = Catalogue::load().unwrap();
        let solder = catalogue.filler("Sn50").unwrap();
        let size = Nominal::from_decimal(2.0).unwrap();
        let at = |degf| {
            soldered_rating(&catalogue, solder, size, Temperature::fahrenheit(degf))
                .map(|p| p.in_psi().round())
        };
        assert_eq!(at(60.0), Some(175.0));
        assert_eq!(at(101.0), Some(125.0));
        assert_eq!(at(250.0), Some(75.0));
        assert_eq!(at(251.0), None);
    }
}
