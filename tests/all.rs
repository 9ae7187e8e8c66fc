//! Every whole-program and whole-room test, in one binary: a module a room, cases by folder under `tests/cases`.

// `cfg(test)` lets helpers fail by panicking, as a test does (.clippy.toml).
#[cfg(test)]
#[path = "all/language.rs"]
mod language;
#[cfg(test)]
#[path = "all/trade/mod.rs"]
mod trade;
