//! The pure walk: one state machine that the terminal, the pages and the shakedown drive.
//!
//! 1. [`library`]: the playbooks of one unit, and the one table of states they share.
//! 2. [`state`]: where a walk stands: block, states, readings, owed tests, repairs done.
//! 3. [`answer`]: what can be answered, and why an answer is not taken.
//! 4. [`step`] takes an answer and gives every state that may follow: one for a plain answer, several where a reading with
//!    its accuracy, or a meter that may show one thing or another, falls on several lines.
//! 5. `alike` knows tests of joined playbooks that ask the same; [`fall`] finds the lines, [`after`] keeps the list of tests owed, [`goal`] knows how the
//!    unit has to stand.
//! 6. [`view`]: what is to be shown, as data.
//! 7. [`trail`]: one walk with the way back.

mod alike;
pub mod answer;
pub mod goal;
pub mod library;
pub mod state;
pub mod step;
pub mod trail;
pub mod view;

mod after;
mod fall;

pub use answer::{Answer, Refused, Taken};
pub use fall::{Way, needs_judging, ways};
pub use library::{BookId, InBook, Library};
pub use state::{At, Reason, State};
pub use step::{Next, OwedTold, Told, judged_result, most_answers, reading_before, start, step, supply_at_hand};
pub use trail::Trail;
pub use view::{View, view};
