//! Text to syntax tree and back.
//!
//! [`parse`] reads a playbook in five steps, and a bad line hides nothing:
//!
//! 1. `lines`: the file is cut into lines; comments and blank ones fall away, the first word of each is looked up in `first_word`.
//! 2. `blocks`: lines are gathered under their headings. Whether a block takes answers or limits follows from its `ask`.
//! 3. `grammar`: each line is read with one rule of `grammar/playbook.pest`, picked by first word and block. Lines that are one run
//!    of words, and headings, are cut by hand as it reads them.
//! 4. `headings`, `phrases`, `lists`, `amounts`, `measures`, `sums`, `outcomes`: what was read becomes [`syntax`].
//! 5. The same files tell what is wrong with a line that could not be read, and what to write instead; `strays` tells of lines
//!    whose first word is none or stands in the wrong block, `fill_in` of those copied from a message and not filled in.
//!
//! [`syntax`] is the tree: one [`syntax::Line`] a line of the file, in the order written. It knows what a line says, not what it
//! means: names are words with places, limits are as written. [`rules`] lists the codes of this room.
//!
//! [`align::align`] goes the other way: `print` writes a line in its one form, `align` lays the lines out, and `same` holds the result
//! against the tree it came from.

pub mod align;
mod amounts;
mod blocks;
pub mod fill_in;
mod first_word;
mod grammar;
mod headings;
mod lines;
mod lists;
mod measures;
mod names;
mod outcomes;
mod phrases;
mod piece;
mod print;
mod reader;
mod same;
mod strays;
mod sums;
pub mod syntax;

pub use blocks::parse;

use crate::text::rule::Rule;

/// The rules this room keeps, by code.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let mut rules = vec![
        &align::LAYOUT_CHANGES,
        &amounts::MISSING_UNIT,
        &amounts::NOT_A_TIME,
        &amounts::NUMBER_FORM,
        &fill_in::NOT_FILLED_IN,
        &headings::HEADING_FORM,
        &lines::HIDDEN_CHARACTER,
        &lines::LONG_LINE,
        &lists::FOR_FORM,
        &lists::STATE_FORM,
        &lists::STRAY_COMMA,
        &measures::MEASURE_FORM,
        &names::BAD_NAME,
        &names::ONE_NAME,
        &names::POINT_OR_PART,
        &outcomes::LIMIT_FORM,
        &outcomes::NO_GO_TO,
        &phrases::DATE_FORM,
        &phrases::PICTURE_FILE,
        &phrases::UNFINISHED_LINE,
        &reader::UNKNOWN_UNIT,
        &strays::CAPITAL_WORD,
        &strays::NO_PLAYBOOK_LINE,
        &strays::SAID_TWICE,
        &strays::UNKNOWN_LINE,
        &strays::WRONG_PLACE,
        &sums::SUM_FORM,
    ];
    rules.sort_by_key(|rule| rule.code);
    rules
}
