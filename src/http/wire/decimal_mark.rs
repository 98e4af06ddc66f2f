//! What stands between whole and parts of a number.

use super::wire_enum;
use crate::shop::settings;

wire_enum! {
    /// What stands between whole and parts of a number that people read.
    pub enum DecimalMark {
        /// `4.5`.
        Point = "point",
        /// `4,5`.
        Comma = "comma",
    }
}

impl From<DecimalMark> for settings::DecimalMark {
    fn from(mark: DecimalMark) -> Self {
        match mark {
            DecimalMark::Point => Self::Point,
            DecimalMark::Comma => Self::Comma,
        }
    }
}

impl From<settings::DecimalMark> for DecimalMark {
    fn from(mark: settings::DecimalMark) -> Self {
        match mark {
            settings::DecimalMark::Point => Self::Point,
            settings::DecimalMark::Comma => Self::Comma,
        }
    }
}
