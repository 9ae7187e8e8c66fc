//! The tech sheets of the units: one page each, made anew where the sheet, the shop or the playbooks for it have changed.

use super::Press;
use crate::cli::library::Survey;
use crate::site::index::Sheet;
use crate::site::manifest::Fingerprint;
use crate::site::output::{page_of, sheet_of};
use crate::site::unit_page::{Book, unit_page};
use std::sync::atomic::Ordering;

impl Press<'_> {
    /// Lays out the sheet of every unit that has one; what the index says of them.
    pub(super) fn unit_sheets(&self, survey: &Survey) -> Result<Vec<Sheet>, String> {
        let mut sheets = Vec::new();
        for (name, desks) in &survey.units {
            let path = sheet_of(name);
            let wired = desks.wired();
            let mine = survey.outlines.iter().filter(|outline| outline.units.contains(name));
            let books: Vec<Book> = mine
                .map(|outline| Book {
                    href: format!("../{}", page_of(&outline.name, Some(name))),
                    title: outline.title.clone(),
                })
                .collect();
            let listed: String = books.iter().map(|book| format!("{}\n{}\n", book.href, book.title)).collect();
            let own = [self.ground.bytes(), wired.unit.source.text().as_bytes(), listed.as_bytes()];
            let inputs = Fingerprint::of_all(own);
            if !self.publisher.keep(&path, inputs) {
                let page = unit_page(wired, &survey.shop, &books).map_err(|unsolved| format!("{name}: {unsolved}."))?;
                let html = self.fill("unit", &format!("Tech sheet: {}", wired.unit.title), "../", &page)?;
                self.put(&path, html.as_bytes(), inputs)?;
            }
            self.pages.fetch_add(1, Ordering::Relaxed);
            sheets.push(Sheet { href: path, unit: name.clone(), title: wired.unit.title.clone() });
        }
        Ok(sheets)
    }
}
