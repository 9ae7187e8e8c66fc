//! The circuit of a unit: what the meter reads at every point, good and broken (language §3).
//!
//! 1. [`Network`]: points, supplies and poles, put together in code; it knows no files and no playbooks.
//! 2. [`Change`]: a fault, a tolerance, a low supply: what may differ from the good circuit.
//! 3. [`Solver::bring_up`] (the entry): from rest, state by state, until the contacts stand or chatter;
//!    [`Solver::at_rest`]: the same circuit as an ohmmeter finds it.
//! 4. `nodal`: volts and amps with the contacts standing still, alternating and direct apart, out of what `stamp` says
//!    of each pole and `base` has factored.
//! 5. [`Settled`] and [`AtRest`] answer for the meter: volts with the meter in, ghosts, amps, ohms, what is live.
//! 6. [`unit`]: the same for a unit sheet, by its names, with the readings outside the circuit.
//!
//! Steady state only: flames, refrigerant, heat, gas and time are readings of the sheet, not circuit.

mod base;
mod change;
mod complex;
mod lu;
mod meter;
mod network;
mod nodal;
mod solver;
mod stamp;
pub mod unit;

pub use change::{At, Change, Effect};
pub use complex::Complex;
pub use meter::{Clamp, Place, Reading, Value, Way};
pub use network::{
    CONTACT_OHMS, Current, DeciderId, Drive, GROUND, Grounding, LET_GO, Leak, Make, Network, PULL_IN, PointId, Pole,
    PoleId, PositionId, Rated, Settings, SupplyId, TerminalId,
};
pub use solver::{AtRest, Glance, Level, Phase, Positions, Settled, Solver, Unsolved};
