//! The terminal walk: lines in, text out. Nothing here touches a terminal, a file or a clock.
//!
//! 1. [`talk`]: the conversation. [`Walk::start`] gives the first screen; [`Walk::hear`] takes a line and gives the next.
//! 2. [`heard`]: what a typed line means.
//! 3. [`items`]: a step as things to confirm, read and answer, one after another.
//! 4. [`doubt`]: a reading far off is asked back; [`reach`] is what a place of the unit can show at all.
//! 5. [`screen`]: a step as text, [`told`]: the echo of an answer, [`limits`]: what good is; [`card`] lays them out for 80 columns.
//! 6. [`record`]: the list of events; [`writeup`]: complaint, cause, correction, from the events alone.
//! 7. [`keep`]: the edge where events are written to a file, each flushed before the next question.

mod card;
mod doubt;
mod heard;
mod items;
pub mod keep;
mod limits;
mod reach;
pub mod record;
mod screen;
mod talk;
mod told;
pub mod writeup;

pub use heard::ORDERS;
pub use record::{Event, What, plain_record};
pub use talk::{Job, Reply, TakeUp, Walk};
pub use writeup::WriteUp;
