//! Ways between states: what to change, in which order, so that a block can be done.
//!
//! 1. What a block names needs its `only while` too, and what that needs: the goal. Two values of one state in it: no way.
//! 2. Loose states go straight there. Tied states are searched for the least cost: a change is 1, a change of power 10.
//! 3. A search that goes deeper only within a bound, from the least that could do upwards, children in sheet order: the first
//!    way found is the cheapest, and of these the first in sheet order.
//! 4. Loose and tied changes are merged in sheet order.
//!
//! All conditions are about standings, so each way can also be gone back; what can be reached at all can be reached from home.
//! The bound counts for every state the values it must still pass through: what it has to become, what others wait for,
//! home where something under it gives way. In the states of real machines it is exact and the search goes straight.

use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId, States, ValueId};
use crate::sheet::ties::{Bits, Ties};
use crate::text::english::{list, ticked};
use std::collections::BTreeMap;

/// One change on a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Change {
    /// Which state.
    pub state: StateId,
    /// How it stood.
    pub from: ValueId,
    /// How it stands then.
    pub to: ValueId,
}

impl Change {
    /// How the state stands after it.
    #[must_use]
    pub fn stand(self) -> Stand {
        Stand { state: self.state, value: self.to }
    }
}

/// Why there is no way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoWay {
    /// Two things stand against each other.
    Against(Reason, Reason),
    /// No order of changes gets there; the fewest of the stands asked for that cannot be reached together.
    OutOfReach(Vec<Stand>),
    /// More states hang together than can be ordered.
    TooMany,
}

/// A stand, and what asks for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reason {
    /// What must hold.
    pub stand: Stand,
    /// For the sake of what; `None` where the block names it.
    pub by: Option<Stand>,
    /// Only to change it, not as long as it stands.
    pub to_change: bool,
}

impl NoWay {
    /// The fact as a sentence: "`heat on` needs `power live`, and `jumper in` is only changed with `power locked-out`."
    #[must_use]
    pub fn told(&self, states: &States) -> String {
        let name = |stand: Stand| format!("`{}`", states.told(stand));
        match self {
            Self::Against(one, other) if one.by.is_none() && other.by.is_none() => {
                format!("{} and {} can't both be.", name(one.stand), name(other.stand))
            }
            Self::Against(one, other) if other.by.is_none() => {
                format!("{} is asked for, and {}.", name(other.stand), one.told(states))
            }
            Self::Against(one, other) if one.by.is_none() => {
                format!("{} is asked for, and {}.", name(one.stand), other.told(states))
            }
            Self::Against(one, other) => format!("{}, and {}.", one.told(states), other.told(states)),
            Self::OutOfReach(stands) => {
                let names: Vec<String> = stands.iter().map(|stand| states.told(*stand)).collect();
                format!("No order of changes leads to {}.", list(&ticked(&names), "and"))
            }
            Self::TooMany => "More states hang together here than can be put in order.".to_owned(),
        }
    }
}

impl Reason {
    fn told(self, states: &States) -> String {
        let by = self.by.map(|by| states.told(by)).unwrap_or_default();
        let needs = states.told(self.stand);
        if self.to_change {
            format!("`{by}` is only changed with `{needs}`")
        } else {
            format!("`{by}` needs `{needs}`")
        }
    }
}

/// The changes that lead from `from` to where all of `want` holds, at least cost. Empty if it does already.
///
/// # Errors
/// [`NoWay`] says what stands against what.
pub fn way(states: &States, from: &Standing, want: &[Stand]) -> Result<Vec<Change>, NoWay> {
    if want.iter().all(|stand| from.holds(*stand)) {
        return Ok(Vec::new());
    }
    let ties = states.ties();
    if ties.too_many() {
        return Err(NoWay::TooMany);
    }
    let mut goal = 0;
    let mut loose: Vec<Stand> = Vec::new();
    for stand in want {
        match ties.bit(*stand) {
            Some(bit) => goal |= bit,
            None => loose.push(*stand),
        }
    }
    loose.sort_unstable();
    loose.dedup();
    let goal = with_needs(ties, goal);
    let twice = |pair: &[Stand]| matches!(pair, [one, other] if one.state == other.state);
    if loose.windows(2).any(twice) || clashes(ties, goal) {
        return Err(explain(states, want));
    }
    let tied = Search::new(ties, goal, ties.of_standing(from)).run().map_err(|stop| match stop {
        Stop::OutOfReach => explain(states, want),
        Stop::TooMany => NoWay::TooMany,
    })?;
    Ok(merge(from, &loose, tied))
}

/// The changes that bring every state home, but those of `leave`, which come to stand as it says; what their `only while`
/// needs stays too.
///
/// # Errors
/// [`NoWay`] says what in `leave` stands against what.
pub fn way_home(states: &States, from: &Standing, leave: &[Stand]) -> Result<Vec<Change>, NoWay> {
    let mut want = states.with_needs(leave);
    let home = from.iter().filter(|stand| !want.iter().any(|left| left.state == stand.state));
    let home: Vec<Stand> = home.map(|stand| Stand::home(stand.state)).collect();
    want.extend(home);
    way(states, from, &want)
}

/// What a way costs: a change 1, a change of power 10.
#[must_use]
pub fn cost(way: &[Change]) -> u32 {
    way.iter().map(|change| weight(change.state)).sum()
}

fn weight(state: StateId) -> u32 {
    if state == StateId::POWER { 10 } else { 1 }
}

/// The goal with everything the `only while` of its values needs.
fn with_needs(ties: &Ties, goal: Bits) -> Bits {
    let (mut all, mut new) = (goal, goal);
    while new != 0 {
        let needs = ties.facts(new).fold(0, |needs, (_, fact)| needs | fact.only);
        new = needs & !all;
        all |= new;
    }
    all
}

fn clashes(ties: &Ties, goal: Bits) -> bool {
    ties.facts(goal).any(|(_, fact)| (goal & fact.state).count_ones() > 1)
}

/// Loose changes go in between where their state stands earlier in the sheet than the next tied one.
fn merge(from: &Standing, loose: &[Stand], tied: Vec<Change>) -> Vec<Change> {
    let mut way = Vec::with_capacity(loose.len() + tied.len());
    let mut tied = tied.into_iter().peekable();
    for stand in loose.iter().filter(|stand| !from.holds(**stand)) {
        while let Some(change) = tied.next_if(|change| change.state < stand.state) {
            way.push(change);
        }
        let mut at = from.get(stand.state);
        if at != ValueId::HOME && !stand.is_home() {
            way.push(Change { state: stand.state, from: at, to: ValueId::HOME });
            at = ValueId::HOME;
        }
        way.push(Change { state: stand.state, from: at, to: stand.value });
    }
    way.extend(tied);
    way
}

/// Why a search ended without a way.
enum Stop {
    OutOfReach,
    TooMany,
}

/// Most standings looked at before a search is given up; real sheets need a few dozen.
const MOST_LOOKS: u32 = 200_000;

/// The search over tied states.
struct Search<'a> {
    ties: &'a Ties,
    goal: Bits,
    start: Bits,
    /// Values worth going to.
    useful: Bits,
    bound: u32,
    /// The least bound that would have let the search go on.
    next: u32,
    looks: u32,
    /// Standings found to lead nowhere within the bound, with what had been spent on reaching them.
    dead: BTreeMap<Bits, u32>,
    way: Vec<Change>,
}

impl<'a> Search<'a> {
    fn new(ties: &'a Ties, goal: Bits, start: Bits) -> Self {
        let dead = BTreeMap::new();
        Self { ties, goal, start, useful: 0, bound: 0, next: 0, looks: 0, dead, way: Vec::new() }
    }

    fn run(mut self) -> Result<Vec<Change>, Stop> {
        self.useful = self.useful();
        self.bound = self.least(self.start);
        loop {
            self.next = u32::MAX;
            self.dead.clear();
            if self.go(self.start, 0) {
                return Ok(self.way);
            }
            if self.looks > MOST_LOOKS {
                return Err(Stop::TooMany);
            }
            if self.next == u32::MAX {
                return Err(Stop::OutOfReach);
            }
            self.bound = self.next;
        }
    }

    /// Tries every change from here, in sheet order. INVARIANT: every standing it is called with obeys every `only while`.
    fn go(&mut self, here: Bits, spent: u32) -> bool {
        if here & self.goal == self.goal {
            return true;
        }
        self.looks += 1;
        if self.looks > MOST_LOOKS || self.dead.get(&here).is_some_and(|before| *before <= spent) {
            return false;
        }
        self.dead.insert(here, spent);
        let ties = self.ties;
        for (bit, to) in ties.facts(self.useful & !here) {
            let Some(at) = ties.lowest(here & to.state) else { continue };
            let over_home = !at.stand.is_home() && !to.stand.is_home();
            if over_home || to.arrive & !here != 0 || at.leave & !here != 0 {
                continue;
            }
            let there = (here & !to.state) | bit;
            let spent = spent + weight(to.stand.state);
            let total = spent + self.least(there);
            if total > self.bound {
                self.next = self.next.min(total);
                continue;
            }
            self.way.push(Change { state: to.stand.state, from: at.stand.value, to: to.stand.value });
            if self.go(there, spent) {
                return true;
            }
            self.way.pop();
        }
        false
    }

    /// The least that getting from `here` to the goal can cost: for each state its shortest round over the values it must pass.
    fn least(&self, here: Bits) -> u32 {
        let mut pass = self.goal & !here;
        let mut new = pass;
        while new != 0 {
            let mut needs = 0;
            for (_, to) in self.ties.facts(new) {
                needs |= to.arrive;
                if let Some(at) = self.ties.lowest(here & to.state) {
                    needs |= at.leave;
                    if !at.stand.is_home() {
                        needs |= to.home;
                    }
                }
            }
            new = needs & !here & !pass;
            pass |= new;
        }
        let mut total = 0;
        while let Some(fact) = self.ties.lowest(pass) {
            let end = self.goal & fact.state;
            let through = pass & fact.state & !fact.home & !end;
            let out = u32::from(here & fact.home == 0);
            let rounds = 2 * through.count_ones() - u32::from(end == 0 && through != 0);
            let last = u32::from(end & !fact.home != 0);
            total += (out + rounds + last) * weight(fact.stand.state);
            pass &= !fact.state;
        }
        total
    }

    /// The values a least way can go to: of the goal, of what changing them needs, and home of all that hangs on a state
    /// which may change.
    fn useful(&self) -> Bits {
        let mut useful = with_homes(self.ties, self.goal);
        let mut new = useful;
        while new != 0 {
            let mut needs = 0;
            for (_, to) in self.ties.facts(new) {
                needs |= to.arrive;
                // What stands on the value left behind has to go home for it.
                needs |= self.ties.lowest(to.state & self.start).map_or(0, |at| at.leave & !self.start);
            }
            needs = with_homes(self.ties, needs);
            new = needs & !useful;
            useful |= new;
        }
        useful
    }
}

fn with_homes(ties: &Ties, bits: Bits) -> Bits {
    ties.facts(bits).fold(bits, |all, (_, fact)| all | fact.home)
}

/// Finds out what stands against what. Slow and thorough: it runs only when there is no way.
fn explain(states: &States, want: &[Stand]) -> NoWay {
    let mut want = want.to_vec();
    want.sort_unstable();
    want.dedup();
    let asked: Vec<Reason> = want.iter().map(|stand| Reason { stand: *stand, by: None, to_change: false }).collect();
    if let Some(clash) = clash(states, asked.clone()) {
        return clash;
    }
    // Each value of the goal may be impossible by itself: what it needs to change against what it needs to stay.
    for stand in states.with_needs(&want).into_iter().filter(|stand| !stand.is_home()) {
        let Some(state) = states.get(stand.state) else { continue };
        let reason = |to_change| move |need: &Stand| Reason { stand: *need, by: Some(stand), to_change };
        let mut needs: Vec<Reason> = state.only_while.iter().map(reason(false)).collect();
        needs.extend(state.change_while.iter().map(reason(true)));
        if let Some(clash) = clash(states, needs) {
            return clash;
        }
    }
    let home = Standing::home(states);
    let reached = |stands: &[Stand]| {
        let goal = with_needs(states.ties(), states.ties().bits(stands));
        Search::new(states.ties(), goal, states.ties().of_standing(&home)).run().is_ok()
    };
    // Take away what can go while the rest is still out of reach.
    let mut least = want.clone();
    for stand in &want {
        let rest: Vec<Stand> = least.iter().filter(|kept| *kept != stand).copied().collect();
        if !rest.is_empty() && !reached(&rest) {
            least = rest;
        }
    }
    NoWay::OutOfReach(least)
}

/// Follows what is needed from reason to reason until one state is to have two values.
fn clash(states: &States, mut reasons: Vec<Reason>) -> Option<NoWay> {
    let mut next = 0;
    while let Some(reason) = reasons.get(next).copied() {
        if let Some(against) =
            reasons.iter().take(next).find(|r| r.stand.state == reason.stand.state && r.stand != reason.stand)
        {
            return Some(NoWay::Against(*against, reason));
        }
        next += 1;
        if !reason.stand.is_home() && !reasons.iter().take(next - 1).any(|r| r.stand == reason.stand) {
            let needs = states.get(reason.stand.state).map_or(&[][..], |state| &state.only_while);
            reasons.extend(needs.iter().map(|need| Reason { stand: *need, by: Some(reason.stand), to_change: false }));
        }
    }
    None
}

#[cfg(test)]
mod tests;
