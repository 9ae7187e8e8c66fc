//! Grammatical English for messages: lists, plurals, near names.

use strsim::damerau_levenshtein;

/// "a", "a or b", "a, b or c" (the word between is given).
#[must_use]
pub fn list<T: AsRef<str>>(items: &[T], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., last] => {
            let head = head.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", ");
            format!("{head} {word} {}", last.as_ref())
        }
    }
}

/// The items in backticks, for [`list`].
#[must_use]
pub fn ticked<T: AsRef<str>>(items: &[T]) -> Vec<String> {
    items.iter().map(|item| format!("`{}`", item.as_ref())).collect()
}

/// A longer list of names helps nobody. A number of ours.
const MOST_LISTED: usize = 20;

/// " The banks are `zone` and `deck`.", to stand behind a fact; nothing where there are none, or too many to be read.
#[must_use]
pub fn known<T: AsRef<str>>(what: &str, names: &[T]) -> String {
    match names.len() {
        0 => String::new(),
        1 => format!(" The only {} is {}.", what.strip_suffix('s').unwrap_or(what), list(&ticked(names), "and")),
        2..=MOST_LISTED => format!(" The {what} are {}.", list(&ticked(names), "and")),
        _ => String::new(),
    }
}

/// "1 test", "3 tests".
#[must_use]
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// The candidate nearest to what was written, if one is near enough: a distance of at most a third of its length, and at
/// least one; capitals do not count. Ties go to the first in alphabetical order.
#[must_use]
pub fn nearest<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = written.to_lowercase();
    let length = written.chars().count();
    let limit = (length / 3).max(1);
    candidates
        .into_iter()
        .filter(|name| name.chars().count().abs_diff(length) <= limit)
        .map(|name| (damerau_levenshtein(&lower, &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= limit)
        .min()
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists() {
        assert_eq!(list::<&str>(&[], "or"), "");
        assert_eq!(list(&["a"], "or"), "a");
        assert_eq!(list(&["a", "b"], "and"), "a and b");
        assert_eq!(list(&["a", "b", "c"], "or"), "a, b or c");
    }

    #[test]
    fn known_names() {
        assert_eq!(known::<&str>("banks", &[]), "");
        assert_eq!(known("banks", &["zone"]), " The only bank is `zone`.");
        assert_eq!(known("banks", &["zone", "deck"]), " The banks are `zone` and `deck`.");
        assert_eq!(known("banks", &["zone"; 21]), "");
    }

    #[test]
    fn near_names() {
        let names = ["line-current", "line-volts", "flow"];
        assert_eq!(nearest("line-curent", names), Some("line-current"));
        assert_eq!(nearest("FLOW", names), Some("flow"));
        assert_eq!(nearest("pump", names), None);
    }
}
