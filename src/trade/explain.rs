//! Every rule explained: what it asks, by which formula, from which source, with an example that
//! is checked by the same code when it is asked for.
//!
//! A rule without an explanation does not compile.

mod collar;
mod flow;
mod joining;
mod pressure;
mod safety;
mod spacing;

use std::sync::Arc;

use super::catalogue::Catalogue;
use super::check::{check, flow_findings};
use super::filler::Filler;
use super::finding::{Figure, Finding, Rule};
use super::flow::case::Case;
use super::flow::outcome::Outcome;
use super::manifold::{
    Build, Design, EndDesign, EndKind, Manifold, OutletDuty, OutletRow, RunDesign,
};
use super::metal::Metal;
use super::outlet::GivenCollar;
use super::quantity::{Angle, Length, Pressure, Temperature};
use super::rule_set::RuleSet;
use super::service::Service;
use super::source::{Source, Status};
use super::tube::{Temper, Tube};

/// What a rule asks and why.
#[derive(Debug, Clone)]
pub struct Explanation {
    /// The rule in a few words.
    pub title: &'static str,
    /// What it asks, and what happens otherwise.
    pub text: &'static str,
    /// The formula, with its symbols; empty when nothing is calculated.
    pub formula: &'static str,
    /// Where it comes from, each with how far it may be trusted.
    pub sources: Vec<Source>,
    /// A design that the rule has something to say of.
    example: Example,
}

/// A design to show a rule on: the sound one with a change.
#[derive(Debug, Clone, Copy)]
struct Example {
    /// What is changed, in words.
    told: &'static str,
    /// Changes it; `None` when the catalogue lacks a part.
    change: Change,
}

/// A change of the sound design.
type Change = fn(&Parts<'_>, &mut Design) -> Option<()>;

/// The sound design as it is.
const SOUND: Change = |_, _| Some(());

/// A rule at work on an example.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkedExample {
    /// The example in words.
    pub told: String,
    /// The figures it starts from.
    pub given: Vec<(&'static str, Figure)>,
    /// What the rule finds, worst first.
    pub findings: Vec<Finding>,
}

/// What an example is put together from.
struct Parts<'a>(&'a Catalogue);

impl Parts<'_> {
    fn tube(&self, id: &str) -> Option<Arc<Tube>> {
        self.0.tube(id).cloned()
    }

    fn filler(&self, id: &str) -> Option<Arc<Filler>> {
        self.0.filler(id).cloned()
    }

    /// A row of outlets.
    fn row(&self, branch: &str, count: u32, (first, pitch): (f64, f64)) -> Option<OutletRow> {
        Some(OutletRow {
            tube: self.tube(branch)?,
            station: None,
            count: Some(count),
            first: Some(Length::inches(first)),
            pitch: Some(Length::inches(pitch)),
            clock: Angle::ZERO,
            stub: Length::inches(3.0),
            flow: None,
            duty: OutletDuty::default(),
            collar: GivenCollar::default(),
            joins: Metal::Copper,
        })
    }

    /// A heating manifold that nothing stops: 2 in type L, 24 in long, with four 1 in outlets.
    fn sound(&self) -> Option<Design> {
        const OPEN: EndDesign = EndDesign {
            kind: EndKind::Plain,
            beyond: None,
            joins: Metal::Copper,
        };
        Some(Design {
            mark: "EXAMPLE".to_owned(),
            quantity: 1,
            service: Service::HydronicHeating,
            design_pressure: Pressure::psi(75.0),
            design_temperature: Temperature::fahrenheit(180.0),
            build: Build::FormedOutlets,
            run: RunDesign {
                tube: self.tube("b88-l-2")?,
                temper: Temper::Drawn,
                ends: [OPEN; 2],
                length: Some(Length::inches(24.0)),
            },
            outlets: vec![self.row("b88-l-1", 4, (4.0, 5.0))?],
            filler: None,
            filler_wire: None,
            conditions: Vec::new(),
            supply: None,
        })
    }
}

/// What a rule asks and why.
pub fn explanation(rule: Rule) -> Explanation {
    match rule {
        Rule::RunWall => collar::run_wall(),
        Rule::RunType => collar::run_type(),
        Rule::BranchSize => collar::branch_size(),
        Rule::CollarHeight => collar::collar_height(),
        Rule::FormingSeverity => collar::forming_severity(),
        Rule::RimLevel => collar::rim_level(),
        Rule::BranchIntrusion => collar::branch_intrusion(),
        Rule::Dimples => collar::dimples(),
        Rule::OutletPitch => spacing::outlet_pitch(),
        Rule::EndDistance => spacing::end_distance(),
        Rule::OutletOverlap => spacing::outlet_overlap(),
        Rule::RunLength => spacing::run_length(),
        Rule::LiftMass => spacing::lift_mass(),
        Rule::JointMethod => joining::joint_method(),
        Rule::FillerService => joining::filler_service(),
        Rule::FillerMaterials => joining::filler_materials(),
        Rule::ServiceAllowed => joining::service_allowed(),
        Rule::LeadFree => joining::lead_free(),
        Rule::TemperatureJoint => joining::temperature_joint(),
        Rule::PressureRun => pressure::run(),
        Rule::PressureBranch => pressure::branch(),
        Rule::PressureFitting => pressure::fitting(),
        Rule::PressureJoint => pressure::joint(),
        Rule::OpeningReinforcement => collar::opening_reinforcement(),
        Rule::Velocity => flow::velocity(),
        Rule::FlowSpread => flow::flow_spread(),
        Rule::AreaRatio => flow::area_ratio(),
        Rule::DeadLeg => flow::dead_leg(),
        Rule::Purge => safety::purge(),
        Rule::HotWork => safety::hot_work(),
        Rule::TestPressure => safety::test_pressure(),
    }
}

impl Explanation {
    /// The example, checked now. `None` only when the catalogue lacks a part of it.
    pub fn worked(
        &self,
        rule: Rule,
        catalogue: &Catalogue,
        rules: &RuleSet,
    ) -> Option<WorkedExample> {
        let parts = Parts(catalogue);
        let mut design = parts.sound()?;
        (self.example.change)(&parts, &mut design)?;
        let manifold = Manifold::resolve(design, catalogue).ok()?;
        // The split is worked out by the flow call alone.
        let found = match rule {
            Rule::FlowSpread => flow_findings(
                &manifold,
                &Outcome::of(&Case::of(&manifold).ok()?),
                rules.velocity,
            ),
            _ => check(&manifold, catalogue, rules).findings,
        };
        let mut findings: Vec<Finding> = found
            .into_iter()
            .filter(|finding| finding.rule == rule)
            .collect();
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
        Some(WorkedExample {
            told: told(&manifold, self.example.told),
            given: given(&manifold),
            findings,
        })
    }
}

fn told(manifold: &Manifold, change: &str) -> String {
    let branch = manifold.outlets.first();
    let outlets = branch.map_or_else(String::new, |branch| {
        let count = manifold.outlets.len();
        let outlets = if count == 1 { "outlet" } else { "outlets" };
        format!(" with {count} {outlets} of {}", branch.tube.call_out())
    });
    format!(
        "A manifold for {}: a run of {}, {} tube{outlets}; {}. {change}",
        manifold.service.spoken(),
        manifold.run.tube.call_out(),
        manifold.run.temper.word(),
        manifold.build.spoken(),
    )
}

fn given(manifold: &Manifold) -> Vec<(&'static str, Figure)> {
    let run = &manifold.run.tube;
    let mut given = vec![
        ("run outside diameter", run.od.into()),
        ("run wall", run.wall.into()),
        ("run bore", run.bore().into()),
        ("run length", manifold.run.length.into()),
    ];
    if let Some(outlet) = manifold.outlets.first() {
        given.push(("branch outside diameter", outlet.tube.od.into()));
        given.push(("branch wall", outlet.tube.wall.into()));
    }
    given.push(("design pressure", manifold.design_pressure.into()));
    given.push(("design temperature", manifold.design_temperature.into()));
    given
}

fn seen(cite: &str) -> Source {
    Source::new(cite, Status::Seen)
}

fn memory(cite: &str) -> Source {
    Source::new(cite, Status::Memory)
}

fn derived(cite: &str) -> Source {
    Source::new(cite, Status::Derived)
}

fn stand_in(cite: &str) -> Source {
    Source::new(cite, Status::StandIn)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_shows_its_rule_at_work() {
        let catalogue = Catalogue::built_in().unwrap();
        let rules = RuleSet::default_set();
        for rule in Rule::ALL {
            let page = explanation(*rule);
            let worked = page.worked(*rule, catalogue, &rules).unwrap();
            assert!(!worked.findings.is_empty(), "{rule:?} finds nothing");
            assert!(!page.sources.is_empty(), "{rule:?} has no source");
            assert!(page.text.len() > 60, "{rule:?} says too little");
        }
    }
}
