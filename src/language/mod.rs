//! Text to syntax tree and back.
//!
//! [`syntax`] is the tree: one [`syntax::Line`] a line of the file, in the order written. It knows what a line says, not what it means:
//! names are words with places, limits are as written.

pub mod syntax;
