//! One header: its ports, its tees, and the heads along it.

use super::friction::Bore;
use super::slope::{Slope, derivative};
use super::tee::{LegHeads, Pattern, Tee};
use crate::trade::quantity::{FlowRate, Length};

/// Lengths of tube that lose as much as a tee, when losses are counted so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TeeLengths {
    /// To the branch, in the branch's tube.
    pub branch: Length,
    /// Straight on, in the run's tube.
    pub run: Length,
}

/// One outlet on the header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Offtake {
    /// Where it stands.
    pub station: Length,
    /// Its loss factors.
    pub tee: Tee,
    /// Bore of its branch.
    pub branch: Bore,
    /// Its lengths, when losses are counted so.
    pub lengths: Option<TeeLengths>,
}

/// A header with its ports, where it is fed or drawn from, and its offtakes, each by station.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Its bore.
    pub bore: Bore,
    /// Where water comes in, or for a return header goes out.
    pub ports: Vec<Length>,
    /// Its outlets, in order.
    pub offtakes: Vec<Offtake>,
}

/// Water along one stretch of a header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    /// Where it begins.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Flow towards the second end.
    pub flow: FlowRate,
    /// Total head where it begins, against the first port.
    pub head_from: Length,
    /// Total head where it ends.
    pub head_to: Length,
}

/// Water at one outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AtOfftake {
    /// Flow arriving from the first end's side.
    pub along: FlowRate,
    /// Flow leaving by the branch.
    pub leaving: FlowRate,
    /// Total head before it, against the first port.
    pub before: Length,
    /// Total head after it.
    pub after: Length,
    /// Total head in the branch leg.
    pub branch: Length,
    /// How the flows meet.
    pub pattern: Pattern,
}

/// Heads and flows along a header, against its first port.
#[derive(Debug, Clone)]
pub(super) struct Walked {
    /// Total head in each branch leg, m.
    pub branches: Vec<Slope>,
    /// Total head at each port, m.
    pub ports: Vec<Slope>,
    /// Every stretch between ports and outlets.
    pub stretches: Vec<Stretch>,
    /// Every outlet.
    pub offtakes: Vec<AtOfftake>,
}

enum Stop {
    Port(usize),
    Offtake(usize),
}

impl Line {
    /// Walks from the first end to the second. `leaving` are the flows out by the branches and
    /// `entering` those in by the ports, in m3/s; together they balance. `reach` is a flow small
    /// against those that matter, for derivatives.
    pub fn walk(&self, leaving: &[Slope], entering: &[Slope], reach: f64) -> Walked {
        let unknowns = leaving.first().map_or(0, |slope| slope.by.len());
        let mut walk = Walk {
            line: self,
            reach,
            flow: Slope::constant(0.0, unknowns),
            head: Slope::constant(0.0, unknowns),
            place: Length::ZERO,
            walked: Walked {
                branches: Vec::with_capacity(self.offtakes.len()),
                ports: vec![Slope::constant(0.0, unknowns); self.ports.len()],
                stretches: Vec::new(),
                offtakes: Vec::with_capacity(self.offtakes.len()),
            },
        };
        for (station, stop) in self.stops() {
            walk.go_to(station);
            match stop {
                Stop::Port(port) => {
                    walk.walked.ports[port] = walk.head.clone();
                    walk.flow.add(&entering[port], 1.0);
                }
                Stop::Offtake(outlet) => walk.pass(&self.offtakes[outlet], &leaving[outlet]),
            }
        }
        walk.walked.against_first_port()
    }

    fn stops(&self) -> Vec<(Length, Stop)> {
        let ports = self.ports.iter().enumerate();
        let offtakes = self.offtakes.iter().enumerate();
        let mut stops: Vec<(Length, Stop)> = ports
            .map(|(place, station)| (*station, Stop::Port(place)))
            .chain(offtakes.map(|(place, it)| (it.station, Stop::Offtake(place))))
            .collect();
        stops.sort_by(|a, b| a.0.in_metres().total_cmp(&b.0.in_metres()));
        stops
    }
}

struct Walk<'a> {
    line: &'a Line,
    reach: f64,
    /// Flow towards the second end here, m3/s.
    flow: Slope,
    /// Total head here, m.
    head: Slope,
    place: Length,
    walked: Walked,
}

impl Walk<'_> {
    fn go_to(&mut self, station: Length) {
        let length = station - self.place;
        let from = self.place;
        self.place = station;
        if length <= Length::ZERO {
            return;
        }
        let bore = self.line.bore;
        let loss = |flow: f64| {
            bore.darcy_loss(FlowRate::cubic_metres_per_second(flow), length)
                .in_metres()
        };
        let head_from = Length::metres(self.head.value);
        let slope = derivative(self.flow.value, self.reach, loss);
        self.head
            .add_function(-loss(self.flow.value), -slope, &self.flow);
        self.walked.stretches.push(Stretch {
            from,
            to: station,
            flow: FlowRate::cubic_metres_per_second(self.flow.value),
            head_from,
            head_to: Length::metres(self.head.value),
        });
    }

    fn pass(&mut self, offtake: &Offtake, leaving: &Slope) {
        let bore = self.line.bore;
        let heads = |along: f64, leaving: f64| {
            let flow = FlowRate::cubic_metres_per_second;
            offtake.heads(&bore, flow(along), flow(leaving))
        };
        let (along, out) = (self.flow.value, leaving.value);
        let here = heads(along, out);
        let reach = self.reach;
        let by = |leg: fn(&LegHeads) -> Length| {
            let leg = |heads: LegHeads| leg(&heads).in_metres();
            (
                derivative(along, reach, |along| leg(heads(along, out))),
                derivative(out, reach, |out| leg(heads(along, out))),
            )
        };
        let before = Length::metres(self.head.value);
        let add = |target: &mut Slope, leg: Length, (d_along, d_out): (f64, f64), sign: f64| {
            target.add_function(sign * leg.in_metres(), sign * d_along, &self.flow);
            target.add_function(0.0, sign * d_out, leaving);
        };
        add(&mut self.head, here.before, by(|heads| heads.before), -1.0);
        let mut branch = self.head.clone();
        add(&mut branch, here.branch, by(|heads| heads.branch), 1.0);
        add(&mut self.head, here.after, by(|heads| heads.after), 1.0);
        self.walked.offtakes.push(AtOfftake {
            along: FlowRate::cubic_metres_per_second(along),
            leaving: FlowRate::cubic_metres_per_second(out),
            before,
            after: Length::metres(self.head.value),
            branch: Length::metres(branch.value),
            pattern: here.pattern,
        });
        self.walked.branches.push(branch);
        self.flow.add(leaving, -1.0);
    }
}

impl Offtake {
    fn heads(&self, run: &Bore, along: FlowRate, leaving: FlowRate) -> LegHeads {
        let by_factors = self.tee.heads(run, along, leaving);
        let Some(lengths) = self.lengths else {
            return by_factors;
        };
        LegHeads {
            before: Length::ZERO,
            after: -run.darcy_loss(along - leaving, lengths.run),
            branch: -self.branch.darcy_loss(leaving, lengths.branch),
            pattern: by_factors.pattern,
        }
    }
}

impl Walked {
    fn against_first_port(mut self) -> Self {
        let Some(zero) = self.ports.first().cloned() else {
            return self;
        };
        for slope in self.branches.iter_mut().chain(&mut self.ports) {
            slope.add(&zero, -1.0);
        }
        let datum = Length::metres(zero.value);
        for stretch in &mut self.stretches {
            stretch.head_from = stretch.head_from - datum;
            stretch.head_to = stretch.head_to - datum;
        }
        for offtake in &mut self.offtakes {
            offtake.before = offtake.before - datum;
            offtake.after = offtake.after - datum;
            offtake.branch = offtake.branch - datum;
        }
        self
    }
}
