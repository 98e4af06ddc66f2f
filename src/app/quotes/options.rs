//! The options of an offer, priced and described.

use super::QuoteRequest;
use super::freeze::offered;
use crate::app::AppError;
use crate::app::estimates::{LoadedBooks, priced};
use crate::shop::estimate::{Remark, Scheduled};
use crate::shop::quote::{Optional, QuotedOption, option_prices};
use crate::trade::check::Checked;
use crate::trade::manifold::Manifold;

/// Options, and what all prices of the offer rest on.
#[derive(Default)]
pub(super) struct OfferedOptions {
    /// The options.
    pub options: Vec<QuotedOption>,
    /// What schedule and options rest on together; nothing where there are no options.
    pub remarks: Option<Vec<Remark>>,
}

/// Prices each option of a request. Pure work: an estimate for each.
///
/// # Errors
/// [`AppError::Lacking`] with everything that schedule and options lack.
pub(super) fn options(
    request: &QuoteRequest,
    (checked, optional): (&[Checked], &[Checked]),
    books: &LoadedBooks,
) -> Result<OfferedOptions, AppError> {
    if request.options.is_empty() {
        return Ok(OfferedOptions::default());
    }
    let schedule: Vec<Scheduled<'_>> = request
        .manifolds
        .iter()
        .zip(checked)
        .map(|(manifold, checked)| scheduled(manifold, checked))
        .collect();
    let wanted = || request.options.iter().zip(optional);
    // All of it at once, so that everything that is lacking is named at once.
    let mut everything = schedule.clone();
    everything.extend(wanted().map(|(option, checked)| scheduled(&option.manifold, checked)));
    let remarks = priced(&everything, books)?.remarks;
    let optional: Vec<Optional<'_>> = wanted()
        .map(|(option, checked)| Optional {
            item: scheduled(&option.manifold, checked),
            instead_of: option.instead_of,
        })
        .collect();
    let prices = option_prices(&schedule, &optional, books.books()).map_err(AppError::Lacking)?;
    let mut options = Vec::with_capacity(prices.len());
    for ((option, checked), price) in wanted().zip(prices) {
        let replaced = option
            .instead_of
            .and_then(|place| request.manifolds.get(place));
        options.push(QuotedOption {
            name: option.name.clone(),
            instead_of: replaced.map(|manifold| manifold.mark.clone()),
            manifold: offered(&option.manifold, checked, &books.shop),
            price,
        });
    }
    Ok(OfferedOptions {
        options,
        remarks: Some(remarks),
    })
}

const fn scheduled<'a>(manifold: &'a Manifold, checked: &'a Checked) -> Scheduled<'a> {
    Scheduled {
        manifold,
        takeoff: &checked.takeoff,
    }
}
