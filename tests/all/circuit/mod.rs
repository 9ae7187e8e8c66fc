//! The circuit room against outside sources: ngspice's results, phasor sums, sums by hand.

mod against_ngspice;
mod by_hand;
mod coils;
mod ladder;
mod properties;
mod random;
mod table;
mod three_phase;
