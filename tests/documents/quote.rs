//! The quotation: what archives, screen readers, searches and customers find in it.

use jiff::civil::date;
use offtake::documents::offer::offer_json;
use offtake::documents::page::{Outcome, quote_page};
use offtake::documents::quote::{QuotePaper, quote_pdf};
use offtake::documents::ubl::quotation_ubl;
use offtake::shop::money::Percent;
use offtake::shop::quote::{QuoteRecord, State};
use offtake::shop::settings::{DecimalMark, Paper, Tax, Units};
use offtake::trade::manifold::{Build, Manifold};
use rust_decimal::{Decimal, dec};

use crate::keep;
use crate::pdf::Pdf;
use crate::samples::{manifold, manifolds, record, row};

pub fn paper(record: &QuoteRecord) -> QuotePaper<'_> {
    QuotePaper {
        record,
        number: "Q-2026-0007",
        revision: 2,
        state: State::Issued,
        issued_on: Some(date(2026, 3, 1)),
        valid_until: Some(date(2026, 3, 31)),
        prepared_on: date(2026, 2, 27),
        logo: None,
    }
}

fn print(name: &str, paper: &QuotePaper<'_>) -> Pdf {
    let bytes = quote_pdf(paper).unwrap();
    keep(&format!("{name}.pdf"), &bytes);
    Pdf::read(&bytes)
}

fn eight() -> Vec<Manifold> {
    let wanted = [
        "two", "six", "clocked", "twelve", "sixty", "tees", "bought", "long",
    ];
    manifolds()
        .into_iter()
        .filter(|(name, _)| wanted.contains(name))
        .map(|(_, manifold)| manifold)
        .collect()
}

fn one() -> Vec<Manifold> {
    vec![manifold("H-2", Build::FormedOutlets, &[row(6, 4.0, 5.0)])]
}

#[test]
fn the_file_says_that_it_is_archivable_and_accessible() {
    let record = record(&one(), (Units::Imperial, Paper::Letter));
    let pdf = print("one letter", &paper(&record));
    // ISO 19005-3 6.6.4 and ISO 14289-1 clause 5 name these properties (from memory).
    let metadata = pdf.metadata();
    for (property, value) in [
        ("pdfaid:part", "3"),
        ("pdfaid:conformance", "A"),
        ("pdfuaid:part", "1"),
    ] {
        let (element, attribute) = (
            format!("<{property}>{value}<"),
            format!("{property}=\"{value}\""),
        );
        assert!(
            metadata.contains(&element) || metadata.contains(&attribute),
            "{property} is not {value} in {metadata}"
        );
    }
    let catalogue = pdf.catalogue();
    let marked = pdf.at(catalogue, b"MarkInfo").as_dict().unwrap();
    assert!(pdf.at(marked, b"Marked").as_bool().unwrap());
    assert!(
        pdf.at(catalogue, b"Lang")
            .as_str()
            .unwrap()
            .starts_with(b"en")
    );
    let shown = pdf.at(catalogue, b"ViewerPreferences").as_dict().unwrap();
    assert!(pdf.at(shown, b"DisplayDocTitle").as_bool().unwrap());
    assert!(catalogue.has(b"StructTreeRoot"));
}

#[test]
fn the_offer_for_machines_is_attached_as_json_and_as_ubl() {
    let record = record(&one(), (Units::Imperial, Paper::Letter));
    let paper = paper(&record);
    let attached = Pdf::read(&quote_pdf(&paper).unwrap()).attachments();
    let alternative =
        |name: &str, content: Vec<u8>| (name.to_owned(), "Alternative".to_owned(), content);
    assert_eq!(
        attached,
        [
            alternative("quote.json", offer_json(&paper).unwrap().into_bytes()),
            alternative("quote.xml", quotation_ubl(&paper).unwrap()),
        ]
    );
}

#[test]
fn a_decimal_comma_stands_in_every_figure_and_no_point() {
    let mut record = record(&eight(), (Units::Metric, Paper::A4));
    record.shop.style.decimal_mark = DecimalMark::Comma;
    record.shop.pricing.tax = Tax {
        name: "Sales tax".to_owned(),
        rate: Percent::new(dec!(7.25)),
    };
    let totals = &record.totals;
    let grouped = |amount: Decimal| {
        let text = amount.to_string();
        let (whole, parts) = text.split_once('.').unwrap();
        let at = whole.len().saturating_sub(3);
        match at {
            0 => format!("{whole},{parts}"),
            at => format!("{}.{},{parts}", &whole[..at], &whole[at..]),
        }
    };
    let text = print("comma a4", &paper(&record)).text();
    for total in [totals.net, totals.tax, totals.gross] {
        let wanted = format!("USD {}", grouped(total));
        assert!(text.contains(&wanted), "{wanted} is not in {text}");
        assert!(!text.contains(&total.to_string()), "{total} is in {text}");
    }
    let page = quote_page(&paper(&record), &Outcome::default(), None).unwrap();
    for wanted in [
        grouped(totals.net),
        grouped(totals.gross),
        "7,25 %".to_owned(),
    ] {
        assert!(page.contains(&wanted), "{wanted} is not on the page");
        assert!(text.contains(&wanted), "{wanted} is not in {text}");
    }
}

#[test]
fn the_text_holds_the_offer_with_each_total_once_and_in_order() {
    for (name, units, size) in [
        ("eight letter", Units::Imperial, Paper::Letter),
        ("eight a4 metric", Units::Metric, Paper::A4),
    ] {
        let record = record(&eight(), (units, size));
        let pdf = print(name, &paper(&record));
        let text = pdf.text();
        for wanted in [
            "Q-2026-0007",
            "1 March 2026",
            "31 March 2026",
            "Sample Heating Ltd",
            "A. Person",
            "Boiler room, east wing",
            "Example Pipe Works",
            "Payment within 30 days",
            "Acceptance",
        ] {
            assert!(text.contains(wanted), "{wanted} is not in {text}");
        }
        for made in &record.manifolds {
            assert!(
                text.contains(&format!("{} {}", made.mark, made.description)),
                "{}",
                made.mark
            );
        }
        let plain = text.replace(',', "");
        let totals = &record.totals;
        let places: Vec<usize> = [totals.net, totals.tax, totals.gross]
            .into_iter()
            .map(|total| {
                let found: Vec<usize> = plain
                    .match_indices(&format!("USD {total}"))
                    .map(|(at, _)| at)
                    .collect();
                assert_eq!(found.len(), 1, "USD {total} in {plain}");
                found[0]
            })
            .collect();
        assert!(places.is_sorted(), "{places:?}");
    }
}

#[test]
fn what_the_shop_keeps_to_itself_is_not_printed() {
    let record = record(&one(), (Units::Imperial, Paper::Letter));
    let bytes = quote_pdf(&paper(&record)).unwrap();
    let text = Pdf::read(&bytes).text();
    assert!(text.contains("Net price"));
    for secret in ["SECRET", "987.65", "7.77", "Spring list"] {
        assert!(!text.contains(secret), "{secret}");
    }
}

#[test]
fn the_same_quote_is_the_same_file() {
    let first = record(&eight(), (Units::Imperial, Paper::Letter));
    let other = record(&one(), (Units::Metric, Paper::A4));
    let bytes = quote_pdf(&paper(&first)).unwrap();
    quote_pdf(&paper(&other)).unwrap();
    assert!(bytes == quote_pdf(&paper(&first)).unwrap());
}

#[test]
fn what_people_type_is_text_and_never_markup() {
    let mut record = record(&one(), (Units::Imperial, Paper::A4));
    let typed = [
        "#panic(\"x\")",
        "<script>alert(1)</script>",
        "*bold* _it_ `raw` $x$",
        "Ø \"Sørensen\" ½″",
        "= Heading",
        "- item",
        "// gone?",
        "@label \\ <label>",
        "{{number}} ${x}",
    ];
    record.customer.name = typed[3].to_owned();
    record.customer.contact = typed[0].to_owned();
    record.customer.address = typed.iter().map(|line| (*line).to_owned()).collect();
    record.project = typed[1].to_owned();
    record.note = typed[2].to_owned();
    record.manifolds[0].mark = "#x *y* <z>".to_owned();
    record.shop.quoting.terms = vec![typed[4].to_owned()];
    let text = print("typed a4", &paper(&record)).text();
    for line in typed {
        assert!(text.contains(line), "{line} is not in {text}");
    }
    assert!(text.contains("#x *y* <z>"));
}

#[test]
fn characters_no_font_holds_are_marked_and_the_paper_says_so() {
    let mut record = record(&one(), (Units::Imperial, Paper::A4));
    let plain = Pdf::read(&quote_pdf(&paper(&record)).unwrap()).text();
    assert!(!plain.contains("cannot be printed"));
    record.customer.name =
        "\u{7ba1}\u{5de5} \u{1f600} \u{e000}\u{0}\u{202e}\u{feff} e\u{301} Łódź Ελλάδα Київ"
            .to_owned();
    record.manifolds[0].mark = "X".repeat(90);
    record.note = "y".repeat(400);
    let text = print("odd characters", &paper(&record)).text();
    assert!(text.contains("cannot be printed"));
    assert!(text.contains("Łódź Ελλάδα Київ"), "{text}");
}

#[test]
fn a_draft_says_so_on_every_page_and_other_states_too() {
    let record = record(&one(), (Units::Imperial, Paper::Letter));
    let draft = QuotePaper {
        number: "",
        state: State::Draft,
        issued_on: None,
        valid_until: None,
        ..paper(&record)
    };
    let pdf = print("draft", &draft);
    for page in 1..=pdf.pages() {
        assert!(
            pdf.page_text(page).contains("DRAFT: not an offer"),
            "page {page}"
        );
    }
    assert!(pdf.text().contains("27 February 2026"));
    for (state, word) in [
        (State::Withdrawn, "no longer an offer"),
        (State::Expired, "no longer an offer"),
        (State::Superseded, "later revision"),
    ] {
        let text = Pdf::read(
            &quote_pdf(&QuotePaper {
                state,
                ..paper(&record)
            })
            .unwrap(),
        )
        .text();
        assert!(text.contains(word), "{state:?}");
    }
    let issued = Pdf::read(&quote_pdf(&paper(&record)).unwrap()).text();
    assert!(!issued.contains("DRAFT") && !issued.contains("no longer"));
}

#[test]
fn a_long_schedule_repeats_its_heading_and_never_leaves_its_totals_alone() {
    let base = record(&one(), (Units::Imperial, Paper::Letter));
    for lines in [1, 7, 14, 15, 16, 17, 18, 19, 20, 21, 22, 60] {
        let mut record = base.clone();
        record.manifolds = (1..=lines)
            .map(|line| {
                let mut made = base.manifolds[0].clone();
                made.mark = format!("M-{line:03}");
                made.drawing = String::new();
                made
            })
            .collect();
        let pdf = print(&format!("schedule {lines}"), &paper(&record));
        let pages: Vec<String> = (1..=pdf.pages()).map(|page| pdf.page_text(page)).collect();
        let with_total = pages
            .iter()
            .find(|text| text.contains("Net price USD"))
            .unwrap();
        assert!(
            with_total.contains("Total USD"),
            "{lines} lines: totals are torn apart"
        );
        let last = format!("M-{lines:03} Manifold of");
        let heading = with_total.find("Mark Description").unwrap();
        assert!(
            with_total[heading..].contains(&last),
            "{lines} lines: totals stand alone"
        );
        let headed = pages
            .iter()
            .filter(|text| text.contains("Mark Description"))
            .count();
        let holding = pages
            .iter()
            .filter(|text| {
                (1..=lines).any(|line| text.contains(&format!("M-{line:03} Manifold of")))
            })
            .count();
        assert_eq!(
            headed, holding,
            "{lines} lines: a page of the schedule has no heading"
        );
    }
}
