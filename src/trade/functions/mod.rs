//! The functions a `calculate` line may call.
//!
//! 1. [`all`]: the one list; a row is a [`Function`]: name, arguments, what it gives, one line of help, an example.
//! 2. [`find`] looks a name up; [`nearest`] says which names were likely meant.
//! 3. [`Function::result`] checks what stands between the brackets and gives the dimension of the answer.
//! 4. [`Function::value`] does the sum on base units (V, A, s, °C, kPa gauge, liter, mm, and a ratio for %).
//!
//! An `OL` among the arguments makes the answer `OL`, except for `lowest` and `highest`, which compare with `OL`
//! above all numbers.
//!
//! Every row has a [`Function::form`]: the same sum written with `+ - * / sqrt` and the tables of this room, step by
//! step, so that a page's script can repeat it and land on the same last digit. A test reads the forms and holds
//! them to the bodies bit for bit.

mod comparing;
mod fuel_and_water;
mod function;
mod heating;
mod misuse;
mod refrigeration;
mod sensing;

pub use function::{Arg, ArgValue, Argument, Example, Function, Gives, How, Kind, Words};
pub use misuse::Misuse;

/// The one list, in the order the guide tells them.
static FUNCTIONS: &[Function] = &[
    comparing::LOWEST,
    comparing::HIGHEST,
    comparing::AVERAGE,
    comparing::SPREAD,
    comparing::UNBALANCE,
    heating::WATTS_AT,
    heating::AMPS_AT,
    heating::ELEMENT_OHMS,
    heating::LINE_AMPS,
    heating::PULSE_AVERAGE,
    heating::PULSE_RMS,
    heating::CAPACITOR,
    sensing::PROBE_TEMPERATURE,
    sensing::PROBE_OHMS,
    sensing::THERMOCOUPLE_TEMPERATURE,
    sensing::THERMOCOUPLE_VOLTS,
    sensing::THERMISTOR_TEMPERATURE,
    sensing::THERMISTOR_OHMS,
    sensing::LOOP_VALUE,
    refrigeration::EVAPORATING,
    refrigeration::CONDENSING,
    refrigeration::SUPERHEAT,
    refrigeration::SUBCOOLING,
    refrigeration::DEW_PRESSURE,
    refrigeration::BUBBLE_PRESSURE,
    fuel_and_water::BURNER_INPUT,
    fuel_and_water::INPUT_AT,
    fuel_and_water::AIR_FREE,
    fuel_and_water::RINSE_RISE,
    fuel_and_water::BOILING_POINT,
];

/// Every function there is.
#[must_use]
pub fn all() -> &'static [Function] {
    FUNCTIONS
}

/// The function of this name, written exactly so.
#[must_use]
pub fn find(name: &str) -> Option<&'static Function> {
    FUNCTIONS.iter().find(|function| function.name == name)
}

/// The names that may have been meant by `name`, likeliest first, then by the alphabet.
#[must_use]
pub fn nearest(name: &str) -> Vec<&'static str> {
    likely(name, FUNCTIONS.iter().map(|function| function.name))
}

/// Of `candidates` those a slip of the finger away from `word`: the same but for capitals, or at most a third of
/// its letters off. Likeliest first, then by the alphabet.
pub(super) fn likely(word: &str, candidates: impl Iterator<Item = &'static str>) -> Vec<&'static str> {
    let typed = word.to_lowercase();
    let most = (typed.chars().count() / 3).max(1);
    let mut found: Vec<(usize, &'static str)> = candidates
        .map(|name| (strsim::damerau_levenshtein(&typed, &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= most)
        .collect();
    found.sort_unstable();
    found.into_iter().map(|(_, name)| name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_found_and_slips_are_met() {
        assert_eq!(find("unbalance").map(|f| f.name), Some("unbalance"));
        assert!(find("Unbalance").is_none());
        for (typed, want) in [("Unbalance", vec!["unbalance"]), ("lowset", vec!["lowest"]), ("volts", vec![])] {
            assert_eq!(nearest(typed), want, "{typed}");
        }
    }

    #[test]
    fn every_name_is_written_once_in_small_letters_and_hyphens() {
        let mut names: Vec<&str> = all().iter().map(|f| f.name).collect();
        for name in &names {
            assert!(name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'), "{name}");
        }
        names.sort_unstable();
        let rows = names.len();
        names.dedup();
        assert_eq!(names.len(), rows);
    }
}
