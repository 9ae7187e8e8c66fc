//! Our playbooks broken on purpose: a target swapped, a limit moved past the nearest bad reading, a signal word dropped, `verify` or
//! `finish` shortened, two answers exchanged, a state dropped, a test taken out. Each raises a message or changes what comes of the
//! shakedown, or is counted as equivalent with the reason of its kind.

use super::slow::Dice;
use super::{compiled, ground_of, here, on_desks, the_shop};
use ruleout::check::{Subject, check, places};
use ruleout::corners::Desks;
use ruleout::engine::BookId;
use ruleout::language;
use ruleout::language::syntax::Says;
use ruleout::playbook::model::Playbook;
use ruleout::playbook::outline::{Outline, Outlines};
use ruleout::shakedown::report::{Report, report};
use ruleout::shakedown::runs::{Depth, shake};
use ruleout::sheet::shop::Shop;
use ruleout::text::source::Source;
use std::collections::{BTreeMap, BTreeSet};

/// What is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    TargetSwapped,
    LimitMoved,
    SignalDropped,
    Shortened,
    AnswersExchanged,
    StateDropped,
    TestTakenOut,
}

impl Kind {
    const ALL: [Self; 7] = [
        Self::TargetSwapped,
        Self::LimitMoved,
        Self::SignalDropped,
        Self::Shortened,
        Self::AnswersExchanged,
        Self::StateDropped,
        Self::TestTakenOut,
    ];

    /// Why a mutant of this kind may come to the same. `None`: never.
    fn equivalent(self) -> Option<&'static str> {
        match self {
            Self::TargetSwapped => Some(
                "no fault and no good unit falls on that line alone: the way is for readings no declared fault gives",
            ),
            Self::LimitMoved => {
                Some("the limit still lies between what a good unit reads and the nearest fault of this complaint")
            }
            Self::SignalDropped => {
                Some("no power and no cover is involved there: the words are advice of the author's")
            }
            Self::Shortened => {
                Some("the test is owed all the same, or what it feels is felt by another test that is owed")
            }
            Self::AnswersExchanged => Some("no declared fault gives either answer"),
            Self::StateDropped => {
                Some("the unit stands so anyway on every way there, or the reading does not hang on it")
            }
            Self::TestTakenOut => Some("what it tells apart is told apart again further on"),
        }
    }
}

/// One playbook with its unit.
struct Sample {
    name: String,
    text: String,
    desks: Desks,
    others: Vec<Playbook>,
    outlines: Outlines,
}

/// What a playbook comes to.
struct CameTo {
    told: BTreeSet<(String, String)>,
    report: Option<Report>,
}

impl Sample {
    /// Everything told of a playbook by the checks: code and words.
    fn checked(&self, text: &str) -> BTreeSet<(String, String)> {
        let source = Source::new("made.playbook", text);
        let (tree, _) = language::parse(&source);
        let (book, mut problems) = compiled(text, &self.desks);
        if let (Some(tree), Some(book)) = (&tree, &book) {
            problems.extend(places::against(book, self.desks.wired()));
            let mut others = self.outlines.clone();
            others.add(Outline::of(tree));
            problems = check(Subject { tree, playbook: book, others: &others, desks: Some(&self.desks) }, problems);
        }
        problems.into_iter().map(|problem| (problem.rule.code.to_owned(), problem.message)).collect()
    }

    fn shaken(&self, text: &str, shop: &Shop, depth: Depth) -> Option<Report> {
        let (book, _) = compiled(text, &self.desks);
        let books = std::iter::once(book?).chain(self.others.iter().cloned()).collect();
        let ground = ground_of(books, &self.desks, shop);
        shake(&ground, BookId(0), depth).ok().map(|shakedown| report(&shakedown))
    }
}

/// Whether two shakedowns came to the same: every single fault, every pair, by what and how.
fn same(one: &Report, other: &Report) -> bool {
    let walks = |report: &Report| -> Vec<(Vec<String>, Option<String>, String)> {
        report
            .misses
            .iter()
            .map(|miss| (miss.faults.clone(), miss.cannot.clone(), format!("{:?} {}", miss.outcome, miss.needless)))
            .collect()
    };
    one.singles == other.singles
        && one.pairs == other.pairs
        && one.summary == other.summary
        && walks(one) == walks(other)
}

/// One mutant: what was changed, and the text. `None` where the die fell on nothing to change.
fn mutant(sample: &Sample, kind: Kind, dice: &mut Dice) -> Option<(String, String)> {
    let lines: Vec<&str> = sample.text.lines().collect();
    let (tree, _) = language::parse(&Source::new("made.playbook", sample.text.as_str()));
    let tree = tree?;
    let first_word = |at: usize| lines[at].split_whitespace().next().unwrap_or_default();
    let with =
        |wanted: &[&str]| -> Vec<usize> { (0..lines.len()).filter(|at| wanted.contains(&first_word(*at))).collect() };
    let outcomes: Vec<usize> =
        with(&["good", "if", "all"]).into_iter().filter(|at| lines[*at].contains(" go to ")).collect();
    let changed = |at: usize, line: String| -> (String, String) {
        let mut all: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
        let what = format!("line {}: `{}` for `{}`", at + 1, line.trim(), lines[at].trim());
        all[at] = line;
        (what, all.join("\n") + "\n")
    };
    let blocks: Vec<&str> = tree.blocks.iter().map(|block| block.name.as_str()).collect();
    match kind {
        Kind::TargetSwapped => {
            let at = *dice.of(&outcomes);
            let (head, to) = lines[at].rsplit_once(" go to ")?;
            let other = *dice.of(&blocks);
            (other != to.trim()).then(|| changed(at, format!("{head} go to {other}")))
        }
        Kind::LimitMoved => {
            let numbered: Vec<usize> =
                outcomes.iter().copied().filter(|at| lines[*at].chars().any(|c| c.is_ascii_digit())).collect();
            if numbered.is_empty() {
                return None;
            }
            let at = *dice.of(&numbered);
            let (head, to) = lines[at].rsplit_once(" go to ")?;
            let number: String = head
                .chars()
                .skip_while(|c| !c.is_ascii_digit())
                .take_while(|c| c.is_ascii_digit() || *c == '.')
                .collect();
            let value: f64 = number.parse().ok()?;
            let moved = value * *dice.of(&[0.1, 0.4, 2.5, 10.0]);
            let moved = format!("{moved:.1}");
            // The same number in the other lines of the test goes along: no gap gives it away.
            let start = (0..at).rev().find(|line| first_word(*line) == "test")?;
            let end =
                (at..lines.len()).find(|line| ["test", "repair", "adjust", "escalate"].contains(&first_word(*line)))?;
            let mut all: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            for line in &mut all[start..end] {
                if line.contains(" go to ") {
                    *line = line.replacen(&format!(" {number} "), &format!(" {moved} "), 2);
                }
            }
            Some((format!("line {}: {number} is {moved} in `{}`", at + 1, to.trim()), all.join("\n") + "\n"))
        }
        Kind::SignalDropped => {
            let signals = with(&["danger", "warning"]);
            if signals.is_empty() {
                return None;
            }
            let at = *dice.of(&signals);
            Some(changed(at, String::new()))
        }
        Kind::Shortened => {
            let lists: Vec<usize> = with(&["verify", "finish"]);
            let at = *dice.of(&lists);
            let (word, rest) = lines[at].trim().split_once(char::is_whitespace)?;
            let mut names: Vec<&str> = rest.split(',').map(str::trim).collect();
            let gone = dice.below(names.len());
            names.remove(gone);
            let line = if names.is_empty() { String::new() } else { format!("  {word} {}", names.join(", ")) };
            Some(changed(at, line))
        }
        Kind::AnswersExchanged => {
            let at = *dice.of(&outcomes);
            let other = at + 1;
            if !outcomes.contains(&other) {
                return None;
            }
            let (one_head, one) = lines[at].rsplit_once(" go to ")?;
            let (other_head, two) = lines[other].rsplit_once(" go to ")?;
            if one.trim() == two.trim() {
                return None;
            }
            let mut all: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            all[at] = format!("{one_head} go to {two}");
            all[other] = format!("{other_head} go to {one}");
            Some((
                format!("line {}: leads to {}, the next to {}", at + 1, two.trim(), one.trim()),
                all.join("\n") + "\n",
            ))
        }
        Kind::StateDropped => {
            let at = *dice.of(&with(&["with"]));
            let rest = lines[at].trim().strip_prefix("with")?;
            let mut names: Vec<&str> = rest.split(',').map(str::trim).collect();
            let gone = dice.below(names.len());
            names.remove(gone);
            let line = if names.is_empty() { String::new() } else { format!("  with {}", names.join(", ")) };
            Some(changed(at, line))
        }
        Kind::TestTakenOut => {
            let tests: Vec<_> = tree.blocks.iter().filter(|block| blocks[0] != block.name.as_str()).collect();
            let block = *dice.of(&tests);
            let good = block.lines.iter().find_map(|line| match &line.says {
                Says::Outcome { to, .. } if !to.playbook => Some(to.name.as_str().to_owned()),
                _ => None,
            })?;
            let start = sample.text[..block.span.start as usize].matches('\n').count();
            let end = (start + 1..lines.len())
                .find(|line| ["test", "repair", "adjust", "escalate"].contains(&first_word(*line)))?;
            let name = block.name.as_str();
            // Whoever led to it leads on to where its good line led; it is owed no more.
            let kept = lines.iter().enumerate().filter(|(at, _)| !(start..end).contains(at)).map(|(at, line)| {
                match (line.rsplit_once(" go to "), first_word(at)) {
                    (Some((head, to)), _) if to.trim() == name => format!("{head} go to {good}"),
                    (_, word @ ("verify" | "finish")) => {
                        let names = line.trim().trim_start_matches(word).split(',').map(str::trim);
                        let names: Vec<&str> = names.filter(|other| *other != name).collect();
                        if names.is_empty() { String::new() } else { format!("  {word} {}", names.join(", ")) }
                    }
                    _ => (*line).to_owned(),
                }
            });
            Some((format!("`{name}` taken out"), kept.collect::<Vec<_>>().join("\n") + "\n"))
        }
    }
}

fn samples(shop: &Shop) -> Vec<Sample> {
    let files: Vec<_> = walkdir::WalkDir::new(here("playbooks"))
        .sort_by_file_name()
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.path().extension().is_some_and(|ending| ending == "playbook"))
        .map(|entry| (entry.path().to_owned(), std::fs::read_to_string(entry.path()).unwrap()))
        .collect();
    let mut outlines = Outlines::default();
    for (_, text) in &files {
        outlines
            .extend(language::parse(&Source::new("other.playbook", text.as_str())).0.map(|tree| Outline::of(&tree)));
    }
    let mut samples = Vec::new();
    for (path, text) in &files {
        let units = text.lines().find_map(|line| line.strip_prefix("unit")).unwrap_or_default();
        let sheet = units.split(',').map(|unit| here(&format!("playbooks/units/{}.yaml", unit.trim())));
        let Some(sheet) = sheet.into_iter().find(|sheet| sheet.is_file()) else { continue };
        let desks = on_desks(&std::fs::read_to_string(sheet).unwrap(), shop);
        let unit = desks.wired().unit.name.clone();
        let others = files.iter().filter(|(other, _)| other != path).filter_map(|(_, text)| compiled(text, &desks).0);
        let others = others.filter(|book| book.units.contains(&unit)).collect();
        // The outlines of all but this one: its own is added as it is written.
        let mut known = Outlines::default();
        for (other, text) in files.iter().filter(|(other, _)| other != path) {
            let source = Source::new(other.to_string_lossy(), text.as_str());
            known.extend(language::parse(&source).0.map(|tree| Outline::of(&tree)));
        }
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        samples.push(Sample { name, text: text.clone(), desks, others, outlines: known });
    }
    samples
}

/// Mutants of each sample: a few in every run of the tests, and as many as `MUTANTS` says where one has the minutes (100 is what the
/// shakedown is held to).
fn mutants_wanted() -> usize {
    std::env::var("MUTANTS").ok().and_then(|n| n.parse().ok()).unwrap_or(7)
}

#[test]
fn a_playbook_broken_on_purpose_is_caught() {
    let (shop, wanted) = (the_shop(), mutants_wanted());
    let mut survivors: BTreeMap<Kind, Vec<String>> = BTreeMap::new();
    let (mut made, mut by_message, mut by_shakedown) = (0, 0, 0);
    for sample in samples(&shop) {
        let good = CameTo { told: sample.checked(&sample.text), report: None };
        let mut good_reports: BTreeMap<bool, Option<Report>> = BTreeMap::new();
        let mut dice = Dice::new(sample.text.len() as u64);
        let mut seen = BTreeSet::new();
        let mut tries = 0;
        while seen.len() < wanted && tries < 40 * wanted {
            let kind = Kind::ALL[tries % Kind::ALL.len()];
            tries += 1;
            let Some((what, text)) = mutant(&sample, kind, &mut dice) else { continue };
            if text.trim_end() == sample.text.trim_end() || !seen.insert(text.clone()) {
                continue;
            }
            made += 1;
            if !sample.checked(&text).is_subset(&good.told) {
                by_message += 1;
                continue;
            }
            // First the cheap part; pairs and roads only where that came to the same.
            let wide = Depth { width: ruleout::corners::Width::Three, ..Depth::FULL };
            let changes = [false, true].into_iter().any(|all| {
                let depth = if all { wide } else { Depth::CHEAP };
                let before = good_reports.entry(all).or_insert_with(|| sample.shaken(&sample.text, &shop, depth));
                let after = sample.shaken(&text, &shop, depth);
                match (before, after) {
                    (Some(before), Some(after)) => !same(before, &after),
                    (before, after) => before.is_some() != after.is_some(),
                }
            });
            if changes {
                by_shakedown += 1;
            } else {
                survivors.entry(kind).or_default().push(format!("{}: {what}", sample.name));
            }
        }
        assert!(seen.len() >= wanted, "{}: only {} mutants", sample.name, seen.len());
        assert!(good.report.is_none());
    }
    let left: usize = survivors.values().map(Vec::len).sum();
    for (kind, mutants) in &survivors {
        let why = kind.equivalent().unwrap_or_else(|| panic!("{kind:?} is never equivalent: {mutants:#?}"));
        println!("{} of kind {kind:?} came to the same: {why}", mutants.len());
        mutants.iter().for_each(|mutant| println!("    {mutant}"));
    }
    println!("{made} mutants: {by_message} told by the checks, {by_shakedown} by the shakedown, {left} equivalent");
    assert!(made >= 6 * wanted, "{made}");
    // A quarter at most may come to the same; without the shakedown more than half would.
    assert!(left * 4 <= made, "{left} of {made} came to the same");
}
