//! The rated pressure of a tube.

use axum::Json;
use axum::response::IntoResponse;
use serde::Serialize;
use utoipa::ToSchema;

use super::{KEEP, named};
use crate::http::auth::{MayCheck, State};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::v1::findings::SourceOut;
use crate::http::v1::manifold::TemperName;
use crate::http::v1::units::chosen;
use crate::http::wire::{
    Fault, QuantityOut, TemperatureIn, Units, WirePath, WireQuery, wire_query,
};
use crate::trade::strength::{NoRating, TubeRating, rate_tube};
use crate::trade::tube::{Standard, Temper, Tube};

wire_query! {
    /// At which temperature and temper.
    pub struct RatingQuery {
        /// The temperature, with its unit.
        #[example = "180 degF"]
        temperature: TemperatureIn,
        /// The temper; `annealed` when not given, which is what brazing leaves and the lower rating.
        #[example = "annealed"]
        temper: Option<TemperName>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

/// The figures a rating is made of.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RatingInputs {
    /// Allowable stress (S of ASTM tube, f of EN 1057 tube) at the temperature, linear between the
    /// published rows.
    allowable_stress: QuantityOut,
    /// Least wall t_min that the standard permits; the standard wall t for EN 1057.
    least_wall: QuantityOut,
    /// Greatest outside diameter D_max that the standard permits in this temper; the standard one D
    /// for EN 1057.
    greatest_od: QuantityOut,
    /// The formula of the tube's standard.
    #[schema(value_type = String, example = "P = 2 S t_min / (D_max - 0.8 t_min)")]
    formula: &'static str,
}

/// The rated pressure of a tube in a temper at a temperature.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RatingOut {
    /// Id of the tube.
    #[schema(example = "b88-l-2")]
    tube: String,
    /// Temper that was rated.
    temper: TemperName,
    /// Temperature it was rated at.
    temperature: QuantityOut,
    /// The rated internal pressure, gauge. A brazed assembly takes the annealed one.
    rated_pressure: QuantityOut,
    /// What it was made of.
    inputs: RatingInputs,
    /// Where it comes from.
    source: SourceOut,
}

/// Where the allowable stresses come from; their table ends at a temperature.
const fn stress_table(standard: Standard) -> &'static str {
    match standard {
        Standard::En1057 => "design stresses of EN 1057 tube, as a trade body gives them",
        _ => "Copper Tube Handbook, allowable stresses heading Tables 14.3a to 14.3c",
    }
}

/// Rated pressure of a tube
///
/// Scope `check`. ASTM tube by the formula with the least wall and the greatest outside diameter
/// that its standard permits, EN 1057 tube by the formula with the standard ones. Drainage tube, and temperatures above the published stresses, have no
/// rating: 422.
#[utoipa::path(get, path = "/v1/tubes/{id}/rating", tag = "reference",
    params(("id" = String, Path, description = "Id of the tube, in either case.", example = "b88-l-2"), RatingQuery),
    responses(
        (status = 200, description = "The rating.", body = RatingOut),
        (status = 404, description = "There is no such tube; the nearest ids are named.", body = crate::http::problem::ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "No rating: drainage tube, or hotter than the published stresses.", body = crate::http::problem::ProblemBody, content_type = "application/problem+json")))]
pub async fn get_tube_rating(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<RatingQuery>,
) -> Result<impl IntoResponse, Problem> {
    let catalogue = state.app().catalogue();
    let tube = named(
        catalogue.tube(&id).map(AsRef::as_ref),
        "tube",
        catalogue,
        &id,
    )?;
    let temper = query.temper.map_or(Temper::Annealed, Temper::from);
    let rating = rate_tube(catalogue, tube, temper, query.temperature.get())
        .map_err(|why| refused(tube, &query.temperature, &why))?;
    let asked = (
        temper,
        query.temperature.get(),
        chosen(&state, query.units).await?,
    );
    Ok((KEEP, Json(rating_out(tube, &rating, asked))))
}

fn rating_out(
    tube: &Tube,
    rating: &TubeRating,
    (temper, temperature, units): (Temper, crate::trade::quantity::Temperature, Units),
) -> RatingOut {
    RatingOut {
        tube: tube.id.clone(),
        temper: temper.into(),
        temperature: QuantityOut::temperature(temperature, units),
        rated_pressure: QuantityOut::pressure(rating.pressure, units),
        inputs: RatingInputs {
            allowable_stress: QuantityOut::pressure(rating.stress, units),
            least_wall: QuantityOut::length(rating.least_wall, units),
            greatest_od: QuantityOut::length(rating.greatest_od, units),
            formula: rating.formula,
        },
        source: (&rating.source).into(),
    }
}

fn refused(tube: &Tube, temperature: &TemperatureIn, why: &NoRating) -> Problem {
    let fault = match why {
        NoRating::TooHot { limit } => {
            let most = format!(
                "{:.0} degF ({:.0} degC)",
                limit.in_fahrenheit(),
                limit.in_celsius()
            );
            let table = stress_table(tube.standard);
            Fault::of_parameter(
                "temperature",
                "above_table",
                format!(
                    "`temperature` is {}; no allowable stress is published above {most} ({table}) and none is extrapolated, so give at most that",
                    temperature.written()
                ),
            )
        }
        NoRating::NotPressureTube => Fault::of_parameter(
            "id",
            "not_pressure_tube",
            format!(
                "{} is drainage tube ({}) and carries no pressure rating; ask for pressure tube, such as type K, L or M",
                tube.call_out(),
                tube.standard.name()
            ),
        ),
        NoRating::NoTolerance { temper } => Fault::of_parameter(
            "temper",
            "no_tolerance",
            format!(
                "{} has no published tolerances in the {} temper ({}); ask for another temper",
                tube.call_out(),
                temper.spoken(),
                tube.tolerances.source.cite
            ),
        ),
    };
    Problem::new(Slug::Unprocessable).with_errors([fault])
}
