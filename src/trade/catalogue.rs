//! The tables of the trade, read once from the files embedded in the program.

mod fittings;
mod rows;
mod tubes;

use std::sync::{Arc, LazyLock};

pub use self::fittings::FittingRow;
use self::rows::rows;
pub(super) use self::rows::{status, unknown};
use super::filler::Filler;
use super::fitting::Cup;
use super::joint::{JointRating, SteamRating};
use super::quantity::Length;
use super::strength::{EnStress, StressRow};
use super::support::{self, Spacing};
use super::tube::{Nominal, Standard, Tube, WallType};

/// Everything the checks look up: tube, fillers, cups, stresses, joint ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    tubes: Vec<Arc<Tube>>,
    fillers: Vec<Arc<Filler>>,
    cups: Vec<Cup>,
    fittings: Vec<FittingRow>,
    stresses: Vec<StressRow>,
    en_stresses: Vec<EnStress>,
    joint_ratings: Vec<JointRating>,
    steam_ratings: Vec<SteamRating>,
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
        let cups = rows(
            "cup_depth.csv",
            include_str!("data/cup_depth.csv"),
            rows::cup,
        )?;
        Ok(Self {
            fittings: fittings::of_cups(&cups),
            cups,
            tubes: tubes::with_series(rows(
                "tube.csv",
                include_str!("data/tube.csv"),
                tubes::tube,
            )?),
            fillers: rows("filler.csv", include_str!("data/filler.csv"), rows::filler)?,
            stresses: rows(
                "allowable_stress.csv",
                include_str!("data/allowable_stress.csv"),
                rows::stress,
            )?,
            en_stresses: rows(
                "en_stress.csv",
                include_str!("data/en_stress.csv"),
                rows::en_stress,
            )?,
            joint_ratings: rows(
                "joint_rating.csv",
                include_str!("data/joint_rating.csv"),
                rows::joint_rating,
            )?,
            steam_ratings: rows(
                "steam_rating.csv",
                include_str!("data/steam_rating.csv"),
                rows::steam_rating,
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

    /// The cup of a fitting that takes tube of that size; fittings stop at 8 in and at 108 mm.
    pub fn cup(&self, nominal: Nominal) -> Option<&Cup> {
        let size = nominal.fitting_size();
        self.cups.iter().find(|cup| cup.nominal == size)
    }

    /// How deep a fitting's cup takes a tube. Where no fitting takes it, the tube's own outside
    /// diameter stands in, so that the rest can be reckoned; the rule `branch-size` stops such a
    /// design.
    pub fn cup_depth(&self, tube: &Tube) -> Length {
        self.cup(tube.nominal).map_or(tube.od, |cup| cup.depth)
    }

    /// Every cup, by size.
    pub fn cups(&self) -> &[Cup] {
        &self.cups
    }

    /// Every wrought fitting, by kind, system and size.
    pub fn fittings(&self) -> &[FittingRow] {
        &self.fittings
    }

    /// The fitting of an id, in either case.
    pub fn fitting(&self, id: &str) -> Option<&FittingRow> {
        let mut rows = self.fittings.iter();
        rows.find(|row| row.id.eq_ignore_ascii_case(id))
    }

    /// Up to `count` fitting ids that look most like a wrong one, best first.
    pub fn nearest_fittings(&self, id: &str, count: usize) -> Vec<&str> {
        nearest(self.fittings.iter().map(|row| row.id.as_str()), id, count)
    }

    /// Allowable stresses of ASTM tube, coldest first.
    pub fn stresses(&self) -> &[StressRow] {
        &self.stresses
    }

    /// Allowable stresses of EN 1057 tube, each temper coldest first.
    pub fn en_stresses(&self) -> &[EnStress] {
        &self.en_stresses
    }

    /// Ratings of soldered joints.
    pub fn joint_ratings(&self) -> &[JointRating] {
        &self.joint_ratings
    }

    /// Ratings of joints that carry saturated steam.
    pub fn steam_ratings(&self) -> &[SteamRating] {
        &self.steam_ratings
    }

    /// Spacings of supports.
    pub fn spacings(&self) -> &[Spacing] {
        &self.spacings
    }

    /// The tube a wrought fitting is rated as, annealed: type L water tube of its size (ASME
    /// B16.22); for metric fittings, for which no published rating was seen, the thinnest EN 1057
    /// tube of that outside diameter stands in.
    pub fn fitting_equivalent(&self, nominal: Nominal) -> Option<&Arc<Tube>> {
        let size = nominal.fitting_size();
        let mut of_size = self.tubes.iter().filter(|tube| tube.nominal == size);
        if size.is_metric() {
            of_size
                .filter(|tube| tube.standard == Standard::En1057)
                .min_by(|a, b| a.wall.in_metres().total_cmp(&b.wall.in_metres()))
        } else {
            of_size.find(|tube| tube.standard == Standard::AstmB88 && tube.wall_type == WallType::L)
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_tables_read() {
        let catalogue = Catalogue::load().unwrap();
        let of = |standard| {
            let tubes = catalogue.tubes().iter();
            tubes.filter(|tube| tube.standard == standard).count()
        };
        assert_eq!(Standard::ALL.map(of), [52, 8, 32, 26, 57, 44]);
        assert_eq!(catalogue.en_stresses().len(), 7);
        assert_eq!(catalogue.fillers().len(), 15);
        assert_eq!(catalogue.stresses().len(), 7);
        assert!(catalogue.joint_ratings().len() > 80);
    }

    #[test]
    fn every_tube_has_a_series_to_compare_it_by() {
        let catalogue = Catalogue::load().unwrap();
        for (id, series) in [
            ("b819-k-2", WallType::K),
            // ASTM B280 drawn tube of 7/8 in OD has the dimensions of 3/4 in type L.
            ("b280-0.875", WallType::L),
            ("b280-coil-0.75x0.035", WallType::M),
            // 2 in type L has 1.78 mm of wall at 53.98 mm.
            ("en1057-54x2", WallType::L),
            ("en1057-54x1.2", WallType::ThinnerThanM),
            ("b88m-a-28", WallType::L),
        ] {
            assert_eq!(catalogue.tube(id).unwrap().wall_type, series, "{id}");
        }
    }

    #[test]
    fn refrigerant_tube_takes_the_cups_of_water_tube() {
        let catalogue = Catalogue::load().unwrap();
        let cup = |id: &str| catalogue.cup(catalogue.tube(id).unwrap().nominal);
        assert_eq!(cup("b280-0.875"), cup("b88-l-0.75"));
        assert!(cup("b280-coil-0.3125x0.032").is_none());
        assert!(cup("en1057-28x1.2").is_some() && cup("b88m-b-79").is_none());
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
