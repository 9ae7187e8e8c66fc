//! The index: every complaint in the callers' words, every playbook by equipment family.
//!
//! It is laid out in pieces, so that ten thousand playbooks do not stand in memory twice.

use super::html::Html;
use super::output::{address, page_of, units};
use super::templates::{TemplateError, Templates};
use crate::playbook::outline::{Outline, Outlines};
use serde::Serialize;
use std::collections::BTreeMap;

/// How many entries are laid out at once.
const PIECE: usize = 256;

#[derive(Serialize)]
struct Top<'a> {
    shop: &'a str,
    local_codes: &'a str,
    letters: Vec<Letter>,
    sheets: bool,
}

/// A unit's tech sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Sheet {
    /// Where it is.
    pub href: String,
    /// The unit.
    pub unit: String,
    /// Its title.
    pub title: String,
}

#[derive(Serialize)]
struct Letter {
    letter: String,
    id: String,
}

/// One symptom, or one playbook, on one machine: one link.
#[derive(Serialize)]
struct Entry<'a> {
    /// The letter or family that begins here; empty where it goes on.
    letter: String,
    family: String,
    id: String,
    first: bool,
    words: &'a str,
    title: &'a str,
    href: String,
    /// What the machine is, by its sheet; without one the unit's name.
    machine: &'a str,
    revised: &'a str,
}

/// From so many symptoms on they are found by their first letter; fewer are read through. A number of ours.
const LETTERED: usize = 40;

/// Lays out the index. `root` is the folder the playbooks were read from: what lies below it is the family.
///
/// # Errors
/// [`TemplateError`] where a template does not fit; never because of a playbook.
pub fn index(
    templates: &Templates,
    (shop, local_codes): (&str, &str),
    root: &str,
    outlines: &Outlines,
    sheets: &[Sheet],
) -> Result<String, TemplateError> {
    let mut said: Vec<(String, &str, &Outline)> = outlines
        .iter()
        .flat_map(|outline| outline.symptoms.iter().map(move |words| (words.to_lowercase(), words.as_str(), outline)))
        .collect();
    said.sort_by(|a, b| (&a.0, a.1, &a.2.path).cmp(&(&b.0, b.1, &b.2.path)));
    let machines = Machines::of(sheets);
    let letter = |lower: &str| if said.len() < LETTERED { String::new() } else { letter(lower) };
    let mut letters: Vec<String> = said.iter().map(|(lower, ..)| letter(lower)).collect();
    letters.dedup();
    letters.retain(|letter| !letter.is_empty());
    let letters = letters.into_iter().map(|letter| Letter { id: letter_id(&letter), letter }).collect();
    let mut page =
        templates.fill("index", "Playbooks", "", &Top { shop, local_codes, letters, sheets: !sheets.is_empty() })?;

    let mut before: Option<String> = None;
    for piece in said.chunks(PIECE) {
        let mut entries: Vec<Entry<'_>> = Vec::new();
        for (lower, words, outline) in piece {
            for entry in machines.entries(outline) {
                let letter = letter(lower);
                let first = before.is_none();
                let new = if before.as_ref() == Some(&letter) { String::new() } else { letter.clone() };
                before = Some(letter);
                entries.push(Entry { id: letter_id(&new), letter: new, first, words, ..entry });
            }
        }
        page.push_str(&templates.fill("said", "", "", &entries)?);
    }
    page.push_str(if said.is_empty() { "<p>No playbook names a symptom yet.</p>\n" } else { "</ul>\n" });
    page.push_str("</section>\n<section aria-labelledby=\"equipment\">\n<h2 id=\"equipment\">Equipment</h2>\n");

    let mut books: Vec<(String, &Outline)> =
        outlines.iter().map(|outline| (family(root, &outline.path), outline)).collect();
    books.sort_by(|a, b| (&a.0, &a.1.title, &a.1.path).cmp(&(&b.0, &b.1.title, &b.1.path)));
    let mut before: Option<String> = None;
    for piece in books.chunks(PIECE) {
        let mut entries: Vec<Entry<'_>> = Vec::new();
        for (family, outline) in piece {
            for entry in machines.entries(outline) {
                let first = before.is_none();
                let new = if before.as_ref() == Some(family) { String::new() } else { family_title(family) };
                let id = format!("family-{}", address(family));
                before = Some(family.clone());
                entries.push(Entry { family: new, id, first, ..entry });
            }
        }
        page.push_str(&templates.fill("families", "", "", &entries)?);
    }
    page.push_str(if books.is_empty() { "<p>No playbooks yet.</p>\n" } else { "</ul>\n" });
    if !sheets.is_empty() {
        page.push_str("</section>\n");
        page.push_str(&listed(sheets));
    }
    page.push_str("</section>\n</main>\n</body>\n</html>\n");
    Ok(page)
}

/// The tech sheets, by unit.
fn listed(sheets: &[Sheet]) -> String {
    let mut html = Html::default();
    html.raw("<section aria-labelledby=\"sheets\">\n<h2 id=\"sheets\">Tech sheets</h2>\n<ul class=\"books\">\n");
    for sheet in sheets {
        html.raw("<li><a href=\"").text(&sheet.href).raw("\"><b>").text(&sheet.title).raw("</b> <small>");
        html.text(&sheet.unit).raw("</small></a></li>\n");
    }
    html.raw("</ul>\n");
    html.into_string()
}

/// What each machine is, by its unit.
struct Machines<'a>(BTreeMap<&'a str, &'a str>);

impl<'a> Machines<'a> {
    fn of(sheets: &'a [Sheet]) -> Self {
        Self(sheets.iter().map(|sheet| (sheet.unit.as_str(), sheet.title.as_str())).collect())
    }

    /// An entry for each machine a playbook is for.
    fn entries<'e>(&'e self, outline: &'e Outline) -> impl Iterator<Item = Entry<'e>> {
        units(outline).map(|unit| Entry {
            letter: String::new(),
            family: String::new(),
            id: String::new(),
            first: false,
            words: "",
            title: &outline.title,
            href: page_of(&outline.name, unit),
            machine: unit.map_or("any unit", |unit| self.0.get(unit).copied().unwrap_or(unit)),
            revised: &outline.revised,
        })
    }
}

/// What a symptom is listed under: its first letter or digit.
fn letter(lower: &str) -> String {
    lower.chars().find(|c| c.is_alphanumeric()).map_or_else(|| "#".to_owned(), |c| c.to_uppercase().collect())
}

fn letter_id(letter: &str) -> String {
    format!("said-{}", address(letter))
}

/// The folders between `root` and the playbook; empty where there are none.
fn family(root: &str, path: &str) -> String {
    let below = path.strip_prefix(root).unwrap_or(path).trim_start_matches('/');
    below.rsplit_once('/').map(|(folders, _)| folders.to_owned()).unwrap_or_default()
}

/// `holding-cabinet` is "Holding cabinet".
fn family_title(family: &str) -> String {
    let words = family.replace(['-', '_'], " ").replace('/', ", ");
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => "Any equipment".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn families_are_the_folders() {
        for (root, path, want) in [
            ("playbooks", "playbooks/holding-cabinet/cold.playbook", "Holding cabinet"),
            ("playbooks", "playbooks/fryers/gas/out.playbook", "Fryers, gas"),
            ("playbooks", "playbooks/out.playbook", "Any equipment"),
            (".", "out.playbook", "Any equipment"),
        ] {
            assert_eq!(family_title(&family(root, path)), want);
        }
    }
}
