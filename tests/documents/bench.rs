//! The bench sheet: complete, readable by machines, and true to size where it says so.

use std::f64::consts::PI;

use jiff::civil::date;
use offtake::documents::bench::{BenchSheet, bench_pdf};
use offtake::shop::settings::{DecimalMark, Language, Paper, Units};
use offtake::trade::catalogue::Catalogue;
use offtake::trade::check::check;
use offtake::trade::manifold::Manifold;
use offtake::trade::rule_set::RuleSet;

use crate::keep;
use crate::pdf::{Pdf, Stroke};
use crate::samples::manifolds;

/// Points of an inch, and of a millimetre.
const INCH: f64 = 72.0;
const MILLIMETRE: f64 = 72.0 / 25.4;

fn printed(manifold: &Manifold, units: Units, paper: Paper) -> Vec<u8> {
    printed_with(manifold, (units, DecimalMark::Point), paper)
}

fn printed_with(
    manifold: &Manifold,
    (units, decimal_mark): (Units, DecimalMark),
    paper: Paper,
) -> Vec<u8> {
    let catalogue = Catalogue::load().unwrap();
    let rules = RuleSet::default_set();
    let sheet = BenchSheet {
        manifold,
        checked: &check(manifold, &catalogue, &rules),
        catalogue: &catalogue,
        rules: &rules,
        shop: "Quay Street Pipe Shop",
        units,
        decimal_mark,
        paper,
        language: Language::En,
        printed_on: date(2026, 11, 25),
    };
    bench_pdf(&sheet).unwrap()
}

fn sample(wanted: &str) -> Manifold {
    let mut all = manifolds().into_iter();
    all.find(|(name, _)| *name == wanted).unwrap().1
}

/// Pages, counted from 1, that say they print at true size.
fn true_pages(pdf: &Pdf) -> Vec<usize> {
    (1..=pdf.pages())
        .filter(|page| pdf.page_text(*page).contains("Print at 100"))
        .collect()
}

fn level(stroke: &Stroke) -> bool {
    (stroke.from.1 - stroke.to.1).abs() < 1e-3
}

fn near(value: f64, wanted: f64) -> bool {
    (value - wanted).abs() < 0.02
}

#[test]
fn every_page_at_true_size_has_a_ruler_that_measures() {
    for (name, paper) in [
        ("two", Paper::Letter),
        ("clocked", Paper::A4),
        ("sixty", Paper::Letter),
    ] {
        let manifold = sample(name);
        for (units, span) in [
            (Units::Imperial, 6.0 * INCH),
            (Units::Metric, 150.0 * MILLIMETRE),
        ] {
            let bytes = printed(&manifold, units, paper);
            keep(
                &format!("bench {name} {units:?} {paper:?}.pdf").to_lowercase(),
                &bytes,
            );
            let pdf = Pdf::read(&bytes);
            let pages = true_pages(&pdf);
            assert!(pages.len() >= 2, "{name}: a strip and a template at least");
            for page in pages {
                let rulers = pdf
                    .strokes(page)
                    .into_iter()
                    .filter(|it| near(it.width, 1.25) && level(it))
                    .map(|it| it.length())
                    .collect::<Vec<_>>();
                assert_eq!(rulers.len(), 1, "{name}: page {page}");
                assert!(
                    near(rulers[0], span),
                    "{name}: {} for {span} points",
                    rulers[0]
                );
            }
        }
    }
}

#[test]
fn the_strip_has_every_outlet_at_its_station_on_overlapping_rows() {
    // Twelve outlets from 4 in every 4 13/16 in: 61 in, in rows of 10 in that begin every 9 1/2 in.
    let manifold = sample("twelve");
    let pdf = Pdf::read(&printed(&manifold, Units::Imperial, Paper::Letter));
    let crosses: Vec<f64> = true_pages(&pdf)
        .into_iter()
        .flat_map(|page| pdf.strokes(page))
        .filter(|it| near(it.width, 0.6) && near(it.length(), 10.5 * MILLIMETRE))
        .map(|it| it.from.0)
        .collect();
    let left = 12.5 * MILLIMETRE;
    let mut wanted = Vec::new();
    for row in 0..7 {
        let from = 9.5 * f64::from(row);
        let here = |station: &f64| (from - 1e-9..=from + 10.0 + 1e-9).contains(station);
        let stations = manifold
            .outlets
            .iter()
            .map(|outlet| outlet.station.in_inches());
        wanted.extend(
            stations
                .filter(here)
                .map(|station| left + (station - from) * INCH),
        );
    }
    assert_eq!(crosses.len(), wanted.len());
    for (found, wanted) in crosses.iter().zip(&wanted) {
        assert!(near(*found, *wanted), "{found} for {wanted}");
    }
    let text = pdf.text();
    assert!(
        text.contains("lay row 7 here"),
        "rows say where the next one lies"
    );
}

#[test]
fn the_template_is_once_round_the_branch_and_as_deep_as_the_notch() {
    // 1 in on 2 in, type L: pi x 1.125 = 3.5343 in round; R_i 0.9925, r 0.5625: notch 0.1748 in.
    let pdf = Pdf::read(&printed(&sample("two"), Units::Metric, Paper::A4));
    let page = *true_pages(&pdf).last().unwrap();
    let curve: Vec<Stroke> = pdf
        .strokes(page)
        .into_iter()
        .filter(|it| near(it.width, 0.9) && it.length() < 3.0 * MILLIMETRE - 0.1)
        .collect();
    let xs: Vec<f64> = curve.iter().flat_map(|it| [it.from.0, it.to.0]).collect();
    let ys: Vec<f64> = curve.iter().flat_map(|it| [it.from.1, it.to.1]).collect();
    let spread = |all: &[f64]| {
        all.iter().copied().fold(f64::MIN, f64::max) - all.iter().copied().fold(f64::MAX, f64::min)
    };
    assert!(near(spread(&xs), PI * 1.125 * INCH), "{}", spread(&xs));
    assert!(near(spread(&ys), 0.1748 * INCH), "{}", spread(&ys));
}

#[test]
fn the_sheet_holds_what_the_bench_needs_and_is_tagged() {
    let pdf = Pdf::read(&printed(&sample("clocked"), Units::Imperial, Paper::Letter));
    let text = pdf.text();
    for part in [
        "Bench sheet H-3",
        "Cut list",
        "Holes to cut in the run",
        "Lines to scribe",
        "Pilot dia.",
        "1st dimple",
        "BCuP-3",
        "needs no flux",
        "never heat a closed",
        "Test pressure",
        "113 psi (7.8 bar)",
        "Gauge no.",
        "Time at end",
        "Test examined",
        "Marking strip, round the run",
        "Saddle template",
        "fire watch of 60 minutes",
        "local codes and licensed practice decide",
        "Page 1 of",
    ] {
        let found = text.to_lowercase().contains(&part.to_lowercase());
        assert!(found, "{part} is not in: {text}");
    }
    assert!(pdf.catalogue().has(b"StructTreeRoot") && pdf.catalogue().has(b"Lang"));
    assert!(pdf.metadata().contains("pdfuaid:part"));
}

#[test]
fn the_sheet_is_written_with_the_shops_decimal_mark() {
    let comma = (Units::Metric, DecimalMark::Comma);
    let bytes = printed_with(&sample("clocked"), comma, Paper::A4);
    keep("bench comma a4.pdf", &bytes);
    let text = Pdf::read(&bytes).text();
    for part in [
        // The drawing stands on the paper letter by letter.
        "5 , 2 b a r g a u g e",
        "113 psi (7,8 bar)",
        "101,6",
        "kg dry",
    ] {
        assert!(text.contains(part), "{part} is not in: {text}");
    }
    for part in ["101.6", "1 0 1 . 6", "7.8 bar", "k P a"] {
        assert!(!text.contains(part), "{part} is in: {text}");
    }
}

#[test]
fn every_sample_prints_on_both_papers() {
    for (name, manifold) in manifolds() {
        let bytes = printed(&manifold, Units::Imperial, Paper::A4);
        keep(&format!("bench {name} imperial a4.pdf"), &bytes);
        let pdf = Pdf::read(&bytes);
        assert!(
            pdf.pages() >= 2 && pdf.pages() < 40,
            "{name}: {} pages",
            pdf.pages()
        );
        assert_eq!(
            bytes,
            printed(&manifold, Units::Imperial, Paper::A4),
            "{name}: same bytes"
        );
    }
}
