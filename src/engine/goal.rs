//! How the unit has to stand for what comes next, and the changes still to make.

use super::answer::Refused;
use super::library::Library;
use super::state::{At, Reason, State};
use crate::language::syntax::BlockKind;
use crate::playbook::ways::{Change, way, way_home};
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;

/// The changes still to make before what the walk waits at, in order.
///
/// # Errors
/// [`Refused::NoWay`] where the unit cannot be brought to stand so.
pub fn changes(library: &Library, state: &State) -> Result<Vec<Change>, Refused> {
    let (states, from) = (library.states(), &state.standing);
    let found = match &state.at {
        At::Test(_) | At::Work(..) => way(states, from, &named(library, state)),
        At::Closing => way_home(states, from, library.closing()),
        // Only the power, and at once: what else stands open or on is not worth a hand in it, whatever should go first.
        At::Leaving(Reason::NotSafe) => return Ok(straight_to_locked_out(from)),
        At::Leaving(reason) => way_home(states, from, &left(library, reason)),
        At::Closed | At::HandedOver(_) => Ok(Vec::new()),
    };
    found.map_err(|why| Refused::NoWay(why.told(states)))
}

fn straight_to_locked_out(from: &Standing) -> Vec<Change> {
    let Stand { state, value } = Stand::LOCKED_OUT;
    let now = from.get(state);
    if now == value { Vec::new() } else { vec![Change { state, from: now, to: value }] }
}

/// The states the block names, in the common table.
#[must_use]
pub fn named(library: &Library, state: &State) -> Vec<Stand> {
    let book = library.book(state.book());
    let with = match &state.at {
        At::Test(visit) => &book.test(visit.test).with,
        At::Work(end, _) => &book.end(*end).with,
        _ => return Vec::new(),
    };
    library.stands(state.book(), with)
}

/// How a call handed over for this reason is left: as its `leave` line says, else locked out. What is not named goes home.
fn left(library: &Library, reason: &Reason) -> Vec<Stand> {
    let end = match reason {
        Reason::Escalated(end) => Some(*end),
        // An adjust has no part to wait for.
        Reason::NoPart(done) => Some(done.end).filter(|end| library.end(*end).kind == BlockKind::Repair),
        _ => None,
    };
    let leave = end.and_then(|end| Some((end, library.end(end).leave.as_ref()?)));
    leave.map_or_else(|| vec![Stand::LOCKED_OUT], |(end, leave)| library.stands(end.book, &leave.stands))
}
