//! A number and how it changes with every unknown: forward differentiation along a header.

/// A value with its derivatives by the unknowns of a network.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Slope {
    /// The value.
    pub value: f64,
    /// Its derivative by each unknown.
    pub by: Vec<f64>,
}

impl Slope {
    /// A constant.
    pub fn constant(value: f64, unknowns: usize) -> Self {
        Self {
            value,
            by: vec![0.0; unknowns],
        }
    }

    /// An unknown itself, times a factor.
    pub fn unknown(value: f64, place: usize, factor: f64, unknowns: usize) -> Self {
        let mut slope = Self::constant(value * factor, unknowns);
        slope.by[place] = factor;
        slope
    }

    /// Adds another, times a factor.
    pub fn add(&mut self, other: &Self, factor: f64) {
        self.value += other.value * factor;
        for (mine, theirs) in self.by.iter_mut().zip(&other.by) {
            *mine += theirs * factor;
        }
    }

    /// Adds a function of another: its value here, and its derivative.
    pub fn add_function(&mut self, value: f64, derivative: f64, of: &Self) {
        self.value += value;
        for (mine, theirs) in self.by.iter_mut().zip(&of.by) {
            *mine += theirs * derivative;
        }
    }
}

/// The derivative of a smooth function, by a central difference over `reach`.
pub(super) fn derivative(at: f64, reach: f64, function: impl Fn(f64) -> f64) -> f64 {
    (function(at + reach) - function(at - reach)) / (2.0 * reach)
}
