//! What changed from one run to the next.

use super::report::{Miss, Report, Single};
use super::result::Outcome;
use std::collections::BTreeMap;

/// Sentences, one a change: faults that come out otherwise, that are new or gone, pairs and roads that were missed or no longer
/// are.
#[must_use]
pub fn since(before: &Report, now: &Report) -> Vec<String> {
    let mut told = Vec::new();
    let by_name = |report: &Report| -> BTreeMap<String, Single> {
        report.singles.iter().map(|single| (single.fault.clone(), single.clone())).collect()
    };
    let (was, is) = (by_name(before), by_name(now));
    for single in &now.singles {
        match was.get(&single.fault) {
            None => told.push(format!("{} is new on the sheet: {}.", single.fault, single.outcome.words())),
            Some(old) if old.outcome != single.outcome => {
                told.push(format!("{}: was {}, is {}.", single.fault, old.outcome.words(), single.outcome.words()));
            }
            Some(old) if old.by != single.by => {
                let name = |by: &Option<String>| by.clone().unwrap_or_else(|| "nothing".to_owned());
                told.push(format!("{}: was found by {}, is by {}.", single.fault, name(&old.by), name(&single.by)));
            }
            Some(_) => {}
        }
    }
    for old in before.singles.iter().filter(|old| !is.contains_key(&old.fault)) {
        told.push(format!("{} is no longer on the sheet.", old.fault));
    }
    let good = |report: &Report| report.misses.iter().any(|miss| miss.faults.is_empty() && miss.broken);
    match (good(before), good(now)) {
        (false, true) => told.push("The good unit: something is changed on it now.".to_owned()),
        (true, false) => told.push("The good unit: nothing is changed on it any more.".to_owned()),
        _ => {}
    }
    let (old, new) = (wider(before), wider(now));
    told.extend(new.iter().filter(|(key, outcome)| old.get(*key) != Some(outcome)).map(|((what, cannot), outcome)| {
        let was = old.get(&(what.clone(), cannot.clone())).map_or(Outcome::Right.words(), |outcome| outcome.words());
        format!("{}: was {was}, is {}.", on_road(what, cannot), outcome.words())
    }));
    told.extend(
        old.keys()
            .filter(|key| !new.contains_key(*key))
            .map(|(what, cannot)| format!("{}: is right now.", on_road(what, cannot))),
    );
    told
}

fn on_road(what: &str, cannot: &Option<String>) -> String {
    match cannot {
        Some(test) => format!("{what}, `{test}` can't be done"),
        None => what.to_owned(),
    }
}

/// Pairs and roads that are not right.
fn wider(report: &Report) -> BTreeMap<(String, Option<String>), Outcome> {
    let wide = |miss: &&Miss| miss.faults.len() > 1 || miss.cannot.is_some();
    let name = |miss: &Miss| match miss.faults.is_empty() {
        true => "the good unit".to_owned(),
        false => crate::text::english::list(&miss.faults, "and"),
    };
    report.misses.iter().filter(wide).map(|miss| ((name(miss), miss.cannot.clone()), miss.outcome)).collect()
}
