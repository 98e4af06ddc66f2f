//! The tables of a bench sheet, as rows of text.

use serde_json::{Value, json};

use super::BenchSheet;
use crate::documents::drawing::{FigureStyle, bench, branch_mark, degrees, fine, ranges};
use crate::shop::settings::Units;
use crate::trade::layout::PieceUse;
use crate::trade::quantity::Mass;
use crate::trade::takeoff::JointPlace;

/// A dash where a value cannot be had.
fn settled(value: Option<String>) -> String {
    value.unwrap_or_else(|| "–".to_owned())
}

/// Cut list: mark, what for, tube, in sight, out of sight, cut length, for one, for all.
pub fn cuts(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let (quantity, figures) = (sheet.manifold.quantity, sheet.figures());
    let pieces = sheet.checked.takeoff.layout.pieces.iter();
    pieces
        .map(|piece| {
            let what = match piece.used_as {
                PieceUse::Run => "run",
                PieceUse::Branch => "branch",
            };
            json!([
                piece.id,
                what,
                figures.written(piece.tube.call_out()),
                fine(piece.length - piece.make_up, figures),
                fine(piece.make_up, figures),
                bench(piece.length, figures),
                piece.count.to_string(),
                (u64::from(piece.count) * u64::from(quantity)).to_string(),
            ])
        })
        .collect()
}

/// Fittings to fetch: name, for one, for all.
pub fn fittings(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let quantity = u64::from(sheet.manifold.quantity);
    let fittings = sheet.checked.takeoff.fittings.iter();
    fittings
        .map(|(fitting, count)| {
            let all = u64::from(*count) * quantity;
            json!([
                sheet.figures().written(fitting.call_out()),
                count.to_string(),
                all.to_string()
            ])
        })
        .collect()
}

/// Lines to scribe: name, clock, arc, the other way round, outlets. None when there is only the
/// first.
pub fn lines(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let lines = &sheet.checked.takeoff.layout.lines;
    let turned = |clock: f64| clock.abs() > 0.05;
    if !lines.iter().any(|line| turned(line.clock.in_degrees())) {
        return Vec::new();
    }
    lines
        .iter()
        .enumerate()
        .map(|(place, line)| {
            let numbers: Vec<usize> = line.outlets.iter().map(|outlet| outlet + 1).collect();
            json!([
                format!("L{}", place + 1),
                sheet.figures().written(degrees(line.clock)),
                bench(line.arc, sheet.figures()),
                bench(line.other_way, sheet.figures()),
                ranges(&numbers),
            ])
        })
        .collect()
}

/// Every outlet in order: number, station, line, clock, arc, pilot, piece.
pub fn holes(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let (manifold, figures) = (sheet.manifold, sheet.figures());
    let layout = &sheet.checked.takeoff.layout;
    let run = &manifold.run.tube;
    let outlets = manifold.outlets.iter().enumerate();
    outlets
        .map(|(index, outlet)| {
            let line = layout
                .lines
                .iter()
                .position(|line| line.outlets.contains(&index));
            let pilot = layout.holes.get(index).and_then(|hole| hole.diameter);
            json!([
                (index + 1).to_string(),
                bench(outlet.station, figures),
                settled(line.map(|place| format!("L{}", place + 1))),
                figures.written(degrees(outlet.clock)),
                bench(run.outer_radius() * outlet.clock.in_radians(), figures),
                settled(pilot.map(|pilot| fine(pilot, figures))),
                settled(branch_mark(manifold, layout, index).map(str::to_owned)),
            ])
        })
        .collect()
}

/// Branch ends made alike: outlets, tube, stub, pilot, collar, notch, first and second dimple.
pub fn branch_ends(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let figures = sheet.figures();
    let mut kinds: Vec<(Vec<String>, Vec<usize>)> = Vec::new();
    let outlets = sheet.manifold.outlets.iter().enumerate();
    for (index, outlet) in outlets {
        let Some(formed) = sheet.checked.takeoff.layout.formed.get(index) else {
            continue;
        };
        let cells = vec![
            figures.written(outlet.tube.call_out()),
            bench(outlet.stub, figures),
            settled(formed.collar.map(|collar| fine(collar.pilot, figures))),
            settled(formed.collar.map(|collar| fine(collar.height, figures))),
            settled(formed.notch.map(|notch| fine(notch, figures))),
            fine(formed.dimples.first, figures),
            fine(formed.dimples.second, figures),
        ];
        match kinds.iter_mut().find(|(known, _)| *known == cells) {
            Some((_, numbers)) => numbers.push(index + 1),
            None => kinds.push((cells, vec![index + 1])),
        }
    }
    kinds
        .into_iter()
        .map(|(cells, numbers)| {
            let row: Vec<String> = std::iter::once(ranges(&numbers)).chain(cells).collect();
            json!(row)
        })
        .collect()
}

fn small_mass(it: Mass, figures: FigureStyle) -> String {
    figures.written(match figures.units {
        Units::Imperial => format!("{:.3} oz", it.in_ounces()),
        Units::Metric => format!("{:.2} g", it.in_grams()),
    })
}

/// Joints: where, tube, for one, filler that fills the gap of each, of all of one manifold.
pub fn joints(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let joints = sheet.checked.takeoff.joints.iter();
    joints
        .map(|joints| {
            let place = match joints.place {
                JointPlace::Collar => "collar",
                JointPlace::Cup => "cup",
            };
            let all = joints.fill.mass * f64::from(joints.count);
            json!([
                place,
                sheet.figures().written(joints.tube.call_out()),
                joints.count.to_string(),
                small_mass(joints.fill.mass, sheet.figures()),
                small_mass(all, sheet.figures()),
            ])
        })
        .collect()
}
