//! One test on one unit: the answer the unit gives, and the lines it falls on. What has been read once is remembered.

use super::ground::{Ask, AskId, Gap, Ground, Way as Road};
use crate::corners::{CornerId, Desk};
use crate::engine::state::Fell;
use crate::engine::{Answer, Refused, Taken, Way, ways};
use crate::playbook::model::{SlotId, Test};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A test as a unit is asked it: of the unit only what the answer hangs on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The test.
    pub id: AskId,
    /// The faults that count.
    pub faults: Vec<FaultId>,
    /// How the unit stands in the states that count, all others at home.
    standing: Standing,
}

/// By test and corner, and how the unit stood.
type Known = BTreeMap<(AskId, CornerId), Vec<(Standing, Answered)>>;

/// The unit on the bench, with what it has answered.
#[derive(Debug)]
pub struct Bench {
    /// The playbooks and the unit.
    pub ground: Arc<Ground>,
    desk: Desk,
    /// How often a circuit had been solved at this desk before.
    before: usize,
    /// By the faults in the unit.
    answered: BTreeMap<Vec<FaultId>, Known>,
}

/// The answers of a unit at one place, in order, and what they fall on.
#[derive(Debug, Clone)]
pub enum Answered {
    /// One answer a word, or one answer for all a meter may show; of each the lines it may fall on.
    Ways(Arc<[Vec<Fell>]>),
    /// No model.
    Gap(Gap),
}

impl Bench {
    /// A unit nobody has asked yet.
    #[must_use]
    pub fn new(ground: &Arc<Ground>) -> Self {
        let desk = ground.desks.take();
        let before = desk.solves();
        Self { ground: Arc::clone(ground), desk, before, answered: BTreeMap::new() }
    }

    /// Gives the desk back. How often a circuit was solved here.
    pub fn leave(self) -> usize {
        let solves = self.desk.solves().saturating_sub(self.before);
        self.ground.desks.give(self.desk);
        solves
    }

    /// Forgets what units with more than one fault answered, and what was solved for them.
    pub fn forget_pairs(&mut self) {
        self.desk.forget();
        self.answered.retain(|faults, _| faults.len() < 2);
    }

    /// A test asked of a unit that stands so, with these faults in.
    #[must_use]
    pub fn asked(&self, id: AskId, faults: &[FaultId], standing: &Standing) -> Asked {
        let depends = &self.ground.ask(id).depends;
        let standing = depends.of_standing(&self.on_the_sheet(standing), &self.ground.wired.unit.states);
        Asked { id, faults: depends.of_faults(faults), standing }
    }

    /// The first corner at which the answer is the same as at this one.
    #[must_use]
    pub fn alike(&self, asked: &Asked, corner: CornerId) -> CornerId {
        self.ground.desk.alike(corner, &self.ground.ask(asked.id).depends, &asked.faults)
    }

    /// What the answers of a unit fall on, to a test whose sum needs no reading of another test.
    pub fn answered(&mut self, asked: &Asked, corner: CornerId) -> Answered {
        let corner = self.alike(asked, corner);
        let known = self.answered.get(&asked.faults).and_then(|known| known.get(&(asked.id, corner)));
        if let Some((_, answered)) = known.and_then(|known| known.iter().find(|(so, _)| *so == asked.standing)) {
            return answered.clone();
        }
        let answered = self.fresh(asked, corner);
        if !self.answered.contains_key(&asked.faults) {
            self.answered.insert(asked.faults.clone(), Known::new());
        }
        if let Some(known) = self.answered.get_mut(&asked.faults) {
            known.entry((asked.id, corner)).or_default().push((asked.standing.clone(), answered.clone()));
        }
        answered
    }

    fn fresh(&mut self, asked: &Asked, corner: CornerId) -> Answered {
        let nothing = |_| None;
        match self.answers(asked, corner, true).and_then(|answers| self.fall(asked.id, answers, &nothing)) {
            Ok(ways) => {
                let fells = |(_, ways): (Answer, Vec<Way>)| ways.into_iter().map(|way| way.fell).collect();
                Answered::Ways(ways.into_iter().map(fells).collect())
            }
            Err(gap) => Answered::Gap(gap),
        }
    }

    /// The answers a unit gives: of a question one for each word it may show, of a measure one with every set of readings.
    ///
    /// # Errors
    /// [`Gap`] where there is no model.
    pub fn answers(&mut self, asked: &Asked, corner: CornerId, accuracy: bool) -> Result<Vec<Answer>, Gap> {
        let ground = Arc::clone(&self.ground);
        let ask = ground.ask(asked.id);
        if let Road::Gap(gap) = &ask.way {
            return Err(gap.clone());
        }
        let (standing, faults) = (&asked.standing, asked.faults.as_slice());
        match &ask.way {
            Road::Gap(gap) => Err(gap.clone()),
            Road::Measured => {
                let sets = self.desk.read(corner, standing, faults, &ask.taps)?;
                let taken = |read: Vec<Reading>| {
                    let could = if accuracy { self.desk.ends(&ask.taps, &read) } else { Vec::new() };
                    Taken { read, could }
                };
                Ok(vec![Answer::Read(sets.into_iter().map(taken).collect())])
            }
            Road::Said(reading, lines) => {
                let words = self.desk.words(corner, standing, faults, *reading)?;
                // What is only written down falls on no line; what another test goes by has to be known.
                let measures = ground.library.test(ask.at).measures();
                if measures.iter().any(|measure| ground.is_kept(ask.at.book, measure.slot)) {
                    self.desk.read(corner, standing, faults, &ask.taps)?;
                }
                let read = self.desk.noted(corner, standing, faults, &ask.taps);
                let said = |word: usize| match lines.get(word) {
                    Some(Ok(line)) => Ok(Answer::Said(read.clone(), *line)),
                    Some(Err(word)) => Err(Gap::NoAnswer(word.clone())),
                    None => Err(Gap::NotTied),
                };
                words.into_iter().map(said).collect()
            }
        }
    }

    /// The lines each answer falls on.
    ///
    /// # Errors
    /// [`Gap::Refused`] where the walk does not take it.
    pub fn fall(
        &self,
        id: AskId,
        answers: Vec<Answer>,
        before: &dyn Fn(SlotId) -> Option<Reading>,
    ) -> Result<Vec<(Answer, Vec<Way>)>, Gap> {
        let (ask, test) = self.test(id);
        let book = self.ground.library.book(ask.at.book);
        let fell = |answer: Answer| {
            let ways = ways(book, test, &answer, before)?;
            Ok::<_, Refused>((answer, ways))
        };
        answers.into_iter().map(|answer| fell(answer).map_err(Gap::from)).collect()
    }

    fn test(&self, id: AskId) -> (&Ask, &Test) {
        let ask = self.ground.ask(id);
        (ask, self.ground.library.test(ask.at))
    }

    /// The same standing in the states of the sheet, where the playbooks brought states of their own.
    fn on_the_sheet(&self, standing: &Standing) -> Standing {
        let (here, there) = (self.ground.library.states(), &*self.ground.wired.unit.states);
        if std::ptr::eq(here, there) { standing.clone() } else { standing.carried(here, there).0 }
    }
}
