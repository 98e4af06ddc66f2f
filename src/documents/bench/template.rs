//! Saddle templates at true size: the notch of each size of branch, unrolled.
//!
//! The seam lies on a tongue, square to the run, so that both apexes and their dimples are whole.

use std::sync::Arc;

use serde_json::{Value, json};

use super::BenchSheet;
use super::strip::cutting;
use crate::documents::drawing::{fine, ranges, unit};
use crate::trade::quantity::Length;
use crate::trade::template::{Meeting, Template};
use crate::trade::tube::Tube;

/// Steps round the branch; a whole number of them is a quarter.
const STEPS: u32 = 144;
/// Paper above the second dimple.
const BAND: Length = Length::millimetres(12.0);

/// Branches of one tube with dimples at one height.
struct Kind {
    tube: Arc<Tube>,
    dimples: [Length; 2],
    outlets: Vec<usize>,
}

fn kinds(sheet: &BenchSheet<'_>) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    let layout = &sheet.checked.takeoff.layout;
    let outlets = sheet.manifold.outlets.iter().enumerate();
    for ((index, outlet), formed) in outlets.zip(&layout.formed) {
        let dimples = [formed.dimples.first, formed.dimples.second];
        let alike = |kind: &&mut Kind| {
            kind.tube.id == outlet.tube.id
                && (kind.dimples[0] - dimples[0]).abs() < Length::millimetres(0.01)
        };
        match kinds.iter_mut().find(alike) {
            Some(kind) => kind.outlets.push(index + 1),
            None => kinds.push(Kind {
                tube: Arc::clone(&outlet.tube),
                dimples,
                outlets: vec![index + 1],
            }),
        }
    }
    kinds
}

/// The templates of a manifold: one for each kind of branch, in as many parts as a page asks.
/// None for builds without notches, or where the branch is wider than the bore.
pub fn templates(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let surface = sheet.manifold.run.tube.inner_radius();
    kinds(sheet)
        .into_iter()
        .filter_map(|kind| {
            let meeting = Meeting::square(surface, kind.tube.outer_radius());
            let template = Template::of(&meeting, STEPS)?;
            Some(drawn(sheet, &kind, &template))
        })
        .collect()
}

/// The curve from the middle of one tongue to the same again, as (x, height above the tube's end).
fn curve(template: &Template) -> Vec<(f64, f64)> {
    let quarter = (STEPS / 4) as usize;
    let round = &template.points[..template.points.len().saturating_sub(1)];
    let turned = round
        .iter()
        .skip(quarter)
        .chain(round.iter().take(quarter + 1));
    let step = template.width.in_millimetres() / f64::from(STEPS);
    turned
        .enumerate()
        .map(|(place, point)| {
            (
                place as f64 * step,
                (template.depth - point.y).in_millimetres(),
            )
        })
        .collect()
}

fn drawn(sheet: &BenchSheet<'_>, kind: &Kind, template: &Template) -> Value {
    let cutting = cutting(sheet.units);
    let (step, overlap) = (
        cutting.step.in_millimetres(),
        cutting.overlap.in_millimetres(),
    );
    let width = template.width.in_millimetres();
    let depth = template.depth.in_millimetres();
    let curve = curve(template);
    let apexes = [width / 4.0, width * 3.0 / 4.0];
    let dimples = kind.dimples.map(|dimple| depth + dimple.in_millimetres());
    let of = ((width - overlap) / step).ceil().max(1.0) as usize;
    let parts: Vec<Value> = (0..of)
        .map(|place| {
            let from = step * place as f64;
            let to = if place + 1 == of {
                width
            } else {
                from + step + overlap
            };
            let here = |x: f64| x >= from - 1e-6 && x <= to + 1e-6;
            let points: Vec<[f64; 2]> = curve
                .iter()
                .filter(|(x, _)| here(*x))
                .map(|(x, y)| [x - from, *y])
                .collect();
            let apexes: Vec<f64> = apexes
                .iter()
                .filter(|x| here(**x))
                .map(|x| x - from)
                .collect();
            json!({
                "number": place + 1,
                "width": to - from,
                "next": if place + 1 == of { Value::Null } else { json!(step) },
                "points": points,
                "apexes": apexes,
            })
        })
        .collect();
    let (units, figures) = (sheet.units, sheet.figures());
    json!({
        "outlets": ranges(&kind.outlets),
        "tube": figures.written(kind.tube.call_out()),
        "round": format!("{} {}", fine(template.width, figures), unit(units)),
        "notch": format!("{} {}", fine(template.depth, figures), unit(units)),
        "first": format!("{} {}", fine(kind.dimples[0], figures), unit(units)),
        "second": format!("{} {}", fine(kind.dimples[1], figures), unit(units)),
        "height": dimples[1] + BAND.in_millimetres(),
        "dimples": dimples,
        "parts": parts,
        "of": of,
    })
}
