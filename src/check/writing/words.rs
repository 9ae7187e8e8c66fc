//! The lists of words the advice leans on. A word not on a list is let pass: false alarms are worse than misses.

use super::prose::Prose;

/// Verbs of an order that are hardly ever anything else.
static ORDERS: &[&str] = &[
    "adjust",
    "attach",
    "bolt",
    "bring",
    "calibrate",
    "compare",
    "confirm",
    "connect",
    "crimp",
    "de-energize",
    "disassemble",
    "discharge",
    "disconnect",
    "energize",
    "fasten",
    "find",
    "hang",
    "insert",
    "inspect",
    "install",
    "isolate",
    "listen",
    "locate",
    "loosen",
    "lubricate",
    "measure",
    "pour",
    "prove",
    "put",
    "raise",
    "re-energize",
    "re-install",
    "reassemble",
    "reattach",
    "reconnect",
    "reinstall",
    "remake",
    "remove",
    "reopen",
    "replace",
    "reseat",
    "restart",
    "retest",
    "rotate",
    "rub",
    "scrape",
    "select",
    "straighten",
    "tell",
    "tighten",
    "unbolt",
    "unclip",
    "unhook",
    "unlatch",
    "unplug",
    "unscrew",
    "untie",
    "verify",
    "wiggle",
    "wipe",
    "write",
];

/// Verbs of an order that are as well nouns or adjectives: they count with what follows them.
static PERHAPS_ORDERS: &[&str] = &[
    "bend", "bleed", "blow", "brush", "cap", "change", "check", "clamp", "clean", "clear", "click", "clip", "close",
    "comb", "copy", "count", "cover", "cut", "drain", "draw", "drill", "dry", "empty", "feel", "fill", "fit", "flip",
    "flush", "grease", "heat", "hold", "join", "label", "lift", "light", "lock", "look", "lower", "mark", "melt",
    "mount", "move", "note", "oil", "open", "paint", "pick", "plug", "press", "probe", "pull", "pump", "purge", "push",
    "read", "record", "release", "reset", "rinse", "route", "run", "scoop", "screw", "seal", "seat", "set", "shake",
    "shut", "slide", "soap", "spin", "splice", "spray", "squeeze", "start", "stir", "stop", "strip", "switch", "tag",
    "take", "tap", "tape", "test", "tie", "time", "trace", "turn", "twist", "vacuum", "vent", "wait", "warm", "wash",
    "watch", "weigh", "wrap",
];

/// Whether what follows makes an order of a verb that could be a noun: "clamp *the* lead", "turn *it*", "press *3* buttons".
fn takes_object(prose: &Prose<'_>, verb: usize) -> bool {
    let next = verb + 1;
    let object = matches!(
        prose.word(next),
        "the"
            | "a"
            | "an"
            | "it"
            | "them"
            | "each"
            | "every"
            | "both"
            | "all"
            | "any"
            | "your"
            | "its"
            | "their"
            | "this"
            | "that"
            | "these"
            | "those"
            | "one"
            | "two"
            | "three"
            | "four"
    );
    // "Turn off the fan"; but "the hose and clamp off the inlet".
    let particle = prose.starts_clause(verb)
        && matches!(prose.word(next), "off" | "out" | "back" | "up" | "down" | "apart" | "away" | "together");
    let looking = matches!(prose.word(verb), "look" | "wait" | "feel" | "watch" | "check" | "test")
        && matches!(prose.word(next), "at" | "for" | "into" | "behind" | "under" | "around" | "whether" | "that");
    let to_an_end = prose.starts_clause(verb) && prose.word(next) == "until";
    object || particle || looking || to_an_end || prose.is_number(next) || is_point(prose.raw(next))
}

/// A point of a circuit: `L1`, `TH1`, `NEUTRAL`.
fn is_point(raw: &str) -> bool {
    raw.starts_with(|c: char| c.is_ascii_uppercase())
        && raw.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'-')
}

/// Whether an order starts at this word: a verb that is nothing else, or one with its object.
pub(super) fn is_order(prose: &Prose<'_>, at: usize) -> bool {
    let word = prose.word(at);
    ORDERS.binary_search(&word).is_ok() || (is_perhaps_order(word) && takes_object(prose, at))
}

/// Whether the word can be the verb of an order.
pub(super) fn is_verb(word: &str) -> bool {
    ORDERS.binary_search(&word).is_ok() || is_perhaps_order(word)
}

fn is_perhaps_order(word: &str) -> bool {
    PERHAPS_ORDERS.binary_search(&word).is_ok()
}

/// Words a condition starts with: "If it is hot, …".
pub(super) fn opens_condition(word: &str) -> bool {
    matches!(
        word,
        "if" | "when"
            | "while"
            | "with"
            | "without"
            | "once"
            | "before"
            | "after"
            | "where"
            | "unless"
            | "until"
            | "at"
            | "on"
            | "in"
            | "for"
            | "as"
            | "from"
            | "to"
            | "during"
            | "whenever"
            | "by"
            | "through"
            | "only"
    )
}

/// Past participles of orders, and the order: "removed", "remove".
static DONE: &[(&str, &str)] = &[
    ("adjusted", "adjust"),
    ("attached", "attach"),
    ("calibrated", "calibrate"),
    ("checked", "check"),
    ("cleaned", "clean"),
    ("cleared", "clear"),
    ("closed", "close"),
    ("connected", "connect"),
    ("copied", "copy"),
    ("cut", "cut"),
    ("discharged", "discharge"),
    ("disconnected", "disconnect"),
    ("drained", "drain"),
    ("emptied", "empty"),
    ("filled", "fill"),
    ("fitted", "fit"),
    ("flushed", "flush"),
    ("held", "hold"),
    ("inspected", "inspect"),
    ("installed", "install"),
    ("isolated", "isolate"),
    ("kept", "keep"),
    ("locked", "lock"),
    ("loosened", "loosen"),
    ("lowered", "lower"),
    ("lubricated", "lubricate"),
    ("marked", "mark"),
    ("measured", "measure"),
    ("moved", "move"),
    ("noted", "note"),
    ("opened", "open"),
    ("placed", "place"),
    ("plugged", "plug"),
    ("pressed", "press"),
    ("pulled", "pull"),
    ("purged", "purge"),
    ("pushed", "push"),
    ("put", "put"),
    ("raised", "raise"),
    ("read", "read"),
    ("reconnected", "reconnect"),
    ("recorded", "record"),
    ("released", "release"),
    ("removed", "remove"),
    ("replaced", "replace"),
    ("reset", "reset"),
    ("restarted", "restart"),
    ("rinsed", "rinse"),
    ("secured", "secure"),
    ("set", "set"),
    ("shut", "shut"),
    ("started", "start"),
    ("stopped", "stop"),
    ("switched", "switch"),
    ("tagged", "tag"),
    ("taken", "take"),
    ("taped", "tape"),
    ("tested", "test"),
    ("tightened", "tighten"),
    ("turned", "turn"),
    ("unplugged", "unplug"),
    ("used", "use"),
    ("vented", "vent"),
    ("verified", "verify"),
    ("washed", "wash"),
    ("wiped", "wipe"),
    ("worn", "wear"),
];

/// The order a past participle is of: "removed" is of "remove".
pub(super) fn order_of(participle: &str) -> Option<&'static str> {
    let at = DONE.binary_search_by(|(done, _)| (*done).cmp(participle)).ok()?;
    DONE.get(at).map(|(_, order)| *order)
}

/// The text as the start of a sentence.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The text as the middle of a sentence: its first letter small, unless it is a name or a point in capitals.
pub(super) fn small(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_sorted_for_the_search() {
        assert!(ORDERS.is_sorted(), "orders");
        assert!(PERHAPS_ORDERS.is_sorted(), "perhaps orders");
        assert!(DONE.is_sorted(), "participles");
    }

    #[test]
    fn capitals() {
        assert_eq!(capital("look at it"), "Look at it");
        assert_eq!(small("Look at it"), "look at it");
        assert_eq!(small("A coil"), "a coil");
        assert_eq!(small("L1 to L2"), "L1 to L2");
        assert_eq!((capital(""), small("")), (String::new(), String::new()));
    }
}
