//! `ruleout rule`: a code explained, or all of them listed.

use super::exit::{Exit, say, stop};
use super::folder;
use crate::check::{self, all_rules};
use crate::text::english::nearest;
use crate::text::printer::explain;
use crate::text::rule::{Level, Rule};

/// Options of `rule`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code, as it stands at the end of a message; left out, all are listed
    code: Option<String>,
}

pub(super) fn run(args: &Args) -> Exit {
    let rules = every_rule();
    let Some(code) = &args.code else {
        say(&listed(&rules));
        return Exit::Clean;
    };
    match rules.iter().find(|rule| rule.code == code) {
        Some(rule) => {
            let of_playbooks = [check::rules(), crate::playbook::rules(), crate::language::rules()].concat();
            say(&explain(rule, of_playbooks.contains(rule)));
            Exit::Clean
        }
        None => {
            let near = nearest(code, rules.iter().map(|rule| rule.code));
            let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
            stop(format!("No rule has the code `{code}`.{hint} `ruleout rule` lists them all."))
        }
    }
}

/// The rules of the rooms and those of reading files, by code.
fn every_rule() -> Vec<&'static Rule> {
    let mut rules = all_rules().to_vec();
    rules.extend(folder::RULES);
    rules.sort_by_key(|rule| rule.code);
    rules
}

fn listed(rules: &[&Rule]) -> String {
    let width = rules.iter().map(|rule| rule.code.len()).max().unwrap_or(0);
    let part = |level: Level| -> String {
        let rows = rules.iter().filter(|rule| rule.level == level);
        rows.map(|rule| format!("  {:width$}  {}\n", rule.code, rule.says)).collect()
    };
    format!(
        "Errors: the playbook or sheet is refused\n{}\nAdvice: an `accept` line may turn it down, with the reason\n{}",
        part(Level::Error),
        part(Level::Warning)
    )
}
