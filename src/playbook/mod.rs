//! The compiled form: names resolved, limits in numbers, one graph, ways between states.
//!
//! 1. [`compile::compile`] is the entry: syntax tree in, compiled playbook and problems out.
//! 2. `names`, `settings`, `question`, `sums`, `limits` resolve a kind of line each; each holds its rules.
//! 3. [`bands`] lays limits out: which line takes which numbers, what is left over, what is claimed twice.
//! 4. [`model`] is the form itself: what the checks, the engine, the pages and the walk read.
//! 5. [`arithmetic`] works a `calculate` line out, for the compiler and for the walk.
//! 6. [`ways`] plans how a unit gets from one standing to the next, and home.

pub mod arithmetic;
pub mod bands;
pub mod compile;
mod limits;
pub mod model;
mod names;
pub mod outline;
mod question;
mod settings;
mod sums;
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
