//! Layouts for the bench. Nothing is stored.

mod handling;
mod out;

use std::sync::Arc;

use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

use super::bulk::{ManifoldsIn, UsedProfile, example, only_one, work};
use super::shop::PaperName;
use super::units::{chosen, for_shop};
use crate::app::checks::BenchHead;
use crate::app::{App, AppError};
use crate::http::auth::{MayCheck, State};
use crate::http::negotiate::{DXF, JSON, Negotiator, Offer, PDF, SVG};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{TemperatureIn, Units, WireJson, WireQuery, wire_enum, wire_query};
use crate::shop::settings::{self, Paper};
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
        /// The bench sheet of one manifold: PDF/A-3a, tagged for screen readers (PDF/UA-1).
        Pdf = "pdf",
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
        /// Paper of the bench sheet; else the shop's.
        #[example = "letter"]
        paper: Option<PaperName>,
        /// The text that supports follow; when not given, that of the rule set for a level run,
        /// and the strictest of all for an upright one.
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
        let direction = match query.direction {
            Some(DirectionName::Vertical) => Direction::Vertical,
            Some(DirectionName::Horizontal) | None => Direction::Horizontal,
        };
        let asked = query.supports.map(SupportBasisName::basis);
        Self {
            units,
            // A rule set names a text for level runs only.
            supports: match direction {
                Direction::Horizontal => asked.or(Some(SupportBasis::of(rules.support))),
                Direction::Vertical => asked,
            },
            direction,
            rules,
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
/// to scale, `application/dxf` at full size for CAD, or `application/pdf`: the bench
/// sheet, with a marking strip and saddle templates that print at true size. Nothing is stored.
#[utoipa::path(post, path = "/v1/manifolds/layout", tag = "manifolds", params(LayoutQuery),
    request_body(content = ManifoldsIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order; or the drawing or bench sheet of one.",
        content((LayoutAnswer = "application/json"), (String = "image/svg+xml"), (String = "application/dxf"), (Vec<u8> = "application/pdf")))))]
pub async fn lay_out_manifolds(
    _caller: MayCheck,
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WireQuery(query): WireQuery<LayoutQuery>,
    WireJson(request): WireJson<ManifoldsIn>,
) -> Result<Response, Problem> {
    let asked = query.format.map(LayoutFormat::as_str);
    let form = negotiator.asked(asked).choose(&[JSON, SVG, DXF, PDF])?;
    let units = chosen(&state, request.units.or(query.units)).await?;
    let app = state.app().clone();
    let rules = app.rules(&request.rules()).await?;
    if !form.is(JSON) {
        let manifold = only_one(request, app.catalogue())?;
        let head = app.for_the_bench(query.paper.map(paper_of)).await?;
        let bench = (for_shop(units), head);
        let job = move || paper_for(&app, (&manifold, &rules), form, &bench);
        let body = state.heavy().run(job).await??;
        return Ok(([(CONTENT_TYPE, form.media)], body).into_response());
    }
    let judged_by = (rules.name.to_owned(), UsedProfile::from(&rules.forming));
    let chosen = Chosen::of(&query, units, rules);
    let catalogue = app.catalogue();
    let make = move |manifold: &Manifold| lay_out(&app, manifold, &chosen);
    let worked = work(state.heavy(), catalogue, request.manifolds, make).await?;
    Ok(Json(LayoutAnswer::new(judged_by, worked)).into_response())
}

const fn paper_of(paper: PaperName) -> Paper {
    match paper {
        PaperName::Letter => Paper::Letter,
        PaperName::A4 => Paper::A4,
    }
}

/// The drawing or the bench sheet of one manifold.
fn paper_for(
    app: &App,
    (manifold, rules): (&Manifold, &RuleSet),
    form: Offer,
    (units, head): &(settings::Units, BenchHead),
) -> Result<Vec<u8>, AppError> {
    if form.is(PDF) {
        app.bench_sheet((manifold, rules), *units, head)
    } else if form.is(DXF) {
        Ok(app.draw_for_cad(manifold, rules, *units).into_bytes())
    } else {
        Ok(app.draw(manifold, rules, *units).svg.into_bytes())
    }
}
