//! The compiled form: names resolved, limits in numbers, one graph, ways between states.
//!
//! 1. [`compile::compile`] is the entry: syntax tree in, compiled playbook and problems out.
//! 2. `names`, `settings`, `question`, `sums`, `limits` resolve a kind of line each; each holds its rules.
//! 3. [`bounds`] and [`bands`] lay limits out: which line takes which numbers, what is left over, what is claimed twice.
//! 4. [`normal`] works out on the sheet of a unit what a good one reads at each test ([`takings`]), [`moving`] the same by the
//!    volts just read, and the lines are laid out again.
//! 5. [`model`] is the form itself: what the checks, the engine, the pages and the walk read.
//! 6. [`arithmetic`] works a `calculate` line out, for the compiler and for the walk.
//! 7. [`told`] says limits and good readings in words, [`reckoned`] the arithmetic behind them.
//! 8. [`hazard`] tells what a signal word speaks of; `live` adds a danger where a point stays live in a locked-out machine.
//! 9. [`freed`] says how a part is freed to be read by itself.
//! 10. [`ways`] plans how a unit gets from one standing to the next, and home.

pub mod arithmetic;
pub mod bands;
pub mod bounds;
pub mod compile;
pub mod freed;
pub mod hazard;
mod limits;
mod live;
pub mod model;
pub mod moving;
mod names;
pub mod normal;
pub mod outline;
mod question;
pub mod reckoned;
mod settings;
mod sums;
pub mod takings;
pub mod told;
pub mod ways;

use crate::text::rule::Rule;

/// The rules this room tells.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    [
        names::RULES.as_slice(),
        settings::RULES.as_slice(),
        question::RULES.as_slice(),
        sums::RULES.as_slice(),
        limits::RULES.as_slice(),
        compile::RULES.as_slice(),
    ]
    .concat()
}
