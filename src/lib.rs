//! Ruleout: playbooks for commercial-kitchen service.
//!
//! The floors of the house, lowest first; nothing imports upwards (`DEVELOPERS.md` has the map):
//!
//! 1. [`trade`], [`text`]: what the trade knows; sources, places, problems and how they are told.
//! 2. [`language`], [`sheet`]: the two notations, read and laid out.
//! 3. [`circuit`]: what the meter reads, good and broken.
//! 4. [`corners`]: the same over supply, tolerance and fault.
//! 5. [`playbook`]: names resolved, limits in numbers, one graph, ways between states.
//! 6. [`engine`]: the pure walk.
//! 7. [`check`]: one file a promise.
//! 8. [`shakedown`]: every fault and pair walked.
//! 9. [`walk`]: the terminal walk, its record.
//! 10. [`site`]: the pages.
//! 11. [`cli`]: one file a command.

// pest is built without its `std`, whose stack probe runs at every step of a rule; the language room limits how deep a line can nest
// instead. What pest derives then asks for `alloc` by name.
extern crate alloc;

pub mod check;
pub mod circuit;
pub mod cli;
pub mod corners;
pub mod engine;
pub mod language;
pub mod playbook;
pub mod shakedown;
pub mod sheet;
pub mod site;
pub mod text;
pub mod trade;
pub mod walk;
