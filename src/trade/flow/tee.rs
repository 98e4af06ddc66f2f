//! Losses where a branch leaves or joins a run at a right angle.
//!
//! Form and figures: Crane Technical Paper 410, dividing and combining flow, on the velocity head
//! of the combined flow in the run (seen). No loss figure of a formed collar is openly published:
//! the tee's stands in, and every answer says so.

use crate::trade::quantity::{FlowRate, Length};

use super::friction::Bore;

/// From where the published branch factor of combining flow steps from 0.54 to 0.55 the step is
/// taken over this much of the flow share, so that a solution always exists.
const STEP: f64 = 2e-3;

/// Loss factors of one tee, by the ratio of branch area to run area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tee {
    area_ratio: f64,
}

impl Tee {
    /// A tee between two bores.
    pub fn new(run: &Bore, branch: &Bore) -> Self {
        let ratio = branch.diameter / run.diameter;
        Self {
            area_ratio: ratio * ratio,
        }
    }

    /// Dividing: from run to branch, `share` of the flow leaving by it.
    pub fn dividing_branch(&self, share: f64) -> f64 {
        let velocity_ratio = share / self.area_ratio;
        let narrow = self.area_ratio.sqrt() <= 2.0 / 3.0;
        let height = if narrow { 1.0 } else { 0.3 };
        let growth = if self.area_ratio <= 2.0 / 3.0 {
            1.0
        } else {
            1.0 + 0.3 * share * share
        };
        growth * (1.0 + height * velocity_ratio * velocity_ratio)
    }

    /// Dividing: straight on along the run, `share` of the flow leaving by the branch.
    pub fn dividing_run(&self, share: f64) -> f64 {
        let factor = if self.area_ratio <= 0.4 {
            0.4
        } else if share <= 0.5 {
            2.0 * (2.0 * share - 1.0)
        } else {
            0.3 * (2.0 * share - 1.0)
        };
        factor * share * share
    }

    /// Combining: from branch to run, `share` of the flow coming by it. Negative where the run
    /// drags the branch along.
    pub fn combining_branch(&self, share: f64) -> f64 {
        let velocity_ratio = share / self.area_ratio;
        let rest = 1.0 - share;
        let factor = if self.area_ratio <= 0.35 {
            1.0
        } else if share <= 0.4 {
            0.9 * rest
        } else {
            (0.54 + 0.01 * (share - 0.4) / STEP).min(0.55)
        };
        factor * (1.0 + velocity_ratio * velocity_ratio - 2.0 * rest * rest)
    }

    /// Combining: straight on along the run, `share` of the flow coming by the branch.
    pub fn combining_run(share: f64) -> f64 {
        1.55 * share - share * share
    }
}

/// How the flows meet in a tee.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pattern {
    /// Nothing flows.
    Still,
    /// One leg of the run feeds the branch and the other leg.
    Dividing,
    /// Branch and one leg of the run flow out by the other leg.
    Combining,
    /// Both legs of the run feed the branch. No published factor: the dividing branch with all
    /// flow leaving by it stands in.
    Meeting,
    /// The branch feeds both legs of the run. No published factor: the combining branch with all
    /// flow coming by it stands in.
    Splitting,
}

/// Total heads of the three legs, against that of the combined flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegHeads {
    /// The leg towards the first end.
    pub before: Length,
    /// The leg towards the second end.
    pub after: Length,
    /// The branch.
    pub branch: Length,
    /// How the flows meet.
    pub pattern: Pattern,
}

impl Tee {
    /// Heads of the legs when `along` comes from the first end and `leaving` goes out by the
    /// branch; either may be negative.
    pub fn heads(&self, run: &Bore, along: FlowRate, leaving: FlowRate) -> LegHeads {
        let rest = along - leaving;
        let zero = FlowRate::ZERO;
        if leaving >= zero {
            if along > zero && rest >= zero {
                self.divide(run, along, leaving)
            } else if along <= zero && rest < zero {
                self.divide(run, -rest, leaving).mirrored()
            } else if leaving > zero {
                self.meet(run, along, leaving)
            } else {
                LegHeads::STILL
            }
        } else if along >= zero && rest > zero {
            self.combine(run, rest, -leaving)
        } else if along < zero && rest <= zero {
            self.combine(run, -along, -leaving).mirrored()
        } else {
            self.split(run, rest, -leaving)
        }
    }

    fn divide(&self, run: &Bore, combined: FlowRate, leaving: FlowRate) -> LegHeads {
        let share = leaving / combined;
        let head = run.velocity_head(combined);
        LegHeads {
            before: Length::ZERO,
            after: -(head * self.dividing_run(share)),
            branch: -(head * self.dividing_branch(share)),
            pattern: Pattern::Dividing,
        }
    }

    fn combine(&self, run: &Bore, combined: FlowRate, joining: FlowRate) -> LegHeads {
        let share = joining / combined;
        let head = run.velocity_head(combined);
        LegHeads {
            before: head * Self::combining_run(share),
            after: Length::ZERO,
            branch: head * self.combining_branch(share),
            pattern: Pattern::Combining,
        }
    }

    /// Continuous with dividing flow from either side.
    fn meet(&self, run: &Bore, from_before: FlowRate, leaving: FlowRate) -> LegHeads {
        let head = run.velocity_head(leaving);
        let through = head * self.dividing_run(1.0);
        let part = from_before / leaving;
        LegHeads {
            before: -(through * (1.0 - part)),
            after: -(through * part),
            branch: -(head * self.dividing_branch(1.0)),
            pattern: Pattern::Meeting,
        }
    }

    /// Continuous with combining flow to either side.
    fn split(&self, run: &Bore, to_after: FlowRate, joining: FlowRate) -> LegHeads {
        let head = run.velocity_head(joining);
        let through = head * Self::combining_run(1.0);
        let part = to_after / joining;
        LegHeads {
            before: through * part,
            after: through * (1.0 - part),
            branch: head * self.combining_branch(1.0),
            pattern: Pattern::Splitting,
        }
    }
}

impl LegHeads {
    const STILL: Self = Self {
        before: Length::ZERO,
        after: Length::ZERO,
        branch: Length::ZERO,
        pattern: Pattern::Still,
    };

    fn mirrored(self) -> Self {
        Self {
            before: self.after,
            after: self.before,
            ..self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::flow::fluid::Fluid;
    use crate::trade::quantity::{Pressure, Temperature};

    #[test]
    fn legs_have_no_jump_where_a_flow_turns() {
        let water = Fluid::Water
            .at(Temperature::celsius(60.0), Pressure::bar(2.0))
            .unwrap();
        let run = Bore::new(Length::inches(2.0), &water);
        for branch in [0.75, 1.5, 1.9] {
            let tee = Tee::new(&run, &Bore::new(Length::inches(branch), &water));
            let flow = FlowRate::gallons_per_minute;
            for (along, leaving) in [(20.0, 20.0), (0.0, 20.0), (0.0, -20.0), (-20.0, -20.0)] {
                let tiny = 1e-7;
                let below = tee.heads(&run, flow(along - tiny), flow(leaving));
                let above = tee.heads(&run, flow(along + tiny), flow(leaving));
                for (a, b) in [
                    (below.before, above.before),
                    (below.after, above.after),
                    (below.branch, above.branch),
                ] {
                    assert!(
                        (a - b).abs() < Length::metres(1e-7),
                        "{branch} {along} {leaving}: {below:?} {above:?}"
                    );
                }
            }
        }
    }
}
