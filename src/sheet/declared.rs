//! States as the sheets declare them, and the one table made of them.
//!
//! 1. Built in, shop sheet, unit sheet: the later wins by name, and keeps the place in the order.
//! 2. The words of `only while` and `change while` are looked up among all of them.
//! 3. A state that can never change is told at once: what it needs to change stands against what it needs to stay.

use super::states::{Stand, State, StateId, States, Value, built_in};
use crate::text::english::{list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Place;

/// A state as a sheet declares it.
#[derive(Debug, Clone)]
pub struct Declared {
    /// Its name.
    pub name: String,
    /// Where the name stands.
    pub place: Place,
    /// Its values, home first, no name twice.
    pub values: Vec<Value>,
    /// Where the values stand; the name where they are left out.
    pub values_place: Place,
    /// False where something in it could not be read and has been told: then it is in no table, and nobody says it is missing.
    pub sound: bool,
    /// What must hold as long as it is not home.
    pub only_while: Vec<Condition>,
    /// What must hold to change it.
    pub change_while: Vec<Condition>,
    /// `power` only: everything that disconnects the unit.
    pub disconnects: Vec<String>,
    /// `power` only: what more to do when locking out.
    pub lock_out_also: Vec<String>,
}

/// `STATE VALUE` in an `only while` or `change while`, as written.
#[derive(Debug, Clone)]
pub struct Condition {
    /// The state.
    pub state: String,
    /// Its value.
    pub value: String,
    /// Where.
    pub place: Place,
}

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&UNKNOWN_CONDITION, &BUILT_IN_VALUES, &STUCK_STATE, &TOO_MANY_STATES];

/// A condition names a state and a value there is.
pub static UNKNOWN_CONDITION: Rule = Rule {
    code: "unknown-condition",
    level: Level::Error,
    says: "`only while` and `change while` name states of this unit, each with one of its values.",
    why: "The order in which covers, power and leads change on the way to a test is worked out from these lines. A name that is not there would leave a step out.",
    wrong: "states:\n  heat:\n    values: [off, on]\n    only while: power lives",
    mended: "states:\n  heat:\n    values: [off, on]\n    only while: power live",
};

/// Power and covers keep their values.
pub static BUILT_IN_VALUES: Rule = Rule {
    code: "built-in-values",
    level: Level::Error,
    says: "`power` has the values `live` and `locked-out`, `covers` starts with `on` and has `off`.",
    why: "What counts as live work, and where the lock-out goes, hangs on these words. A sheet may change their sentences and what they need.",
    wrong: "states:\n  power:\n    values: [on, off]",
    mended: "states:\n  power:\n    values: [live, locked-out]",
};

/// A state can be changed and stay changed.
pub static STUCK_STATE: Rule = Rule {
    code: "stuck-state",
    level: Level::Error,
    says: "What a state needs to change and what it needs to stay must be able to stand together.",
    why: "A state that needs power live to stay and power locked out to change can never leave home, so no test could ever use it.",
    wrong: "states:\n  jumper:\n    values: [none, fitted]\n    only while: power live\n    change while: power locked-out",
    mended: "states:\n  jumper:\n    values: [none, fitted]\n    only while: covers off\n    change while: power locked-out",
};

/// A unit has only so many states that hang together.
pub static TOO_MANY_STATES: Rule = Rule {
    code: "too-many-states",
    level: Level::Error,
    says: "The states of a unit that hang on each other have at most 128 values, all together.",
    why: "Ruleout works out the order of every change. A unit with more than that is several units; give each its own sheet.",
    wrong: "states:\n  # forty states, each with three values and an `only while`",
    mended: "states:\n  heat:\n    values: [off, on]\n    only while: power live",
};

impl States {
    /// The table of a unit: built in, then each sheet in turn, the later wins by name. Power comes first and covers
    /// second whatever the sheets say.
    ///
    /// A condition that cannot be looked up is a problem, and left out of the table.
    #[must_use]
    pub fn merged(sheets: &[&[Declared]]) -> (Self, Vec<Problem>) {
        let mut problems = Vec::new();
        let mut states = built_in();
        let mut from: Vec<Option<&Declared>> = vec![None; states.len()];
        let all = || sheets.iter().copied().flatten();
        let lost: Vec<&str> = all().filter(|d| !d.sound).map(|d| d.name.as_str()).collect();
        for declared in all().filter(|declared| declared.sound) {
            let at = states.iter().position(|state| state.name == declared.name);
            if let Some(at) = at
                && !keeps_built_in_values(at, declared)
            {
                problems.push(built_in_values(declared));
                continue;
            }
            let state = State {
                name: declared.name.clone(),
                values: declared.values.clone(),
                only_while: Vec::new(),
                change_while: Vec::new(),
                disconnects: declared.disconnects.clone(),
                lock_out_also: declared.lock_out_also.clone(),
                place: Some(declared.place.clone()),
            };
            match at.and_then(|at| states.get_mut(at).zip(from.get_mut(at))) {
                Some((old, whose)) => {
                    *old = with_sentences(state, old);
                    *whose = Some(declared);
                }
                None => {
                    states.push(state);
                    from.push(Some(declared));
                }
            }
        }
        for (at, declared) in from.iter().enumerate().filter_map(|(at, d)| Some((at, (*d)?))) {
            let only = resolve(&declared.only_while, declared, &states, &lost, &mut problems);
            // Covers come off with the power locked out unless a sheet says what else they need: a sheet that only gives
            // them a sentence must not make live work of them.
            let is_covers = at == usize::from(StateId::COVERS.0);
            let says = |d: &&Declared| d.sound && d.name == declared.name && !d.change_while.is_empty();
            let change = match all().filter(|_| is_covers).rfind(says) {
                Some(last) => resolve(&last.change_while, last, &states, &lost, &mut problems),
                None if is_covers => vec![Stand::LOCKED_OUT],
                None => resolve(&declared.change_while, declared, &states, &lost, &mut problems),
            };
            if let Some(state) = states.get_mut(at) {
                state.only_while = only;
                state.change_while = change;
            }
        }
        let states = Self::new(states);
        for declared in from.iter().copied().flatten() {
            problems.extend(stuck(declared, &states));
        }
        if states.ties().too_many()
            && let Some(last) = from.iter().rev().copied().flatten().next()
        {
            let fact = "The states of this unit that hang on each other have more than 128 values, all together.";
            problems.push(Problem::new(&TOO_MANY_STATES, last.place.clone(), fact));
        }
        (states, problems)
    }
}

fn keeps_built_in_values(at: usize, declared: &Declared) -> bool {
    let names: Vec<&str> = declared.values.iter().map(|value| value.name.as_str()).collect();
    match at {
        0 => names == ["live", "locked-out"],
        1 => names.first() == Some(&"on") && names.contains(&"off"),
        _ => true,
    }
}

fn built_in_values(declared: &Declared) -> Problem {
    let (fact, instead) = if declared.name == "power" {
        ("`power` has the values `live` and `locked-out`, in this order.", "[live, locked-out]")
    } else {
        ("The values of `covers` start with `on` and have `off` among them.", "[on, off]")
    };
    let line = declared.values_place.line_with(instead);
    Problem::new(&BUILT_IN_VALUES, declared.values_place.clone(), fact).instead(line)
}

/// A later sheet that gives a value no sentence leaves it the one it had.
fn with_sentences(mut state: State, old: &State) -> State {
    for value in state.values.iter_mut().filter(|value| value.to.is_none()) {
        value.to = old.values.iter().find(|earlier| earlier.name == value.name).and_then(|earlier| earlier.to.clone());
    }
    state
}

fn resolve(
    conditions: &[Condition],
    declared: &Declared,
    states: &[State],
    lost: &[&str],
    problems: &mut Vec<Problem>,
) -> Vec<Stand> {
    let mut stands = Vec::new();
    for condition in conditions.iter().filter(|condition| !lost.contains(&condition.state.as_str())) {
        let Some((at, state)) = states.iter().enumerate().find(|(_, state)| state.name == condition.state) else {
            problems.push(unknown_state(condition, states));
            continue;
        };
        if state.name == declared.name {
            let fact = format!("`{}` can't wait for itself.", declared.name);
            problems.push(Problem::new(&UNKNOWN_CONDITION, condition.place.clone(), fact));
            continue;
        }
        let Some(value) = state.find(&condition.value) else {
            problems.push(unknown_value(condition, state));
            continue;
        };
        stands.push(Stand { state: StateId(u16::try_from(at).unwrap_or(u16::MAX)), value });
    }
    stands
}

/// What is wrong with a condition, if it cannot be looked up.
pub(super) fn unknown(condition: &Condition, states: &States) -> Option<String> {
    match states.find(&condition.state) {
        None => Some(no_state(condition)),
        Some((_, state)) => state.find(&condition.value).is_none().then(|| no_value(condition, state)),
    }
}

fn no_state(condition: &Condition) -> String {
    format!("There is no state `{}`.", condition.state)
}

fn no_value(condition: &Condition, state: &State) -> String {
    let names = list(&ticked(&state.names()), "or");
    if condition.value.is_empty() {
        format!("`{}` needs one of its values behind it: {names}.", state.name)
    } else {
        format!("`{}` is never `{}`. It is {names}.", state.name, condition.value)
    }
}

fn unknown_state(condition: &Condition, states: &[State]) -> Problem {
    let problem = Problem::new(&UNKNOWN_CONDITION, condition.place.clone(), no_state(condition));
    match nearest(&condition.state, states.iter().map(|state| state.name.as_str())) {
        Some(name) => problem.instead(condition.place.line_with(&format!("{name} {}", condition.value))),
        None => problem,
    }
}

fn unknown_value(condition: &Condition, state: &State) -> Problem {
    let problem = Problem::new(&UNKNOWN_CONDITION, condition.place.clone(), no_value(condition, state));
    match nearest(&condition.value, state.names()) {
        Some(name) => problem.instead(condition.place.line_with(&format!("{} {name}", state.name))),
        None => problem,
    }
}

/// Whether what it needs to change, to stay, and all that needs in turn, can stand together, with the state itself still at home.
fn stuck(declared: &Declared, states: &States) -> Option<Problem> {
    let (id, state) = states.find(&declared.name)?;
    let mut needs: Vec<Stand> = state.only_while.iter().chain(&state.change_while).copied().collect();
    needs.push(Stand::home(id));
    let needs = states.with_needs(&needs);
    let clash = needs.windows(2).find_map(|pair| match pair {
        [one, other] if one.state == other.state => Some((*one, *other)),
        _ => None,
    })?;
    let fact = if clash.0.state == id {
        format!("`{}` can never change: what it needs stands only with `{}`.", state.name, states.told(clash.1))
    } else {
        let (one, other) = (states.told(clash.0), states.told(clash.1));
        format!("`{}` can never change: it would need `{one}` and `{other}` at one time.", state.name)
    };
    Some(Problem::new(&STUCK_STATE, declared.place.clone(), fact))
}

/// The values of a state as bare names.
#[cfg(test)]
pub(crate) fn bare_values(names: &[&str]) -> Vec<Value> {
    names.iter().map(|name| Value { name: (*name).to_owned(), to: None }).collect()
}

impl Condition {
    /// Splits `STATE VALUE` at its blanks; what is left out is empty.
    #[must_use]
    pub fn parse(text: &str, place: Place) -> Self {
        let text = text.trim();
        let (state, value) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        Self { state: state.to_owned(), value: value.trim().to_owned(), place }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::states::ValueId;
    use crate::text::source::{Source, Span};

    fn declared(name: &str, values: &[&str], only: &str, change: &str) -> Declared {
        let source = Source::new("shop.yaml", name);
        let place = Place::new(&source, Span::new(0, name.len()));
        let conditions = |text: &str| {
            text.split(',').filter(|t| !t.is_empty()).map(|t| Condition::parse(t, place.clone())).collect::<Vec<_>>()
        };
        Declared {
            name: name.to_owned(),
            place: place.clone(),
            values: bare_values(values),
            values_place: place.clone(),
            sound: true,
            only_while: conditions(only),
            change_while: conditions(change),
            disconnects: Vec::new(),
            lock_out_also: Vec::new(),
        }
    }

    #[test]
    fn the_later_sheet_wins_and_the_order_stays() {
        let shop = [
            declared("heat", &["off", "on"], "power live", ""),
            declared("meter", &["none", "in-lead"], "covers off", "power locked-out, covers off"),
        ];
        let unit = [declared("covers", &["on", "off"], "", ""), declared("heat", &["off", "low", "high"], "", "")];
        let (states, problems) = States::merged(&[&shop, &unit]);
        assert!(problems.is_empty(), "{problems:?}");
        let names: Vec<&str> = states.iter().map(|(_, state)| state.name.as_str()).collect();
        assert_eq!(names, ["power", "covers", "heat", "meter"]);
        let (_, heat) = states.find("heat").unwrap();
        assert_eq!(heat.names(), ["off", "low", "high"]);
        assert!(heat.only_while.is_empty());
        let (covers, state) = states.find("covers").unwrap();
        assert_eq!(state.change_while, [Stand::LOCKED_OUT], "covers left without a `change while` keep their own");
        // ... and so does the sentence nobody replaced.
        assert_eq!(states.sentence(covers, ValueId(1)), "Take off the covers that are in the way.");
        let (_, meter) = states.find("meter").unwrap();
        assert_eq!(meter.change_while, [Stand::LOCKED_OUT, Stand { state: covers, value: ValueId(1) }]);
    }

    #[test]
    fn what_is_wrong_with_states() {
        type Case<'a> = (&'a [Declared], &'a [(&'a str, &'a str)]);
        let cases: &[Case<'_>] = &[
            (
                &[declared("heat", &["off", "on"], "pwoer live", "")],
                &[("unknown-condition", "There is no state `pwoer`.")],
            ),
            (
                &[declared("heat", &["off", "on"], "power lives", "")],
                &[("unknown-condition", "`power` is never `lives`. It is `live` or `locked-out`.")],
            ),
            (
                &[declared("heat", &["off", "on"], "power", "")],
                &[("unknown-condition", "`power` needs one of its values behind it: `live` or `locked-out`.")],
            ),
            (
                &[declared("heat", &["off", "on"], "heat off", "")],
                &[("unknown-condition", "`heat` can't wait for itself.")],
            ),
            (
                &[declared("power", &["on", "off"], "", "")],
                &[("built-in-values", "`power` has the values `live` and `locked-out`, in this order.")],
            ),
            (
                &[declared("jumper", &["none", "in"], "power live", "power locked-out")],
                &[(
                    "stuck-state",
                    "`jumper` can never change: it would need `power live` and `power locked-out` at one time.",
                )],
            ),
            (
                &[declared("a", &["no", "yes"], "b yes", ""), declared("b", &["no", "yes"], "a yes", "")],
                &[
                    ("stuck-state", "`a` can never change: what it needs stands only with `a yes`."),
                    ("stuck-state", "`b` can never change: what it needs stands only with `b yes`."),
                ],
            ),
        ];
        for (sheet, want) in cases {
            let (_, problems) = States::merged(&[sheet]);
            let found: Vec<(&str, &str)> = problems.iter().map(|p| (p.rule.code, p.message.as_str())).collect();
            assert_eq!(&found, want);
        }
    }
}
