//! `offtake import`: takes in sheets.

use super::{Outcome, compose, print};
use crate::app::price_lists::NewPriceList;
use crate::config::DatabaseConfig;
use crate::http::negotiate::{CSV, XLSX};
use crate::http::problem::Problem;
use crate::http::v1::price_lists::read_sheet;
use crate::http::wire::{is_unseen, unfit};
use crate::shop::audit::Actor;
use crate::shop::money::Currency;
use clap::{Args, Subcommand};
use jiff::civil::Date;
use std::path::PathBuf;

/// What to take in.
#[derive(Debug, Subcommand)]
pub enum ImportCommand {
    /// Take in a sheet of prices (CSV or XLSX with the columns code, kind, text, unit, price) as a price list
    Prices(PricesArgs),
}

/// A sheet of prices.
#[derive(Debug, Args)]
pub struct PricesArgs {
    /// The sheet: a workbook whose name ends in .xlsx, else CSV in UTF-8
    file: PathBuf,
    /// Name of the price list
    #[arg(long, value_parser = name)]
    name: String,
    /// Who sells at these prices
    #[arg(long, value_parser = name)]
    supplier: String,
    /// ISO 4217 code of the currency of every price
    #[arg(long, value_parser = Currency::new)]
    currency: Currency,
    /// The first day the prices hold, as YYYY-MM-DD
    #[arg(long, value_parser = date)]
    effective_on: Date,
    /// Publish the list at once; from then on it never changes
    #[arg(long)]
    publish: bool,
    /// With --publish: id of the published list of the same day whose place this one takes
    #[arg(long, requires = "publish")]
    in_place_of: Option<uuid::Uuid>,
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

fn name(text: &str) -> Result<String, &'static str> {
    let text = text.trim_matches(is_unseen);
    let wrong = |c: char| c.is_control() || unfit(c).is_some();
    if text.is_empty() || text.chars().count() > 200 || text.contains(wrong) {
        return Err(
            "give a text of 1 to 200 characters, without line breaks or characters that cannot be printed",
        );
    }
    Ok(text.to_owned())
}

fn date(text: &str) -> Result<Date, &'static str> {
    let date = text.parse().ok().filter(|_| text.len() == 10);
    date.ok_or("give a date of the calendar as YYYY-MM-DD")
}

/// Does it.
pub async fn run(command: &ImportCommand) -> Outcome {
    match command {
        ImportCommand::Prices(args) => prices(args).await,
    }
}

async fn prices(args: &PricesArgs) -> Outcome {
    let bytes = tokio::fs::read(&args.file)
        .await
        .map_err(|error| format!("cannot read {}: {error}", args.file.display()))?;
    let form = match args
        .file
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("xlsx"))
    {
        true => XLSX,
        false => CSV,
    };
    let items = read_sheet(form, &bytes).map_err(|problem| refused(&problem))?;
    let count = items.len();
    let new = NewPriceList {
        name: args.name.clone(),
        supplier: args.supplier.clone(),
        currency: args.currency,
        effective_on: args.effective_on,
        items,
    };
    let app = compose::app(&args.database.database).await?;
    let app = app.acting_as(Actor::Command("offtake import"));
    let list = if args.publish {
        app.add_published_price_list(&new, args.in_place_of).await?
    } else {
        app.add_price_list(&new).await?
    };
    app.db().close().await;
    print(&format!(
        "{}\t{}\t{count} items",
        list.id,
        list.state.word()
    ))?;
    Ok(())
}

/// Every fault of the sheet, a line each; nothing was stored.
fn refused(problem: &Problem) -> String {
    let body = problem.body();
    let faults = body.errors.unwrap_or_default();
    let mut text = format!("nothing was stored: {}", body.detail);
    for fault in &faults {
        let row = fault
            .sheet_row
            .map(|row| format!("row {row}: "))
            .unwrap_or_default();
        text.push_str(&format!("\n  {row}{}", fault.detail));
    }
    if body.errors_truncated == Some(true) {
        text.push_str("\n  and more of the kind");
    }
    text
}
