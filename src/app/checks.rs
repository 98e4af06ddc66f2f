//! Checks and layouts: nothing is stored.

use super::App;
use crate::trade::check::{Checked, check};
use crate::trade::manifold::Manifold;

impl App {
    /// Checks one manifold by the shop's rule set.
    pub fn check(&self, manifold: &Manifold) -> Checked {
        check(manifold, self.catalogue, &self.rules)
    }
}
