//! Sheets: what the shop and the unit are.
//!
//! 1. [`states`]: the operating states of a unit, from three places, the later wins by name.

pub mod states;
