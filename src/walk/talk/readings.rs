//! A reading typed at a measure: asked back where it can't be read or may be a slip, else taken and written down.

use super::Walk;
use crate::engine::{At, View, judged_result};
use crate::playbook::model::{Scale, Test};
use crate::trade::reading::Reading;
use crate::walk::doubt::Asked;
use crate::walk::heard::{asked_back, is_yes};
use crate::walk::items::{member, title};
use crate::walk::record::What;
use crate::walk::screen::measured;
use crate::walk::told::{named, place};

impl Walk {
    pub(super) fn read(
        &mut self,
        line: &str,
        at: &str,
        view: &View<'_>,
        test: &Test,
        number: usize,
    ) -> Result<(), String> {
        let Some(measure) = test.measures().get(number) else { return Ok(()) };
        let doubted = self.draft.doubted.take();
        let (reading, confirmed) = match doubted {
            Some((reading, typed)) if is_yes(line) => {
                // The record has the reading itself: a yes alone would say nothing to whoever follows it.
                self.typed = Some(typed);
                (reading, true)
            }
            doubted => {
                let difference = view.book.slot(measure.slot).difference;
                let reading = Reading::parse_as(line, measure.unit, difference)
                    .map_err(|slip| asked_back(&slip, measure.unit))?;
                let again = doubted.is_some_and(|(before, _)| before == reading);
                if let Some(why) = self.doubt(reading, view, test, number).filter(|_| !again) {
                    self.draft.doubted = Some((reading, line.trim().to_owned()));
                    return Err(why);
                }
                (reading, again)
            }
        };
        let event = What::Read {
            step: title(&self.library, self.trail.now()),
            place: place(&measured(measure), member(view)),
            reading: reading.told(measure.unit),
            confirmed,
        };
        self.note(at, event);
        self.draft.read.push(reading);
        Ok(())
    }

    /// Why a reading is asked back for its size.
    fn doubt(&self, reading: Reading, view: &View<'_>, test: &Test, number: usize) -> Option<String> {
        let At::Test(visit) = &self.trail.now().at else { return None };
        if self.trusting {
            return None;
        }
        let state = self.trail.now();
        let member = member(view).map(|(bank, member)| (bank.name.as_str(), member));
        let reaches = self.reaches.as_ref();
        let reach =
            reaches.and_then(|of| of.of(&self.library, (state.book(), visit.test), member, number, &state.standing));
        let asked = Asked { test, number, earlier: &self.draft.read, reach: reach.as_ref() };
        asked.doubt(reading)
    }

    /// The readings of the step, where there are several.
    pub(super) fn read_so_far(&self) -> Vec<String> {
        let At::Test(visit) = &self.trail.now().at else { return Vec::new() };
        let book = self.library.book(self.trail.now().book());
        let test = book.test(visit.test);
        if test.measures().len() > 1 { named(book, test, &self.draft.read) } else { Vec::new() }
    }

    /// The same, then what is judged: what the question for the side is about.
    pub(super) fn read_and_judged(&self) -> Vec<String> {
        let mut told = self.read_so_far();
        let At::Test(visit) = &self.trail.now().at else { return told };
        let test = self.library.book(self.trail.now().book()).test(visit.test);
        if let (Scale::Judged(unit), Ok(Some(result))) =
            (test.scale, judged_result(&self.library, self.trail.now(), &self.draft.read))
        {
            told.push(result.told(unit));
        }
        told
    }
}
