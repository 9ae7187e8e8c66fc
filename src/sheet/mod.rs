//! Sheets: what the shop and the unit are.
//!
//! 1. [`declared`]: states as the sheets declare them, merged from three places into [`states`].
//! 2. [`states`]: the operating states of a unit in sheet order, with their sentences.
//! 3. [`ties`]: which states hang on which, laid out for the planner of ways.
//! 4. [`standing`]: how a unit stands: the value of every state.

pub mod declared;
pub mod standing;
pub mod states;
pub mod ties;
