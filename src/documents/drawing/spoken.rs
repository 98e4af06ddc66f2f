//! The drawing in words: its title, its heading, its description.

use super::dimension::{bench, degrees, fine, ranges, unit};
use super::figure_style::FigureStyle;
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
pub fn heading(manifold: &Manifold, figures: FigureStyle) -> Vec<String> {
    let run = &manifold.run;
    let unit = unit(figures.units);
    let [first, second] = run.ends.map(words::end);
    let pressure = figures.pressure(manifold.design_pressure);
    let temperature = match figures.units {
        Units::Imperial => format!("{:.0} °F", manifold.design_temperature.in_fahrenheit()),
        Units::Metric => format!("{:.0} °C", manifold.design_temperature.in_celsius()),
    };
    let mut lines = vec![
        format!("Make {}: {}", manifold.quantity, manifold.build.spoken()),
        format!(
            "Run: {}, {}, {}; outside {}, wall {} {unit}",
            figures.written(run.tube.call_out()),
            run.tube.standard.name(),
            run.temper.word(),
            fine(run.tube.od, figures),
            fine(run.tube.wall, figures),
        ),
        format!("Overall length: {} {unit}", bench(run.length, figures)),
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
fn said(length: Length, figures: FigureStyle) -> String {
    match figures.units {
        Units::Imperial => format!("{} in", bench_inches(length)),
        Units::Metric => format!("{} mm", bench(length, figures)),
    }
}

/// What the picture shows, for those who cannot see it.
pub fn description(manifold: &Manifold, layout: &Layout, figures: FigureStyle) -> String {
    let run = &manifold.run;
    let [first, second] = run.ends.map(words::end);
    let count = manifold.outlets.len();
    let noun = if count == 1 { "outlet" } else { "outlets" };
    let mut text = format!(
        "Side view and end view of manifold {}: a run of {} tube, {} long, first end (datum): {first}, second end: {second}, with {count} {noun}.",
        manifold.mark,
        figures.written(run.tube.call_out()),
        said(run.length, figures),
    );
    for (numbers, like, stations) in kinds(manifold, figures) {
        let noun = if numbers.len() == 1 {
            "Outlet"
        } else {
            "Outlets"
        };
        text.push_str(&format!(
            " {noun} {}: {like}; from the datum: {}.",
            ranges(&numbers),
            figures.listed(&stations)
        ));
    }
    for coupling in &layout.couplings {
        text.push_str(&format!(
            " A coupling joins the run at {}.",
            said(coupling.station, figures)
        ));
    }
    text
}

/// Which stretch of the run a sheet of several shows; stations in inches.
pub fn part((from, to): (f64, f64), figures: FigureStyle) -> String {
    let [from, to] = [from, to].map(|station| said(Length::inches(station), figures));
    format!("This sheet shows the run from {from} to {to}.")
}

/// Outlets alike: their numbers, what they are, their stations.
fn kinds(manifold: &Manifold, figures: FigureStyle) -> Vec<(Vec<usize>, String, Vec<String>)> {
    let mut kinds: Vec<(Vec<usize>, String, Vec<String>)> = Vec::new();
    for (index, outlet) in manifold.outlets.iter().enumerate() {
        let like = format!(
            "{} tube, clock {}, stub {}",
            figures.written(outlet.tube.call_out()),
            figures.written(degrees(outlet.clock)),
            said(outlet.stub, figures)
        );
        let station = said(outlet.station, figures);
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
