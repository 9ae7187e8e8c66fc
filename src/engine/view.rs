//! What is to be shown where a walk stands, as data; the words are the terminal's and the page's.

use super::answer::Refused;
use super::goal::changes;
use super::library::{InBook, Library};
use super::state::{At, Done, Reason, State};
use super::step::member_of;
use crate::language::syntax::BlockKind;
use crate::playbook::model::{End, Member, Playbook, Step, Test, TestId};
use crate::playbook::ways::Change;

/// What is to be shown.
#[derive(Debug, Clone)]
pub struct View<'a> {
    /// The playbook being walked.
    pub book: &'a Playbook,
    /// The block, or the end.
    pub place: Place<'a>,
    /// The changes of state still to make before the block, in order.
    pub way: Vec<Change>,
    /// The tests owed, next one first: playbook, test, member repaired.
    pub owed: Vec<(InBook<TestId>, Option<Member>)>,
}

/// Where the walk waits.
#[derive(Debug, Clone)]
pub enum Place<'a> {
    /// At a test.
    Test {
        /// Which.
        test: &'a Test,
        /// The member it is asked for.
        member: Option<Member>,
        /// Whether it is asked because it is owed.
        owed: bool,
    },
    /// At a repair or adjust.
    Work {
        /// Which.
        end: &'a End,
        /// The member it is for.
        member: Option<Member>,
    },
    /// At an escalation.
    Escalation(&'a End),
    /// At the closing list.
    Closing,
    /// Before the hand-over.
    Leaving(Reason),
    /// Over: closed.
    Closed,
    /// Over: handed over.
    HandedOver(Reason),
}

/// The view of a state.
///
/// # Errors
/// [`Refused`] where the unit cannot be brought to stand as the block needs it.
pub fn view<'a>(library: &'a Library, state: &State) -> Result<View<'a>, Refused> {
    let book = library.book(state.book());
    let place = match &state.at {
        At::Test(visit) => {
            let test = book.test(visit.test);
            Place::Test { test, member: member_of(state, visit, book, test)?, owed: visit.owed }
        }
        At::Work(id, member) => match book.end(*id) {
            end if end.kind == BlockKind::Escalate => Place::Escalation(end),
            end => Place::Work { end, member: *member },
        },
        At::Closing => Place::Closing,
        At::Leaving(reason) => Place::Leaving(*reason),
        At::Closed => Place::Closed,
        At::HandedOver(reason) => Place::HandedOver(*reason),
    };
    let owed = state.owed.iter().filter_map(|owed| {
        let book = *owed.chain.last()?;
        Some((InBook { book, id: owed.test }, owed.that.map(|(_, member)| member)))
    });
    Ok(View { book, place, way: changes(library, state)?, owed: owed.collect() })
}

impl<'a> Place<'a> {
    /// What is shown and done in the block, in order of lines.
    #[must_use]
    pub fn steps(&self) -> &'a [Step] {
        match self {
            Self::Test { test, .. } => &test.steps,
            Self::Work { end, .. } | Self::Escalation(end) => &end.steps,
            _ => &[],
        }
    }

    /// The signal words that stand before everything, the changes of state too: those above the first thing done or asked.
    #[must_use]
    pub fn ahead(&self) -> &'a [Step] {
        ahead(self.steps())
    }
}

/// The steps before the first thing done or asked.
#[must_use]
pub fn ahead(steps: &[Step]) -> &[Step] {
    let acts = |step: &Step| !matches!(step, Step::Signal(..) | Step::Picture { .. });
    let first = steps.iter().position(acts).unwrap_or(steps.len());
    steps.get(..first).unwrap_or_default()
}

impl Reason {
    /// The repair or adjust it is about.
    #[must_use]
    pub fn work(&self) -> Option<Done> {
        match self {
            Self::NoPart(done) | Self::DidNotHold(done) | Self::CannotWork(done) => Some(*done),
            _ => None,
        }
    }
}
