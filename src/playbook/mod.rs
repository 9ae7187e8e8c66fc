//! The compiled form: names resolved, limits in numbers, one graph, ways between states.
//!
//! [`model`] is the form itself: what the checks, the engine, the pages and the walk read.

pub mod bands;
pub mod model;
