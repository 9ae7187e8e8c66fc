//! `states:` of a shop or unit sheet: the same lines in both.
//!
//! ```yaml
//! states:
//!   heat:
//!     values: [off, on]          # the first is home
//!     only while: power live     # must hold as long as it is not home
//!     change while: covers on    # must hold to change it
//!     to on: Turn the control up until the unit calls for heat.
//!     to off: Turn the control down.
//!   power:
//!     disconnects: [plug, gas-cock]
//!     lock out also: Let the oil stand for an hour.
//! ```

use super::declared::{Condition, Declared};
use super::states::{Value, built_in};
use crate::text::english::{list, nearest, ticked};
use crate::text::rule::{Level, Rule};
use crate::text::yaml::UNKNOWN_LINE;
use crate::text::yaml::reader::{Fields, Reader};
use crate::text::yaml::tree::{Entry, Kind, Text};

/// Names of states and values are words a playbook can say.
pub static STATE_NAME: Rule = Rule {
    code: "state-name",
    level: Level::Error,
    says: "States and their values are single words of small letters, digits and hyphens.",
    why: "Playbooks name them in one breath: `with power live, gauges on`. With a blank or a comma in it, a name reads as two.",
    wrong: "states:\n  meter:\n    values: [none, in lead]",
    mended: "states:\n  meter:\n    values: [none, in-lead]",
};

/// A state has at least two values, all different.
pub static STATE_VALUES: Rule = Rule {
    code: "state-values",
    level: Level::Error,
    says: "A state has at least two values, each once; the first is home.",
    why: "A walk starts and a call closes with every state at home. With one value nothing could change.",
    wrong: "states:\n  heat:\n    values: [on]",
    mended: "states:\n  heat:\n    values: [off, on]",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&STATE_NAME, &STATE_VALUES];

const LINES: [&str; 3] = ["values", "only while", "change while"];
const POWER_LINES: [&str; 5] = ["values", "only while", "change while", "disconnects", "lock out also"];

/// Reads the states under `states:`. One that cannot be used is told, and marked as not sound.
pub fn read(reader: &mut Reader, entry: &Entry) -> Vec<Declared> {
    reader.entries(entry).iter().map(|state| read_state(reader, state)).collect()
}

fn read_state(reader: &mut Reader, entry: &Entry) -> Declared {
    let is_power = entry.key.text == "power";
    let fields = reader.fields(entry, if is_power { &POWER_LINES } else { &LINES }, &["to "]);
    let mut sound = check_name(reader, &entry.key);
    let known = built_in().into_iter().find(|state| state.name == entry.key.text);
    let mut values = match (fields.get("values"), known) {
        (Some(line), _) => read_values(reader, line).unwrap_or_default(),
        // Power and covers have their values anyway.
        (None, Some(known)) => known.values,
        (None, None) => {
            if entry.value.kind != Kind::Broken {
                let fact = format!("`{}` has no `values`.", entry.key.text);
                reader.say(&STATE_VALUES, entry.key.span, fact);
            }
            Vec::new()
        }
    };
    sound &= !values.is_empty();
    for (value, line) in fields.starting("to ").filter(|_| sound) {
        read_sentence(reader, &mut values, value, line);
    }
    let only_while = conditions(reader, fields, "only while");
    let change_while = conditions(reader, fields, "change while");
    let disconnects = match fields.get("disconnects") {
        Some(line) => reader.names(line).into_iter().map(|name| name.text).collect(),
        None => Vec::new(),
    };
    let lock_out_also = match fields.get("lock out also") {
        Some(line) => reader.sentences(line).into_iter().map(|sentence| sentence.text).collect(),
        None => Vec::new(),
    };
    Declared {
        name: entry.key.text.clone(),
        place: reader.place(entry.key.span),
        values,
        values_place: reader.place(fields.get("values").map_or(entry.key.span, |line| line.value.span)),
        sound,
        only_while,
        change_while,
        disconnects,
        lock_out_also,
    }
}

fn read_values(reader: &mut Reader, line: &Entry) -> Option<Vec<Value>> {
    let names = reader.names(line);
    let mut values: Vec<Value> = Vec::new();
    let mut good = true;
    for name in &names {
        good &= check_name(reader, name);
        if values.iter().any(|value| value.name == name.text) {
            reader.say(&STATE_VALUES, name.span, format!("`{}` stands here twice.", name.text));
            good = false;
        } else {
            values.push(Value { name: name.text.clone(), to: None });
        }
    }
    if good && values.len() == 1 {
        let only = names.first().map_or("", |name| name.text.as_str());
        let fact = format!("`{only}` is the only value. A state has at least two; the first is home.");
        reader.say(&STATE_VALUES, line.value.span, fact);
    }
    (good && values.len() > 1).then_some(values)
}

fn read_sentence(reader: &mut Reader, values: &mut [Value], name: &str, line: &Entry) {
    let Some(sentence) = reader.sentence(line) else { return };
    match values.iter_mut().find(|value| value.name == name) {
        Some(value) => value.to = Some(sentence.text),
        None => {
            let names: Vec<&str> = values.iter().map(|value| value.name.as_str()).collect();
            let fact = format!("`{name}` is none of its values: {}.", list(&ticked(&names), "or"));
            match nearest(name, names.iter().copied()) {
                Some(near) => reader.say_instead(&UNKNOWN_LINE, line.key.span, fact, &format!("to {near}")),
                None => reader.say(&UNKNOWN_LINE, line.key.span, fact),
            }
        }
    }
}

fn conditions(reader: &mut Reader, fields: Fields<'_>, name: &str) -> Vec<Condition> {
    let Some(line) = fields.get(name) else { return Vec::new() };
    let names = reader.names(line);
    names.iter().map(|text| Condition::parse(&text.text, reader.place(text.span))).collect()
}

fn check_name(reader: &mut Reader, name: &Text) -> bool {
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if name.text.chars().all(good) && !name.text.starts_with('-') && !name.text.ends_with('-') {
        return true;
    }
    let joined: String = name.text.to_lowercase().split([' ', '_', '.']).collect::<Vec<_>>().join("-");
    let fact = format!("`{}` is not one word of small letters, digits and hyphens.", name.text);
    if joined.chars().all(good) {
        reader.say_instead(&STATE_NAME, name.span, fact, &joined);
    } else {
        reader.say(&STATE_NAME, name.span, fact);
    }
    false
}
