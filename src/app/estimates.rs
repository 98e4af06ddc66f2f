//! Estimates and comparisons: nothing is stored.

use std::sync::Arc;

use jiff::civil::Date;
use uuid::Uuid;

use super::rules::RulesChoice;
use super::{App, AppError, AppFault};
use crate::shop::compare::{Comparison, Mix, cheapest_mix, compare};
use crate::shop::estimate::{Books, Estimate, Explanation, Lacking, Scheduled, estimate, explain};
use crate::shop::labour::LabourModel;
use crate::shop::money::Currency;
use crate::shop::own::OwnFiles;
use crate::shop::price_list::{Heading, PriceList};
use crate::shop::risk::{Percentiles, percentiles};
use crate::shop::settings::{Letterhead, Paper, Pricing, Quoting, Shop, Style, Units};
use crate::trade::check::Checked;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

/// Which prices, times and rules to use.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Choice {
    /// A price list; else the one in force.
    pub price_list: Option<Uuid>,
    /// A labour model; else the one in force.
    pub labour_model: Option<Uuid>,
    /// The day they must hold; else today.
    pub on: Option<Date>,
    /// Which rules the manifolds are judged by.
    pub rules: RulesChoice,
}

/// Shop, prices and times as they were read, in one transaction.
#[derive(Debug, Clone)]
pub struct LoadedBooks {
    /// The shop.
    pub shop: Shop,
    /// Its prices.
    pub prices: PriceList,
    /// Its times.
    pub labour: LabourModel,
    /// The rules the manifolds are judged by.
    pub rules: Arc<RuleSet>,
    /// What was not there at all; an estimate then names it with everything else it lacks.
    pub absent: Vec<Lacking>,
}

impl LoadedBooks {
    /// As an estimate takes them.
    pub fn books(&self) -> Books<'_> {
        Books {
            shop: &self.shop,
            prices: &self.prices,
            labour: &self.labour,
        }
    }
}

/// An estimate of a schedule with the checks it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct EstimatedSchedule {
    /// The check of each manifold.
    pub checked: Vec<Checked>,
    /// For each manifold its place among the priced ones; `None` when a check stops it.
    pub places: Vec<Option<usize>>,
    /// The estimate of those that nothing stops.
    pub estimate: Estimate,
    /// What net may become.
    pub percentiles: Percentiles,
}

impl App {
    /// Reads the shop's books for an estimate.
    ///
    /// # Errors
    /// When a list or model named by id is not there, or the database fails. What merely is not
    /// entered yet is kept in [`LoadedBooks::absent`].
    pub async fn load_books(&self, choice: &Choice) -> Result<LoadedBooks, AppError> {
        let on = choice.on.unwrap_or_else(|| self.today());
        let mut tx = self.db.read().await?;
        let mut absent = Vec::new();
        let shop = match self.shop(&mut tx).await {
            Ok((shop, _)) => shop,
            Err(AppError::NoShop) => {
                absent.push(Lacking::Shop);
                unnamed_shop()?
            }
            Err(error) => return Err(error),
        };
        let found = self
            .price_list_in_force(&mut tx, on, shop.currency, choice.price_list)
            .await;
        let prices = match found {
            Ok(prices) => prices,
            Err(AppError::NothingInForce(why)) => {
                absent.push(Lacking::PriceList(why));
                PriceList::new(
                    Heading {
                        id: String::new(),
                        name: String::new(),
                        supplier: String::new(),
                        currency: shop.currency,
                        effective_on: on,
                    },
                    [],
                )
            }
            Err(error) => return Err(named_in(error, "/price_list")),
        };
        let labour = self
            .labour_model_in_force(&mut tx, on, choice.labour_model)
            .await
            .map_err(|error| named_in(error, "/labour_model"))?;
        let rules = self.rules_in(&mut tx, &choice.rules).await?;
        Ok(LoadedBooks {
            shop,
            prices,
            labour,
            rules,
            absent,
        })
    }

    /// Estimates the manifolds that no check stops. Pure work, heavy for long schedules.
    ///
    /// # Errors
    /// [`AppError::Lacking`] with everything that is not entered.
    pub fn estimate(
        &self,
        manifolds: &[Manifold],
        books: &LoadedBooks,
    ) -> Result<EstimatedSchedule, AppError> {
        let checked: Vec<Checked> = manifolds
            .iter()
            .map(|manifold| self.check(manifold, &books.rules))
            .collect();
        let mut places = Vec::new();
        let mut schedule = Vec::new();
        for (manifold, checked) in manifolds.iter().zip(&checked) {
            let stopped = checked.stops().next().is_some();
            places.push((!stopped).then_some(schedule.len()));
            if !stopped {
                schedule.push(Scheduled {
                    manifold,
                    takeoff: &checked.takeoff,
                });
            }
        }
        let estimate = priced(&schedule, books)?;
        Ok(EstimatedSchedule {
            percentiles: percentiles(&estimate, &books.books()),
            checked,
            places,
            estimate,
        })
    }

    /// How the figures of an estimate came about.
    pub fn explain(
        &self,
        manifolds: &[Manifold],
        estimated: &EstimatedSchedule,
        books: &LoadedBooks,
    ) -> Explanation {
        let checked = manifolds.iter().zip(&estimated.checked);
        let priced = checked.zip(&estimated.places);
        let schedule: Vec<Scheduled<'_>> = priced
            .filter(|(_, place)| place.is_some())
            .map(|((manifold, checked), _)| Scheduled {
                manifold,
                takeoff: &checked.takeoff,
            })
            .collect();
        explain(&estimated.estimate, &schedule, &books.books())
    }

    /// Compares the four builds of each manifold and finds the cheapest mix. Pure work, heavy for
    /// long schedules.
    ///
    /// # Errors
    /// [`AppError::Lacking`] when the shop has entered no settings or no prices at all.
    pub fn compare(
        &self,
        manifolds: &[Manifold],
        books: &LoadedBooks,
    ) -> Result<(Vec<Comparison>, Mix), AppError> {
        if !books.absent.is_empty() {
            return Err(AppError::Lacking(books.absent.clone()));
        }
        let compared: Vec<Comparison> = manifolds
            .iter()
            .map(|manifold| compare(manifold, self.catalogue, &books.rules, books.books()))
            .collect();
        let mix = cheapest_mix(&compared, books.books());
        Ok((compared, mix))
    }
}

/// A thing that the request names by id and that is not there is a fault of the request.
pub(crate) fn named_in(error: AppError, pointer: &'static str) -> AppError {
    let AppError::NotFound { kind, name } = error else {
        return error;
    };
    AppError::Unprocessable {
        detail: format!("The request names a {kind} that is not there."),
        faults: vec![AppFault {
            pointer: pointer.to_owned(),
            code: "not_there",
            detail: format!("there is no {kind} {name}; list them to find its id, or leave it out"),
        }],
    }
}

/// Estimates a schedule; what was absent altogether is named with what the estimate lacks.
pub(super) fn priced(
    schedule: &[Scheduled<'_>],
    books: &LoadedBooks,
) -> Result<Estimate, AppError> {
    let result = estimate(schedule, books.books());
    if books.absent.is_empty() {
        return result.map_err(AppError::Lacking);
    }
    let mut lacking = books.absent.clone();
    lacking.extend(result.err().into_iter().flatten());
    lacking.sort();
    lacking.dedup();
    Err(AppError::Lacking(lacking))
}

/// Stands in while a shop has no settings, so that an estimate can name all that is missing;
/// nothing is ever priced with it.
fn unnamed_shop() -> Result<Shop, AppError> {
    Ok(Shop {
        letterhead: Letterhead::default(),
        currency: Currency::new("XXX").map_err(|error| AppError::Conflict(error.to_string()))?,
        units: Units::default(),
        paper: Paper::default(),
        style: Style::default(),
        own: OwnFiles::default(),
        pricing: Pricing::default(),
        quoting: Quoting::default(),
    })
}
