//! Each rule of the shakedown: a slip in a good playbook that shows it, a near miss that does not, and how it is told. Cases stand in
//! `tests/cases/shakedown`; what is told is announced in them, `#! CODE LINE`.

use super::results::WARMER;
use super::{compiled, ground_of, here, on_desks, the_shop};
use ruleout::check::shaken::RULES;
use ruleout::engine::BookId;
use ruleout::shakedown::problems::problems;
use ruleout::shakedown::runs::{Depth, shake};
use ruleout::text::printer::{Look, told};
use ruleout::text::problem::{Problem, tidy};

/// What the cheap shakedown tells of a playbook on the warmer.
fn found(text: &str) -> Vec<Problem> {
    let shop = the_shop();
    let desks = on_desks(WARMER, &shop);
    let (book, wrong) = compiled(text, &desks);
    let errors: Vec<&str> = wrong.iter().filter(|p| p.is_error()).map(|p| p.message.as_str()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let ground = ground_of(vec![book.unwrap()], &desks, &shop);
    let mut told = problems(&shake(&ground, BookId(0), Depth::CHEAP).unwrap());
    tidy(&mut told);
    told
}

#[test]
fn every_rule_has_its_slip_and_its_near_miss() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(here("tests/cases/shakedown/told"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let mut wrong: Vec<String> = Vec::new();
    for rule in RULES {
        for name in [format!("{}.playbook", rule.code), format!("{}.ok.playbook", rule.code)] {
            let text = std::fs::read_to_string(here("tests/cases/shakedown").join(&name)).unwrap();
            let problems = found(&text);
            let mut announced: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("#! ")).collect();
            let mut told_now: Vec<String> =
                problems.iter().map(|p| format!("{} {}", p.rule.code, p.place.line())).collect();
            announced.sort_unstable();
            told_now.sort_unstable();
            told_now.dedup();
            if told_now != announced {
                wrong.push(format!("{name}: told {told_now:?}, announced {announced:?}"));
            }
            let mended = name.ends_with(".ok.playbook");
            if problems.iter().any(|problem| problem.rule == rule) == mended {
                wrong.push(format!("{name}: {}", told(&problems, 1, Look::PLAIN)));
            }
            if !mended {
                settings.bind(|| insta::assert_snapshot!(rule.code, told(&problems, 1, Look::PLAIN)));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_good_playbook_is_told_nothing() {
    let told = found(super::results::GOOD);
    assert!(told.is_empty(), "{told:#?}");
}
