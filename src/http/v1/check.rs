//! Checks of manifolds. Nothing is stored.

mod answer;
mod collars;
mod joints;

use std::sync::Arc;

use axum::response::Response;
use serde::Serialize;
use utoipa::ToSchema;

use self::answer::{Checker, Head, Request};
use self::joints::{
    FillerWire, JointGroup, JointSources, filler_wire, groups, small_mass, small_volume, sources,
};
use super::bulk::{FEW, MOST_MANIFOLDS, ManifoldsIn, UsedProfile, example};
use super::findings::{FindingOut, SourceOut, VerdictName};
use super::layout::SupportBasisName;
use super::manifold::ManifoldIn;
use super::units::chosen;
use crate::app::App;
use crate::http::auth::{MayCheck, State};
use crate::http::bulk::{BulkItem, BulkSummary};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::wire::{JsonText, QuantityOut, Units, WireQuery, wire_enum, wire_query};
use crate::trade::check::{Checked, Governor};
use crate::trade::manifold::{Build, Manifold, Outlet};
use crate::trade::outlet::FormedOutlet;
use crate::trade::quantity::Mass;
use crate::trade::rule_set::RuleSet;
use crate::trade::support::{Direction, SupportBasis, widest};

use collars::{CollarComputed, Collars};

wire_enum! {
    /// Which part has the lowest rating.
    pub enum GoverningPart {
        /// The run.
        Run = "run",
        /// A branch.
        Branch = "branch",
        /// A fitting.
        Fitting = "fitting",
        /// A joint.
        Joint = "joint",
    }
}

impl From<Governor> for GoverningPart {
    fn from(governor: Governor) -> Self {
        match governor {
            Governor::Run => Self::Run,
            Governor::Branch => Self::Branch,
            Governor::Fitting => Self::Fitting,
            Governor::Joint => Self::Joint,
        }
    }
}

/// The filler that the check took.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FillerTaken {
    /// Its id.
    #[schema(example = "BCuP-3")]
    id: String,
    /// True when the manifold named none and the usual one of its build was taken.
    #[schema(example = false)]
    assumed: bool,
}

/// What was worked out for one outlet. Figures that do not apply to the build are `null`: tees
/// have no collar, and what is bought ready-made has no filler either.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OutletComputed {
    /// Place of its row in the manifold's `outlets`, from 0; `collars` says more of each row.
    #[schema(example = 0)]
    pub row: usize,
    /// From the first end's finished face to the centre of the outlet.
    pub station: QuantityOut,
    /// Turned about the run from the scribe line.
    pub clock: QuantityOut,
    /// Height of the collar above the crown of the run.
    #[schema(required)]
    pub collar_height: Option<QuantityOut>,
    /// Diameter of the pilot hole; `null` also when no pilot gives the collar its height.
    #[schema(required)]
    pub pilot: Option<QuantityOut>,
    /// How deep the branch end is notched; `null` also when the branch is wider than the bore.
    #[schema(required)]
    pub notch_depth: Option<QuantityOut>,
    /// First dimple, above the apex of the notch: the depth stop.
    #[schema(required)]
    pub first_dimple: Option<QuantityOut>,
    /// Second dimple, above the apex of the notch: stays in sight.
    #[schema(required)]
    pub second_dimple: Option<QuantityOut>,
    /// Filler of the branch's joint, before the shop's allowance, in ounces or grams.
    #[schema(required)]
    pub filler_mass: Option<QuantityOut>,
}

/// The widest distance between supports of a level run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SupportSpacing {
    /// The distance. A layout places the supports.
    most: QuantityOut,
    /// The text that the rule set takes.
    basis: SupportBasisName,
    /// Where the distance comes from.
    source: SourceOut,
}

/// What was worked out for one manifold (not for its quantity).
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Computed {
    /// The lowest rating of its parts at the design temperature, gauge; `null` when a part has
    /// none, and the findings say why. Below the coldest row of a table (100 degF for inch tube,
    /// 65 degC for EN 1057 tube) that row holds; above its hottest nothing is rated.
    #[schema(required)]
    rated_pressure: Option<QuantityOut>,
    /// Which part that is; `null` with `rated_pressure`.
    #[schema(required)]
    governed_by: Option<GoverningPart>,
    /// The same at 100 degF and below, where it is tested; `null` with `rated_pressure`.
    #[schema(required)]
    cold_rated_pressure: Option<QuantityOut>,
    /// What it holds beyond the design pressure: negative where it does not hold that; `null` with
    /// `rated_pressure`.
    #[schema(required)]
    pressure_margin: Option<QuantityOut>,
    /// How many times the design pressure it holds; `null` also when the design pressure is 0.
    #[schema(required, example = 4.02)]
    pressure_ratio: Option<f64>,
    /// How far apart a level run is held; `null` where the text that the rule set takes does not
    /// cover its size.
    #[schema(required)]
    support_spacing: Option<SupportSpacing>,
    /// Finished length of the run.
    length: QuantityOut,
    /// Dry mass: tube, and fittings by a stand-in for their makers' weights.
    mass: QuantityOut,
    /// What it holds when full.
    contents: QuantityOut,
    /// Joints to make in the shop.
    #[schema(example = 7)]
    joints: u32,
    /// Filler of all joints, before the shop's allowance, in ounces or grams.
    filler_mass: QuantityOut,
    /// The same as a volume, in cubic inches or cubic millimetres.
    filler_volume: QuantityOut,
    /// The wire it comes in, and its length; `null` for what is bought ready-made.
    #[schema(required)]
    filler_wire: Option<FillerWire>,
    /// The joints, those made alike together.
    joint_groups: Vec<JointGroup>,
    /// Where their figures come from; `null` for what is bought ready-made.
    #[schema(required)]
    joint_sources: Option<JointSources>,
    /// The filler; `null` for what is bought ready-made.
    #[schema(required)]
    filler: Option<FillerTaken>,
    /// Outlets in order along the run.
    outlets: Vec<OutletComputed>,
    /// The collars of each row of outlets, which are alike; empty for builds without collars.
    collars: Vec<CollarComputed>,
}

/// The check of one manifold.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckedItem {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// What the check comes to.
    verdict: VerdictName,
    /// Everything the rules found, by rule, then place.
    findings: Vec<FindingOut>,
    /// What was worked out on the way; left out where only the verdict is asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    computed: Option<Computed>,
}

wire_enum! {
    /// How much a check answers.
    pub enum CheckDetail {
        /// Everything that was worked out.
        Full = "full",
        /// Verdict and findings: for tools that ask often and want no more.
        Verdict = "verdict",
    }
}

wire_query! {
    /// In which units, and how much.
    pub struct CheckQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// How much is answered; everything when left out.
        #[example = "full"]
        detail: Option<CheckDetail>,
    }
}

/// The checks, in the order of the request.
#[derive(Debug, ToSchema)]
#[expect(dead_code, reason = "it describes what `answer` puts together")]
pub struct CheckAnswer {
    /// Name and version of the rules it was checked by.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile that settled what can be drawn.
    forming_profile: UsedProfile,
    /// How many could be checked.
    summary: BulkSummary,
    /// One item for each manifold.
    items: Vec<BulkItem<CheckedItem>>,
}

fn outlet_computed(
    outlet: &Outlet,
    formed: Option<&FormedOutlet>,
    filler: Option<Mass>,
    units: Units,
) -> OutletComputed {
    let length = |it| QuantityOut::length(it, units);
    let collar = formed.and_then(|formed| formed.collar);
    let drawn = collar.map(|collar| outlet.collar.height.unwrap_or(collar.height));
    OutletComputed {
        row: outlet.row,
        station: QuantityOut::bench_length(outlet.station, units),
        clock: QuantityOut::angle(outlet.clock),
        collar_height: drawn.map(length),
        pilot: collar.map(|collar| length(collar.pilot)),
        notch_depth: formed.and_then(|formed| formed.notch).map(length),
        first_dimple: formed.map(|formed| length(formed.dimples.first)),
        second_dimple: formed.map(|formed| length(formed.dimples.second)),
        filler_mass: filler.map(|mass| small_mass(mass, units)),
    }
}

fn computed(
    manifold: &Manifold,
    checked: &Checked,
    collars: Vec<CollarComputed>,
    units: Units,
) -> Computed {
    let takeoff = &checked.takeoff;
    let rating = checked.rating;
    let outlets = manifold.outlets.iter().enumerate().map(|(index, outlet)| {
        let formed = takeoff.layout.formed.get(index);
        let filler = takeoff.branch_fillers.get(index).map(|fill| fill.mass);
        outlet_computed(outlet, formed, filler, units)
    });
    let pressure = |it| QuantityOut::pressure(it, units);
    Computed {
        rated_pressure: rating.map(|rating| pressure(rating.pressure)),
        governed_by: rating.map(|rating| rating.governed_by.into()),
        cold_rated_pressure: rating.map(|rating| pressure(rating.cold)),
        pressure_margin: rating.map(|rating| pressure(rating.margin(manifold.design_pressure))),
        pressure_ratio: rating
            .and_then(|rating| rating.times(manifold.design_pressure))
            .map(|times| QuantityOut::plain(times, "").value),
        support_spacing: None,
        length: QuantityOut::bench_length(takeoff.layout.length, units),
        mass: QuantityOut::mass(takeoff.mass, units),
        contents: QuantityOut::volume(takeoff.contents, units),
        joints: takeoff.joint_count(),
        filler_mass: small_mass(takeoff.filler_mass(), units),
        filler_volume: small_volume(takeoff.filler_volume(), units),
        filler_wire: filler_wire(manifold, takeoff, units),
        joint_groups: groups(manifold, takeoff, units),
        joint_sources: sources(manifold),
        filler: (manifold.build != Build::Purchased).then(|| FillerTaken {
            id: manifold.filler.id.clone(),
            assumed: manifold.filler_assumed,
        }),
        outlets: outlets.collect(),
        collars,
    }
}

fn support_spacing(
    app: &App,
    manifold: &Manifold,
    rules: &RuleSet,
    units: Units,
) -> Option<SupportSpacing> {
    let text = Some(SupportBasis::of(rules.support));
    let run = &manifold.run.tube;
    let found = widest(app.catalogue(), run, Direction::Horizontal, text)?;
    Some(SupportSpacing {
        most: QuantityOut::bench_length(found.most, units),
        basis: found.basis.into(),
        source: (&found.source).into(),
    })
}

fn check_one(
    app: &App,
    manifold: &Manifold,
    rules: &RuleSet,
    (units, detail): (Units, CheckDetail),
) -> CheckedItem {
    let checked = app.check(manifold, rules);
    let figures =
        (detail == CheckDetail::Full).then(|| figures(app, manifold, rules, &checked, units));
    CheckedItem {
        mark: manifold.mark.clone(),
        verdict: checked.verdict.into(),
        findings: FindingOut::all(&checked.findings, units),
        computed: figures,
    }
}

fn figures(
    app: &App,
    manifold: &Manifold,
    rules: &RuleSet,
    checked: &Checked,
    units: Units,
) -> Computed {
    let (catalogue, formed) = (app.catalogue(), &checked.takeoff.layout.formed);
    let collars = Collars {
        manifold,
        catalogue,
        rules,
        units,
    };
    Computed {
        support_spacing: support_spacing(app, manifold, rules, units),
        ..computed(manifold, checked, collars.of_rows(formed), units)
    }
}

/// Check manifolds
///
/// Scope `check`. Says of each manifold whether it can be built and will hold, with every finding
/// and its basis. A manifold that may not be built is an answer, not an error; one that cannot be
/// read carries a `problem` and does not spoil the others. Nothing is stored. The findings help a
/// shop; they replace neither the local code nor licensed practice. With `?detail=verdict` only
/// verdict and findings are answered.
#[utoipa::path(post, path = "/v1/manifolds/check", tag = "manifolds", params(CheckQuery),
    request_body(content = ManifoldsIn, example = json!(example())),
    responses((status = 200, description = "One item for each manifold, in the same order.", body = CheckAnswer)))]
pub async fn check_manifolds(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<CheckQuery>,
    JsonText(body): JsonText,
) -> Result<Response, Problem> {
    let request = Request::of(&body)?;
    let units = chosen(&state, request.asked.units.or(query.units)).await?;
    let app = state.app().clone();
    let rules = app.rules(&request.asked.rules()).await?;
    let detail = query.detail.unwrap_or(CheckDetail::Full);
    let profile = UsedProfile::from(&rules.forming);
    // Neither a rule set nor a version of a profile ever changes.
    let by: Arc<str> = serde_json::to_string(&(&rules.name, &profile, units, detail))
        .map_err(|error| Problem::internal(&error))?
        .into();
    let wanted = request.wanted(&body, (state.known(), &by))?;
    let is_long = wanted.iter().filter(|item| item.is_new()).count() > FEW;
    let pool = state.heavy().clone();
    let job = move || {
        let head = |summary| Head {
            rule_set: rules.name.to_owned(),
            forming_profile: profile,
            summary,
        };
        let checker = Checker {
            catalogue: app.catalogue(),
            known: state.known(),
            by,
            make: |manifold: &Manifold| check_one(&app, manifold, &rules, (units, detail)),
        };
        checker.answer(wanted, head)
    };
    let text = if is_long {
        pool.run(job).await??
    } else {
        job()?
    };
    Ok(answer::json(text))
}
