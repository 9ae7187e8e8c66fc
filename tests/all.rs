//! Every whole-program and whole-room test, in one binary: a module a room, cases by folder under `tests/cases`.

#![allow(clippy::disallowed_methods, reason = "tests read cases and write into folders of their own")]

// `cfg(test)` lets helpers fail by panicking, as a test does (.clippy.toml).
#[cfg(test)]
#[path = "all/align.rs"]
mod align;
#[cfg(test)]
#[path = "all/check.rs"]
mod check;
#[cfg(test)]
#[path = "all/circuit/mod.rs"]
mod circuit;
#[cfg(test)]
#[path = "all/command_line.rs"]
mod command_line;
#[cfg(test)]
#[path = "all/documents.rs"]
mod documents;
#[cfg(test)]
#[path = "all/engine/mod.rs"]
mod engine;
#[cfg(test)]
#[path = "all/grammar.rs"]
mod grammar;
#[cfg(test)]
#[path = "all/house.rs"]
mod house;
#[cfg(test)]
#[path = "all/language.rs"]
mod language;
#[cfg(test)]
#[path = "all/normal.rs"]
mod normal;
#[cfg(test)]
#[path = "all/publish.rs"]
mod publish;
#[cfg(test)]
#[path = "all/shakedown/mod.rs"]
mod shakedown;
#[cfg(test)]
#[path = "all/sheet.rs"]
mod sheet;
#[cfg(test)]
#[path = "all/site/mod.rs"]
mod site;
#[cfg(test)]
#[path = "all/slips.rs"]
mod slips;
#[cfg(test)]
#[path = "all/support.rs"]
mod support;
#[cfg(test)]
#[path = "all/trade/mod.rs"]
mod trade;
#[cfg(test)]
#[path = "all/unit_sheet.rs"]
mod unit_sheet;
#[cfg(test)]
#[path = "all/unit_slips.rs"]
mod unit_slips;
#[cfg(test)]
#[path = "all/walk.rs"]
mod walk;
