//! Checks and layouts: nothing is stored.

use super::{App, AppError};
use crate::documents::bench::{BenchSheet, bench_pdf};
use crate::documents::drawing::{Drawing, dxf, shop_drawing};
use crate::shop::settings::{DecimalMark, Language, Paper, Style, Units};
use crate::trade::check::{Checked, check};
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

/// What bench sheets take from the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchHead {
    /// Its name; empty while it has none.
    pub shop: String,
    /// Their paper.
    pub paper: Paper,
    /// What stands between whole and parts of their figures.
    pub decimal_mark: DecimalMark,
    /// Their language.
    pub language: Language,
}

impl App {
    /// Checks one manifold.
    pub fn check(&self, manifold: &Manifold, rules: &RuleSet) -> Checked {
        check(manifold, self.catalogue, rules)
    }

    /// Draws one manifold as it is laid out.
    pub fn draw(&self, manifold: &Manifold, rules: &RuleSet, units: Units) -> Drawing {
        shop_drawing(manifold, &self.check(manifold, rules).takeoff.layout, units)
    }

    /// The same for CAD.
    pub fn draw_for_cad(&self, manifold: &Manifold, rules: &RuleSet, units: Units) -> String {
        dxf(manifold, &self.check(manifold, rules).takeoff.layout, units)
    }

    /// What a bench sheet takes from the shop, on its usual paper unless another is asked for.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn for_the_bench(&self, paper: Option<Paper>) -> Result<BenchHead, AppError> {
        let (shop, usual, style) = match self.current_shop().await {
            Ok((shop, _)) => (shop.letterhead.name, shop.paper, shop.style),
            Err(AppError::NoShop) => (String::new(), Paper::default(), Style::default()),
            Err(error) => return Err(error),
        };
        Ok(BenchHead {
            shop,
            paper: paper.unwrap_or(usual),
            decimal_mark: style.decimal_mark,
            language: style.language,
        })
    }

    /// The bench sheet of one manifold, as PDF.
    ///
    /// # Errors
    /// When it cannot be set: a fault of the template.
    pub fn bench_sheet(
        &self,
        (manifold, rules): (&Manifold, &RuleSet),
        units: Units,
        head: &BenchHead,
    ) -> Result<Vec<u8>, AppError> {
        let sheet = BenchSheet {
            manifold,
            checked: &self.check(manifold, rules),
            catalogue: self.catalogue,
            rules,
            shop: &head.shop,
            units,
            decimal_mark: head.decimal_mark,
            paper: head.paper,
            language: head.language,
            printed_on: self.today(),
        };
        bench_pdf(&sheet).map_err(|error| AppError::Document(Box::new(error)))
    }
}
