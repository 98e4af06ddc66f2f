//! How headers share their water: nothing is stored.

use super::App;
use crate::documents::flow_plot::flow_plot;
use crate::shop::settings::Units;
use crate::trade::check::flow_findings;
use crate::trade::finding::Finding;
use crate::trade::flow::case::Case;
use crate::trade::flow::outcome::Outcome;
use crate::trade::manifold::{DesignFault, Manifold};
use crate::trade::rule_set::{RuleSet, VelocityBasis};

/// The flow of a manifold, with what the rules say of it.
#[derive(Debug, Clone)]
pub struct Flowing {
    /// What it was worked out from.
    pub case: Case,
    /// What came of it.
    pub outcome: Outcome,
    /// What the rules of flow say.
    pub findings: Vec<Finding>,
}

impl App {
    /// Works out how a manifold shares its water, held against the limits of velocity of a text.
    ///
    /// # Errors
    /// Everything that keeps it from being worked out.
    pub fn flow(
        &self,
        manifold: &Manifold,
        basis: VelocityBasis,
    ) -> Result<Flowing, Vec<DesignFault>> {
        let case = Case::of(manifold)?;
        let outcome = Outcome::of(&case);
        let findings = flow_findings(manifold, &outcome, basis);
        Ok(Flowing {
            case,
            outcome,
            findings,
        })
    }

    /// Draws the pressure along a header.
    ///
    /// # Errors
    /// Everything that keeps it from being worked out.
    pub fn plot_flow(&self, manifold: &Manifold, units: Units) -> Result<String, Vec<DesignFault>> {
        let flowing = self.flow(manifold, RuleSet::default_set().velocity)?;
        Ok(flow_plot(manifold, &flowing.outcome, units))
    }
}
