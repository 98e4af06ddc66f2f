//! What the template is given, as text that can be printed and lengths in millimetres.

use serde_json::{Value, json};

use super::{BenchSheet, strip, tables, template};
use crate::documents::drawing::{FigureStyle, bench, fine, sheets, unit};
use crate::documents::typst_world::{date_parts, showable};
use crate::shop::settings::{Paper, Units};
use crate::trade::body::Body;
use crate::trade::check::Verdict;
use crate::trade::filler::FillerFamily;
use crate::trade::finding::Level;
use crate::trade::growth;
use crate::trade::joint::JointMethod;
use crate::trade::manifold::Build;
use crate::trade::quantity::{Mass, Pressure, Temperature};
use crate::trade::service::Service;
use crate::trade::support::{Direction, SupportBasis, supports};

/// Height of the first page's drawing, in drawing units: what a title leaves of the page.
const FIRST_SHEET: f64 = 850.0;
/// Height of every other.
const OTHER_SHEETS: f64 = 940.0;

/// The data of a sheet.
pub fn of(sheet: &BenchSheet<'_>) -> Value {
    let manifold = sheet.manifold;
    let layout = &sheet.checked.takeoff.layout;
    let drawings: Vec<Value> = sheets(
        manifold,
        layout,
        sheet.figures(),
        (FIRST_SHEET, OTHER_SHEETS),
    )
    .into_iter()
    .map(|drawing| json!({ "svg": showable(&drawing.svg).0, "alt": drawing.description }))
    .collect();
    json!({
        "paper": match sheet.paper { Paper::Letter => "us-letter", Paper::A4 => "a4" },
        "units": match sheet.units { Units::Imperial => "imperial", Units::Metric => "metric" },
        "unit": unit(sheet.units),
        "shop": showable(sheet.shop).0,
        "mark": showable(&manifold.mark).0,
        "quantity": manifold.quantity.to_string(),
        "date": date_parts(sheet.printed_on),
        "rules": sheet.rules.name,
        "fire_watch": sheet.rules.fire_watch_minutes.to_string(),
        "stopped": sheet.checked.verdict == Verdict::NotBuildable,
        "drawings": drawings,
        "cuts": tables::cuts(sheet),
        "fittings": tables::fittings(sheet),
        "lines": tables::lines(sheet),
        "holes": tables::holes(sheet),
        "ends": tables::branch_ends(sheet),
        "joints": tables::joints(sheet),
        "notes": notes(sheet),
        "filler": if manifold.build == Build::Purchased { Value::Null } else { json!(manifold.filler.id) },
        "handling": handling(sheet),
        "test": test(sheet),
        "cautions": cautions(sheet),
        "strips": strip::strips(sheet),
        "templates": template::templates(sheet),
    })
}

/// Keys of the notes on joining that concern this manifold, in the order of the work.
fn notes(sheet: &BenchSheet<'_>) -> Vec<&'static str> {
    let manifold = sheet.manifold;
    let Some(method) = manifold.build.joint_method() else {
        return vec!["bought"];
    };
    let mut notes = Vec::new();
    if manifold.build == Build::FormedOutlets {
        notes.extend(["collar", "sample"]);
    }
    notes.push("clean");
    notes.push(match (method, manifold.filler.family) {
        (JointMethod::Soldered, _) => "flux_solder",
        (JointMethod::Brazed, FillerFamily::CopperPhosphorus) => "no_flux",
        (JointMethod::Brazed, _) => "flux_braze",
    });
    match method {
        JointMethod::Brazed => notes.extend(["gap_braze", "heat_braze"]),
        JointMethod::Soldered => notes.push("heat_solder"),
    }
    if manifold.service == Service::MedicalGas {
        notes.push("purge");
    }
    if manifold.service.is_potable() {
        notes.push("lead_free");
    }
    notes.push("open");
    notes.push("wash");
    notes
}

/// A mass for people.
pub fn mass(it: Mass, figures: FigureStyle) -> String {
    figures.written(match figures.units {
        Units::Imperial => format!("{:.1} lb", it.in_pounds()),
        Units::Metric => format!("{:.1} kg", it.in_kilograms()),
    })
}

/// A temperature for people.
fn temperature(it: Temperature, units: Units) -> String {
    match units {
        Units::Imperial => format!("{:.0} °F", it.in_fahrenheit()),
        Units::Metric => format!("{:.0} °C", it.in_celsius()),
    }
}

/// Rows of label (by the key of its word) and value.
fn handling(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let (manifold, units, figures) = (sheet.manifold, sheet.units, sheet.figures());
    let body = Body::of(manifold, sheet.catalogue, &sheet.checked.takeoff);
    let unit = unit(units);
    let over_all = |(from, to)| bench(to - from, figures);
    let centre = body.centre_dry;
    let mut rows = vec![
        json!([
            "mass",
            format!(
                "{} dry, {} filled with water",
                mass(body.dry, figures),
                mass(body.filled, figures)
            )
        ]),
        json!([
            "centre",
            format!(
                "{} {unit} from the datum end; {} {unit} above the axis, {} {unit} to its right",
                bench(centre.along, figures),
                fine(centre.up, figures),
                fine(centre.right, figures)
            )
        ]),
        json!([
            "box",
            format!(
                "{} long, {} high, {} wide, {unit}",
                over_all(body.envelope.along),
                over_all(body.envelope.up),
                over_all(body.envelope.right)
            )
        ]),
    ];
    rows.extend(held(sheet));
    let grown = growth::growth(
        manifold.run.length,
        growth::USUAL_FIXING,
        manifold.design_temperature,
    );
    rows.push(json!([
        "growth",
        format!(
            "{} {unit} from {} to {}",
            fine(grown, figures),
            temperature(growth::USUAL_FIXING, units),
            temperature(manifold.design_temperature, units)
        )
    ]));
    rows
}

/// Where the run is held, by the text of the rule set.
fn held(sheet: &BenchSheet<'_>) -> Option<Value> {
    let (figures, unit) = (sheet.figures(), unit(sheet.units));
    let wanted = (
        Direction::Horizontal,
        Some(SupportBasis::of(sheet.rules.support)),
    );
    let layout = &sheet.checked.takeoff.layout;
    let found = supports(sheet.manifold, layout, sheet.catalogue, wanted)?;
    let places: Vec<String> = found
        .places
        .iter()
        .map(|place| bench(*place, figures))
        .collect();
    let clear = if found.clear {
        "clear of the outlets"
    } else {
        "NOT all clear of the outlets: find room"
    };
    Some(json!([
        "supports",
        format!(
            "at {} {unit}, {clear}; at most {} {unit} apart ({}, {})",
            places.join("; "),
            bench(found.spacing.most, figures),
            found.spacing.source.cite,
            found.spacing.source.status.word().replace('_', " ")
        )
    ]))
}

/// A test pressure: never rounded down.
fn at_least(it: Pressure, figures: FigureStyle) -> String {
    figures.written(format!(
        "{:.0} psi ({:.1} bar)",
        (it.in_psi() - 0.01).ceil(),
        (it.in_bar() * 10.0 - 0.01).ceil() / 10.0
    ))
}

/// A limit: never rounded up.
fn at_most(it: Pressure, figures: FigureStyle) -> String {
    figures.written(format!(
        "{:.0} psi ({:.1} bar)",
        (it.in_psi() + 0.01).floor(),
        (it.in_bar() * 10.0 + 0.01).floor() / 10.0
    ))
}

fn test(sheet: &BenchSheet<'_>) -> Value {
    let manifold = sheet.manifold;
    if manifold.service == Service::Drainage {
        return json!({ "pressure": null, "basis": null, "limit": null });
    }
    let chosen = sheet.rules.test_pressure;
    let found = chosen.test_pressure(manifold.service, manifold.design_pressure);
    let limit = sheet
        .checked
        .rating
        .map(|rating| at_most(rating.cold, sheet.figures()));
    json!({ "pressure": at_least(found.pressure, sheet.figures()), "basis": found.basis.cite, "limit": limit })
}

/// What the check found beyond notes, stops first.
fn cautions(sheet: &BenchSheet<'_>) -> Vec<Value> {
    let mut found: Vec<_> = sheet
        .checked
        .findings
        .iter()
        .filter(|finding| finding.level > Level::Note)
        .collect();
    found.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    let mut told: Vec<Value> = Vec::new();
    for finding in found {
        let caution = json!({
            "level": finding.level.word(),
            "text": sentence(&showable(&finding.detail).0),
            "remedy": sentence(&showable(&finding.remedy).0),
        });
        // Outlets of two rows may be told the same.
        if !told.contains(&caution) {
            told.push(caution);
        }
    }
    told
}

/// The text with a capital letter.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}
