//! All walks of one playbook on one unit: the good unit, every fault, every pair, every test that can't be done.

use super::ground::{Gap, Ground};
use super::idle::Idle;
use super::left::Left;
use super::places::PlaceId;
use super::result::{Ends, Outcome, Scope};
use super::table::Table;
use super::trace::{Trod, Want, trace};
use super::walker::Walker;
use crate::corners::{CornerId, Width};
use crate::engine::{BookId, InBook};
use crate::playbook::model::TestId;
use crate::sheet::unit::model::FaultId;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// How much is walked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Depth {
    /// Corners of the good unit and of single faults.
    pub width: Width,
    /// Whether pairs are walked.
    pub pairs: bool,
    /// Whether roads with a test that can't be done are walked.
    pub roads: bool,
}

impl Depth {
    /// Everything.
    pub const FULL: Self = Self { width: Width::All, pairs: true, roads: true };
    /// What `check` walks: the good unit and single faults, in the corners of parts that stand all alike.
    pub const CHEAP: Self = Self { width: Width::Three, pairs: false, roads: false };
}

/// What came of one set of faults.
#[derive(Debug, Clone)]
pub struct Run {
    /// The faults; none for the good unit.
    pub faults: Vec<FaultId>,
    /// Whose complaint: a pair is of this one if one of the two is.
    pub scope: Scope,
    /// What its worst corner came to.
    pub outcome: Outcome,
    /// That corner; the first of them.
    pub corner: CornerId,
    /// Everything that came of any corner and fork.
    pub ends: Ends,
    /// The walk of that corner, where it is worth telling.
    pub walk: Vec<Trod>,
    /// A walk with a needless adjust, and its corner, where there is one.
    pub needless: Option<(CornerId, Vec<Trod>)>,
}

/// What came of a set of faults where one test can't be done.
#[derive(Debug, Clone)]
pub struct Road {
    /// The test.
    pub test: InBook<TestId>,
    /// What came of it.
    pub run: Run,
}

/// What came of a playbook on a unit.
#[derive(Debug, Clone)]
pub struct Shakedown {
    /// The playbooks and the unit.
    pub ground: Arc<Ground>,
    /// The playbook.
    pub book: BookId,
    /// It and all it goes on to.
    pub books: Vec<BookId>,
    /// How much was walked.
    pub depth: Depth,
    /// What each test reads with each fault.
    pub table: Table,
    /// The good unit.
    pub good: Run,
    /// Single faults, in sheet order.
    pub singles: Vec<Run>,
    /// Pairs, in sheet order; of those that are right only the count is kept.
    pub pairs: Vec<Run>,
    /// How many pairs came to what, by scope.
    pub pair_counts: BTreeMap<(Scope, Outcome), usize>,
    /// Roads with a test that can't be done; only those that are not right.
    pub roads: Vec<Road>,
    /// How many such roads were walked.
    pub road_count: usize,
    /// Tests met that have no model, and why.
    pub gaps: BTreeSet<(InBook<TestId>, Gap)>,
    /// Corners of the good unit.
    pub corners: usize,
    /// The lines some walk follows, by their index.
    pub followed: BTreeSet<(InBook<TestId>, usize)>,
    /// How many walks ended, forks not counted.
    pub walks: usize,
    /// How often a circuit was solved: one kind of current, or the ohmmeter's, in one pattern of contacts.
    pub solves: usize,
}

/// Walks a playbook on a unit.
///
/// # Errors
/// [`Gap`] where the playbook cannot be started.
pub fn shake(ground: &Arc<Ground>, book: BookId, depth: Depth) -> Result<Shakedown, Gap> {
    let books = ground.reached(book);
    let (table, of_table) = Table::counted(ground, &books, depth.width);
    let felt = Arc::new(table.felt(ground, &books));
    let faults: Vec<FaultId> = ground.wired.unit.faults().map(|(id, _)| id).collect();
    let scopes: BTreeMap<FaultId, Scope> =
        faults.iter().map(|fault| (*fault, table.scope(ground, book, *fault))).collect();
    let scope =
        |set: &[FaultId]| set.iter().filter_map(|fault| scopes.get(fault)).min().copied().unwrap_or(Scope::This);
    let walkers = Idle::new();
    let fresh = || Walker::new(ground, &felt);
    // Told here once, so that no walker has to ask again.
    walkers.at_one(fresh, |walker| walker.start(book))?;

    let sets: Vec<Vec<FaultId>> = std::iter::once(Vec::new()).chain(faults.iter().map(|fault| vec![*fault])).collect();
    let single = |walker: &mut Walker, set: &Vec<FaultId>| -> Result<Shaken, Gap> {
        let start = walker.start(book)?;
        walker.forget_ends();
        let run = one(walker, start, set, scope(set), depth.width, true);
        let mut shaken = Shaken { walks: run.1, run: run.0, roads: Vec::new(), road_count: 0 };
        if depth.roads {
            for test in walker.visited().clone() {
                walker.cannot(Some(test));
                let (run, walks) = one(walker, start, set, shaken.run.scope, Width::Three, false);
                shaken.walks += walks;
                shaken.road_count += 1;
                if run.outcome != Outcome::Right {
                    shaken.roads.push(Road { test, run });
                }
            }
            walker.cannot(None);
        }
        Ok(shaken)
    };
    let shaken: Vec<Shaken> =
        sets.par_iter().map(|set| walkers.at_one(fresh, |walker| single(walker, set))).collect::<Result<_, _>>()?;

    let mut pairs = Vec::new();
    if depth.pairs {
        for (at, one) in faults.iter().enumerate() {
            pairs.extend(faults.iter().skip(at + 1).map(|other| vec![*one, *other]));
        }
    }
    let pair = |walker: &mut Walker, set: &Vec<FaultId>| -> Result<(Run, usize), Gap> {
        let start = walker.start(book)?;
        let walked = one(walker, start, set, scope(set), Width::Three, false);
        walker.forget_pairs();
        Ok(walked)
    };
    let walked: Vec<(Run, usize)> =
        pairs.par_iter().map(|set| walkers.at_one(fresh, |walker| pair(walker, set))).collect::<Result<_, _>>()?;

    let (mut gaps, mut followed, mut solves) = (BTreeSet::new(), BTreeSet::new(), of_table);
    for walker in walkers.into_all() {
        gaps.extend(walker.gaps);
        followed.extend(walker.places.followed);
        solves += walker.bench.leave();
    }
    let walks = shaken.iter().map(|one| one.walks).sum::<usize>() + walked.iter().map(|one| one.1).sum::<usize>();
    let road_count = shaken.iter().map(|one| one.road_count).sum();
    let mut pair_counts = BTreeMap::new();
    for (run, _) in &walked {
        *pair_counts.entry((run.scope, run.outcome)).or_default() += 1;
    }
    let pairs = walked.into_iter().map(|one| one.0).filter(|run| run.outcome != Outcome::Right).collect();
    let roads = shaken.iter().flat_map(|one| one.roads.clone()).collect();
    let mut runs = shaken.into_iter().map(|one| one.run);
    let Some(good) = runs.next() else { return Err(Gap::NotTied) };
    let corners = ground.desk.corners(depth.width, &[]).len();
    Ok(Shakedown {
        ground: Arc::clone(ground),
        book,
        books,
        depth,
        table,
        good,
        singles: runs.collect(),
        pairs,
        pair_counts,
        roads,
        road_count,
        gaps,
        corners,
        followed,
        walks,
        solves,
    })
}

struct Shaken {
    run: Run,
    walks: usize,
    roads: Vec<Road>,
    road_count: usize,
}

/// Walks one set of faults through every corner.
fn one(
    walker: &mut Walker,
    start: PlaceId,
    set: &[FaultId],
    scope: Scope,
    width: Width,
    always_told: bool,
) -> (Run, usize) {
    let left = Left::all(set);
    let unit = Arc::clone(&walker.bench.ground.wired.unit);
    let moving = !left.steady && set.iter().any(|fault| unit.fault_of(*fault).comes_and_goes.is_some());
    let corners = walker.bench.ground.desk.corners(width, set);
    let mut worst: Option<(Outcome, CornerId, Ends)> = None;
    let mut all = Ends::NONE;
    let mut needless = None;
    let walked = walker.ends_at(start, &left, &corners);
    for (corner, ends) in corners.iter().zip(walked) {
        all = all.or(ends);
        if ends.has_needless() && needless.is_none() {
            needless = Some(*corner);
        }
        // Of a fault that comes and goes every fork may be met on a call: the worst counts.
        let came_to = if moving { ends.worst() } else { ends.of_corner() };
        if let Some(outcome) = came_to
            && worst.is_none_or(|(before, ..)| outcome < before)
        {
            worst = Some((outcome, *corner, ends));
        }
    }
    let (outcome, corner, ends) = worst.unwrap_or((Outcome::NotOnSheet, CornerId(0), Ends::NONE));
    let told = always_told || outcome != Outcome::Right;
    let wanted = ends.worst().filter(|_| told);
    let walk = wanted.map(|worst| trace(walker, start, &left, corner, Want::Ends(worst))).unwrap_or_default();
    let needless =
        needless.filter(|_| always_told).map(|corner| (corner, trace(walker, start, &left, corner, Want::Needless)));
    (Run { faults: set.to_vec(), scope, outcome, corner, ends: all, walk, needless }, corners.len())
}

impl Shakedown {
    /// Whether something the page promises is broken: exit code 3 of the command.
    #[must_use]
    pub fn is_broken(&self, strict: bool) -> bool {
        self.broken().next().is_some() || (strict && self.strictly_broken())
    }

    /// The runs that break a promise: the good unit in a repair or adjust; a single fault of this complaint with callback,
    /// wrong part, stumped or did not hold; a pair with callback; a road where a test can't be done, or a fault that comes and
    /// goes, with wrong part.
    pub fn broken(&self) -> impl Iterator<Item = &Run> {
        let changed = self.good.ends.has(Outcome::WrongPart) || self.good.ends.has_needless();
        let unit = &self.ground.wired.unit;
        let moving = |run: &&Run| run.faults.iter().any(|fault| unit.fault_of(*fault).comes_and_goes.is_some());
        let missed = move |run: &&Run| {
            let own = run.scope == Scope::This && run.outcome <= Outcome::DidNotHold;
            if moving(run) { own && run.outcome <= Outcome::WrongPart } else { own }
        };
        let pairs = self.pairs.iter().filter(|run| run.scope == Scope::This && run.outcome == Outcome::Callback);
        let roads = self
            .roads
            .iter()
            .map(|road| &road.run)
            .filter(|run| (run.faults.is_empty() || run.scope == Scope::This) && run.outcome <= Outcome::WrongPart);
        std::iter::once(&self.good)
            .filter(move |_| changed)
            .chain(self.singles.iter().filter(missed))
            .chain(pairs)
            .chain(roads)
    }

    fn strictly_broken(&self) -> bool {
        let other =
            |run: &&Run| run.scope == Scope::This && !matches!(run.outcome, Outcome::Right | Outcome::Intermittent);
        self.good.outcome != Outcome::Right
            || self.singles.iter().any(|run| other(&run) || (run.scope == Scope::This && run.needless.is_some()))
            || self.pairs.iter().any(|run| other(&run))
            || self.roads.iter().any(|road| other(&&road.run))
            || !self.gaps.is_empty()
    }

    /// The single fault's own run.
    #[must_use]
    pub fn single(&self, fault: FaultId) -> Option<&Run> {
        self.singles.iter().find(|run| run.faults == [fault])
    }
}
