//! What a shop's forming equipment can draw.

use super::quantity::Length;
use super::source::Basis;
use super::tube::{Nominal, Tube, WallType};

/// Id of the profile that is always there.
pub const BUILT_IN: &str = "built-in";

/// Limits of one shop's forming equipment. No code gives pitch or end distance; they belong here.
#[derive(Debug, Clone, PartialEq)]
pub struct FormingProfile {
    /// What requests name it by.
    pub id: String,
    /// Counted from 1 with each change; a version never changes.
    pub version: i64,
    /// Its name, shown with every limit taken from it.
    pub name: String,
    /// Where its figures come from.
    pub source: String,
    /// What else is to be known of it.
    pub note: String,
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
    /// Ratio of pilot to collar diameter below which a draw is severe: annealing and a sample are
    /// advised.
    pub caution_ratio: f64,
    /// Ratio below which it is beyond that.
    pub severe_ratio: f64,
    /// Radial gap between collar and branch.
    pub gap: Length,
    /// The run is annealed where a collar is drawn, before it is drawn.
    pub anneals: bool,
    /// Only the sizes listed are formed; else the others go by the limits above.
    pub listed_only: bool,
    /// What is known of single sizes.
    pub sizes: Vec<FormedSize>,
}

/// What the shop knows of one outlet size on one run size. What is `None` goes by the profile.
#[derive(Debug, Clone, PartialEq)]
pub struct FormedSize {
    /// Size of the run.
    pub run: Nominal,
    /// Size of the branch.
    pub branch: Nominal,
    /// The equipment draws it.
    pub allowed: bool,
    /// Diameter of the pilot that was proved.
    pub pilot: Option<Length>,
    /// Least centre distance to another outlet, over the surface of the run.
    pub least_pitch: Option<Length>,
    /// Least distance from the centre to the end of the run.
    pub least_end: Option<Length>,
    /// Thinnest run wall.
    pub thinnest_run: Option<WallType>,
    /// Annealed before it is drawn, or not.
    pub anneals: Option<bool>,
    /// Usual limit of pilot over collar diameter.
    pub caution_ratio: Option<f64>,
    /// Severe limit of it.
    pub severe_ratio: Option<f64>,
    /// Where the figures come from.
    pub source: String,
    /// What else is to be known.
    pub note: String,
}

/// How hard a draw is, by the limits of pilot over collar diameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// No smaller than the usual limit.
    Usual,
    /// Below it: annealing and a sample are advised.
    Severe,
    /// Below the severe limit, too.
    Beyond,
}

/// Whether a size is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawn {
    /// The shop lists it as drawn.
    Listed,
    /// It is not listed, and goes by the general limits.
    ByGeneralLimits,
    /// The shop lists it as not drawn.
    Refused,
    /// It is not listed, and only listed sizes are drawn.
    NotListed,
}

impl FormingProfile {
    /// The profile that stands in until a shop enters its own.
    ///
    /// Envelope: Copper Tube Handbook, ch. 13 (seen). Type L or thicker: common practice. Pitch:
    /// analogue of ASME B31.3-2016 304.3.3(e) (seen). End distance: half of that pitch, a
    /// stand-in. Draw ratios: from memory.
    pub fn built_in() -> Self {
        Self {
            id: BUILT_IN.to_owned(),
            version: 1,
            name: BUILT_IN.to_owned(),
            source: "sizes: Copper Tube Handbook, ch. 13 (seen); type L or thicker: common practice; pitch: analogue of ASME B31.3-2016 304.3.3(e) (seen); end distance: stand-in; draw ratios: from memory".to_owned(),
            note: "Stands in until the shop enters the limits that its own equipment has proved."
                .to_owned(),
            thinnest_run: WallType::L,
            outlets: (Nominal::eighths(4), Nominal::eighths(32)),
            runs: (Nominal::eighths(4), Nominal::eighths(64)),
            pitch_factor: 1.5,
            end_factor: 0.75,
            caution_ratio: 0.72,
            severe_ratio: 0.63,
            gap: Length::inches(0.003),
            anneals: false,
            listed_only: false,
            sizes: Vec::new(),
        }
    }

    /// Whether it is the one that stands in.
    pub fn is_built_in(&self) -> bool {
        self.id == BUILT_IN
    }

    /// What is known of a branch on a run. A row of the very sizes comes first; else refrigerant
    /// tube goes by the row of inch tube of its outside diameter, and inch tube by its. Metric tube
    /// has rows of its own: its diameters are not those of inch tube.
    pub fn size(&self, run: &Tube, branch: &Tube) -> Option<&FormedSize> {
        let found = |same: fn(Nominal, Nominal) -> bool| {
            let mut sizes = self.sizes.iter();
            sizes.find(|it| same(it.run, run.nominal) && same(it.branch, branch.nominal))
        };
        found(|row, tube| row == tube)
            .or_else(|| found(|row, tube| row.fitting_size() == tube.fitting_size()))
    }

    /// Whether a branch on a run is drawn.
    pub fn drawn(&self, run: &Tube, branch: &Tube) -> Drawn {
        match self.size(run, branch) {
            Some(size) if size.allowed => Drawn::Listed,
            Some(_) => Drawn::Refused,
            None if self.listed_only => Drawn::NotListed,
            None => Drawn::ByGeneralLimits,
        }
    }

    /// Thinnest run wall for a branch on a run.
    pub fn thinnest(&self, run: &Tube, branch: &Tube) -> WallType {
        let size = self.size(run, branch);
        size.and_then(|size| size.thinnest_run)
            .unwrap_or(self.thinnest_run)
    }

    /// Usual and severe limit of pilot over collar diameter for a branch on a run.
    pub fn ratios(&self, run: &Tube, branch: &Tube) -> (f64, f64) {
        let size = self.size(run, branch);
        let usual = size.and_then(|size| size.caution_ratio);
        let severe = size.and_then(|size| size.severe_ratio);
        (
            usual.unwrap_or(self.caution_ratio),
            severe.unwrap_or(self.severe_ratio),
        )
    }

    /// How hard a draw of that ratio is.
    pub fn severity(&self, run: &Tube, branch: &Tube, ratio: f64) -> Severity {
        let (usual, severe) = self.ratios(run, branch);
        // The higher one opens the caution, whichever way they were entered.
        if ratio >= usual.max(severe) {
            Severity::Usual
        } else if ratio < severe {
            Severity::Beyond
        } else {
            Severity::Severe
        }
    }

    /// Whether the run is annealed before a branch is drawn from it.
    pub fn anneals(&self, run: &Tube, branch: &Tube) -> bool {
        let size = self.size(run, branch);
        size.and_then(|size| size.anneals).unwrap_or(self.anneals)
    }

    /// The basis of a limit taken from this profile.
    pub fn basis(&self, why: &str) -> Basis {
        if self.is_built_in() {
            return Basis::shop(&format!("forming profile \"{}\": {why}", self.name));
        }
        Basis::shop(&format!(
            "forming profile \"{}\", version {}: {why}",
            self.name, self.version
        ))
    }

    /// The basis of a limit that the shop entered for one size.
    pub fn basis_of(&self, size: &FormedSize, what: &str) -> Basis {
        let source = if size.source.is_empty() {
            &self.source
        } else {
            &size.source
        };
        self.basis(&format!(
            "{what} for {} on {}, from {source}",
            size.branch.with_unit(),
            size.run.with_unit()
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::catalogue::Catalogue;

    fn listed(run: &str, branch: &str, usual: f64) -> FormedSize {
        FormedSize {
            run: Nominal::parse(run).unwrap(),
            branch: Nominal::parse(branch).unwrap(),
            allowed: true,
            pilot: None,
            least_pitch: None,
            least_end: None,
            thinnest_run: None,
            anneals: None,
            caution_ratio: Some(usual),
            severe_ratio: None,
            source: String::new(),
            note: String::new(),
        }
    }

    #[test]
    fn metric_and_refrigerant_tube_find_their_rows() {
        // EN 1057 and ASTM B280 tube goes by its outside diameter; ASTM B88 2 x 1 has 2-1/8 and 1-1/8 in.
        let catalogue = Catalogue::built_in().unwrap();
        let tube = |id: &str| catalogue.tube(id).unwrap();
        let mut profile = FormingProfile::built_in();
        profile.sizes = vec![listed("54 mm", "28 mm", 0.71), listed("2", "1", 0.70)];
        let usual = |profile: &FormingProfile, run: &str, branch: &str| {
            let size = profile.size(tube(run), tube(branch));
            size.and_then(|size| size.caution_ratio)
        };
        assert_eq!(usual(&profile, "en1057-54x2", "en1057-28x1.2"), Some(0.71));
        assert_eq!(usual(&profile, "b88m-b-54", "b88m-a-28"), Some(0.71));
        assert_eq!(usual(&profile, "b88-l-2", "b88-l-1"), Some(0.70));
        // 2-1/8 in OD is the diameter of 2 in water tube; 54 mm is not.
        assert_eq!(usual(&profile, "b280-2.125", "b280-1.125"), Some(0.70));
        assert_eq!(usual(&profile, "b88-l-2", "en1057-28x1.2"), None);
        // A row of the very size comes first, wherever it stands.
        profile.sizes.push(listed("2-1/8 OD", "1-1/8 OD", 0.69));
        assert_eq!(usual(&profile, "b280-2.125", "b280-1.125"), Some(0.69));
        assert_eq!(usual(&profile, "b88-l-2", "b88-l-1"), Some(0.70));
        profile.sizes.remove(1);
        assert_eq!(usual(&profile, "b88-l-2", "b88-l-1"), Some(0.69));
        let row = &profile.sizes[0];
        let basis = profile.basis_of(row, "least pitch");
        assert!(basis.cite.contains("28 mm on 54 mm"), "{}", basis.cite);
    }

    #[test]
    fn what_a_size_does_not_say_goes_by_the_profile() {
        let catalogue = Catalogue::built_in().unwrap();
        let tube = |id: &str| catalogue.tube(id).unwrap();
        let (run, one, half) = (tube("b88-l-2"), tube("b88-l-1"), tube("b88-l-0.5"));
        let mut profile = FormingProfile::built_in();
        assert_eq!(profile.drawn(run, one), Drawn::ByGeneralLimits);
        profile.listed_only = true;
        profile.sizes.push(FormedSize {
            run: run.nominal,
            branch: one.nominal,
            allowed: true,
            pilot: None,
            least_pitch: None,
            least_end: None,
            thinnest_run: Some(WallType::M),
            anneals: None,
            caution_ratio: Some(0.7),
            severe_ratio: None,
            source: String::new(),
            note: String::new(),
        });
        assert_eq!(profile.drawn(run, one), Drawn::Listed);
        assert_eq!(profile.drawn(run, half), Drawn::NotListed);
        assert_eq!(profile.thinnest(run, one), WallType::M);
        assert_eq!(profile.thinnest(run, half), WallType::L);
        assert_eq!(profile.ratios(run, one), (0.7, 0.63));
        for (ratio, severity) in [
            (0.7, Severity::Usual),
            (0.69, Severity::Severe),
            (0.63, Severity::Severe),
            (0.62, Severity::Beyond),
        ] {
            assert_eq!(profile.severity(run, one, ratio), severity);
        }
        profile.sizes[0].allowed = false;
        assert_eq!(profile.drawn(run, one), Drawn::Refused);
    }
}
