//! What every test reads with every fault, alone in the unit: the outcome table.
//!
//! Each test is asked as from home, in the states it names and what they need, the readings as the meter shows them. From it:
//! which faults a playbook can feel at all, whose complaint a fault makes, where the limits lie, what looks alike.

use super::asked::{Asked, Bench};
use super::ground::{Ask, AskId, Gap, Ground};
use super::idle::Idle;
use super::result::Scope;
use crate::corners::{CornerId, Width};
use crate::engine::{Answer, BookId};
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Members, SlotId, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;
use rayon::prelude::*;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One test with one fault, over the corners.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cell {
    /// The outcome lines met.
    pub lines: BTreeSet<u16>,
    /// Whether some corner is good.
    pub some_good: bool,
    /// Whether some corner is not good.
    pub some_bad: bool,
    /// Lowest and highest of what was judged; on a good unit with the accuracy of the meter.
    pub span: Option<(Reading, Reading)>,
    /// With a fault, everything that was judged, lowest first.
    pub results: Vec<Reading>,
    /// Why it has no model, where it has none.
    pub gap: Option<Gap>,
}

/// The outcome table of some tests on one unit.
#[derive(Debug, Clone)]
pub struct Table {
    /// The tests, with their members.
    pub asks: Vec<AskId>,
    good: Vec<Cell>,
    faulty: BTreeMap<FaultId, Vec<Cell>>,
}

impl Table {
    /// Asks the unit, good and with every fault, the tests of these playbooks and the first test of all others.
    #[must_use]
    pub fn of(ground: &Arc<Ground>, books: &[BookId], width: Width) -> Self {
        Self::counted(ground, books, width).0
    }

    /// The same, and how often a circuit was solved for it.
    pub(super) fn counted(ground: &Arc<Ground>, books: &[BookId], width: Width) -> (Self, usize) {
        let wanted = |ask: &Ask| books.contains(&ask.at.book) || ask.at.id == TestId(0);
        let asks: Vec<AskId> = ground.asks().filter(|(_, ask)| wanted(ask)).map(|(id, _)| id).collect();
        let sets: Vec<Vec<FaultId>> =
            std::iter::once(Vec::new()).chain(ground.wired.unit.faults().map(|(id, _)| vec![id])).collect();
        let benches = Idle::new();
        let row = |bench: &mut Bench, faults: &[FaultId]| -> Vec<Cell> {
            asks.iter().map(|ask| cell(bench, *ask, faults, width)).collect()
        };
        let rows: Vec<Vec<Cell>> =
            sets.par_iter().map(|faults| benches.at_one(|| Bench::new(ground), |bench| row(bench, faults))).collect();
        let solves = benches.into_all().into_iter().map(Bench::leave).sum();
        let mut rows = rows.into_iter();
        let good = rows.next().unwrap_or_default();
        let faulty = ground.wired.unit.faults().map(|(id, _)| id).zip(rows).collect();
        (Self { asks, good, faulty }, solves)
    }

    /// What a test reads with a fault; without one, on a good unit.
    #[must_use]
    pub fn cell(&self, fault: Option<FaultId>, ask: AskId) -> Option<&Cell> {
        let at = self.asks.iter().position(|known| *known == ask)?;
        match fault {
            Some(fault) => self.faulty.get(&fault)?.get(at),
            None => self.good.get(at),
        }
    }

    /// The faults that make some test of these playbooks read not good, alone in the unit, in some corner.
    #[must_use]
    pub fn felt(&self, ground: &Ground, books: &[BookId]) -> BTreeSet<FaultId> {
        let bad = |fault: FaultId| {
            let here = |ask: &AskId| books.contains(&ground.ask(*ask).at.book);
            let mut own = self.asks.iter().filter(|ask| here(ask));
            own.any(|ask| self.cell(Some(fault), *ask).is_some_and(|cell| cell.some_bad))
        };
        self.faulty.keys().copied().filter(|fault| bad(*fault)).collect()
    }

    /// Whose complaint a fault makes, seen from a playbook.
    #[must_use]
    pub fn scope(&self, ground: &Ground, book: BookId, fault: FaultId) -> Scope {
        let bad = |of: BookId| {
            let first = |ask: &AskId| ground.ask(*ask).at.book == of && ground.ask(*ask).at.id == TestId(0);
            let mut own = self.asks.iter().filter(|ask| first(ask));
            own.any(|ask| self.cell(Some(fault), *ask).is_some_and(|cell| cell.some_bad))
        };
        if bad(book) {
            Scope::This
        } else if ground.library.books().any(|(other, _)| bad(other)) {
            Scope::Another
        } else {
            Scope::Nobody
        }
    }
}

fn cell(bench: &mut Bench, id: AskId, faults: &[FaultId], width: Width) -> Cell {
    let mut cell = Cell::default();
    let standing = standing(&bench.ground, id);
    let asked = bench.asked(id, faults, &standing);
    let alone = bench.ground.ask(id).before.is_empty();
    let mut met = BTreeSet::new();
    for corner in bench.ground.desk.corners(width, faults) {
        // Where the answer is the same it needs asking once.
        if alone && !met.insert(bench.alike(&asked, corner)) {
            continue;
        }
        if let Err(gap) = add(bench, &mut cell, &asked, faults, corner) {
            cell.gap = Some(gap);
            return cell;
        }
    }
    cell.results.sort_by(|a, b| a.order(*b));
    cell.results.dedup();
    cell
}

fn add(bench: &mut Bench, cell: &mut Cell, asked: &Asked, faults: &[FaultId], corner: CornerId) -> Result<(), Gap> {
    let id = asked.id;
    let ground = Arc::clone(&bench.ground);
    // On a good unit a limit has to leave room for the meter too.
    let answers = bench.answers(asked, corner, faults.is_empty())?;
    let before = earlier(bench, id, faults, corner)?;
    let answers = answers.into_iter().map(apart).collect::<Vec<_>>().concat();
    let test = ground.library.test(ground.ask(id).at);
    for (_, ways) in bench.fall(id, answers, &|slot| before.get(&slot).copied())? {
        for way in ways {
            let line = way.fell.line.or(way.fell.alls.first().copied());
            let good = line
                .and_then(|line| test.branches.get(usize::from(line)))
                .is_some_and(|branch| branch.kind == OutcomeKind::Good);
            cell.lines.extend(line);
            cell.some_good |= good;
            cell.some_bad |= !good;
            if let Some(result) = way.result {
                if !faults.is_empty() {
                    cell.results.push(result);
                }
                let (low, high) = cell.span.unwrap_or((result, result));
                let lower = result.order(low) == Ordering::Less;
                let higher = result.order(high) == Ordering::Greater;
                cell.span = Some((if lower { result } else { low }, if higher { result } else { high }));
            }
        }
    }
    Ok(())
}

/// Each set of readings as an answer of its own, those at the ends of the accuracy too.
fn apart(answer: Answer) -> Vec<Answer> {
    let Answer::Read(sets) = answer else { return vec![answer] };
    let sure = |read| Answer::Read(vec![crate::engine::Taken::sure(read)]);
    sets.into_iter().flat_map(|set| std::iter::once(set.read).chain(set.could)).map(sure).collect()
}

/// What other tests have read that the sum of this one needs.
fn earlier(
    bench: &mut Bench,
    id: AskId,
    faults: &[FaultId],
    corner: CornerId,
) -> Result<BTreeMap<SlotId, Reading>, Gap> {
    let ground = Arc::clone(&bench.ground);
    let ask = ground.ask(id);
    let book = ground.library.book(ask.at.book);
    let own_bank = match ground.library.test(ask.at).members {
        Members::One => None,
        Members::Each(bank) | Members::That(bank) => Some(bank),
    };
    let mut before = BTreeMap::new();
    for slot in &ask.before {
        let taken_by = book.slot(*slot).test;
        let member = match book.test(taken_by).members {
            Members::One => None,
            Members::Each(bank) | Members::That(bank) if own_bank == Some(bank) => ask.member,
            // Of the member picked: any will do, the first is taken.
            Members::Each(bank) | Members::That(bank) => book.bank(bank).members.first().copied(),
        };
        let other = ground.find(crate::engine::InBook { book: ask.at.book, id: taken_by }, member);
        let other = other.ok_or(Gap::NotTied)?;
        let standing = standing(&ground, other);
        let asked = bench.asked(other, faults, &standing);
        let answer = bench.answers(&asked, corner, false)?.into_iter().next();
        let read = match answer {
            Some(Answer::Read(sets)) => sets.into_iter().next().map(|set| set.read),
            Some(Answer::Said(read, _)) => Some(read),
            _ => None,
        };
        let measures = book.test(taken_by).measures();
        let at = measures.iter().position(|measure| measure.slot == *slot);
        before.extend(read.zip(at).and_then(|(read, at)| Some((*slot, *read.get(at)?))));
    }
    Ok(before)
}

/// How a unit stands for a test, come from home.
fn standing(ground: &Ground, id: AskId) -> Standing {
    let at = ground.ask(id).at;
    let states = ground.library.states();
    let mut standing = Standing::home(states);
    for stand in states.with_needs(&ground.library.stands(at.book, &ground.library.test(at).with)) {
        standing.set(stand);
    }
    standing
}
