//! The papers of a quote. Pure work, heavy enough to be done off the serving threads.

use jiff::tz::TimeZone;

use super::QuoteView;
use crate::app::AppError;
use crate::documents::offer::offer_json;
use crate::documents::page::{Desk, Notice, Outcome, notice_page, quote_page};
use crate::documents::quote::{QuotePaper, quote_pdf};
use crate::documents::quote_sheet::quote_xlsx;
use crate::documents::ubl::quotation_ubl;
use crate::shop::quote::State;

impl QuoteView {
    /// The offer as JSON text, as the customer may see it.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn offer(&self) -> Result<String, AppError> {
        offer_json(&self.paper()).map_err(|error| AppError::Document(Box::new(error)))
    }

    /// The offer as OASIS UBL.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn ubl(&self) -> Result<Vec<u8>, AppError> {
        quotation_ubl(&self.paper()).map_err(|error| AppError::Document(Box::new(error)))
    }

    /// The offer as PDF, with the JSON and the UBL attached. Of an issued revision it is the paper as
    /// issued, whatever became of it since: the same revision is the same bytes.
    ///
    /// # Errors
    /// When it cannot be set: a fault of the template.
    pub fn pdf(&self) -> Result<Vec<u8>, AppError> {
        let today = self.paper();
        let state = today.issued_on.map_or(today.state, |_| State::Issued);
        quote_pdf(&QuotePaper { state, ..today })
            .map_err(|error| AppError::Document(Box::new(error)))
    }

    /// The offer as an XLSX workbook.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn xlsx(&self) -> Result<Vec<u8>, AppError> {
        quote_xlsx(&self.paper()).map_err(|error| AppError::Document(Box::new(error)))
    }

    /// The offer as a page to read.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn html(&self) -> Result<String, AppError> {
        self.page(None)
    }

    /// The offer as the page where the customer answers it.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn customer_page(&self, desk: &Desk<'_>) -> Result<String, AppError> {
        self.page(Some(desk))
    }

    /// The page that says why a link does not show the offer, and whom to ask.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn notice(&self, notice: Notice) -> Result<String, AppError> {
        notice_page(notice, Some(&self.paper()))
            .map_err(|error| AppError::Document(Box::new(error)))
    }

    fn page(&self, desk: Option<&Desk<'_>>) -> Result<String, AppError> {
        let outcome = Outcome {
            by: self.revision.accepted_by.as_deref(),
            on: self.revision.accepted_on,
            po_number: self.revision.po_number.as_deref(),
            reason: self.revision.reason.as_deref(),
            ordered: self.ordered.as_ref(),
        };
        quote_page(&self.paper(), &outcome, desk)
            .map_err(|error| AppError::Document(Box::new(error)))
    }

    fn paper(&self) -> QuotePaper<'_> {
        QuotePaper {
            record: &self.record,
            number: &self.quote.number,
            revision: u32::try_from(self.revision.revision).unwrap_or(u32::MAX),
            state: self.state,
            issued_on: self.revision.issued_on,
            valid_until: self.revision.valid_until,
            prepared_on: TimeZone::UTC.to_datetime(self.revision.created_at).date(),
        }
    }
}
