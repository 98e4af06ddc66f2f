//! Cut plans: what they may draw on, and the offcuts they reserve.

use std::collections::BTreeSet;

use rust_decimal::{Decimal, RoundingStrategy};

use super::estimates::LoadedBooks;
use super::offcuts::{KnownOffcut, OffcutSearch};
use super::{App, AppError};
use crate::shop::cut_plan::{COST_DECIMALS, CutLength, Keep, Stock};
use crate::shop::offcut::{OffcutMove, OffcutState};
use crate::shop::price_list::stick_price;
use crate::store::Written;
use crate::trade::tube::{Temper, Tube};

/// Most offcuts of one tube that a plan considers: the longest.
pub const MOST_OFFCUTS: usize = 100;
/// Offcuts of one tube that are read, at most.
const MOST_READ: u32 = 10_000;

/// Offcuts that a plan may draw on.
#[derive(Debug, Clone, Default)]
pub struct Rack {
    /// The offcuts: those of each tube together, longest first.
    pub offcuts: Vec<KnownOffcut>,
    /// How many more are free, and left out for being the shortest of many.
    pub left_out: usize,
}

impl App {
    /// The free offcuts of some tubes.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn rack(
        &self,
        tubes: &BTreeSet<String>,
        temper: Option<Temper>,
    ) -> Result<Rack, AppError> {
        let mut rack = Rack::default();
        for tube in tubes {
            let search = OffcutSearch {
                tube: Some(tube.clone()),
                state: Some(OffcutState::Available),
                job: None,
            };
            let mut found = self.offcuts(&search, None, MOST_READ).await?;
            found.retain(|offcut| temper.is_none_or(|temper| temper == offcut.temper));
            // The sort keeps the older of two alike in front.
            found.sort_by_key(|offcut| std::cmp::Reverse(offcut.standing.length));
            rack.left_out += found.len().saturating_sub(MOST_OFFCUTS);
            found.truncate(MOST_OFFCUTS);
            rack.offcuts.extend(found);
        }
        Ok(rack)
    }

    /// Reserves offcuts for a job, all of them or none. `false`, and nothing changed, when one of
    /// them has moved since it was seen.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn reserve_all(&self, offcuts: &[KnownOffcut], job: &str) -> Result<bool, AppError> {
        let made = OffcutMove::Reserve {
            job: job.to_owned(),
        };
        // Always in the order of their ids, so that two who reserve do not wait for each other.
        let mut offcuts: Vec<&KnownOffcut> = offcuts.iter().collect();
        offcuts.sort_by_key(|offcut| offcut.id);
        let mut tx = self.db().write().await?;
        for offcut in &offcuts {
            match self.make_move(&mut tx, offcut, &made).await? {
                Written::Done(_) => {}
                Written::Missing | Written::Stale | Written::Fixed => return Ok(false),
            }
        }
        let ids: Vec<_> = offcuts.iter().map(|offcut| offcut.id).collect();
        self.record_reserved(&mut tx, &ids).await?;
        tx.commit().await?;
        Ok(true)
    }
}

/// What an offcut costs a plan: as much as it would be worth if it were left, so that no plan
/// gains by cutting it for nothing.
pub fn offcut_cost(length: CutLength, keep: Option<&Keep>) -> Decimal {
    let Some(keep) = keep else {
        return Decimal::ZERO;
    };
    let (length, per) = (length.in_nanometres(), keep.per.in_nanometres());
    if length < keep.least.in_nanometres() || per <= 0 {
        return Decimal::ZERO;
    }
    let value = keep.value * Decimal::from(length) / Decimal::from(per);
    value.round_dp_with_strategy(COST_DECIMALS, RoundingStrategy::AwayFromZero)
}

/// Sticks of a tube as the books price them; `None` when they do not.
pub fn sticks_at(books: &LoadedBooks, tube: &Tube, trim: CutLength) -> Option<Stock> {
    let item = books.prices.item(&tube.id)?;
    let cost = stick_price(tube, item)?;
    Some(Stock {
        id: format!("{} stick", tube.id),
        length: CutLength::nearest(tube.stick),
        trim,
        cost: cost.round_dp_with_strategy(COST_DECIMALS, RoundingStrategy::MidpointAwayFromZero),
        count: None,
    })
}
