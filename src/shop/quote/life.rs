//! The life of a quote revision: which moves are allowed from which state.

use jiff::civil::Date;

/// Where a revision stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Being written.
    Draft,
    /// With the customer.
    Issued,
    /// Taken.
    Accepted,
    /// Not taken.
    Declined,
    /// Taken back by the shop.
    Withdrawn,
    /// Its last day has passed.
    Expired,
    /// Another revision has taken its place.
    Superseded,
}

impl State {
    /// Every state.
    pub const ALL: [Self; 7] = [
        Self::Draft,
        Self::Issued,
        Self::Accepted,
        Self::Declined,
        Self::Withdrawn,
        Self::Expired,
        Self::Superseded,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Issued => "issued",
            Self::Accepted => "accepted",
            Self::Declined => "declined",
            Self::Withdrawn => "withdrawn",
            Self::Expired => "expired",
            Self::Superseded => "superseded",
        }
    }

    /// From its word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// The state as of a day: an issued revision is expired once its last day has passed,
    /// whether or not anybody has written that down.
    pub fn as_of(self, valid_until: Option<Date>, today: Date) -> Self {
        match (self, valid_until) {
            (Self::Issued, Some(last)) if last < today => Self::Expired,
            (state, _) => state,
        }
    }

    /// The moves allowed from here.
    pub const fn moves(self) -> &'static [Move] {
        match self {
            Self::Draft => &[Move::Issue, Move::Withdraw],
            Self::Issued => &[Move::Accept, Move::Decline, Move::Withdraw, Move::Revise],
            Self::Declined | Self::Withdrawn | Self::Expired => &[Move::Revise],
            Self::Accepted | Self::Superseded => &[],
        }
    }

    /// Makes a move.
    ///
    /// # Errors
    /// When it is not allowed from here; the error names those that are.
    pub fn make(self, attempted: Move) -> Result<Self, WrongMove> {
        if !self.moves().contains(&attempted) {
            return Err(WrongMove {
                from: self,
                attempted,
            });
        }
        Ok(match attempted {
            Move::Issue => Self::Issued,
            Move::Accept => Self::Accepted,
            Move::Decline => Self::Declined,
            Move::Withdraw => Self::Withdrawn,
            // The revision that is replaced keeps its state until the new one is issued.
            Move::Revise => self,
        })
    }
}

/// What can be done to a revision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Move {
    /// Put it before the customer.
    Issue,
    /// The customer takes it.
    Accept,
    /// The customer does not.
    Decline,
    /// The shop takes it back.
    Withdraw,
    /// Write another revision.
    Revise,
}

impl Move {
    /// The verb of the contract.
    pub const fn verb(self) -> &'static str {
        match self {
            Self::Issue => "issue",
            Self::Accept => "accept",
            Self::Decline => "decline",
            Self::Withdraw => "withdraw",
            Self::Revise => "revise",
        }
    }
}

/// A move that is not allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a quote that is {} cannot be moved by \"{}\"; {}", from.word(), attempted.verb(), allowed(*from))]
pub struct WrongMove {
    /// Where it stands.
    pub from: State,
    /// What was tried.
    pub attempted: Move,
}

fn allowed(from: State) -> String {
    match from.moves() {
        [] => "no move is left; copy it to a new quote".to_owned(),
        moves => {
            let verbs: Vec<&str> = moves.iter().map(|allowed| allowed.verb()).collect();
            format!("allowed from here: {}", verbs.join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_quote_expires_on_the_day_after_its_last() {
        let last = Some(date(2026, 3, 1));
        assert_eq!(State::Issued.as_of(last, date(2026, 3, 1)), State::Issued);
        assert_eq!(State::Issued.as_of(last, date(2026, 3, 2)), State::Expired);
        assert_eq!(
            State::Accepted.as_of(last, date(2026, 3, 2)),
            State::Accepted
        );
    }

    #[test]
    fn wrong_moves_name_the_right_ones() {
        let wrong = State::Issued.make(Move::Issue).unwrap_err().to_string();
        assert!(
            wrong.contains("accept, decline, withdraw, revise"),
            "{wrong}"
        );
        assert_eq!(State::Draft.make(Move::Issue), Ok(State::Issued));
        assert!(State::Accepted.make(Move::Withdraw).is_err());
    }
}
