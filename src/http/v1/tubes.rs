//! The tube catalogue.

mod filters;
mod rating;

use axum::Json;
use axum::http::header::CACHE_CONTROL;
use axum::http::{HeaderName, Uri};
use axum::response::IntoResponse;
use serde::Serialize;
use utoipa::ToSchema;

pub(super) use self::filters::NominalFilter;
use self::filters::{StandardFilter, TypeFilter};
use super::findings::SourceOut;
use super::manifold::{InCatalogue, TemperName};
use super::units::chosen;
use crate::http::auth::{MayCheck, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{
    Fault, LengthIn, QuantityOut, Units, WirePath, WireQuery, code, wire_query,
};
use crate::trade::catalogue::Catalogue;
use crate::trade::quantity::Length;
use crate::trade::source::{Source, Status};
use crate::trade::tube::{Standard, Temper, Tube};

pub(super) use rating::__path_get_tube_rating;
pub use rating::get_tube_rating;

/// Diameters that differ by less than this were meant alike, in whatever unit they were written.
const ALIKE: Length = Length::millimetres(0.001);

/// The catalogue changes only with the program: clients may keep an answer for an hour.
pub(super) const KEEP: [(HeaderName, &str); 1] = [(CACHE_CONTROL, "private, max-age=3600")];

impl From<Temper> for TemperName {
    fn from(temper: Temper) -> Self {
        match temper {
            Temper::Annealed => Self::Annealed,
            Temper::HalfHard => Self::HalfHard,
            Temper::Drawn => Self::Drawn,
        }
    }
}

wire_query! {
    /// Which tubes.
    pub struct TubesQuery {
        /// Only tubes of this standard.
        #[example = "b88"]
        standard: Option<StandardFilter>,
        /// Only tubes of this type: `K`, `L`, `M`, `DWV`; `A`, `B`, `C` of ASTM B88M.
        #[example = "L"]
        r#type: Option<TypeFilter>,
        /// Only tubes of this size: `1-1/4`, `1.25` or `1 1/4 in`; metric tube as `28 mm`,
        /// refrigerant tube by outside diameter as `7/8 OD`.
        #[example = "1-1/4"]
        nominal: Option<NominalFilter>,
        /// Only tubes with at least this outside diameter.
        #[example = "1 in"]
        min_od: Option<LengthIn>,
        /// Only tubes with at most this outside diameter.
        #[example = "2.125 in"]
        max_od: Option<LengthIn>,
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

wire_query! {
    /// In which units.
    pub struct TubeQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

/// How far a tube may differ from its standard size.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TolerancesOut {
    /// Most that the mean outside diameter of annealed tube may exceed the standard one; `null`
    /// when none is published.
    #[schema(required)]
    outside_diameter_annealed: Option<QuantityOut>,
    /// The same for drawn tube.
    #[schema(required)]
    outside_diameter_drawn: Option<QuantityOut>,
    /// Most that the wall may fall short of the standard one; `null` when none is published.
    #[schema(required)]
    wall: Option<QuantityOut>,
}

/// Where each group of a tube's figures comes from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TubeSources {
    /// Outside diameter and wall.
    dimensions: SourceOut,
    /// Tempers, stick and coils as sold.
    sold: SourceOut,
    /// Tolerances.
    tolerances: SourceOut,
    /// Mass.
    mass: SourceOut,
    /// Bore and contents.
    contents: SourceOut,
}

/// A tube of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TubeOut {
    /// Its id, as requests name it.
    #[schema(example = "b88-l-2")]
    id: String,
    /// The product standard.
    #[schema(value_type = String, example = "ASTM B88")]
    standard: &'static str,
    /// Its type in its own standard: `K`, `L`, `M`, `DWV`, `A`, `B` or `C`; `null` where the standard
    /// has no types.
    #[schema(required, example = "L")]
    r#type: Option<String>,
    /// The heaviest of types M, L and K whose wall it reaches at its outside diameter: what rules
    /// that name a type compare it by.
    #[schema(value_type = String, example = "L")]
    comparable_type: &'static str,
    /// The size as the trade writes it, never a dimension to cut to: near the bore in inches for
    /// water tube; outside diameter for refrigerant tube (`7/8 OD`) and metric tube (`28 mm`).
    #[schema(example = "2")]
    nominal: String,
    /// How the trade calls it.
    #[schema(example = "2 in type L")]
    name: String,
    /// Outside diameter.
    outside_diameter: QuantityOut,
    /// Standard wall.
    wall: QuantityOut,
    /// Diameter of the bore at the standard wall.
    bore: QuantityOut,
    /// How far it may differ from that.
    tolerances: TolerancesOut,
    /// Mass of copper per length.
    mass: QuantityOut,
    /// What it holds per length.
    contents: QuantityOut,
    /// Tempers it is sold in.
    tempers: Vec<TemperName>,
    /// Length of a straight stick as sold; of the coil, where it comes in coils only.
    stick: QuantityOut,
    /// Lengths of the coils it is sold in.
    coils: Vec<QuantityOut>,
    /// Whether it is pressure tube; drainage tube is not and has no rating.
    #[schema(example = true)]
    pressure_tube: bool,
    /// Where each group of figures comes from.
    source: TubeSources,
}

fn tube_out(tube: &Tube, units: Units) -> TubeOut {
    let length = |it| QuantityOut::length(it, units);
    let contents = match units {
        Units::Imperial => {
            QuantityOut::plain(tube.contents(Length::feet(1.0)).in_gallons(), "gal/ft")
        }
        Units::Metric => QuantityOut::plain(tube.contents(Length::metres(1.0)).in_litres(), "l/m"),
    };
    TubeOut {
        id: tube.id.clone(),
        standard: tube.standard.name(),
        r#type: tube.type_name.clone(),
        comparable_type: tube.wall_type.name(),
        nominal: tube.nominal.text(),
        name: tube.call_out(),
        outside_diameter: length(tube.od),
        wall: length(tube.wall),
        bore: length(tube.bore()),
        tolerances: TolerancesOut {
            outside_diameter_annealed: tube.tolerances.od_annealed.map(length),
            outside_diameter_drawn: tube.tolerances.od_drawn.map(length),
            wall: tube.tolerances.wall.map(length),
        },
        mass: QuantityOut::linear_mass(tube.linear_mass(), units),
        contents,
        tempers: tube.tempers.iter().copied().map(TemperName::from).collect(),
        stick: QuantityOut::bench_length(tube.stick, units),
        coils: tube
            .coils
            .iter()
            .map(|coil| QuantityOut::bench_length(*coil, units))
            .collect(),
        pressure_tube: tube.is_pressure_tube(),
        source: sources(tube),
    }
}

fn sources(tube: &Tube) -> TubeSources {
    let derived = |cite: &str| SourceOut::from(&Source::new(cite, Status::Derived));
    TubeSources {
        dimensions: (&tube.source).into(),
        sold: (&tube.sold_source).into(),
        tolerances: (&tube.tolerances.source).into(),
        mass: derived(match tube.standard {
            Standard::En1057 => {
                "pi (OD - wall) wall x 8.9 g/cm3, which gives the published masses of EN 1057"
            }
            _ => {
                "pi (OD - wall) wall x 0.323 lb/in3, which gives the published weights of ASTM B88"
            }
        }),
        contents: derived("area of the bore at the standard wall"),
    }
}

/// The tube of a path, or a 404 that names the nearest ids.
pub(super) fn named<'a, T: InCatalogue>(
    found: Option<&'a T>,
    kind: &str,
    catalogue: &Catalogue,
    id: &str,
) -> Result<&'a T, Problem> {
    found.ok_or_else(|| {
        let shown: String = id.chars().take(80).collect();
        Problem::new(Slug::NotFound).with_detail(format!(
            "There is no {kind} {shown:?}. The nearest are {}.",
            T::nearest(catalogue, &shown).join(", ")
        ))
    })
}

/// One page of things that have an id, in their own order.
pub(super) fn page<I, T>(
    all: &[I],
    id: impl Fn(&I) -> &str,
    out: impl Fn(&I) -> T,
    (limit, after, uri): (Option<Limit>, Option<Cursor>, &Uri),
) -> Result<Page<T>, Problem> {
    let from = match after {
        None => 0,
        Some(cursor) => {
            let last: String = cursor.key()?;
            let place = all.iter().position(|item| id(item) == last);
            1 + place.ok_or_else(|| {
                Problem::new(Slug::InvalidQuery).with_errors([Fault::of_parameter(
                    "after",
                    code::NOT_A_CURSOR,
                    "`after` is not a cursor of this list with these filters; leave it out to begin at the start",
                )])
            })?
        }
    };
    let most = limit.unwrap_or_default().get() as usize;
    let rest = all.get(from..).unwrap_or_default();
    let (shown, more) = rest.split_at(most.min(rest.len()));
    let next = match (shown.last(), more.is_empty()) {
        (Some(last), false) => Some(Cursor::of(&id(last))?),
        _ => None,
    };
    Ok(Page::new(shown.iter().map(out).collect(), next, uri))
}

/// Tubes
///
/// Scope `check`. The tubes of the catalogue by standard, type and size, with dimensions,
/// tolerances, mass, contents and where each figure comes from.
#[utoipa::path(get, path = "/v1/tubes", tag = "reference", params(TubesQuery),
    responses((status = 200, description = "One page of tubes.", body = Page<TubeOut>)))]
pub async fn list_tubes(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<TubesQuery>,
    uri: Uri,
) -> Result<impl IntoResponse, Problem> {
    let units = chosen(&state, query.units).await?;
    let fits = |tube: &Tube| {
        query
            .standard
            .as_ref()
            .is_none_or(|only| only.0 == tube.standard)
            && query
                .r#type
                .as_ref()
                .is_none_or(|only| tube.type_name.as_ref() == Some(&only.0))
            && query
                .nominal
                .as_ref()
                .is_none_or(|only| only.0 == tube.nominal)
            && query
                .min_od
                .as_ref()
                .is_none_or(|least| tube.od >= least.get() - ALIKE)
            && query
                .max_od
                .as_ref()
                .is_none_or(|most| tube.od <= most.get() + ALIKE)
    };
    let tubes: Vec<&Tube> = state
        .app()
        .catalogue()
        .tubes()
        .iter()
        .map(AsRef::as_ref)
        .filter(|tube| fits(tube))
        .collect();
    let page = page(
        &tubes,
        |tube| &tube.id,
        |tube| tube_out(tube, units),
        (query.limit, query.after, &uri),
    )?;
    Ok((KEEP, page))
}

/// One tube
///
/// Scope `check`.
#[utoipa::path(get, path = "/v1/tubes/{id}", tag = "reference",
    params(("id" = String, Path, description = "Its id, in either case.", example = "b88-l-2"), TubeQuery),
    responses(
        (status = 200, description = "The tube.", body = TubeOut),
        (status = 404, description = "There is no such tube; the nearest ids are named.", body = crate::http::problem::ProblemBody, content_type = "application/problem+json")))]
pub async fn get_tube(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<TubeQuery>,
) -> Result<impl IntoResponse, Problem> {
    let catalogue = state.app().catalogue();
    let tube = named(
        catalogue.tube(&id).map(AsRef::as_ref),
        "tube",
        catalogue,
        &id,
    )?;
    Ok((
        KEEP,
        Json(tube_out(tube, chosen(&state, query.units).await?)),
    ))
}
