//! What a signal word speaks of.
//!
//! A danger about the fan warns nobody of the live parts beside it. So a rule that asks for a signal word asks for one that names
//! *that* hazard. The word lists are ours; common practice, no source.

/// What can hurt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hazard {
    /// Live parts: power on, hands or leads in.
    LiveParts,
    /// What a capacitor still holds with the power off.
    StoredCharge,
    /// Gas that burns.
    Gas,
    /// Refrigerant under pressure.
    Refrigerant,
}

impl Hazard {
    /// Whether the words behind a signal word speak of it.
    #[must_use]
    pub fn is_spoken_of(self, text: &str) -> bool {
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let has = |wanted: &[&str]| words.iter().any(|word| wanted.contains(word));
        match self {
            Self::LiveParts => live(&words) || (volts(&words) && !has(OTHER_VOLTS)),
            Self::StoredCharge => has(CHARGE),
            Self::Gas => burns(words.iter().copied()) || has(GAS),
            Self::Refrigerant => has(REFRIGERANT),
        }
    }
}

/// Volts that are not those of the supply: a capacitor's, a spark's, a tester's.
const OTHER_VOLTS: &[&str] = &[
    "capacitor",
    "capacitors",
    "charge",
    "charged",
    "spark",
    "sparks",
    "ignition",
    "igniter",
    "tester",
    "megger",
    "static",
];
const CHARGE: &[&str] = &["capacitor", "capacitors", "charge", "charged"];
const GAS: &[&str] =
    &["propane", "flame", "flames", "fire", "flash", "flashes", "explode", "explodes", "explosion", "burner"];
const REFRIGERANT: &[&str] = &["refrigerant", "freeze", "freezes", "frostbite", "r290"];

/// "208 V live parts", "the receptacle is live", "hot leads", "shock"; not "live steam", not "no live parts".
fn live(words: &[&str]) -> bool {
    words.iter().enumerate().any(|(at, word)| {
        let before = at.checked_sub(1).and_then(|before| words.get(before)).copied().unwrap_or("");
        let next = words.get(at + 1).copied().unwrap_or("");
        match *word {
            "live" | "energized" => {
                !matches!(before, "no" | "not" | "never") && !matches!(next, "steam" | "fire" | "flame" | "flames")
            }
            "hot" => matches!(next, "wire" | "wires" | "lead" | "leads" | "leg" | "legs" | "terminal" | "terminals"),
            "electrocute" | "electrocutes" | "electrocution" | "electricity" | "shock" | "shocks" => true,
            _ => false,
        }
    })
}

/// "208 V", "high voltage", "thousands of volts".
fn volts(words: &[&str]) -> bool {
    words.iter().enumerate().any(|(at, word)| {
        let number = at.checked_sub(1).and_then(|before| words.get(before)).is_some_and(|w| w.parse::<u32>().is_ok());
        matches!(*word, "volts" | "voltage") || (number && matches!(*word, "v" | "kv" | "vac" | "vdc"))
    })
}

/// Whether these words are of gas that burns: not of "hot gas" or "suction gas", which is refrigerant.
pub fn burns<'a>(words: impl Iterator<Item = &'a str>) -> bool {
    let mut before = "";
    for word in words {
        if word == "gas" && !matches!(before, "hot" | "suction" | "discharge" | "refrigerant") {
            return true;
        }
        before = word;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::Hazard::{self, *};

    #[test]
    fn a_signal_word_speaks_of_one_thing() {
        let cases: &[(&str, &[Hazard])] = &[
            ("208 V live parts behind this cover will kill: keep hands out.", &[LiveParts]),
            ("Live parts in this box: keep hands out, probe only where told.", &[LiveParts]),
            ("The plug is out but the receptacle is still live: keep fingers behind the guards.", &[LiveParts]),
            ("208 V can kill: keep hands out of the terminal box.", &[LiveParts]),
            ("Hot leads at the block: keep hands out.", &[LiveParts]),
            ("A shock from this block kills: keep out.", &[LiveParts]),
            ("208 V live parts and a turning fan: keep hands, sleeves and tools out of the fan.", &[LiveParts]),
            ("120 V live parts, and thousands of volts at the spark lead: keep hands out.", &[LiveParts]),
            ("Thousands of volts at the spark lead: keep hands off it.", &[]),
            ("The tester puts 500 V on the element leads: keep hands off them.", &[]),
            ("A charged capacitor holds over 300 V and can kill: keep off its terminals.", &[StoredCharge]),
            ("Live steam burns: keep back.", &[]),
            ("No live parts here, but the edge cuts: wear gloves.", &[]),
            ("A turning fan takes fingers: keep hands out.", &[]),
            ("Gas can light late and flash: keep your face away from the opening.", &[Gas]),
            ("Hot gas line burns: keep hands off.", &[]),
            ("Refrigerant under pressure freezes skin and eyes: wear gloves and goggles.", &[Refrigerant]),
        ];
        for (text, want) in cases {
            for hazard in [LiveParts, StoredCharge, Gas, Refrigerant] {
                assert_eq!(hazard.is_spoken_of(text), want.contains(&hazard), "{hazard:?}: {text}");
            }
        }
    }
}
