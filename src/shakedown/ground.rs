//! Playbooks and unit put together: for every test where the meter goes and which answer a word is, for every repair which
//! faults it cures. All names are looked up once.

use crate::circuit::unit::{Depends, Wired};
use crate::corners::{Desk, Desks, Tap, Unread, tap};
use crate::engine::{BookId, InBook, Library, Refused};
use crate::language::syntax::BlockKind;
use crate::playbook::model::{
    Cures, End, EndId, Member, Members, Playbook, Question, Scale, SlotId, Step, Sum, Takes, Target, Test, TestId,
};
use crate::sheet::unit::model::{FaultId, Owner, ReadingId, Scale as Told};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

/// Index of a test asked for one member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct AskId(pub u16);

/// Why a test has no model.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gap {
    /// A question that is tied to no worded reading.
    NotTied,
    /// The reading a question is tied to is not on the sheet, or not in words.
    NoWords(String),
    /// A word the reading may show is no answer of the question.
    NoAnswer(String),
    /// A place the meter goes to is not on the sheet.
    NoPlace(String),
    /// What is normal there cannot be worked out.
    Judged,
    /// The reading cannot be worked out.
    Unread(String),
    /// The walk does not take the answer.
    Refused(String),
}

impl fmt::Display for Gap {
    /// A clause behind "the test `x`:".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotTied => f.write_str("its question is tied to no reading of the sheet (`answers READING`)"),
            Self::NoWords(name) => write!(f, "the sheet has no reading `{name}` with words"),
            Self::NoAnswer(word) => write!(f, "the sheet says \"{word}\", and that is none of its answers"),
            Self::NoPlace(place) => write!(f, "the sheet has no such place: {place}"),
            Self::Judged => f.write_str("the sheet does not say what is normal there"),
            Self::Unread(why) => write!(f, "{why}"),
            Self::Refused(why) => write!(f, "{why}"),
        }
    }
}

impl From<Unread> for Gap {
    fn from(unread: Unread) -> Self {
        Self::Unread(unread.to_string())
    }
}

impl From<Refused> for Gap {
    fn from(refused: Refused) -> Self {
        Self::Refused(refused.to_string().trim_end_matches('.').to_owned())
    }
}

/// How a test is answered.
#[derive(Debug, Clone)]
pub enum Way {
    /// By the meter.
    Measured,
    /// By a worded reading: for each of its words, the line whose answer it is.
    Said(ReadingId, Vec<Result<usize, String>>),
    /// Not at all.
    Gap(Gap),
}

/// A test asked for one member, or for the unit.
#[derive(Debug, Clone)]
pub struct Ask {
    /// Which test.
    pub at: InBook<TestId>,
    /// For which member.
    pub member: Option<Member>,
    /// Where the meter goes, a tap a measure.
    pub taps: Vec<Tap>,
    /// How it is answered.
    pub way: Way,
    /// What decides the answer.
    pub depends: Depends,
    /// Whether time goes by: a `wait`, or a measure over a time.
    pub watches: bool,
    /// Readings of other tests its sum needs.
    pub before: Vec<SlotId>,
    /// Whether its readings have to do with no other test: they need none of another's, and none needs theirs.
    pub alone: bool,
}

/// The work of a repair, adjust or escalation for one member.
#[derive(Debug, Clone, Default)]
pub struct Work {
    /// The faults its `for` lines match.
    pub cures: BTreeSet<FaultId>,
    /// `for anything else`
    pub anything_else: bool,
    /// Whether it has a `for` that names parts.
    pub names: bool,
}

/// What is walked: the playbooks of one unit, and the unit with the shop's meter.
#[derive(Debug, Clone)]
pub struct Ground {
    /// The playbooks.
    pub library: Arc<Library>,
    /// The unit.
    pub wired: Arc<Wired>,
    /// The unit with the shop's meter, at all its corners.
    pub desk: Desk,
    /// Where it is read: each walker takes a desk, and gives it back.
    pub desks: Desks,
    asks: Vec<Ask>,
    by_test: BTreeMap<(InBook<TestId>, Option<Member>), AskId>,
    works: BTreeMap<(InBook<EndId>, Option<Member>), Work>,
    /// Readings that a test other than the one that takes them uses.
    kept: BTreeSet<InBook<SlotId>>,
}

impl Ground {
    /// Looks every name up.
    #[must_use]
    pub fn new(library: Arc<Library>, desks: &Desks) -> Self {
        let mut ground = Self {
            library: Arc::clone(&library),
            wired: Arc::clone(desks.wired()),
            desk: desks.fresh().clone(),
            desks: desks.clone(),
            asks: Vec::new(),
            by_test: BTreeMap::new(),
            works: BTreeMap::new(),
            kept: BTreeSet::new(),
        };
        for (id, book) in library.books() {
            for (test_id, test) in book.tests() {
                let at = InBook { book: id, id: test_id };
                for member in members(book, test.members) {
                    let ask = ground.ask_of(book, at, test, member);
                    ground.kept.extend(ask.before.iter().map(|slot| InBook { book: id, id: *slot }));
                    let next = AskId(u16::try_from(ground.asks.len()).unwrap_or(u16::MAX));
                    ground.asks.push(ask);
                    ground.by_test.insert((at, member), next);
                }
            }
            for (end_id, end) in book.ends() {
                for member in members(book, end.members) {
                    let work = ground.work_of(book, end, member);
                    ground.works.insert((InBook { book: id, id: end_id }, member), work);
                }
            }
        }
        for ask in &mut ground.asks {
            let mut slots = library.test(ask.at).measures().iter().map(|measure| measure.slot);
            let is_kept = slots.any(|slot| ground.kept.contains(&InBook { book: ask.at.book, id: slot }));
            ask.alone = ask.before.is_empty() && !is_kept;
        }
        ground
    }

    /// A test asked for a member.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by this table")]
    pub fn ask(&self, id: AskId) -> &Ask {
        &self.asks[usize::from(id.0)]
    }

    /// The tests with the members they are asked for, in order of playbooks and lines.
    pub fn asks(&self) -> impl Iterator<Item = (AskId, &Ask)> {
        self.asks.iter().enumerate().map(|(at, ask)| (AskId(u16::try_from(at).unwrap_or(u16::MAX)), ask))
    }

    /// A test asked for a member.
    #[must_use]
    pub fn find(&self, at: InBook<TestId>, member: Option<Member>) -> Option<AskId> {
        self.by_test.get(&(at, member)).copied()
    }

    /// The work of an end for a member.
    #[must_use]
    pub fn work(&self, at: InBook<EndId>, member: Option<Member>) -> Option<&Work> {
        self.works.get(&(at, member))
    }

    /// Whether a reading is used by another test than the one that takes it.
    #[must_use]
    pub fn is_kept(&self, book: BookId, slot: SlotId) -> bool {
        self.kept.contains(&InBook { book, id: slot })
    }

    /// The playbook and all it goes on to, in the order met.
    #[must_use]
    pub fn reached(&self, from: BookId) -> Vec<BookId> {
        let mut reached = vec![from];
        let mut next = 0;
        while let Some(book) = reached.get(next).copied() {
            next += 1;
            let book = self.library.book(book);
            let targets = book.tests.iter().flat_map(|test| book.ways_out(test));
            for name in targets.filter_map(|(target, _)| match target {
                Target::Playbook(name) => Some(name),
                _ => None,
            }) {
                if let Some(other) = self.library.find(name)
                    && !reached.contains(&other)
                {
                    reached.push(other);
                }
            }
        }
        reached
    }

    fn ask_of(&self, book: &Playbook, at: InBook<TestId>, test: &Test, member: Option<Member>) -> Ask {
        let whose = bank_of(book, test.members).zip(member);
        let mut taps = Vec::new();
        let mut missing = None;
        for measure in test.measures() {
            let over = measure.over.as_ref().map(|(kind, _, _)| *kind);
            match tap(&self.wired, measure.unit, &measure.probes, over, measure.loaded, whose) {
                Some(tap) => taps.push(tap),
                None => missing = missing.or_else(|| Some(Gap::NoPlace(measure.at.clone()))),
            }
        }
        let way = match (missing, &test.question, test.scale) {
            (Some(gap), ..) => Way::Gap(gap),
            (None, _, Scale::Judged(_)) => Way::Gap(Gap::Judged),
            (None, Question::Ask { answers: None, .. }, _) => Way::Gap(Gap::NotTied),
            (None, Question::Ask { answers: Some(name), .. }, _) => self.said(test, name, whose),
            (None, ..) => Way::Measured,
        };
        let own: Vec<SlotId> = test.measures().iter().map(|measure| measure.slot).collect();
        let mut before = Vec::new();
        if let Question::Sum { sum, .. } = &test.question {
            slots(sum, &mut before);
        }
        // Limits that go by the supply need its reading too.
        before.extend(test.moving.as_ref().map(|moving| moving.at));
        before.retain(|slot| !own.contains(slot));
        let watches = test.steps.iter().any(|step| matches!(step, Step::Wait { .. }))
            || test.measures().iter().any(|measure| measure.over.is_some());
        let said = match way {
            Way::Said(reading, _) => Some(reading),
            Way::Measured | Way::Gap(_) => None,
        };
        let depends = self.desk.depends(&taps, said);
        Ask { at, member, taps, way, depends, watches, before, alone: false }
    }

    /// For each word of the reading, the line whose answer it is.
    fn said(&self, test: &Test, name: &str, whose: Option<(&str, Member)>) -> Way {
        let full = of_member(name, whose);
        let Some((id, reading)) = self.wired.unit.reading(&full) else { return Way::Gap(Gap::NoWords(full)) };
        let Told::Words(words) = &reading.scale else { return Way::Gap(Gap::NoWords(full)) };
        let line = |word: &String| {
            let line = test.branches.iter().position(|b| b.takes == Takes::Answer && b.words == *word);
            line.ok_or_else(|| word.clone())
        };
        Way::Said(id, words.iter().map(line).collect())
    }

    fn work_of(&self, book: &Playbook, end: &End, member: Option<Member>) -> Work {
        let unit = &self.wired.unit;
        let mut work = Work::default();
        for cures in &end.cures {
            match cures {
                Cures::AnythingElse => work.anything_else = true,
                Cures::Part { part, fault } => {
                    work.names = true;
                    let part = of_member(part, bank_of(book, end.members).zip(member));
                    let matching = unit.faults().filter(|(_, known)| {
                        unit.owner_name(known.owner) == part && fault.as_ref().is_none_or(|name| known.name == *name)
                    });
                    work.cures.extend(matching.map(|(id, _)| id));
                }
            }
        }
        // `for that zone` alone stands for whatever is in the zone.
        if let (Members::That(bank), Some(member), false) = (end.members, member, work.names || work.anything_else) {
            work.names = true;
            let bank = unit.bank(&book.bank(bank).name).map(|(at, _)| at);
            let of_it = |owner: Owner| match owner {
                Owner::Part(part) => bank.is_some() && unit.part_of(part).member == bank.map(|bank| (bank, member)),
                Owner::Supply(_) => false,
            };
            work.cures.extend(unit.faults().filter(|(_, fault)| of_it(fault.owner)).map(|(id, _)| id));
        }
        work
    }

    /// Whether a block only hands the unit on.
    #[must_use]
    pub fn hands_on(&self, at: InBook<EndId>) -> bool {
        self.library.end(at).kind == BlockKind::Escalate
    }
}

/// `zone.relay` and `that zone.relay` as the member's own name, `zone-3.relay`.
fn of_member(name: &str, whose: Option<(&str, Member)>) -> String {
    let Some((bank, member)) = whose else { return name.to_owned() };
    let bare = name.strip_prefix("that ").unwrap_or(name);
    match bare.split_once('.') {
        Some((of, rest)) if of == bank => format!("{bank}-{member}.{rest}"),
        _ => name.to_owned(),
    }
}

fn bank_of(book: &Playbook, members: Members) -> Option<&str> {
    match members {
        Members::One => None,
        Members::Each(bank) | Members::That(bank) => Some(&book.bank(bank).name),
    }
}

/// The members a block is for, one by one.
fn members(book: &Playbook, members: Members) -> Vec<Option<Member>> {
    match members {
        Members::One => vec![None],
        Members::Each(bank) | Members::That(bank) => book.bank(bank).members.iter().copied().map(Some).collect(),
    }
}

fn slots(sum: &Sum, found: &mut Vec<SlotId>) {
    match sum {
        Sum::Slot(slot) => found.push(*slot),
        Sum::Number(_) | Sum::Word(_) => {}
        Sum::Call(_, arguments) => arguments.iter().for_each(|argument| slots(argument, found)),
        Sum::Pair(_, left, right) => {
            slots(left, found);
            slots(right, found);
        }
        Sum::Minus(inner) => slots(inner, found),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_the_member_picked() {
        for (written, member, want) in [
            ("zone.relay", Some(("zone", 3)), "zone-3.relay"),
            ("that zone.relay", Some(("zone", 3)), "zone-3.relay"),
            ("zone-2.relay", Some(("zone", 3)), "zone-2.relay"),
            ("mains", None, "mains"),
        ] {
            assert_eq!(of_member(written, member), want);
        }
    }
}
