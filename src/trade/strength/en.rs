//! Rated pressure of EN 1057 tube: `P = 2 f t / (D - t)` with the wall and the outside diameter
//! as they stand in the standard, and the design stress of temper and temperature.
//!
//! In the form of the tables: P in bar = 20 f t / (D - t), f in N/mm2, lengths in mm. It gives
//! the computed pressures of the published table to a tenth of a bar (see `tests/worked/`).

use super::{NoRating, TubeRating};
use crate::trade::catalogue::Catalogue;
use crate::trade::quantity::{Length, Pressure, Temperature};
use crate::trade::source::{Source, Status};
use crate::trade::tube::{Temper, Tube};

/// The formula, as shown to people.
pub const FORMULA: &str = "P = 2 f t / (D - t)";

/// Design stress of one temper at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnStress {
    /// The temper.
    pub temper: Temper,
    /// The temperature.
    pub temperature: Temperature,
    /// The stress f.
    pub stress: Pressure,
}

/// The formula itself.
pub fn thin_wall(stress: Pressure, wall: Length, od: Length) -> Pressure {
    stress * (2.0 * (wall / (od - wall)))
}

/// Design stress, and whether it is that of annealed tube for want of one of the temper's own:
/// for the hard tempers none is published above 65 degC, and no tube holds less than annealed.
fn design_stress(
    catalogue: &Catalogue,
    temper: Temper,
    temperature: Temperature,
) -> Result<(Pressure, bool), NoRating> {
    let points = |temper: Temper| -> Vec<(Temperature, Pressure)> {
        let rows = catalogue.en_stresses().iter();
        rows.filter(|row| row.temper == temper)
            .map(|row| (row.temperature, row.stress))
            .collect()
    };
    if temper != Temper::Annealed
        && let Ok(stress) = super::between(&points(temper), temperature)
    {
        return Ok((stress, false));
    }
    let annealed = super::between(&points(Temper::Annealed), temperature)?;
    Ok((annealed, temper != Temper::Annealed))
}

/// Rates a tube by the EN formula. Where the published table prints less for this size and
/// temper than its own formula gives, the printed share counts.
pub(super) fn rate(
    catalogue: &Catalogue,
    tube: &Tube,
    temper: Temper,
    temperature: Temperature,
) -> Result<TubeRating, NoRating> {
    let (stress, as_annealed) = design_stress(catalogue, temper, temperature)?;
    let printed_for = if as_annealed {
        Temper::Annealed
    } else {
        temper
    };
    let lower = printed_share(catalogue, tube, printed_for);
    let source = match (as_annealed, lower) {
        (true, _) => Source::new(
            "EN 1057 tube: above 65 degC design stresses are published for annealed tube only, and those are taken",
            Status::Derived,
        ),
        (false, Some(_)) => Source::new(
            "the published working pressure of this EN 1057 size, which is lower than its own formula gives, in the proportion of the design stresses",
            Status::Seen,
        ),
        (false, None) => Source::new(
            "P = 2 f t / (D - t) with design stresses of EN 1057 tube by temper and temperature, as a trade body gives them",
            Status::Seen,
        ),
    };
    Ok(TubeRating {
        pressure: thin_wall(stress, tube.wall, tube.od) * lower.unwrap_or(1.0),
        stress,
        least_wall: tube.wall,
        greatest_od: tube.od,
        formula: FORMULA,
        source,
    })
}

/// The printed pressure as a share of the formula's at 65 degC, where it is less than all of it.
fn printed_share(catalogue: &Catalogue, tube: &Tube, temper: Temper) -> Option<f64> {
    let (_, printed) = tube.printed.iter().find(|(known, _)| *known == temper)?;
    let (stress, _) = design_stress(catalogue, temper, Temperature::celsius(65.0)).ok()?;
    let share = *printed / thin_wall(stress, tube.wall, tube.od);
    (share < 1.0).then_some(share)
}
