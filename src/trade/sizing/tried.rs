//! Why a design does not do.

use crate::trade::check::Checked;
use crate::trade::flow::limits::run_flow_wanted;
use crate::trade::flow::outcome::Outcome;
use crate::trade::manifold::{Build, Manifold};
use crate::trade::quantity::{FlowRate, Length, Mass, Velocity};
use crate::trade::tube::Tube;

/// A design that does not do, and why: velocities are looked at first, then the split, then the
/// checks, and the first of them that fails gives the reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejected {
    /// Id of the run's tube.
    pub run: String,
    /// Ids of the branch tubes, row by row.
    pub branches: Vec<String>,
    /// How it would be built.
    pub build: Build,
    /// Copper of its tube.
    pub copper: Mass,
    /// Rule and reason, in words.
    pub reasons: Vec<String>,
}

/// Copper of the tube of a manifold, before it is laid out.
pub(super) fn copper(manifold: &Manifold) -> Mass {
    let branches: Mass = manifold
        .outlets
        .iter()
        .map(|outlet| outlet.tube.linear_mass() * outlet.stub)
        .sum();
    manifold.run.tube.linear_mass() * manifold.run.length + branches
}

/// One design as it is judged.
pub(super) struct Trial<'a> {
    manifold: &'a Manifold,
    reasons: Vec<String>,
}

impl<'a> Trial<'a> {
    pub fn new(manifold: &'a Manifold) -> Self {
        Self {
            manifold,
            reasons: Vec::new(),
        }
    }

    pub fn fails(&self) -> bool {
        !self.reasons.is_empty()
    }

    /// The velocities that the wanted flows come to.
    pub fn velocity(
        &mut self,
        given: Option<Velocity>,
        fastest: impl Fn(&Tube) -> Option<Velocity>,
    ) {
        if let Some((flow, _)) = run_flow_wanted(self.manifold) {
            let run = &self.manifold.run.tube;
            self.speed("run", run, flow, given.or_else(|| fastest(run)));
        }
        let mut seen = Vec::new();
        for outlet in &self.manifold.outlets {
            if let (Some(flow), false) = (outlet.flow, seen.contains(&outlet.row)) {
                seen.push(outlet.row);
                self.speed("branch", &outlet.tube, flow, fastest(&outlet.tube));
            }
        }
    }

    fn speed(&mut self, what: &str, tube: &Tube, flow: FlowRate, most: Option<Velocity>) {
        self.too_fast(what, tube, flow / tube.bore_area(), most);
    }

    fn too_fast(&mut self, what: &str, tube: &Tube, speed: Velocity, most: Option<Velocity>) {
        let Some(most) = most else { return };
        // A hair above is the rounding of whoever wrote the limit.
        if speed <= most * (1.0 + 1e-9) {
            return;
        }
        self.reasons.push(format!(
            "velocity: water runs at {:.2} ft/s in the {what} of {}; the limit is {:.2} ft/s",
            speed.in_feet_per_second(),
            tube.call_out(),
            most.in_feet_per_second()
        ));
    }

    /// The velocities that the split comes to, where flows settle by themselves.
    pub fn speeds(&mut self, outcome: &Outcome, fastest: impl Fn(&Tube) -> Option<Velocity>) {
        let run = &self.manifold.run.tube;
        let in_run = outcome.supply.iter().map(|it| it.running.velocity);
        if let Some(speed) = in_run.reduce(Velocity::max) {
            self.too_fast("run", run, speed, fastest(run));
        }
        let mut seen = Vec::new();
        for outlet in &self.manifold.outlets {
            if seen.contains(&outlet.row) {
                continue;
            }
            seen.push(outlet.row);
            let of_row = self.manifold.outlets.iter().zip(&outcome.outlets);
            let speed = of_row
                .filter(|(it, _)| it.row == outlet.row)
                .map(|(_, flow)| flow.branch.velocity)
                .reduce(Velocity::max);
            if let Some(speed) = speed {
                self.too_fast("branch", &outlet.tube, speed, fastest(&outlet.tube));
            }
        }
    }

    /// Whether the split closes, and how even it is.
    pub fn outcome(&mut self, outcome: &Outcome, widest: f64) {
        if !outcome.converged {
            self.reasons
                .push("flow-spread: the split could not be worked out".to_owned());
        }
        if outcome.spread > widest {
            self.reasons.push(format!(
                "flow-spread: the outlets differ by {:.1} % of their mean; the limit is {:.1} %",
                outcome.spread * 100.0,
                widest * 100.0
            ));
        }
    }

    /// Whether the head that is at hand is enough.
    pub fn head(&mut self, outcome: &Outcome, most: Option<Length>) {
        let spare = outcome.outlets.iter().map(|it| it.head_to_spare);
        let least = spare.reduce(Length::min).unwrap_or_default();
        if least < -Length::millimetres(0.1) {
            self.reasons.push(format!(
                "flow-spread: the head is {:.2} ft short of carrying what is wanted",
                -least.in_feet()
            ));
        }
        if let Some(most) = most
            && outcome.head > most
        {
            self.reasons.push(format!(
                "head: it needs {:.2} ft; the limit is {:.2} ft",
                outcome.head.in_feet(),
                most.in_feet()
            ));
        }
    }

    /// What the checks stop.
    pub fn stops(&mut self, checked: &Checked) {
        for stop in checked.stops() {
            let reason = format!("{}: {}", stop.rule.name(), stop.detail);
            if !self.reasons.contains(&reason) {
                self.reasons.push(reason);
            }
        }
    }

    pub fn rejected(self, copper: Mass) -> Rejected {
        let mut branches: Vec<(usize, String)> = Vec::new();
        for outlet in &self.manifold.outlets {
            if !branches.iter().any(|(row, _)| *row == outlet.row) {
                branches.push((outlet.row, outlet.tube.id.clone()));
            }
        }
        branches.sort_by_key(|(row, _)| *row);
        Rejected {
            run: self.manifold.run.tube.id.clone(),
            branches: branches.into_iter().map(|(_, id)| id).collect(),
            build: self.manifold.build,
            copper,
            reasons: self.reasons,
        }
    }
}
