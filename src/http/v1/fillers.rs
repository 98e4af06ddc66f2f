//! Brazing fillers and solders.

use axum::Json;
use axum::http::Uri;
use axum::response::IntoResponse;
use serde::Serialize;
use utoipa::ToSchema;

use super::findings::SourceOut;
use super::tubes::{KEEP, TubeQuery, named, page};
use super::units::chosen;
use crate::http::auth::{MayCheck, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{QuantityOut, Units, WirePath, WireQuery, wire_enum, wire_query};
use crate::trade::filler::{Filler, FillerFamily};
use crate::trade::quantity::Density;

wire_enum! {
    /// What a filler is.
    pub enum FillerFamilyName {
        /// Copper-phosphorus brazing filler (BCuP): no flux copper to copper.
        CopperPhosphorus = "copper_phosphorus",
        /// Silver brazing filler (BAg): with flux.
        Silver = "silver",
        /// Soft solder.
        Solder = "solder",
    }
}

impl From<FillerFamily> for FillerFamilyName {
    fn from(family: FillerFamily) -> Self {
        match family {
            FillerFamily::CopperPhosphorus => Self::CopperPhosphorus,
            FillerFamily::Silver => Self::Silver,
            FillerFamily::Solder => Self::Solder,
        }
    }
}

wire_query! {
    /// Which fillers.
    pub struct FillersQuery {
        /// Only fillers of this family.
        #[example = "copper_phosphorus"]
        family: Option<FillerFamilyName>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where the page begins: the cursor out of `next`.
        after: Option<Cursor>,
    }
}

/// Where each group of a filler's figures comes from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FillerSources {
    /// Composition and melting range.
    composition: SourceOut,
    /// Density.
    density: SourceOut,
}

/// A brazing filler or a solder.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FillerOut {
    /// Its class or alloy, as requests name it and as it is ordered.
    #[schema(example = "BCuP-3")]
    id: String,
    /// What it is.
    family: FillerFamilyName,
    /// Whether it brazes (melts above 840 degF); a solder does not.
    #[schema(example = true)]
    brazes: bool,
    /// Composition as published, per cent.
    #[schema(example = "Ag 5 Cu 89 P 6")]
    composition: String,
    /// Where it begins to melt.
    solidus: QuantityOut,
    /// Where it is wholly liquid; `null` when not published.
    #[schema(required)]
    liquidus: Option<QuantityOut>,
    /// Density.
    density: QuantityOut,
    /// Contains phosphorus, which fuel gas rules out.
    #[schema(example = true)]
    contains_phosphorus: bool,
    /// Contains lead, which drinking water rules out.
    #[schema(example = false)]
    contains_lead: bool,
    /// Contains cadmium, whose fumes are poisonous.
    #[schema(example = false)]
    contains_cadmium: bool,
    /// Where each group of figures comes from.
    source: FillerSources,
}

fn density(it: Density, units: Units) -> QuantityOut {
    match units {
        Units::Imperial => QuantityOut::plain(it.in_pounds_per_cubic_inch(), "lb/in3"),
        Units::Metric => QuantityOut::plain(it.in_grams_per_cubic_centimetre(), "g/cm3"),
    }
}

fn filler_out(filler: &Filler, units: Units) -> FillerOut {
    let temperature = |it| QuantityOut::temperature(it, units);
    FillerOut {
        id: filler.id.clone(),
        family: filler.family.into(),
        brazes: filler.is_brazing(),
        composition: filler.composition.clone(),
        solidus: temperature(filler.solidus),
        liquidus: filler.liquidus.map(temperature),
        density: density(filler.density.0, units),
        contains_phosphorus: filler.has_phosphorus(),
        contains_lead: filler.has_lead,
        contains_cadmium: filler.has_cadmium,
        source: FillerSources {
            composition: (&filler.source).into(),
            density: (&filler.density.1).into(),
        },
    }
}

/// Fillers and solders
///
/// Scope `check`. Brazing fillers by their AWS A5.8 class, solders by their ASTM B32 alloy.
#[utoipa::path(get, path = "/v1/fillers", tag = "reference", params(FillersQuery),
    responses((status = 200, description = "One page of fillers.", body = Page<FillerOut>)))]
pub async fn list_fillers(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<FillersQuery>,
    uri: Uri,
) -> Result<impl IntoResponse, Problem> {
    let units = chosen(&state, query.units).await?;
    let fillers: Vec<&Filler> = state
        .app()
        .catalogue()
        .fillers()
        .iter()
        .map(AsRef::as_ref)
        .filter(|filler: &&Filler| query.family.is_none_or(|only| only == filler.family.into()))
        .collect();
    let page = page(
        &fillers,
        |filler| &filler.id,
        |filler| filler_out(filler, units),
        (query.limit, query.after, &uri),
    )?;
    Ok((KEEP, page))
}

/// One filler or solder
///
/// Scope `check`.
#[utoipa::path(get, path = "/v1/fillers/{id}", tag = "reference",
    params(("id" = String, Path, description = "Its id, in either case.", example = "BCuP-3"), TubeQuery),
    responses(
        (status = 200, description = "The filler.", body = FillerOut),
        (status = 404, description = "There is no such filler; the nearest ids are named.", body = crate::http::problem::ProblemBody, content_type = "application/problem+json")))]
pub async fn get_filler(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<TubeQuery>,
) -> Result<impl IntoResponse, Problem> {
    let catalogue = state.app().catalogue();
    let filler = named(
        catalogue.filler(&id).map(AsRef::as_ref),
        "filler",
        catalogue,
        &id,
    )?;
    Ok((
        KEEP,
        Json(filler_out(filler, chosen(&state, query.units).await?)),
    ))
}
