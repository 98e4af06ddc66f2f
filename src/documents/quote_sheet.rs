//! The quotation as an XLSX workbook: figures as figures, sums as formulas, text as text.
//!
//! Nothing that people typed is ever a formula: formulas are written by this file alone. Every
//! formula carries its result, so that readers that do not calculate show it, too, and those that
//! do come to the same cents: sums are rounded to the minor unit, half away from zero as
//! [`Currency::round`](crate::shop::money::Currency::round) does.

mod options;

use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet,
    XlsxError,
};

use super::quote::QuotePaper;
use super::words::Words;
use crate::shop::quote::{OfferedManifold, Presentation, QuotedManifold, TaxLine};
use crate::shop::settings::Paper;

/// Characters that a cell takes.
const MOST_CHARACTERS: usize = 32_767;
/// Widths of the columns, in characters.
const WIDTHS: [f64; 5] = [14.0, 60.0, 12.0, 14.0, 16.0];
/// Width of the facts of a manifold.
const FACT_WIDTH: f64 = 80.0;
/// Height of a line, and of the highest row there is, in points.
const HEIGHTS: (f64, f64) = (15.0, 405.0);

/// A workbook that could not be written: a fault of this program.
#[derive(Debug, thiserror::Error)]
pub enum WorkbookError {
    /// The writer.
    #[error("the workbook")]
    Unwritten(#[from] XlsxError),
    /// The words.
    #[error("the words of the workbook")]
    Words(#[from] serde_json::Error),
}

/// A quotation as a workbook: the offer on one sheet, the manifolds on another, options on a third. The
/// same quotation gives the same bytes.
///
/// # Errors
/// When it cannot be written.
pub fn quote_xlsx(paper: &QuotePaper<'_>) -> Result<Vec<u8>, WorkbookError> {
    let words: serde_json::Value =
        serde_json::from_str(Words::of(paper.record.shop.style.language).quote)?;
    let mut book = Workbook::new();
    let dated = paper.issued_on.unwrap_or(paper.prepared_on);
    book.set_properties(&DocProperties::new().set_creation_datetime(&day(dated)?));
    let mut offer = Offer::on(book.add_worksheet(), paper, &words);
    offer.head()?;
    offer.schedule()?;
    offer.small_print()?;
    manifolds(book.add_worksheet(), paper, &words)?;
    if !paper.record.options.is_empty() {
        options::write(book.add_worksheet(), paper, &words)?;
    }
    Ok(book.save_to_buffer()?)
}

/// The first sheet, written from the top down.
struct Offer<'a, 'b> {
    sheet: &'a mut Worksheet,
    paper: &'a QuotePaper<'b>,
    words: &'a serde_json::Value,
    row: u32,
}

impl<'a, 'b> Offer<'a, 'b> {
    fn on(
        sheet: &'a mut Worksheet,
        paper: &'a QuotePaper<'b>,
        words: &'a serde_json::Value,
    ) -> Self {
        Self {
            sheet,
            paper,
            words,
            row: 0,
        }
    }

    fn is_itemised(&self) -> bool {
        self.paper.record.presentation == Presentation::Itemised
    }

    fn word(&self, key: &str) -> &'a str {
        self.words[key].as_str().unwrap_or_default()
    }

    fn text(&mut self, column: u16, text: &str, format: &Format) -> Result<(), XlsxError> {
        if !text.is_empty() {
            self.sheet
                .write_string_with_format(self.row, column, shortened(text), format)?;
        }
        Ok(())
    }

    /// A text of the wide column, its row as high as its lines need.
    fn long(&mut self, text: &str) -> Result<(), XlsxError> {
        self.text(1, text, &wrapped())?;
        self.sheet
            .set_row_height(self.row, height(text, WIDTHS[1]))?;
        Ok(())
    }

    /// One row with a label and a text.
    fn fact(&mut self, label: &str, text: &str) -> Result<(), XlsxError> {
        if !text.is_empty() {
            self.text(0, label, &Format::new().set_bold())?;
            self.long(text)?;
            self.row += 1;
        }
        Ok(())
    }

    fn dated(&mut self, label: &str, date: Option<Date>) -> Result<(), XlsxError> {
        let Some(date) = date else {
            return Ok(());
        };
        self.text(0, label, &Format::new().set_bold())?;
        let format = Format::new()
            .set_num_format("yyyy-mm-dd")
            .set_align(FormatAlign::Left);
        self.sheet
            .write_datetime_with_format(self.row, 1, day(date)?, &format)?;
        self.row += 1;
        Ok(())
    }

    fn head(&mut self) -> Result<(), XlsxError> {
        let paper = self.paper;
        let record = paper.record;
        self.sheet.set_name(self.word("quotation"))?;
        for (column, width) in (0..).zip(WIDTHS) {
            self.sheet.set_column_width(column, width)?;
        }
        self.sheet.set_landscape();
        self.sheet.set_paper_size(paper_size(record.shop.paper));
        self.sheet.set_print_fit_to_pages(1, 0);
        self.sheet.set_footer("&C&P / &N");
        let title = Format::new().set_bold().set_font_size(14);
        self.text(0, &record.shop.letterhead.name, &title)?;
        self.row += 1;
        self.fact(self.word("number"), paper.number)?;
        self.fact(self.word("revision"), &paper.revision.to_string())?;
        let state = self.words["states"][paper.state.word()].as_str();
        self.fact(self.word("state"), state.unwrap_or_default())?;
        self.dated(self.word("issued"), paper.issued_on)?;
        self.dated(self.word("valid"), paper.valid_until)?;
        self.fact(self.word("to"), &record.customer.name)?;
        self.fact("", &record.customer.contact)?;
        for line in &record.customer.address {
            self.fact("", line)?;
        }
        self.fact(self.word("project"), &record.project)?;
        self.fact(self.word("note"), &record.note)?;
        self.row += 1;
        Ok(())
    }

    /// The schedule with its sums. Rows are counted from 1 in formulas.
    fn schedule(&mut self) -> Result<(), XlsxError> {
        let heading = Format::new()
            .set_bold()
            .set_border_bottom(FormatBorder::Thin)
            .set_align(FormatAlign::Top);
        let right = heading.clone().set_align(FormatAlign::Right);
        let names = ["mark", "description", "quantity", "unit_price", "amount"];
        let shown = if self.is_itemised() { 5 } else { 3 };
        for (column, name) in (0..).zip(names).take(shown) {
            let format = if column < 2 { &heading } else { &right };
            self.text(column, self.word(name), format)?;
        }
        self.sheet.set_repeat_rows(self.row, self.row)?;
        self.row += 1;
        let first = self.row + 1;
        for made in &self.paper.record.manifolds {
            self.line(made)?;
        }
        let last = self.row;
        let totals = &self.paper.record.totals;
        let net = self.row + 1;
        match (self.is_itemised(), last >= first) {
            // The one price of the schedule is made of nothing that the customer sees.
            (false, _) => {
                self.text(1, self.word("net"), &Format::new().set_bold())?;
                self.number(4, totals.net, &self.money())?;
                self.row += 1;
            }
            (true, true) => {
                let sum = format!("SUM(E{first}:E{last})");
                self.sum(self.word("net"), &sum, totals.net)?;
            }
            (true, false) => self.sum(self.word("net"), "0", totals.net)?,
        }
        let taxes = self.paper.record.taxes();
        for tax in &taxes {
            self.tax(tax, (taxes.len() == 1).then_some(net))?;
        }
        let gross = format!("SUM(E{net}:E{})", self.row);
        let label = format!("{} {}", self.word("gross"), totals.currency.code());
        self.sum(&label, &gross, totals.gross)?;
        self.row += 1;
        Ok(())
    }

    fn line(&mut self, made: &QuotedManifold) -> Result<(), XlsxError> {
        let top = Format::new().set_align(FormatAlign::Top);
        self.text(0, &made.mark, &top)?;
        self.long(&made.description)?;
        self.sheet
            .write_number_with_format(self.row, 2, made.quantity, &top)?;
        if self.is_itemised() {
            self.number(3, made.unit_price, &self.money())?;
            let row = self.row + 1;
            self.formula(4, &format!("C{row}*D{row}"), made.amount)?;
        }
        self.row += 1;
        Ok(())
    }

    fn sum(&mut self, label: &str, formula: &str, amount: Decimal) -> Result<(), XlsxError> {
        self.text(1, label, &Format::new().set_bold())?;
        self.formula(4, formula, amount)?;
        self.row += 1;
        Ok(())
    }

    /// One tax: what it is on, its rate, what it comes to. `net` is the row that all of it is on.
    fn tax(&mut self, tax: &TaxLine, net: Option<u32>) -> Result<(), XlsxError> {
        let currency = self.paper.record.totals.currency;
        self.text(1, &tax.name, &Format::new().set_bold())?;
        match net {
            Some(net) => {
                let base = Formula::new(format!("=E{net}")).set_result(tax.base.to_string());
                self.sheet
                    .write_formula_with_format(self.row, 2, base, &self.money())?;
            }
            None => self.number(2, tax.base, &self.money())?,
        }
        let rate = Format::new().set_num_format("0.####%");
        self.number(3, tax.rate.share(), &rate)?;
        // What was rounded otherwise by an earlier program stays what was offered.
        if currency.round(tax.rate.of(tax.base)) == tax.amount {
            let row = self.row + 1;
            self.formula(4, &format!("C{row}*D{row}"), tax.amount)?;
        } else {
            self.number(4, tax.amount, &self.money())?;
        }
        self.row += 1;
        Ok(())
    }

    fn money(&self) -> Format {
        money(self.paper.record.totals.net.scale())
    }

    fn number(&mut self, column: u16, number: Decimal, format: &Format) -> Result<(), XlsxError> {
        let number = number.to_f64().unwrap_or_default();
        self.sheet
            .write_number_with_format(self.row, column, number, format)?;
        Ok(())
    }

    /// An amount that is worked out, rounded to the minor unit, with what comes of it.
    fn formula(&mut self, column: u16, text: &str, amount: Decimal) -> Result<(), XlsxError> {
        let places = self.paper.record.totals.net.scale();
        let formula =
            Formula::new(format!("=ROUND({text},{places})")).set_result(amount.to_string());
        self.sheet
            .write_formula_with_format(self.row, column, formula, &self.money())?;
        Ok(())
    }

    fn small_print(&mut self) -> Result<(), XlsxError> {
        let record = self.paper.record;
        let quoting = &record.shop.quoting;
        let general: Vec<String> = self.words["general_text"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|text| text.as_str().map(str::to_owned))
            .collect();
        for (label, lines) in [
            ("included", &quoting.inclusions),
            ("excluded", &quoting.exclusions),
            ("honesty", &record.honesty),
            ("terms", &quoting.terms),
            ("general", &general),
        ] {
            if lines.is_empty() {
                continue;
            }
            self.text(0, self.word(label), &Format::new().set_bold())?;
            self.row += 1;
            for line in lines {
                self.long(line)?;
                self.row += 1;
            }
        }
        Ok(())
    }
}

/// The second sheet: what is known of each manifold, those of options by their names, a row each.
fn manifolds(
    sheet: &mut Worksheet,
    paper: &QuotePaper<'_>,
    words: &serde_json::Value,
) -> Result<(), XlsxError> {
    let word = |key: &str| words[key].as_str().unwrap_or_default();
    sheet.set_name(shortened(word("manifolds")))?;
    for (column, width) in [(0, 14.0), (1, 22.0), (2, FACT_WIDTH)] {
        sheet.set_column_width(column, width)?;
    }
    sheet.set_paper_size(paper_size(paper.record.shop.paper));
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_footer("&C&P / &N");
    let (top, mut row) = (Format::new().set_align(FormatAlign::Top), 0);
    let record = paper.record;
    let schedule = record.manifolds.iter();
    let schedule = schedule.map(|made| (&made.mark, &made.offered));
    let options = record.options.iter();
    let options = options.map(|option| (&option.name, &option.manifold));
    let all: Vec<(&String, &OfferedManifold)> = schedule.chain(options).collect();
    for (name, made) in all {
        let cautions = made
            .cautions
            .iter()
            .map(|caution| (word("cautions"), caution.as_str()));
        let facts = made
            .particulars
            .iter()
            .map(|(label, value)| (label.as_str(), value.as_str()));
        for (label, value) in facts.chain(cautions) {
            sheet.write_string_with_format(row, 0, shortened(name), &top)?;
            sheet.write_string_with_format(row, 1, shortened(label), &top)?;
            sheet.write_string_with_format(row, 2, shortened(value), &wrapped())?;
            sheet.set_row_height(row, height(value, FACT_WIDTH))?;
            row += 1;
        }
    }
    Ok(())
}

/// How amounts of so many decimals are shown.
fn money(places: u32) -> Format {
    let pattern = match places as usize {
        0 => "#,##0".to_owned(),
        places => format!("#,##0.{}", "0".repeat(places)),
    };
    Format::new()
        .set_num_format(pattern)
        .set_align(FormatAlign::Top)
}

/// How high a row must be for a text to be seen whole, in points: not every reader works it out.
fn height(text: &str, width: f64) -> f64 {
    // Words break before the column is full.
    let room = width * 0.9;
    let lines = text
        .lines()
        .map(|line| (line.chars().count() as f64 / room).ceil().max(1.0));
    (lines.sum::<f64>().max(1.0) * HEIGHTS.0).min(HEIGHTS.1)
}

fn wrapped() -> Format {
    Format::new().set_text_wrap().set_align(FormatAlign::Top)
}

fn shortened(text: &str) -> String {
    // A cell counts in units of UTF-16.
    let mut room = MOST_CHARACTERS;
    let fits = |letter: &char| {
        let wide = letter.len_utf16();
        let fits = wide <= room;
        room = room.saturating_sub(wide);
        fits
    };
    text.chars().take_while(fits).collect()
}

/// Paper by its number in the format (ISO/IEC 29500-1, 18.3.1.63).
const fn paper_size(paper: Paper) -> u8 {
    match paper {
        Paper::Letter => 1,
        Paper::A4 => 9,
    }
}

fn day(date: Date) -> Result<ExcelDateTime, XlsxError> {
    let year = u16::try_from(date.year()).unwrap_or(1900);
    ExcelDateTime::from_ymd(year, date.month().unsigned_abs(), date.day().unsigned_abs())
}
