//! The rules a request is judged by.

use std::sync::Arc;

use super::estimates::named_in;
use super::{App, AppError};
use crate::store::Tx;
use crate::trade::rule_set::RuleSet;

/// Which rules a request asks for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RulesChoice {
    /// A rule set; else the usual one.
    pub rule_set: Option<Arc<RuleSet>>,
    /// A forming profile by id; else the shop's, else the built-in one.
    pub forming_profile: Option<String>,
}

impl App {
    /// The rules that a request is judged by, with its forming profile, read once.
    ///
    /// # Errors
    /// [`AppError::Unprocessable`] when it names a profile that is not there.
    pub async fn rules(&self, choice: &RulesChoice) -> Result<Arc<RuleSet>, AppError> {
        let mut tx = self.db().read().await?;
        self.rules_in(&mut tx, choice).await
    }

    /// The same within other work.
    ///
    /// # Errors
    /// [`AppError::Unprocessable`] when it names a profile that is not there.
    pub async fn rules_in(
        &self,
        tx: &mut Tx,
        choice: &RulesChoice,
    ) -> Result<Arc<RuleSet>, AppError> {
        let known = self
            .forming_profile(tx, choice.forming_profile.as_deref(), None)
            .await
            .map_err(|error| named_in(error, "/forming_profile"))?;
        let set = choice.rule_set.as_deref().cloned();
        let set = set.unwrap_or_else(RuleSet::default_set);
        Ok(Arc::new(set.with_forming(known.profile)))
    }
}
