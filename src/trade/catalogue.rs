//! The tables of the trade, read once from the files embedded in the program.

use serde::Deserialize;

use super::filler::{Filler, FillerFamily};
use super::fitting::Cup;
use super::joint::{JointPattern, JointRating};
use super::quantity::{Density, Length, Pressure, Temperature};
use super::source::{Source, Status};
use super::strength::StressRow;
use super::support::{self, Spacing};
use super::tube::{Nominal, Standard, Temper, Tolerances, Tube, WallType};
use std::sync::{Arc, LazyLock};

/// Everything the checks look up: tube, fillers, cups, stresses, joint ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    tubes: Vec<Arc<Tube>>,
    fillers: Vec<Arc<Filler>>,
    cups: Vec<Cup>,
    stresses: Vec<StressRow>,
    joint_ratings: Vec<JointRating>,
    spacings: Vec<Spacing>,
}

/// A table of the program that does not read as it should: a fault of the build, not of a user.
#[derive(Debug, thiserror::Error)]
pub enum DataFault {
    /// A row that is no CSV, or lacks a column.
    #[error("table {table} does not read")]
    Unreadable {
        /// Which file.
        table: &'static str,
        /// What the reader said.
        source: csv::Error,
    },
    /// A cell with a word that nothing here knows.
    #[error("table {table} holds {value:?}, which is no {wanted}")]
    UnknownWord {
        /// Which file.
        table: &'static str,
        /// The cell.
        value: String,
        /// What it should be.
        wanted: &'static str,
    },
}

static BUILT_IN: LazyLock<Result<Catalogue, DataFault>> = LazyLock::new(Catalogue::load);

impl Catalogue {
    /// The embedded tables, read once.
    ///
    /// # Errors
    /// When a table is damaged; a test of this crate reads them all.
    pub fn built_in() -> Result<&'static Self, &'static DataFault> {
        BUILT_IN.as_ref()
    }

    /// Reads the embedded tables.
    ///
    /// # Errors
    /// When a table is damaged; a test of this crate reads them all.
    pub fn load() -> Result<Self, DataFault> {
        Ok(Self {
            tubes: rows("tube.csv", include_str!("data/tube.csv"), tube)?,
            fillers: rows("filler.csv", include_str!("data/filler.csv"), filler)?,
            cups: rows("cup_depth.csv", include_str!("data/cup_depth.csv"), cup)?,
            stresses: rows(
                "allowable_stress.csv",
                include_str!("data/allowable_stress.csv"),
                stress,
            )?,
            joint_ratings: rows(
                "joint_rating.csv",
                include_str!("data/joint_rating.csv"),
                joint_rating,
            )?,
            spacings: rows(
                "support_spacing.csv",
                include_str!("data/support_spacing.csv"),
                support::spacing,
            )?,
        })
    }

    /// Every tube, by standard, type and size.
    pub fn tubes(&self) -> &[Arc<Tube>] {
        &self.tubes
    }

    /// The tube of an id, in either case.
    pub fn tube(&self, id: &str) -> Option<&Arc<Tube>> {
        self.tubes
            .iter()
            .find(|tube| tube.id.eq_ignore_ascii_case(id))
    }

    /// Up to `count` tube ids that look most like a wrong one, best first.
    pub fn nearest_tubes(&self, id: &str, count: usize) -> Vec<&str> {
        nearest(self.tubes.iter().map(|tube| tube.id.as_str()), id, count)
    }

    /// Every brazing filler and solder.
    pub fn fillers(&self) -> &[Arc<Filler>] {
        &self.fillers
    }

    /// The filler of an id, in either case.
    pub fn filler(&self, id: &str) -> Option<&Arc<Filler>> {
        self.fillers
            .iter()
            .find(|filler| filler.id.eq_ignore_ascii_case(id))
    }

    /// Up to `count` filler ids that look most like a wrong one, best first.
    pub fn nearest_fillers(&self, id: &str, count: usize) -> Vec<&str> {
        nearest(
            self.fillers.iter().map(|filler| filler.id.as_str()),
            id,
            count,
        )
    }

    /// The cup of a fitting of that nominal size; fittings stop at 8 in.
    pub fn cup(&self, nominal: Nominal) -> Option<&Cup> {
        self.cups.iter().find(|cup| cup.nominal == nominal)
    }

    /// Allowable stresses, coldest first.
    pub fn stresses(&self) -> &[StressRow] {
        &self.stresses
    }

    /// Ratings of soldered joints.
    pub fn joint_ratings(&self) -> &[JointRating] {
        &self.joint_ratings
    }

    /// Spacings of supports.
    pub fn spacings(&self) -> &[Spacing] {
        &self.spacings
    }

    /// The type L water tube of a nominal size: wrought fittings are rated as that tube, annealed.
    pub fn fitting_equivalent(&self, nominal: Nominal) -> Option<&Arc<Tube>> {
        self.tubes.iter().find(|tube| {
            tube.standard == Standard::AstmB88
                && tube.wall_type == WallType::L
                && tube.nominal == nominal
        })
    }
}

/// Fewest slips of the keyboard first; among equals those that begin alike.
fn nearest<'a>(ids: impl Iterator<Item = &'a str>, wrong: &str, count: usize) -> Vec<&'a str> {
    let wrong = wrong.to_ascii_lowercase();
    let mut scored: Vec<(usize, f64, &str)> = ids
        .map(|id| {
            let folded = id.to_ascii_lowercase();
            let slips = strsim::damerau_levenshtein(&folded, &wrong);
            (slips, strsim::jaro_winkler(&folded, &wrong), id)
        })
        .collect();
    scored.sort_by(|a, b| {
        a.0.cmp(&b.0)
            .then_with(|| b.1.total_cmp(&a.1))
            .then_with(|| a.2.cmp(b.2))
    });
    scored.into_iter().take(count).map(|(.., id)| id).collect()
}

fn rows<R, T>(
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

pub(super) fn unknown(table: &'static str, value: &str, wanted: &'static str) -> DataFault {
    DataFault::UnknownWord {
        table,
        value: value.to_owned(),
        wanted,
    }
}

pub(super) fn status(table: &'static str, word: &str) -> Result<Status, DataFault> {
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
struct TubeRow {
    standard: String,
    wall_type: String,
    nominal_in: f64,
    od_in: f64,
    wall_in: f64,
    od_tol_annealed_in: Option<f64>,
    od_tol_drawn_in: Option<f64>,
    wall_tol_in: f64,
    tolerance_status: String,
    stick_ft: f64,
    tempers: String,
    status: String,
    cite: String,
}

fn tube(row: TubeRow) -> Result<Arc<Tube>, DataFault> {
    const TABLE: &str = "tube.csv";
    let standard = Standard::ALL
        .into_iter()
        .find(|standard| standard.id_prefix() == row.standard)
        .ok_or_else(|| unknown(TABLE, &row.standard, "standard"))?;
    let wall_type = WallType::from_name(&row.wall_type)
        .ok_or_else(|| unknown(TABLE, &row.wall_type, "wall type"))?;
    let nominal = Nominal::from_decimal(row.nominal_in)
        .ok_or_else(|| unknown(TABLE, &row.nominal_in.to_string(), "nominal size"))?;
    let tempers = row
        .tempers
        .split(';')
        .map(|word| match word {
            "annealed" => Ok(Temper::Annealed),
            "drawn" => Ok(Temper::Drawn),
            other => Err(unknown(TABLE, other, "temper")),
        })
        .collect::<Result<_, _>>()?;
    Ok(Arc::new(Tube {
        id: format!(
            "{}-{}-{}",
            standard.id_prefix(),
            wall_type.name().to_ascii_lowercase(),
            nominal.decimal()
        ),
        standard,
        wall_type,
        nominal,
        od: Length::inches(row.od_in),
        wall: Length::inches(row.wall_in),
        tolerances: Tolerances {
            od_annealed: row.od_tol_annealed_in.map(Length::inches),
            od_drawn: row.od_tol_drawn_in.map(Length::inches),
            wall: Length::inches(row.wall_tol_in),
            source: Source::new(row.cite.as_str(), status(TABLE, &row.tolerance_status)?),
        },
        tempers,
        stick: Length::feet(row.stick_ft),
        source: Source::new(row.cite.as_str(), status(TABLE, &row.status)?),
    }))
}

#[derive(Deserialize)]
struct FillerRow {
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

fn filler(row: FillerRow) -> Result<Arc<Filler>, DataFault> {
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
struct CupRow {
    nominal_in: f64,
    depth_in: f64,
    status: String,
    cite: String,
}

fn cup(row: CupRow) -> Result<Cup, DataFault> {
    const TABLE: &str = "cup_depth.csv";
    Ok(Cup {
        nominal: Nominal::from_decimal(row.nominal_in)
            .ok_or_else(|| unknown(TABLE, &row.nominal_in.to_string(), "nominal size"))?,
        depth: Length::inches(row.depth_in),
        source: Source::new(row.cite, status(TABLE, &row.status)?),
    })
}

#[derive(Deserialize)]
struct StressCsvRow {
    temp_degf: f64,
    annealed_psi: f64,
    drawn_psi: f64,
}

fn stress(row: StressCsvRow) -> Result<StressRow, DataFault> {
    Ok(StressRow {
        temperature: Temperature::fahrenheit(row.temp_degf),
        annealed: Pressure::psi(row.annealed_psi),
        drawn: Pressure::psi(row.drawn_psi),
    })
}

#[derive(Deserialize)]
struct JointRatingRow {
    solder: String,
    temp_degf: f64,
    pattern: String,
    from_nominal_in: f64,
    to_nominal_in: f64,
    rating_psi: f64,
}

fn joint_rating(row: JointRatingRow) -> Result<JointRating, DataFault> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_tables_read() {
        let catalogue = Catalogue::load().unwrap();
        assert_eq!(catalogue.tubes().len(), 52 + 8);
        assert_eq!(catalogue.fillers().len(), 15);
        assert_eq!(catalogue.stresses().len(), 7);
        assert!(catalogue.joint_ratings().len() > 80);
    }

    #[test]
    fn ids_are_found_and_wrong_ones_have_neighbours() {
        let catalogue = Catalogue::load().unwrap();
        assert_eq!(catalogue.tube("B88-L-1.25").unwrap().id, "b88-l-1.25");
        assert!(catalogue.tube("b88-l-7").is_none());
        assert!(
            catalogue
                .nearest_tubes("b88-l-1.2", 3)
                .contains(&"b88-l-1.25")
        );
        assert_eq!(catalogue.nearest_tubes("b88-l-2.1", 1), ["b88-l-2.5"]);
        assert_eq!(catalogue.nearest_fillers("bcup3", 1), ["BCuP-3"]);
    }
}
