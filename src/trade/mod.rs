//! What the trade knows, with no playbook in sight.
//!
//! 1. [`unit`]: the units a meter, gauge or watch reads in, what people write for them and the one form we write.
//! 2. [`dimension`]: what kind of thing a number is, through `+ − × ÷`; a temperature against a difference.
//! 3. [`quantity`]: a number as it was written, exact in its decimals, and its change from one unit to another.
//! 4. [`reading`]: what a technician types off a meter, `OL` included.
//! 5. [`printing`]: the shop's units, the step of a meter, never false digits.
//! 6. [`heat`]: elements, tolerance, pulsed heat; [`three_phase`]: banks on three lines, unbalance.
//! 7. [`sensors`]: temperature probes and 4–20 mA, both ways.
//! 8. [`refrigerants`]: saturation, superheat, subcooling.
//! 9. [`gas`], [`water`], [`capacitor`], [`meter`]: the small sums of the job.
//! 10. [`range`]: why a formula or table has no answer, with the range it covers.
//! 11. [`logs`]: the logarithm and its inverse, the same to the last digit on every machine.
//! 12. [`functions`]: what a `calculate` line may call.

pub mod capacitor;
pub mod dimension;
pub mod functions;
pub mod gas;
pub mod heat;
pub mod logs;
pub mod meter;
pub mod printing;
pub mod quantity;
pub mod range;
pub mod reading;
pub mod refrigerants;
pub mod sensors;
pub mod three_phase;
pub mod unit;
pub mod water;
