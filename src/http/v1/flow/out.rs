//! Answers of the flow call.

use serde::Serialize;
use utoipa::ToSchema;

use crate::app::flows::Flowing;
use crate::http::v1::findings::{FindingOut, SourceOut};
use crate::http::v1::manifold::LossMethodName;
use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::flow::case::Case;
use crate::trade::flow::fluid::Liquid;
use crate::trade::flow::friction::Regime;
use crate::trade::flow::outcome::{OutletFlow, Running, StretchFlow};
use crate::trade::flow::solve::Method;
use crate::trade::flow::tee::Pattern;
use crate::trade::manifold::{Manifold, Outlet};
use crate::trade::quantity::FlowCoefficient;

wire_enum! {
    /// Which correlation gave a friction factor.
    pub enum RegimeName {
        /// Nothing flows.
        Still = "still",
        /// 64 over the Reynolds number, below 2300.
        Laminar = "laminar",
        /// From 2300 to 4000 no correlation holds: a straight line from one to the other.
        Transition = "transition",
        /// Colebrook's equation, solved, above 4000.
        Turbulent = "turbulent",
    }
}

impl From<Regime> for RegimeName {
    fn from(regime: Regime) -> Self {
        match regime {
            Regime::Still => Self::Still,
            Regime::Laminar => Self::Laminar,
            Regime::Transition => Self::Transition,
            Regime::Turbulent => Self::Turbulent,
        }
    }
}

wire_enum! {
    /// How the flows meet at an outlet.
    pub enum PatternName {
        /// Nothing flows.
        Still = "still",
        /// One leg of the run feeds the branch and the other leg.
        Dividing = "dividing",
        /// Branch and one leg of the run flow out by the other leg.
        Combining = "combining",
        /// Both legs of the run feed the branch; a stand-in factor.
        Meeting = "meeting",
        /// The branch feeds both legs of the run; a stand-in factor.
        Splitting = "splitting",
    }
}

impl From<Pattern> for PatternName {
    fn from(pattern: Pattern) -> Self {
        match pattern {
            Pattern::Still => Self::Still,
            Pattern::Dividing => Self::Dividing,
            Pattern::Combining => Self::Combining,
            Pattern::Meeting => Self::Meeting,
            Pattern::Splitting => Self::Splitting,
        }
    }
}

wire_enum! {
    /// How a split was found.
    pub enum MethodName {
        /// Every flow was given.
        Given = "given",
        /// Newton's method.
        Newton = "newton",
        /// Newton's method helped by damped least squares.
        DampedLeastSquares = "damped_least_squares",
    }
}

/// How water runs in a tube.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RunningOut {
    /// How much.
    flow: QuantityOut,
    /// How fast.
    velocity: QuantityOut,
    /// Reynolds number.
    #[schema(example = 41200.0)]
    reynolds: f64,
    /// Which correlation gave the friction factor.
    correlation: RegimeName,
    /// Darcy's friction factor.
    #[schema(example = 0.0216)]
    friction_factor: f64,
}

impl RunningOut {
    fn of(running: &Running, units: Units) -> Self {
        Self {
            flow: QuantityOut::flow(running.flow, units),
            velocity: QuantityOut::velocity(running.velocity, units),
            reynolds: QuantityOut::plain(running.reynolds, "").value,
            correlation: running.regime.into(),
            friction_factor: QuantityOut::plain(running.friction_factor, "").value,
        }
    }
}

/// A flow coefficient, both ways.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CoefficientOut {
    /// US gallons a minute at 1 psi.
    #[schema(example = 2.5)]
    cv: f64,
    /// Cubic metres an hour at 1 bar.
    #[schema(example = 2.16)]
    kv: f64,
}

impl From<FlowCoefficient> for CoefficientOut {
    fn from(coefficient: FlowCoefficient) -> Self {
        Self {
            cv: QuantityOut::plain(coefficient.in_cv(), "").value,
            kv: QuantityOut::plain(coefficient.in_kv(), "").value,
        }
    }
}

/// The flow of one outlet.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OutletFlowOut {
    /// From the first end's finished face to its centre.
    station: QuantityOut,
    /// Flow through it.
    flow: QuantityOut,
    /// Its share of all the flow.
    #[schema(example = 0.1667)]
    share: f64,
    /// Flow wanted; `null` when none was given.
    #[schema(required)]
    wanted: Option<QuantityOut>,
    /// Flow over the flow wanted.
    #[schema(required, example = 1.02)]
    of_wanted: Option<f64>,
    /// Static pressure at the end of its branch, before what stands there, against the discharge or
    /// the return header's outlet.
    pressure: QuantityOut,
    /// Static pressure in the run where the water arrives.
    header_pressure: QuantityOut,
    /// Velocity in the run beside it, on its fuller side.
    run_velocity: QuantityOut,
    /// Velocity in its branch.
    branch_velocity: QuantityOut,
    /// The run beside it.
    run: RunningOut,
    /// The branch.
    branch: RunningOut,
    /// How the flows meet in the supply header.
    pattern: PatternName,
    /// How they meet in the return header; `null` without one.
    #[schema(required)]
    return_pattern: Option<PatternName>,
    /// Head lost beyond the header, in tube and end use.
    branch_loss: QuantityOut,
    /// Head left over at a fixed flow, negative when it is short; nothing where the flow settles
    /// by itself.
    head_to_spare: QuantityOut,
    /// The balancing valve that takes what head is to spare at the flow wanted; `null` where none is, or
    /// where some outlet wants no flow.
    #[schema(required)]
    balancing: Option<CoefficientOut>,
}

/// A stretch of header.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct StretchOut {
    /// Where it begins, from the first end's finished face.
    from: QuantityOut,
    /// Where it ends.
    to: QuantityOut,
    /// True when the water runs towards the second end.
    #[schema(example = true)]
    onwards: bool,
    /// How it runs.
    running: RunningOut,
    /// Static pressure where it begins.
    pressure_from: QuantityOut,
    /// Static pressure where it ends.
    pressure_to: QuantityOut,
    /// Head lost to friction, by Darcy and Colebrook.
    loss: QuantityOut,
    /// The same by Hazen and Williams with C 150 (from memory), for comparison.
    hazen_williams_loss: QuantityOut,
}

impl StretchOut {
    fn of(stretch: &StretchFlow, units: Units) -> Self {
        Self {
            from: QuantityOut::bench_length(stretch.from, units),
            to: QuantityOut::bench_length(stretch.to, units),
            onwards: stretch.onwards,
            running: RunningOut::of(&stretch.running, units),
            pressure_from: QuantityOut::pressure(stretch.pressure_from, units),
            pressure_to: QuantityOut::pressure(stretch.pressure_to, units),
            loss: QuantityOut::head(stretch.loss, units),
            hazen_williams_loss: QuantityOut::head(stretch.hazen_williams_loss, units),
        }
    }
}

/// What runs.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LiquidOut {
    /// What it is.
    #[schema(example = "water")]
    name: String,
    /// How warm.
    temperature: QuantityOut,
    /// Its density, in kg/m3.
    density: QuantityOut,
    /// Its dynamic viscosity, in mPa s.
    viscosity: QuantityOut,
    /// Where the figures come from.
    source: SourceOut,
}

impl LiquidOut {
    fn of(liquid: &Liquid, units: Units) -> Self {
        let density = liquid.density.in_kilograms_per_cubic_metre();
        let viscosity = liquid.viscosity.in_millipascal_seconds();
        Self {
            name: liquid.fluid.spoken(),
            temperature: QuantityOut::temperature(liquid.temperature, units),
            density: QuantityOut::plain(density, "kg/m3"),
            viscosity: QuantityOut::plain(viscosity, "mPa s"),
            source: (&liquid.source).into(),
        }
    }
}

/// The flow of one manifold.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FlowItem {
    /// Its mark.
    #[schema(example = "H-1")]
    mark: String,
    /// Every outlet, in order along the run.
    outlets: Vec<OutletFlowOut>,
    /// All the flow.
    flow: QuantityOut,
    /// Total head at the feed: the one given, or what the flow given needs.
    head: QuantityOut,
    /// The same as a pressure.
    head_pressure: QuantityOut,
    /// Greatest less least flow, against what is wanted, over their mean.
    #[schema(example = 0.031)]
    spread: f64,
    /// How much the head offered to the outlets differs along the header.
    header_variation: QuantityOut,
    /// Least branch loss over that; above ten the flows stay within about five per cent of each
    /// other (common practice). `null` where nothing differs.
    #[schema(required, example = 12.4)]
    branch_to_header: Option<f64>,
    /// The supply header, from the first end to the second.
    supply_header: Vec<StretchOut>,
    /// The return header; empty without one.
    return_header: Vec<StretchOut>,
    /// What runs.
    fluid: LiquidOut,
    /// How losses at the outlets were counted.
    losses: LossMethodName,
    /// Steps of the solver.
    #[schema(example = 5)]
    iterations: u32,
    /// Largest head that does not close.
    residual: QuantityOut,
    /// The heads close; do not rely on the flows when they do not.
    #[schema(example = true)]
    converged: bool,
    /// How the split was found.
    method: MethodName,
    /// What was assumed, and which figures stand in for ones that nobody has published.
    #[schema(example = json!(["no loss figure of a formed collar is openly published; that of a tee stands in for it"]))]
    assumed: Vec<String>,
    /// What the rules of flow say.
    findings: Vec<FindingOut>,
}

impl FlowItem {
    /// In the units asked for.
    pub fn of(manifold: &Manifold, flowing: &Flowing, units: Units) -> Self {
        let outcome = &flowing.outcome;
        let stretches = |list: &[StretchFlow]| {
            list.iter()
                .map(|it| StretchOut::of(it, units))
                .collect::<Vec<_>>()
        };
        Self {
            mark: manifold.mark.clone(),
            outlets: outlets(manifold, flowing, units),
            flow: QuantityOut::flow(outcome.total, units),
            head: QuantityOut::head(outcome.head, units),
            head_pressure: QuantityOut::pressure(outcome.head_pressure, units),
            spread: QuantityOut::plain(outcome.spread, "").value,
            header_variation: QuantityOut::head(outcome.header_variation, units),
            branch_to_header: outcome
                .branch_to_header
                .map(|ratio| QuantityOut::plain(ratio, "").value),
            supply_header: stretches(&outcome.supply),
            return_header: stretches(&outcome.back),
            fluid: LiquidOut::of(&flowing.case.liquid, units),
            losses: flowing.case.losses.into(),
            iterations: outcome.iterations,
            residual: QuantityOut::head(outcome.residual, units),
            converged: outcome.converged,
            method: match outcome.method {
                Method::Given => MethodName::Given,
                Method::Newton => MethodName::Newton,
                Method::DampedLeastSquares => MethodName::DampedLeastSquares,
            },
            assumed: outcome
                .assumed
                .iter()
                .map(|it| it.sentence().to_owned())
                .collect(),
            findings: FindingOut::all(&flowing.findings, units),
        }
    }
}

fn outlets(manifold: &Manifold, flowing: &Flowing, units: Units) -> Vec<OutletFlowOut> {
    let case: &Case = &flowing.case;
    let balancing = flowing.outcome.balancing(case);
    let outlets = manifold.outlets.iter().zip(&flowing.outcome.outlets);
    outlets
        .zip(balancing)
        .map(|((outlet, flow), valve)| outlet_flow(outlet, flow, valve, units))
        .collect()
}

fn outlet_flow(
    outlet: &Outlet,
    flow: &OutletFlow,
    valve: Option<FlowCoefficient>,
    units: Units,
) -> OutletFlowOut {
    OutletFlowOut {
        station: QuantityOut::bench_length(outlet.station, units),
        flow: QuantityOut::flow(flow.flow, units),
        share: QuantityOut::plain(flow.share, "").value,
        wanted: flow.wanted.map(|wanted| QuantityOut::flow(wanted, units)),
        of_wanted: flow
            .of_wanted()
            .map(|part| QuantityOut::plain(part, "").value),
        pressure: QuantityOut::pressure(flow.pressure, units),
        header_pressure: QuantityOut::pressure(flow.header_pressure, units),
        run_velocity: QuantityOut::velocity(flow.run.velocity, units),
        branch_velocity: QuantityOut::velocity(flow.branch.velocity, units),
        run: RunningOut::of(&flow.run, units),
        branch: RunningOut::of(&flow.branch, units),
        pattern: flow.pattern.into(),
        return_pattern: flow.return_pattern.map(PatternName::from),
        branch_loss: QuantityOut::head(flow.branch_loss, units),
        head_to_spare: QuantityOut::head(flow.head_to_spare, units),
        balancing: valve.map(CoefficientOut::from),
    }
}
