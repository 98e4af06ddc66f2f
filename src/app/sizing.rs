//! Sizes for wanted flows, ranked: nothing is stored.

use std::cmp::Ordering;

use super::App;
use super::estimates::LoadedBooks;
use crate::shop::compare::{Priced, price_alone};
use crate::trade::manifold::DesignFault;
use crate::trade::quantity::Length;
use crate::trade::rule_set::RuleSet;
use crate::trade::sizing::{Fitting, Rejected, Wanted, size};

/// What designs are ranked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ranking {
    /// Net price by itself.
    Price,
    /// Copper.
    Mass,
    /// Head that it needs.
    Loss,
}

/// A design that fits, with its price where the shop's books give one.
#[derive(Debug, Clone)]
pub struct Ranked {
    /// The design.
    pub fitting: Fitting,
    /// What it comes to by itself.
    pub priced: Option<Priced>,
}

impl Ranked {
    /// Head that it needs.
    pub fn loss(&self) -> Length {
        let outlets = self.fitting.outcome.outlets.iter();
        let spare = outlets.map(|it| it.head_to_spare).reduce(Length::min);
        self.fitting.outcome.head - spare.unwrap_or_default()
    }
}

/// Every design that fits, best first.
#[derive(Debug, Clone)]
pub struct Ranks {
    /// What they are ranked by: mass where a price was wanted and none could be had.
    pub by: Ranking,
    /// The designs.
    pub designs: Vec<Ranked>,
    /// Those that do not fit, lightest first.
    pub rejected: Vec<Rejected>,
    /// How many were tried.
    pub tried: usize,
}

impl App {
    /// Finds and ranks the designs that carry what is wanted. Prices come from the books, where
    /// there are any and they are complete for every design.
    ///
    /// # Errors
    /// What keeps any design from being worked out.
    pub fn size(
        &self,
        wanted: &Wanted,
        rules: &RuleSet,
        ranking: Ranking,
        books: Option<&LoadedBooks>,
    ) -> Result<Ranks, Vec<DesignFault>> {
        let sized = size(wanted, self.catalogue(), rules)?;
        let books = books.filter(|books| books.absent.is_empty());
        let mut designs: Vec<Ranked> = sized
            .fitting
            .into_iter()
            .map(|fitting| Ranked {
                priced: books.and_then(|books| {
                    price_alone(&fitting.manifold, &fitting.checked.takeoff, books.books()).ok()
                }),
                fitting,
            })
            .collect();
        let unpriced = designs.iter().all(|design| design.priced.is_none());
        let by = match ranking {
            Ranking::Price if unpriced => Ranking::Mass,
            asked => asked,
        };
        // They come lightest first, and the sort keeps that order among equals.
        match by {
            Ranking::Mass => {}
            Ranking::Price => designs.sort_by(cheaper),
            Ranking::Loss => {
                designs.sort_by(|a, b| metres(a.loss()).total_cmp(&metres(b.loss())));
            }
        }
        Ok(Ranks {
            by,
            designs,
            rejected: sized.rejected,
            tried: sized.tried,
        })
    }
}

const fn metres(length: Length) -> f64 {
    length.in_metres()
}

/// Cheaper first; what has no price last.
fn cheaper(a: &Ranked, b: &Ranked) -> Ordering {
    match (&a.priced, &b.priced) {
        (Some(a), Some(b)) => a.price.cmp(&b.price),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    }
}
