//! Checks and layouts: nothing is stored.

use super::App;
use crate::documents::drawing::{Drawing, drawing, dxf};
use crate::shop::settings::Units;
use crate::trade::check::{Checked, check};
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

impl App {
    /// Checks one manifold.
    pub fn check(&self, manifold: &Manifold, rules: &RuleSet) -> Checked {
        check(manifold, self.catalogue, rules)
    }

    /// Draws one manifold as it is laid out.
    pub fn draw(&self, manifold: &Manifold, rules: &RuleSet, units: Units) -> Drawing {
        drawing(manifold, &self.check(manifold, rules).takeoff.layout, units)
    }

    /// The same for CAD.
    pub fn draw_for_cad(&self, manifold: &Manifold, rules: &RuleSet, units: Units) -> String {
        dxf(manifold, &self.check(manifold, rules).takeoff.layout, units)
    }
}
