//! Checks and layouts: nothing is stored.

use super::App;
use crate::documents::drawing::{Drawing, drawing};
use crate::shop::settings::Units;
use crate::trade::check::{Checked, check};
use crate::trade::manifold::Manifold;

impl App {
    /// Checks one manifold by the shop's rule set.
    pub fn check(&self, manifold: &Manifold) -> Checked {
        check(manifold, self.catalogue, &self.rules)
    }

    /// Draws one manifold as it is laid out by the shop's rule set.
    pub fn draw(&self, manifold: &Manifold, units: Units) -> Drawing {
        drawing(manifold, &self.check(manifold).takeoff.layout, units)
    }
}
