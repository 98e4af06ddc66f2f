//! What came of a change to a row that carries a version.

/// What came of a change to a row that carries a version.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[must_use = "a change that was not made looks like one that was"]
pub enum Written {
    /// The change is made; the row now carries this version.
    Done(i64),
    /// There is no such row; nothing changed.
    Missing,
    /// The row has moved on from the version expected; nothing changed.
    Stale,
    /// The row is published or issued and never changes again; nothing changed.
    Fixed,
}

impl Written {
    /// Why an update found no row to change, from the state the row is in now.
    ///
    /// What can never change is said before what is out of date: reading it again would not help.
    pub(super) fn refusal(state: Option<&str>) -> Self {
        match state {
            None => Self::Missing,
            Some("draft") => Self::Stale,
            Some(_) => Self::Fixed,
        }
    }
}
