//! Forming profiles in answers.

use serde::Serialize;
use utoipa::ToSchema;

use super::fields::FormedWall;
use crate::app::forming_profiles::{KnownProfile, SHOP};
use crate::http::v1::kept::instant;
use crate::http::wire::{QuantityOut, Units};
use crate::trade::forming::{FormedSize, FormingProfile};
use crate::trade::tube::WallType;

/// A forming profile in a list, without its sizes.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ProfileSummary {
    /// Its id, as requests name it in `forming_profile`.
    #[schema(example = "built-in")]
    id: String,
    /// Counted from 1 with each change.
    #[schema(example = 1)]
    version: i64,
    /// Its name.
    #[schema(example = "built-in")]
    name: String,
    /// Whether it holds where a request names none: true of `shop`. While there is none of that id, the
    /// built-in one holds.
    #[schema(example = false)]
    default: bool,
    /// Where its figures come from.
    #[schema(example = "samples drawn and cut open, November 2026")]
    source: String,
    /// What else is to be known of it.
    note: String,
    /// Limits of every size that says nothing of its own.
    general: GeneralOut,
    /// Only the sizes listed are formed.
    #[schema(example = false)]
    listed_only: bool,
    /// When this version was made; `null` for the built-in one, and for what was only tried.
    #[schema(required, format = "date-time", example = "2026-11-25T08:05:36Z")]
    changed_at: Option<String>,
}

/// A forming profile, whole.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ProfileOut {
    /// Everything but its sizes.
    #[serde(flatten)]
    summary: ProfileSummary,
    /// What is known of single sizes of branch on run.
    sizes: Vec<FormedSizeOut>,
}

/// The general limits of a profile.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GeneralOut {
    /// Thinnest type of run that is drawn.
    thinnest_run: FormedWall,
    /// Smallest outlet.
    #[schema(example = "1/2")]
    least_outlet: String,
    /// Largest outlet.
    #[schema(example = "4")]
    greatest_outlet: String,
    /// Smallest run.
    #[schema(example = "1/2")]
    least_run: String,
    /// Largest run.
    #[schema(example = "8")]
    greatest_run: String,
    /// Least centre distance, as a multiple of the mean of two openings.
    #[schema(example = 1.5)]
    pitch_factor: f64,
    /// Least distance from a centre to the end of the run, as a multiple of the opening.
    #[schema(example = 0.75)]
    end_factor: f64,
    /// Usual limit of pilot over collar diameter.
    #[schema(example = 0.72)]
    usual_ratio: f64,
    /// Severe limit of it.
    #[schema(example = 0.63)]
    severe_ratio: f64,
    /// Radial gap between collar and branch.
    gap: QuantityOut,
    /// The run is annealed where a collar is drawn, before it is drawn.
    #[schema(example = false)]
    anneal: bool,
}

/// What is known of one branch size on one run size; `null` goes by the general limits.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FormedSizeOut {
    /// Size of the run, as its tube goes by: inches, inches outside or millimetres outside.
    #[schema(example = "2")]
    run: String,
    /// Size of the branch, as its tube goes by.
    #[schema(example = "1")]
    branch: String,
    /// The equipment draws it.
    #[schema(example = true)]
    allowed: bool,
    /// Diameter of the pilot that was proved.
    #[schema(required)]
    pilot: Option<QuantityOut>,
    /// Least centre distance to another outlet, over the surface of the run.
    #[schema(required)]
    least_pitch: Option<QuantityOut>,
    /// Least distance from the centre to the end of the run.
    #[schema(required)]
    least_end_distance: Option<QuantityOut>,
    /// Thinnest type of run.
    #[schema(required)]
    thinnest_run: Option<FormedWall>,
    /// The run is annealed there before the collar is drawn.
    #[schema(required)]
    anneal: Option<bool>,
    /// Usual limit of pilot over collar diameter.
    #[schema(required)]
    usual_ratio: Option<f64>,
    /// Severe limit of it.
    #[schema(required)]
    severe_ratio: Option<f64>,
    /// Where these figures come from; empty when the profile's source holds.
    source: String,
    /// What else is to be known.
    note: String,
}

/// The wall as the contract names it. Nothing thinner than type M can be entered.
fn wall(kind: WallType) -> FormedWall {
    if kind >= WallType::K {
        FormedWall::K
    } else if kind >= WallType::L {
        FormedWall::L
    } else {
        FormedWall::M
    }
}

impl ProfileSummary {
    /// In the units asked for.
    pub fn of(known: &KnownProfile, units: Units) -> Self {
        let profile = &known.profile;
        Self {
            id: profile.id.clone(),
            version: profile.version,
            name: profile.name.clone(),
            default: profile.id == SHOP,
            source: profile.source.clone(),
            note: profile.note.clone(),
            general: general(profile, units),
            listed_only: profile.listed_only,
            changed_at: known.changed_at.map(instant),
        }
    }
}

impl ProfileOut {
    /// In the units asked for.
    pub fn of(known: &KnownProfile, units: Units) -> Self {
        let sizes = known.profile.sizes.iter();
        Self {
            summary: ProfileSummary::of(known, units),
            sizes: sizes.map(|size| size_out(size, units)).collect(),
        }
    }
}

fn general(profile: &FormingProfile, units: Units) -> GeneralOut {
    GeneralOut {
        thinnest_run: wall(profile.thinnest_run),
        least_outlet: profile.outlets.0.text(),
        greatest_outlet: profile.outlets.1.text(),
        least_run: profile.runs.0.text(),
        greatest_run: profile.runs.1.text(),
        pitch_factor: profile.pitch_factor,
        end_factor: profile.end_factor,
        usual_ratio: profile.caution_ratio,
        severe_ratio: profile.severe_ratio,
        gap: QuantityOut::length(profile.gap, units),
        anneal: profile.anneals,
    }
}

fn size_out(size: &FormedSize, units: Units) -> FormedSizeOut {
    let length = |it: Option<_>| it.map(|it| QuantityOut::bench_length(it, units));
    FormedSizeOut {
        run: size.run.text(),
        branch: size.branch.text(),
        allowed: size.allowed,
        pilot: length(size.pilot),
        least_pitch: length(size.least_pitch),
        least_end_distance: length(size.least_end),
        thinnest_run: size.thinnest_run.map(wall),
        anneal: size.anneals,
        usual_ratio: size.caution_ratio,
        severe_ratio: size.severe_ratio,
        source: size.source.clone(),
        note: size.note.clone(),
    }
}
