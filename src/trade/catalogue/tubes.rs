//! The rows of the tube table.

use std::sync::Arc;

use serde::Deserialize;

use super::DataFault;
use super::rows::{status, unknown};
use crate::trade::quantity::{Length, Pressure};
use crate::trade::source::Source;
use crate::trade::tube::{Nominal, Standard, Temper, Tolerances, Tube, WallType};

const TABLE: &str = "tube.csv";

#[derive(Deserialize)]
pub(super) struct TubeRow {
    id: String,
    unit: String,
    standard: String,
    r#type: String,
    size: f64,
    od: f64,
    wall: f64,
    od_tol_annealed: Option<f64>,
    od_tol_drawn: Option<f64>,
    wall_tol: Option<f64>,
    tolerance_status: String,
    tolerance_cite: String,
    stick: f64,
    coils: String,
    lengths_status: String,
    lengths_cite: String,
    tempers: String,
    printed_bar: String,
    status: String,
    cite: String,
}

/// Makes a length of a number in some unit.
type MakeLength = fn(f64) -> Length;

impl TubeRow {
    fn standard(&self) -> Result<Standard, DataFault> {
        Standard::ALL
            .into_iter()
            .find(|standard| standard.id_prefix() == self.standard)
            .ok_or_else(|| unknown(TABLE, &self.standard, "standard"))
    }

    /// How its small and its long lengths are made.
    fn units(&self) -> Result<(MakeLength, MakeLength), DataFault> {
        match self.unit.as_str() {
            "in" => Ok((Length::inches, Length::feet)),
            "mm" => Ok((Length::millimetres, Length::metres)),
            other => Err(unknown(TABLE, other, "unit")),
        }
    }

    fn nominal(&self, standard: Standard) -> Result<Nominal, DataFault> {
        let nominal = match standard {
            Standard::AstmB88 | Standard::AstmB306 | Standard::AstmB819 => {
                Nominal::from_decimal(self.size)
            }
            Standard::AstmB280 => Nominal::outside_inches(self.size),
            Standard::AstmB88M | Standard::En1057 => Nominal::outside_millimetres(self.size),
        };
        nominal.ok_or_else(|| unknown(TABLE, &self.size.to_string(), "nominal size"))
    }
}

fn temper(word: &str) -> Result<Temper, DataFault> {
    Temper::from_word(word).ok_or_else(|| unknown(TABLE, word, "temper"))
}

/// The parts of a cell that holds several.
fn parts(cell: &str) -> impl Iterator<Item = &str> {
    cell.split(';').filter(|part| !part.is_empty())
}

fn number(text: &str) -> Result<f64, DataFault> {
    text.parse().map_err(|_| unknown(TABLE, text, "number"))
}

pub(super) fn tube(row: TubeRow) -> Result<Tube, DataFault> {
    let standard = row.standard()?;
    let (small, long) = row.units()?;
    let tempers = parts(&row.tempers).map(temper).collect::<Result<_, _>>()?;
    let coils = parts(&row.coils).map(|coil| number(coil).map(long));
    let printed = parts(&row.printed_bar).map(|cell| {
        let (word, bar) = cell
            .split_once(':')
            .ok_or_else(|| unknown(TABLE, cell, "temper with a pressure"))?;
        Ok((temper(word)?, Pressure::bar(number(bar)?)))
    });
    Ok(Tube {
        standard,
        type_name: (!row.r#type.is_empty()).then(|| row.r#type.clone()),
        // The wall series of a standard without one is found when all tubes are read.
        wall_type: WallType::from_name(&row.r#type).unwrap_or(WallType::ThinnerThanM),
        nominal: row.nominal(standard)?,
        od: small(row.od),
        wall: small(row.wall),
        tolerances: Tolerances {
            od_annealed: row.od_tol_annealed.map(small),
            od_drawn: row.od_tol_drawn.map(small),
            wall: row.wall_tol.map(small),
            source: Source::new(
                row.tolerance_cite.as_str(),
                status(TABLE, &row.tolerance_status)?,
            ),
        },
        tempers,
        stick: long(row.stick),
        coils: coils.collect::<Result<_, _>>()?,
        sold_source: Source::new(row.lengths_cite, status(TABLE, &row.lengths_status)?),
        printed: printed.collect::<Result<_, DataFault>>()?,
        source: Source::new(row.cite, status(TABLE, &row.status)?),
        id: row.id,
    })
}

/// Gives tube of standards without K, L and M the series whose wall it reaches.
pub(super) fn with_series(mut tubes: Vec<Tube>) -> Vec<Arc<Tube>> {
    let walls = |kind: WallType| -> Vec<(Length, Length)> {
        let series = tubes
            .iter()
            .filter(|tube| tube.standard == Standard::AstmB88 && tube.wall_type == kind);
        series.map(|tube| (tube.od, tube.wall)).collect()
    };
    let series = [WallType::K, WallType::L, WallType::M].map(|kind| (kind, walls(kind)));
    for tube in &mut tubes {
        if matches!(
            tube.standard,
            Standard::AstmB280 | Standard::AstmB88M | Standard::En1057
        ) {
            let reached = series.iter().find(|(_, walls)| {
                wall_at(walls, tube.od).is_some_and(|wall| tube.wall >= wall - ROUNDED)
            });
            tube.wall_type = reached.map_or(WallType::ThinnerThanM, |(kind, _)| *kind);
        }
    }
    tubes.into_iter().map(Arc::new).collect()
}

/// A wall printed in tenths of a millimetre may lie this far below the inch wall it stands for.
const ROUNDED: Length = Length::millimetres(0.005);

/// Wall of a series at an outside diameter: linear between its sizes, its end sizes beyond them.
fn wall_at(walls: &[(Length, Length)], od: Length) -> Option<Length> {
    let above = walls.iter().position(|(known, _)| *known >= od);
    match above {
        None => walls.last().map(|(_, wall)| *wall),
        Some(0) => walls.first().map(|(_, wall)| *wall),
        Some(at) => {
            let ((from, thin), (to, thick)) = (walls.get(at - 1)?, walls.get(at)?);
            Some(*thin + (*thick - *thin) * ((od - *from) / (*to - *from)))
        }
    }
}
