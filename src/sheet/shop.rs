//! The shop sheet: what is the same on every call of this shop.
//!
//! 1. [`read`] takes a `shop.yaml`; [`Shop::built_in`] is the shop without one. A line left out is the built-in one.
//! 2. Its states are merged with the built-in ones into [`Shop::table`]; a unit sheet adds its own with [`Shop::with_unit`].
//! 3. The lock-out is held to its legal order ([`super::lock_out`]), the meter to what a meter is ([`super::meter`]).
//!
//! | line | takes |
//! |---|---|
//! | `shop` | the shop's name |
//! | `temperature` | `°F` or `°C`: what thermometers read in |
//! | `local codes` | the notice every page carries |
//! | `lock out` | the lock-out procedure, one step a line |
//! | `re-energize` | the way back, one step a line |
//! | `call` | who to call: `NAME: who and how`; an escalation's `to` is one of the names |
//! | `closing` | the closing list; `leave STATE VALUE` in it says how a state is left that does not go home |
//! | `hand over` | what to do when a walk stops without an end |
//! | `states` | see [`super::state_lines`] |
//! | `meter` | `input`, `low-impedance input`, `accuracy` |

use super::declared::{Condition, Declared};
use super::lock_out;
use super::meter::Meter;
use super::states::{Stand, States};
use super::{declared, meter, state_lines};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Source;
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Text};
use crate::trade::dimension::Dimension;
use crate::trade::unit::Unit;
use std::sync::Arc;

/// What is the same on every call of a shop.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Its name; empty without a sheet.
    pub name: String,
    /// °F or °C.
    pub temperature: Unit,
    /// The notice every page carries: local codes and licensed work.
    pub local_codes: String,
    /// The lock-out procedure, in its legal order.
    pub lock_out: Vec<String>,
    /// The way back.
    pub re_energize: Vec<String>,
    /// Who to call, in the order of the sheet.
    pub call: Vec<Contact>,
    /// Whether the sheet has such a list, and all of it could be read: then nobody else is called.
    pub lists_who_to_call: bool,
    /// What to do before a call is closed.
    pub closing: Vec<String>,
    /// How states are left that do not go home when a call is closed.
    pub left: Vec<Left>,
    /// What to do when a walk stops without an end.
    pub hand_over: Vec<String>,
    /// The shop's meters.
    pub meter: Meter,
    /// The states the sheet declares.
    pub declared: Vec<Declared>,
    /// The built-in states with the shop's.
    pub table: Arc<States>,
}

/// Somebody to call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact {
    /// The name an escalation's `to` says.
    pub name: String,
    /// Who that is and how to reach them.
    pub who: String,
}

/// `leave STATE VALUE[, because TEXT]` in the closing list.
#[derive(Debug, Clone)]
pub struct Left {
    /// The state and its value, as written.
    pub condition: Condition,
    /// The reason.
    pub because: Option<String>,
}

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&SHOP_TEMPERATURE, &CLOSING_STATE];

/// °F or °C.
pub static SHOP_TEMPERATURE: Rule = Rule {
    code: "shop-temperature",
    level: Level::Error,
    says: "The shop's thermometers read in `°F` or `°C`.",
    why: "Temperatures without a sheet of their own are asked for and printed in this unit.",
    wrong: "temperature: Fahrenheit or so",
    mended: "temperature: °F",
};

/// The closing list leaves states of this shop.
pub static CLOSING_STATE: Rule = Rule {
    code: "closing-state",
    level: Level::Error,
    says: "`leave` in the closing list names a state and one of its values.",
    why: "A call closes only with every state at home or where the closing list says; a name that is not there would leave the machine standing as nobody meant.",
    wrong: "closing:\n  - leave heet on\nstates:\n  heat:\n    values: [off, on]",
    mended: "closing:\n  - leave heat on\nstates:\n  heat:\n    values: [off, on]",
};

const LINES: [&str; 10] = [
    "shop",
    "temperature",
    "local codes",
    "lock out",
    "re-energize",
    "call",
    "closing",
    "hand over",
    "states",
    "meter",
];

impl Shop {
    /// The shop without a sheet: the legal order of a lock-out, the lead to call, no state but power and covers.
    #[must_use]
    pub fn built_in() -> Self {
        let lines = |text: &[&str]| text.iter().map(|line| (*line).to_owned()).collect();
        Self {
            name: String::new(),
            temperature: fahrenheit(),
            local_codes: "Local codes, the rating plate and the maker's instructions go before anything on this page. \
                          Gas, refrigerant and building wiring are for people licensed for them."
                .to_owned(),
            lock_out: lines(&lock_out::BUILT_IN),
            re_energize: lines(&lock_out::BACK),
            call: vec![Contact { name: "lead".to_owned(), who: "the lead technician".to_owned() }],
            lists_who_to_call: false,
            closing: lines(&[
                "Count your tools and leads back into the bag.",
                "Take off your own locks and tags.",
                "Show the person in charge that the machine works.",
                "Tell the person in charge what was wrong and what was done.",
            ]),
            left: Vec::new(),
            hand_over: lines(&[
                "Write down where you stopped and why.",
                "Hang a tag on a machine that is locked out.",
                "Tell the person in charge that the machine must not be used.",
                "Call the lead before you leave.",
            ]),
            meter: Meter::built_in(),
            declared: Vec::new(),
            table: Arc::new(States::built_in()),
        }
    }

    /// Who a name of an escalation stands for.
    #[must_use]
    pub fn contact(&self, name: &str) -> Option<&Contact> {
        self.call.iter().find(|contact| contact.name == name)
    }

    /// The states of a unit with a sheet: built in, the shop's, the unit's.
    #[must_use]
    pub fn with_unit(&self, unit: &[Declared]) -> (States, Vec<Problem>) {
        States::merged(&[&self.declared, unit])
    }

    /// How states are left at the end of a call, on the states of a playbook. What these states do not know is left out.
    #[must_use]
    pub fn left_on(&self, states: &States) -> Vec<Stand> {
        self.left.iter().filter_map(|left| states.stand(&left.condition.state, &left.condition.value)).collect()
    }
}

/// Reads a shop sheet: the shop as far as it could be read, and everything wrong with it.
#[must_use]
pub fn read(source: &Arc<Source>) -> (Shop, Vec<Problem>) {
    let mut shop = Shop::built_in();
    let (mut reader, root) = Reader::open(source);
    let fields = reader.sheet("the shop sheet", &root, &LINES, &[]);
    if let Some(name) = fields.get("shop").and_then(|line| reader.sentence(line)) {
        shop.name = name.text;
    }
    if let Some(line) = fields.get("temperature") {
        read_temperature(&mut reader, line, &mut shop);
    }
    if let Some(notice) = fields.get("local codes").and_then(|line| reader.sentence(line)) {
        shop.local_codes = notice.text;
    }
    if let Some(line) = fields.get("lock out") {
        let steps = reader.sentences(line);
        lock_out::check(&mut reader, line, &steps);
        replace(&mut shop.lock_out, steps);
    }
    for (name, list) in [("re-energize", &mut shop.re_energize), ("hand over", &mut shop.hand_over)] {
        if let Some(line) = fields.get(name) {
            replace(list, reader.sentences(line));
        }
    }
    if let Some(line) = fields.get("call") {
        let contacts = reader.entries(line);
        shop.call = contacts.iter().filter_map(|contact| read_contact(&mut reader, contact)).collect();
        // Of a list that could not be read whole, the name missing may be the one that was lost.
        shop.lists_who_to_call = !shop.call.is_empty() && shop.call.len() == contacts.len();
    }
    if let Some(line) = fields.get("closing") {
        let items = reader.sentences(line);
        let (left, closing) = items.into_iter().partition(|item| item.text.starts_with("leave "));
        shop.left = read_left(&reader, left);
        replace(&mut shop.closing, closing);
    }
    if let Some(line) = fields.get("states") {
        shop.declared = state_lines::read(&mut reader, line);
    }
    if let Some(line) = fields.get("meter") {
        shop.meter = meter::read(&mut reader, line);
    }
    let (table, wrong) = States::merged(&[&shop.declared]);
    wrong.into_iter().for_each(|problem| reader.note(problem));
    let lost: Vec<&str> = shop.declared.iter().filter(|d| !d.sound).map(|d| d.name.as_str()).collect();
    for left in shop.left.iter().filter(|left| !lost.contains(&left.condition.state.as_str())) {
        if let Some(fact) = declared::unknown(&left.condition, &table) {
            reader.note(Problem::new(&CLOSING_STATE, left.condition.place.clone(), fact));
        }
    }
    shop.table = Arc::new(table);
    (shop, reader.finish())
}

/// A list read; one that could not be read leaves the built-in one.
fn replace(list: &mut Vec<String>, read: Vec<Text>) {
    if !read.is_empty() {
        *list = read.into_iter().map(|item| item.text).collect();
    }
}

fn fahrenheit() -> Unit {
    #[expect(clippy::expect_used, reason = "a symbol of the table of units; a test reads the built-in shop")]
    Unit::of("°F").expect("the table of units has °F")
}

fn read_temperature(reader: &mut Reader, line: &Entry, shop: &mut Shop) {
    let Some(words) = reader.words(line) else { return };
    match Unit::parse(&words.text).filter(|unit| unit.dimension() == Dimension::TEMPERATURE) {
        Some(unit) => shop.temperature = unit,
        None => {
            let fact = format!("`{}` is neither °F nor °C.", words.text);
            reader.say_instead(&SHOP_TEMPERATURE, words.span, fact, "°F");
        }
    }
}

fn read_contact(reader: &mut Reader, entry: &Entry) -> Option<Contact> {
    let who = reader.sentence(entry)?;
    Some(Contact { name: entry.key.text.clone(), who: who.text })
}

/// `leave STATE VALUE, STATE VALUE, because TEXT`, as in a playbook.
fn read_left(reader: &Reader, items: Vec<Text>) -> Vec<Left> {
    let mut left = Vec::new();
    for item in items {
        let text = item.text.strip_prefix("leave ").unwrap_or(&item.text);
        let (settings, because) = match text.split_once(", because ") {
            Some((settings, because)) => (settings, Some(because.trim().to_owned())),
            None => (text, None),
        };
        for setting in settings.split(',') {
            let condition = Condition::parse(setting, reader.place_of(item.span, setting.trim()));
            left.push(Left { condition, because: because.clone() });
        }
    }
    left
}

#[cfg(test)]
mod tests;
