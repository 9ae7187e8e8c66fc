//! A playbook against the sheet of a unit: places, parts, readings, answers are there, and the meter function is right.
//!
//! These run once for every unit the playbook names that has a sheet ([`against`]); the other checks need none.

use crate::circuit::Current;
use crate::circuit::unit::Wired;
use crate::language::syntax::{Probes, Word};
use crate::playbook::model::{Cures, End, Measure, Members, Playbook, Question, Step, Takes, Test};
use crate::sheet::unit::model::{PartId, Reading, Scale, Unit};
use crate::text::english::{known, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::unit::Current as Written;

/// A place the unit does not have.
pub static NO_SUCH_PLACE: Rule = Rule {
    code: "no-such-place",
    level: Level::Error,
    says: "Points, parts, supply terminals and readings in a playbook are those of the unit's sheet.",
    why: "A new hire who is told to probe a terminal that isn't there probes the next best one.",
    wrong: "measure V AC across k1.coli",
    mended: "measure V AC across k1.coil",
};

/// The wrong function of the meter for the place.
pub static METER_FUNCTION: Rule = Rule {
    code: "meter-function",
    level: Level::Error,
    says: "Volts and amps are AC on an AC circuit and DC on a DC one; a reading outside the circuit is taken in its own unit.",
    why: "A meter on DC shows nothing on live AC, and a technician takes the part for dead.",
    wrong: "measure V DC across k1.coil        (a 208 V AC coil)",
    mended: "measure V AC across k1.coil",
};

/// Answers that are not those of the sheet.
pub static SHEET_ANSWERS: Rule = Rule {
    code: "sheet-answers",
    level: Level::Error,
    says: "`answers NAME` names a reading of the sheet with words, and the outcome lines give exactly these words.",
    why: "An answer the sheet does not know is never given by the simulated unit, and one left out has nowhere to go.",
    wrong: "answers  flame-shape\ngood     blue        go to receptacle",
    mended: "answers  flame-shape\ngood     blue and wraps the rod  go to receptacle",
};

/// A question the sheet cannot answer.
pub static ASK_WITHOUT_ANSWERS: Rule = Rule {
    code: "ask-without-answers",
    level: Level::Warning,
    says: "On a unit with a sheet, an `ask` has an `answers` line with the reading of the sheet that gives its words.",
    why: "Without it the shakedown cannot answer, and every fault that is found by this question goes untried.",
    wrong: "ask   What does the fan do?\ngood  it turns   go to warms-up\nif    it stands  go to fan-volts",
    mended: "ask      What does the fan do?\nanswers  fan-look\ngood     it turns   go to warms-up\nif       it stands  go to fan-volts",
};

/// A repair for something the sheet does not have.
pub static NO_SUCH_FAULT: Rule = Rule {
    code: "no-such-fault",
    level: Level::Error,
    says: "A `for` line names a part of the sheet, or a part and one of its faults.",
    why: "A repair that matches nothing on the sheet is a good part changed every time.",
    wrong: "for  heater-1 opn",
    mended: "for  heater-1 open",
};

/// The rules of this file.
pub static RULES: [&Rule; 5] = [&NO_SUCH_PLACE, &METER_FUNCTION, &SHEET_ANSWERS, &ASK_WITHOUT_ANSWERS, &NO_SUCH_FAULT];

/// Names of points up to this long are told apart by one letter or digit.
const SHORT_POINT: usize = 3;

/// What is wrong with the names of a playbook, by the sheet of one of its units.
#[must_use]
pub fn against(playbook: &Playbook, wired: &Wired) -> Vec<Problem> {
    let mut reader = Reader { playbook, wired, unit: &wired.unit, problems: Vec::new() };
    for test in &playbook.tests {
        for measure in test.measures() {
            reader.measure(measure);
        }
        reader.answers(test);
    }
    for end in &playbook.ends {
        reader.end(end);
    }
    reader.problems
}

struct Reader<'a> {
    playbook: &'a Playbook,
    wired: &'a Wired,
    unit: &'a Unit,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn tell(&mut self, rule: &'static Rule, span: Span, fact: String, instead: Option<&str>) {
        let place = self.playbook.place(span);
        let line = instead.map(|instead| place.line_with(instead).trim().to_owned());
        let problem = Problem::new(rule, place, fact);
        self.problems.push(match line {
            Some(line) => problem.instead(line),
            None => problem,
        });
    }

    /// Where to see what there is, if no near name can be shown.
    fn look_up(&self, near: bool) -> String {
        if near { String::new() } else { format!(" `ruleout sheet {}` prints what it has.", self.unit.name) }
    }

    /// `zone.relay`, in a test for each zone, stands for any member: the first will do.
    fn one_member(&self, name: &str) -> String {
        let Some((bank, rest)) = name.split_once('.') else { return name.to_owned() };
        match self.unit.bank(bank).and_then(|(_, bank)| bank.members.first()) {
            Some(first) => format!("{bank}-{first}.{rest}"),
            None => name.to_owned(),
        }
    }

    fn measure(&mut self, measure: &Measure) {
        match &measure.probes {
            Probes::Across(part) | Probes::Of(part) => {
                if let Some(pole) = self.pole(part) {
                    self.current_at(measure, part, Some(pole));
                }
            }
            Probes::Through(place) => {
                let name = self.one_member(place.as_str());
                if let Some(point) = self.unit.point(&name) {
                    if self.wired.terminal(point).is_none() {
                        let fact = format!(
                            "`{}` is no supply terminal; a clamp goes round a part or a supply's own wire.",
                            place.as_str()
                        );
                        self.tell(&NO_SUCH_PLACE, place.span, fact, None);
                    } else {
                        self.current_at(measure, place, None);
                    }
                } else if let Some(pole) = self.pole(place) {
                    self.current_at(measure, place, Some(pole));
                }
            }
            Probes::Between(one, two) => {
                let both = [one, two].map(|point| self.point(point));
                if both == [true, true] {
                    self.current_at(measure, one, None);
                }
            }
            Probes::At(reading) => self.reading(measure, reading),
        }
    }

    /// Whether the unit has this point; told where it has not.
    fn point(&mut self, point: &Word) -> bool {
        let name = self.one_member(point.as_str());
        if self.unit.point(&name).is_some() {
            return true;
        }
        let names = || self.unit.points.iter().map(|point| point.name.as_str()).filter(|name| !name.is_empty());
        // "F4" is as near to "F1" as to "F3", and is another wire. Only a longer name can be seen to be meant.
        let guess = point.as_str().chars().count() > SHORT_POINT;
        let near = nearest(point.as_str(), names()).filter(|near| guess || near.eq_ignore_ascii_case(point.as_str()));
        let listed = match near {
            Some(_) => String::new(),
            None => known("points", &names().collect::<Vec<_>>()),
        };
        let fact = format!("`{}` has no point `{}`.{listed}", self.unit.name, point.as_str());
        let near = near.map(str::to_owned);
        self.tell(&NO_SUCH_PLACE, point.span, fact, near.as_deref());
        false
    }

    fn pole(&mut self, part: &Word) -> Option<(PartId, usize)> {
        let name = self.one_member(part.as_str());
        if let Some(found) = self.unit.pole(&name) {
            return Some(found);
        }
        let poles: Vec<String> = self
            .unit
            .parts()
            .flat_map(|(id, part)| (0..part.poles.len()).map(move |pole| (id, pole)))
            .map(|(id, pole)| self.unit.pole_name(id, pole))
            .collect();
        if let Some((_, whole)) = self.unit.part(&name) {
            let own: Vec<&String> = poles.iter().filter(|pole| pole.starts_with(&format!("{name}."))).collect();
            let fact = if whole.poles.is_empty() {
                format!("`{name}` is in no rung of `{}`: no meter reads it.", self.unit.name)
            } else {
                format!("`{name}` has several poles. Say which: {}.", list(&ticked(&own), "or"))
            };
            self.tell(&NO_SUCH_PLACE, part.span, fact, None);
            return None;
        }
        let near = nearest(&name, poles.iter().map(String::as_str)).map(str::to_owned);
        let fact = format!("`{}` has no part `{}`.{}", self.unit.name, part.as_str(), self.look_up(near.is_some()));
        self.tell(&NO_SUCH_PLACE, part.span, fact, near.as_deref());
        None
    }

    /// AC on AC, DC on DC.
    fn current_at(&mut self, measure: &Measure, place: &Word, pole: Option<(PartId, usize)>) {
        let written = match measure.unit.current() {
            Some(Written::Ac) => Current::Ac,
            Some(Written::Dc) => Current::Dc,
            None => return,
        };
        let rated = pole.and_then(|(part, pole)| self.wired.pole(part, pole));
        let rated = rated.and_then(|pole| self.wired.net.pole_at(pole).rated).map(|rated| rated.current);
        let (right, other, symbol) = match written {
            Current::Ac => (Current::Dc, "DC", measure.unit.with_current(Some(Written::Dc))),
            Current::Dc => (Current::Ac, "AC", measure.unit.with_current(Some(Written::Ac))),
        };
        let fact = match rated {
            Some(rated) if rated != written => {
                format!("`{}` is a part of the {other} circuit. Measure {symbol}.", place.as_str())
            }
            None if !self.wired.net.has(written) && self.wired.net.has(right) => {
                format!("`{}` has {other} circuits alone. Measure {symbol}.", self.unit.name)
            }
            _ => return,
        };
        self.tell(&METER_FUNCTION, measure.span, fact, None);
    }

    fn reading(&mut self, measure: &Measure, word: &Word) {
        let name = self.one_member(word.as_str());
        let Some((_, reading)) = self.unit.reading(&name).filter(|(_, reading)| !reading.hidden) else {
            let names = self.unit.readings.iter().filter(|r| !r.hidden).map(|r| r.name.as_str());
            let near = nearest(word.as_str(), names).map(str::to_owned);
            let fact =
                format!("`{}` has no reading `{}`.{}", self.unit.name, word.as_str(), self.look_up(near.is_some()));
            self.tell(&NO_SUCH_PLACE, word.span, fact, near.as_deref());
            return;
        };
        let fact = match &reading.scale {
            Scale::Words(_) => format!(
                "`{}` is told in words: `ask`, and tie the answers with `answers {}`.",
                reading.name,
                word.as_str()
            ),
            Scale::Numbers(unit) => {
                let like = unit.dimension().like(measure.unit.dimension());
                let clash = unit.current().zip(measure.unit.current()).is_some_and(|(a, b)| a != b);
                if like && !clash {
                    return;
                }
                format!("`{}` is read in {unit}, not in {}.", reading.name, measure.unit)
            }
        };
        self.tell(&METER_FUNCTION, measure.span, fact, None);
    }

    fn answers(&mut self, test: &Test) {
        let name = match &test.question {
            Question::Ask { answers: Some(name), .. } => name,
            Question::Ask { answers: None, .. } => return self.untied(test),
            Question::Measure(_) | Question::Sum { .. } => return,
        };
        let said = self.one_member(name);
        let Some(Scale::Words(words)) = self.unit.reading(&said).map(|(_, reading)| &reading.scale) else {
            let names =
                self.unit.readings.iter().filter(|r| matches!(r.scale, Scale::Words(_))).map(|r| r.name.as_str());
            let hint = nearest(name, names).map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
            let fact = format!("`{}` has no reading `{name}` that is told in words.{hint}", self.unit.name);
            self.tell(&SHEET_ANSWERS, test.span, fact, None);
            return;
        };
        let words = words.clone();
        let mut given: Vec<&str> = Vec::new();
        for branch in test.branches.iter().filter(|branch| branch.takes == Takes::Answer) {
            given.push(&branch.words);
            if !words.contains(&branch.words) {
                let near = nearest(&branch.words, words.iter().map(String::as_str));
                let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
                let fact =
                    format!("`{name}` never says `{}`. It says {}.{hint}", branch.words, list(&ticked(&words), "or"));
                self.tell(&SHEET_ANSWERS, branch.span, fact, None);
            }
        }
        let missing: Vec<&String> = words.iter().filter(|word| !given.contains(&word.as_str())).collect();
        if !missing.is_empty() {
            let fact = format!("No line takes the answer {}, which `{name}` can give.", list(&ticked(&missing), "or"));
            self.tell(&SHEET_ANSWERS, test.span, fact, None);
        }
    }

    /// An `ask` with no reading behind it; told with the reading that has its words, where there is one.
    fn untied(&mut self, test: &Test) {
        let ask = test.steps.iter().find_map(|step| if let Step::Ask(span) = step { Some(*span) } else { None });
        let Some(span) = ask else { return };
        let mut given: Vec<&str> = test.branches.iter().map(|branch| branch.words.as_str()).collect();
        given.sort_unstable();
        given.dedup();
        let tells = |reading: &&Reading| match &reading.scale {
            Scale::Words(words) => {
                let mut words: Vec<&str> = words.iter().map(String::as_str).collect();
                words.sort_unstable();
                words == given
            }
            Scale::Numbers(_) => false,
        };
        // Any two readings may say yes and no.
        let tied = Some(()).filter(|()| given != ["no", "yes"]).and_then(|()| self.unit.readings.iter().find(tells));
        let worded: Vec<String> = self
            .unit
            .readings
            .iter()
            .filter(|reading| matches!(reading.scale, Scale::Words(_)) && !reading.hidden)
            .map(|reading| format!("`{}`", reading.name))
            .collect();
        let there = match worded.len() {
            0 => " The sheet tells none in words yet.".to_owned(),
            1..=12 => format!(" In words the sheet tells {}.", list(&worded, "and")),
            _ => String::new(),
        };
        let there = if tied.is_some() { String::new() } else { there };
        let fact = format!(
            "The question of `{}` is tied to no reading of `{}`: without one the shakedown cannot answer it.{there}",
            test.name, self.unit.name
        );
        let problem = Problem::new(&ASK_WITHOUT_ANSWERS, self.playbook.place(span), fact);
        self.problems.push(match tied {
            Some(reading) => problem.and_below(&format!("answers  {}", reading.name)),
            None => problem,
        });
    }

    fn end(&mut self, end: &End) {
        for cure in &end.cures {
            let Cures::Part { part, fault } = cure else { continue };
            let bare = part.strip_prefix("that ").unwrap_or(part);
            let name = self.one_member(bare);
            let owned = self.unit.part(&name).is_some() || self.unit.supplies.iter().any(|supply| supply.name == name);
            if !owned {
                // `that zone` alone stands for whatever is in the zone.
                if matches!(end.members, Members::That(_)) && self.unit.bank(bare).is_some() {
                    continue;
                }
                let names = self.unit.parts.iter().map(|part| part.name.as_str());
                let names = names.chain(self.unit.supplies.iter().map(|supply| supply.name.as_str()));
                let near = nearest(&name, names);
                let hint = near.map_or_else(|| self.look_up(false), |near| format!(" Did you mean `{near}`?"));
                let fact = format!("`{}` has no part `{bare}`.{hint}", self.unit.name);
                self.tell(&NO_SUCH_FAULT, end.span, fact, None);
                continue;
            }
            let Some(fault) = fault else { continue };
            if self.unit.fault(&name, fault).is_none() {
                let faults: Vec<&str> = self
                    .unit
                    .faults
                    .iter()
                    .filter(|f| self.unit.owner_name(f.owner) == name)
                    .map(|f| f.name.as_str())
                    .collect();
                let hint = match nearest(fault, faults.iter().copied()) {
                    Some(near) => format!(" Did you mean `{near}`?"),
                    None => format!(" Its faults are {}.", list(&ticked(&faults), "and")),
                };
                let fact =
                    format!("On the sheet of `{}` no fault of `{bare}` is called `{fault}`.{hint}", self.unit.name);
                self.tell(&NO_SUCH_FAULT, end.span, fact, None);
            }
        }
    }
}
