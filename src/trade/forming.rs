//! What a shop's forming equipment can draw.

use super::quantity::Length;
use super::source::Basis;
use super::tube::{Nominal, WallType};

/// Limits of one shop's forming equipment. No code gives pitch or end distance; they belong here.
#[derive(Debug, Clone, PartialEq)]
pub struct FormingProfile {
    /// Its name, shown with every limit taken from it.
    pub name: String,
    /// Thinnest run wall it draws.
    pub thinnest_run: WallType,
    /// Smallest and largest outlet.
    pub outlets: (Nominal, Nominal),
    /// Smallest and largest run.
    pub runs: (Nominal, Nominal),
    /// Least centre distance, as a multiple of the mean of two openings.
    pub pitch_factor: f64,
    /// Least distance from an outlet's centre to the end of the run, as a multiple of its opening.
    pub end_factor: f64,
    /// Ratio of pilot to collar diameter below which annealing and a sample are advised.
    pub caution_ratio: f64,
    /// Ratio below which the draw is severe.
    pub severe_ratio: f64,
    /// Radial gap between collar and branch.
    pub gap: Length,
}

impl FormingProfile {
    /// The profile that stands in until a shop enters its own.
    ///
    /// Envelope: Copper Tube Handbook, ch. 13 (seen). Type L or thicker: common practice. Pitch:
    /// analogue of ASME B31.3-2016 304.3.3(e) (seen). End distance: half of that pitch, a
    /// stand-in. Draw ratios: from memory.
    pub fn built_in() -> Self {
        Self {
            name: "built-in".to_owned(),
            thinnest_run: WallType::L,
            outlets: (Nominal::eighths(4), Nominal::eighths(32)),
            runs: (Nominal::eighths(4), Nominal::eighths(64)),
            pitch_factor: 1.5,
            end_factor: 0.75,
            caution_ratio: 0.72,
            severe_ratio: 0.63,
            gap: Length::inches(0.003),
        }
    }

    /// The basis of a limit taken from this profile.
    pub fn basis(&self, why: &str) -> Basis {
        Basis::shop(&format!("forming profile \"{}\": {why}", self.name))
    }
}
