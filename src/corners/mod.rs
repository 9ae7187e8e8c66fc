//! What the meter shows on a unit, good or broken, over supply, tolerance and what may vary (language §4).
//!
//! 1. [`tap`]: a measure of a playbook, its names resolved on the sheet of a unit: what the meter is set to, and where it goes.
//! 2. [`Desk::new`]: a unit with the shop's meter, at every [`Corner`] that is looked at: supplies × parts × free readings ×
//!    faults.
//! 3. [`Desk::read`] (the entry): every set of readings a few taps may show together at one corner.
//! 4. [`Desk::ends`]: the same set as far off as the meter may be.
//! 5. [`Desks`]: one for each thread that reads on the same unit.
//!
//! Corners, not every value between: exact where a linear circuit's reading is monotone in each resistance.

mod desk;
mod lists;
mod pool;
mod tap;

pub use crate::circuit::unit::{Corner, End};
pub use desk::{Desk, Unread};
pub use lists::{CornerId, Width, fault_varies};
pub use pool::Desks;
pub use tap::{Spot, Tap, tap};
