//! The meter itself.
//!
//! 1. [`accuracy`]: ±(% of reading + counts of the last digit).
//! 2. [`loading`]: what its own resistance does to the reading.

pub mod accuracy;
pub mod loading;
