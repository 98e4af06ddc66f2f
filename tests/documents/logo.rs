//! A logo on paper and page: whole, of moderate size, and told to whoever cannot see it.

use offtake::documents::logo::LogoPicture;
use offtake::documents::page::{Outcome, quote_page};
use offtake::documents::quote::{QuotePaper, quote_pdf};
use offtake::shop::own::PictureKind;
use offtake::shop::settings::{Paper, Units};
use offtake::trade::manifold::Build;

use crate::keep;
use crate::pdf::Pdf;
use crate::quote::paper;
use crate::samples::{manifold, record, row};

/// Made by Python's zlib, see `tests/outside/make_logos.py`.
const WIDE: &[u8] = include_bytes!("../data/logo_wide.png");
const TALL: &[u8] = include_bytes!("../data/logo_tall.png");
const DRAWN: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 120 40\">\
    <rect x=\"1\" y=\"1\" width=\"118\" height=\"38\" fill=\"none\" stroke=\"#8a4b1f\" stroke-width=\"2\"/>\
    <path d=\"M8 28h104M36 28v-18M84 28v-18\" fill=\"none\" stroke=\"#8a4b1f\" stroke-width=\"6\"/></svg>";

fn logos() -> [(&'static str, LogoPicture, f64); 3] {
    let logo = |kind, bytes: &[u8]| LogoPicture {
        kind,
        bytes: bytes.to_vec(),
        text: "Example Pipe Works, a pipe & two branches".to_owned(),
    };
    [
        ("wide", logo(PictureKind::Png, WIDE), 640.0 / 80.0),
        ("tall", logo(PictureKind::Png, TALL), 90.0 / 320.0),
        (
            "drawn",
            logo(PictureKind::Svg, DRAWN.as_bytes()),
            120.0 / 40.0,
        ),
    ]
}

const MM: f64 = 72.0 / 25.4;

#[test]
fn a_logo_stands_whole_in_the_head_of_the_paper() {
    for (size, width, height, size_name) in [
        (Paper::Letter, 612.0, 792.0, "letter"),
        (Paper::A4, 595.28, 841.89, "a4"),
    ] {
        let manifolds = [manifold("H-2", Build::FormedOutlets, &[row(6, 4.0, 5.0)])];
        let record = record(&manifolds, (Units::Imperial, size));
        let plain = Pdf::read(&quote_pdf(&paper(&record)).unwrap());
        for (name, logo, ratio) in logos() {
            let bytes = quote_pdf(&QuotePaper {
                logo: Some(&logo),
                ..paper(&record)
            })
            .unwrap();
            keep(&format!("logo {name} {size_name}.pdf"), &bytes);
            let pdf = Pdf::read(&bytes);
            assert_eq!(pdf.pages(), plain.pages(), "{name}");
            let text = pdf.page_text(1);
            for wanted in [
                "Example Pipe Works",
                "12 Sample Street",
                "Contractor licence",
            ] {
                assert!(text.contains(wanted), "{wanted} is not in {text}");
            }
            let found = pdf.figures(&logo.text);
            let [[left, bottom, right, top]] = found.as_slice() else {
                panic!("{name}: {found:?}");
            };
            let (wide, high) = (right - left, top - bottom);
            assert!(
                (wide / high / ratio - 1.0).abs() < 0.02,
                "{name} {wide} x {high}"
            );
            assert!(
                wide <= 70.1 * MM && high <= 18.1 * MM,
                "{name} {wide} x {high}"
            );
            assert!(
                (wide - 70.0 * MM).abs() < 1.0 || (high - 18.0 * MM).abs() < 1.0,
                "{name}"
            );
            assert!(
                (left - 20.0 * MM).abs() < 1.0,
                "{name} begins at {left}, not at the margin"
            );
            assert!(*right < width - 20.0 * MM, "{name}");
            assert!(
                *top < height - 19.0 * MM && *bottom > height * 0.8,
                "{name}"
            );
        }
    }
}

#[test]
fn the_page_holds_the_logo_whole_with_its_description() {
    let manifolds = [manifold("H-2", Build::FormedOutlets, &[row(6, 4.0, 5.0)])];
    let record = record(&manifolds, (Units::Imperial, Paper::A4));
    for (name, logo, _) in logos() {
        let page = quote_page(
            &QuotePaper {
                logo: Some(&logo),
                ..paper(&record)
            },
            &Outcome::default(),
            None,
        )
        .unwrap();
        keep(&format!("logo {name}.html"), page.as_bytes());
        let image = page.split("<img class=\"logo\"").nth(1).unwrap();
        let image = image.split('>').next().unwrap().replace("&#x2f;", "/");
        assert!(
            image.contains(&format!("src=\"{}\"", logo.address())),
            "{image}"
        );
        assert!(image.contains("alt=\"Example Pipe Works, a pipe &amp; two branches\""));
    }
    let plain = quote_page(&paper(&record), &Outcome::default(), None).unwrap();
    assert!(!plain.contains("<img class=\"logo\""));
}
