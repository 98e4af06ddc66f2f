//! `outlet-pitch`, `outlet-overlap`, `end-distance`: whether outlets stand clear of each other
//! and of the ends.

use std::collections::BTreeMap;

use super::Subject;
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::fitting::centre_to_stop;
use crate::trade::forming::{FormedSize, FormingProfile};
use crate::trade::layout::tee_gap;
use crate::trade::manifold::{Build, EndKind, Outlet};
use crate::trade::quantity::{Length, bench_inches};
use crate::trade::source::Basis;

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    match subject.manifold.build {
        Build::FormedOutlets => {
            formed_neighbours(subject, findings);
            formed_ends(subject, findings);
        }
        Build::TeesBrazed | Build::TeesSoldered => tees(subject, findings),
        Build::Purchased => {}
    }
}

/// Keeps the worst finding of each rule and row, so that sixty tight outlets do not say it sixty
/// times. A stop is worse than any caution; of one level, the one shortest of its limit is worse.
#[derive(Default)]
struct Worst(BTreeMap<(Rule, usize), Near>);

/// The worst so far of one rule and row.
struct Near {
    level: Level,
    slack: f64,
    finding: Finding,
}

impl Worst {
    /// Keeps what `make` says of a measure against its limit, if nothing worse is known.
    fn push(
        &mut self,
        (rule, row, level): (Rule, usize, Level),
        (measured, limit): (Length, Length),
        make: impl FnOnce(Length, Length) -> Finding,
    ) {
        let slack = measured / limit;
        let known = self.0.get(&(rule, row));
        let is_worse = known.is_none_or(|known| {
            level > known.level || (level == known.level && slack < known.slack)
        });
        if is_worse {
            let finding = make(measured, limit);
            self.0.insert(
                (rule, row),
                Near {
                    level,
                    slack,
                    finding,
                },
            );
        }
    }

    fn into_findings(self) -> impl Iterator<Item = Finding> {
        self.0.into_values().map(|near| near.finding)
    }
}

/// Distance between two outlet centres over the outside of the run.
fn over_surface(radius: Length, a: &Outlet, b: &Outlet) -> Length {
    let turn = (a.clock - b.clock).in_degrees().rem_euclid(360.0);
    let turn = turn.min(360.0 - turn).to_radians();
    let along = (a.station - b.station).in_metres();
    let around = radius.in_metres() * turn;
    Length::metres(along.hypot(around))
}

fn formed_neighbours(subject: &Subject, findings: &mut Vec<Finding>) {
    let run = &subject.manifold.run.tube;
    let profile = &subject.rules.forming;
    let outlets = &subject.manifold.outlets;
    let reach = |outlet: &Outlet| outlet.tube.outer_radius() + profile.gap + run.wall;
    let widest = outlets.iter().map(reach).fold(Length::ZERO, Length::max);
    let entered = outlets.iter().filter_map(|it| least_pitch(subject, it));
    let look = entered
        .map(|(least, _)| least)
        .fold(widest * (2.0 * profile.pitch_factor.max(1.0)), Length::max);
    let mut worst = Worst::default();
    for (index, a) in outlets.iter().enumerate() {
        for b in outlets[index + 1..]
            .iter()
            .take_while(|b| b.station - a.station <= look)
        {
            let apart = over_surface(run.outer_radius(), a, b);
            neighbours(subject, (a, b), (apart, reach(a) + reach(b)), &mut worst);
        }
    }
    findings.extend(worst.into_findings());
}

/// Judges two outlets by how far apart they stand and at what distance their collars would touch.
fn neighbours(
    subject: &Subject,
    (a, b): (&Outlet, &Outlet),
    (apart, touching): (Length, Length),
    worst: &mut Worst,
) {
    let profile = &subject.rules.forming;
    if apart < touching {
        worst.push(
            (Rule::OutletOverlap, b.row, Level::Stop),
            (apart, touching),
            |apart, touching| overlap(b.row, apart, touching),
        );
        return;
    }
    let entered = [least_pitch(subject, a), least_pitch(subject, b)];
    if let Some((least, size)) = entered.into_iter().flatten().fold(None, greater) {
        if apart < least {
            worst.push(
                (Rule::OutletPitch, b.row, Level::Stop),
                (apart, least),
                |apart, least| below_least_pitch(subject, (b.row, size), apart, least),
            );
        }
        return;
    }
    let wanted = ((a.tube.od + b.tube.od) / 2.0 + profile.gap * 2.0) * profile.pitch_factor;
    if apart < wanted {
        worst.push(
            (Rule::OutletPitch, b.row, Level::Caution),
            (apart, wanted),
            |apart, wanted| tight_pitch(subject, b.row, apart, wanted),
        );
    }
}

/// The least pitch that the shop has entered for an outlet's size.
fn least_pitch<'a>(subject: &'a Subject, outlet: &Outlet) -> Option<(Length, &'a FormedSize)> {
    let profile = &subject.rules.forming;
    let size = profile.size(&subject.manifold.run.tube, &outlet.tube)?;
    size.least_pitch.map(|least| (least, size))
}

fn greater<'a>(
    known: Option<(Length, &'a FormedSize)>,
    next: (Length, &'a FormedSize),
) -> Option<(Length, &'a FormedSize)> {
    match known {
        Some(known) if known.0 >= next.0 => Some(known),
        _ => Some(next),
    }
}

fn below_least_pitch(
    subject: &Subject,
    (row, size): (usize, &FormedSize),
    apart: Length,
    least: Length,
) -> Finding {
    Finding::new(
        Rule::OutletPitch,
        Level::Stop,
        format!("/outlets/{row}"),
        subject.rules.forming.basis_of(size, "least pitch"),
        format!(
            "two outlets stand {} in apart; the equipment needs {} in",
            bench_inches(apart),
            bench_inches(least)
        ),
    )
    .against(apart, least)
    .remedy("widen the pitch, turn one of them about the run, or build it up from tees")
}

fn overlap(row: usize, apart: Length, touching: Length) -> Finding {
    Finding::new(
        Rule::OutletOverlap,
        Level::Stop,
        format!("/outlets/{row}"),
        Basis::common_practice("two collars cannot share the same wall (geometry)"),
        format!(
            "two outlets stand {} in apart over the surface of the run; their collars meet at {} in",
            bench_inches(apart),
            bench_inches(touching)
        ),
    )
    .against(apart, touching)
    .remedy("move them apart or turn one of them about the run")
}

fn tight_pitch(subject: &Subject, row: usize, apart: Length, wanted: Length) -> Finding {
    let profile = &subject.rules.forming;
    Finding::new(
        Rule::OutletPitch,
        Level::Caution,
        format!("/outlets/{row}"),
        profile.basis(&format!(
            "centre distance at least {} times the mean of two openings (the built-in factor is 1.5, analogue: ASME B31.3-2016 304.3.3(e)); no code gives a pitch for collars",
            profile.pitch_factor
        )),
        format!(
            "two outlets stand {} in apart; {} in is wanted so that the wall between them is left undisturbed",
            bench_inches(apart),
            bench_inches(wanted)
        ),
    )
    .against(apart, wanted)
    .remedy("widen the pitch, or enter the least pitch that your own equipment has proved")
}

/// What an outlet needs towards an end of the run, to its centre.
struct EndNeed<'a> {
    /// So that the collar stands clear of the end, or of a cup over it.
    touching: Length,
    /// What the profile asks.
    wanted: Length,
    /// The size whose own end distance that is, where the shop has entered one.
    proved: Option<&'a FormedSize>,
}

impl<'a> EndNeed<'a> {
    fn of(subject: &'a Subject, outlet: &Outlet, taken: Length) -> Self {
        let run = &subject.manifold.run.tube;
        let profile = &subject.rules.forming;
        let touching = taken + outlet.tube.outer_radius() + profile.gap + run.wall;
        let entered = profile
            .size(run, &outlet.tube)
            .and_then(|size| size.least_end.map(|least| (least, size)));
        let general = taken + (outlet.tube.od + profile.gap * 2.0) * profile.end_factor;
        Self {
            touching,
            wanted: touching.max(entered.map_or(general, |(least, _)| least)),
            proved: entered.map(|(_, size)| size),
        }
    }

    /// How a distance weighs against it, and the limit it misses; `None` when it is enough. What the
    /// shop has entered for its own equipment is no matter of opinion.
    fn missed(&self, distance: Length) -> Option<(Level, Length)> {
        if distance >= self.wanted {
            None
        } else if self.proved.is_some() {
            Some((Level::Stop, self.wanted))
        } else if distance < self.touching {
            Some((Level::Stop, self.touching))
        } else {
            Some((Level::Caution, self.wanted))
        }
    }

    fn basis(&self, profile: &FormingProfile) -> Basis {
        match self.proved {
            Some(size) => profile.basis_of(size, "least end distance"),
            None => profile.basis("end distance: half of the pitch rule, clear of the cup of a cap (stand-in; no code gives one)"),
        }
    }
}

fn formed_ends(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let run = &manifold.run.tube;
    let profile = &subject.rules.forming;
    let cup = subject
        .catalogue
        .cup(run.nominal)
        .map_or(run.od, |cup| cup.depth);
    let mut worst = Worst::default();
    for outlet in &manifold.outlets {
        for (end, distance) in [outlet.station, manifold.run.length - outlet.station]
            .into_iter()
            .enumerate()
        {
            let taken = match manifold.run.ends[end] {
                EndKind::Plain => Length::ZERO,
                EndKind::Cap | EndKind::Coupling => cup,
            };
            let need = EndNeed::of(subject, outlet, taken);
            let Some((level, limit)) = need.missed(distance) else {
                continue;
            };
            worst.push(
                (Rule::EndDistance, outlet.row, level),
                (distance, limit),
                |distance, limit| {
                    let basis = need.basis(profile);
                    end_finding(level, outlet.row, basis, (distance, limit))
                },
            );
        }
    }
    findings.extend(worst.into_findings());
}

fn end_finding(
    level: Level,
    row: usize,
    basis: Basis,
    (distance, limit): (Length, Length),
) -> Finding {
    Finding::new(
        Rule::EndDistance,
        level,
        format!("/outlets/{row}"),
        basis,
        format!(
            "an outlet stands {} in from the end of the run; {} in is wanted",
            bench_inches(distance),
            bench_inches(limit)
        ),
    )
    .against(distance, limit)
    .remedy("lengthen the run beyond the outlet, or enter the end distance that your own equipment needs")
}

fn tee_basis() -> Basis {
    Basis::common_practice(
        "tees need their own length (stand-in: half the other leg's diameter + 1/16 in from centre to stop; makers differ)",
    )
}

fn tees(subject: &Subject, findings: &mut Vec<Finding>) {
    let run = &subject.manifold.run.tube;
    let cup = subject.catalogue.cup(run.nominal);
    let cup = cup.map_or(Length::ZERO, |cup| cup.depth);
    let mut worst = Worst::default();
    tee_neighbours(subject, cup, &mut worst);
    tee_ends(subject, cup, &mut worst);
    findings.extend(worst.into_findings());
}

fn tee_neighbours(subject: &Subject, cup: Length, worst: &mut Worst) {
    let cups = cup * 2.0;
    for pair in subject.manifold.outlets.windows(2) {
        if tee_gap(&pair[0], &pair[1]).is_some_and(|gap| gap >= cups) {
            continue;
        }
        let needed = centre_to_stop(&pair[0].tube) + centre_to_stop(&pair[1].tube) + cups;
        let apart = pair[1].station - pair[0].station;
        let row = pair[1].row;
        worst.push(
            (Rule::OutletOverlap, row, Level::Stop),
            (apart, needed),
            |apart, needed| {
                let detail = format!(
                    "two tees would stand {} in apart; with tube in both cups they need {} in",
                    bench_inches(apart),
                    bench_inches(needed)
                );
                let pointer = format!("/outlets/{row}");
                Finding::new(
                    Rule::OutletOverlap,
                    Level::Stop,
                    pointer,
                    tee_basis(),
                    detail,
                )
                .against(apart, needed)
                .remedy("widen the pitch, or form the outlets from the run")
            },
        );
    }
}

fn tee_ends(subject: &Subject, cup: Length, worst: &mut Worst) {
    let run = &subject.manifold.run;
    for outlet in &subject.manifold.outlets {
        let distances = [outlet.station, run.length - outlet.station];
        for (end, distance) in run.ends.iter().zip(distances) {
            let closed = if *end == EndKind::Plain {
                Length::ZERO
            } else {
                cup
            };
            let needed = centre_to_stop(&outlet.tube) + cup + closed;
            if distance < needed {
                worst.push(
                    (Rule::EndDistance, outlet.row, Level::Stop),
                    (distance, needed),
                    |distance, needed| {
                        end_finding(Level::Stop, outlet.row, tee_basis(), (distance, needed))
                    },
                );
            }
        }
    }
}
