//! Every fault put into the unit and walked: does the playbook find it (language §4).
//!
//! 1. [`ground`]: playbooks and unit put together, every name looked up once.
//! 2. [`asked`]: the answer a unit gives to one test, and the lines it falls on.
//! 3. [`walker`]: every walk from a place on ([`places`], by the engine the terminal uses), with the faults [`left`], and how it
//!    ends ([`result`]).
//! 4. [`table`]: what every test reads with every fault: whose complaint a fault makes, and whether a playbook feels it.
//! 5. [`runs::shake`] (the entry): the good unit, every fault, every pair, every test that can't be done.
//! 6. [`trace`]: one walk again, step by step; [`told`] puts it into words, [`advice`] says what to change.
//! 7. [`limits`], [`alike`]: margins, ambiguity groups, testability figures.
//! 8. [`report`]: all of it as data; [`printed`]: as words and as a spreadsheet.

pub mod advice;
pub mod alike;
pub mod asked;
pub mod coverage;
pub mod ground;
pub mod idle;
pub mod left;
pub mod limits;
pub mod places;
pub mod printed;
pub mod problems;
pub mod report;
pub mod result;
pub mod runs;
pub mod since;
pub mod table;
pub mod told;
pub mod trace;
pub mod walker;
