//! `normal at NAME`: limits that go with the volts just read.
//!
//! 1. A table: at each of a few supplies, what NAME reads and the lowest and highest a good unit reads there.
//! 2. Between two rows a straight line; beyond the first and the last the outer piece goes on.
//! 3. What comes out is rounded outwards to the step of the meter, and with it all lines are laid out.

use super::bounds::{Bounds, Good};
use super::model::{SlotId, Takes};
use crate::trade::meter::accuracy::outwards;
use crate::trade::unit::Unit;

/// Limits that go with a reading of the supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Moving {
    /// The reading they go by.
    pub at: SlotId,
    /// Its name.
    pub name: String,
    /// The unit it is read in.
    pub unit: Unit,
    /// What it reads with the supply as on the plate.
    pub reads_on_plate: f64,
    /// By what the supply reads, lowest first. Never empty.
    pub(super) rows: Vec<Row>,
    /// What the limits are rounded to.
    pub(super) step: f64,
    /// Whether the reading may lie below zero.
    pub(super) signed: bool,
    /// The lines.
    pub(super) bounds: Bounds,
    /// What `normal` without `at` is, where the test has it too.
    pub(super) normal: Option<Good>,
}

/// A row of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// What the supply reads.
    pub reads: f64,
    /// Lowest a good unit reads there, before rounding.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

impl Moving {
    /// What the supply reads at its lowest and highest volts by the nameplate.
    #[must_use]
    pub fn plate(&self) -> (f64, f64) {
        let ends = self.rows.first().zip(self.rows.last());
        ends.map_or((0.0, 0.0), |(first, last)| (first.reads, last.reads))
    }

    /// Whether a reading of the supply lies outside the nameplate.
    #[must_use]
    pub fn is_outside(&self, reads: f64) -> bool {
        let (low, high) = self.plate();
        reads < low || reads > high
    }

    /// The rows, rounded as they are judged.
    pub fn rows(&self) -> impl Iterator<Item = (f64, Good)> {
        self.rows.iter().map(|row| (row.reads, self.good(row.reads)))
    }

    /// The stretch a good unit reads where the supply reads so.
    #[must_use]
    pub fn good(&self, reads: f64) -> Good {
        let low = along(&self.rows, reads, |row| row.low);
        let high = along(&self.rows, reads, |row| row.high);
        let floor = if self.signed { f64::NEG_INFINITY } else { 0.0 };
        let (low, high) = outwards(low.max(floor), high.max(floor), self.step);
        Good { low: low.max(floor), high, over_limit: false }
    }

    /// What each line takes where the supply reads so.
    #[must_use]
    pub fn takes(&self, reads: f64) -> Vec<Takes> {
        self.bounds.lay(self.normal, Some(self.good(reads))).takes
    }
}

/// A column of the table along a straight line between rows.
pub(super) fn along(rows: &[Row], reads: f64, column: impl Fn(&Row) -> f64) -> f64 {
    let above = rows.iter().position(|row| row.reads >= reads).unwrap_or(rows.len());
    let at = above.clamp(1, rows.len().saturating_sub(1).max(1));
    match (rows.get(at - 1), rows.get(at)) {
        (Some(a), Some(b)) if b.reads > a.reads => {
            let share = (reads - a.reads) / (b.reads - a.reads);
            (column(b) - column(a)).mul_add(share, column(a))
        }
        (Some(only), _) => column(only),
        (None, _) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_between_rows_and_on_beyond_them() {
        let row = |reads: f64, low: f64| Row { reads, low, high: 2.0 * low };
        let rows = [row(100.0, 10.0), row(110.0, 11.0), row(120.0, 13.0)];
        for (reads, want) in
            [(100.0, 10.0), (105.0, 10.5), (110.0, 11.0), (115.0, 12.0), (120.0, 13.0), (125.0, 14.0), (90.0, 9.0)]
        {
            assert!((along(&rows, reads, |row| row.low) - want).abs() < 1e-12, "{reads}");
        }
        assert!((along(&rows[..1], 50.0, |row| row.high) - 20.0).abs() < 1e-12);
    }
}
