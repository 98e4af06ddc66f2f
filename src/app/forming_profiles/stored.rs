//! How a forming profile is kept: JSON with a form number, lengths in metres.

use serde::{Deserialize, Serialize};

use super::{AppError, FormingProfileRow, KIND, damaged};
use crate::trade::forming::{FormedSize, FormingProfile};
use crate::trade::quantity::Length;
use crate::trade::tube::{Nominal, WallType};

/// Version of the stored form.
const FORM: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Stored {
    form: u32,
    source: String,
    note: String,
    thinnest_run: String,
    outlets: (StoredNominal, StoredNominal),
    runs: (StoredNominal, StoredNominal),
    pitch_factor: f64,
    end_factor: f64,
    usual_ratio: f64,
    severe_ratio: f64,
    gap: f64,
    anneals: bool,
    listed_only: bool,
    sizes: Vec<StoredSize>,
}

/// A size: of inch water tube its number, as it was before there were others; of other tube its text.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum StoredNominal {
    Inches(f64),
    Text(String),
}

#[derive(Serialize, Deserialize)]
struct StoredSize {
    run: StoredNominal,
    branch: StoredNominal,
    allowed: bool,
    pilot: Option<f64>,
    least_pitch: Option<f64>,
    least_end: Option<f64>,
    thinnest_run: Option<String>,
    anneals: Option<bool>,
    usual_ratio: Option<f64>,
    severe_ratio: Option<f64>,
    source: String,
    note: String,
}

/// What a quote freezes of a profile.
///
/// # Errors
/// When it cannot be written.
pub fn frozen_text(profile: &FormingProfile) -> Result<String, AppError> {
    text(profile)
}

pub(super) fn text(profile: &FormingProfile) -> Result<String, AppError> {
    let stored = Stored {
        form: FORM,
        source: profile.source.clone(),
        note: profile.note.clone(),
        thinnest_run: profile.thinnest_run.name().to_owned(),
        outlets: (kept(profile.outlets.0), kept(profile.outlets.1)),
        runs: (kept(profile.runs.0), kept(profile.runs.1)),
        pitch_factor: profile.pitch_factor,
        end_factor: profile.end_factor,
        usual_ratio: profile.caution_ratio,
        severe_ratio: profile.severe_ratio,
        gap: profile.gap.in_metres(),
        anneals: profile.anneals,
        listed_only: profile.listed_only,
        sizes: profile.sizes.iter().map(size_to_store).collect(),
    };
    serde_json::to_string(&stored).map_err(|source| AppError::Damaged { what: KIND, source })
}

fn size_to_store(size: &FormedSize) -> StoredSize {
    let metres = |length: Option<Length>| length.map(Length::in_metres);
    StoredSize {
        run: kept(size.run),
        branch: kept(size.branch),
        allowed: size.allowed,
        pilot: metres(size.pilot),
        least_pitch: metres(size.least_pitch),
        least_end: metres(size.least_end),
        thinnest_run: size.thinnest_run.map(|kind| kind.name().to_owned()),
        anneals: size.anneals,
        usual_ratio: size.caution_ratio,
        severe_ratio: size.severe_ratio,
        source: size.source.clone(),
        note: size.note.clone(),
    }
}

fn kept(size: Nominal) -> StoredNominal {
    let number = size.decimal();
    if Nominal::from_decimal(number) == Some(size) {
        StoredNominal::Inches(number)
    } else {
        StoredNominal::Text(size.text())
    }
}

fn nominal(kept: StoredNominal) -> Result<Nominal, AppError> {
    let (found, shown) = match kept {
        StoredNominal::Inches(inches) => (Nominal::from_decimal(inches), format!("{inches} in")),
        StoredNominal::Text(text) => (Nominal::parse(&text), text),
    };
    found.ok_or_else(|| damaged(KIND, &format!("no size of {shown}")))
}

fn wall(name: &str) -> Result<WallType, AppError> {
    WallType::from_name(name).ok_or_else(|| damaged(KIND, &format!("no type {name:?}")))
}

pub(super) fn read(row: FormingProfileRow) -> Result<FormingProfile, AppError> {
    let stored: Stored = serde_json::from_str(&row.body)
        .map_err(|source| AppError::Damaged { what: KIND, source })?;
    let pair = |(least, most): (StoredNominal, StoredNominal)| {
        Ok::<_, AppError>((nominal(least)?, nominal(most)?))
    };
    Ok(FormingProfile {
        id: row.id,
        version: row.version,
        name: row.name,
        source: stored.source,
        note: stored.note,
        thinnest_run: wall(&stored.thinnest_run)?,
        outlets: pair(stored.outlets)?,
        runs: pair(stored.runs)?,
        pitch_factor: stored.pitch_factor,
        end_factor: stored.end_factor,
        caution_ratio: stored.usual_ratio,
        severe_ratio: stored.severe_ratio,
        gap: Length::metres(stored.gap),
        anneals: stored.anneals,
        listed_only: stored.listed_only,
        sizes: stored
            .sizes
            .into_iter()
            .map(size)
            .collect::<Result<_, _>>()?,
    })
}

fn size(stored: StoredSize) -> Result<FormedSize, AppError> {
    let length = |metres: Option<f64>| metres.map(Length::metres);
    Ok(FormedSize {
        run: nominal(stored.run)?,
        branch: nominal(stored.branch)?,
        allowed: stored.allowed,
        pilot: length(stored.pilot),
        least_pitch: length(stored.least_pitch),
        least_end: length(stored.least_end),
        thinnest_run: stored.thinnest_run.as_deref().map(wall).transpose()?,
        anneals: stored.anneals,
        caution_ratio: stored.usual_ratio,
        severe_ratio: stored.severe_ratio,
        source: stored.source,
        note: stored.note,
    })
}
