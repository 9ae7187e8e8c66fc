//! The planner against a slow and obvious one, and the ways of a fryer as a technician would go them.

use super::*;
use crate::sheet::declared::{Condition, Declared, bare_values};
use crate::sheet::states::State;
use crate::text::source::{Place, Source, Span};

/// A line a state: `NAME: VALUE, VALUE | only while | change while`.
fn declared(lines: &[&str]) -> Vec<Declared> {
    lines
        .iter()
        .map(|line| {
            let (name, rest) = line.split_once(": ").unwrap();
            let parts: Vec<&str> = rest.split('|').map(str::trim).collect();
            let place = Place::new(&Source::new("unit.yaml", *line), Span::new(0, line.len()));
            let conditions = |at: usize| {
                let text = parts.get(at).copied().unwrap_or("");
                text.split(',').filter(|t| !t.is_empty()).map(|t| Condition::parse(t, place.clone())).collect()
            };
            Declared {
                name: name.to_owned(),
                place: place.clone(),
                values: bare_values(&parts[0].split(',').map(str::trim).collect::<Vec<_>>()),
                values_place: place.clone(),
                sound: true,
                only_while: conditions(1),
                change_while: conditions(2),
                disconnects: Vec::new(),
                lock_out_also: Vec::new(),
            }
        })
        .collect()
}

fn states(lines: &[&str]) -> States {
    let (states, problems) = States::merged(&[&declared(lines)]);
    assert!(problems.is_empty(), "{problems:?}");
    states
}

/// The gas fryer of the samples.
fn fryer() -> States {
    states(&[
        "heat: off, on | power live",
        "meter: none, in-lead | covers off | power locked-out, covers off",
        "manometer: none, on-inlet, on-manifold | covers off | power locked-out, covers off",
    ])
}

fn stands(states: &States, text: &str) -> Vec<Stand> {
    text.split(", ")
        .filter(|t| !t.is_empty())
        .map(|t| {
            let (state, value) = t.split_once(' ').unwrap();
            states.stand(state, value).unwrap_or_else(|| panic!("{t}"))
        })
        .collect()
}

fn standing(states: &States, text: &str) -> Standing {
    let mut standing = Standing::home(states);
    stands(states, text).into_iter().for_each(|stand| standing.set(stand));
    standing
}

fn told(states: &States, way: &[Change]) -> String {
    way.iter().map(|change| states.told(change.stand())).collect::<Vec<_>>().join(", ")
}

#[test]
fn ways_on_a_fryer() {
    let fryer = fryer();
    let cases = [
        ("", "", ""),
        ("", "power live, covers on, heat on", "heat on"),
        ("", "covers off", "power locked-out, covers off"),
        // Power comes back by itself only when something needs it live.
        ("power locked-out, covers off", "covers on", "covers on"),
        ("power locked-out, covers off", "covers off, heat on", "power live, heat on"),
        // Dependents home first, up last.
        ("heat on", "covers off, heat on", "heat off, power locked-out, covers off, power live, heat on"),
        ("heat on", "power locked-out", "heat off, power locked-out"),
        (
            "heat on",
            "covers off, meter in-lead, heat on",
            "heat off, power locked-out, covers off, meter in-lead, power live, heat on",
        ),
        ("covers off, meter in-lead, heat on", "covers on", "heat off, power locked-out, meter none, covers on"),
        // Not named: it stays, unless forced.
        ("covers off, meter in-lead, heat on", "manometer on-inlet", "heat off, power locked-out, manometer on-inlet"),
        // Between two values that are not home the way is over home.
        (
            "power locked-out, covers off, manometer on-inlet",
            "manometer on-manifold",
            "manometer none, manometer on-manifold",
        ),
    ];
    for (from, want, expected) in cases {
        let way = way(&fryer, &standing(&fryer, from), &stands(&fryer, want)).unwrap();
        assert_eq!(told(&fryer, &way), expected, "from `{from}` to `{want}`");
    }
}

#[test]
fn ways_home() {
    let fryer = fryer();
    let cases = [
        (
            "covers off, meter in-lead, manometer on-manifold, heat on",
            "",
            "heat off, power locked-out, meter none, manometer none, covers on, power live",
        ),
        ("heat on", "power locked-out", "heat off, power locked-out"),
        ("covers off, heat on", "heat on", "heat off, power locked-out, covers on, power live, heat on"),
        // What it needs is left too: the meter stays in, so the covers stay off.
        ("", "meter in-lead", "power locked-out, covers off, meter in-lead, power live"),
    ];
    for (from, leave, expected) in cases {
        let way = way_home(&fryer, &standing(&fryer, from), &stands(&fryer, leave)).unwrap();
        assert_eq!(told(&fryer, &way), expected, "from `{from}`, leaving `{leave}`");
    }
}

#[test]
fn loose_states_go_straight_in_sheet_order() {
    let mut states = States::merged(&[]).0;
    states.with_named("fan", ["low", "high"]);
    states.with_named("light", ["on"]);
    let from = standing(&states, "fan low");
    let way = way(&states, &from, &stands(&states, "light on, fan high, covers off")).unwrap();
    assert_eq!(told(&states, &way), "power locked-out, covers off, fan as found, fan high, light on");
    assert_eq!(
        way_home(&states, &standing(&states, "fan low, light on"), &[]).map(|w| told(&states, &w)).unwrap(),
        "fan as found, light as found"
    );
}

#[test]
fn no_way_says_what_stands_against_what() {
    let base =
        ["heat: off, on | power live", "probe: none, in | power locked-out", "valve: shut, open | heat on | probe in"];
    let ok = States::merged(&[]).0;
    let told_of = |states: &States, want: &str| {
        way(states, &Standing::home(states), &stands(states, want)).unwrap_err().told(states)
    };
    assert_eq!(told_of(&ok, "power live, power locked-out"), "`power live` and `power locked-out` can't both be.");
    let states = {
        // The last state is stuck; the sheet reader says so, the planner must still not look for ever.
        let (states, problems) = States::merged(&[&declared(&base)]);
        assert_eq!(problems.iter().map(|p| p.rule.code).collect::<Vec<_>>(), ["stuck-state"]);
        states
    };
    assert_eq!(
        told_of(&states, "heat on, probe in"),
        "`heat on` needs `power live`, and `probe in` needs `power locked-out`."
    );
    assert_eq!(
        told_of(&states, "power locked-out, heat on"),
        "`power locked-out` is asked for, and `heat on` needs `power live`."
    );
    assert_eq!(
        told_of(&states, "valve open"),
        "`heat on` needs `power live`, and `probe in` needs `power locked-out`."
    );
}

// ---- against a slow and obvious planner over the whole product of values ----

/// Numbers that look random and are the same each time (a linear congruence; constants from memory, any odd ones do).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % sides
    }
}

fn random_states(dice: &mut Dice) -> States {
    let mut states: Vec<State> = States::built_in().iter().map(|(_, state)| state.clone()).collect();
    let more = 1 + dice.roll(4);
    for at in 0..more {
        let mut state = states[0].clone();
        state.name = format!("s{at}");
        state.values = bare_values(&["home", "one", "two"][..2 + dice.roll(2)]);
        states.push(state);
    }
    let shape: Vec<usize> = states.iter().map(|state| state.values.len()).collect();
    for (at, state) in states.iter_mut().enumerate().skip(1) {
        let mut conditions = |most: usize| -> Vec<Stand> {
            let mut found: Vec<Stand> = Vec::new();
            for _ in 0..dice.roll(most + 1) {
                let other = dice.roll(shape.len());
                if other != at && !found.iter().any(|stand| usize::from(stand.state.0) == other) {
                    let value = dice.roll(shape[other]);
                    found.push(Stand { state: StateId(other as u16), value: ValueId(value as u16) });
                }
            }
            found
        };
        state.only_while = conditions(2);
        state.change_while = conditions(2);
    }
    States::new(states)
}

type Values = Vec<usize>;

fn holds(values: &Values, stands: &[Stand]) -> bool {
    stands.iter().all(|stand| values[usize::from(stand.state.0)] == usize::from(stand.value.0))
}

fn obeys(states: &States, values: &Values) -> bool {
    states.iter().all(|(id, state)| values[usize::from(id.0)] == 0 || holds(values, &state.only_while))
}

/// Every change that is allowed from here, in sheet order.
fn next(states: &States, here: &Values) -> Vec<(Change, Values)> {
    let mut found = Vec::new();
    for (id, state) in states.iter() {
        let at = usize::from(id.0);
        for value in 0..state.values.len() {
            let over_home = here[at] != 0 && value != 0;
            if value == here[at] || over_home || !holds(here, &state.change_while) {
                continue;
            }
            let mut there = here.clone();
            there[at] = value;
            if obeys(states, &there) {
                let change = Change { state: id, from: ValueId(here[at] as u16), to: ValueId(value as u16) };
                found.push((change, there));
            }
        }
    }
    found
}

fn all_standings(states: &States) -> Vec<Values> {
    let mut all: Vec<Values> = vec![Vec::new()];
    for (_, state) in states.iter() {
        all =
            all.iter().flat_map(|values| (0..state.values.len()).map(move |v| [&values[..], &[v]].concat())).collect();
    }
    all.retain(|values| obeys(states, values));
    all
}

/// Costs to the goal for all standings, by relaxing until nothing changes; then the first least step, again and again.
fn slow_way(states: &States, from: &Values, want: &[Stand]) -> Option<Vec<Change>> {
    let all = all_standings(states);
    let mut costs: BTreeMap<Values, u32> = all.iter().filter(|v| holds(v, want)).map(|v| (v.clone(), 0)).collect();
    loop {
        let mut changed = false;
        for here in &all {
            for (change, there) in next(states, here) {
                if let Some(cost) = costs.get(&there).map(|cost| cost + weight(change.state))
                    && costs.get(here).is_none_or(|known| *known > cost)
                {
                    costs.insert(here.clone(), cost);
                    changed = true;
                }
            }
        }
        if !changed {
            break;
        }
    }
    let mut here = from.clone();
    let mut way = Vec::new();
    let mut left = *costs.get(&here)?;
    while left > 0 {
        let (change, there) = next(states, &here)
            .into_iter()
            .find(|(change, there)| costs.get(there).is_some_and(|cost| cost + weight(change.state) == left))?;
        left -= weight(change.state);
        way.push(change);
        here = there;
    }
    Some(way)
}

fn values_of(states: &States, standing: &Standing) -> Values {
    states.iter().map(|(id, _)| usize::from(standing.get(id).0)).collect()
}

#[test]
fn least_cost_and_every_condition_kept_on_random_states() {
    let mut dice = Dice(20_261_125);
    let (mut found, mut refused, mut longest) = (0, 0, 0);
    for _ in 0..400 {
        let states = random_states(&mut dice);
        let mut standing = Standing::home(&states);
        for _ in 0..6 {
            let want: Vec<Stand> = (0..1 + dice.roll(3))
                .map(|_| {
                    let state = dice.roll(states.len());
                    let value = dice.roll(states.get(StateId(state as u16)).unwrap().values.len());
                    Stand { state: StateId(state as u16), value: ValueId(value as u16) }
                })
                .collect();
            let slow = slow_way(&states, &values_of(&states, &standing), &want);
            let fast = way(&states, &standing, &want);
            assert_eq!(fast.as_ref().ok(), slow.as_ref(), "{states:?}\nfrom {standing:?}\nwant {want:?}");
            let Ok(fast) = fast else {
                refused += 1;
                assert!(fast.unwrap_err().told(&states).ends_with('.'));
                continue;
            };
            assert!(cost(&fast) == slow.as_deref().map_or(0, cost));
            // The slow planner shares no code, but say it once more: every condition, at every step.
            for change in &fast {
                let state = states.get(change.state).unwrap();
                assert!(standing.get(change.state) == change.from);
                assert!(state.change_while.iter().all(|need| standing.holds(*need)));
                standing.set(change.stand());
                assert!(obeys(&states, &values_of(&states, &standing)));
            }
            assert!(want.iter().all(|stand| standing.holds(*stand)));
            found += 1;
            longest = longest.max(fast.len());
            let home = way_home(&states, &standing, &[]).unwrap();
            let goal: Vec<Stand> = states.iter().map(|(id, _)| Stand::home(id)).collect();
            assert_eq!(Some(home), slow_way(&states, &values_of(&states, &standing), &goal));
        }
    }
    assert!(found > 1000 && refused > 100 && longest >= 6, "{found} found, {refused} refused, longest {longest}");
}
