//! Playbooks that name states of their own share one table: the unit stays as it stands from one to the other.

use super::compiled;
use ruleout::engine::{Answer, BookId, Library, Trail};

fn text(name: &str, with: &str, line: &str) -> String {
    format!(
        "playbook {name}: Case\nrevised 2026-11-20\nsymptom Case\nfinish look\n\n\
         test look: Look\n  with {with}\n  ask Is it good?\n  good yes go to fine\n  if no {line}\n\n\
         escalate fine: Fine\n  to lead\n  because It is fine.\n"
    )
}

#[test]
fn a_state_named_in_both_is_one() {
    let first = compiled(&text("first", "power live, damper open, lamp lit", "go to playbook second"));
    let second = compiled(&text("second", "power live, lamp dark, damper open", "go to fine"));
    let library = Library::new(vec![first, second]);
    let names: Vec<_> = library.states().iter().map(|(_, state)| state.name.as_str()).collect();
    assert_eq!(names, ["power", "covers", "damper", "lamp"]);
    let mut trail = Trail::start(&library, BookId(0)).unwrap();
    super::give(&library, &mut trail, "no");
    assert_eq!(library.states().told_standing(&trail.now().standing), "live, covers on, damper open, lamp lit");
    // In the second, only the lamp is left to change: over home, as between any two values.
    let mut changes = 0;
    while trail.answer(&library, &Answer::Changed).is_ok() {
        changes += 1;
    }
    assert_eq!(changes, 2);
    assert_eq!(library.states().told_standing(&trail.now().standing), "live, covers on, damper open, lamp dark");
    // Every state goes home at the end, those of the first playbook too.
    super::give(&library, &mut trail, "yes");
    super::give(&library, &mut trail, "done");
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    assert_eq!(library.states().told_standing(&trail.now().standing), "locked out, covers on");
}
