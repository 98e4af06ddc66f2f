//! The units in which quantities may be written.

use crate::http::auth::MayCheck;
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{Units, WireQuery, wire_enum, wire_query};
use crate::shop::settings;
use crate::trade::quantity::{
    Angle, FlowRate, Length, Mass, Pressure, Quantity, Temperature, Velocity, Volume,
};
use axum::Json;
use serde::Serialize;
use utoipa::ToSchema;

wire_enum! {
    /// A kind of quantity.
    pub enum QuantityKind {
        /// An angle.
        Angle = "angle",
        /// A flow of liquid.
        Flow = "flow",
        /// A length.
        Length = "length",
        /// A mass.
        Mass = "mass",
        /// A gauge pressure.
        Pressure = "pressure",
        /// A temperature.
        Temperature = "temperature",
        /// A velocity.
        Velocity = "velocity",
        /// A volume.
        Volume = "volume",
    }
}

wire_query! {
    /// Which units.
    pub struct UnitsQuery {
        /// Only the units of this kind of quantity.
        #[example = "length"]
        quantity: Option<QuantityKind>,
    }
}

/// A unit and its spellings.
#[derive(Debug, Serialize, ToSchema)]
pub struct UnitSpellings {
    /// The spelling that answers use.
    #[schema(example = "in")]
    unit: &'static str,
    /// Every spelling that requests may use; capital letters do not matter.
    #[schema(example = json!(["in", "\"", "inch", "inches"]))]
    spellings: &'static [&'static str],
}

/// A kind of quantity and its units.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuantityUnits {
    /// The kind of quantity.
    quantity: QuantityKind,
    /// How one is written.
    #[schema(example = "4 1/2 in")]
    example: &'static str,
    /// Its units.
    units: Vec<UnitSpellings>,
}

/// The kinds of quantity.
#[derive(Debug, Serialize, ToSchema)]
pub struct UnitList {
    /// Every kind of quantity that requests may carry.
    items: Vec<QuantityUnits>,
}

fn units_of<Q: Quantity>(quantity: QuantityKind) -> QuantityUnits {
    let units = Q::UNITS
        .iter()
        .filter_map(|(spellings, _)| {
            let unit = spellings.first()?;
            Some(UnitSpellings { unit, spellings })
        })
        .collect();
    QuantityUnits {
        quantity,
        example: Q::EXAMPLE,
        units,
    }
}

fn units(quantity: QuantityKind) -> QuantityUnits {
    match quantity {
        QuantityKind::Angle => units_of::<Angle>(quantity),
        QuantityKind::Flow => units_of::<FlowRate>(quantity),
        QuantityKind::Length => units_of::<Length>(quantity),
        QuantityKind::Mass => units_of::<Mass>(quantity),
        QuantityKind::Pressure => units_of::<Pressure>(quantity),
        QuantityKind::Temperature => units_of::<Temperature>(quantity),
        QuantityKind::Velocity => units_of::<Velocity>(quantity),
        QuantityKind::Volume => units_of::<Volume>(quantity),
    }
}

/// Units that quantities may be written in
///
/// Scope `check`. A quantity in a request is a text with its unit, `"4 1/2 in"`, or
/// `{"value": 4.5, "unit": "in"}`.
#[utoipa::path(get, path = "/v1/units", tag = "reference", params(UnitsQuery),
    responses((status = 200, description = "The units, by kind of quantity.", body = UnitList,
        example = json!({"items": [{"quantity": "angle", "example": "90 deg", "units": [
            {"unit": "deg", "spellings": ["deg", "\u{b0}", "degrees", "degree"]},
            {"unit": "rad", "spellings": ["rad"]}]}]}))))]
pub async fn list_units(
    _caller: MayCheck,
    WireQuery(query): WireQuery<UnitsQuery>,
) -> Json<UnitList> {
    let wanted = |kind: &QuantityKind| query.quantity.is_none_or(|only| only == *kind);
    let kinds = QuantityKind::ALL.iter().copied().filter(wanted);
    Json(UnitList {
        items: kinds.map(units).collect(),
    })
}

/// The units of an answer: those asked for, else the shop's.
///
/// # Errors
/// When the database does not answer.
pub async fn chosen(state: &ApiState, asked: Option<Units>) -> Result<Units, Problem> {
    match asked {
        Some(units) => Ok(units),
        None => Ok(of_shop(state.app().usual_units().await?)),
    }
}

/// The shop's units, as answers name them.
pub const fn of_shop(units: settings::Units) -> Units {
    match units {
        settings::Units::Imperial => Units::Imperial,
        settings::Units::Metric => Units::Metric,
    }
}

/// The same the other way, for papers and pictures.
pub const fn for_shop(units: Units) -> settings::Units {
    match units {
        Units::Imperial => settings::Units::Imperial,
        Units::Metric => settings::Units::Metric,
    }
}
