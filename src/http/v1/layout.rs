//! Layouts for the bench. Nothing is stored.

mod handling;
mod out;

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

use super::bulk::{ManifoldsIn, UsedProfile, example, only_one, work};
use super::units::{chosen, for_shop};
use crate::app::App;
use crate::http::auth::MayCheck;
use crate::http::negotiate::{DXF, JSON, Negotiator, Offer, SVG};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{TemperatureIn, Units, WireJson, WireQuery, wire_enum, wire_query};
use crate::trade::growth;
use crate::trade::manifold::Manifold;
use crate::trade::quantity::Temperature;
use crate::trade::rule_set::RuleSet;
use crate::trade::support::{Direction, SupportBasis};

use out::{LayoutAnswer, lay_out};

/// Carried by every layout.
const BENCH_NOTICE: &str = "Local codes and licensed practice decide what may be built and installed; supports, test and hot work follow the code of the place. Prove pilot and collar on a sample of the same tube first.";

wire_enum! {
    /// In what form a layout is answered.
    pub enum LayoutFormat {
        /// Figures.
        Json = "json",
        /// A drawing of one manifold.
        Svg = "svg",
        /// A drawing of one manifold for CAD, at full size: DXF R12.
        Dxf = "dxf",
    }
}

wire_enum! {
    /// Which text the spacing of supports is taken from.
    pub enum SupportBasisName {
        /// MSS SP-58, water-filled.
        MssSp58 = "mss_sp_58",
        /// IRC P2605 and IMC 305.
        IrcImc = "irc_imc",
        /// UPC 313.3, from memory.
        Upc = "upc",
        /// A municipal specification.
        Municipal = "municipal",
        /// A UK installation guide.
        UkGuide = "uk_guide",
    }
}

impl SupportBasisName {
    const fn basis(self) -> SupportBasis {
        match self {
            Self::MssSp58 => SupportBasis::MssSp58,
            Self::IrcImc => SupportBasis::IrcImc,
            Self::Upc => SupportBasis::Upc,
            Self::Municipal => SupportBasis::Municipal,
            Self::UkGuide => SupportBasis::UkGuide,
        }
    }
}

impl From<SupportBasis> for SupportBasisName {
    fn from(basis: SupportBasis) -> Self {
        match basis {
            SupportBasis::MssSp58 => Self::MssSp58,
            SupportBasis::IrcImc => Self::IrcImc,
            SupportBasis::Upc => Self::Upc,
            SupportBasis::Municipal => Self::Municipal,
            SupportBasis::UkGuide => Self::UkGuide,
        }
    }
}

wire_enum! {
    /// How the run lies once installed.
    pub enum DirectionName {
        /// Level.
        Horizontal = "horizontal",
        /// Upright.
        Vertical = "vertical",
    }
}

wire_query! {
    /// In which units, in what form, and how the manifold will be installed.
    pub struct LayoutQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// The form; else `Accept` says it.
        #[example = "json"]
        format: Option<LayoutFormat>,
        /// The text that supports follow; the strictest of all when not given.
        #[example = "mss_sp_58"]
        supports: Option<SupportBasisName>,
        /// How the run lies once installed; horizontal when not given.
        #[example = "horizontal"]
        direction: Option<DirectionName>,
        /// Temperature at which it is fixed in place, for its growth; 20 degC when not given.
        #[example = "68 degF"]
        fixed_at: Option<TemperatureIn>,
    }
}

/// What a layout was asked with.
#[derive(Debug, Clone)]
pub struct Chosen {
    rules: Arc<RuleSet>,
    units: Units,
    supports: Option<SupportBasis>,
    direction: Direction,
    fixed_at: Temperature,
}

impl Chosen {
    fn of(query: &LayoutQuery, units: Units, rules: Arc<RuleSet>) -> Self {
        Self {
            rules,
            units,
            supports: query.supports.map(SupportBasisName::basis),
            direction: match query.direction {
                Some(DirectionName::Vertical) => Direction::Vertical,
                Some(DirectionName::Horizontal) | None => Direction::Horizontal,
            },
            fixed_at: query
                .fixed_at
                .as_ref()
                .map_or(growth::USUAL_FIXING, TemperatureIn::get),
        }
    }
}

/// Lay manifolds out
///
/// Scope `check`. Hole stations from one face, lines to scribe, cut pieces with their make-up,
/// how each branch end is notched and dimpled, mass and centre of mass, supports, growth. By `?format=` or `Accept` a drawing of one manifold at a time: `image/svg+xml`
/// to scale, or `application/dxf` at full size for CAD. Nothing is stored.
#[utoipa::path(post, path = "/v1/manifolds/layout", tag = "manifolds", params(LayoutQuery),
    request_body(content = ManifoldsIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order; or the drawing of one.",
        content((LayoutAnswer = "application/json"), (String = "image/svg+xml"), (String = "application/dxf")))))]
pub async fn lay_out_manifolds(
    _caller: MayCheck,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<LayoutQuery>,
    WireJson(request): WireJson<ManifoldsIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(LayoutFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG, DXF])?;
    let units = chosen(&state, request.units.or(query.units)).await?;
    let app = state.app().clone();
    let rules = app.rules(&request.rules()).await?;
    if !form.is(JSON) {
        let manifold = only_one(request, app.catalogue())?;
        let picture = state
            .heavy()
            .run(move || draw(&app, &manifold, &rules, (form, units)));
        return Ok(([(CONTENT_TYPE, form.media)], picture.await?).into_response());
    }
    let judged_by = (rules.name.to_owned(), UsedProfile::from(&rules.forming));
    let chosen = Chosen::of(&query, units, rules);
    let catalogue = app.catalogue();
    let make = move |manifold: &Manifold| lay_out(&app, manifold, &chosen);
    let worked = work(state.heavy(), catalogue, request.manifolds, make).await?;
    Ok(Json(LayoutAnswer::new(judged_by, worked)).into_response())
}

fn draw(app: &App, manifold: &Manifold, rules: &RuleSet, (form, units): (Offer, Units)) -> String {
    let units = for_shop(units);
    if form.is(DXF) {
        app.draw_for_cad(manifold, rules, units)
    } else {
        app.draw(manifold, rules, units).svg
    }
}
