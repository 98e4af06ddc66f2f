//! What a revision freezes: everything it was made from and everything that came of it.

use jiff::civil::Date;
use uuid::Uuid;

use super::options::{OfferedOptions, options};
use super::{Addressee, QuoteRequest, damaged};
use crate::app::estimates::{EstimatedSchedule, LoadedBooks, named_in};
use crate::app::forming_profiles::frozen_text;
use crate::app::{App, AppError, AppFault};
use crate::documents::drawing::{FigureStyle, drawing};
use crate::shop::estimate::{Audience, Remark, heads};
use crate::shop::quote::{
    Customer, FrozenProfile, ListReference, OfferedManifold, QuoteRecord, QuotedManifold,
    RECORD_FORM, cautions, description, particulars,
};
use crate::shop::settings::Shop;
use crate::trade::check::Checked;
use crate::trade::forming::FormingProfile;
use crate::trade::manifold::Manifold;

/// A quote worked out, not yet stored.
#[derive(Debug, Clone, PartialEq)]
pub struct FrozenQuote {
    /// What is frozen.
    pub record: QuoteRecord,
    /// The price list it was made from.
    pub price_list: Option<Uuid>,
    /// The labour model it was made from.
    pub labour_model: Option<Uuid>,
    /// Last day it stands, when it is not the shop's usual.
    pub valid_until: Option<Date>,
}

/// The parts of a frozen quote as they are stored.
pub(super) struct StoredParts {
    /// The record, as JSON.
    pub frozen: String,
    /// Amounts by cost head, as JSON.
    pub heads: String,
}

impl FrozenQuote {
    pub(super) fn stored(&self) -> Result<StoredParts, AppError> {
        Ok(StoredParts {
            frozen: serde_json::to_string(&self.record).map_err(damaged)?,
            heads: serde_json::to_string(&heads(&self.record.build_up)).map_err(damaged)?,
        })
    }
}

impl App {
    /// Reads what a quote is made from: the books, and the customer when it is a stored one.
    ///
    /// # Errors
    /// When something named by id is not there, or the database fails.
    pub async fn load_for_quote(
        &self,
        request: &QuoteRequest,
    ) -> Result<(LoadedBooks, Customer), AppError> {
        let customer = match &request.addressee {
            Addressee::Given(customer) => customer.clone(),
            Addressee::Stored(id) => {
                let mut tx = self.db.read().await?;
                self.customer(&mut tx, *id)
                    .await
                    .map_err(|error| named_in(error, "/customer"))?
                    .customer
            }
        };
        Ok((self.load_books(&request.choice).await?, customer))
    }

    /// Checks, estimates and draws a quote. Pure work, heavy for long schedules.
    ///
    /// # Errors
    /// [`AppError::Unprocessable`] when a manifold may not be built, with every stop;
    /// [`AppError::Lacking`] when prices, times or settings are missing.
    pub fn freeze(
        &self,
        request: &QuoteRequest,
        books: &LoadedBooks,
        customer: Customer,
    ) -> Result<FrozenQuote, AppError> {
        let check = |manifold: &Manifold| self.check(manifold, &books.rules);
        let checked: Vec<Checked> = request.manifolds.iter().map(check).collect();
        let wanted = request.options.iter().map(|option| &option.manifold);
        let optional: Vec<Checked> = wanted.map(check).collect();
        refuse_unbuildable(request, &checked, &optional)?;
        if let Some(last) = request.valid_until.filter(|last| *last < self.today()) {
            return Err(AppError::Unprocessable {
                detail: "The quote would be expired before it is issued.".to_owned(),
                faults: vec![AppFault {
                    pointer: "/valid_until".to_owned(),
                    code: "date_in_the_past",
                    detail: format!(
                        "valid_until is {last}, before today; give a later day or leave it out"
                    ),
                }],
            });
        }
        let offered = options(request, (&checked, &optional), books)?;
        let estimated = self.estimate(&request.manifolds, books)?;
        let mut record = record(request, books, customer, estimated, offered);
        record.forming_profile = Some(frozen_profile(&books.rules.forming)?);
        Ok(FrozenQuote {
            price_list: books.prices.id.parse().ok(),
            labour_model: books.labour.id.parse().ok(),
            valid_until: request.valid_until,
            record,
        })
    }
}

fn refuse_unbuildable(
    request: &QuoteRequest,
    checked: &[Checked],
    optional: &[Checked],
) -> Result<(), AppError> {
    let schedule = request.manifolds.iter().zip(checked).enumerate();
    let schedule = schedule.map(|(index, found)| (format!("/manifolds/{index}"), found));
    let options = request.options.iter().map(|option| &option.manifold);
    let options = options.zip(optional).enumerate();
    let options = options.map(|(index, found)| (format!("/options/{index}/manifold"), found));
    let mut faults = Vec::new();
    for (pointer, (manifold, checked)) in schedule.chain(options) {
        for stop in checked.stops() {
            faults.push(AppFault {
                pointer: format!("{pointer}{}", stop.pointer),
                code: "not_buildable",
                detail: format!(
                    "{} {}: {}; {}",
                    manifold.mark,
                    stop.rule.name(),
                    stop.detail,
                    stop.remedy
                ),
            });
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    Err(AppError::Unprocessable {
        detail: "A quote offers only what can be built; `errors` names every stop.".to_owned(),
        faults,
    })
}

fn frozen_profile(profile: &FormingProfile) -> Result<FrozenProfile, AppError> {
    Ok(FrozenProfile {
        id: profile.id.clone(),
        version: profile.version,
        name: profile.name.clone(),
        limits: frozen_text(profile)?,
    })
}

fn record(
    request: &QuoteRequest,
    books: &LoadedBooks,
    customer: Customer,
    estimated: EstimatedSchedule,
    offered_options: OfferedOptions,
) -> QuoteRecord {
    let manifolds = request
        .manifolds
        .iter()
        .zip(&estimated.checked)
        .zip(&estimated.estimate.items)
        .map(|((manifold, checked), item)| QuotedManifold {
            offered: offered(manifold, checked, &books.shop),
            unit_price: item.unit_price,
            amount: item.amount,
        })
        .collect();
    // Where there are options, the prices of the paper rest on what they rest on, too.
    let remarks = offered_options.remarks;
    let remarks = remarks.unwrap_or(estimated.estimate.remarks);
    QuoteRecord {
        form: RECORD_FORM,
        shop: books.shop.clone(),
        customer,
        project: request.project.clone(),
        note: request.note.clone(),
        rule_set: books.rules.name.to_owned(),
        forming_profile: None,
        price_list: ListReference {
            id: books.prices.id.clone(),
            name: books.prices.name.clone(),
            effective_on: books.prices.effective_on,
        },
        labour_model: ListReference {
            id: books.labour.id.clone(),
            name: books.labour.name.clone(),
            effective_on: books.labour.effective_on,
        },
        presentation: request.presentation,
        manifolds,
        options: offered_options.options,
        build_up: estimated.estimate.lines,
        hours: estimated.estimate.hours,
        honesty: texts(&remarks, |remark| remark.audience == Audience::Everybody),
        remarks: texts(&remarks, |_| true),
        totals: estimated.estimate.totals,
        request: request.text.clone(),
    }
}

/// What is offered of a manifold, in words and as a drawing.
pub(super) fn offered(manifold: &Manifold, checked: &Checked, shop: &Shop) -> OfferedManifold {
    let figures = FigureStyle::on_paper(shop.units, shop.style.decimal_mark);
    let drawing = drawing(manifold, &checked.takeoff.layout, figures);
    OfferedManifold {
        mark: manifold.mark.clone(),
        quantity: manifold.quantity,
        build: manifold.build.word().to_owned(),
        description: description(manifold, shop),
        particulars: particulars(manifold, checked, shop),
        cautions: cautions(checked),
        drawing: drawing.svg,
        drawing_text: drawing.description,
    }
}

fn texts(remarks: &[Remark], wanted: impl Fn(&Remark) -> bool) -> Vec<String> {
    let wanted = remarks.iter().filter(|remark| wanted(remark));
    wanted.map(|remark| remark.text.clone()).collect()
}
