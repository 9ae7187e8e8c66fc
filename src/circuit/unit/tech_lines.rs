//! The lines of a tech sheet: a place and what it reads. What reads alike is told together, and what says nothing in a word.

use serde::Serialize;

/// A place and what it reads.
#[derive(Debug, Clone, Serialize)]
pub struct Line {
    /// The place.
    pub name: String,
    /// What it reads.
    pub reads: Vec<String>,
    /// What of it is worth a line.
    #[serde(skip)]
    pub says: Says,
    /// The readings in the smallest steps that count (see [`steps`]), to compare; of each what it swings between where contacts chatter.
    /// None for words and ranges.
    #[serde(skip)]
    pub numbers: Vec<Vec<f64>>,
}

/// What of a reading is worth a line.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Says {
    /// Nothing is read there.
    #[default]
    Nothing,
    /// No volts and no amps.
    Zero,
    /// No volts, but a meter may show so many, because a wire hangs in the air.
    Air(f64),
    /// This.
    Told(Vec<String>),
}

/// Volts, amps and ohms that count as a difference; numbers of ours, of the size of a meter's last digits.
pub mod steps {
    /// Volts.
    pub const VOLTS: f64 = 0.5;
    /// Amps.
    pub const AMPS: f64 = 0.02;
    /// Ohms.
    pub const OHMS: f64 = 0.3;
}

/// What two readings of one thing may differ by and still be told as the same: a part of the larger. A number of ours, of the size of a
/// meter's error.
const ALIKE: f64 = 0.02;

impl PartialEq for Line {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name && self.reads == other.reads
    }
}

impl Line {
    /// A line that is told as it reads.
    #[must_use]
    pub fn told(name: &str, reads: Vec<String>) -> Self {
        let says = if reads.is_empty() { Says::Nothing } else { Says::Told(reads.clone()) };
        Self { name: name.to_owned(), reads, says, numbers: Vec::new() }
    }

    /// Whether the meter would show a difference.
    #[must_use]
    pub fn differs(&self, other: &Self) -> bool {
        if self.reads == other.reads {
            return false;
        }
        let in_the_air = |line: &Self| matches!(line.says, Says::Air(_));
        if in_the_air(self) != in_the_air(other) {
            return true;
        }
        if self.numbers.is_empty() || self.numbers.len() != other.numbers.len() {
            return true;
        }
        let pairs = self.numbers.iter().zip(&other.numbers);
        pairs
            .flat_map(|(these, those)| these.iter().flat_map(move |one| those.iter().map(move |two| (*one, *two))))
            .any(apart)
    }

    /// What it reads, in few words.
    #[must_use]
    pub fn short(&self) -> String {
        match &self.says {
            Says::Nothing => "nothing".to_owned(),
            Says::Zero => self.reads.join(", "),
            Says::Air(ghost) => air(*ghost),
            Says::Told(told) => told.join(", "),
        }
    }
}

/// Whether two numbers are told as different ones.
fn apart((one, two): (f64, f64)) -> bool {
    let apart = (one - two).abs();
    // OL against a number is apart without end, and so is the larger of them.
    one.to_bits() != two.to_bits() && (apart.is_infinite() || (apart > 1.0 && apart > ALIKE * one.abs().max(two.abs())))
}

/// "ghost, up to 177 V"
fn air(ghost: f64) -> String {
    format!("ghost, up to {ghost:.0} V")
}

/// Lines told together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Gathered {
    /// Places and what they read; what is 0 ohm or OL stands last.
    pub lines: Vec<(Vec<String>, String)>,
    /// Places that read nothing but 0.
    pub zero: Vec<String>,
    /// Places on a wire that hangs in the air, and the most volts a meter shows there.
    pub air: Option<(Vec<String>, String)>,
}

/// Gathers lines: places that read the same on one line, in the order of the first.
#[must_use]
pub fn gathered(lines: &[Line]) -> Gathered {
    let mut all = Gathered::default();
    let mut most: f64 = 0.0;
    let mut hanging = Vec::new();
    for line in lines {
        match &line.says {
            Says::Nothing => {}
            Says::Zero => all.zero.push(line.name.clone()),
            Says::Air(ghost) => {
                hanging.push(line.name.clone());
                most = most.max(*ghost);
            }
            Says::Told(told) => {
                let reads = told.join(", ");
                match all.lines.iter_mut().find(|(_, other)| *other == reads) {
                    Some((names, _)) => names.push(line.name.clone()),
                    None => all.lines.push((vec![line.name.clone()], reads)),
                }
            }
        }
    }
    all.lines.sort_by_key(|(_, reads)| match reads.as_str() {
        "0 ohm" => 1,
        "OL" => 2,
        _ => 0,
    });
    if !hanging.is_empty() {
        all.air = Some((hanging, air(most)));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(name: &str, says: Says, volts: f64) -> Line {
        Line {
            name: name.to_owned(),
            reads: vec![format!("{volts} V")],
            says,
            numbers: vec![vec![volts / steps::VOLTS]],
        }
    }

    #[test]
    fn what_reads_alike_is_told_together() {
        let told = |name: &str, volts: f64| line(name, Says::Told(vec![format!("{volts} V")]), volts);
        let lines = [
            told("L1", 120.0),
            line("X2", Says::Zero, 0.0),
            told("M1", 24.0),
            told("L2", 120.0),
            line("T1", Says::Air(40.0), 0.0),
            line("T2", Says::Air(176.8), 0.0),
            Line::told("k1", vec!["OL".to_owned()]),
            Line::told("k2", vec!["7 ohm".to_owned()]),
            Line::told("k3", Vec::new()),
        ];
        let all = gathered(&lines);
        let words: Vec<String> =
            all.lines.iter().map(|(names, reads)| format!("{}: {reads}", names.join(" "))).collect();
        assert_eq!(words, ["L1 L2: 120 V", "M1: 24 V", "k2: 7 ohm", "k1: OL"]);
        assert_eq!(all.zero, ["X2"]);
        assert_eq!(all.air, Some((vec!["T1".to_owned(), "T2".to_owned()], "ghost, up to 177 V".to_owned())));
    }

    #[test]
    fn what_a_meter_would_not_show_is_no_difference() {
        let told = |volts: f64| line("L1", Says::Told(vec![format!("{volts} V")]), volts);
        for (one, two, want) in [
            (208.0, 206.4, false),
            (208.0, 203.0, true),
            (0.3, 0.1, false),
            (0.0, 24.0, true),
            (120.0, 120.0, false),
            (7.0, f64::INFINITY, true),
        ] {
            assert_eq!(told(one).differs(&told(two)), want, "{one} {two}");
        }
        assert!(told(0.0).differs(&line("L1", Says::Air(90.0), 0.1)));
        assert!(Line::told("a", vec!["yes".to_owned()]).differs(&Line::told("a", vec!["no".to_owned()])));
    }
}
