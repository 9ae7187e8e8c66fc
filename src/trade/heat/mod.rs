//! Electric heat on one line pair.
//!
//! 1. [`element`]: watts, volts, amps and ohms of an element; what it makes at another voltage.
//! 2. [`tolerance`]: how far watts or ohms may be off the rating, the two ways of saying it kept apart.
//! 3. [`pulsed`]: time-proportioned heat and what each kind of meter reads on it.
//!
//! Volts are RMS, resistances hot and cold alike: sheathed elements rise only a few percent from cold to hot. Silicon
//! carbide, molybdenum disilicide, PTC parts and tungsten lamps do not behave so, and cold ohms say little about them.

pub mod element;
pub mod pulsed;
pub mod tolerance;
