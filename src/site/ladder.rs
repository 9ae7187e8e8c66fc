//! The ladder diagram of a unit, in thin lines: a rung a line, each part with its name in its own sign.
//!
//! Two bars are a contact (with a stroke: closed at rest), a box a fuse, a rounded box a load or coil, two dots a joint, a bar and a bow a
//! capacitor. What stands bold on the line is a point of the drawing.

use super::html::Html;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Given, PartId, RungItem, Unit};

impl Html {
    /// Draws the rungs as written in the sheet.
    pub fn ladder(&mut self, unit: &Unit) -> &mut Self {
        self.raw("<ol class=\"ladder\">\n");
        for rung in &unit.rungs {
            self.raw("<li>");
            for item in &rung.items {
                match *item {
                    RungItem::Point(point) => {
                        let name = unit.point_name(point);
                        if !name.is_empty() {
                            self.raw("<b>").text(name).raw("</b> ");
                        }
                    }
                    RungItem::Pole(part, pole) => {
                        self.raw(sign(unit, part, pole)).text(&unit.pole_name(part, pole)).raw("</span> ");
                    }
                }
            }
            self.raw("</li>\n");
        }
        self.raw("</ol>\n")
    }
}

/// The beginning of a part's sign.
fn sign(unit: &Unit, part: PartId, pole: usize) -> &'static str {
    let of = unit.part_of(part);
    let own = of.poles.get(pole).map_or("", |pole| pole.name.as_str());
    let closed =
        matches!(of.given.get("closed at rest"), Some(Given::Names(names)) if names.iter().any(|name| name == own));
    match of.group {
        group if group.switches() && group.driver() != Some(own) && closed => "<span class=\"contact closed\">",
        group if group.switches() && group.driver() != Some(own) => "<span class=\"contact\">",
        Group::Fuses => "<span class=\"fuse\">",
        Group::Joints => "<span class=\"joint\">",
        Group::Capacitors => "<span class=\"capacitor\">",
        _ => "<span class=\"load\">",
    }
}
