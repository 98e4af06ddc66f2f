//! The quotation as a page: what the customer opens with a link, and the HTML form of the paper.
//!
//! It holds what the paper holds and nothing of how the price came about. Everything typed is
//! escaped by the template engine; nothing is fetched from outside, and there is no script.

mod offered;
pub mod own;

use jiff::civil::Date;
use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, Value, context};
use serde::Serialize;

use super::figures::{grouped, taxes};
use super::quote::QuotePaper;
use super::words::Words;
use crate::shop::quote::{Order, Presentation, QuotedManifold, State};
use crate::shop::settings::{DecimalMark, Language, Paper};
use offered::{Options, Ordered};

/// The built-in template of the page.
pub const QUOTE: &str = include_str!("page/quote.html");
const NOTICE: &str = include_str!("page/notice.html");
const FRAME: &str = include_str!("page/frame.html");

/// The style of every page. It stands in the page itself, so a policy must let in just this text.
pub const STYLE: &str = include_str!("page/page.css");

/// A page that could not be written: a fault of the template.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// The template.
    #[error("the page's template")]
    Template(#[from] minijinja::Error),
    /// Its words.
    #[error("the page's words")]
    Words(#[from] serde_json::Error),
}

/// What became of the quotation.
#[derive(Debug, Clone, Copy, Default)]
pub struct Outcome<'a> {
    /// Who accepted it.
    pub by: Option<&'a str>,
    /// When.
    pub on: Option<Date>,
    /// Under which order.
    pub po_number: Option<&'a str>,
    /// Why it was declined or withdrawn.
    pub reason: Option<&'a str>,
    /// What was ordered.
    pub ordered: Option<&'a Order>,
}

/// Where the customer answers, and what they entered last.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Desk<'a> {
    /// Address of the page; the forms send to addresses below it.
    pub base: &'a str,
    /// Who they said they are.
    pub name: &'a str,
    /// The order number they entered.
    pub po_number: &'a str,
    /// Names of the options they chose.
    pub options: &'a [String],
    /// The reason they gave.
    pub reason: &'a str,
    /// What must be mended in the form to accept: field and what is wrong, by its word.
    pub accept_faults: Vec<(&'static str, &'static str)>,
    /// The same of the form to decline.
    pub decline_faults: Vec<(&'static str, &'static str)>,
    /// Why the last answer was not taken, by its word.
    pub refused: Option<&'static str>,
}

/// Why a link shows no quotation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notice {
    /// No link has that address.
    Unknown,
    /// The link's time is over.
    Expired,
    /// The shop took the link back.
    Revoked,
    /// The service cannot show it at the moment.
    Unavailable,
}

impl Notice {
    const fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Expired => "expired",
            Self::Revoked => "revoked",
            Self::Unavailable => "unavailable",
        }
    }
}

#[derive(Serialize)]
struct Line<'a> {
    mark: &'a str,
    quantity: u32,
    description: &'a str,
    unit_price: String,
    amount: String,
    particulars: &'a [(String, String)],
    cautions: &'a [String],
    drawing: String,
    drawing_text: &'a str,
}

/// The page of a quotation; with a desk, an issued one can be answered there.
///
/// # Errors
/// When the template fails.
pub fn quote_page(
    paper: &QuotePaper<'_>,
    outcome: &Outcome<'_>,
    desk: Option<&Desk<'_>>,
) -> Result<String, PageError> {
    let words = PageWords::of(paper.record.shop.style.language)?;
    render("quote.html", &words, context(paper, outcome, desk, &words))
}

/// What a template of the page is given, but for the style.
///
/// # Errors
/// When it cannot be written.
pub fn page_data(
    paper: &QuotePaper<'_>,
    outcome: &Outcome<'_>,
    desk: Option<&Desk<'_>>,
) -> Result<serde_json::Value, PageError> {
    let words = PageWords::of(paper.record.shop.style.language)?;
    let page = context(paper, outcome, desk, &words);
    Ok(serde_json::to_value(with_words(&words, page))?)
}

fn context(
    paper: &QuotePaper<'_>,
    outcome: &Outcome<'_>,
    desk: Option<&Desk<'_>>,
    words: &PageWords,
) -> Value {
    let record = paper.record;
    let quoting = &record.shop.quoting;
    let style = &record.shop.style;
    let mark = style.decimal_mark;
    let is_itemised = record.presentation == Presentation::Itemised;
    let line = |made| line(made, is_itemised.then_some(mark));
    let lines: Vec<Line<'_>> = record.manifolds.iter().map(line).collect();
    let totals = &record.totals;
    let on = words.quote["tax_on"].as_str().unwrap_or_default();
    let taxes: Vec<(String, String)> = taxes(record, on)
        .into_iter()
        .map(|(text, tax)| (text, grouped(tax, mark)))
        .collect();
    // Where there are no options, what was ordered is what stands above already.
    let ordered = outcome.ordered.filter(|_| !record.options.is_empty());
    let ordered = ordered.map(|order| Ordered::of(record, order, on));
    context! {
        logo => paper.logo.map(|logo| context! { address => logo.address(), text => &logo.text }),
        head => Value::from(Serde(&record.shop.letterhead)),
        customer => Value::from(Serde(&record.customer)),
        number => paper.number,
        revision => paper.revision,
        state => paper.state.word(),
        dated => spoken(paper.issued_on.unwrap_or(paper.prepared_on)),
        is_itemised => is_itemised,
        options => Value::from(Serde(&Options::of(record, desk.map_or(&[], |desk| desk.options)))),
        ordered => Value::from(Serde(&ordered)),
        is_issued => paper.issued_on.is_some(),
        valid_until => paper.valid_until.map(spoken),
        size => match record.shop.paper { Paper::Letter => "letter", Paper::A4 => "A4" },
        project => &record.project,
        note => &record.note,
        currency => totals.currency.code(),
        lines => Value::from(Serde(&lines)),
        net => grouped(totals.net, mark),
        taxes => Value::from(Serde(&taxes)),
        gross => grouped(totals.gross, mark),
        inclusions => Value::from(Serde(&quoting.inclusions)),
        exclusions => Value::from(Serde(&quoting.exclusions)),
        terms => Value::from(Serde(&quoting.terms)),
        honesty => Value::from(Serde(&record.honesty)),
        outcome => context! {
            by => outcome.by, on => outcome.on.map(spoken), po_number => outcome.po_number, reason => outcome.reason,
        },
        desk => Value::from(Serde(&desk)),
        is_open => desk.is_some() && paper.state == State::Issued,
    }
}

/// A page that says why a link shows no quotation, and whom to ask.
///
/// # Errors
/// When the template fails.
pub fn notice_page(notice: Notice, asked: Option<&QuotePaper<'_>>) -> Result<String, PageError> {
    let shop = asked.map(|paper| &paper.record.shop);
    let head = shop.map(|shop| &shop.letterhead);
    let language = shop.map_or(Language::default(), |shop| shop.style.language);
    render(
        "notice.html",
        &PageWords::of(language)?,
        context! { notice => notice.word(), head => Value::from(Serde(&head)) },
    )
}

/// The words of a page, and those it shares with the paper.
struct PageWords {
    page: serde_json::Value,
    quote: serde_json::Value,
}

impl PageWords {
    fn of(language: Language) -> Result<Self, serde_json::Error> {
        let words = Words::of(language);
        Ok(Self {
            page: serde_json::from_str(words.page)?,
            quote: serde_json::from_str(words.quote)?,
        })
    }
}

fn render(name: &str, words: &PageWords, page: Value) -> Result<String, PageError> {
    let mut engine = engine()?;
    engine.add_template("quote.html", QUOTE)?;
    engine.add_template("notice.html", NOTICE)?;
    Ok(engine.get_template(name)?.render(with_words(words, page))?)
}

/// The engine with the frame of every page. The style is ours and goes in as it is; whatever else comes in is
/// escaped.
fn engine() -> Result<Environment<'static>, minijinja::Error> {
    let mut engine = Environment::new();
    engine.set_undefined_behavior(UndefinedBehavior::Strict);
    engine.set_auto_escape_callback(|_| AutoEscape::Html);
    engine.add_global("style", Value::from_safe_string(STYLE.to_owned()));
    engine.add_template("frame.html", FRAME)?;
    Ok(engine)
}

fn with_words(words: &PageWords, page: Value) -> Value {
    context! {
        words => Value::from(Serde(&words.page)), paper_words => Value::from(Serde(&words.quote)), ..page
    }
}

/// A line. Its prices are empty where they are not to be shown, so that no template can.
fn line(made: &QuotedManifold, prices: Option<DecimalMark>) -> Line<'_> {
    let price = |amount| prices.map_or_else(String::new, |mark| grouped(amount, mark));
    Line {
        mark: &made.mark,
        quantity: made.quantity,
        description: &made.description,
        unit_price: price(made.unit_price),
        amount: price(made.amount),
        particulars: &made.particulars,
        cautions: &made.cautions,
        drawing: picture(&made.drawing),
        drawing_text: &made.drawing_text,
    }
}

/// A drawing as an address that holds it whole. As a picture it can run no script and fetch nothing.
fn picture(svg: &str) -> String {
    use base64::Engine as _;
    match svg.is_empty() {
        true => String::new(),
        false => format!(
            "data:image/svg+xml;base64,{}",
            base64::engine::general_purpose::STANDARD.encode(svg)
        ),
    }
}

fn spoken(day: Date) -> String {
    day.strftime("%-d %B %Y").to_string()
}
