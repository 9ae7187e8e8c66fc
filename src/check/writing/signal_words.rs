//! What stands behind `danger`, `warning`, `caution` and `notice`: the hazard, what it does, how to keep clear; no work.

use super::prose::{Finding, Line, Mark, Prose};
use super::words::{capital, is_order, is_verb};
use crate::language::fill_in::{HAZARD, KEEP_CLEAR};
use crate::language::syntax::Signal;
use crate::text::rule::{Level, Rule};
use std::ops::Range;

/// Work inside a signal word. Sources: ASD-STE100, rule 5.5; DOE-STD-1029-92 (from memory).
pub static ACTION: Rule = Rule {
    code: "action-in-caution",
    level: Level::Warning,
    says: "A signal word tells the hazard and how to keep clear of it; the work itself is a `do`.",
    why: "Cautions are read as cautions, and a step inside one is not done (ASD-STE100, rule 5.5). \"Do not\", \"keep\" and \"wear\" may stay.",
    wrong: "danger  A charged capacitor can kill: discharge it through the resistor first.",
    mended: "danger  A charged capacitor can kill: keep fingers off its terminals.\ndo      Discharge it through the resistor.",
};

/// A signal word that only forbids. Sources: DITA 1.3, hazard statement; ANSI Z535.6 (from memory).
pub static NO_HAZARD: Rule = Rule {
    code: "no-hazard-named",
    level: Level::Warning,
    says: "A signal word names what hurts and what it does.",
    why: "Who knows what burns keeps clear of all of it; who is only told \"be careful\" does not know of what (DITA 1.3, hazard statement).",
    wrong: "caution  Be careful.",
    mended: "caution  The rod holder stays hot and burns: keep bare hands off it.",
};

/// A signal word that only frightens. Sources: as [`NO_HAZARD`].
pub static NO_WAY_OUT: Rule = Rule {
    code: "no-way-to-keep-clear",
    level: Level::Warning,
    says: "A signal word says how to keep clear of the hazard.",
    why: "The hazard alone leaves a new hire standing there (DITA 1.3, hazard statement).",
    wrong: "danger  208 V live parts behind this cover will kill.",
    mended: "danger  208 V live parts behind this cover will kill: keep hands out, touch only with the probes.",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    let Line::Signal(signal) = prose.line else { return };
    if prose.len() == 0 {
        return;
    }
    if let Some(action) = actions(prose).next() {
        found.push(tell_action(prose, action));
        return;
    }
    let hazard = (0..prose.len()).any(|at| is_hazard(prose, at));
    if !hazard && only_orders(prose) {
        let keyword = signal.word();
        let message = format!("`{}` does not say what {} or how.", prose.text.trim_end_matches('.'), hurts(signal));
        let tail = prose.text.trim_end_matches('.');
        let instead = if is_empty_talk(prose, 0) {
            format!("{keyword}  {HAZARD}: {KEEP_CLEAR}.")
        } else {
            format!("{keyword}  {HAZARD}: {}.", super::words::small(tail))
        };
        found.push(Finding { rule: &NO_HAZARD, at: prose.bytes(0..prose.len()), message, instead: Some(instead) });
    } else if !(0..prose.len()).any(|at| keeps_clear(prose, at)) {
        let text = prose.text.trim_end_matches(['.', '!']);
        let message = format!("`{text}` does not say how to keep clear.");
        let instead = format!("{}  {text}: {}.", signal.word(), way_out(prose));
        found.push(Finding { rule: &NO_WAY_OUT, at: prose.bytes(0..prose.len()), message, instead: Some(instead) });
    }
}

/// Where work is ordered: from the verb to the end of its clause.
fn actions<'a>(prose: &'a Prose<'a>) -> impl Iterator<Item = Range<usize>> + 'a {
    (0..prose.len()).filter(move |&at| prose.starts_clause(at) && is_order(prose, at)).filter_map(move |at| {
        let length =
            (at..prose.len()).position(|word| prose.mark(word) != Mark::None).map_or(prose.len() - at, |last| last + 1);
        // "Touch it only with the probes" and "lift it with two people" say how to keep clear, not what to do;
        // "watch the blade" is care.
        let how = (at..at + length).any(|word| matches!(prose.word(word), "only" | "never" | "not"));
        let care =
            matches!(prose.word(at), "watch" | "hold" | "look" | "lift" | "wait" | "stop" | "cover" | "clear" | "tie");
        (!how && !care).then_some(at..at + length)
    })
}

fn tell_action(prose: &Prose<'_>, action: Range<usize>) -> Finding {
    let words = prose.slice(action.clone());
    let message = format!("`{words}` is work to be done, not a way to keep clear. Give it a `do` of its own.");
    let rest = prose.bytes(0..action.start);
    let before = prose.text.get(..rest.end).unwrap_or("");
    // Where the work stands last, the hazard in front of it is kept as written.
    let last = action.end == prose.len() && !before.is_empty();
    let order = drop_first(words);
    let instead = last.then(|| {
        let keep = if (0..action.start).any(|at| keeps_clear(prose, at)) {
            String::new()
        } else {
            format!(": {}", way_out(prose))
        };
        format!("{}  {before}{keep}.\ndo  {}.", prose.line.keyword(), capital(order))
    });
    Finding { rule: &ACTION, at: prose.bytes(action), message, instead }
}

/// "drain the vat first": the order of lines says that already.
fn drop_first(words: &str) -> &str {
    words.strip_suffix(" first").unwrap_or(words)
}

/// Whether every clause is an order or empty talk: nothing says what hurts.
fn only_orders(prose: &Prose<'_>) -> bool {
    (0..prose.len()).filter(|&at| prose.starts_clause(at)).all(|at| {
        is_empty_talk(prose, at)
            || is_verb(prose.word(at))
            || matches!(
                prose.word(at),
                "keep"
                    | "wear"
                    | "do"
                    | "never"
                    | "don't"
                    | "use"
                    | "let"
                    | "stay"
                    | "stand"
                    | "avoid"
                    | "make"
                    | "touch"
                    | "allow"
                    | "leave"
            )
    })
}

fn is_empty_talk(prose: &Prose<'_>, at: usize) -> bool {
    matches!(prose.word(at), "careful" | "caution" | "danger" | "warning" | "attention" | "beware")
        || prose.is(at, &["be", "careful"])
        || prose.is(at, &["take", "care"])
        || prose.is(at, &["use", "caution"])
        || prose.is(at, &["use", "care"])
        || prose.is(at, &["work", "carefully"])
        || prose.is(at, &["work", "safely"])
        || prose.is(at, &["be", "aware"])
}

/// What hurts, or what it does. A long list on purpose: it only has to tell something from nothing.
fn is_hazard(prose: &Prose<'_>, at: usize) -> bool {
    let word = prose.word(at);
    if prose.is_number(at) && prose.unit_words(at + 1) > 0 {
        return true;
    }
    matches!(
        word,
        "live"
            | "hot"
            | "steam"
            | "gas"
            | "flame"
            | "flames"
            | "fire"
            | "oil"
            | "grease"
            | "water"
            | "ice"
            | "refrigerant"
            | "ammonia"
            | "acid"
            | "lye"
            | "caustic"
            | "chemical"
            | "chemicals"
            | "cleaner"
            | "sanitizer"
            | "fumes"
            | "smoke"
            | "monoxide"
            | "co"
            | "sharp"
            | "blade"
            | "blades"
            | "edges"
            | "glass"
            | "heavy"
            | "pressure"
            | "spring"
            | "springs"
            | "charged"
            | "charge"
            | "capacitor"
            | "voltage"
            | "volts"
            | "electric"
            | "current"
            | "arc"
            | "spark"
            | "sparks"
            | "moving"
            | "belt"
            | "belts"
            | "chain"
            | "gears"
            | "slick"
            | "wet"
            | "lit"
            | "burner"
            | "explosive"
            | "toxic"
            | "poison"
            | "dust"
            | "asbestos"
            | "kill"
            | "kills"
            | "burn"
            | "burns"
            | "scald"
            | "scalds"
            | "shock"
            | "shocks"
            | "cut"
            | "cuts"
            | "crush"
            | "crushes"
            | "pinch"
            | "pinches"
            | "freeze"
            | "freezes"
            | "blind"
            | "blinds"
            | "explode"
            | "explodes"
            | "ignite"
            | "ignites"
            | "fall"
            | "falls"
            | "slip"
            | "slips"
            | "strike"
            | "strikes"
            | "bite"
            | "bites"
            | "sick"
            | "spray"
            | "sprays"
            | "start"
            | "starts"
            | "move"
            | "moves"
            | "drop"
            | "drops"
            | "tip"
            | "tips"
            | "break"
            | "breaks"
            | "crack"
            | "cracks"
            | "damage"
            | "damages"
            | "bend"
            | "bends"
            | "puncture"
            | "punctures"
            | "short"
            | "shorts"
            | "leak"
            | "leaks"
            | "flood"
            | "floods"
            | "injure"
            | "injures"
            | "hurt"
            | "hurts"
            | "suffocate"
            | "choke"
            | "ruin"
            | "ruins"
            | "strip"
            | "strips"
            | "trip"
            | "trips"
            | "overheat"
            | "overheats"
            | "melt"
            | "melts"
            | "jam"
            | "jams"
            | "wear-out"
            | "roll"
            | "rolls"
            | "stays"
            | "food"
            | "sewage"
            | "uv"
            | "x-ray"
    )
}

/// Words that tell how to keep clear.
fn keeps_clear(prose: &Prose<'_>, at: usize) -> bool {
    let word = prose.word(at);
    matches!(
        word,
        "keep"
            | "not"
            | "don't"
            | "never"
            | "wear"
            | "stay"
            | "stand"
            | "only"
            | "avoid"
            | "clear"
            | "away"
            | "use"
            | "let"
            | "gloves"
            | "glasses"
            | "goggles"
            | "shield"
            | "apron"
            | "sleeves"
            | "hands"
            | "fingers"
            | "before"
            | "until"
            | "unless"
            | "with"
            | "without"
            | "watch"
            | "leave"
            | "ventilate"
            | "no"
            | "hold"
            | "lift"
            | "wait"
            | "stop"
            | "mind"
            | "touch"
            | "work"
            | "have"
            | "must"
            | "cool"
            | "first"
            | "allow"
            | "make"
            | "two"
            | "back"
            | "off"
            | "beware"
            | "cover"
            | "protect"
            | "at"
    ) && (prose.starts_clause(at)
        || !matches!(
            word,
            "stay" | "cover" | "at" | "cool" | "stop" | "hold" | "work" | "back" | "off" | "two" | "hands"
        ))
        && !(at == 0 && matches!(word, "two" | "no" | "hands"))
}

/// A way to keep clear that goes with the hazard.
fn way_out(prose: &Prose<'_>) -> &'static str {
    let any = |words: &[&str]| (0..prose.len()).any(|at| words.contains(&prose.word(at)));
    if any(&["live", "v", "voltage", "volts", "charged", "capacitor", "shock", "shocks"]) {
        "keep hands out, touch only with the probes"
    } else if any(&["hot", "burn", "burns", "scald", "scalds", "steam", "oil"]) {
        "keep bare hands off it"
    } else if any(&["blade", "blades", "moving", "belt", "fan", "starts", "start", "pinch", "pinches"]) {
        "keep fingers clear"
    } else if any(&["sharp", "edges", "cut", "cuts", "glass"]) {
        "wear gloves"
    } else if any(&["gas", "explode", "explodes"]) {
        "keep flames and sparks away"
    } else if any(&["acid", "lye", "caustic", "chemical", "chemicals", "cleaner", "delimer", "refrigerant"]) {
        "wear gloves and goggles"
    } else {
        KEEP_CLEAR
    }
}

fn hurts(signal: Signal) -> &'static str {
    if signal == Signal::Notice { "breaks" } else { "hurts" }
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;

    const DANGER: Line<'_> = Line::Signal(Signal::Danger);
    const CAUTION: Line<'_> = Line::Signal(Signal::Caution);

    static SOUND: &[&str] = &[
        "208 V live parts behind this cover will kill: keep hands out, touch only with the probes.",
        "208 V live parts behind this cover will kill: keep hands out, clamp only the taped leads.",
        "The plug is out but the receptacle is still live: keep fingers behind the probe guards.",
        "Live parts in this box: keep hands out, probe only where told.",
        "Hot oil burns: never light a vat that is empty.",
        "The sensor lead can bite while it sparks. Do not touch the clips during the try.",
        "Let it cool. The burner box is over 400 °F after a run.",
        "Burner is lit in front of you. Sleeves down, glasses on.",
        "Flame can roll out: keep your face away from the opening.",
        "Coil fins cut: wear gloves.",
        "The fan housing is over 150 °F and burns: wear gloves.",
        "Water on the floor makes it slick: keep a bucket under the coil.",
        "The tank is heavy: lift it with two people.",
        "A sharp tool punctures the coil: do not chip the ice.",
        "A wrong menu line can change the set point range: keep to the offset line.",
        "The deck spring can strike: hold the lever with both hands.",
        "Steam burns: stand beside the door, never in front of it.",
        "The chain can catch sleeves: roll them up, tie back long hair.",
        "The blower starts by itself. Keep fingers off the wheel.",
    ];

    #[test]
    fn no_work_in_a_caution() {
        table(
            check,
            DANGER,
            "action-in-caution",
            &[
                "A charged capacitor can kill: discharge it through the resistor first.",
                "Hot oil burns: drain the vat first.",
                "Live parts behind the cover: pull the plug.",
                "Gas can explode: close the cock.",
                "Steam burns. Open the vent.",
                "The tank is under pressure, release it first.",
                "208 V can kill: test the terminals before you touch them.",
                "Disconnect the power.",
                "Turn the gas off first.",
                "Hot water scalds: shut the valve.",
                "The belt can start: remove the belt.",
                "The spring strikes: take the load off.",
                "Fumes choke: switch the hood fan on with both hands.",
                "The element stays live: put the meter on it.",
                "Refrigerant freezes: install the caps.",
                "Caustic burns: rinse the pump.",
            ],
            SOUND,
        );
    }

    #[test]
    fn the_hazard_is_named() {
        table(
            check,
            CAUTION,
            "no-hazard-named",
            &[
                "Be careful.",
                "Take care.",
                "Use caution.",
                "Wear gloves.",
                "Keep hands out.",
                "Let it cool first.",
                "Do not touch.",
                "Never reach in.",
                "Stay clear of the hood.",
                "Avoid the rack.",
                "Keep back, wear glasses.",
                "Do not lean on the door.",
                "Wear goggles and an apron.",
                "Use care.",
                "Work safely.",
                "Stand back.",
            ],
            SOUND,
        );
    }

    #[test]
    fn the_way_to_keep_clear_is_said() {
        table(
            check,
            DANGER,
            "no-way-to-keep-clear",
            &[
                "208 V live parts behind this cover will kill.",
                "Hot oil burns.",
                "The sensor lead can bite while it sparks.",
                "Fan blades cut.",
                "The receptacle is live.",
                "The tank holds 180 °F water.",
                "The capacitor is charged.",
                "Steam!",
                "Gas can explode.",
                "Refrigerant freezes skin and eyes.",
                "The door spring can strike.",
                "Live parts.",
                "Sharp edges inside.",
                "The floor is slick.",
                "The blower starts by itself.",
                "Elements stay over 200 °F and burn.",
            ],
            SOUND,
        );
    }

    #[test]
    fn the_line_is_written_out() {
        let cases = [
            (
                "A charged capacitor can kill: discharge it through the resistor first.",
                "danger  A charged capacitor can kill: keep hands out, touch only with the probes.\ndo  Discharge it through the resistor.",
            ),
            ("Steam burns: keep back. Open the vent.", "danger  Steam burns: keep back.\ndo  Open the vent."),
            (
                "208 V live parts behind this cover will kill.",
                "danger  208 V live parts behind this cover will kill: keep hands out, touch only with the probes.",
            ),
            ("Keep hands out.", "danger  WHAT-CAN-HURT: keep hands out."),
            ("Be careful.", "danger  WHAT-CAN-HURT: HOW-TO-KEEP-CLEAR."),
        ];
        for (text, want) in cases {
            assert_eq!(instead(check, DANGER, text), want, "{text}");
        }
    }
}
