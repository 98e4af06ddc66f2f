//! Price lists held against each other, and open quotes against a price list.

use std::sync::Arc;

use uuid::Uuid;

use super::estimates::LoadedBooks;
use super::quotes::QuoteView;
use super::{App, AppError};
use crate::shop::price_diff::{PriceChange, price_changes};
use crate::shop::price_list::PriceList;
use crate::shop::quote::QuoteRecord;
use crate::shop::reprice::Repriced;
use crate::store::Tx;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

impl App {
    /// Everything in which a list differs from an earlier one.
    ///
    /// # Errors
    /// [`AppError::NotFound`] when a list is not there.
    pub async fn price_changes(
        &self,
        earlier: Uuid,
        later: Uuid,
    ) -> Result<(PriceList, PriceList, Vec<PriceChange>), AppError> {
        let mut tx = self.db().read().await?;
        let earlier = self.whole_price_list(&mut tx, earlier).await?;
        let later = self.whole_price_list(&mut tx, later).await?;
        let changes = price_changes(&earlier, &later);
        Ok((earlier, later, changes))
    }

    /// What a quote was made with, but for its prices: those of another list.
    ///
    /// # Errors
    /// [`AppError::NotFound`] when something it was made with is not there any more.
    pub async fn books_as_quoted(
        &self,
        record: &QuoteRecord,
        prices: &PriceList,
    ) -> Result<LoadedBooks, AppError> {
        let mut tx = self.db().read().await?;
        // A quote without hours names no model.
        let labour_model = record.labour_model.id.parse().ok();
        let on = record.price_list.effective_on;
        Ok(LoadedBooks {
            shop: record.shop.clone(),
            prices: prices.clone(),
            labour: self
                .labour_model_in_force(&mut tx, on, labour_model)
                .await?,
            rules: self.rules_as_quoted(&mut tx, record).await?,
            absent: Vec::new(),
        })
    }

    async fn rules_as_quoted(
        &self,
        tx: &mut Tx,
        record: &QuoteRecord,
    ) -> Result<Arc<RuleSet>, AppError> {
        let set = RuleSet::named(&record.rule_set)
            .ok_or_else(|| AppError::not_found("rule set", &record.rule_set))?;
        let Some(profile) = &record.forming_profile else {
            return Ok(Arc::new(set));
        };
        let version = Some(profile.version);
        let known = self
            .forming_profile(tx, Some(profile.id.as_str()), version)
            .await?;
        Ok(Arc::new(set.with_forming(known.profile)))
    }

    /// Holds a quote against a list. Pure work, heavy for long schedules.
    ///
    /// # Errors
    /// [`AppError::Lacking`] with every price the list does not have; [`AppError::Conflict`] when
    /// a manifold of the quote is stopped today.
    pub fn reprice(
        &self,
        view: &QuoteView,
        manifolds: &[Manifold],
        books: &LoadedBooks,
    ) -> Result<Repriced, AppError> {
        let estimated = self.estimate(manifolds, books)?;
        let stopped = manifolds.iter().zip(&estimated.places);
        let stopped: Vec<&str> = stopped
            .filter(|(_, place)| place.is_none())
            .map(|(manifold, _)| manifold.mark.as_str())
            .collect();
        if !stopped.is_empty() {
            return Err(AppError::Conflict(format!(
                "The checks of today stop {}; the quote was made by earlier ones.",
                stopped.join(", ")
            )));
        }
        let record = &view.record;
        Ok(Repriced::of(
            record.totals.net,
            &record.build_up,
            &estimated.estimate,
        ))
    }

    /// The list of an id with its items.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn prices_of(&self, id: Uuid) -> Result<PriceList, AppError> {
        let mut tx = self.db().read().await?;
        self.whole_price_list(&mut tx, id).await
    }
}
