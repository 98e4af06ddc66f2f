//! The general limits of a forming profile.

use super::fields::{DrawRatio, FormedWall, NominalIn, OpeningFactor, YesNo};
use crate::http::v1::manifold::SizeIn;
use crate::http::wire::{At, Faults, code, wire_struct};
use crate::trade::forming::FormingProfile;
use crate::trade::quantity::Length;

wire_struct! {
    /// Limits of every size that says nothing of its own; what is left out goes by the built-in profile.
    #[example = {"thinnest_run": "L", "usual_ratio": "0.72", "severe_ratio": "0.63"}]
    pub struct GeneralIn {
        /// Thinnest type of run that is drawn.
        #[example = "L"]
        thinnest_run: Option<FormedWall>,
        /// Smallest outlet.
        #[example = "1/2"]
        least_outlet: Option<NominalIn>,
        /// Largest outlet.
        #[example = "4"]
        greatest_outlet: Option<NominalIn>,
        /// Smallest run.
        #[example = "1/2"]
        least_run: Option<NominalIn>,
        /// Largest run.
        #[example = "8"]
        greatest_run: Option<NominalIn>,
        /// Least centre distance, as a multiple of the mean of two openings.
        #[example = "1.5"]
        pitch_factor: Option<OpeningFactor>,
        /// Least distance from a centre to the end of the run, as a multiple of the opening.
        #[example = "0.75"]
        end_factor: Option<OpeningFactor>,
        /// Usual limit of pilot over collar diameter.
        #[example = "0.72"]
        usual_ratio: Option<DrawRatio>,
        /// Severe limit of it.
        #[example = "0.63"]
        severe_ratio: Option<DrawRatio>,
        /// Radial gap between collar and branch.
        #[example = "0.003 in"]
        gap: Option<SizeIn>,
        /// The run is annealed where a collar is drawn, before it is drawn.
        #[example = false]
        anneal: Option<YesNo>,
    }
}

/// Widest gap that is taken; brazing fills 0.005 in (Copper Tube Handbook), wider ones are slips.
const WIDEST_GAP: Length = Length::inches(0.02);

impl GeneralIn {
    /// These limits, over those of another profile; what contradicts itself is reported under `at`.
    pub fn over(&self, base: &FormingProfile, at: &At<'_>, faults: &mut Faults) -> FormingProfile {
        let size = |given: Option<NominalIn>, known| given.map_or(known, |given| given.0);
        let outlets = (
            size(self.least_outlet, base.outlets.0),
            size(self.greatest_outlet, base.outlets.1),
        );
        let runs = (
            size(self.least_run, base.runs.0),
            size(self.greatest_run, base.runs.1),
        );
        for ((least, most), field) in [(outlets, "greatest_outlet"), (runs, "greatest_run")] {
            if least > most {
                let detail = format!(
                    "`{field}` is {}, below the least, {}; turn them round",
                    most.with_unit(),
                    least.with_unit()
                );
                faults.report(&at.field(field), code::OUT_OF_RANGE, detail);
            }
        }
        let gap = self.gap.as_ref().map_or(base.gap, SizeIn::get);
        if gap > WIDEST_GAP {
            let detail = format!(
                "`gap` is {:.3} in; brazing fills gaps of 0.001 to 0.005 in (Copper Tube Handbook), so give at most {:.3} in",
                gap.in_inches(),
                WIDEST_GAP.in_inches()
            );
            faults.report(&at.field("gap"), code::OUT_OF_RANGE, detail);
        }
        let usual = self.usual_ratio.map_or(base.caution_ratio, DrawRatio::get);
        let severe = self.severe_ratio.map_or(base.severe_ratio, DrawRatio::get);
        severe_below_usual((usual, severe), at, faults);
        FormingProfile {
            thinnest_run: self.thinnest_run.map_or(base.thinnest_run, Into::into),
            outlets,
            runs,
            pitch_factor: self
                .pitch_factor
                .map_or(base.pitch_factor, OpeningFactor::get),
            end_factor: self.end_factor.map_or(base.end_factor, OpeningFactor::get),
            caution_ratio: usual,
            severe_ratio: severe,
            gap,
            anneals: self.anneal.map_or(base.anneals, |anneal| anneal.0),
            ..base.clone()
        }
    }
}

/// A severe draw is a harder one than a usual draw: its ratio is the smaller.
pub fn severe_below_usual((usual, severe): (f64, f64), at: &At<'_>, faults: &mut Faults) {
    if severe > usual {
        let detail = format!(
            "`severe_ratio` is {severe}, above the usual ratio {usual}; the smaller the ratio, the harder the draw"
        );
        faults.report(&at.field("severe_ratio"), code::OUT_OF_RANGE, detail);
    }
}
