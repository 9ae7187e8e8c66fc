//! The written form of every function against its body, bit for bit: what a page's script will repeat.
//!
//! `same_digits.csv` holds calls in base units with the answer to the last digit. This test holds the bodies to it (so
//! a change of the order of a sum is noticed, on any machine), and works every form out by a small reader of its own.
//! `tests/tools/same_digits.mjs` does the same in a script engine, tables and all.

use super::table::each_row;
use ruleout::trade::functions::{ArgValue, Function, How, all, find};
use ruleout::trade::reading::Reading;
use ruleout::trade::refrigerants::{Refrigerant, Side, Site};
use ruleout::trade::sensors::{platinum::Platinum, thermocouple::Thermocouple};
use ruleout::trade::{logs, water};
use std::collections::BTreeMap;

/// What a name in a form stands for.
#[derive(Debug, Clone)]
enum Thing {
    One(f64),
    Many(Vec<f64>),
    Word(String),
}

impl Thing {
    fn one(&self) -> f64 {
        match self {
            Self::One(value) => *value,
            other => panic!("a number is wanted, not {other:?}"),
        }
    }

    fn many(&self) -> &[f64] {
        match self {
            Self::Many(values) => values,
            other => panic!("the readings are wanted, not {other:?}"),
        }
    }

    fn word(&self) -> &str {
        match self {
            Self::Word(word) => word,
            other => panic!("a word is wanted, not {other:?}"),
        }
    }
}

#[test]
fn bodies_and_forms_agree_to_the_last_digit() {
    let mut met = BTreeMap::<&str, usize>::new();
    each_row(include_str!("../../cases/trade/same_digits.csv"), |row| {
        let function = find(row.text("function")).unwrap_or_else(|| panic!("{}", row.text("function")));
        *met.entry(function.name).or_default() += 1;
        let words: Vec<&str> = row.text("arguments").split(' ').collect();
        let given: Vec<ArgValue<'_>> =
            words.iter().map(|word| word.parse().map_or(ArgValue::Word(word), ArgValue::Number)).collect();
        let Ok(Reading::Value(body)) = function.value(&given) else { panic!("{} {words:?}", function.name) };
        let want = row.number("answer");
        assert_eq!(body.to_bits(), want.to_bits(), "{} {words:?}: the body gives {body}, not {want}", function.name);
        let form = work_out(function, &given);
        assert_eq!(form.to_bits(), want.to_bits(), "{} {words:?}: the form gives {form}, not {want}", function.name);
    });
    for function in all() {
        assert!(met.get(function.name).is_some_and(|rows| *rows >= 3), "{} has too few lines", function.name);
    }
}

/// The answer by the function's form alone.
fn work_out(function: &Function, given: &[ArgValue<'_>]) -> f64 {
    let thing = |arg: &ArgValue<'_>| match arg {
        ArgValue::Number(value) => Thing::One(*value),
        ArgValue::Word(word) => Thing::Word((*word).to_owned()),
        ArgValue::OverLimit => panic!("no OL here"),
    };
    let mut names = BTreeMap::from([("pi".to_owned(), Thing::One(std::f64::consts::PI))]);
    for (at, place) in function.arguments.iter().enumerate() {
        let value = match (place.how, given.get(at)) {
            (How::AtLeast(_), _) => Thing::Many(given[at..].iter().map(|arg| thing(arg).one()).collect()),
            (_, Some(arg)) => thing(arg),
            (How::Optional, None) => Thing::One(0.0),
            (How::Once, None) => panic!("{} lacks {}", function.name, place.name),
        };
        names.insert(place.name.to_owned(), value);
    }
    let mut answer = f64::NAN;
    for line in function.form.lines() {
        let (name, sum) = line.split_once(" = ").map_or((None, line), |(name, sum)| (Some(name), sum));
        let mut reader = Reader { words: words(sum), at: 0, names: &names };
        answer = reader.sum().one();
        assert_eq!(reader.at, reader.words.len(), "{line}");
        if let Some(name) = name {
            names.insert(name.to_owned(), Thing::One(answer));
        }
    }
    answer
}

/// Numbers, names (hyphens inside), signs. A minus between has blanks round it.
fn words(sum: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for piece in sum.split(' ') {
        let mut word = String::new();
        for c in piece.chars() {
            if matches!(c, '(' | ')' | ',') {
                if !word.is_empty() {
                    found.push(std::mem::take(&mut word));
                }
                found.push(c.to_string());
            } else {
                word.push(c);
            }
        }
        if !word.is_empty() {
            found.push(word);
        }
    }
    found
}

struct Reader<'a> {
    words: Vec<String>,
    at: usize,
    names: &'a BTreeMap<String, Thing>,
}

impl Reader<'_> {
    fn take(&mut self, any: &[&str]) -> Option<String> {
        let next = self.words.get(self.at).filter(|word| any.contains(&word.as_str())).cloned();
        self.at += usize::from(next.is_some());
        next
    }

    fn sum(&mut self) -> Thing {
        let mut left = self.product();
        while let Some(sign) = self.take(&["+", "-"]) {
            let (a, b) = (left.one(), self.product().one());
            left = Thing::One(if sign == "+" { a + b } else { a - b });
        }
        left
    }

    fn product(&mut self) -> Thing {
        let mut left = self.single();
        while let Some(sign) = self.take(&["*", "/"]) {
            let (a, b) = (left.one(), self.single().one());
            left = Thing::One(if sign == "*" { a * b } else { a / b });
        }
        left
    }

    fn single(&mut self) -> Thing {
        if self.take(&["("]).is_some() {
            let inside = self.sum();
            assert!(self.take(&[")"]).is_some(), "{:?}", self.words);
            return inside;
        }
        let word = self.words[self.at].clone();
        self.at += 1;
        if let Ok(number) = word.parse() {
            return Thing::One(number);
        }
        if self.take(&["("]).is_none() {
            return self.names.get(&word).unwrap_or_else(|| panic!("{word} is not known")).clone();
        }
        let mut inside = vec![self.sum()];
        while self.take(&[","]).is_some() {
            inside.push(self.sum());
        }
        assert!(self.take(&[")"]).is_some(), "{:?}", self.words);
        Thing::One(looked_up(&word, &inside))
    }
}

/// The tables and steps that forms lean on.
fn looked_up(name: &str, given: &[Thing]) -> f64 {
    let refrigerant = || Refrigerant::named(given[0].word()).unwrap();
    let kind = || Thermocouple::named(given[0].word()).unwrap();
    let celsius = |side| refrigerant().temperature(side, given[1].one(), Site::ABSOLUTE).unwrap();
    let pressure = |side| refrigerant().pressure(side, given[1].one(), Site::ABSOLUTE).unwrap();
    let probe = || Platinum::named(given[0].word()).unwrap();
    match name {
        "sum" => given[0].many().iter().fold(0.0, |sum, value| sum + value),
        "count" => given[0].many().iter().fold(0.0, |count, _| count + 1.0),
        "lowest" => given[0].many().iter().copied().fold(f64::INFINITY, f64::min),
        "highest" => given[0].many().iter().copied().fold(f64::NEG_INFINITY, f64::max),
        "furthest" => given[0].many().iter().map(|value| (value - given[1].one()).abs()).fold(0.0, f64::max),
        "sqrt" => given[0].one().sqrt(),
        "ln" => logs::ln(given[0].one()),
        "exp" => logs::exp(given[0].one()),
        "platinum-celsius" => probe().celsius(given[1].one()).unwrap(),
        "platinum-ohms" => probe().ohms(given[1].one()).unwrap(),
        "junction-celsius" => kind().celsius(given[1].one()).unwrap(),
        "junction-millivolts" => kind().millivolts(given[1].one()).unwrap(),
        "dew-celsius" => celsius(Side::Dew),
        "bubble-celsius" => celsius(Side::Bubble),
        "dew-pressure-of" => pressure(Side::Dew),
        "bubble-pressure-of" => pressure(Side::Bubble),
        "air" => Site::at(given[0].one() / 1000.0).unwrap().kpa(),
        "boils" => water::boils_at(given[0].one()).unwrap(),
        other => panic!("{other} is not known"),
    }
}
