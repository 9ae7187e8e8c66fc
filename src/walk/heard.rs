//! What was typed: a word to the walk itself, a yes, an answer by its words, a reading. Understood here, acted on elsewhere.

use crate::text::english::list;
use crate::trade::quantity::NumberSlip;
use crate::trade::reading::{Reading, ReadingSlip};
use crate::trade::unit::{Current, Unit};

/// A word to the walk itself; each can be said at any step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Order {
    /// What can be said here.
    Help,
    /// The last answer back.
    Back,
    /// Words for the record.
    Note(String),
    /// Can't do this one.
    Cannot,
    /// Stop: not safe.
    Stop,
    /// The part is not on the truck.
    NoPart,
    /// Go on another time.
    Pause,
    /// The step once more.
    Again,
    /// What was found so far.
    SoFar,
    /// The tests owed.
    Owed,
}

/// What can be said at any step, and what it does: the list `?` prints.
pub const ORDERS: [(&str, &str); 9] = [
    ("stop", "It is not safe. The walk ends in a hand-over."),
    ("can't", "You can't do this one: no access, no tool, not allowed."),
    ("no part", "The part is not on the truck."),
    ("back", "Take the last answer back. What was changed on the unit stays changed."),
    ("note WORDS", "Put words in the record."),
    ("again", "Show this step again."),
    ("so far", "Show what was found so far."),
    ("owed", "Show the tests still owed after a repair."),
    ("pause", "Leave off here, and go on another time."),
];

/// The word to the walk in a line, if it is one.
#[must_use]
pub fn order(line: &str) -> Option<Order> {
    let line = line.trim();
    let folded = folded(line);
    if folded == "note" || folded.starts_with("note ") {
        return Some(Order::Note(line.get(4..).unwrap_or("").trim().to_owned()));
    }
    Some(match folded.as_str() {
        "?" | "help" => Order::Help,
        "back" => Order::Back,
        "can't" | "cant" | "can not" | "cannot" | "can't do" | "can't do it" | "can't do this"
        | "can't do this one" => Order::Cannot,
        "stop" | "not safe" | "stop not safe" => Order::Stop,
        "no part" | "no parts" | "part not on the truck" | "not on the truck" => Order::NoPart,
        "pause" | "quit" | "exit" => Order::Pause,
        "again" => Order::Again,
        "so far" => Order::SoFar,
        "owed" => Order::Owed,
        _ => return None,
    })
}

/// Small letters, single blanks, straight apostrophes, no comma or stop at a word's end.
#[must_use]
pub fn folded(line: &str) -> String {
    let words = line.split_whitespace().map(|word| word.trim_end_matches([',', '.', '!']));
    words.collect::<Vec<_>>().join(" ").to_lowercase().replace('’', "'")
}

/// Whether it says that something is done.
#[must_use]
pub fn is_yes(line: &str) -> bool {
    matches!(folded(line).as_str(), "y" | "yes" | "done" | "ok" | "it is" | "it does")
}

/// Whether it says no.
#[must_use]
pub fn is_no(line: &str) -> bool {
    matches!(folded(line).as_str(), "n" | "no" | "not" | "not yet" | "no it does not")
}

/// Whether it is what a meter shows and nothing else: `120`, `2.3 A`, `1,200`, `OL`.
#[must_use]
pub fn is_reading(line: &str) -> bool {
    if line.contains(|c: char| c.is_ascii_digit()) && !line.contains(char::is_alphabetic) {
        return true;
    }
    let said = Unit::of("V").map(|unit| Reading::parse(line, unit));
    use ReadingSlip::{BelowZero, NoOverLimit, WrongCurrent, WrongUnit};
    matches!(said, Some(Ok(_) | Err(WrongUnit(_) | WrongCurrent(_) | NoOverLimit | BelowZero)))
}

/// Which of several answers was meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picked {
    /// This one.
    One(usize),
    /// One of these.
    Several(Vec<usize>),
    /// None.
    None,
}

/// The answer meant: its words, else its beginning, else the beginning of a word in it that no other answer has.
/// In quotes, only its words: for an answer that reads like an order.
#[must_use]
pub fn pick<T: AsRef<str>>(line: &str, answers: &[T]) -> Picked {
    let quoted = line.trim().trim_matches('"');
    let typed = folded(quoted);
    if typed.is_empty() {
        return Picked::None;
    }
    let answers: Vec<String> = answers.iter().map(|answer| folded(answer.as_ref())).collect();
    let all = |fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        answers.iter().enumerate().filter(|(_, answer)| fits(answer)).map(|(at, _)| at).collect()
    };
    // "no" is no beginning of "normal", nor "y" of "yellow flame": a bare yes or no is a whole word.
    let word = match typed.as_str() {
        "n" | "no" => Some("no"),
        "y" | "yes" => Some("yes"),
        _ => None,
    };
    if let Some(word) = word {
        return match all(&|answer| answer == typed || answer.split([' ', ',']).next() == Some(word)).as_slice() {
            [] => Picked::None,
            [one] => Picked::One(*one),
            several => several
                .iter()
                .find(|at| answers.get(**at).is_some_and(|answer| answer == word))
                .map_or_else(|| Picked::Several(several.to_vec()), |at| Picked::One(*at)),
        };
    }
    let tries = [
        all(&|answer| answer == typed),
        all(&|answer| answer.starts_with(&typed)),
        all(&|answer| answer.split(' ').enumerate().any(|(nth, _)| from_word(answer, nth).starts_with(&typed))),
    ];
    for found in tries {
        match found.as_slice() {
            [] => {}
            [one] => return Picked::One(*one),
            _ => return Picked::Several(found),
        }
    }
    Picked::None
}

/// The answer from its word of this number on.
fn from_word(answer: &str, nth: usize) -> &str {
    answer.match_indices(' ').nth(nth.wrapping_sub(1)).and_then(|(at, _)| answer.get(at + 1..)).unwrap_or(answer)
}

/// "volts AC", as the question mark of a reading.
#[must_use]
pub fn spoken(unit: Unit) -> String {
    match unit.current() {
        Some(Current::Ac) => format!("{} AC", unit.spoken()),
        Some(Current::Dc) => format!("{} DC", unit.spoken()),
        None => unit.spoken().to_owned(),
    }
}

/// Why a typed reading is asked back, and what to type instead.
#[must_use]
pub fn asked_back(slip: &ReadingSlip, unit: Unit) -> String {
    let asked = spoken(unit);
    match slip {
        ReadingSlip::Empty => format!("Type what the meter shows, in {asked}."),
        ReadingSlip::Number(slip, text) => number_back(*slip, text, &asked),
        ReadingSlip::UnknownUnit(name) => {
            format!(
                "`{name}` is no unit known here. This reading is in {asked}: type the number, or the number and its unit."
            )
        }
        ReadingSlip::WrongUnit(typed) => format!(
            "That is {}, and this step asks for {asked}. Look at the switch of the meter and read again.",
            spoken(*typed)
        ),
        ReadingSlip::WrongCurrent(typed) => format!(
            "That is {}, and this step asks for {asked}. Turn the meter to the right one and read again.",
            spoken(*typed)
        ),
        ReadingSlip::NoOverLimit => format!(
            "OL belongs to ohms. On {asked} it means the range is too small: go up a range and type the number."
        ),
        ReadingSlip::BelowZero => format!("A meter on {asked} shows no minus. Read again and type the number."),
    }
}

fn number_back(slip: NumberSlip, text: &str, asked: &str) -> String {
    // `,5` is no number to the language, and here a slip like any other.
    let bare = |c: char| c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | '−' | '+');
    if text.contains(',') && text.contains(|c: char| c.is_ascii_digit()) && text.chars().all(bare) {
        return comma_back(text);
    }
    match slip {
        NumberSlip::Comma => comma_back(text),
        NumberSlip::Fraction => format!("`{text}`: type it with a decimal point, as in 0.125."),
        NumberSlip::Dash => format!("`{text}` is two numbers. Type the one this step asks for."),
        NumberSlip::Exponent => format!("`{text}`: type it in plain digits."),
        NumberSlip::TooLong => format!("`{text}` has more digits than a meter shows. Type what the meter shows."),
        NumberSlip::NotANumber => format!("`{text}` is no number. Type what the meter shows, in {asked}."),
    }
}

/// A number with a comma: behind groups of three it only parts them, else it stands where a point belongs.
fn comma_back(text: &str) -> String {
    let (sign, digits) = match text.strip_prefix(['-', '−', '+']) {
        Some(digits) => (text.get(..text.len() - digits.len()).unwrap_or(""), digits),
        None => ("", text),
    };
    let without = digits.replace(',', "");
    if parts_groups(digits, ',', '.') {
        return format!("`{text}`: leave the comma out: {sign}{without}.");
    }
    let number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    match digits.split_once(',') {
        // As it is written where the comma is the decimal point: 1.234,5.
        Some((whole, behind)) if number(behind) && parts_groups(whole, '.', ',') && whole.contains('.') => {
            format!("`{text}`: a point, not a comma, before the decimals: {sign}{}.{behind}.", whole.replace('.', ""))
        }
        Some((whole, behind)) if number(behind) && (whole.is_empty() || number(whole)) => {
            let whole = if whole.is_empty() { "0" } else { whole };
            let decimal = format!("{sign}{whole}.{behind}");
            // `0,5` can't be five.
            if whole.starts_with('0') {
                format!("`{text}`: write {decimal}.")
            } else {
                format!("`{text}`: write {decimal}, or {sign}{without} if you meant that.")
            }
        }
        _ => format!("`{text}`: type it without a comma, with a point before the decimals."),
    }
}

/// Whether `mark` stands in it only between whole groups of three digits: `1,250`, `12,345.6`.
fn parts_groups(digits: &str, mark: char, point: char) -> bool {
    let (whole, decimals) = digits.split_once(point).unwrap_or((digits, ""));
    let mut groups = whole.split(mark);
    let number = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().unwrap_or("");
    (1..=3).contains(&first.len())
        && number(first)
        && !(first.starts_with('0') && whole.contains(mark))
        && number(decimals)
        && groups.all(|group| group.len() == 3 && number(group))
}

/// The answer a bare yes or no stands for, where the question says it: it begins as such a question does, has two answers, and
/// names one of them: "Is the pilot lit?" `lit`, `dark`. `None` where that is not plain.
#[must_use]
pub fn yes_or_no<T: AsRef<str>>(line: &str, question: &str, answers: &[T]) -> Option<usize> {
    let yes = match folded(line).as_str() {
        "y" | "yes" | "yes it is" | "yes it does" | "yes they are" => true,
        "n" | "no" | "no it is not" | "no it does not" | "no they are not" => false,
        _ => return None,
    };
    let words = stems(question);
    let asks = ["is", "are", "do", "does", "has", "have", "did", "was", "were", "can"];
    let turned = ["or", "not", "no", "never", "which", "how"];
    let first = question.split_whitespace().next()?.to_lowercase();
    if !asks.contains(&first.as_str()) || words.iter().any(|word| turned.contains(&word.as_str())) {
        return None;
    }
    // A question with "isn't" in it can be answered either way.
    if question.to_lowercase().replace('’', "'").contains("n't") {
        return None;
    }
    let named = |answer: &T| {
        let answer = stems(answer.as_ref());
        !answer.is_empty() && answer.iter().all(|word| words.contains(word))
    };
    match answers {
        [one, other] => match (named(one), named(other)) {
            (true, false) => Some(usize::from(!yes)),
            (false, true) => Some(usize::from(yes)),
            _ => None,
        },
        _ => None,
    }
}

/// The words of a sentence, in small letters, without the `s` of "lights" and "shuts".
fn stems(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words
        .map(|word| {
            let word = word.to_lowercase();
            word.strip_suffix('s').filter(|stem| stem.len() > 2).map_or(word.clone(), str::to_owned)
        })
        .collect()
}

/// "the display or nothing", for an answer that was not understood.
#[must_use]
pub fn one_of<T: AsRef<str>>(answers: &[T]) -> String {
    let quoted: Vec<String> = answers.iter().map(|answer| format!("`{}`", answer.as_ref())).collect();
    list(&quoted, "or")
}

/// The text with "that zone" and "zone.relay" said for a member: "zone-3", "zone-3.relay".
#[must_use]
pub fn for_member(text: &str, bank: &str, member: u16) -> String {
    let name = format!("{bank}-{member}");
    let mut told = text.replace(&format!("that {bank}"), &name);
    let part = format!("{bank}.");
    let mut from = 0;
    while let Some(at) = told.get(from..).and_then(|rest| rest.find(&part)).map(|at| at + from) {
        let starts = told.get(..at).and_then(|before| before.chars().last()).is_none_or(|c| c == ' ' || c == '(');
        let goes_on =
            told.get(at + part.len()..).and_then(|after| after.chars().next()).is_some_and(char::is_alphanumeric);
        if starts && goes_on {
            told.replace_range(at..at + bank.len(), &name);
        }
        from = at + part.len();
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders() {
        for (typed, want) in [
            ("?", Some(Order::Help)),
            ("  STOP ", Some(Order::Stop)),
            ("stop, not safe", Some(Order::Stop)),
            ("can’t", Some(Order::Cannot)),
            ("Can't do this one.", Some(Order::Cannot)),
            ("no part", Some(Order::NoPart)),
            ("note  lime in the tank, 2 inches", Some(Order::Note("lime in the tank, 2 inches".into()))),
            ("NOTE", Some(Order::Note(String::new()))),
            ("notebook", None),
            ("stopped", None),
            ("no", None),
            ("\"stop\"", None),
            ("", None),
        ] {
            assert_eq!(order(typed), want, "{typed:?}");
        }
    }

    #[test]
    fn readings_and_what_only_begins_with_a_number() {
        for (typed, want) in [
            ("120", true),
            ("-2.5", true),
            ("1,200", true),
            ("5-10", true),
            ("180 °F", true),
            ("2.3 A", true),
            ("0.4 uA DC", true),
            ("OL", true),
            ("180 is all it reaches", false),
            ("3 of 4 fans stand still", false),
            ("240 V outlet is dead", false),
            ("cold", false),
            ("", false),
        ] {
            assert_eq!(is_reading(typed), want, "{typed:?}");
        }
    }

    #[test]
    fn answers_by_their_words_their_beginning_or_a_word_of_theirs() {
        let burner = ["stays lit", "lights, then drops out", "no flame", "normal"];
        let yes_no = ["yes", "no", "not sure"];
        let stops = ["stop", "stops after a minute"];
        let cases: &[(&str, &[&str], Picked)] = &[
            ("stays lit", &burner, Picked::One(0)),
            ("STAYS  LIT.", &burner, Picked::One(0)),
            ("st", &burner, Picked::One(0)),
            ("drops", &burner, Picked::One(1)),
            ("then drops out", &burner, Picked::One(1)),
            ("flame", &burner, Picked::One(2)),
            ("no", &burner, Picked::One(2)),
            ("n", &burner, Picked::One(2)),
            ("l", &burner, Picked::One(1)),
            ("li", &burner, Picked::One(1)),
            ("smoke", &burner, Picked::None),
            ("", &burner, Picked::None),
            ("y", &yes_no, Picked::One(0)),
            ("n", &yes_no, Picked::One(1)),
            ("no", &yes_no, Picked::One(1)),
            ("not", &yes_no, Picked::One(2)),
            // A bare no is no beginning of another word.
            ("no", &["normal", "below normal"], Picked::None),
            ("nor", &["normal", "below normal"], Picked::One(0)),
            ("normal", &["normal", "below normal"], Picked::One(0)),
            ("\"stop\"", &stops, Picked::One(0)),
            ("stops", &stops, Picked::One(1)),
            ("a", &["at the top", "at the door"], Picked::Several(vec![0, 1])),
        ];
        for (typed, answers, want) in cases {
            assert_eq!(pick(typed, answers), *want, "{typed:?} of {answers:?}");
        }
    }

    /// Ten times the reading is never offered alone.
    #[test]
    fn commas_in_a_reading() {
        let volts = Unit::of("V").unwrap();
        let degrees = Unit::of("°F").unwrap();
        for (typed, unit, want) in [
            ("20,8", volts, "`20,8`: write 20.8, or 208 if you meant that."),
            ("20,85 V", volts, "`20,85`: write 20.85, or 2085 if you meant that."),
            ("1,250", volts, "`1,250`: leave the comma out: 1250."),
            ("12,345.6", volts, "`12,345.6`: leave the comma out: 12345.6."),
            ("1,234,567", volts, "`1,234,567`: leave the comma out: 1234567."),
            ("1.234,5", volts, "`1.234,5`: a point, not a comma, before the decimals: 1234.5."),
            ("0,125", volts, "`0,125`: write 0.125."),
            (",5", volts, "`,5`: write 0.5."),
            ("0,5 A", Unit::of("A").unwrap(), "`0,5`: write 0.5."),
            ("-2,5", degrees, "`-2,5`: write -2.5, or -25 if you meant that."),
            ("1,2345", volts, "`1,2345`: write 1.2345, or 12345 if you meant that."),
            ("12,34,5", volts, "`12,34,5`: type it without a comma, with a point before the decimals."),
            ("1,25.6", volts, "`1,25.6`: type it without a comma, with a point before the decimals."),
            ("208,", volts, "`208,`: type it without a comma, with a point before the decimals."),
        ] {
            let slip = Reading::parse(typed, unit).unwrap_err();
            assert_eq!(asked_back(&slip, unit), want, "{typed:?}");
        }
    }

    /// Taken for an answer only where the question says which.
    #[test]
    fn a_bare_yes_or_no() {
        for (typed, question, answers, want) in [
            ("yes", "Is the pilot of this well lit?", ["lit", "not lit"], Some(0)),
            ("no", "Is the pilot of this well lit?", ["lit", "dark"], Some(1)),
            ("n", "Is the pilot lit?", ["out", "lit"], Some(0)),
            ("Yes.", "Does it shut off?", ["shuts off", "keeps running"], Some(0)),
            ("no", "Are the strainers clean?", ["clean", "clogged"], Some(1)),
            // Both are in it, neither is, it is turned round, or it asks for something else.
            ("yes", "Is it hot or cold?", ["hot", "cold"], None),
            ("yes", "Does the fan turn?", ["fast", "slowly"], None),
            ("yes", "Is the door not closed?", ["closed", "open"], None),
            ("yes", "Isn't the lamp lit?", ["lit", "dark"], None),
            ("yes", "Which pilots are lit?", ["lit", "dark"], None),
            ("lit", "Is the pilot lit?", ["lit", "dark"], None),
        ] {
            assert_eq!(yes_or_no(typed, question, &answers), want, "{typed:?} to {question:?}");
        }
        assert_eq!(yes_or_no("yes", "Is it lit?", &["lit", "dark", "flickers"]), None);
    }

    #[test]
    fn words_for_a_member() {
        for (text, want) in [
            ("from zone.Z to L1", "from zone-3.Z to L1"),
            ("of zone.element", "of zone-3.element"),
            ("Replace the relay of that zone", "Replace the relay of zone-3"),
            ("across that zone.relay", "across zone-3.relay"),
            ("Look at the zone. Then at ozone.x", "Look at the zone. Then at ozone.x"),
        ] {
            assert_eq!(for_member(text, "zone", 3), want);
        }
    }
}
