//! Ruleout: playbooks for commercial-kitchen service.
//!
//! The floors of the house, lowest first; nothing imports upwards (`DEVELOPERS.md` has the map):
//!
//! 1. [`trade`], [`text`]: what the trade knows; sources, places, problems and how they are told.
//! 2. [`language`], [`sheet`]: the two notations, read and laid out.
//! 3. `playbook`: names resolved, limits in numbers, one graph, ways between states.
//! 4. [`engine`]: the pure walk.
//! 5. `check`: one file a promise.
//! 6. `walk`: the terminal walk, its record.
//! 7. `site`: the pages.
//! 8. `cli`: one file a command.

pub mod check;
pub mod engine;
pub mod language;
pub mod playbook;
pub mod sheet;
pub mod text;
pub mod trade;
