//! The pages: static, readable without a script, the same byte for byte from the same sources.
//!
//! 1. [`lines`]: every test and end gets its line number and address.
//! 2. [`roads`]: how the unit stands on the way to each line.
//! 3. [`chart`], [`scale`] and [`card`] write what a page mostly is, with [`html`], in the words of [`words`] and [`sums`];
//!    [`page`] puts it together; [`instruments`] says what to bring to read it all.
//! 4. [`templates`]: the templates and the style sheet. [`picture`] says which pictures may be copied beside the pages.
//! 5. [`index`], [`guide`]: the two pages that are of no playbook. [`unit_page`]: the tech sheet of a unit, with its [`ladder`].
//!    [`coverage_page`]: what a playbook finds on a unit.
//! 6. [`publisher`] is the edge that writes them.

pub mod card;
pub mod chart;
pub mod coverage_page;
pub mod guide;
pub mod html;
pub mod index;
pub mod instruments;
pub mod ladder;
pub mod lines;
pub mod manifest;
pub mod obstacle;
pub mod output;
pub mod page;
pub mod picture;
pub mod publisher;
pub mod roads;
pub mod scale;
pub mod sums;
pub mod templates;
pub mod unit_page;
pub mod words;
