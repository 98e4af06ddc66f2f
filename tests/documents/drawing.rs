//! Drawings: well-formed, complete, and legible: no label on another, nothing cut off.

use offtake::documents::drawing::FigureStyle;
use offtake::shop::settings::{DecimalMark, Units};
use offtake::trade::quantity::bench_inches;
use roxmltree::Document;

use crate::keep;
use crate::samples::{SHEETS, drawings, drawn, manifolds};

/// A text of the drawing with the box it takes.
struct Placed {
    text: String,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

/// Advance of DejaVu Sans Mono, the widest family asked for: 1233 of 2048 units (its `hmtx`).
const ADVANCE: f64 = 1233.0 / 2048.0;

fn texts(document: &Document<'_>) -> Vec<Placed> {
    document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| {
            let number = |name| node.attribute(name).unwrap().parse::<f64>().unwrap();
            let (x, y, size) = (number("x"), number("y"), number("font-size"));
            let text = node.text().unwrap().to_owned();
            let width = text.chars().count() as f64 * size * ADVANCE;
            let begin = match node.attribute("text-anchor") {
                None => 0.0,
                Some("middle") => -width / 2.0,
                Some("end") => -width,
                Some(other) => unreachable!("anchor {other}"),
            };
            // Digits and capitals stand 0.73 of the size above the baseline.
            let (left, right, top, bottom) = match node.attribute("transform") {
                None => (x + begin, x + begin + width, y - 0.73 * size, y),
                Some(turn) => {
                    assert!(turn.starts_with("rotate(-90 "), "{turn}");
                    (x - 0.73 * size, x, y - begin - width, y - begin)
                }
            };
            Placed {
                text,
                left,
                right,
                top,
                bottom,
            }
        })
        .collect()
}

#[test]
fn every_drawing_is_well_formed_and_names_every_station() {
    for (name, manifold) in manifolds() {
        for units in [Units::Imperial, Units::Metric] {
            let drawing = drawn(&manifold, units);
            keep(
                &format!("{name} {units:?}.svg").to_lowercase(),
                drawing.svg.as_bytes(),
            );
            let document = Document::parse(&drawing.svg).unwrap();
            let root = document.root_element();
            assert_eq!(root.attribute("role"), Some("img"));
            for part in ["title", "desc"] {
                assert!(
                    root.children().any(|node| node.has_tag_name(part)),
                    "{part}"
                );
            }
            let texts: Vec<String> = texts(&document)
                .into_iter()
                .map(|placed| placed.text)
                .collect();
            for outlet in &manifold.outlets {
                // Every station of the samples is a whole number of sixteenths of an inch:
                // thousandths of an inch and tenths of a millimetre follow in whole numbers.
                let sixteenths = (outlet.station.in_inches() * 16.0).round() as u64;
                let wanted = match units {
                    Units::Imperial => {
                        let thousandths = (sixteenths * 1000 + 8) / 16;
                        let (whole, rest) = (thousandths / 1000, thousandths % 1000);
                        format!("{} ({whole}.{rest:03})", bench_inches(outlet.station))
                    }
                    Units::Metric => {
                        let tenths = (sixteenths * 254 + 8) / 16;
                        format!("{}.{}", tenths / 10, tenths % 10)
                    }
                };
                assert!(texts.contains(&wanted), "{name}: {wanted} is missing");
            }
        }
    }
}

#[test]
fn no_label_stands_on_another_and_nothing_is_cut_off() {
    for (name, manifold) in manifolds() {
        let both = [Units::Imperial, Units::Metric];
        for svg in both
            .into_iter()
            .flat_map(|units| drawings(&manifold, units))
        {
            let svg = svg.svg;
            let document = Document::parse(&svg).unwrap();
            let view: Vec<f64> = document
                .root_element()
                .attribute("viewBox")
                .unwrap()
                .split(' ')
                .map(|part| part.parse().unwrap())
                .collect();
            let texts = texts(&document);
            for (index, one) in texts.iter().enumerate() {
                assert!(
                    one.left >= 0.0
                        && one.right <= view[2]
                        && one.top >= 0.0
                        && one.bottom <= view[3],
                    "{name}: {:?} leaves the page",
                    one.text
                );
                for other in &texts[index + 1..] {
                    let apart = one.right <= other.left
                        || other.right <= one.left
                        || one.bottom <= other.top
                        || other.bottom <= one.top;
                    assert!(apart, "{name}: {:?} stands on {:?}", one.text, other.text);
                }
            }
            for (x, y) in points(&document) {
                assert!(
                    (0.0..=view[2]).contains(&x) && (0.0..=view[3]).contains(&y),
                    "{name}: a line reaches {x}, {y}"
                );
            }
        }
    }
}

/// Every point that a path goes through, and the extremes of every ellipse.
fn points(document: &Document<'_>) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for node in document.descendants() {
        if let Some(data) = node.attribute("d") {
            let numbers: Vec<f64> = data
                .split(['M', 'L', 'C', 'Z', ' '])
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().unwrap())
                .collect();
            points.extend(numbers.chunks(2).map(|pair| (pair[0], pair[1])));
        }
        if node.has_tag_name("ellipse") {
            let number = |name| node.attribute(name).unwrap().parse::<f64>().unwrap();
            let (x, y, rx, ry) = (number("cx"), number("cy"), number("rx"), number("ry"));
            points.extend([(x - rx, y - ry), (x + rx, y + ry)]);
        }
    }
    points
}

#[test]
fn the_view_is_to_scale_from_the_datum() {
    // 34 in of run, outlets 5 in apart: centre lines must stand in the same proportion.
    let (_, manifold) = manifolds().into_iter().nth(1).unwrap();
    let svg = drawn(&manifold, Units::Imperial).svg;
    let document = Document::parse(&svg).unwrap();
    let upright: Vec<f64> = document
        .descendants()
        .filter(|node| node.attribute("stroke-dasharray") == Some("9 2 2 2"))
        .filter_map(|node| {
            let data = node.attribute("d")?;
            let (from, to) = data.trim_start_matches('M').split_once('L')?;
            let x = |part: &str| part.split(' ').next().unwrap().parse::<f64>().unwrap();
            ((x(from) - x(to)).abs() < 1e-9).then(|| x(from))
        })
        .collect();
    // The six of the side view are followed by none; the end view comes before them.
    let side = &upright[upright.len() - 6..];
    let pitch = side[1] - side[0];
    for pair in side.windows(2) {
        assert!((pair[1] - pair[0] - pitch).abs() < 0.02, "{side:?}");
    }
    assert!(
        pitch > 60.0,
        "six outlets on a page are drawn large, not {pitch}"
    );
}

#[test]
fn the_description_says_what_the_picture_shows() {
    let (_, manifold) = manifolds().into_iter().nth(2).unwrap();
    let description = drawn(&manifold, Units::Imperial).description;
    for part in [
        "H-3",
        "2 in type L",
        "26 in long",
        "first end (datum): cap",
        "clock 90°",
        "clock 270°",
        "22 in",
    ] {
        assert!(
            description.contains(part),
            "{part} is not in: {description}"
        );
    }
}

#[test]
fn the_same_manifold_is_always_drawn_the_same() {
    for (_, manifold) in manifolds() {
        assert_eq!(
            drawn(&manifold, Units::Metric),
            drawn(&manifold, Units::Metric)
        );
    }
}

#[test]
fn a_mark_is_text_whatever_it_holds() {
    let (_, manifold) = manifolds().into_iter().last().unwrap();
    let svg = drawn(&manifold, Units::Imperial).svg;
    let document = Document::parse(&svg).unwrap();
    let shown: String = texts(&document)
        .into_iter()
        .map(|placed| placed.text)
        .collect();
    assert!(
        shown.contains("Ø<&>\"'½″ \u{7ba1}\u{fffd}]]> *b* #x"),
        "{shown}"
    );
}

#[test]
fn two_hundred_outlets_stay_legible_on_the_bench() {
    let (_, manifold) = manifolds()
        .into_iter()
        .find(|(name, _)| *name == "most")
        .unwrap();
    let all = drawings(&manifold, Units::Imperial);
    keep("most bench.svg", all[1].svg.as_bytes());
    let sheets = &all[2..];
    assert!(sheets.len() >= 2, "200 outlets do not fit one sheet");
    let mut found: Vec<String> = Vec::new();
    for (place, sheet) in sheets.iter().enumerate() {
        keep(&format!("most sheet {place}.svg"), sheet.svg.as_bytes());
        let document = Document::parse(&sheet.svg).unwrap();
        let height: f64 = document
            .root_element()
            .attribute("height")
            .unwrap()
            .parse()
            .unwrap();
        assert!(height <= SHEETS.1 + 20.0, "sheet {place} is {height} high");
        let placed = texts(&document);
        // On paper 182 mm wide a unit is a quarter of a millimetre: no text below 2 mm.
        let sizes = document
            .descendants()
            .filter_map(|node| node.attribute("font-size")?.parse::<f64>().ok());
        assert!(sizes.fold(f64::MAX, f64::min) >= 8.0);
        found.extend(placed.into_iter().map(|it| it.text));
    }
    for outlet in &manifold.outlets {
        let station = bench_inches(outlet.station);
        assert!(
            found.iter().any(|text| text.starts_with(&station)),
            "{station} is missing"
        );
    }
}

/// Whether a point stands between two digits.
fn has_point(text: &str) -> bool {
    let digit = |part: Option<char>| part.is_some_and(|sign| sign.is_ascii_digit());
    let parts: Vec<&str> = text.split('.').collect();
    parts
        .windows(2)
        .any(|pair| digit(pair[0].chars().last()) && digit(pair[1].chars().next()))
}

#[test]
fn a_drawing_on_paper_is_written_like_the_paper() {
    for (name, manifold) in manifolds() {
        for units in [Units::Imperial, Units::Metric] {
            let style = FigureStyle::on_paper(units, DecimalMark::Comma);
            for (place, drawing) in drawings(&manifold, style).into_iter().enumerate() {
                let file = format!("{name} {units:?} comma {place}.svg").to_lowercase();
                keep(&file, drawing.svg.as_bytes());
                let document = Document::parse(&drawing.svg).unwrap();
                for placed in texts(&document) {
                    assert!(!has_point(&placed.text), "{name}: {}", placed.text);
                }
                assert!(!has_point(&drawing.description), "{}", drawing.description);
            }
        }
    }
    let manifold = &manifolds()[2].1;
    let on_paper = drawn(
        manifold,
        FigureStyle::on_paper(Units::Metric, DecimalMark::Comma),
    );
    // 75 psi; the dimples of a branch, which no comma may part.
    for wanted in ["Design: 5,2 bar gauge at", ">101,6<", ">5,59; 11,94<"] {
        let found = on_paper.svg.contains(wanted);
        assert!(found, "{wanted} is not in {}", on_paper.svg);
    }
    // Asked for by a program, without a shop: as it always was.
    let plain = drawn(manifold, Units::Metric);
    assert!(plain.svg.contains("Design: 517 kPa gauge at") && plain.svg.contains(">101.6<"));
}
