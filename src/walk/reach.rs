//! What a meter can show at a place of the unit, good or with any one fault of its sheet in it: what a typed reading is held
//! against before it is taken.

use crate::circuit::unit::End;
use crate::corners::{Desks, Tap, Unread, Width, tap};
use crate::engine::{BookId, Library};
use crate::playbook::model::{Member, Test, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// What one place can show, in the unit of the measure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reach {
    /// The lowest and the highest number of a good unit; `None` where that reads `OL` only.
    pub good: Option<(f64, f64)>,
    /// Whether a good unit may read `OL`.
    pub good_over_limit: bool,
    /// Every number met, of the good unit and with each fault by itself, lowest first. Never empty.
    pub numbers: Vec<f64>,
}

impl Reach {
    /// The lowest and the highest of all.
    pub fn ends(&self) -> (f64, f64) {
        let ends = self.numbers.first().zip(self.numbers.last());
        ends.map_or((0.0, 0.0), |(low, high)| (*low, *high))
    }
}

/// A test at a unit that stands so: what decides what its places can show.
type Case = (BookId, TestId, Option<Member>, Standing);

/// The unit walked, with what has been worked out for it.
#[derive(Debug, Clone)]
pub struct Reaches {
    desks: Arc<Desks>,
    known: Arc<Mutex<BTreeMap<Case, Vec<Option<Reach>>>>>,
}

impl Reaches {
    pub fn new(desks: Arc<Desks>) -> Self {
        Self { desks, known: Arc::default() }
    }

    /// The unit.
    pub fn desks(&self) -> &Desks {
        &self.desks
    }

    /// What the place of a measure can show where the unit stands so. `None` where the sheet does not say.
    pub fn of(
        &self,
        library: &Library,
        (book, test): (BookId, TestId),
        member: Option<(&str, Member)>,
        number: usize,
        standing: &Standing,
    ) -> Option<Reach> {
        let case = (book, test, member.map(|(_, member)| member), standing.clone());
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        let reaches = known.entry(case).or_insert_with(|| {
            let (there, _) = standing.carried(library.states(), &self.desks.wired().unit.states);
            self.work_out(library.book(book).test(test), member, &there)
        });
        reaches.get(number).cloned().flatten()
    }

    fn work_out(&self, test: &Test, member: Option<(&str, Member)>, standing: &Standing) -> Vec<Option<Reach>> {
        let wired = Arc::clone(self.desks.wired());
        let taps: Vec<Option<Tap>> = test
            .measures()
            .iter()
            .map(|measure| {
                let over = measure.over.as_ref().map(|(kind, _, _)| *kind);
                tap(&wired, measure.unit, &measure.probes, over, measure.loaded, member)
            })
            .collect();
        let mut reaches = vec![Reach::default(); taps.len()];
        let mut good_read = vec![true; taps.len()];
        let faults: Vec<FaultId> = wired.unit.faults().map(|(id, _)| id).collect();
        self.desks.at_one(|desk| {
            let cases = std::iter::once(Vec::new()).chain(faults.iter().map(|fault| vec![*fault]));
            for faults in cases {
                let good = faults.is_empty();
                for corner in desk.corners(Width::Three, &faults) {
                    // What parts may be off is small beside what is asked back.
                    if !good && desk.corner(corner).parts != End::Nominal {
                        continue;
                    }
                    for (at, tap) in taps.iter().enumerate() {
                        let (Some(tap), Some(reach)) = (tap, reaches.get_mut(at)) else { continue };
                        match desk.read(corner, standing, &faults, std::slice::from_ref(tap)) {
                            Ok(sets) => sets.iter().flatten().for_each(|reading| reach.add(*reading, good)),
                            Err(Unread::NoModel | Unread::Live) if good => {
                                if let Some(read) = good_read.get_mut(at) {
                                    *read = false;
                                }
                            }
                            Err(_) => {}
                        }
                    }
                }
                desk.forget();
            }
        });
        let found = taps.iter().zip(reaches).zip(good_read);
        found
            .map(|((tap, mut reach), read)| {
                reach.numbers.sort_by(f64::total_cmp);
                reach.numbers.dedup();
                (tap.is_some() && read && !reach.numbers.is_empty()).then_some(reach)
            })
            .collect()
    }
}

impl Reach {
    fn add(&mut self, reading: Reading, good: bool) {
        match reading {
            Reading::Value(value) => {
                self.numbers.push(value);
                if good {
                    self.good = Some(self.good.map_or((value, value), |(low, high)| (low.min(value), high.max(value))));
                }
            }
            Reading::OverLimit => self.good_over_limit |= good,
        }
    }
}
