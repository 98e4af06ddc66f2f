//! The drawing in words: its title, its heading, its description.

use super::dimension::{bench, degrees, fine, ranges, unit};
use crate::documents::words::drawing as words;
use crate::shop::settings::Units;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;
use crate::trade::quantity::{Length, bench_inches};

/// The name of the picture.
pub fn title(manifold: &Manifold) -> String {
    format!("Manifold {}", manifold.mark)
}

/// Lines beside the end view.
pub fn heading(manifold: &Manifold, units: Units) -> Vec<String> {
    let run = &manifold.run;
    let unit = unit(units);
    let [first, second] = run.ends.map(words::end);
    let pressure = match units {
        Units::Imperial => format!("{:.0} psi", manifold.design_pressure.in_psi()),
        Units::Metric => format!("{:.0} kPa", manifold.design_pressure.in_kilopascals()),
    };
    let temperature = match units {
        Units::Imperial => format!("{:.0} °F", manifold.design_temperature.in_fahrenheit()),
        Units::Metric => format!("{:.0} °C", manifold.design_temperature.in_celsius()),
    };
    let mut lines = vec![
        format!("Make {}: {}", manifold.quantity, manifold.build.spoken()),
        format!(
            "Run: {}, {}, {}; outside {}, wall {} {unit}",
            run.tube.call_out(),
            run.tube.standard.name(),
            run.temper.word(),
            fine(run.tube.od, units),
            fine(run.tube.wall, units),
        ),
        format!("Overall length: {} {unit}", bench(run.length, units)),
        format!("First end (datum): {first}; second end: {second}"),
        format!(
            "Outlets: {}; service: {}",
            manifold.outlets.len(),
            manifold.service.spoken()
        ),
        format!("Design: {pressure} gauge at {temperature}"),
    ];
    if manifold.build.joint_method().is_some() {
        lines.push(format!("Filler: {}", manifold.filler.id));
    }
    lines
}

/// A length as people say it: `4 1/2 in`, `114.3 mm`.
fn said(length: Length, units: Units) -> String {
    match units {
        Units::Imperial => format!("{} in", bench_inches(length)),
        Units::Metric => format!("{} mm", bench(length, units)),
    }
}

/// What the picture shows, for those who cannot see it.
pub fn description(manifold: &Manifold, layout: &Layout, units: Units) -> String {
    let run = &manifold.run;
    let [first, second] = run.ends.map(words::end);
    let count = manifold.outlets.len();
    let noun = if count == 1 { "outlet" } else { "outlets" };
    let mut text = format!(
        "Side view and end view of manifold {}: a run of {} tube, {} long, first end (datum): {first}, second end: {second}, with {count} {noun}.",
        manifold.mark,
        run.tube.call_out(),
        said(run.length, units),
    );
    for (numbers, like, stations) in kinds(manifold, units) {
        let noun = if numbers.len() == 1 {
            "Outlet"
        } else {
            "Outlets"
        };
        text.push_str(&format!(
            " {noun} {}: {like}; from the datum: {}.",
            ranges(&numbers),
            stations.join(", ")
        ));
    }
    for coupling in &layout.couplings {
        text.push_str(&format!(
            " A coupling joins the run at {}.",
            said(coupling.station, units)
        ));
    }
    text
}

/// Which stretch of the run a sheet of several shows; stations in inches.
pub fn part((from, to): (f64, f64), units: Units) -> String {
    let [from, to] = [from, to].map(|station| said(Length::inches(station), units));
    format!("This sheet shows the run from {from} to {to}.")
}

/// Outlets alike: their numbers, what they are, their stations.
fn kinds(manifold: &Manifold, units: Units) -> Vec<(Vec<usize>, String, Vec<String>)> {
    let mut kinds: Vec<(Vec<usize>, String, Vec<String>)> = Vec::new();
    for (index, outlet) in manifold.outlets.iter().enumerate() {
        let like = format!(
            "{} tube, clock {}, stub {}",
            outlet.tube.call_out(),
            degrees(outlet.clock),
            said(outlet.stub, units)
        );
        let station = said(outlet.station, units);
        match kinds.iter_mut().find(|(_, known, _)| *known == like) {
            Some((numbers, _, stations)) => {
                numbers.push(index + 1);
                stations.push(station);
            }
            None => kinds.push((vec![index + 1], like, vec![station])),
        }
    }
    kinds
}
