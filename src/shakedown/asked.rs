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

/// By test and corner, and how the unit stood.
type Asked = BTreeMap<(AskId, CornerId), Vec<(Standing, Answered)>>;

/// The unit on the bench, with what it has answered.
#[derive(Debug, Clone)]
pub struct Bench {
    /// The playbooks and the unit.
    pub ground: Arc<Ground>,
    desk: Desk,
    /// By the faults in the unit.
    answered: BTreeMap<Vec<FaultId>, Asked>,
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
        Self { ground: Arc::clone(ground), desk: ground.desk.clone(), answered: BTreeMap::new() }
    }

    /// Forgets what units with more than one fault answered, and all that was solved for faulty ones.
    pub fn forget_pairs(&mut self) {
        self.desk.forget();
        self.answered.retain(|faults, _| faults.len() < 2);
    }

    /// What the answers of a unit fall on, to a test whose sum needs no reading of another test.
    pub fn answered(&mut self, id: AskId, faults: &[FaultId], corner: CornerId, standing: &Standing) -> Answered {
        let known = self.answered.get(faults).and_then(|asked| asked.get(&(id, corner)));
        if let Some((_, answered)) = known.and_then(|known| known.iter().find(|(stood, _)| stood == standing)) {
            return answered.clone();
        }
        let answered = self.fresh(id, faults, corner, standing);
        if !self.answered.contains_key(faults) {
            self.answered.insert(faults.to_vec(), Asked::new());
        }
        if let Some(asked) = self.answered.get_mut(faults) {
            asked.entry((id, corner)).or_default().push((standing.clone(), answered.clone()));
        }
        answered
    }

    fn fresh(&mut self, id: AskId, faults: &[FaultId], corner: CornerId, standing: &Standing) -> Answered {
        let nothing = |_| None;
        match self.answers(id, faults, corner, standing, true).and_then(|answers| self.fall(id, answers, &nothing)) {
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
    pub fn answers(
        &mut self,
        id: AskId,
        faults: &[FaultId],
        corner: CornerId,
        standing: &Standing,
        accuracy: bool,
    ) -> Result<Vec<Answer>, Gap> {
        let ground = Arc::clone(&self.ground);
        let ask = ground.ask(id);
        if let Road::Gap(gap) = &ask.way {
            return Err(gap.clone());
        }
        let standing = &self.on_the_sheet(standing);
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
    pub(super) fn on_the_sheet(&self, standing: &Standing) -> Standing {
        let (here, there) = (self.ground.library.states(), &*self.ground.wired.unit.states);
        if std::ptr::eq(here, there) { standing.clone() } else { standing.carried(here, there).0 }
    }
}
