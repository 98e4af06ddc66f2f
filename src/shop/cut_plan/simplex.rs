//! A small revised simplex for the master problem: few rows, columns that come while it runs.
//!
//! Its numbers are binary fractions and only steer: every bound is computed anew in whole numbers
//! from its duals, so a rounding error here can cost strength, never truth.

use super::work::Work;

/// Below this a reduced cost (as a share of the largest cost) or a pivot counts as nothing.
const EPSILON: f64 = 1e-9;
/// Pivots between two fresh inversions.
const REFRESH: usize = 120;

/// The sense of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// At least the right-hand side.
    AtLeast,
    /// At most the right-hand side.
    AtMost,
}

/// A column: what it costs and what it adds to which rows.
#[derive(Debug, Clone)]
struct Column {
    cost: f64,
    cells: Vec<(usize, f64)>,
}

/// A linear program: least cost, rows with right-hand sides that are not negative.
#[derive(Debug)]
pub struct Simplex {
    rows: usize,
    senses: Vec<Sense>,
    right: Vec<f64>,
    columns: Vec<Column>,
    /// Columns from here on are the caller's; before them stand one slack and one artificial a row.
    own: usize,
    basis: Vec<usize>,
    is_basic: Vec<bool>,
    /// Inverse of the basis, row by row.
    inverse: Vec<f64>,
    values: Vec<f64>,
    scale: f64,
    pivots: usize,
}

impl Simplex {
    /// Rows with their right-hand sides; `penalty` is what falling short of a row by one costs,
    /// `scale` the largest cost of a column.
    pub fn new(rows: &[(Sense, f64)], penalty: f64, scale: f64) -> Self {
        let count = rows.len();
        let mut columns = Vec::with_capacity(count * 2 + 64);
        for (row, (sense, _)) in rows.iter().enumerate() {
            let slack = match sense {
                Sense::AtLeast => -1.0,
                Sense::AtMost => 1.0,
            };
            columns.push(Column {
                cost: 0.0,
                cells: vec![(row, slack)],
            });
        }
        for row in 0..count {
            columns.push(Column {
                cost: penalty,
                cells: vec![(row, 1.0)],
            });
        }
        let mut basis = Vec::with_capacity(count);
        for (row, (sense, _)) in rows.iter().enumerate() {
            basis.push(match sense {
                Sense::AtLeast => count + row,
                Sense::AtMost => row,
            });
        }
        let mut inverse = vec![0.0; count * count];
        for row in 0..count {
            inverse[row * count + row] = 1.0;
        }
        let mut is_basic = vec![false; columns.len()];
        for column in &basis {
            is_basic[*column] = true;
        }
        Self {
            rows: count,
            senses: rows.iter().map(|(sense, _)| *sense).collect(),
            right: rows.iter().map(|(_, right)| *right).collect(),
            own: columns.len(),
            columns,
            basis,
            is_basic,
            inverse,
            values: rows.iter().map(|(_, right)| *right).collect(),
            scale,
            pivots: 0,
        }
    }

    /// Adds a column; its number among the caller's.
    pub fn add(&mut self, cost: f64, cells: Vec<(usize, f64)>) -> usize {
        self.columns.push(Column { cost, cells });
        self.is_basic.push(false);
        self.columns.len() - 1 - self.own
    }

    /// Pivots until no column there is improves; whether it came to that within the work left.
    /// The solution and its duals stand in any case.
    pub fn solve(&mut self, duals: &mut Vec<f64>, work: &mut Work) -> bool {
        let most = 50 * (self.rows + self.columns.len()) + 1000;
        for _ in 0..most {
            self.price(duals);
            let Some(entering) = self.entering(duals) else {
                return true;
            };
            work.spend((self.rows * self.rows / 4 + self.columns.len()) as u64);
            if work.is_over() || !self.pivot(entering) {
                return false;
            }
        }
        false
    }

    /// Cost of the present solution.
    pub fn cost(&self) -> f64 {
        let basic = self.basis.iter().zip(&self.values);
        basic
            .map(|(column, value)| self.columns[*column].cost * value)
            .sum()
    }

    /// What a column of the caller's costs more than it is worth by these duals.
    pub fn reduced_cost(&self, column: usize, duals: &[f64]) -> f64 {
        let column = &self.columns[self.own + column];
        let worth: f64 = column
            .cells
            .iter()
            .map(|(row, cell)| duals[*row] * cell)
            .sum();
        column.cost - worth
    }

    /// What each of the caller's columns is worth in the present solution, those above nothing.
    pub fn solution(&self) -> Vec<(usize, f64)> {
        let mut found: Vec<(usize, f64)> = self
            .basis
            .iter()
            .zip(&self.values)
            .filter(|(column, value)| **column >= self.own && **value > EPSILON)
            .map(|(column, value)| (column - self.own, *value))
            .collect();
        found.sort_by_key(|(column, _)| *column);
        found
    }

    /// By how much rows are missed in all.
    pub fn missed(&self) -> f64 {
        self.basis
            .iter()
            .zip(&self.values)
            .filter(|(column, _)| (self.rows..self.own).contains(*column))
            .map(|(_, value)| *value)
            .sum()
    }

    /// The duals of the basis.
    fn price(&self, duals: &mut Vec<f64>) {
        duals.clear();
        duals.resize(self.rows, 0.0);
        for (place, column) in self.basis.iter().enumerate() {
            let cost = self.columns[*column].cost;
            if cost.abs() > 0.0 {
                let line = &self.inverse[place * self.rows..(place + 1) * self.rows];
                for (dual, cell) in duals.iter_mut().zip(line) {
                    *dual += cost * cell;
                }
            }
        }
    }

    fn entering(&self, duals: &[f64]) -> Option<usize> {
        let mut best = -EPSILON * self.scale;
        let mut found = None;
        for (row, sense) in self.senses.iter().enumerate() {
            let reduced = match sense {
                Sense::AtLeast => duals[row],
                Sense::AtMost => -duals[row],
            };
            if reduced < best && !self.is_basic[row] {
                best = reduced;
                found = Some(row);
            }
        }
        for place in self.own..self.columns.len() {
            if self.is_basic[place] {
                continue;
            }
            let column = &self.columns[place];
            let mut reduced = column.cost;
            for (row, cell) in &column.cells {
                reduced -= duals[*row] * cell;
            }
            if reduced < best {
                best = reduced;
                found = Some(place);
            }
        }
        found
    }

    /// Brings a column in; `false` when nothing would go out.
    fn pivot(&mut self, entering: usize) -> bool {
        let rows = self.rows;
        let mut change = vec![0.0; rows];
        for (row, cell) in &self.columns[entering].cells {
            let mut at = *row;
            for entry in change.iter_mut() {
                *entry += self.inverse[at] * cell;
                at += rows;
            }
        }
        let Some(out) = self.leaving(&change) else {
            return false;
        };
        let pivot = change[out];
        let step = self.values[out] / pivot;
        for (value, change) in self.values.iter_mut().zip(&change) {
            *value = (*value - step * change).max(0.0);
        }
        self.values[out] = step;
        let mut line: Vec<f64> = self.inverse[out * rows..(out + 1) * rows].to_vec();
        for cell in line.iter_mut() {
            *cell /= pivot;
        }
        for (row, factor) in change.iter().enumerate() {
            if row != out && factor.abs() > 1e-13 {
                let target = &mut self.inverse[row * rows..(row + 1) * rows];
                for (cell, from) in target.iter_mut().zip(&line) {
                    *cell -= factor * from;
                }
            }
        }
        self.inverse[out * rows..(out + 1) * rows].copy_from_slice(&line);
        self.is_basic[self.basis[out]] = false;
        self.is_basic[entering] = true;
        self.basis[out] = entering;
        self.pivots += 1;
        if self.pivots.is_multiple_of(REFRESH) {
            self.invert();
        }
        true
    }

    /// The row that runs out first; among equals an artificial one, then the largest pivot.
    fn leaving(&self, change: &[f64]) -> Option<usize> {
        let mut found: Option<(usize, f64)> = None;
        for (row, &pivot) in change.iter().enumerate() {
            if pivot <= 1e-7 {
                continue;
            }
            let ratio = self.values[row] / pivot;
            let is_better = match found {
                None => true,
                Some((other, least)) if (ratio - least).abs() <= 1e-10 => {
                    let rank = |row: usize| (self.rows..self.own).contains(&self.basis[row]);
                    match (rank(row), rank(other)) {
                        (true, false) => true,
                        (false, true) => false,
                        _ => pivot > change[other],
                    }
                }
                Some((_, least)) => ratio < least,
            };
            if is_better {
                found = Some((row, ratio));
            }
        }
        found.map(|(row, _)| row)
    }

    /// Inverts the basis anew, which takes away the errors of many pivots.
    fn invert(&mut self) {
        let rows = self.rows;
        let width = 2 * rows;
        let mut table = vec![0.0; rows * width];
        for (place, column) in self.basis.iter().enumerate() {
            for (row, cell) in &self.columns[*column].cells {
                table[row * width + place] = *cell;
            }
        }
        for row in 0..rows {
            table[row * width + rows + row] = 1.0;
        }
        for step in 0..rows {
            let best = (step..rows).max_by(|a, b| {
                let size = |row: &usize| table[row * width + step].abs();
                size(a).total_cmp(&size(b)).then(b.cmp(a))
            });
            let Some(best) = best.filter(|row| table[row * width + step].abs() > 1e-11) else {
                return;
            };
            for cell in 0..width {
                table.swap(step * width + cell, best * width + cell);
            }
            let pivot = table[step * width + step];
            let line: Vec<f64> = table[step * width..(step + 1) * width]
                .iter()
                .map(|cell| cell / pivot)
                .collect();
            table[step * width..(step + 1) * width].copy_from_slice(&line);
            for row in (0..rows).filter(|row| *row != step) {
                let factor = table[row * width + step];
                if factor.abs() > 0.0 {
                    let target = &mut table[row * width..(row + 1) * width];
                    for (cell, from) in target.iter_mut().zip(&line) {
                        *cell -= factor * from;
                    }
                }
            }
        }
        for row in 0..rows {
            let from = row * width + rows;
            self.inverse[row * rows..(row + 1) * rows].copy_from_slice(&table[from..from + rows]);
        }
        for row in 0..rows {
            let line = &self.inverse[row * rows..(row + 1) * rows];
            let value: f64 = line.iter().zip(&self.right).map(|(a, b)| a * b).sum();
            self.values[row] = value.max(0.0);
        }
    }
}
