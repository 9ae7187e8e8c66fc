//! Sheets: what the shop and the unit are.
//!
//! 1. [`shop`] reads the shop sheet: lock-out ([`lock_out`]), who to call, closing list, meters ([`meter`]), states.
//! 2. [`state_lines`] reads the states of a sheet, [`declared`] merges them from three places into [`states`]:
//!    all operating states of a unit in sheet order, with their sentences.
//! 3. [`ties`]: which states hang on which, laid out for the planner of ways.
//! 4. [`standing`]: how a unit stands: the value of every state.
//! 5. [`unit`] reads unit sheets: rating plate, parts, rungs, readings, faults.

pub mod declared;
pub mod lock_out;
pub mod meter;
pub mod shop;
pub mod standing;
pub mod state_lines;
pub mod states;
pub mod ties;
pub mod unit;

use crate::text::rule::Rule;

/// The rules this room tells, those of the reader of sheets among them.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    [
        crate::text::yaml::RULES.as_slice(),
        declared::RULES.as_slice(),
        state_lines::RULES.as_slice(),
        lock_out::RULES.as_slice(),
        meter::RULES.as_slice(),
        shop::RULES.as_slice(),
        unit::rules().as_slice(),
    ]
    .concat()
}
