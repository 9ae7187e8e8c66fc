//! The index: what callers say, by letter; the playbooks, by equipment family. Found without a script and without a server.

use super::output::address;
use serde::Serialize;
use std::collections::BTreeMap;

/// One page of the site, as the index needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The equipment family: the folder the playbook is in; empty for none.
    pub family: String,
    /// Where its page is, from the index.
    pub href: String,
    /// Its title.
    pub title: String,
    /// The unit; empty for any.
    pub unit: String,
    /// `YYYY-MM-DD`.
    pub revised: String,
    /// The words callers use.
    pub symptoms: Vec<String>,
}

/// The index as the template lays it out.
#[derive(Debug, Serialize)]
pub struct IndexPage {
    shop: String,
    local_codes: String,
    symptoms: Vec<Letter>,
    families: Vec<Family>,
}

#[derive(Debug, Serialize)]
struct Letter {
    letter: String,
    id: String,
    symptoms: Vec<Symptom>,
}

#[derive(Debug, Serialize, PartialEq, Eq, PartialOrd, Ord)]
struct Symptom {
    sorted: String,
    text: String,
    title: String,
    unit: String,
    href: String,
}

#[derive(Debug, Serialize)]
struct Family {
    name: String,
    id: String,
    playbooks: Vec<Listed>,
}

#[derive(Debug, Serialize, PartialEq, Eq, PartialOrd, Ord)]
struct Listed {
    title: String,
    unit: String,
    revised: String,
    href: String,
}

/// Lays out the index.
#[must_use]
pub fn index_page(entries: &[Entry], shop: &str, local_codes: &str) -> IndexPage {
    let mut letters: BTreeMap<String, Vec<Symptom>> = BTreeMap::new();
    let mut families: BTreeMap<String, Vec<Listed>> = BTreeMap::new();
    for entry in entries {
        for text in &entry.symptoms {
            let first = text.chars().find(|c| c.is_alphanumeric());
            let letter = first.map_or_else(|| "#".to_owned(), |c| c.to_uppercase().collect());
            letters.entry(letter).or_default().push(Symptom {
                sorted: text.to_lowercase(),
                text: text.clone(),
                title: entry.title.clone(),
                unit: entry.unit.clone(),
                href: entry.href.clone(),
            });
        }
        families.entry(family_name(&entry.family)).or_default().push(Listed {
            title: entry.title.clone(),
            unit: entry.unit.clone(),
            revised: entry.revised.clone(),
            href: entry.href.clone(),
        });
    }
    let symptoms = letters.into_iter().map(|(letter, mut symptoms)| {
        symptoms.sort();
        Letter { id: address(&letter), letter, symptoms }
    });
    let families = families.into_iter().map(|(name, mut playbooks)| {
        playbooks.sort();
        Family { id: address(&name), name, playbooks }
    });
    IndexPage {
        shop: shop.to_owned(),
        local_codes: local_codes.to_owned(),
        symptoms: symptoms.collect(),
        families: families.collect(),
    }
}

/// "holding-cabinet" → "Holding cabinet".
fn family_name(folder: &str) -> String {
    let words = folder.replace(['-', '_', '/'], " ");
    let mut chars = words.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => "Other equipment".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symptoms_stand_under_their_letter_and_playbooks_under_their_family() {
        let entry = |family: &str, title: &str, symptoms: &[&str]| Entry {
            family: family.to_owned(),
            href: format!("{title}/any.html"),
            title: title.to_owned(),
            unit: String::new(),
            revised: "2026-09-14".to_owned(),
            symptoms: symptoms.iter().map(|s| (*s).to_owned()).collect(),
        };
        let page = index_page(
            &[entry("walk-in-cooler", "warm", &["box is warm", "Alarm rings"]), entry("", "dead", &["Beeps"])],
            "",
            "",
        );
        let letters: Vec<&str> = page.symptoms.iter().map(|group| group.letter.as_str()).collect();
        assert_eq!(letters, ["A", "B"]);
        let under_b: Vec<&str> = page.symptoms[1].symptoms.iter().map(|s| s.text.as_str()).collect();
        assert_eq!(under_b, ["Beeps", "box is warm"]);
        let families: Vec<&str> = page.families.iter().map(|family| family.name.as_str()).collect();
        assert_eq!(families, ["Other equipment", "Walk in cooler"]);
    }
}
