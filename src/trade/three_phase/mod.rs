//! Three-phase heat.
//!
//! 1. [`unbalance`](fn@unbalance): how uneven three readings are, by NEMA MG 1.

mod unbalance;

pub use unbalance::unbalance;
