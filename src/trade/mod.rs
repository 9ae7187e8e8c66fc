//! What the trade knows, with no playbook in sight.
//!
//! 1. [`unit`]: the units a meter, gauge or watch reads in, what people write for them and the one form we write.
//! 2. [`dimension`]: what kind of thing a number is, through `+ − × ÷`; a temperature against a difference.
//! 3. [`quantity`]: a number as it was written, exact in its decimals, and its change from one unit to another.
//! 4. [`reading`]: what a technician types off a meter, `OL` included.

pub mod dimension;
pub mod quantity;
pub mod reading;
pub mod unit;
