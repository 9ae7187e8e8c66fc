//! Playbooks in brief: what one has to know of the others.
//!
//! Ten thousand playbooks are checked one by one; of each only this stays in memory.

use crate::language::syntax::{Playbook, Says};
use crate::text::source::Span;
use std::collections::{BTreeMap, BTreeSet};

/// One playbook in brief.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outline {
    /// Its file.
    pub path: String,
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The units it is for.
    pub units: Vec<String>,
    /// `YYYY-MM-DD`; empty where left out.
    pub revised: String,
    /// Whether it shows pictures.
    pub has_pictures: bool,
    /// The words callers use.
    pub symptoms: Vec<String>,
    /// Addresses that moved.
    pub was: Vec<String>,
    /// The playbooks its tests go on to, with the place of the name.
    pub goes_on_to: Vec<(String, Span)>,
    /// Names behind a `go to` that no block here has: maybe another playbook's.
    pub nowhere: Vec<String>,
}

/// Every playbook of a folder, by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Outlines {
    by_name: BTreeMap<String, Vec<Outline>>,
    /// Playbooks others go on to.
    led_to: BTreeSet<String>,
    /// Old names, and how many playbooks had each.
    old_names: BTreeMap<String, usize>,
}

impl Outline {
    /// The brief of a playbook as written.
    #[must_use]
    pub fn of(tree: &Playbook) -> Self {
        let mut outline = Self {
            path: tree.source.path().to_owned(),
            name: tree.head.name.as_str().to_owned(),
            title: tree.head.title.as_str().to_owned(),
            units: Vec::new(),
            revised: String::new(),
            has_pictures: tree
                .blocks
                .iter()
                .flat_map(|b| &b.lines)
                .any(|line| matches!(line.says, Says::Picture { .. })),
            symptoms: Vec::new(),
            was: Vec::new(),
            goes_on_to: Vec::new(),
            nowhere: Vec::new(),
        };
        for line in &tree.head.lines {
            match &line.says {
                Says::Units(units) => outline.units.extend(units.iter().map(|unit| unit.as_str().to_owned())),
                Says::Revised(date) => date.as_str().clone_into(&mut outline.revised),
                Says::Symptom(words) => outline.symptoms.push(words.as_str().to_owned()),
                Says::Was(name) => outline.was.push(name.as_str().to_owned()),
                _ => {}
            }
        }
        let blocks: BTreeSet<&str> = tree.blocks.iter().map(|block| block.name.as_str()).collect();
        for line in tree.blocks.iter().flat_map(|block| &block.lines) {
            let (Says::Outcome { to, .. } | Says::Cannot(to)) = &line.says else { continue };
            let name = to.name.as_str();
            if to.playbook {
                outline.goes_on_to.push((name.to_owned(), to.name.span));
            } else if !blocks.contains(name) {
                outline.nowhere.push(name.to_owned());
            }
        }
        outline
    }
}

impl Extend<Outline> for Outlines {
    fn extend<T: IntoIterator<Item = Outline>>(&mut self, outlines: T) {
        for outline in outlines {
            self.add(outline);
        }
    }
}

impl Outlines {
    /// Takes one in.
    pub fn add(&mut self, outline: Outline) {
        self.led_to.extend(outline.goes_on_to.iter().map(|(name, _)| name.clone()));
        for old in &outline.was {
            *self.old_names.entry(old.clone()).or_default() += 1;
        }
        let same = self.by_name.entry(outline.name.clone()).or_default();
        same.push(outline);
        same.sort_by(|a, b| a.path.cmp(&b.path));
    }

    /// Whether a playbook has to be checked with the others known: it goes on to one or is led to by one, shares a name or
    /// an address, or has a `go to` that may mean another playbook.
    #[must_use]
    pub fn concern(&self, outline: &Outline) -> bool {
        let shared = |name: &String| self.named(name).iter().any(|other| other.path != outline.path);
        let old = |name: &String| shared(name) || self.old_names.get(name).is_some_and(|playbooks| *playbooks > 1);
        !outline.goes_on_to.is_empty()
            || self.led_to.contains(&outline.name)
            || shared(&outline.name)
            || outline.was.iter().any(old)
            || outline.nowhere.iter().any(|name| self.by_name.contains_key(name))
    }

    /// Whether another playbook goes on to the one of this name.
    #[must_use]
    pub fn lead_to(&self, name: &str) -> bool {
        self.led_to.contains(name)
    }

    /// The playbook of this name; of two with one name the first by path.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Outline> {
        self.by_name.get(name)?.first()
    }

    /// Every playbook of this name, by path.
    #[must_use]
    pub fn named(&self, name: &str) -> &[Outline] {
        self.by_name.get(name).map_or(&[], Vec::as_slice)
    }

    /// Every playbook, by name, then path.
    pub fn iter(&self) -> impl Iterator<Item = &Outline> {
        self.by_name.values().flatten()
    }
}
