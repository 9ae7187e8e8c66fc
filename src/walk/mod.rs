//! The terminal walk: lines in, text out. Nothing here touches a terminal, a file or a clock.
//!
//! 1. [`talk`]: the conversation. [`Walk::start`] gives the first screen; [`Walk::hear`] takes a line and gives the next.
//! 2. [`heard`]: what a typed line means.
//! 3. [`items`]: a step as things to confirm, read and answer, one after another.
//! 4. [`screen`]: a step as text, [`told`]: the echo of an answer; [`card`] lays both out for 80 columns.
//! 5. [`record`]: the list of events; [`writeup`]: complaint, cause, correction, from the events alone.
//! 6. [`keep`]: the edge where events are written to a file, each flushed before the next question.

mod card;
mod heard;
mod items;
pub mod keep;
pub mod record;
mod screen;
mod talk;
mod told;
pub mod writeup;

pub use heard::ORDERS;
pub use record::{Event, What, plain_record};
pub use talk::{Reply, TakeUp, Walk};
pub use writeup::WriteUp;
