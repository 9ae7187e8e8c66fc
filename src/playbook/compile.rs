//! From the syntax tree to the compiled form.
//!
//! 1. The names are read; two blocks with one name are told.
//! 2. The states are those of the sheets and those the playbook names on its own.
//! 3. Every reading gets a slot, over all tests, since a sum may use one of an earlier test.
//! 4. Tests: what is asked, how its outcome lines lie, where they lead.
//! 5. Repairs, adjusts and escalations.
//! 6. With the sheet of a unit, `normal` gets its numbers.
//!
//! What is wrong is told and left out; the rest is compiled, so that later checks run on it.

use super::limits;
use super::live;
use super::model::{
    Bank, BankId, Branch, Coverage, Cures, End, Leave, Members, Playbook, Scale, Slot, Step, Takes, Test, TestId,
};
use super::names::Names;
use super::normal;
use super::question::{self, seconds};
use super::settings;
use crate::corners::Desks;
use crate::language::syntax::{self, Block, BlockKind, For, Limit, OutcomeKind, Says, Setting, When, Word};
use crate::sheet::states::{Stand, States};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A bank no sheet declares.
pub static NO_SUCH_BANK: Rule = Rule {
    code: "no-such-bank",
    level: Level::Error,
    says: "A bank of identical parts is declared in the unit sheet.",
    why: "Only the sheet says how many zones there are, and so when all have been asked.",
    wrong: "for each zone        (no unit sheet has a bank `zone`)",
    mended: "banks: { zone: 1 to 5 }        (in the unit sheet)",
};

/// A playbook without a test.
pub static NO_TEST: Rule = Rule {
    code: "no-test",
    level: Level::Error,
    says: "A playbook has at least one test; the first is the complaint.",
    why: "Without a test there is nothing to follow.",
    wrong: "playbook booster-cold: Final rinse is cold",
    mended: "playbook booster-cold: Final rinse is cold\n\ntest rinse-temp: Watch the rinse gauge",
};

/// A playbook nobody could follow.
pub static TOO_MANY_BLOCKS: Rule = Rule {
    code: "too-many-blocks",
    level: Level::Error,
    says: "A playbook has at most 1,000 tests, repairs, adjusts and escalations. The number is ours.",
    why: "One complaint takes a few dozen. A file with a thousand is several playbooks in one, or none at all, and nobody finds a way through it.",
    wrong: "playbook everything: All that can happen to all our machines        (and 1,001 blocks below it)",
    mended: "playbook fryer-cold: Fryer stays cold\nif  cold and the hood is off too  go to playbook hood-off",
};

/// Most tests, repairs, adjusts and escalations of a playbook. A number of ours; their numbers have 16 bits.
const MOST_BLOCKS: usize = 1_000;

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&NO_SUCH_BANK, &NO_TEST, &TOO_MANY_BLOCKS];

/// What the sheets give a playbook.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// Built-in states, the shop's and the unit's.
    pub states: &'a Arc<States>,
    /// Banks of identical parts of the unit.
    pub banks: &'a [Bank],
    /// The unit itself with the shop's meter, where it has a sheet.
    pub desks: Option<&'a Desks>,
}

/// Compiles a playbook. `None` where there is no test to start with, or more blocks than anybody could follow.
#[must_use]
pub fn compile(tree: &syntax::Playbook, ground: Ground<'_>) -> (Option<Playbook>, Vec<Problem>) {
    if let Some(one_more) = tree.blocks.get(MOST_BLOCKS) {
        let message = format!(
            "This playbook has {} tests, repairs, adjusts and escalations; it may have {}. Make several playbooks of it, and join them with `go to playbook NAME`.",
            thousands(tree.blocks.len()),
            thousands(MOST_BLOCKS)
        );
        return (None, vec![Problem::new(&TOO_MANY_BLOCKS, tree.place(one_more.span), message)]);
    }
    let mut problems = Vec::new();
    let names = Names::read(tree, &mut problems);
    let states = settings::states_of(tree, ground.states);
    let mut compiler = Compiler { tree, ground, names, states, told: BTreeMap::new(), slots: Vec::new(), problems };
    let mut playbook = compiler.playbook();
    if let (Some(playbook), Some(desks)) = (&mut playbook, ground.desks) {
        super::freed::settle(playbook, desks.wired());
        desks.at_one(|desk| {
            normal::settle(playbook, desk);
            live::warn(playbook, desk);
        });
    }
    (playbook, compiler.problems)
}

struct Compiler<'a> {
    tree: &'a syntax::Playbook,
    ground: Ground<'a>,
    names: Names<'a>,
    states: Arc<States>,
    told: BTreeMap<&'a str, ()>,
    slots: Vec<Slot>,
    problems: Vec<Problem>,
}

impl<'a> Compiler<'a> {
    fn playbook(&mut self) -> Option<Playbook> {
        let tree = self.tree;
        let blocks: Vec<&Block> = tree.blocks.iter().filter(|block| block.kind == BlockKind::Test).collect();
        if blocks.is_empty() {
            let message = "This playbook has no test.";
            self.problems.push(Problem::new(&NO_TEST, tree.place(tree.head.span), message));
            return None;
        }
        let sheet = self.ground.desks.map(|desks| &*desks.wired().unit);
        let measures: Vec<_> = blocks
            .iter()
            .enumerate()
            .map(|(at, block)| {
                let id = TestId(u16::try_from(at).unwrap_or(u16::MAX));
                question::measures(tree, block, id, &mut self.slots, sheet, &mut self.problems)
            })
            .collect();
        let tests = blocks.iter().zip(measures).map(|(block, measures)| self.test(block, measures)).collect();
        let ends = tree.blocks.iter().filter(|b| b.kind != BlockKind::Test).map(|block| self.end(block)).collect();
        let head = &tree.head;
        let mut finish = Vec::new();
        let mut playbook = Playbook {
            source: Arc::clone(&tree.source),
            name: head.name.as_str().to_owned(),
            title: head.title.as_str().to_owned(),
            units: Vec::new(),
            symptoms: Vec::new(),
            revised: String::new(),
            was: Vec::new(),
            states: Arc::clone(&self.states),
            banks: self.ground.banks.to_vec(),
            slots: std::mem::take(&mut self.slots),
            tests,
            ends,
            finish: Vec::new(),
        };
        for line in &head.lines {
            match &line.says {
                Says::Units(units) => playbook.units.extend(units.iter().map(|unit| unit.as_str().to_owned())),
                Says::Symptom(words) => playbook.symptoms.push(words.as_str().to_owned()),
                Says::Revised(date) => date.as_str().clone_into(&mut playbook.revised),
                Says::Was(name) => playbook.was.push(name.as_str().to_owned()),
                Says::Finish(tests) => finish.extend(tests),
                _ => {}
            }
        }
        playbook.finish = finish.iter().filter_map(|name| self.names.test(name, &mut self.problems)).collect();
        Some(playbook)
    }

    fn test(&mut self, block: &'a Block, measures: Vec<super::model::Measure>) -> Test {
        let asked = question::question(self.tree, block, measures.clone(), &self.slots, &mut self.problems);
        let (question, judged) = asked.unwrap_or_else(|| {
            let nothing = super::model::Question::Ask { text: String::new(), answers: None, measures };
            (nothing, None)
        });
        let lines: Vec<(OutcomeKind, &When, &syntax::Target, Span)> = block
            .lines
            .iter()
            .filter_map(|line| match &line.says {
                Says::Outcome { kind, when, to } => Some((*kind, when, to, line.span)),
                _ => None,
            })
            .collect();
        let bounds = judged.map(|judged| {
            let limits: Vec<(OutcomeKind, &Limit)> = lines
                .iter()
                .filter_map(|(kind, when, _, _)| match when {
                    When::Limit(limit) => Some((*kind, limit)),
                    When::Answer(_) => None,
                })
                .collect();
            limits::bounds(self.tree, &limits, judged, &mut self.problems)
        });
        let laid = bounds.as_ref().map(|bounds| (bounds.lay(None, None), bounds.unit));
        let (takes, scale, coverage) = match laid {
            Some((laid, unit)) if laid.judged => (laid.takes, Scale::Judged(unit), laid.coverage),
            Some((laid, unit)) => (laid.takes, Scale::Numbers(unit), laid.coverage),
            None => (vec![Takes::Answer; lines.len()], Scale::Answers, Coverage::default()),
        };
        let branches = lines
            .iter()
            .zip(takes)
            .map(|((kind, when, to, span), takes)| Branch {
                kind: *kind,
                words: self.tree.source.slice(when.span()).split_whitespace().collect::<Vec<_>>().join(" "),
                takes,
                to: self.names.target(to, &mut self.problems),
                span: *span,
            })
            .collect();
        let cannot = block.lines.iter().find_map(|line| match &line.says {
            Says::Cannot(target) => Some((target, line.span)),
            _ => None,
        });
        let (with, with_span) = self.with(block);
        Test {
            name: block.name.as_str().to_owned(),
            title: block.title.as_str().to_owned(),
            span: block.span,
            members: self.members(block),
            with,
            with_span,
            tools: texts(block, |says| if let Says::Tools(tools) = says { tools } else { &[] }),
            steps: steps(self.tree, block),
            why: texts(block, |says| if let Says::Why(text) = says { std::slice::from_ref(text) } else { &[] }),
            question,
            branches,
            scale,
            bounds,
            good_reads: None,
            reckoned: None,
            moving: None,
            no_normal: None,
            coverage,
            cannot: cannot.map(|(target, span)| (self.names.target(target, &mut self.problems), span)),
            takes: time(block),
        }
    }

    fn end(&mut self, block: &'a Block) -> End {
        let (with, with_span) = self.with(block);
        let mut verify = Vec::new();
        let mut leave = None;
        let mut to = None;
        for line in &block.lines {
            match &line.says {
                Says::Verify(names) => {
                    verify.extend(names.iter().filter_map(|name| self.names.test(name, &mut self.problems)));
                }
                Says::Leave { settings, because } => {
                    leave = Some(Leave {
                        stands: self.stands(settings),
                        because: because.as_ref().map(|text| text.as_str().to_owned()),
                        span: line.span,
                    });
                }
                Says::To(who) => to = Some(who.as_str().to_owned()),
                _ => {}
            }
        }
        End {
            kind: block.kind,
            name: block.name.as_str().to_owned(),
            title: block.title.as_str().to_owned(),
            span: block.span,
            cures: cures(block),
            members: self.members(block),
            with,
            with_span,
            parts: texts(block, |says| if let Says::Part(text) = says { std::slice::from_ref(text) } else { &[] }),
            tools: texts(block, |says| if let Says::Tools(tools) = says { tools } else { &[] }),
            steps: steps(self.tree, block),
            verify,
            leave,
            to,
            because: texts(block, |says| if let Says::Because(text) = says { std::slice::from_ref(text) } else { &[] }),
            takes: time(block),
        }
    }

    fn with(&mut self, block: &'a Block) -> (Vec<Stand>, Span) {
        let line = block.lines.iter().find_map(|line| match &line.says {
            Says::With(settings) => Some((settings, line.span)),
            _ => None,
        });
        match line {
            Some((settings, span)) => (self.stands(settings), span),
            None => (Vec::new(), block.span),
        }
    }

    fn stands(&mut self, settings: &'a [Setting]) -> Vec<Stand> {
        settings::resolve(self.tree, settings, self.ground.states, &self.states, &mut self.told, &mut self.problems)
    }

    fn members(&mut self, block: &Block) -> Members {
        let entries = block.lines.iter().flat_map(|line| match &line.says {
            Says::For(entries) => entries.as_slice(),
            _ => &[],
        });
        for entry in entries {
            match entry {
                For::Each(bank) => return self.bank(bank).map_or(Members::One, Members::Each),
                For::That { bank, .. } => return self.bank(bank).map_or(Members::One, Members::That),
                For::Part { .. } | For::AnythingElse(_) => {}
            }
        }
        Members::One
    }

    fn bank(&mut self, name: &Word) -> Option<BankId> {
        if let Some(at) = self.ground.banks.iter().position(|bank| bank.name == name.as_str()) {
            return Some(BankId(u16::try_from(at).unwrap_or(u16::MAX)));
        }
        let near = nearest(name.as_str(), self.ground.banks.iter().map(|bank| bank.name.as_str()));
        let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
        let message = format!("No unit sheet has a bank `{}`.{hint}", name.as_str());
        let problem = Problem::new(&NO_SUCH_BANK, self.tree.place(name.span), message);
        self.problems.push(match near {
            Some(near) => problem.mended(near),
            None => problem,
        });
        None
    }
}

/// "1,001", as a person writes it.
fn thousands(number: usize) -> String {
    if number < 1_000 { number.to_string() } else { format!("{},{:03}", thousands(number / 1_000), number % 1_000) }
}

/// The texts of every line a picker finds words on.
fn texts(block: &Block, pick: impl Fn(&Says) -> &[Word]) -> Vec<String> {
    block.lines.iter().flat_map(|line| pick(&line.says)).map(|word| word.as_str().to_owned()).collect()
}

fn time(block: &Block) -> Option<f64> {
    block.lines.iter().find_map(|line| match &line.says {
        Says::Takes(time) => Some(seconds(time)),
        _ => None,
    })
}

fn cures(block: &Block) -> Vec<Cures> {
    let entries = block.lines.iter().flat_map(|line| match &line.says {
        Says::For(entries) => entries.as_slice(),
        _ => &[],
    });
    entries
        .filter_map(|entry| match entry {
            For::AnythingElse(_) => Some(Cures::AnythingElse),
            For::Part { part, fault } => Some(Cures::Part {
                part: part.as_str().to_owned(),
                fault: fault.as_ref().map(|f| f.as_str().to_owned()),
            }),
            For::That { bank, part: Some(part), fault } => Some(Cures::Part {
                part: format!("that {}.{}", bank.as_str(), part.as_str()),
                fault: fault.as_ref().map(|f| f.as_str().to_owned()),
            }),
            For::That { part: None, .. } | For::Each(_) => None,
        })
        .collect()
}

/// What is shown and done, in order of lines.
fn steps(tree: &syntax::Playbook, block: &Block) -> Vec<Step> {
    let mut measures = 0_u16;
    block
        .lines
        .iter()
        .filter_map(|line| {
            let span = line.span;
            Some(match &line.says {
                Says::Signal(signal, text) => Step::Signal(*signal, text.as_str().to_owned(), span),
                Says::Do(text) => Step::Do(text.as_str().to_owned(), span),
                Says::Wait { time, until } => Step::Wait {
                    seconds: seconds(time),
                    time: tree.source.slice(time.span).to_owned(),
                    until: until.as_ref().map(|text| text.as_str().to_owned()),
                    span,
                },
                Says::Picture { file, shows } => {
                    Step::Picture { file: file.as_str().to_owned(), shows: shows.as_str().to_owned(), span }
                }
                Says::Measure(_) => {
                    measures = measures.saturating_add(1);
                    Step::Measure(measures - 1, span)
                }
                Says::Ask(_) => Step::Ask(span),
                _ => return None,
            })
        })
        .collect()
}
