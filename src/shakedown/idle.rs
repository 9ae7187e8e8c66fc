//! What one thread at a time works with, kept for the next with all it has found: no more of them than threads at work.

use std::sync::{Mutex, PoisonError};

/// Those nobody works with just now.
#[derive(Debug)]
pub struct Idle<T>(Mutex<Vec<T>>);

impl<T> Idle<T> {
    /// None yet.
    #[must_use]
    pub fn new() -> Self {
        Self(Mutex::new(Vec::new()))
    }

    /// Works with one of them, or with a new one where all are at work.
    pub fn at_one<R>(&self, new: impl FnOnce() -> T, work: impl FnOnce(&mut T) -> R) -> R {
        let idle = self.0.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut one = idle.unwrap_or_else(new);
        let result = work(&mut one);
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(one);
        result
    }

    /// All of them, once the work is done.
    pub fn into_all(self) -> Vec<T> {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

impl<T> Default for Idle<T> {
    fn default() -> Self {
        Self::new()
    }
}
