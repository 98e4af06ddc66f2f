//! The rules a request is judged by.

use std::sync::Arc;

use super::App;
use crate::trade::rule_set::RuleSet;

/// Which rules a request asks for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RulesChoice {
    /// A rule set; else the usual one.
    pub rule_set: Option<Arc<RuleSet>>,
}

impl App {
    /// The rules that a request is judged by.
    pub fn rules(&self, choice: &RulesChoice) -> Arc<RuleSet> {
        let chosen = choice.rule_set.as_ref().map(Arc::clone);
        chosen.unwrap_or_else(|| Arc::new(RuleSet::default_set()))
    }
}
