//! The shakedown: every result word on small units made by hand, a second shakedown that is slow and obvious, and samples
//! broken on purpose.

mod alike;
mod mutants;
mod results;
mod rules;
mod slow;

use ruleout::circuit::unit::wire;
use ruleout::corners::Desks;
use ruleout::engine::Library;
use ruleout::language;
use ruleout::playbook::compile::{Ground as Compiled, compile};
use ruleout::playbook::model::{Bank, Playbook};
use ruleout::shakedown::ground::Ground;
use ruleout::sheet::shop::{self, Shop};
use ruleout::sheet::unit;
use ruleout::text::problem::Problem;
use ruleout::text::source::Source;
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

pub fn the_shop() -> Shop {
    let text = std::fs::read_to_string(here("playbooks/shop.yaml")).unwrap();
    shop::read(&Source::new("playbooks/shop.yaml", text)).0
}

/// A unit with the shop's meter, from the text of its sheet; no error may be in it.
pub fn on_desks(sheet: &str, shop: &Shop) -> Desks {
    let (unit, mut problems) = unit::read(&Source::new("unit.yaml", sheet), shop);
    let (wired, more) = wire(&Arc::new(unit));
    problems.extend(more);
    let told: Vec<&str> =
        problems.iter().filter(|problem| problem.is_error()).map(|problem| problem.message.as_str()).collect();
    assert!(told.is_empty(), "{told:#?}");
    Desks::new(&Arc::new(wired), &shop.meter)
}

/// A playbook compiled for a unit, and what the compiler told.
pub fn compiled(text: &str, desks: &Desks) -> (Option<Playbook>, Vec<Problem>) {
    let (tree, mut problems) = language::parse(&Source::new("made.playbook", text));
    let unit = &desks.wired().unit;
    let banks: Vec<Bank> =
        unit.banks.iter().map(|bank| Bank { name: bank.name.clone(), members: bank.members.clone() }).collect();
    let Some(tree) = tree else { return (None, problems) };
    let (playbook, told) = compile(&tree, Compiled { states: &unit.states, banks: &banks, desks: Some(desks) });
    problems.extend(told);
    (playbook, problems)
}

/// Playbooks and unit put together.
pub fn ground_of(books: Vec<Playbook>, desks: &Desks, shop: &Shop) -> Arc<Ground> {
    let library = Library::new(books.into_iter().map(Arc::new).collect());
    let closing = shop.left_on(library.states());
    Arc::new(Ground::new(Arc::new(library.with_closing(closing)), desks))
}
