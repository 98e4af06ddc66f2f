//! Where a figure comes from, and how far it may be trusted.

/// How a figure came to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Read in the named source.
    Seen,
    /// Computed here from seen figures and checked.
    Derived,
    /// Deduced from other published figures of the same source.
    Inferred,
    /// From memory: check it before relying on it.
    Memory,
    /// No figure is known; this one stands in and says so.
    StandIn,
}

impl Status {
    /// The word shown to people.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::Derived => "derived",
            Self::Inferred => "inferred",
            Self::Memory => "from_memory",
            Self::StandIn => "stand_in",
        }
    }
}

/// A citation with its status.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// What was read: standard, handbook, edition, table.
    pub cite: String,
    /// How it came to us.
    pub status: Status,
}

impl Source {
    /// A source with its status.
    pub fn new(cite: impl Into<String>, status: Status) -> Self {
        Self {
            cite: cite.into(),
            status,
        }
    }
}

/// The kind of authority behind a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BasisKind {
    /// A model code or a regulation.
    Code,
    /// A product or design standard.
    Standard,
    /// A handbook of the trade.
    Handbook,
    /// What the trade does, with no text to cite.
    CommonPractice,
    /// The shop's own setting or equipment.
    Shop,
}

impl BasisKind {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Code => "code",
            Self::Standard => "standard",
            Self::Handbook => "handbook",
            Self::CommonPractice => "common_practice",
            Self::Shop => "shop",
        }
    }
}

/// Why a rule says what it says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Basis {
    /// Which kind of authority.
    pub kind: BasisKind,
    /// The citation, with `(from memory)` where it is so.
    pub cite: String,
}

impl Basis {
    /// A code or regulation.
    pub fn code(cite: &str) -> Self {
        Self::new(BasisKind::Code, cite)
    }
    /// A standard.
    pub fn standard(cite: &str) -> Self {
        Self::new(BasisKind::Standard, cite)
    }
    /// A handbook.
    pub fn handbook(cite: &str) -> Self {
        Self::new(BasisKind::Handbook, cite)
    }
    /// Common practice of the trade.
    pub fn common_practice(cite: &str) -> Self {
        Self::new(BasisKind::CommonPractice, cite)
    }
    /// The shop's own.
    pub fn shop(cite: &str) -> Self {
        Self::new(BasisKind::Shop, cite)
    }

    fn new(kind: BasisKind, cite: &str) -> Self {
        Self {
            kind,
            cite: cite.to_owned(),
        }
    }
}
