//! How much the solver may do, counted in steps, never in time: the same call does the same work
//! on every machine.

/// Work left. A step is a few operations of the processor: one branch of a search for a pattern,
/// or a row of the linear program touched.
#[derive(Debug, Clone)]
pub struct Work {
    left: u64,
}

impl Work {
    /// So many steps.
    pub const fn of(steps: u64) -> Self {
        Self { left: steps }
    }

    /// Takes steps from what is left.
    pub fn spend(&mut self, steps: u64) {
        self.left = self.left.saturating_sub(steps);
    }

    /// Nothing is left.
    pub const fn is_over(&self) -> bool {
        self.left == 0
    }

    /// Steps left.
    pub const fn left(&self) -> u64 {
        self.left
    }
}
