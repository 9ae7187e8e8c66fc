//! What the shakedown of a playbook on a unit found, as a page: what it finds, what it hands on, what it can't tell apart, what it misses.

use super::html::Html;
use super::output::{page_of, sheet_of};
use crate::shakedown::coverage::{Coverage, Found};
use crate::sheet::shop::Shop;
use minijinja::Value;
use serde::Serialize;

/// A coverage page as the template lays it out.
#[derive(Debug, Serialize)]
pub struct CoveragePage<'a> {
    title: &'a str,
    unit: &'a str,
    machine: &'a str,
    revised: &'a str,
    shop: &'a str,
    local_codes: &'a str,
    /// Where the playbook's page and the unit's sheet are, from here.
    playbook: String,
    sheet: String,
    found: &'a Coverage,
    /// What it finds, by the repair or adjust that cures it.
    finds: Value,
    /// What it hands on, by the hand-over that names it.
    hands_on: Value,
    others: String,
}

/// What the page is of.
#[derive(Debug, Clone, Copy)]
pub struct Of<'a> {
    /// The playbook's name.
    pub name: &'a str,
    /// Its title.
    pub title: &'a str,
    /// The unit.
    pub unit: &'a str,
    /// What the machine is, by its sheet.
    pub machine: &'a str,
    /// The playbook's revision.
    pub revised: &'a str,
}

/// Lays out the page.
#[must_use]
pub fn coverage_page<'a>(of: Of<'a>, found: &'a Coverage, shop: &'a Shop) -> CoveragePage<'a> {
    let up = |path: String| format!("../{path}");
    CoveragePage {
        title: of.title,
        unit: of.unit,
        machine: of.machine,
        revised: of.revised,
        shop: &shop.name,
        local_codes: &shop.local_codes,
        playbook: up(page_of(of.name, Some(of.unit))),
        sheet: up(sheet_of(of.unit)),
        found,
        finds: by_end(&found.finds),
        hands_on: by_end(&found.hands_on),
        others: found.others.join(", "),
    }
}

/// Each ending once, in the order met, with the faults that end there.
fn by_end(found: &[Found]) -> Value {
    let mut ends: Vec<(&str, Vec<&str>)> = Vec::new();
    for Found { fault, by } in found {
        match ends.iter_mut().find(|(end, _)| end == by) {
            Some((_, faults)) => faults.push(fault),
            None => ends.push((by, vec![fault])),
        }
    }
    let mut html = Html::default();
    for (end, faults) in ends {
        html.raw("<div><dt>").text(end).raw("</dt>\n<dd>");
        for (nth, fault) in faults.iter().enumerate() {
            if nth > 0 {
                html.raw(", ");
            }
            html.text(fault);
        }
        html.raw("</dd></div>\n");
    }
    Value::from_safe_string(html.into_string())
}
