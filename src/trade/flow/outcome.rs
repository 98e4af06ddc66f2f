//! What people are told of a split.

use super::case::{Assumed, Case};
use super::end_use::Branch;
use super::friction::{Bore, Regime};
use super::line::{AtOfftake, Line, Stretch, Walked};
use super::solve::{Method, Solution, solve};
use super::tee::Pattern;
use crate::trade::quantity::{FlowCoefficient, FlowRate, Length, Pressure, Velocity};

/// How water runs in a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// How much, whichever way.
    pub flow: FlowRate,
    /// How fast.
    pub velocity: Velocity,
    /// Reynolds number.
    pub reynolds: f64,
    /// Which correlation gave the friction factor.
    pub regime: Regime,
    /// Darcy's friction factor.
    pub friction_factor: f64,
}

impl Running {
    fn of(bore: &Bore, flow: FlowRate) -> Self {
        let reynolds = bore.reynolds(flow);
        Self {
            flow: flow.abs(),
            velocity: bore.velocity(flow).abs(),
            reynolds,
            regime: Regime::of(reynolds),
            friction_factor: bore.friction_factor(flow),
        }
    }
}

/// One outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutletFlow {
    /// Flow through it.
    pub flow: FlowRate,
    /// Its share of all the flow.
    pub share: f64,
    /// Flow wanted.
    pub wanted: Option<FlowRate>,
    /// Static pressure in the run where the water arrives, against the discharge or the return's
    /// outlet.
    pub header_pressure: Pressure,
    /// Static pressure at the end of its branch, where the end use begins; nothing at an open end.
    pub pressure: Pressure,
    /// The run beside it, on its fuller side.
    pub run: Running,
    /// The branch.
    pub branch: Running,
    /// How the flows meet in the supply header.
    pub pattern: Pattern,
    /// How they meet in the return header.
    pub return_pattern: Option<Pattern>,
    /// Head lost in tube and end use beyond the header.
    pub branch_loss: Length,
    /// Head left over at a fixed flow, or lacking when it is negative; nothing at a free one.
    pub head_to_spare: Length,
}

impl OutletFlow {
    /// Flow over the flow wanted.
    pub fn of_wanted(&self) -> Option<f64> {
        self.wanted.map(|wanted| self.flow / wanted)
    }
}

/// A stretch of header between two places where water comes or goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchFlow {
    /// Where it begins.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Towards the second end.
    pub onwards: bool,
    /// How the water runs.
    pub running: Running,
    /// Static pressure where it begins.
    pub pressure_from: Pressure,
    /// Static pressure where it ends.
    pub pressure_to: Pressure,
    /// Head lost to friction by Darcy and Colebrook.
    pub loss: Length,
    /// The same by Hazen and Williams, for comparison.
    pub hazen_williams_loss: Length,
}

/// The flow of a manifold.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Every outlet, in the order of the manifold.
    pub outlets: Vec<OutletFlow>,
    /// The supply header from first to second end.
    pub supply: Vec<StretchFlow>,
    /// The return header.
    pub back: Vec<StretchFlow>,
    /// All the flow.
    pub total: FlowRate,
    /// Total head at the feed, against the discharge or the return's outlet.
    pub head: Length,
    /// The same as a pressure.
    pub head_pressure: Pressure,
    /// Greatest less least flow, against what is wanted, over their mean.
    pub spread: f64,
    /// How much the head at the outlets differs along the headers.
    pub header_variation: Length,
    /// Least branch loss over that difference; above ten the split stays within about five per
    /// cent. `None` where nothing differs.
    pub branch_to_header: Option<f64>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
    /// Steps of the solver.
    pub iterations: u32,
    /// Largest head that does not close.
    pub residual: Length,
    /// The heads close.
    pub converged: bool,
    /// How it was found.
    pub method: Method,
}

impl Outcome {
    /// Solves a case and says what came of it.
    pub fn of(case: &Case) -> Self {
        let solution = solve(case);
        let total: FlowRate = solution.flows.iter().copied().sum();
        let outlets: Vec<OutletFlow> = (0..solution.flows.len())
            .map(|place| outlet(case, &solution, place, total))
            .collect();
        let supply = stretches(case, &case.supply, &solution.supply, solution.head);
        let back = match (&case.back, &solution.back) {
            (Some(line), Some(walked)) => stretches(case, line, walked, Length::ZERO),
            _ => Vec::new(),
        };
        let header_variation = variation(&solution);
        let least_loss = outlets.iter().map(|it| it.branch_loss).reduce(Length::min);
        Self {
            spread: spread(&outlets),
            branch_to_header: least_loss
                .filter(|_| header_variation > Length::metres(1e-9))
                .map(|loss| loss / header_variation),
            header_variation,
            assumed: assumed(case, &outlets),
            total,
            head: solution.head,
            head_pressure: case.pressure_of(solution.head),
            iterations: solution.iterations,
            residual: solution.residual,
            converged: solution.converged,
            method: solution.method,
            outlets,
            supply,
            back,
        }
    }

    /// For each outlet the valve that takes what is to spare there when every outlet gets the flow
    /// wanted of it; `None` where nothing is, and where some outlet wants no flow.
    pub fn balancing(&self, case: &Case) -> Vec<Option<FlowCoefficient>> {
        let rows = self.spare(case).into_iter().zip(&self.outlets);
        rows.zip(&case.branches)
            .map(|((spare, outlet), branch)| {
                // Less than a millimetre of water is an open valve.
                let excess = spare.filter(|it| *it > Length::millimetres(1.0))?;
                branch.coefficient_for(outlet.wanted?, excess)
            })
            .collect()
    }

    /// Head left over at each outlet when every outlet takes what is wanted of it.
    fn spare(&self, case: &Case) -> Vec<Option<Length>> {
        let Some(wanted) = case.wanted.iter().copied().collect::<Option<Vec<_>>>() else {
            return vec![None; self.outlets.len()];
        };
        let held = Case {
            fixed: vec![true; wanted.len()],
            ..case.clone()
        };
        let solution = solve(&held);
        (0..wanted.len())
            .map(|place| Some(to_spare(&held, &solution, place)))
            .collect()
    }
}

fn outlet(case: &Case, solution: &Solution, place: usize, total: FlowRate) -> OutletFlow {
    let flow = solution.flows[place];
    let branch: &Branch = &case.branches[place];
    let run_bore = &case.supply.bore;
    let at: &AtOfftake = &solution.supply.offtakes[place];
    let after = at.along - at.leaving;
    let (arriving, head) = if at.along.abs() >= after.abs() {
        (at.along, at.before)
    } else {
        (after, at.after)
    };
    let static_head = |head: Length, bore: &Bore, flow| head - bore.velocity_head(flow);
    let at_end = solution.head + at.branch - branch.approach_loss(flow);
    let spare = if case.fixed[place] {
        to_spare(case, solution, place)
    } else {
        Length::ZERO
    };
    OutletFlow {
        flow,
        share: if total > FlowRate::ZERO {
            flow / total
        } else {
            0.0
        },
        wanted: case.wanted[place],
        header_pressure: case.pressure_of(static_head(solution.head + head, run_bore, arriving)),
        pressure: case.pressure_of(static_head(at_end, &branch.bore, flow)),
        run: Running::of(run_bore, arriving),
        branch: Running::of(&branch.bore, flow),
        pattern: at.pattern,
        return_pattern: solution
            .back
            .as_ref()
            .map(|back| back.offtakes[place].pattern),
        branch_loss: branch.loss(flow),
        head_to_spare: spare,
    }
}

fn to_spare(case: &Case, solution: &Solution, place: usize) -> Length {
    let back = solution.back.as_ref();
    solution.head + solution.supply.offtakes[place].branch
        - back.map_or(Length::ZERO, |back| back.offtakes[place].branch)
        - case.branches[place].loss(solution.flows[place])
}

fn stretches(case: &Case, line: &Line, walked: &Walked, datum: Length) -> Vec<StretchFlow> {
    let flow_of = |stretch: &Stretch| {
        let length = stretch.to - stretch.from;
        let velocity_head = line.bore.velocity_head(stretch.flow);
        let pressure = |head: Length| case.pressure_of(datum + head - velocity_head);
        StretchFlow {
            from: stretch.from,
            to: stretch.to,
            onwards: stretch.flow >= FlowRate::ZERO,
            running: Running::of(&line.bore, stretch.flow),
            pressure_from: pressure(stretch.head_from),
            pressure_to: pressure(stretch.head_to),
            loss: line.bore.darcy_loss(stretch.flow, length).abs(),
            hazen_williams_loss: line.bore.hazen_williams_loss(stretch.flow, length).abs(),
        }
    };
    walked.stretches.iter().map(flow_of).collect()
}

/// How much the head offered to the outlets differs.
fn variation(solution: &Solution) -> Length {
    let offered = |place: usize| {
        let back = solution.back.as_ref();
        solution.supply.offtakes[place].branch
            - back.map_or(Length::ZERO, |back| back.offtakes[place].branch)
    };
    let all = || (0..solution.flows.len()).map(offered);
    match (all().reduce(Length::max), all().reduce(Length::min)) {
        (Some(most), Some(least)) => most - least,
        _ => Length::ZERO,
    }
}

/// Against what is wanted of each outlet where that is known of all, else against each other.
fn spread(outlets: &[OutletFlow]) -> f64 {
    let wanted: Option<Vec<f64>> = outlets.iter().map(OutletFlow::of_wanted).collect();
    let ratios = wanted.unwrap_or_else(|| {
        outlets
            .iter()
            .map(|it| it.flow.in_litres_per_second())
            .collect()
    });
    let mean = ratios.iter().sum::<f64>() / ratios.len().max(1) as f64;
    let most = ratios.iter().copied().fold(f64::MIN, f64::max);
    let least = ratios.iter().copied().fold(f64::MAX, f64::min);
    if mean > 0.0 {
        (most - least) / mean
    } else {
        0.0
    }
}

fn assumed(case: &Case, outlets: &[OutletFlow]) -> Vec<Assumed> {
    let unusual = |pattern| matches!(pattern, Pattern::Meeting | Pattern::Splitting);
    let mut assumed = case.assumed.clone();
    let any = outlets
        .iter()
        .any(|it| unusual(it.pattern) || it.return_pattern.is_some_and(unusual));
    if any {
        assumed.push(Assumed::MeetingFlows);
    }
    assumed
}
