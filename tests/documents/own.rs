//! The templates that the documentation gives as examples, made with a quote as long as they come.

use offtake::documents::apart::{Job, answer, outcomes};
use offtake::documents::logo::LogoPicture;
use offtake::documents::page::{Desk, Outcome, page_data};
use offtake::documents::quote::{QuotePaper, paper_files};
use offtake::shop::own::PictureKind;
use offtake::shop::settings::{Paper, Units};

use crate::keep;
use crate::pdf::Pdf;
use crate::quote::paper;
use crate::samples::{manifolds, record};

const DOCS: &str = include_str!("../../docs/templates.md");

fn example(language: &str) -> &'static str {
    let after = DOCS.split(&format!("```{language}\n")).nth(1).unwrap();
    after.split("```").next().unwrap()
}

fn made(job: &Job) -> Vec<u8> {
    let answer = answer(&job.message().unwrap()).unwrap();
    outcomes(&answer).unwrap().remove(0).unwrap()
}

#[test]
fn the_examples_make_a_paper_and_a_page() {
    let all: Vec<_> = manifolds().into_iter().map(|(_, made)| made).collect();
    let mut record = record(&all, (Units::Imperial, Paper::Letter));
    let typed = "<b>#panic() {{ number }}</b>";
    record.customer.name = typed.to_owned();
    let logo = LogoPicture {
        kind: PictureKind::Png,
        bytes: include_bytes!("../data/logo_wide.png").to_vec(),
        text: "A slanted bar".to_owned(),
    };
    let paper = QuotePaper {
        logo: Some(&logo),
        ..paper(&record)
    };
    let print = || {
        made(&Job::papers(
            example("typst"),
            vec![paper_files(&paper).unwrap()],
        ))
    };
    let pdf = print();
    keep("logo own paper.pdf", &pdf);
    assert!(pdf == print(), "same quote, same bytes");
    let read = Pdf::read(&pdf);
    assert_eq!(read.figures("A slanted bar").len(), 1);
    let text = read.text();
    for wanted in [
        "Example Pipe Works",
        typed,
        "Q-2026-0007",
        "Payment within 30 days",
    ] {
        assert!(text.contains(wanted), "{wanted} is not in {text}");
    }
    assert_eq!(read.attachments().len(), 1);
    let desk = Desk {
        base: "/q/token",
        ..Desk::default()
    };
    let page = made(&Job::Pages {
        template: example("html").to_owned(),
        data: vec![page_data(&paper, &Outcome::default(), Some(&desk)).unwrap()],
    });
    keep("logo own page.html", &page);
    let page = String::from_utf8(page).unwrap();
    assert!(
        page.contains("&lt;b&gt;#panic() {{ number }}&lt;&#x2f;b&gt;"),
        "{page}"
    );
    assert!(!page.contains("<b>#panic"));
}
