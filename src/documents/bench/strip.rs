//! Marking strips at true size: laid along the run (and round it), cut into rows that a page
//! holds, each row beginning a little before the last one ends.

use serde_json::{Value, json};

use super::BenchSheet;
use crate::documents::drawing::{FigureStyle, bench, degrees, unit};
use crate::shop::settings::Units;
use crate::trade::quantity::{Length, bench_inches};

/// Rows beyond this are not printed: a tape serves better.
const MOST_ROWS: usize = 240;

/// How strips are cut: between the beginnings of two rows, how far rows overlap, ticks.
#[derive(Debug, Clone, Copy)]
pub struct Cutting {
    /// From the beginning of a row to that of the next.
    pub step: Length,
    /// How far a row goes on beyond that.
    pub overlap: Length,
    /// Between ticks.
    tick: Length,
}

/// Both papers hold a row of 10 in or 250 mm lying down.
pub const fn cutting(units: Units) -> Cutting {
    match units {
        Units::Imperial => Cutting {
            step: Length::inches(9.5),
            overlap: Length::inches(0.5),
            tick: Length::inches(1.0),
        },
        Units::Metric => Cutting {
            step: Length::millimetres(240.0),
            overlap: Length::millimetres(10.0),
            tick: Length::millimetres(10.0),
        },
    }
}

/// Something to mark on a strip.
struct Mark {
    at: Length,
    label: String,
}

/// The strips of a manifold: along the run, and round it when outlets are turned.
pub fn strips(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let (manifold, figures) = (sheet.manifold, sheet.figures());
    let layout = &sheet.checked.takeoff.layout;
    let turned = layout
        .lines
        .iter()
        .any(|line| line.clock.in_degrees().abs() > 0.05);
    let outlets = manifold.outlets.iter().enumerate().map(|(index, outlet)| {
        let line = layout
            .lines
            .iter()
            .position(|line| line.outlets.contains(&index));
        let line = line
            .filter(|_| turned)
            .map_or(String::new(), |place| format!(" L{}", place + 1));
        Mark {
            at: outlet.station,
            label: format!("{}{line}: {}", index + 1, nearest(outlet.station, figures)),
        }
    });
    let couplings = layout.couplings.iter().map(|coupling| Mark {
        at: coupling.station,
        label: format!("coupling: {}", nearest(coupling.station, figures)),
    });
    let mut marks: Vec<Mark> = outlets.chain(couplings).collect();
    marks.sort_by(|a, b| a.at.in_metres().total_cmp(&b.at.in_metres()));
    let mut strips = vec![strip(
        "along",
        manifold.run.length,
        &gathered(marks),
        figures,
    )];
    if turned {
        let round = manifold.run.tube.od * std::f64::consts::PI;
        let lines = layout.lines.iter().enumerate().map(|(place, line)| Mark {
            at: line.arc,
            label: format!(
                "L{} {}: {}",
                place + 1,
                figures.written(degrees(line.clock)),
                nearest(line.arc, figures)
            ),
        });
        strips.push(strip("round", round, &lines.collect::<Vec<_>>(), figures));
    }
    strips
}

/// Marks at one place as one: their labels would stand on each other.
fn gathered(marks: Vec<Mark>) -> Vec<Mark> {
    let mut found: Vec<Mark> = Vec::new();
    for mark in marks {
        match found.last_mut() {
            Some(last) if (mark.at - last.at).abs() < Length::millimetres(0.05) => {
                let place = last.label.split(':').next().unwrap_or_default();
                last.label = format!("{place}, {}", mark.label);
            }
            _ => found.push(mark),
        }
    }
    found
}

fn nearest(length: Length, figures: FigureStyle) -> String {
    match figures.units {
        Units::Imperial => bench_inches(length),
        Units::Metric => bench(length, figures),
    }
}

fn strip(kind: &str, length: Length, marks: &[Mark], figures: FigureStyle) -> Value {
    let cutting = cutting(figures.units);
    // The last row begins before the end, and holds the end with room to spare.
    let wanted = ((length - cutting.overlap) / cutting.step).ceil().max(1.0) as usize;
    let rows: Vec<Value> = (0..wanted.min(MOST_ROWS))
        .map(|place| row(place, wanted, (length, marks), cutting))
        .collect();
    json!({
        "kind": kind,
        "length": format!("{} {}", nearest(length, figures), unit(figures.units)),
        "rows": if wanted > MOST_ROWS { Vec::new() } else { rows },
        "of": wanted,
    })
}

fn row(place: usize, of: usize, (length, marks): (Length, &[Mark]), cutting: Cutting) -> Value {
    let from = cutting.step * place as f64;
    let last = place + 1 == of;
    let to = if last {
        length
    } else {
        from + cutting.step + cutting.overlap
    };
    let slip = Length::millimetres(1e-6);
    let here = |at: &Length| *at >= from - slip && *at <= to + slip;
    let on_paper = |at: Length| (at - from).in_millimetres();
    let first_tick = (from / cutting.tick - 1e-9).ceil() as usize;
    let last_tick = (to / cutting.tick + 1e-9).floor() as usize;
    let ticks: Vec<f64> = (first_tick..=last_tick)
        .map(|tick| on_paper(cutting.tick * tick as f64))
        .collect();
    let shown: Vec<Value> = marks
        .iter()
        .filter(|mark| here(&mark.at))
        .map(|mark| json!({ "x": on_paper(mark.at), "label": mark.label }))
        .collect();
    let said: Vec<&str> = marks
        .iter()
        .filter(|mark| here(&mark.at))
        .map(|mark| mark.label.as_str())
        .collect();
    json!({
        "number": place + 1,
        "length": on_paper(to),
        "next": if last { Value::Null } else { json!(cutting.step.in_millimetres()) },
        "ticks": ticks,
        "marks": shown,
        "said": said.join("; "),
    })
}
