//! The papers of a quote. Work heavy enough to be done off the serving threads; what a shop's own template makes is
//! set in a process apart.

use jiff::civil::Date;

use super::QuoteView;
use crate::app::apart::Press;
use crate::app::own_files::LoadedFiles;
use crate::app::{App, AppError};
use crate::documents::apart::Job;
use crate::documents::offer::offer_json;
use crate::documents::page::{Desk, Notice, Outcome, notice_page, page_data, quote_page};
use crate::documents::quote::{QuotePaper, paper_files, quote_pdf};
use crate::documents::quote_sheet::quote_xlsx;
use crate::documents::ubl::quotation_ubl;
use crate::shop::own::TemplateName;
use crate::shop::quote::State;

/// A revision with everything that its papers are made from, as it froze it.
#[derive(Debug, Clone)]
pub struct PrintableQuote {
    /// The revision as it stands today.
    pub view: QuoteView,
    own: LoadedFiles,
    press: Press,
    /// The day it was written.
    prepared_on: Date,
}

impl App {
    /// A revision with what its papers are made from.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn printable(&self, view: QuoteView) -> Result<PrintableQuote, AppError> {
        Ok(PrintableQuote {
            own: self.own_files(&view.record.shop).await?,
            press: self.press.clone(),
            prepared_on: self.day_of(view.revision.created_at),
            view,
        })
    }
}

fn broken(error: impl std::error::Error + Send + Sync + 'static) -> AppError {
    AppError::Document(Box::new(error))
}

impl PrintableQuote {
    /// The offer as JSON text, as the customer may see it.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn offer(&self) -> Result<String, AppError> {
        offer_json(&self.paper()).map_err(broken)
    }

    /// The offer as OASIS UBL.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn ubl(&self) -> Result<Vec<u8>, AppError> {
        quotation_ubl(&self.paper()).map_err(broken)
    }

    /// The offer as PDF, with the JSON and the UBL attached. Of an issued revision it is the paper as
    /// issued, whatever became of it since: the same revision is the same bytes.
    ///
    /// # Errors
    /// When it cannot be set: a fault of the template.
    pub fn pdf(&self) -> Result<Vec<u8>, AppError> {
        let today = self.paper();
        let state = today.issued_on.map_or(today.state, |_| State::Issued);
        self.print(&QuotePaper { state, ..today })
    }

    fn print(&self, paper: &QuotePaper<'_>) -> Result<Vec<u8>, AppError> {
        let Some(template) = &self.own.paper else {
            return quote_pdf(paper).map_err(broken);
        };
        let job = Job::papers(template, vec![paper_files(paper).map_err(broken)?]);
        self.press
            .set_one(&job, || self.unprinted(TemplateName::Paper))
    }

    /// Whether it could be put before the customer: a shop's own templates may fail on what this quote holds, and
    /// an issued quote that nobody can print would be of no use.
    ///
    /// # Errors
    /// [`AppError::File`] with what stands against it.
    pub fn check_issue(&self, today: Date) -> Result<(), AppError> {
        let issued = QuotePaper {
            state: State::Issued,
            issued_on: Some(today),
            valid_until: Some(self.view.revision.valid_until.unwrap_or(today)),
            ..self.paper()
        };
        if self.own.paper.is_some() {
            self.print(&issued)?;
        }
        if let Some(template) = &self.own.page {
            let desk = Desk::default();
            self.own_page(template, &issued, &Outcome::default(), Some(&desk))?;
        }
        Ok(())
    }

    /// Whether its page is set with the shop's own template.
    pub fn has_own_page(&self) -> bool {
        self.own.page.is_some()
    }

    fn unprinted(&self, name: TemplateName) -> String {
        format!(
            "The shop's own template {name}, which this revision froze, does not take this quote. Mend it with PUT /v1/shop/templates/{name} or take it out with DELETE; then put the draft anew, or make another revision of an issued quote.",
            name = name.file()
        )
    }

    /// The offer as an XLSX workbook.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn xlsx(&self) -> Result<Vec<u8>, AppError> {
        quote_xlsx(&self.paper()).map_err(broken)
    }

    /// The offer as a page to read.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn html(&self) -> Result<String, AppError> {
        self.page(None)
    }

    /// The offer as the page where the customer answers it. Where the shop's own page fails, ours stands in: a
    /// customer must be able to answer.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn customer_page(&self, desk: &Desk<'_>) -> Result<String, AppError> {
        match self.page(Some(desk)) {
            Err(error) if self.own.page.is_some() => {
                let number = &self.view.quote.number;
                tracing::warn!(%number, ?error, "the shop's own page failed; ours is shown");
                self.our_page(Some(desk))
            }
            page => page,
        }
    }

    /// The same with our page, whatever the shop has: for when there is no room for a process.
    #[must_use]
    pub fn with_our_page(&self) -> Self {
        let mut plain = self.clone();
        plain.own.page = None;
        plain
    }

    /// The page that says why a link does not show the offer, and whom to ask.
    ///
    /// # Errors
    /// When it cannot be written: a fault of the template.
    pub fn notice(&self, notice: Notice) -> Result<String, AppError> {
        notice_page(notice, Some(&self.paper())).map_err(broken)
    }

    fn page(&self, desk: Option<&Desk<'_>>) -> Result<String, AppError> {
        match &self.own.page {
            Some(template) => self.own_page(template, &self.paper(), &self.outcome(), desk),
            None => self.our_page(desk),
        }
    }

    fn our_page(&self, desk: Option<&Desk<'_>>) -> Result<String, AppError> {
        quote_page(&self.paper(), &self.outcome(), desk).map_err(broken)
    }

    fn own_page(
        &self,
        template: &str,
        paper: &QuotePaper<'_>,
        outcome: &Outcome<'_>,
        desk: Option<&Desk<'_>>,
    ) -> Result<String, AppError> {
        let job = Job::Pages {
            template: template.to_owned(),
            data: vec![page_data(paper, outcome, desk).map_err(broken)?],
        };
        let page = self
            .press
            .set_one(&job, || self.unprinted(TemplateName::Page))?;
        String::from_utf8(page).map_err(broken)
    }

    fn outcome(&self) -> Outcome<'_> {
        let revision = &self.view.revision;
        Outcome {
            by: revision.accepted_by.as_deref(),
            on: revision.accepted_on,
            po_number: revision.po_number.as_deref(),
            reason: revision.reason.as_deref(),
            ordered: self.view.ordered.as_ref(),
        }
    }

    fn paper(&self) -> QuotePaper<'_> {
        let view = &self.view;
        QuotePaper {
            record: &view.record,
            number: &view.quote.number,
            revision: u32::try_from(view.revision.revision).unwrap_or(u32::MAX),
            state: view.state,
            issued_on: view.revision.issued_on,
            valid_until: view.revision.valid_until,
            prepared_on: self.prepared_on,
            logo: self.own.logo.as_ref(),
        }
    }
}
