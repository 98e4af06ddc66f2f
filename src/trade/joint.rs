//! Joints: how far a tube goes in, how much filler fills the gap, and what the joint holds.

use std::f64::consts::PI;

use super::catalogue::Catalogue;
use super::filler::Filler;
use super::quantity::{Density, Length, Mass, Pressure, Temperature, Volume};
use super::source::{Source, Status};
use super::tube::{Nominal, Tube};

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

/// One printed rating of a joint that carries saturated steam.
#[derive(Debug, Clone, PartialEq)]
pub struct SteamRating {
    /// The solder; `None` for a joint brazed with filler that melts at 1100 F or above.
    pub solder: Option<String>,
    /// Smallest nominal size of the group, inches.
    pub from_inches: f64,
    /// Largest nominal size of the group, inches.
    pub to_inches: f64,
    /// The rating.
    pub rating: Pressure,
}

/// Brazing filler that melts below this has no rating for steam.
const STEAM_FILLER: Temperature = Temperature::fahrenheit(1100.0);

/// Rating of a joint that carries saturated steam. The table gives one for each alloy, whatever
/// the temperature: at that pressure steam is as hot as the joint may be.
///
/// `None` for a filler or a size that the table does not hold.
pub fn steam_rating(catalogue: &Catalogue, filler: &Filler, nominal: Nominal) -> Option<Pressure> {
    let size = nominal.counted_as().decimal();
    let brazed = filler.is_brazing() && filler.solidus >= STEAM_FILLER;
    catalogue
        .steam_ratings()
        .iter()
        .filter(|row| match &row.solder {
            Some(solder) => *solder == filler.id,
            None => brazed,
        })
        .find(|row| (row.from_inches..=row.to_inches).contains(&size))
        .map(|row| row.rating)
}

/// The hottest row of a solder in the table of pressure joints.
pub fn soldered_limit(catalogue: &Catalogue, solder: &Filler) -> Option<Temperature> {
    catalogue
        .joint_ratings()
        .iter()
        .filter(|row| row.solder == solder.id && row.pattern == JointPattern::Pressure)
        .map(|row| row.temperature)
        .max_by(|a, b| a.in_kelvin().total_cmp(&b.in_kelvin()))
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

/// The filler of one joint, before any allowance: a ring of gap and lap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointFill {
    /// Length along the tube that the filler fills.
    pub lap: Length,
    /// Radial gap.
    pub gap: Length,
    /// Volume of the gap: pi d lap gap.
    pub volume: Volume,
    /// Mass of filler that fills it.
    pub mass: Mass,
}

impl JointFill {
    /// Of a tube of `diameter` over a lap with a radial gap.
    pub fn new(diameter: Length, (lap, gap): (Length, Length), density: Density) -> Self {
        let volume = diameter * lap * PI * gap;
        Self {
            lap,
            gap,
            volume,
            mass: volume * density,
        }
    }

    /// Of a tube of `diameter` in a cup of `depth`: filler reaches two thirds of a brazed cup and
    /// fills a soldered one.
    pub fn of_cup(method: JointMethod, diameter: Length, depth: Length, density: Density) -> Self {
        let ring = match method {
            JointMethod::Brazed => (depth * BRAZED_CUP_SHARE, BRAZED_CUP_GAP),
            JointMethod::Soldered => (depth, SOLDERED_CUP_GAP),
        };
        Self::new(diameter, ring, density)
    }

    /// Made alike, but for what rounding leaves.
    pub fn is_like(&self, other: &Self) -> bool {
        const ALIKE: Length = Length::millimetres(1e-6);
        (self.lap - other.lap).abs() < ALIKE && (self.gap - other.gap).abs() < ALIKE
    }
}

/// Length of round wire of a diameter that holds a volume of filler.
pub fn wire_length(volume: Volume, diameter: Length) -> Length {
    volume / (diameter * diameter * (PI / 4.0))
}

/// Diameter of the wire or rod taken when a design names none, and where that comes from.
pub fn usual_wire(method: JointMethod) -> (Length, Source) {
    match method {
        JointMethod::Brazed => (
            Length::inches(3.0 / 32.0),
            Source::new(
                "common practice: brazing wire of 3/32 in, one of those in the handbook's consumption table",
                Status::Memory,
            ),
        ),
        JointMethod::Soldered => (
            Length::inches(1.0 / 8.0),
            Source::new(
                "Copper Tube Handbook, solder consumption table: lengths of 1/8 in wire (derived from its lengths)",
                Status::Derived,
            ),
        ),
    }
}

/// Tensile strength of annealed copper over the shear strength of a brazed joint, times the
/// joint's integrity factor of 0.8: `T / (C L)` with T 30 000 psi and L 25 000 psi.
const STRENGTH_RATIO: f64 = 30_000.0 / (0.8 * 25_000.0);

/// How far a joint must lap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastLap {
    /// Three times the thinner wall.
    pub by_wall: Length,
    /// As strong as the annealed tube, `X = W (D - W) T / (C L D)`; soldered joints go by their
    /// printed ratings instead.
    pub by_strength: Option<Length>,
}

impl LeastLap {
    /// Of a tube that goes into a wall of its own thickness or into a run's.
    pub fn new(method: JointMethod, tube: &Tube, into: Option<&Tube>) -> Self {
        let thinner = into.map_or(tube.wall, |run| run.wall.min(tube.wall));
        let share = (tube.od - thinner) / tube.od;
        Self {
            by_wall: thinner * 3.0,
            by_strength: (method == JointMethod::Brazed)
                .then(|| thinner * (share * STRENGTH_RATIO)),
        }
    }

    /// Where the two come from.
    pub fn sources() -> [Source; 2] {
        [
            Source::new(
                "model plumbing codes and the Copper Tube Handbook: lap at least three times the thinner wall, fully penetrated",
                Status::Seen,
            ),
            Source::new(
                "brazing handbooks: X = W (D - W) T / (C L D), W thinner wall, D outside diameter, T 30 000 psi (annealed copper), C 0.8, L 25 000 psi (filler in shear)",
                Status::Memory,
            ),
        ]
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
