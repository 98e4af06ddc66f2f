//! Whether a manifold can be made and will hold.
//!
//! One file per family of rules. Every rule gives all its findings and never fails; a rule
//! that cannot judge says so in a finding.

mod collar;
mod flow;
mod handling;
mod joining;
mod pressure;
mod safety;
mod service;
mod spacing;
mod tube_choice;

use super::catalogue::Catalogue;
use super::finding::{Finding, Level};
use super::manifold::Manifold;
use super::rule_set::RuleSet;
use super::takeoff::Takeoff;

pub use flow::of_outcome as flow_findings;
pub use pressure::{AssemblyRating, Governor};

/// What a check works from.
pub struct Subject<'a> {
    /// The manifold.
    pub manifold: &'a Manifold,
    /// Its take-off, which holds its layout.
    pub takeoff: &'a Takeoff,
    /// The tables.
    pub catalogue: &'a Catalogue,
    /// The choices.
    pub rules: &'a RuleSet,
}

/// The verdict of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Nothing stands against it.
    Buildable,
    /// It can be built once the cautions are seen to.
    BuildableWithCautions,
    /// It may not be built like this.
    NotBuildable,
}

impl Verdict {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Buildable => "buildable",
            Self::BuildableWithCautions => "buildable_with_cautions",
            Self::NotBuildable => "not_buildable",
        }
    }

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Buildable => "can be built",
            Self::BuildableWithCautions => "can be built, with cautions",
            Self::NotBuildable => "cannot be built like this",
        }
    }

    fn of(findings: &[Finding]) -> Self {
        match findings.iter().map(|finding| finding.level).max() {
            Some(Level::Stop) => Self::NotBuildable,
            Some(Level::Caution) => Self::BuildableWithCautions,
            Some(Level::Note) | None => Self::Buildable,
        }
    }
}

/// The outcome of a check.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The verdict.
    pub verdict: Verdict,
    /// All findings, by rule, then place.
    pub findings: Vec<Finding>,
    /// The assembly's rated pressure and what governs; `None` when nothing of it can be rated.
    pub rating: Option<AssemblyRating>,
    /// The take-off it was judged by.
    pub takeoff: Takeoff,
}

impl Checked {
    /// The findings that stop it.
    pub fn stops(&self) -> impl Iterator<Item = &Finding> {
        self.findings
            .iter()
            .filter(|finding| finding.level == Level::Stop)
    }
}

/// Checks a manifold against a rule set.
pub fn check(manifold: &Manifold, catalogue: &Catalogue, rules: &RuleSet) -> Checked {
    let takeoff = Takeoff::of(manifold, catalogue, rules);
    let subject = Subject {
        manifold,
        takeoff: &takeoff,
        catalogue,
        rules,
    };
    let mut findings = Vec::new();
    tube_choice::check(&subject, &mut findings);
    collar::check(&subject, &mut findings);
    spacing::check(&subject, &mut findings);
    joining::check(&subject, &mut findings);
    service::check(&subject, &mut findings);
    let rating = pressure::check(&subject, &mut findings);
    handling::check(&subject, &mut findings);
    flow::check(&subject, &mut findings);
    safety::check(&subject, rating.as_ref(), &mut findings);
    findings.sort_by(|a, b| a.rule.cmp(&b.rule).then_with(|| a.pointer.cmp(&b.pointer)));
    Checked {
        verdict: Verdict::of(&findings),
        findings,
        rating,
        takeoff,
    }
}

/// The rows of a manifold, each once, with one outlet of it.
fn rows(manifold: &Manifold) -> Vec<(usize, &super::manifold::Outlet)> {
    let mut seen: Vec<(usize, &super::manifold::Outlet)> = Vec::new();
    for outlet in &manifold.outlets {
        if !seen.iter().any(|(row, _)| *row == outlet.row) {
            seen.push((outlet.row, outlet));
        }
    }
    seen.sort_by_key(|(row, _)| *row);
    seen
}
