//! The split: how much water each outlet gets.
//!
//! Unknowns are the flows of the outlets, those of all ports but the first of each header, and the
//! head when the flow is given. Newton's method with a shortened step; where no step helps, damped
//! least squares (Levenberg and Marquardt) goes on. Both stop after a fixed number of steps, and
//! the residual says how far they came.

use nalgebra::{DMatrix, DVector};

use super::case::{Case, Driven};
use super::line::Walked;
use super::slope::{Slope, derivative};
use crate::trade::quantity::{FlowRate, Length};

/// Most steps of the solver from one first guess.
const MOST_STEPS: u32 = 60;
/// A solution whose heads close within this part of the driving head.
const CLOSES: f64 = 1e-9;

/// How a split was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Every flow was given.
    Given,
    /// Newton's method.
    Newton,
    /// Newton's method helped by damped least squares.
    DampedLeastSquares,
}

/// A split.
#[derive(Debug, Clone)]
pub struct Solution {
    /// Flow of each outlet, in the order of the manifold.
    pub flows: Vec<FlowRate>,
    /// Total head between the feed and the discharge or the return's outlet: the given one, or what
    /// the given flow needs.
    pub head: Length,
    /// Steps taken.
    pub iterations: u32,
    /// Largest head that does not close.
    pub residual: Length,
    /// The heads close.
    pub converged: bool,
    /// How it was found.
    pub method: Method,
    pub(super) supply: Walked,
    pub(super) back: Option<Walked>,
}

/// Where the unknowns stand.
struct Places {
    outlets: usize,
    supply_ports: usize,
    return_ports: usize,
    /// Place of the head, when it is unknown.
    head: Option<usize>,
    count: usize,
}

impl Places {
    fn of(case: &Case) -> Self {
        let outlets = case.branches.len();
        let supply_ports = case.supply.ports.len() - 1;
        let return_ports = case.back.as_ref().map_or(0, |back| back.ports.len() - 1);
        let flows = outlets + supply_ports + return_ports;
        let free = case.fixed.iter().any(|fixed| !fixed);
        let head = (matches!(case.driven, Driven::Flow(_)) && free).then_some(flows);
        Self {
            outlets,
            supply_ports,
            return_ports,
            head,
            count: flows + usize::from(head.is_some()),
        }
    }
}

/// The network at one guess: what does not close, and how that changes.
struct At {
    miss: DVector<f64>,
    jacobian: DMatrix<f64>,
    supply: Walked,
    back: Option<Walked>,
}

/// Parts of the flow that the ports but the first are first guessed to take, against an even share.
/// Where water meets inside a header the equations have kinks, and a start near the answer helps.
const FIRST_GUESSES: [f64; 7] = [1.0, 0.8, 1.2, 0.6, 1.4, 0.9, 1.1];

/// Finds the split of a case.
pub fn solve(case: &Case) -> Solution {
    let places = Places::of(case);
    let guesses = match places.supply_ports + places.return_ports {
        0 => &FIRST_GUESSES[..1],
        _ => &FIRST_GUESSES[..],
    };
    let network = Network::new(case, places);
    let mut best = network.search(guesses[0], 0);
    for ports in &guesses[1..] {
        if best.converged {
            break;
        }
        let other = network.search(*ports, best.iterations);
        if other.residual < best.residual {
            best = other;
        } else {
            best.iterations = other.iterations;
        }
    }
    best
}

struct Network<'a> {
    case: &'a Case,
    places: Places,
    flow_scale: f64,
    head_scale: f64,
}

impl<'a> Network<'a> {
    fn new(case: &'a Case, places: Places) -> Self {
        let mut network = Self {
            case,
            places,
            flow_scale: 1e-4,
            head_scale: 1.0,
        };
        let head = match case.driven {
            Driven::Head(head) => head,
            Driven::Flow(_) => 1.0,
        };
        let alone = network.alone(head.max(1e-6));
        let mean = alone.iter().sum::<f64>() / alone.len().max(1) as f64;
        match case.driven {
            Driven::Head(head) => {
                network.head_scale = head.max(1e-6);
                network.flow_scale = mean.max(1e-9);
            }
            Driven::Flow(flow) => {
                network.flow_scale = (flow / alone.len().max(1) as f64).max(1e-9);
                network.head_scale = (network.flow_scale / mean.max(1e-12)).powi(2).max(1e-6);
            }
        }
        network
    }

    /// Steps from a first guess until the heads close or nothing helps; `taken` steps were taken
    /// before.
    fn search(&self, ports: f64, taken: u32) -> Solution {
        let mut guess = self.start(ports);
        let mut at = self.at(&guess);
        let mut steps = 0;
        let mut method = Method::Newton;
        let mut damping = 1e-3;
        while steps < MOST_STEPS && at.miss.amax() > CLOSES * self.head_scale {
            steps += 1;
            let next = self.newton(&guess, &at).or_else(|| {
                method = Method::DampedLeastSquares;
                self.damped(&guess, &at, &mut damping)
            });
            let Some((better, there)) = next else { break };
            guess = better;
            at = there;
        }
        self.finish(&guess, at, taken + steps, method)
    }

    /// Flows of the outlets as if each stood alone under a head.
    fn alone(&self, head: f64) -> Vec<f64> {
        let outlets = self.case.branches.iter().zip(&self.case.wanted);
        outlets
            .zip(&self.case.fixed)
            .map(|((branch, wanted), fixed)| match (fixed, wanted) {
                (true, Some(wanted)) => wanted.in_cubic_metres_per_second(),
                _ => {
                    let mut flow = branch.bore.area().in_square_metres();
                    for _ in 0..8 {
                        // The header's tee costs about one velocity head more.
                        let at = FlowRate::cubic_metres_per_second(flow);
                        let loss = branch.loss(at) + branch.bore.velocity_head(at);
                        flow *= (head / loss.in_metres().max(1e-12)).sqrt();
                    }
                    flow
                }
            })
            .collect()
    }

    fn start(&self, ports: f64) -> DVector<f64> {
        let mut flows = self.alone(self.head_scale * 0.8);
        if let Driven::Flow(total) = self.case.driven {
            let pairs = || flows.iter().zip(&self.case.fixed);
            let fixed: f64 = pairs().filter(|it| *it.1).map(|it| it.0).sum();
            let free: f64 = pairs().filter(|it| !*it.1).map(|it| it.0).sum();
            let factor = (total - fixed) / free.max(1e-12);
            let scaled = flows.iter().zip(&self.case.fixed);
            flows = scaled
                .map(|(flow, fixed)| if *fixed { *flow } else { flow * factor })
                .collect();
        }
        let total: f64 = flows.iter().sum();
        let places = &self.places;
        let even = |others: usize| ports * total / (others as f64 + 1.0);
        let mut guess = flows;
        guess.extend(std::iter::repeat_n(
            even(places.supply_ports),
            places.supply_ports,
        ));
        guess.extend(std::iter::repeat_n(
            even(places.return_ports),
            places.return_ports,
        ));
        guess.extend(places.head.map(|_| self.head_scale));
        DVector::from_vec(guess)
    }

    /// Flows leaving a header by its branches, and entering by its ports; `sign` is -1 for a
    /// return header, into which the branches flow.
    fn flows(
        &self,
        guess: &DVector<f64>,
        sign: f64,
        (from, ports): (usize, usize),
    ) -> (Vec<Slope>, Vec<Slope>) {
        let count = self.places.count;
        let leaving: Vec<Slope> = (0..self.places.outlets)
            .map(|place| Slope::unknown(guess[place], place, sign, count))
            .collect();
        let others: Vec<Slope> = (from..from + ports)
            .map(|place| Slope::unknown(guess[place], place, sign, count))
            .collect();
        let mut balance = Slope::constant(0.0, count);
        for slope in &leaving {
            balance.add(slope, 1.0);
        }
        for slope in &others {
            balance.add(slope, -1.0);
        }
        let entering = std::iter::once(balance).chain(others).collect();
        (leaving, entering)
    }

    fn at(&self, guess: &DVector<f64>) -> At {
        let places = &self.places;
        let reach = self.flow_scale * 1e-5;
        let (leaving, entering) = self.flows(guess, 1.0, (places.outlets, places.supply_ports));
        let supply = self.case.supply.walk(&leaving, &entering, reach);
        let back = self.case.back.as_ref().map(|line| {
            let from = places.outlets + places.supply_ports;
            let (leaving, entering) = self.flows(guess, -1.0, (from, places.return_ports));
            line.walk(&leaving, &entering, reach)
        });
        let mut rows: Vec<Slope> = (0..places.outlets)
            .map(|outlet| self.outlet_row(guess, outlet, &supply, back.as_ref(), reach))
            .collect();
        rows.extend(supply.ports.iter().skip(1).cloned());
        rows.extend(back.iter().flat_map(|it| it.ports.iter().skip(1).cloned()));
        if let (Some(_), Driven::Flow(total)) = (places.head, self.case.driven) {
            rows.push(self.total_row(&leaving, total));
        }
        let count = places.count;
        At {
            miss: DVector::from_iterator(count, rows.iter().map(|row| row.value)),
            jacobian: DMatrix::from_row_iterator(
                count,
                count,
                rows.iter().flat_map(|row| row.by.iter().copied()),
            ),
            supply,
            back,
        }
    }

    /// Head to spare at an outlet, in metres; for a fixed flow, how far the guess is from it.
    fn outlet_row(
        &self,
        guess: &DVector<f64>,
        outlet: usize,
        supply: &Walked,
        back: Option<&Walked>,
        reach: f64,
    ) -> Slope {
        let count = self.places.count;
        let flow = Slope::unknown(guess[outlet], outlet, 1.0, count);
        if let (true, Some(wanted)) = (self.case.fixed[outlet], self.case.wanted[outlet]) {
            let weight = self.head_scale / self.flow_scale;
            let mut row = Slope::constant(-wanted.in_cubic_metres_per_second() * weight, count);
            row.add(&flow, weight);
            return row;
        }
        let mut row = match (self.places.head, self.case.driven) {
            (Some(place), _) => Slope::unknown(guess[place], place, 1.0, count),
            (None, Driven::Head(head)) => Slope::constant(head, count),
            (None, Driven::Flow(_)) => Slope::constant(0.0, count),
        };
        row.add(&supply.branches[outlet], 1.0);
        if let Some(back) = back {
            row.add(&back.branches[outlet], -1.0);
        }
        let branch = &self.case.branches[outlet];
        let loss = |flow: f64| {
            branch
                .loss(FlowRate::cubic_metres_per_second(flow))
                .in_metres()
        };
        let slope = derivative(flow.value, reach, loss);
        row.add_function(-loss(flow.value), -slope, &flow);
        row
    }

    fn total_row(&self, leaving: &[Slope], total: f64) -> Slope {
        let weight = self.head_scale / self.flow_scale;
        let mut row = Slope::constant(-total * weight, self.places.count);
        for flow in leaving {
            row.add(flow, weight);
        }
        row
    }

    /// Newton's step, shortened until it helps; `None` when no length of it does.
    fn newton(&self, guess: &DVector<f64>, at: &At) -> Option<(DVector<f64>, At)> {
        let step = at.jacobian.clone().lu().solve(&at.miss)?;
        let now = at.miss.norm();
        (0..12).find_map(|halvings| {
            let length = 0.5_f64.powi(halvings);
            let tried = guess - &step * length;
            let there = self.at(&tried);
            let helps = there.miss.norm() < now * (1.0 - 1e-4 * length);
            helps.then_some((tried, there))
        })
    }

    /// A step between Newton's and the steepest descent, shorter with more damping.
    fn damped(
        &self,
        guess: &DVector<f64>,
        at: &At,
        damping: &mut f64,
    ) -> Option<(DVector<f64>, At)> {
        let transposed = at.jacobian.transpose();
        let normal = &transposed * &at.jacobian;
        let pull = &transposed * &at.miss;
        for _ in 0..30 {
            let mut damped = normal.clone();
            for place in 0..self.places.count {
                damped[(place, place)] += *damping * normal[(place, place)].max(1e-30);
            }
            if let Some(step) = damped.lu().solve(&pull) {
                let tried = guess - step;
                let there = self.at(&tried);
                if there.miss.norm() < at.miss.norm() {
                    *damping *= 0.2;
                    return Some((tried, there));
                }
            }
            *damping *= 4.0;
        }
        None
    }

    fn finish(&self, guess: &DVector<f64>, at: At, steps: u32, method: Method) -> Solution {
        let flows: Vec<FlowRate> = guess
            .iter()
            .take(self.places.outlets)
            .map(|flow| FlowRate::cubic_metres_per_second(*flow))
            .collect();
        let head = match (self.places.head, self.case.driven) {
            (Some(place), _) => guess[place],
            (None, Driven::Head(head)) => head,
            (None, Driven::Flow(_)) => self.needed(&flows, &at),
        };
        let residual = at.miss.amax();
        Solution {
            head: Length::metres(head),
            iterations: steps,
            residual: Length::metres(residual),
            converged: residual <= CLOSES * self.head_scale,
            method: if steps == 0 { Method::Given } else { method },
            flows,
            supply: at.supply,
            back: at.back,
        }
    }

    /// The head that carries given flows to the outlet that needs most.
    fn needed(&self, flows: &[FlowRate], at: &At) -> f64 {
        let outlets = self.case.branches.iter().zip(flows).enumerate();
        outlets
            .map(|(place, (branch, flow))| {
                let back = at
                    .back
                    .as_ref()
                    .map_or(0.0, |back| back.branches[place].value);
                branch.loss(*flow).in_metres() + back - at.supply.branches[place].value
            })
            .fold(0.0, f64::max)
    }
}
