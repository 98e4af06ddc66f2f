//! The sheet of options: what each makes a difference of. No formula of the offer reads it.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Formula, Worksheet, XlsxError};

use super::{height, money, paper_size, shortened, wrapped};
use crate::documents::quote::QuotePaper;
use crate::shop::quote::QuotedOption;

/// Widths of the columns, in characters.
const WIDTHS: [f64; 7] = [26.0, 14.0, 60.0, 10.0, 14.0, 14.0, 16.0];

/// Writes a row for each option.
pub(super) fn write(
    sheet: &mut Worksheet,
    paper: &QuotePaper<'_>,
    words: &serde_json::Value,
) -> Result<(), XlsxError> {
    let word = |key: &str| words[key].as_str().unwrap_or_default();
    sheet.set_name(shortened(word("option_manifolds")))?;
    for (column, width) in (0..).zip(WIDTHS) {
        sheet.set_column_width(column, width)?;
    }
    sheet.set_paper_size(paper_size(paper.record.shop.paper));
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_footer("&C&P / &N");
    let bold = Format::new().set_bold();
    sheet.write_string_with_format(0, 0, word("options"), &bold)?;
    sheet.write_string_with_format(1, 0, word("options_text"), &Format::new())?;
    let heading = bold.set_border_bottom(FormatBorder::Thin);
    let right = heading.clone().set_align(FormatAlign::Right);
    let currency = paper.record.totals.currency.code();
    let names = ["option", "instead_of_first", "description", "quantity"];
    for (column, name) in (0..).zip(names) {
        let format = if column < 3 { &heading } else { &right };
        sheet.write_string_with_format(3, column, word(name), format)?;
    }
    for (column, name) in (4..).zip(["option_net", "option_tax", "option_gross"]) {
        let text = format!("{} {currency}", word(name));
        sheet.write_string_with_format(3, column, text, &right)?;
    }
    let places = paper.record.totals.net.scale();
    for (row, option) in (4..).zip(&paper.record.options) {
        line(sheet, row, option, places)?;
    }
    Ok(())
}

fn line(
    sheet: &mut Worksheet,
    row: u32,
    option: &QuotedOption,
    places: u32,
) -> Result<(), XlsxError> {
    let (manifold, price) = (&option.manifold, &option.price);
    let top = Format::new().set_align(FormatAlign::Top);
    sheet.write_string_with_format(row, 0, shortened(&option.name), &wrapped())?;
    if let Some(mark) = &option.instead_of {
        sheet.write_string_with_format(row, 1, shortened(mark), &wrapped())?;
    }
    sheet.write_string_with_format(row, 2, shortened(&manifold.description), &wrapped())?;
    let high = height(&manifold.description, WIDTHS[2]).max(height(&option.name, WIDTHS[0]));
    sheet.set_row_height(row, high)?;
    sheet.write_number_with_format(row, 3, manifold.quantity, &top)?;
    let number = |amount: Decimal| amount.to_f64().unwrap_or_default();
    sheet.write_number_with_format(row, 4, number(price.net), &money(places))?;
    sheet.write_number_with_format(row, 5, number(price.tax), &money(places))?;
    let sum = format!("=ROUND(E{0}+F{0},{places})", row + 1);
    let sum = Formula::new(sum).set_result(price.gross.to_string());
    sheet.write_formula_with_format(row, 6, sum, &money(places))?;
    Ok(())
}
