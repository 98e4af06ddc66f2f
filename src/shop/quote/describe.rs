//! A manifold in words, for schedules and quotes.

use crate::shop::settings::{DecimalMark, Shop, Units};
use crate::trade::check::Checked;
use crate::trade::finding::Level;
use crate::trade::manifold::{Build, EndKind, Manifold};
use crate::trade::quantity::{Length, Pressure, Temperature, bench_inches};
use crate::trade::tube::Tube;

/// Most stations that are shown one by one.
pub(super) const STATIONS_SHOWN: usize = 12;

/// What is offered, in a sentence or two a fitter understands.
pub fn description(manifold: &Manifold, shop: &Shop) -> String {
    let outlets: Vec<String> = outlet_sizes(manifold, shop)
        .into_iter()
        .map(|(size, count)| format!("{count} x {size}"))
        .collect();
    format!(
        "Manifold of {} copper tube, {} long, with outlets {}; {}.",
        size(&manifold.run.tube, shop),
        length(manifold.run.length, shop.units),
        outlets.join(" and "),
        manifold.build.spoken()
    )
}

/// Facts beside the drawing: what, and how much.
pub fn particulars(manifold: &Manifold, checked: &Checked, shop: &Shop) -> Vec<(String, String)> {
    let mut facts = vec![
        ("Service", manifold.service.spoken().to_owned()),
        (
            "Design",
            format!(
                "{} at {}",
                in_shop_units(manifold.design_pressure, shop),
                temperature(manifold.design_temperature, shop.units)
            ),
        ),
        (
            "Run",
            format!(
                "{}, {}, {}",
                size(&manifold.run.tube, shop),
                manifold.run.temper.word(),
                length(manifold.run.length, shop.units)
            ),
        ),
        (
            "Ends",
            format!(
                "{} / {}",
                end_word(manifold.run.ends[0]),
                end_word(manifold.run.ends[1])
            ),
        ),
        ("Stations", stations(manifold, shop.units)),
    ];
    if manifold.build != Build::Purchased {
        facts.push((
            "Joints",
            format!(
                "{} {} with {}",
                checked.takeoff.joint_count(),
                manifold
                    .build
                    .joint_method()
                    .map_or("", |method| method.word()),
                manifold.filler.id
            ),
        ));
    }
    if let Some(rating) = &checked.rating {
        facts.push((
            "Rated pressure",
            format!(
                "{} (governed by the {})",
                in_shop_units(rating.pressure, shop),
                rating.governed_by.word()
            ),
        ));
    }
    facts.push(("Dry mass", mass_text(checked, shop)));
    facts
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value))
        .collect()
}

/// The cautions a buyer should read, with what to do about each; what holds of several rows of
/// outlets is said once.
pub fn cautions(checked: &Checked) -> Vec<String> {
    let mut cautions: Vec<String> = Vec::new();
    let found = checked.findings.iter();
    for finding in found.filter(|finding| finding.level == Level::Caution) {
        let text = format!("{}: {}.", capital(&finding.detail), finding.remedy);
        if !cautions.contains(&text) {
            cautions.push(text);
        }
    }
    cautions
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

fn outlet_sizes(manifold: &Manifold, shop: &Shop) -> Vec<(String, u32)> {
    let mut sizes: Vec<(String, u32)> = Vec::new();
    for outlet in &manifold.outlets {
        let size = size(&outlet.tube, shop);
        match sizes.iter_mut().find(|(known, _)| *known == size) {
            Some((_, count)) => *count += 1,
            None => sizes.push((size, 1)),
        }
    }
    sizes
}

fn stations(manifold: &Manifold, units: Units) -> String {
    let all: Vec<String> = manifold
        .outlets
        .iter()
        .take(STATIONS_SHOWN)
        .map(|outlet| match units {
            Units::Imperial => bench_inches(outlet.station),
            Units::Metric => format!("{:.0}", outlet.station.in_millimetres()),
        })
        .collect();
    let unit = match units {
        Units::Imperial => "in",
        Units::Metric => "mm",
    };
    let more = manifold.outlets.len().saturating_sub(STATIONS_SHOWN);
    let rest = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("{} {unit}{rest} from the first end", all.join(", "))
}

/// What closes an end, in a word.
pub(super) const fn end_word(end: EndKind) -> &'static str {
    match end {
        EndKind::Plain => "plain",
        EndKind::Cap => "capped",
        EndKind::Coupling => "coupling",
    }
}

/// A length as a tape is read.
pub(super) fn length(length: Length, units: Units) -> String {
    match units {
        Units::Imperial => format!("{} in", bench_inches(length)),
        Units::Metric => format!("{:.0} mm", length.in_millimetres()),
    }
}

/// A tube as the trade calls it.
pub(super) fn size(tube: &Tube, shop: &Shop) -> String {
    shop.style.decimal_mark.written(tube.call_out())
}

pub(super) fn in_shop_units(it: Pressure, shop: &Shop) -> String {
    pressure(it, shop.units, shop.style.decimal_mark)
}

/// A pressure as papers name it, drawings on them too: `75 psi`, `5.2 bar`.
pub fn pressure(pressure: Pressure, units: Units, mark: DecimalMark) -> String {
    mark.written(match units {
        Units::Imperial => format!("{:.0} psi", pressure.in_psi()),
        Units::Metric => format!("{:.1} bar", pressure.in_bar()),
    })
}

fn temperature(temperature: Temperature, units: Units) -> String {
    match units {
        Units::Imperial => format!("{:.0} °F", temperature.in_fahrenheit()),
        Units::Metric => format!("{:.0} °C", temperature.in_celsius()),
    }
}

fn mass_text(checked: &Checked, shop: &Shop) -> String {
    let mass = checked.takeoff.mass;
    shop.style.decimal_mark.written(match shop.units {
        Units::Imperial => format!("about {:.1} lb", mass.in_pounds()),
        Units::Metric => format!("about {:.1} kg", mass.in_kilograms()),
    })
}
