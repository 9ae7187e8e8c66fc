//! Temperature probes and 4–20 mA transmitters, both ways: what the meter reads at a temperature, and what
//! temperature a reading is.
//!
//! 1. [`platinum`]: Pt100 and Pt1000, IEC 60751; classes A and B; what ohms in the leads do.
//! 2. [`thermocouple`]: types J, K and T, ITS-90; the cold junction added in millivolts.
//! 3. [`thermistor`]: beta, Steinhart–Hart, or the maker's table, which beats both.
//! 4. [`current_loop`]: 4–20 mA.
//! 5. [`chart`]: any of them as a chart of reading against °F and °C.
//!
//! Temperatures are °C, resistances ohms, thermocouple voltages millivolts, loop currents milliamps.

pub mod chart;
pub mod current_loop;
pub mod platinum;
pub mod thermistor;
pub mod thermocouple;
