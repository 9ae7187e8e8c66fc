//! Sources, places in them, and what is wrong at a place.
//!
//! 1. [`source`]: a file as it was read, and spans of it.
//! 2. [`rule`]: a code with its explanation and its pair of examples.
//! 3. [`problem`]: one thing wrong at one place: fact, as found, what to write instead.
//! 4. [`english`]: lists, plurals and near names, so that messages are grammatical.
//! 5. [`yaml`]: the strict reader of sheets, with places.
//! 6. [`printer`] tells problems to people, [`json`] and [`sarif`] to other programs.

pub mod english;
pub mod json;
pub mod printer;
pub mod problem;
mod quoted_line;
pub mod rule;
pub mod sarif;
pub mod source;
pub mod yaml;
