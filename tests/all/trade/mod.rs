//! The trade's arithmetic, held to printed tables and worked examples; the source stands beside each check.

mod calling;
mod functions;
