//! A new unit sheet to start from: every part with its lines, every usual fault with its strike line.
//!
//! The lead technician edits: takes out what the unit does not have, wires the rungs as the diagram shows, writes the
//! ratings. What is drafted reads without a problem, so that the first one told is the first one made.

use super::group::{Group, UsualDoes};
use std::fmt::Write as _;

/// A part of the unit to draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Its group.
    pub group: Group,
    /// Its name.
    pub name: String,
}

/// One part of every group, for a unit nothing is known of yet.
#[must_use]
pub fn one_of_each() -> Vec<Wanted> {
    let names = [
        "disconnect",
        "fuse-1",
        "high-limit",
        "contactor",
        "relay",
        "ssr",
        "heater-1",
        "fan",
        "pilot",
        "solenoid",
        "control-transformer",
        "control",
        "pulse-output",
        "probe",
        "run-capacitor",
        "ground-strap",
        "door-gasket",
    ];
    Group::ALL.into_iter().zip(names).map(|(group, name)| Wanted { group, name: name.to_owned() }).collect()
}

/// The text of a sheet for a unit of this name with these parts.
#[must_use]
pub fn draft(name: &str, wanted: &[Wanted]) -> String {
    let mut banks: Vec<&str> = wanted.iter().filter_map(|part| Some(part.name.split_once('.')?.0)).collect();
    banks.sort_unstable();
    banks.dedup();
    let banks = if banks.is_empty() {
        String::new()
    } else {
        let members: Vec<String> = banks.iter().map(|bank| format!("{bank}: 1 to 2")).collect();
        format!(
            "# How many there are of each; what starts with the name of a bank is there so often.\nbanks: {{ {} }}\n\n",
            members.join(", ")
        )
    };
    let mut text = format!(
        "# A draft: take out what the unit does not have, wire the rungs as on its diagram, write its ratings.\n\
         unit: {name}\n\
         title: What it is and on how many volts\n\n\
         nameplate:\n  line: 208 V AC ±10 %\n\n\
         # The first value of a state is home.\n\
         states:\n  power:\n    disconnects: [disconnect]\n    # What stays hot, charged or under pressure behind a lock-out, and what to do about it:\n    # lock out also: SENTENCE\n  \
         heat:\n    values: [off, on]\n    only while: power live\n    to on: Turn the control up until it calls.\n    to off: Turn the control off.\n\n\
         calling: heat on\n\n\
         {banks}circuit:\n  supplies:\n    mains: {{ points: [L1, L2], volts: line, grounded: wye }}\n  \
         # Three phase: points: [L1, L2, L3].  A contactor or a disconnect of three poles: poles: [a, b, c], and on the rungs\n  \
         # L1 disconnect.a F1, L2 disconnect.b F2 and so on.  A 24 V side tied to ground: X2 ground-strap Ground.\n  \
         # Points start with a capital, parts with a small letter. One string from L1 to L2 to begin with: wire it right.\n  rungs:\n"
    );
    rungs(&mut text, wanted);
    text.push_str("\nparts:\n");
    for group in Group::ALL {
        let mut parts = wanted.iter().filter(|part| part.group == group).peekable();
        if parts.peek().is_some() {
            let _ = writeln!(text, "  {}:", group.word());
            parts.for_each(|part| part_lines(&mut text, part));
        }
    }
    text.push_str(
        "\n# What is read outside the circuit: gauges, thermometers, what one sees.  The first word is the good one.\n\
         readings:\n  result:\n    words: [as it should be, too little, nothing]\n",
    );
    let loads = wanted.iter().filter(|part| matches!(part.group, Group::Elements | Group::Motors | Group::Coils));
    let mut loads = loads.peekable();
    if loads.peek().is_some() {
        text.push_str("    instead:\n");
        for part in loads {
            let any = if part.name.contains('.') { "any " } else { "" };
            let _ = writeln!(text, "      {any}{} off: nothing", part.name);
        }
    }
    faults(&mut text, wanted);
    text
}

/// Every pole in one string from L1 to L2.
fn rungs(text: &mut String, wanted: &[Wanted]) {
    let poles: Vec<String> = wanted.iter().flat_map(poles).collect();
    for (at, pole) in poles.iter().enumerate() {
        let from = if at == 0 { "L1".to_owned() } else { format!("W{at}") };
        let to = if at + 1 == poles.len() { "L2".to_owned() } else { format!("W{}", at + 1) };
        let _ = writeln!(text, "    - {from} {pole} {to}");
    }
}

fn poles(part: &Wanted) -> Vec<String> {
    let of = |names: &[&str]| names.iter().map(|name| format!("{}.{name}", part.name)).collect();
    match part.group {
        Group::Contactors | Group::Relays => of(&["coil", "a"]),
        Group::SolidStateRelays => of(&["in", "out"]),
        Group::Controls => of(&["supply", "heat"]),
        Group::Transformers => of(&["primary", "secondary"]),
        Group::Outside => Vec::new(),
        _ => vec![part.name.clone()],
    }
}

fn part_lines(text: &mut String, part: &Wanted) {
    let lines = match part.group {
        Group::Disconnects | Group::Joints | Group::Outside => "",
        Group::Fuses => "amps: 20 A",
        Group::Switches => "closed when: always",
        Group::Contactors | Group::Relays => "volts: 208 V AC, ohms: 600 ohm, amps: 0.05 A",
        Group::SolidStateRelays => "volts: 12 V DC, ohms: 1000 ohm, works from: 4 V, leak: 100 kohm",
        Group::Elements => "watts: 1000 W, volts: 208 V AC, tolerance: watts +5 -10 %",
        Group::Motors => "volts: 208 V AC, amps: 0.5 A, ohms: 100 ohm",
        Group::Lamps => "volts: 208 V AC, watts: 2 W",
        Group::Coils => "volts: 208 V AC, ohms: 500 ohm, amps: 0.1 A",
        Group::Transformers => "primary: 208 V, secondary: 24 V, size: 40 VA",
        Group::Controls => "volts: 208 V AC, supply: 6 VA, closed when: heat on",
        Group::Outputs => "volts: 12 V DC, ohms: 100 ohm, closed when: heat on",
        Group::Sensors => "ohms: 1000 ohm",
        Group::Capacitors => "size: 5 uF, tolerance: ±6 %",
    };
    let body = if lines.is_empty() { "{}".to_owned() } else { format!("{{ {lines} }}") };
    let _ = writeln!(text, "    {}: {body}", part.name);
}

/// The usual faults, each as it stands and, as a comment, the line that strikes it out.
fn faults(text: &mut String, wanted: &[Wanted]) {
    text.push_str(
        "\n# The usual faults of each part.  `seen` is how often.  For one the unit never has, put the line below it in its place\n\
         # and say why.  A part with nothing left here keeps its usual faults all the same.\nfaults:\n",
    );
    for part in wanted {
        let usual: Vec<(&str, &str)> =
            part.group.usual().iter().filter_map(|u| Some((u.name, body(part.group, u.does)?))).collect();
        if part.group == Group::Outside {
            let _ = writeln!(text, "  {}:\n    worn: {{ seen: 1, shows: {{ result: too little }} }}", part.name);
            continue;
        }
        if usual.is_empty() {
            continue;
        }
        let _ = writeln!(text, "  {}:", part.name);
        let fault = |text: &mut String, name: &str, does: &str| {
            let _ = writeln!(text, "    {name}: {{ seen: 1, {does} }}\n    # {name}: none, REASON");
        };
        for (name, does) in usual {
            if part.group == Group::Transformers {
                for winding in ["primary", "secondary"] {
                    fault(text, &format!("{winding}-{name}"), &format!("opens: {winding}"));
                }
            } else {
                fault(text, name, does);
            }
        }
    }
}

/// How a sheet writes what a usual fault does.
fn body(group: Group, does: UsualDoes) -> Option<&'static str> {
    Some(match (does, group) {
        (UsualDoes::OpensEach, Group::Contactors | Group::Relays) => "opens: a",
        (UsualDoes::OpensEach, Group::SolidStateRelays) => "opens: out",
        (UsualDoes::OpensEach, _) => "opens: yes",
        // A switch that is always closed can't stick.
        (UsualDoes::ClosesEach, Group::Switches) => return None,
        (UsualDoes::ClosesEach, Group::Contactors | Group::Relays) => "closes: a",
        (UsualDoes::ClosesEach, Group::SolidStateRelays) => "closes: out",
        (UsualDoes::ClosesEach, Group::Controls) => "closes: heat",
        (UsualDoes::ClosesEach | UsualDoes::Shorts, _) => "closes: yes",
        (UsualDoes::OpensDriver, _) => "opens: coil",
        (UsualDoes::Dead, _) => "opens: yes",
        (UsualDoes::Grounded, _) => "where: 50 %, ohms: 1 ohm",
        (UsualDoes::Times(_), _) => "times: 0.6",
    })
}
