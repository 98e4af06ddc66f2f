//! Links that open one thing to whoever holds them, without a key.

use jiff::Timestamp;

/// What a link opens. A token opens that and nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// The page of a revision of a quote, where the customer accepts or declines it.
    QuotePage,
    /// What a quote comes to, figure by figure, to read.
    QuoteTotal,
    /// The paper of a quote, to read.
    QuoteDocument,
    /// The totals of all quotes, to read.
    Totals,
}

impl Purpose {
    /// Every purpose.
    pub const ALL: [Self; 4] = [
        Self::QuotePage,
        Self::QuoteTotal,
        Self::QuoteDocument,
        Self::Totals,
    ];

    /// The word it is stored by.
    pub const fn word(self) -> &'static str {
        match self {
            Self::QuotePage => "quote_page",
            Self::QuoteTotal => "quote_total",
            Self::QuoteDocument => "quote_document",
            Self::Totals => "totals",
        }
    }

    /// From its word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.word() == word)
    }

    /// Whether nothing can be done with it but look.
    pub const fn is_only_read(self) -> bool {
        !matches!(self, Self::QuotePage)
    }
}

/// What can be done with a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Act {
    /// It was opened.
    Viewed,
    /// The paper was fetched.
    Downloaded,
    /// The quote was accepted.
    Accepted,
    /// The quote was declined.
    Declined,
    /// It was tried to accept or decline, and could not be done.
    Refused,
}

impl Act {
    /// Every act.
    pub const ALL: [Self; 5] = [
        Self::Viewed,
        Self::Downloaded,
        Self::Accepted,
        Self::Declined,
        Self::Refused,
    ];

    /// The word it is stored by.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Viewed => "viewed",
            Self::Downloaded => "downloaded",
            Self::Accepted => "accepted",
            Self::Declined => "declined",
            Self::Refused => "refused",
        }
    }

    /// From its word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.word() == word)
    }
}

/// Where a link stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It opens what it was made for.
    Live,
    /// Its time is over.
    Expired,
    /// The shop took it back.
    Revoked,
}

impl Standing {
    /// At an instant, of a link that ends at `expires_at` and may have been revoked.
    pub fn at(now: Timestamp, expires_at: Timestamp, revoked_at: Option<Timestamp>) -> Self {
        match revoked_at {
            Some(_) => Self::Revoked,
            None if now >= expires_at => Self::Expired,
            None => Self::Live,
        }
    }

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Live => "live",
            Self::Expired => "expired",
            Self::Revoked => "revoked",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_lead_back_to_what_they_stand_for() {
        for purpose in Purpose::ALL {
            assert_eq!(Purpose::from_word(purpose.word()), Some(purpose));
        }
        for act in Act::ALL {
            assert_eq!(Act::from_word(act.word()), Some(act));
        }
    }

    #[test]
    fn a_link_ends_at_its_instant_and_at_once_when_revoked() {
        let at = |second| Timestamp::from_second(second).unwrap();
        assert_eq!(Standing::at(at(9), at(10), None), Standing::Live);
        assert_eq!(Standing::at(at(10), at(10), None), Standing::Expired);
        assert_eq!(Standing::at(at(5), at(10), Some(at(4))), Standing::Revoked);
    }
}
