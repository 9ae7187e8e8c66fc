//! The circuit of a unit sheet, and what everything on it reads.
//!
//! 1. [`wired::wire`]: rungs, supplies and parts of a sheet become a [`super::Network`]; a part that does not say enough
//!    to be solved is told.
//! 2. [`bench::Bench`]: the network at one corner (supply, tolerances, free readings), made ready.
//! 3. [`bench::Bench::stand`]: the unit brought up into a standing with faults in it: coils, switches and readings
//!    outside the circuit in one fixed point.
//! 4. [`stood::Stood`] answers: what the meter shows at a place, what a reading shows, what is live.
//! 5. [`depends::Depends`]: what of all that decides a reading.
//! 6. [`tech_sheet::TechSheet`]: all of it, standing by standing, as data for the terminal and the pages, in [`tech_lines`];
//!    [`tech_changes::changes`]: what faults change of it; [`amps::amps`]: what a clamp shows over the supply range.

pub mod amps;
pub mod bench;
pub mod depends;
mod outside;
mod ratings;
pub mod stood;
pub mod tech_changes;
pub mod tech_lines;
mod tech_reads;
pub mod tech_sheet;
pub mod wired;

pub use bench::{Bench, Corner, End};
pub use depends::Depends;
pub use outside::Shown;
pub use stood::{Probe, Stood, Up};
pub use wired::{Wired, wire};

use crate::text::rule::Rule;

/// The rules this room tells.
pub static RULES: [&Rule; 1] = [&wired::PART_UNKNOWN];
