//! Which tubes and builds would carry wanted flows: every run, branch, type and build is tried.
//!
//! Branches are of the run's type (common practice). Where rows want different flows, each row
//! takes the smallest branch that carries its flow, then all of them the next size, and so on.

mod tried;

use std::sync::Arc;

use super::catalogue::Catalogue;
use super::check::{Checked, check};
use super::flow::case::Case;
use super::flow::limits::{SPREAD, velocity_limit};
use super::flow::outcome::Outcome;
use super::manifold::{Build, Design, DesignFault, Manifold, Supply};
use super::quantity::{FlowCoefficient, FlowRate, Length, Mass, Temperature, Velocity};
use super::rule_set::{RuleSet, VelocityBasis};
use super::tube::{Standard, Tube, WallType};

pub use tried::Rejected;
use tried::{Trial, copper};

/// Limits that a design must keep.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Fastest water; else what the trade advises for service and temperature.
    pub velocity: Option<Velocity>,
    /// Widest split, greatest less least over the mean; else what is usual.
    pub spread: Option<f64>,
    /// Most head that all of it may need, when no supply is given.
    pub head: Option<Length>,
}

/// What is wanted. The design's tubes are put in by the sizing; those that are given stay.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The design, whatever its tubes and build.
    pub design: Design,
    /// The run's tube, when it is settled.
    pub run: Option<Arc<Tube>>,
    /// The branch tube of each row, where it is settled.
    pub branches: Vec<Option<Arc<Tube>>>,
    /// The builds to try.
    pub builds: Vec<Build>,
    /// The tube types to try.
    pub types: Vec<WallType>,
    /// The limits to keep.
    pub limits: Limits,
}

/// A design that keeps every limit and passes every check.
#[derive(Debug, Clone)]
pub struct Fitting {
    /// The design, resolved.
    pub manifold: Manifold,
    /// Its check.
    pub checked: Checked,
    /// Its flow.
    pub outcome: Arc<Outcome>,
    /// The valves that balance it.
    pub balancing: Arc<Vec<Option<FlowCoefficient>>>,
}

/// What a sizing comes to.
#[derive(Debug, Clone)]
pub struct Sized {
    /// Designs that fit, lightest first.
    pub fitting: Vec<Fitting>,
    /// Designs that do not, lightest first.
    pub rejected: Vec<Rejected>,
    /// How many were tried.
    pub tried: usize,
}

/// Tries every run, branch, type and build.
///
/// # Errors
/// What keeps any of them from being worked out: faults of the design or of its supply.
pub fn size(
    wanted: &Wanted,
    catalogue: &Catalogue,
    rules: &RuleSet,
) -> Result<Sized, Vec<DesignFault>> {
    let mut sized = Sized {
        fitting: Vec::new(),
        rejected: Vec::new(),
        tried: 0,
    };
    for pair in tubes_to_try(wanted, catalogue, rules.velocity) {
        let mut flow = None;
        let resolved = Manifold::resolve(pair.design(wanted), catalogue)?;
        for build in &wanted.builds {
            let Some(manifold) = resolved.built_as(*build, catalogue) else {
                continue;
            };
            sized.tried += 1;
            match judge(wanted, manifold, (catalogue, rules), &mut flow)? {
                Ok(fitting) => sized.fitting.push(fitting),
                Err(rejected) => sized.rejected.push(rejected),
            }
        }
    }
    sized
        .fitting
        .sort_by(|a, b| total(a.checked.takeoff.mass, b.checked.takeoff.mass));
    sized.rejected.sort_by(|a, b| total(a.copper, b.copper));
    Ok(sized)
}

fn total(a: Mass, b: Mass) -> std::cmp::Ordering {
    a.in_kilograms().total_cmp(&b.in_kilograms())
}

/// Run and branches of one try.
struct Tubes {
    run: Arc<Tube>,
    branches: Vec<Arc<Tube>>,
}

impl Tubes {
    fn design(&self, wanted: &Wanted) -> Design {
        let mut design = wanted.design.clone();
        design.run.tube = Arc::clone(&self.run);
        for (row, tube) in design.outlets.iter_mut().zip(&self.branches) {
            row.tube = Arc::clone(tube);
        }
        design
            .supply
            .get_or_insert_with(|| Supply::of_flow(all_flow(wanted)));
        design
    }
}

/// All the flow that is wanted.
fn all_flow(wanted: &Wanted) -> FlowRate {
    let rows = wanted.design.outlets.iter();
    rows.filter_map(|row| Some(row.flow? * f64::from(row.count.unwrap_or(1))))
        .sum()
}

fn tubes_to_try(wanted: &Wanted, catalogue: &Catalogue, basis: VelocityBasis) -> Vec<Tubes> {
    let types = match &wanted.run {
        // Branches of a settled run are of its type, where water tube to B88 has that type.
        Some(run) if !sizes(catalogue, run.wall_type).is_empty() => vec![run.wall_type],
        _ => wanted.types.clone(),
    };
    types
        .into_iter()
        .flat_map(|kind| of_type(wanted, sizes(catalogue, kind), basis))
        .collect()
}

/// Water tube of a type, smallest first.
fn sizes(catalogue: &Catalogue, kind: WallType) -> Vec<Arc<Tube>> {
    let tubes = catalogue.tubes().iter();
    let mut sizes: Vec<Arc<Tube>> = tubes
        .filter(|tube| tube.standard == Standard::AstmB88 && tube.wall_type == kind)
        .cloned()
        .collect();
    sizes.sort_by(|a, b| a.od.in_metres().total_cmp(&b.od.in_metres()));
    sizes
}

fn of_type(wanted: &Wanted, sizes: Vec<Arc<Tube>>, basis: VelocityBasis) -> Vec<Tubes> {
    let runs = match &wanted.run {
        Some(run) => vec![Arc::clone(run)],
        None => sizes.clone(),
    };
    let rows: Vec<Vec<Arc<Tube>>> = wanted
        .design
        .outlets
        .iter()
        .zip(&wanted.branches)
        .map(|(row, settled)| match settled {
            Some(tube) => vec![Arc::clone(tube)],
            None => carrying(wanted, row.flow, &sizes, basis),
        })
        .collect();
    let steps = rows.iter().map(Vec::len).max().unwrap_or(0);
    let mut tubes = Vec::new();
    for run in &runs {
        for step in 0..steps {
            let branches: Option<Vec<Arc<Tube>>> = rows
                .iter()
                .map(|sizes| sizes.get(step.min(sizes.len().saturating_sub(1))).cloned())
                .collect();
            let Some(branches) = branches else { continue };
            if branches.iter().all(|branch| branch.od <= run.od) {
                tubes.push(Tubes {
                    run: Arc::clone(run),
                    branches,
                });
            }
        }
    }
    tubes
}

/// Sizes from the one below the smallest that carries a flow; the one below says why it fails.
fn carrying(
    wanted: &Wanted,
    flow: Option<FlowRate>,
    sizes: &[Arc<Tube>],
    basis: VelocityBasis,
) -> Vec<Arc<Tube>> {
    let Some(flow) = flow else {
        return sizes.to_vec();
    };
    let carries = |tube: &Arc<Tube>| {
        fastest(wanted, tube, basis).is_none_or(|most| flow / tube.bore_area() <= most)
    };
    let first = sizes.iter().position(carries).unwrap_or(sizes.len());
    sizes[first.saturating_sub(1)..].to_vec()
}

/// The fastest that water may run in a tube.
fn fastest(wanted: &Wanted, tube: &Tube, basis: VelocityBasis) -> Option<Velocity> {
    let supply = wanted.design.supply.as_ref();
    let temperature: Temperature = supply
        .and_then(|supply| supply.temperature)
        .unwrap_or(wanted.design.design_temperature);
    wanted.limits.velocity.or_else(|| {
        velocity_limit(wanted.design.service, temperature, tube, basis).map(|limit| limit.most)
    })
}

/// The flow of run and branches, the same for every build of them.
type Flowing = (Arc<Outcome>, Arc<Vec<Option<FlowCoefficient>>>);

fn judge(
    wanted: &Wanted,
    manifold: Manifold,
    (catalogue, rules): (&Catalogue, &RuleSet),
    flow: &mut Option<Flowing>,
) -> Result<Result<Fitting, Rejected>, Vec<DesignFault>> {
    let mut trial = Trial::new(&manifold);
    trial.velocity(wanted.limits.velocity, |tube| {
        fastest(wanted, tube, rules.velocity)
    });
    if trial.fails() {
        return Ok(Err(trial.rejected(copper(&manifold))));
    }
    let (outcome, balancing) = match flow {
        Some(flowing) => flowing.clone(),
        None => {
            let case = Case::of(&manifold)?;
            let outcome = Outcome::of(&case);
            let balancing = Arc::new(outcome.balancing(&case));
            flow.insert((Arc::new(outcome), balancing)).clone()
        }
    };
    trial.outcome(&outcome, wanted.limits.spread.unwrap_or(SPREAD));
    trial.head(&outcome, wanted.limits.head);
    trial.speeds(&outcome, |tube| fastest(wanted, tube, rules.velocity));
    if trial.fails() {
        return Ok(Err(trial.rejected(copper(&manifold))));
    }
    let checked = check(&manifold, catalogue, rules);
    trial.stops(&checked);
    if trial.fails() {
        return Ok(Err(trial.rejected(copper(&manifold))));
    }
    Ok(Ok(Fitting {
        manifold,
        checked,
        outcome,
        balancing,
    }))
}
