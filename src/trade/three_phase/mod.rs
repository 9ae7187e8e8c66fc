//! Three-phase heat.
//!
//! 1. [`Bank`]: three elements in delta, wye or wye with neutral, healthy or with elements or lines open:
//!    amps, volts, watts, and the cold ohms between terminals.
//! 2. [`unbalance`](fn@unbalance): how uneven three readings are, by NEMA MG 1.

mod bank;
mod unbalance;

pub use bank::{Bank, Connection, Load};
pub use unbalance::unbalance;
