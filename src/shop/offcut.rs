//! The offcut rack: what is left of sticks, and what may be done with it.

use std::fmt;

use super::cut_plan::CutLength;
use crate::trade::tube::Temper;

/// Where an offcut stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OffcutState {
    /// On the rack, free.
    Available,
    /// On the rack, kept for a job.
    Reserved,
    /// Off the rack: cut up, or at the bench.
    Taken,
}

impl OffcutState {
    /// Every state.
    pub const ALL: [Self; 3] = [Self::Available, Self::Reserved, Self::Taken];

    /// The word of the interface.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Available => "available",
            Self::Reserved => "reserved",
            Self::Taken => "taken",
        }
    }
}

/// What is done with an offcut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OffcutMove {
    /// Keep it for a job.
    Reserve {
        /// The job.
        job: String,
    },
    /// Take it off the rack.
    Take {
        /// The job; that which it is reserved for when left out.
        job: Option<String>,
    },
    /// Put it back, free for anybody.
    Return {
        /// What is left of it, when something was cut off.
        length: Option<CutLength>,
    },
}

impl OffcutMove {
    /// The verb of the interface.
    pub const fn verb(&self) -> &'static str {
        match self {
            Self::Reserve { .. } => "reserve",
            Self::Take { .. } => "take",
            Self::Return { .. } => "return",
        }
    }
}

/// What changes as an offcut is moved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffcutStanding {
    /// Where it stands.
    pub state: OffcutState,
    /// The job it is reserved or taken for.
    pub job: Option<String>,
    /// Its length.
    pub length: CutLength,
}

/// A move that cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WrongOffcutMove {
    /// Not from this state.
    State {
        /// Where it stands.
        from: OffcutStanding,
        /// What was tried.
        verb: &'static str,
    },
    /// It is kept for another job.
    OtherJob(String),
    /// It is not reserved, and no job is named to take it for.
    NoJob,
    /// What is put back is longer than what was taken, or nothing at all.
    Length {
        /// What was taken.
        was: CutLength,
        /// What is said to be put back.
        given: CutLength,
    },
    /// It was not taken, so that nothing can have been cut off.
    Uncut,
}

impl fmt::Display for WrongOffcutMove {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::State { from, verb } => {
                let job = from.job.as_deref();
                let held = job.map_or_else(String::new, |job| format!(" for {job:?}"));
                let moves = match from.state {
                    OffcutState::Available => "reserve or take it",
                    OffcutState::Reserved => "take it for that job, or return it",
                    OffcutState::Taken => "return what is left of it",
                };
                let state = from.state.word();
                write!(f, "The offcut is {state}{held}: it cannot be moved by `{verb}`. From here one can {moves}.")
            }
            Self::OtherJob(job) => write!(
                f,
                "The offcut is reserved for {job:?}. Take another, or return this one first."
            ),
            Self::NoJob => f.write_str(
                "The offcut is not reserved; say in `for` which job it is taken for.",
            ),
            Self::Length { was, given } => write!(
                f,
                "The offcut was {was} long when it was taken, and {given} is put back; give a length above nothing and at most that, and add any other piece by itself."
            ),
            Self::Uncut => f.write_str(
                "The offcut was reserved, not taken, so nothing was cut off it; return it without `length`.",
            ),
        }
    }
}

impl std::error::Error for WrongOffcutMove {}

impl OffcutStanding {
    /// On the rack, free.
    pub const fn on_the_rack(length: CutLength) -> Self {
        Self {
            state: OffcutState::Available,
            job: None,
            length,
        }
    }

    /// Where it stands after a move.
    ///
    /// # Errors
    /// Why it cannot be made; the text says what can.
    pub fn after(&self, made: &OffcutMove) -> Result<Self, WrongOffcutMove> {
        let to = |state, job: &str| Self {
            state,
            job: Some(job.to_owned()),
            length: self.length,
        };
        match (self.state, made) {
            (OffcutState::Available, OffcutMove::Reserve { job }) => {
                Ok(to(OffcutState::Reserved, job))
            }
            (OffcutState::Available, OffcutMove::Take { job }) => {
                let job = job.as_ref().ok_or(WrongOffcutMove::NoJob)?;
                Ok(to(OffcutState::Taken, job))
            }
            (OffcutState::Reserved, OffcutMove::Take { job }) => {
                let held = self.job.clone().unwrap_or_default();
                match job {
                    Some(job) if *job != held => Err(WrongOffcutMove::OtherJob(held)),
                    _ => Ok(to(OffcutState::Taken, &held)),
                }
            }
            (OffcutState::Reserved, OffcutMove::Return { length }) => match length {
                Some(length) if *length != self.length => Err(WrongOffcutMove::Uncut),
                _ => Ok(Self::on_the_rack(self.length)),
            },
            (OffcutState::Taken, OffcutMove::Return { length }) => {
                let given = length.unwrap_or(self.length);
                if given <= CutLength::ZERO || given > self.length {
                    let was = self.length;
                    return Err(WrongOffcutMove::Length { was, given });
                }
                Ok(Self::on_the_rack(given))
            }
            _ => Err(WrongOffcutMove::State {
                from: self.clone(),
                verb: made.verb(),
            }),
        }
    }
}

/// An offcut as it is put on the rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewOffcut {
    /// Id of its tube.
    pub tube: String,
    /// Its temper.
    pub temper: Temper,
    /// Its length.
    pub length: CutLength,
    /// What is written on it; may be empty.
    pub label: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reserve(job: &str) -> OffcutMove {
        OffcutMove::Reserve {
            job: job.to_owned(),
        }
    }

    fn take(job: Option<&str>) -> OffcutMove {
        OffcutMove::Take {
            job: job.map(str::to_owned),
        }
    }

    const BACK: OffcutMove = OffcutMove::Return { length: None };

    #[test]
    fn an_offcut_is_reserved_taken_and_comes_back_shorter() {
        let long = CutLength::tenth_millimetres(9_000);
        let rack = OffcutStanding::on_the_rack(long);
        let held = rack.after(&reserve("J-1")).unwrap();
        let taken = held.after(&take(None)).unwrap();
        assert_eq!(taken.job.as_deref(), Some("J-1"));
        let short = CutLength::tenth_millimetres(4_000);
        let back = taken.after(&OffcutMove::Return {
            length: Some(short),
        });
        assert_eq!(back, Ok(OffcutStanding::on_the_rack(short)));
        assert_eq!(held.after(&BACK), Ok(rack));
    }

    #[test]
    fn what_cannot_be_done_says_why() {
        let rack = OffcutStanding::on_the_rack(CutLength::FOOT);
        let held = rack.after(&reserve("J-1")).unwrap();
        let taken = held.after(&take(Some("J-1"))).unwrap();
        assert_eq!(rack.after(&take(None)), Err(WrongOffcutMove::NoJob));
        let other = held.after(&take(Some("J-2")));
        assert_eq!(other, Err(WrongOffcutMove::OtherJob("J-1".to_owned())));
        for (from, made) in [
            (&rack, BACK),
            (&held, reserve("J-1")),
            (&taken, reserve("J-2")),
            (&taken, take(Some("J-1"))),
        ] {
            let refused = from.after(&made);
            assert!(
                matches!(refused, Err(WrongOffcutMove::State { .. })),
                "{made:?}"
            );
        }
        let cut = Some(CutLength::tenth_millimetres(10));
        let uncut = held.after(&OffcutMove::Return { length: cut });
        assert_eq!(uncut, Err(WrongOffcutMove::Uncut));
        for length in [CutLength::ZERO, CutLength::METRE] {
            let refused = taken.after(&OffcutMove::Return {
                length: Some(length),
            });
            assert!(matches!(refused, Err(WrongOffcutMove::Length { .. })));
        }
    }
}
