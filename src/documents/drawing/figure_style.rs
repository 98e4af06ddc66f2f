//! How the figures of a drawing are written.

use crate::shop::quote;
use crate::shop::settings::{DecimalMark, Units};
use crate::trade::quantity::Pressure;

/// How a drawing writes its figures: as programs ask for them, or like the paper it stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FigureStyle {
    /// Their units.
    pub units: Units,
    /// What stands between whole and parts.
    mark: DecimalMark,
    on_paper: bool,
}

/// With a point, and metric pressures in kPa, as everything is answered that stands on no paper of a shop.
impl From<Units> for FigureStyle {
    fn from(units: Units) -> Self {
        Self {
            units,
            mark: DecimalMark::Point,
            on_paper: false,
        }
    }
}

impl FigureStyle {
    /// As the papers of a shop are written.
    pub const fn on_paper(units: Units, mark: DecimalMark) -> Self {
        Self {
            units,
            mark,
            on_paper: true,
        }
    }

    /// A figure that was written with a point.
    pub fn written(self, figure: String) -> String {
        self.mark.written(figure)
    }

    /// A pressure: on paper in the unit that the text beside the drawing has.
    pub fn pressure(self, pressure: Pressure) -> String {
        match (self.on_paper, self.units) {
            (false, Units::Metric) => format!("{:.0} kPa", pressure.in_kilopascals()),
            _ => quote::pressure(pressure, self.units, self.mark),
        }
    }

    /// Figures of a list: a comma parts them only where it is in none of them.
    pub fn listed(self, figures: &[String]) -> String {
        figures.join(match self.mark {
            DecimalMark::Point => ", ",
            DecimalMark::Comma => "; ",
        })
    }
}
