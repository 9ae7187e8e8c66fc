//! The coverage pages: what the shakedown of each playbook found on each of its units.

use super::Press;
use crate::cli::library::Survey;
use crate::site::coverage_page::{Of, coverage_page};
use crate::site::manifest::Fingerprint;
use crate::site::output::coverage_of;
use std::sync::atomic::Ordering;

impl Press<'_> {
    /// Lays out the coverage page of every playbook on every unit that has a sheet.
    pub(super) fn coverage_pages(&self, survey: &Survey) -> Result<(), String> {
        for outline in survey.outlines.iter() {
            let Some(on_units) = self.coverages.get(&outline.name) else { continue };
            for unit in &outline.units {
                let Some(found) = on_units.get(unit) else { continue };
                let machine = survey.units.get(unit).map_or(unit.as_str(), |desks| &desks.wired().unit.title);
                let of = Of { name: &outline.name, title: &outline.title, unit, machine, revised: &outline.revised };
                let page = coverage_page(of, found, &survey.shop);
                let heading = format!("{}: {unit}, what it finds", outline.title);
                let html = self.fill("coverage", &heading, "../", &page)?;
                self.put(&coverage_of(&outline.name, unit), html.as_bytes(), Fingerprint::of(html.as_bytes()))?;
                self.pages.fetch_add(1, Ordering::Relaxed);
            }
        }
        Ok(())
    }
}
