//! Reading the small tables: fillers, cups, stresses, joint ratings.

use std::sync::Arc;

use serde::Deserialize;

use super::DataFault;
use crate::trade::filler::{Filler, FillerFamily};
use crate::trade::fitting::Cup;
use crate::trade::joint::{JointPattern, JointRating, SteamRating};
use crate::trade::quantity::{Density, Length, Pressure, Temperature};
use crate::trade::source::{Source, Status};
use crate::trade::strength::{EnStress, StressRow};
use crate::trade::tube::{Nominal, Temper};

pub(super) fn rows<R, T>(
    table: &'static str,
    text: &str,
    make: fn(R) -> Result<T, DataFault>,
) -> Result<Vec<T>, DataFault>
where
    R: for<'de> Deserialize<'de>,
{
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| make(row.map_err(|source| DataFault::Unreadable { table, source })?))
        .collect()
}

pub(in crate::trade) fn unknown(
    table: &'static str,
    value: &str,
    wanted: &'static str,
) -> DataFault {
    DataFault::UnknownWord {
        table,
        value: value.to_owned(),
        wanted,
    }
}

pub(in crate::trade) fn status(table: &'static str, word: &str) -> Result<Status, DataFault> {
    Ok(match word {
        "seen" => Status::Seen,
        "from memory" => Status::Memory,
        "inferred" => Status::Inferred,
        "derived" => Status::Derived,
        "stand-in" => Status::StandIn,
        other => return Err(unknown(table, other, "status")),
    })
}

#[derive(Deserialize)]
pub(super) struct FillerRow {
    id: String,
    family: String,
    solidus_degf: f64,
    liquidus_degf: Option<f64>,
    density_g_cm3: f64,
    density_status: String,
    composition: String,
    status: String,
    cite: String,
}

pub(super) fn filler(row: FillerRow) -> Result<Arc<Filler>, DataFault> {
    const TABLE: &str = "filler.csv";
    let family = match row.family.as_str() {
        "copper-phosphorus" => FillerFamily::CopperPhosphorus,
        "silver" => FillerFamily::Silver,
        "solder" => FillerFamily::Solder,
        other => return Err(unknown(TABLE, other, "filler family")),
    };
    Ok(Arc::new(Filler {
        family,
        solidus: Temperature::fahrenheit(row.solidus_degf),
        liquidus: row.liquidus_degf.map(Temperature::fahrenheit),
        density: (
            Density::grams_per_cubic_centimetre(row.density_g_cm3),
            Source::new(row.cite.as_str(), status(TABLE, &row.density_status)?),
        ),
        has_cadmium: row.composition.contains("Cd"),
        has_lead: row.composition.contains("Pb"),
        source: Source::new(row.cite.as_str(), status(TABLE, &row.status)?),
        composition: row.composition,
        id: row.id,
    }))
}

#[derive(Deserialize)]
pub(super) struct CupRow {
    unit: String,
    size: f64,
    depth: f64,
    status: String,
    cite: String,
}

pub(super) fn cup(row: CupRow) -> Result<Cup, DataFault> {
    const TABLE: &str = "cup_depth.csv";
    let (nominal, depth) = match row.unit.as_str() {
        "in" => (Nominal::from_decimal(row.size), Length::inches(row.depth)),
        "mm" => (
            Nominal::outside_millimetres(row.size),
            Length::millimetres(row.depth),
        ),
        other => return Err(unknown(TABLE, other, "unit")),
    };
    Ok(Cup {
        nominal: nominal.ok_or_else(|| unknown(TABLE, &row.size.to_string(), "nominal size"))?,
        depth,
        source: Source::new(row.cite, status(TABLE, &row.status)?),
    })
}

#[derive(Deserialize)]
pub(super) struct EnStressRow {
    temper: String,
    temp_degc: f64,
    stress_mpa: f64,
}

pub(super) fn en_stress(row: EnStressRow) -> Result<EnStress, DataFault> {
    Ok(EnStress {
        temper: Temper::from_word(&row.temper)
            .ok_or_else(|| unknown("en_stress.csv", &row.temper, "temper"))?,
        temperature: Temperature::celsius(row.temp_degc),
        stress: Pressure::megapascals(row.stress_mpa),
    })
}

#[derive(Deserialize)]
pub(super) struct StressCsvRow {
    temp_degf: f64,
    annealed_psi: f64,
    drawn_psi: f64,
}

pub(super) fn stress(row: StressCsvRow) -> Result<StressRow, DataFault> {
    Ok(StressRow {
        temperature: Temperature::fahrenheit(row.temp_degf),
        annealed: Pressure::psi(row.annealed_psi),
        drawn: Pressure::psi(row.drawn_psi),
    })
}

#[derive(Deserialize)]
pub(super) struct JointRatingRow {
    solder: String,
    temp_degf: f64,
    pattern: String,
    from_nominal_in: f64,
    to_nominal_in: f64,
    rating_psi: f64,
}

pub(super) fn joint_rating(row: JointRatingRow) -> Result<JointRating, DataFault> {
    const TABLE: &str = "joint_rating.csv";
    let pattern = match row.pattern.as_str() {
        "pressure" => JointPattern::Pressure,
        "drainage" => JointPattern::Drainage,
        other => return Err(unknown(TABLE, other, "joint pattern")),
    };
    Ok(JointRating {
        solder: row.solder,
        temperature: Temperature::fahrenheit(row.temp_degf),
        pattern,
        from_inches: row.from_nominal_in,
        to_inches: row.to_nominal_in,
        rating: Pressure::psi(row.rating_psi),
    })
}

#[derive(Deserialize)]
pub(super) struct SteamRatingRow {
    joining: String,
    from_nominal_in: f64,
    to_nominal_in: f64,
    rating_psi: f64,
}

pub(super) fn steam_rating(row: SteamRatingRow) -> Result<SteamRating, DataFault> {
    Ok(SteamRating {
        solder: (row.joining != "brazed").then_some(row.joining),
        from_inches: row.from_nominal_in,
        to_inches: row.to_nominal_in,
        rating: Pressure::psi(row.rating_psi),
    })
}
