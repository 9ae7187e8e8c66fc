//! The desks of one unit: one for each thread that reads there, each with what it has solved before.

use super::desk::Desk;
use crate::circuit::unit::Wired;
use crate::sheet::meter::Meter;
use std::sync::{Arc, Mutex, PoisonError};

/// The desks of one unit. A clone shares them.
#[derive(Debug, Clone)]
pub struct Desks {
    fresh: Desk,
    idle: Arc<Mutex<Vec<Desk>>>,
}

impl Desks {
    /// A unit and the shop's meter.
    #[must_use]
    pub fn new(wired: &Arc<Wired>, meter: &Meter) -> Self {
        Self { fresh: Desk::new(wired, meter), idle: Arc::default() }
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

    /// A desk where nothing has been solved yet.
    #[must_use]
    pub fn fresh(&self) -> &Desk {
        &self.fresh
    }

    /// Works at a desk nobody else is at. It is kept for the next, with all it has solved.
    pub fn at_one<T>(&self, work: impl FnOnce(&mut Desk) -> T) -> T {
        let mut desk = self.take();
        let result = work(&mut desk);
        self.give(desk);
        result
    }

    /// A desk nobody else is at, to be given back.
    #[must_use]
    pub fn take(&self) -> Desk {
        let idle = self.idle.lock().unwrap_or_else(PoisonError::into_inner).pop();
        idle.unwrap_or_else(|| self.fresh.clone())
    }

    /// Gives a desk back, for the next with all it has solved.
    pub fn give(&self, desk: Desk) {
        self.idle.lock().unwrap_or_else(PoisonError::into_inner).push(desk);
    }
}
