//! From a design as written to a manifold with every outlet at its station.

use std::sync::Arc;

use super::{Design, DesignFault, MOST_OUTLETS, Manifold, Outlet, OutletRow, Run};
use crate::trade::catalogue::Catalogue;
use crate::trade::quantity::{Length, bench_inches};

/// Two ways of giving one length may differ by this much before they disagree.
const AGREEMENT: Length = Length::millimetres(0.05);

impl Manifold {
    /// Resolves a design: stations from rows, the run's length from its ends, the filler.
    ///
    /// # Errors
    /// Every fault of the design at once, each with a pointer into it.
    pub fn resolve(design: Design, catalogue: &Catalogue) -> Result<Self, Vec<DesignFault>> {
        let mut faults = Vec::new();
        let outlets = place_outlets(&design, &mut faults);
        let length = run_length(&design, &outlets, &mut faults);
        if let Some(length) = length {
            outlets_on_run(&outlets, length, &mut faults);
        }
        faults.extend(design.filler_wire.and_then(wire_fault));
        let filler = match &design.filler {
            Some(filler) => Some(Arc::clone(filler)),
            None => catalogue.filler(design.build.usual_filler()).cloned(),
        };
        let (Some(length), Some(filler), true) = (length, filler, faults.is_empty()) else {
            return Err(faults);
        };
        Ok(Self {
            mark: design.mark,
            quantity: design.quantity,
            service: design.service,
            design_pressure: design.design_pressure,
            design_temperature: design.design_temperature,
            build: design.build,
            run: Run {
                tube: design.run.tube,
                temper: design.run.temper,
                ends: design.run.ends.map(|end| end.kind),
                joins: design.run.ends.map(|end| end.joins),
                length,
            },
            outlets,
            filler,
            filler_assumed: design.filler.is_none(),
            filler_wire: design.filler_wire,
            conditions: design.conditions,
            supply: design.supply,
        })
    }
}

fn fault(pointer: impl Into<String>, code: &'static str, detail: impl Into<String>) -> DesignFault {
    DesignFault {
        pointer: pointer.into(),
        code,
        detail: detail.into(),
    }
}

/// Thinnest and thickest wire or rod that fillers are sold as (common practice).
const WIRES: (Length, Length) = (Length::inches(0.02), Length::inches(0.25));

fn wire_fault(diameter: Length) -> Option<DesignFault> {
    (diameter < WIRES.0 || diameter > WIRES.1).then(|| {
        fault(
            "/filler_wire",
            "out_of_range",
            format!(
                "wire of {:.4} in is not sold as filler; give its diameter, from 0.02 to 0.25 in",
                diameter.in_inches()
            ),
        )
    })
}

fn place_outlets(design: &Design, faults: &mut Vec<DesignFault>) -> Vec<Outlet> {
    if design.outlets.is_empty() {
        faults.push(fault(
            "/outlets",
            "no_outlets",
            "there are no outlets; give at least one row",
        ));
    }
    let total: u64 = design
        .outlets
        .iter()
        .map(|row| u64::from(row.count.unwrap_or(1)))
        .sum();
    if total > MOST_OUTLETS as u64 {
        faults.push(fault(
            "/outlets",
            "too_many_outlets",
            format!("{total} outlets in all; one manifold may have {MOST_OUTLETS}. Split it into several"),
        ));
        return Vec::new();
    }
    let mut placed: Vec<Outlet> = design
        .outlets
        .iter()
        .enumerate()
        .flat_map(|(row, outlet)| place_row(design, row, outlet, faults))
        .collect();
    placed.sort_by(|a, b| {
        a.station
            .in_metres()
            .total_cmp(&b.station.in_metres())
            .then_with(|| a.clock.in_radians().total_cmp(&b.clock.in_radians()))
            .then_with(|| a.row.cmp(&b.row))
    });
    placed
}

fn place_row(
    design: &Design,
    row: usize,
    outlet: &OutletRow,
    faults: &mut Vec<DesignFault>,
) -> Vec<Outlet> {
    let before = faults.len();
    judge_placing(row, outlet, faults);
    let given = outlet.station.or(outlet.first);
    let Some(first) = given.or_else(|| default_first(design, row)) else {
        faults.push(fault(
            format!("/outlets/{row}/first"),
            "missing_field",
            "say where the row begins: \"station\" for one outlet, \"first\" for a row, or \"beyond\" on the run's first end",
        ));
        return Vec::new();
    };
    if let (0, Some(beyond), Some(given)) = (row, design.run.ends[0].beyond, given)
        && (beyond - given).abs() > AGREEMENT
    {
        faults.push(fault(
            "/run/ends/0/beyond",
            "conflicting_lengths",
            format!(
                "the first end stands {} in beyond the first outlet here, but that outlet's row says {} in; give one of them",
                bench_inches(beyond),
                bench_inches(given)
            ),
        ));
    }
    if faults.len() > before {
        return Vec::new();
    }
    let pitch = outlet.pitch.unwrap_or(Length::ZERO);
    (0..outlet.count.unwrap_or(1))
        .map(|place| Outlet {
            row,
            tube: Arc::clone(&outlet.tube),
            station: first + pitch * f64::from(place),
            clock: outlet.clock,
            stub: outlet.stub,
            flow: outlet.flow,
            duty: outlet.duty.clone(),
            collar: outlet.collar,
            joins: outlet.joins,
        })
        .collect()
}

/// A row is one outlet at a station, or several from a first one at a pitch; not both.
fn judge_placing(row: usize, outlet: &OutletRow, faults: &mut Vec<DesignFault>) {
    let at = |field: &str| format!("/outlets/{row}/{field}");
    let count = outlet.count.unwrap_or(1);
    if outlet.station.is_none() {
        if count > 1 && outlet.pitch.is_none() {
            faults.push(fault(
                at("pitch"),
                "missing_field",
                format!(
                    "{count} outlets need a \"pitch\" from centre to centre, for example \"5 in\""
                ),
            ));
        }
        return;
    }
    for (given, field) in [
        (outlet.count.is_some(), "count"),
        (outlet.first.is_some(), "first"),
        (outlet.pitch.is_some(), "pitch"),
    ] {
        if given {
            faults.push(fault(
                at(field),
                "conflicting_fields",
                format!("\"station\" places one outlet; leave out \"{field}\", or give count, first and pitch instead"),
            ));
        }
    }
}

/// The first row may take its place from what the first end says.
fn default_first(design: &Design, row: usize) -> Option<Length> {
    (row == 0).then_some(design.run.ends[0].beyond).flatten()
}

fn run_length(
    design: &Design,
    outlets: &[Outlet],
    faults: &mut Vec<DesignFault>,
) -> Option<Length> {
    let last = outlets.last().map(|outlet| outlet.station);
    let from_end = last
        .zip(design.run.ends[1].beyond)
        .map(|(last, beyond)| last + beyond);
    match (design.run.length, from_end) {
        (Some(given), Some(derived)) if (given - derived).abs() > AGREEMENT => {
            faults.push(fault(
                "/run/length",
                "conflicting_lengths",
                format!(
                    "the run is {} in long here, but the last outlet and \"beyond\" of the second end make it {} in; give one of them",
                    bench_inches(given),
                    bench_inches(derived)
                ),
            ));
            None
        }
        (Some(given), _) => Some(given),
        (None, Some(derived)) => Some(derived),
        (None, None) if outlets.is_empty() => None,
        (None, None) => {
            faults.push(fault(
                "/run/length",
                "missing_field",
                "give the run's \"length\", or \"beyond\" on its second end: the tube past the centre of the last outlet",
            ));
            None
        }
    }
}

fn outlets_on_run(outlets: &[Outlet], length: Length, faults: &mut Vec<DesignFault>) {
    let mut reported = None;
    for outlet in outlets {
        let on_run = outlet.station > Length::ZERO && outlet.station < length;
        if !on_run && reported != Some(outlet.row) {
            reported = Some(outlet.row);
            faults.push(fault(
                format!("/outlets/{}", outlet.row),
                "outlet_off_run",
                format!(
                    "an outlet of this row stands at {} in, but the run ends at {} in; lengthen the run or move the outlet",
                    bench_inches(outlet.station),
                    bench_inches(length)
                ),
            ));
        }
    }
}
