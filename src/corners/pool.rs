//! The desks of one unit: one for each thread that reads there, each with what it has solved before.

use super::desk::Desk;
use crate::circuit::unit::Wired;
use crate::sheet::meter::Meter;
use std::sync::{Arc, Mutex, PoisonError};

/// The desks of one unit.
#[derive(Debug)]
pub struct Desks {
    fresh: Desk,
    idle: Mutex<Vec<Desk>>,
}

impl Desks {
    /// A unit and the shop's meter.
    #[must_use]
    pub fn new(wired: &Arc<Wired>, meter: &Meter) -> Self {
        Self { fresh: Desk::new(wired, meter), idle: Mutex::default() }
    }

    /// The unit.
    #[must_use]
    pub fn wired(&self) -> &Arc<Wired> {
        self.fresh.wired()
    }

    /// The meter.
    #[must_use]
    pub fn meter(&self) -> &Meter {
        self.fresh.meter()
    }

    /// Works at a desk nobody else is at. It is kept for the next, with all it has solved of the good unit.
    pub fn at_one<T>(&self, work: impl FnOnce(&mut Desk) -> T) -> T {
        let idle = self.idle.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut desk = idle.unwrap_or_else(|| self.fresh.clone());
        let result = work(&mut desk);
        self.idle.lock().unwrap_or_else(PoisonError::into_inner).push(desk);
        result
    }
}
