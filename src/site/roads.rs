//! How the unit stands when a line is reached, and what has to be changed there.
//!
//! 1. Walk the graph from the first test, every state at home: each test brings the unit to what it names, and its lines lead on.
//! 2. Then from every repair and adjust through the tests owed after it.
//! 3. Roads that reach a step with the same things left to change are told as one, by the steps they come from. Where there are too many,
//!    the card tells the usual road, the one found first, and what has to hold on any other.

use crate::language::syntax::BlockKind;
use crate::playbook::model::{End, EndId, Playbook, Target, TestId};
use crate::playbook::ways::{Change, NoWay, way, way_home};
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId, ValueId};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

/// Most standings looked at on one page; beyond it every card says what has to hold.
const MOST_STANDINGS: usize = 2_000;

/// Most roads told one by one on a card; a number of ours.
const MOST_TOLD: usize = 4;

/// How the unit stands, and what to change.
#[derive(Debug, Clone)]
pub struct WayView {
    /// The roads that reach the step, told apart by what is left to change. One where all of them leave the same, or where there are
    /// too many to tell: then the usual one.
    pub roads: Vec<RoadView>,
    /// How the unit stands then: in full, or what has to hold where the rest may stand either way.
    pub after: String,
    /// What has to hold on any road but the usual one, where there are too many to tell.
    pub holds: Vec<String>,
}

/// Roads that reach a step with the same things to change.
#[derive(Debug, Clone)]
pub struct RoadView {
    /// The steps they come from; none for the start of the call.
    pub from: BTreeSet<usize>,
    /// How the unit stands on arrival; empty where it may stand in more than one way.
    pub before: String,
    /// In this order.
    pub changes: Vec<ChangeView>,
}

/// One change of state.
#[derive(Debug, Clone)]
pub struct ChangeView {
    /// The sentence.
    pub text: String,
    /// The procedure it stands for: `lock-out`, `re-energize` or none.
    pub procedure: &'static str,
    /// What more to do on this unit when locking out.
    pub also: Vec<String>,
}

/// How the unit is left.
#[derive(Debug, Clone)]
pub struct LeaveView {
    /// "locked out, covers on".
    pub stands: String,
    /// What to change to get there.
    pub changes: Vec<ChangeView>,
    /// The reason, where it is not left safe.
    pub because: Option<String>,
}

/// A line of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Node {
    Test(TestId),
    End(EndId),
}

/// The standings a line is reached with.
#[derive(Debug, Default)]
struct Reached {
    /// In the order found; the first is the usual one. With the steps it comes from; none for the start.
    arrivals: Vec<(Standing, BTreeSet<Node>)>,
}

/// All roads of one playbook.
pub struct Roads<'a> {
    playbook: &'a Playbook,
    reached: BTreeMap<Node, Reached>,
    from: BTreeMap<Node, Vec<TestId>>,
    cut_short: bool,
    /// Ways planned already: most lines of a playbook ask for one of a few standings, and are left in one of a few.
    planned: Planned<'a>,
    /// The same for ways home that leave something as it is.
    left: Planned<'a>,
}

/// The changes of a way, and how the unit stands after it.
type Brought = Rc<(Vec<Change>, Standing)>;

/// Ways by what holds at their end and where they start.
type Planned<'a> = RefCell<BTreeMap<&'a [Stand], BTreeMap<Standing, Brought>>>;

type Arrival = (Node, Standing, Option<Node>);

impl<'a> Roads<'a> {
    /// Walks the playbook.
    #[must_use]
    pub fn of(playbook: &'a Playbook) -> Self {
        let mut roads = Self {
            playbook,
            reached: BTreeMap::new(),
            from: BTreeMap::new(),
            cut_short: false,
            planned: Planned::default(),
            left: Planned::default(),
        };
        for (id, test) in playbook.tests() {
            for (target, _) in playbook.ways_out(test) {
                if let Some(node) = node(target) {
                    let from = roads.from.entry(node).or_default();
                    if from.last() != Some(&id) {
                        from.push(id);
                    }
                }
            }
        }
        roads.walk();
        roads
    }

    fn walk(&mut self) {
        let mut soon: VecDeque<Arrival> = VecDeque::new();
        let mut later: VecDeque<Arrival> = VecDeque::new();
        soon.push_back((Node::Test(TestId(0)), Standing::home(&self.playbook.states), None));
        let mut count = 0;
        while let Some((node, standing, from)) = soon.pop_front().or_else(|| later.pop_front()) {
            let arrivals = &mut self.reached.entry(node).or_default().arrivals;
            if let Some((_, known)) = arrivals.iter_mut().find(|(before, _)| *before == standing) {
                known.extend(from);
                continue;
            }
            arrivals.push((standing.clone(), from.into_iter().collect()));
            count += 1;
            if count > MOST_STANDINGS {
                self.cut_short = true;
                return;
            }
            let with = self.with(node);
            let after = self.brought(&standing, with).1.clone();
            match node {
                Node::Test(id) => {
                    for (target, _) in self.playbook.ways_out(self.playbook.test(id)) {
                        soon.extend(self::node(target).map(|to| (to, after.clone(), Some(node))));
                    }
                }
                Node::End(id) => later.extend(self.owed(self.playbook.end(id), &after, node)),
            }
        }
    }

    /// The tests owed after a repair, each reached from the one before.
    fn owed(&self, end: &End, standing: &Standing, from: Node) -> Vec<Arrival> {
        if end.kind == BlockKind::Escalate {
            return Vec::new();
        }
        let mut arrivals = Vec::new();
        let (mut standing, mut from) = (standing.clone(), from);
        for id in end.verify.iter().chain(&self.playbook.finish) {
            let node = Node::Test(*id);
            arrivals.push((node, standing.clone(), Some(from)));
            standing = self.brought(&standing, self.with(node)).1.clone();
            from = node;
        }
        arrivals
    }

    fn with(&self, node: Node) -> &'a [Stand] {
        match node {
            Node::Test(id) => &self.playbook.test(id).with,
            Node::End(id) => &self.playbook.end(id).with,
        }
    }

    /// The changes from a standing to where `with` holds, and how the unit stands then.
    fn brought(&self, from: &Standing, with: &'a [Stand]) -> Brought {
        planned(&self.planned, from, with, || way(&self.playbook.states, from, with))
    }

    /// The changes from a standing home, but for what is left as `stands` say, and how the unit stands then.
    fn left(&self, from: &Standing, stands: &'a [Stand]) -> Brought {
        planned(&self.left, from, stands, || way_home(&self.playbook.states, from, stands))
    }

    /// The tests that lead to a test, in order of lines.
    #[must_use]
    pub fn from_test(&self, id: TestId) -> &[TestId] {
        self.from.get(&Node::Test(id)).map_or(&[], Vec::as_slice)
    }

    /// The tests that lead to a repair, adjust or escalation, in order of lines.
    #[must_use]
    pub fn from_end(&self, id: EndId) -> &[TestId] {
        self.from.get(&Node::End(id)).map_or(&[], Vec::as_slice)
    }

    /// How the unit stands at a test.
    #[must_use]
    pub fn to_test(&self, id: TestId) -> WayView {
        self.to(Node::Test(id))
    }

    /// How the unit stands at a repair, adjust or escalation.
    #[must_use]
    pub fn to_end(&self, id: EndId) -> WayView {
        self.to(Node::End(id))
    }

    fn to(&self, node: Node) -> WayView {
        let with = self.with(node);
        let states = &self.playbook.states;
        let home = [(Standing::home(states), BTreeSet::new())];
        let arrivals = self.reached.get(&node).map_or(&home[..], |reached| &reached.arrivals);
        let mut roads: Vec<(Brought, RoadView)> = Vec::new();
        for (standing, from) in arrivals {
            let brought = self.brought(standing, with);
            let before = states.told_standing(standing);
            let from = from.iter().map(|node| self.number(*node));
            match roads.iter_mut().find(|(other, _)| other.0 == brought.0) {
                Some((_, road)) => {
                    road.from.extend(from);
                    if road.before != before {
                        road.before.clear();
                    }
                }
                None => {
                    let road = RoadView { from: from.collect(), before, changes: self.told(&brought.0) };
                    roads.push((brought, road));
                }
            }
        }
        // How it stands after the usual road; where it may stand otherwise too, what holds on all of them.
        let hold = || states.with_needs(with).into_iter().map(|stand| states.told(stand)).collect::<Vec<_>>();
        let after = |standing: &Standing| self.brought(standing, with).1.clone();
        let mut ends = arrivals.iter().map(|(standing, _)| after(standing));
        let usual = ends.next().unwrap_or_else(|| Standing::home(states));
        let same = !self.cut_short && ends.all(|end| end == usual);
        let after = if same || with.is_empty() { states.told_standing(&usual) } else { hold().join(", ") };
        let several = self.cut_short || roads.len() > MOST_TOLD;
        let roads = roads.into_iter().map(|(_, road)| road).take(if several { 1 } else { MOST_TOLD }).collect();
        WayView { roads, after, holds: if several { hold() } else { Vec::new() } }
    }

    fn number(&self, node: Node) -> usize {
        match node {
            Node::Test(id) => usize::from(id.0) + 1,
            Node::End(id) => self.playbook.tests.len() + usize::from(id.0) + 1,
        }
    }

    /// How the unit is left at an end, by the usual road. Left out: locked out, all else at home.
    #[must_use]
    pub fn leave(&self, id: EndId) -> Option<LeaveView> {
        let end = self.playbook.end(id);
        if end.kind == BlockKind::Adjust {
            return None;
        }
        let stands = end.leave.as_ref().map_or(&[Stand::LOCKED_OUT][..], |leave| &leave.stands);
        let node = Node::End(id);
        let home = Standing::home(&self.playbook.states);
        let arrival = self.reached.get(&node).and_then(|reached| reached.arrivals.first());
        let usual = arrival.map_or(&home, |(standing, _)| standing);
        // A part that is not on the truck is found out before the work; a hand-over is left after it.
        let brought = self.brought(usual, &end.with);
        let left = self.left(&brought.1, stands);
        let (changes, left) = &*left;
        Some(LeaveView {
            stands: self.playbook.states.told_standing(left),
            changes: self.told(changes),
            because: end.leave.as_ref().and_then(|leave| leave.because.clone()),
        })
    }

    fn told(&self, changes: &[Change]) -> Vec<ChangeView> {
        let states = &self.playbook.states;
        changes
            .iter()
            .map(|change| {
                let power = change.state == StateId::POWER;
                let live = change.to == ValueId::HOME;
                let also = states.get(change.state).filter(|_| power && !live).map(|state| state.lock_out_also.clone());
                ChangeView {
                    text: states.sentence(change.state, change.to),
                    procedure: match (power, live) {
                        (true, true) => "re-energize",
                        (true, false) => "lock-out",
                        (false, _) => "",
                    },
                    also: also.unwrap_or_default(),
                }
            })
            .collect()
    }
}

fn node(target: &Target) -> Option<Node> {
    match target {
        Target::Test(id) => Some(Node::Test(*id)),
        Target::End(id) => Some(Node::End(*id)),
        Target::Playbook(_) | Target::Nowhere => None,
    }
}

/// A way, planned once.
fn planned<'a>(
    known: &Planned<'a>,
    from: &Standing,
    holds: &'a [Stand],
    plan: impl FnOnce() -> Result<Vec<Change>, NoWay>,
) -> Brought {
    if let Some(known) = known.borrow().get(holds).and_then(|ways| ways.get(from)) {
        return Rc::clone(known);
    }
    let changes = plan().unwrap_or_default();
    let after = after(from, &changes);
    let way = Rc::new((changes, after));
    known.borrow_mut().entry(holds).or_default().insert(from.clone(), Rc::clone(&way));
    way
}

fn after(from: &Standing, changes: &[Change]) -> Standing {
    let mut standing = from.clone();
    for change in changes {
        standing.set(change.stand());
    }
    standing
}
