//! A second shakedown, slow and obvious: straight recursion over the engine, nothing remembered, nothing shared. It is written
//! from the language's page alone and agrees with the quick one walk by walk, in every corner.

use super::{compiled, ground_of, here, on_desks, the_shop};
use ruleout::corners::{CornerId, Desk, Width, tap};
use ruleout::engine::{Answer, At, BookId, InBook, Library, Reason, State, Taken, start, step};
use ruleout::language::syntax::{BlockKind, OutcomeKind};
use ruleout::playbook::model::{Cures, EndId, Member, Members, Playbook, Question, Scale, Step, Test};
use ruleout::shakedown::ground::Ground;
use ruleout::shakedown::left::Left;
use ruleout::shakedown::result::Outcome;
use ruleout::shakedown::table::Table;
use ruleout::shakedown::walker::Walker;
use ruleout::sheet::unit::model::{FaultId, Scale as Shows, Unit};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The slow shakedown of one unit.
struct Slow<'a> {
    library: &'a Library,
    unit: &'a Unit,
    desk: Desk,
    felt: BTreeSet<FaultId>,
}

/// A walk under way, as a person would keep it on paper.
#[derive(Clone)]
struct Sheet {
    state: State,
    left: Vec<FaultId>,
    away: Vec<FaultId>,
    watched: bool,
    wrong: bool,
}

impl Slow<'_> {
    /// Every way the walk goes on, to its end.
    fn ends(&mut self, sheet: &Sheet, steady: bool, corner: CornerId, found: &mut BTreeSet<Outcome>) {
        let library = self.library;
        let mut state = sheet.state.clone();
        while let Ok(next) = step(library, &state, &Answer::Changed) {
            state = next.into_iter().next().unwrap().state;
        }
        let book = library.book(state.book());
        let note = |found: &mut BTreeSet<Outcome>, outcome: Outcome| {
            found.insert(if sheet.wrong { outcome.min(Outcome::WrongPart) } else { outcome });
        };
        match state.at.clone() {
            At::Test(visit) => {
                let test = book.test(visit.test);
                let member = match test.members {
                    Members::One => None,
                    Members::Each(bank) => Some((bank, book.bank(bank).members[visit.asked.len()])),
                    Members::That(bank) => state.that.get(&bank).map(|member| (bank, *member)),
                };
                let whose = member.map(|(bank, member)| (book.bank(bank).name.as_str(), member));
                let watches = test.steps.iter().any(|step| matches!(step, Step::Wait { .. }))
                    || test.measures().iter().any(|measure| measure.over.is_some());
                for (away, there) in self.moments(sheet, steady, watches) {
                    let Some(answers) = self.answers(test, whose, &state, &there, corner) else {
                        note(found, Outcome::NotOnSheet);
                        continue;
                    };
                    for answer in answers {
                        let Ok(nexts) = step(library, &state, &answer) else {
                            note(found, Outcome::NotOnSheet);
                            continue;
                        };
                        for next in nexts {
                            let sheet = Sheet {
                                state: next.state,
                                away: away.clone(),
                                watched: sheet.watched || watches,
                                ..sheet.clone()
                            };
                            self.ends(&sheet, steady, corner, found);
                        }
                    }
                }
            }
            At::Work(end, member) if book.end(end).kind == BlockKind::Escalate => {
                note(found, self.escalated(book, end, member, sheet));
            }
            At::Work(end, member) => {
                let cured = |fault: &FaultId| self.matches(book, end, member, *fault);
                let left: Vec<FaultId> = sheet.left.iter().filter(|fault| !cured(fault)).copied().collect();
                let nothing = left.len() == sheet.left.len();
                let wrong = sheet.wrong || (nothing && book.end(end).kind == BlockKind::Repair);
                let state = step(library, &state, &Answer::Done).unwrap().into_iter().next().unwrap().state;
                let away = sheet.away.iter().filter(|fault| left.contains(fault)).copied().collect();
                self.ends(&Sheet { state, left, away, watched: sheet.watched, wrong }, steady, corner, found);
            }
            At::Closing | At::Leaving(_) => {
                let state = step(library, &state, &Answer::Done).unwrap().into_iter().next().unwrap().state;
                self.ends(&Sheet { state, ..sheet.clone() }, steady, corner, found);
            }
            At::Closed => {
                let felt = sheet.left.iter().any(|fault| self.felt.contains(fault));
                note(found, if felt { Outcome::Callback } else { Outcome::Right });
            }
            At::HandedOver(Reason::DidNotHold(_)) => note(found, Outcome::DidNotHold),
            At::HandedOver(other) => panic!("no other hand-over comes up by itself: {other:?}"),
        }
    }

    /// Faults away and faults there, each way they may be as a test is asked.
    fn moments(&self, sheet: &Sheet, steady: bool, watches: bool) -> Vec<(Vec<FaultId>, Vec<FaultId>)> {
        let comes = |fault: &FaultId| !steady && self.unit.fault_of(*fault).comes_and_goes.is_some();
        let mut moments: Vec<Vec<FaultId>> = vec![Vec::new()];
        for fault in sheet.left.iter().filter(|fault| comes(fault)) {
            let with: Vec<Vec<FaultId>> =
                moments.iter().map(|away| away.iter().copied().chain([*fault]).collect()).collect();
            let back = !sheet.away.contains(fault) || watches;
            moments = if back { moments.into_iter().chain(with).collect() } else { with };
        }
        let there = |away: &Vec<FaultId>| sheet.left.iter().filter(|f| !away.contains(f)).copied().collect();
        moments
            .into_iter()
            .map(|away| {
                let there = there(&away);
                (away, there)
            })
            .collect()
    }

    /// What the unit may answer; `None` where it has no model.
    fn answers(
        &mut self,
        test: &Test,
        whose: Option<(&str, Member)>,
        state: &State,
        there: &[FaultId],
        corner: CornerId,
    ) -> Option<Vec<Answer>> {
        let wired = Arc::clone(self.desk.wired());
        let taps: Vec<_> = test
            .measures()
            .iter()
            .map(|m| tap(&wired, m.unit, &m.probes, m.over.as_ref().map(|over| over.0), m.loaded, whose))
            .collect::<Option<_>>()?;
        let noted = self.desk.noted(corner, &state.standing, there, &taps);
        match (&test.question, test.scale) {
            (_, Scale::Judged(_)) | (Question::Ask { answers: None, .. }, _) => None,
            (Question::Ask { answers: Some(name), .. }, _) => {
                let name = whose.map_or(name.clone(), |(bank, member)| {
                    name.replacen(&format!("{bank}."), &format!("{bank}-{member}."), 1)
                });
                let (id, reading) = self.unit.reading(&name)?;
                let Shows::Words(words) = &reading.scale else { return None };
                let shown = self.desk.words(corner, &state.standing, there, id).ok()?;
                shown
                    .into_iter()
                    .map(|word| {
                        let line = test.branches.iter().position(|branch| branch.words == words[word])?;
                        Some(Answer::Said(noted.clone(), line))
                    })
                    .collect()
            }
            _ => Some(vec![Answer::Read(
                self.desk
                    .read(corner, &state.standing, there, &taps)
                    .ok()?
                    .into_iter()
                    .map(|read| Taken { could: self.desk.ends(&taps, &read), read })
                    .collect(),
            )]),
        }
    }

    fn escalated(&self, book: &Playbook, end: EndId, member: Option<Member>, sheet: &Sheet) -> Outcome {
        let block = book.end(end);
        let comes = |fault: &FaultId| self.unit.fault_of(*fault).comes_and_goes.is_some();
        if sheet.left.iter().any(|fault| self.matches(book, end, member, *fault)) {
            return Outcome::Right;
        }
        if sheet.left.is_empty() && block.cures.is_empty() && block.members == Members::One {
            return Outcome::Right;
        }
        if sheet.watched && sheet.left.iter().any(comes) {
            return Outcome::Intermittent;
        }
        if block.cures.contains(&Cures::AnythingElse) { Outcome::OtherComplaint } else { Outcome::Stumped }
    }

    /// Whether a `for` line of a block matches a fault: `PART`, `PART FAULT`, `that BANK.PART`.
    fn matches(&self, book: &Playbook, end: EndId, member: Option<Member>, fault: FaultId) -> bool {
        let block = book.end(end);
        let full = self.unit.fault_name(fault);
        let (owner, name) = full.split_once(' ').unwrap();
        let bank = match block.members {
            Members::That(bank) => Some(&book.bank(bank).name),
            _ => None,
        };
        if let (Some(bank), Some(member), true) = (bank, member, block.cures.is_empty()) {
            return owner.starts_with(&format!("{bank}-{member}."));
        }
        block.cures.iter().any(|cures| match cures {
            Cures::AnythingElse => false,
            Cures::Part { part, fault } => {
                let part = match (bank, member) {
                    (Some(bank), Some(member)) => {
                        let bare = part.strip_prefix("that ").unwrap_or(part);
                        bare.strip_prefix(&format!("{bank}."))
                            .map_or(part.clone(), |rest| format!("{bank}-{member}.{rest}"))
                    }
                    _ => part.clone(),
                };
                part == owner && fault.as_ref().is_none_or(|fault| fault == name)
            }
        })
    }

    /// Whether a fault, alone in the unit, makes some test of these playbooks read not good. Asked through the engine, each test
    /// by itself, from home.
    fn feels(&mut self, books: &[BookId], fault: FaultId) -> bool {
        for book in books {
            let playbook = self.library.book(*book);
            for (id, test) in playbook.tests() {
                let members: Vec<_> = match test.members {
                    Members::One => vec![None],
                    Members::Each(bank) | Members::That(bank) => {
                        playbook.bank(bank).members.iter().map(|member| Some((bank, *member))).collect()
                    }
                };
                for (nth, member) in members.into_iter().enumerate() {
                    let mut state = start(self.library, *book).unwrap();
                    let good =
                        u16::try_from(test.branches.iter().position(|b| b.kind == OutcomeKind::Good).unwrap_or(0))
                            .unwrap();
                    let fell = ruleout::engine::state::Fell { line: Some(good), alls: Vec::new() };
                    let before = match (test.members, member) {
                        (Members::Each(bank), Some(_)) => {
                            playbook.bank(bank).members[..nth].iter().map(|member| (*member, fell.clone())).collect()
                        }
                        _ => Vec::new(),
                    };
                    state.at = At::Test(ruleout::engine::state::Visit { test: id, owed: false, asked: before });
                    state.that.extend(member);
                    while let Ok(next) = step(self.library, &state, &Answer::Changed) {
                        state = next.into_iter().next().unwrap().state;
                    }
                    let whose = member.map(|(bank, member)| (playbook.bank(bank).name.as_str(), member));
                    for corner in self.desk.corners(Width::All, &[fault]) {
                        let Some(answers) = self.answers(test, whose, &state, &[fault], corner) else { break };
                        let sure = |answer: Answer| match answer {
                            Answer::Read(sets) => {
                                Answer::Read(sets.into_iter().map(|set| Taken::sure(set.read)).collect())
                            }
                            other => other,
                        };
                        for answer in answers.into_iter().map(sure) {
                            let Ok(nexts) = step(self.library, &state, &answer) else { continue };
                            let bad = |fell: Option<usize>| {
                                fell.is_some_and(|at| test.branches[at].kind != OutcomeKind::Good)
                            };
                            if nexts.iter().any(|next| bad(next.told.fell)) {
                                return true;
                            }
                        }
                    }
                }
            }
        }
        false
    }
}

/// Both shakedowns on the same unit: every set of faults of `sets`, every corner; how many walks were compared.
fn compare(ground: &Arc<Ground>, book: BookId, sets: &[Vec<FaultId>], every_nth_corner: usize, what: &str) -> usize {
    let books = ground.reached(book);
    let felt = Table::of(ground, &books, Width::All).felt(ground, &books);
    let unit = Arc::clone(&ground.wired.unit);
    let mut slow = Slow { library: &ground.library, unit: &unit, desk: ground.desk.clone(), felt: BTreeSet::new() };
    let needs_earlier = ground.asks().any(|(_, ask)| !ask.before.is_empty());
    let slow_felt: BTreeSet<FaultId> = if needs_earlier {
        // A sum over readings of other tests can't be asked by itself.
        felt.clone()
    } else {
        unit.faults().map(|(id, _)| id).filter(|fault| slow.feels(&books, *fault)).collect()
    };
    assert_eq!(felt, slow_felt, "{what}: which faults are felt at all");
    slow.felt = slow_felt;
    let mut quick = Walker::new(ground, &Arc::new(felt));
    let first = quick.start(book).unwrap();
    let mut walks = 0;
    for set in sets {
        for corner in ground.desk.corners(Width::All, set).into_iter().step_by(every_nth_corner) {
            let mut wanted = BTreeSet::new();
            let state = start(&ground.library, book).unwrap();
            let sheet = Sheet { state, left: set.clone(), away: Vec::new(), watched: false, wrong: false };
            slow.ends(&sheet, set.len() > 1, corner, &mut wanted);
            let found: BTreeSet<Outcome> = quick.ends(first, &Left::all(set), corner).outcomes().collect();
            let names: Vec<String> = set.iter().map(|fault| unit.fault_name(*fault)).collect();
            assert_eq!(found, wanted, "{what}: {names:?} in {:?}", ground.desk.corner(corner));
            walks += 1;
        }
    }
    walks
}

/// The good unit, every fault, and some pairs in turn.
fn sets_of(unit: &Unit, every_nth_pair: usize) -> Vec<Vec<FaultId>> {
    let faults: Vec<FaultId> = unit.faults().map(|(id, _)| id).collect();
    let mut sets = vec![Vec::new()];
    sets.extend(faults.iter().map(|fault| vec![*fault]));
    let pairs =
        faults.iter().enumerate().flat_map(|(at, one)| faults[at + 1..].iter().map(move |two| vec![*one, *two]));
    sets.extend(pairs.step_by(every_nth_pair));
    sets
}

#[test]
fn both_agree_on_every_playbook_of_ours() {
    let shop = the_shop();
    let mut walks = 0;
    for entry in walkdir::WalkDir::new(here("playbooks")).sort_by_file_name().into_iter().map(Result::unwrap) {
        if entry.path().extension().is_none_or(|ending| ending != "playbook") {
            continue;
        }
        let text = std::fs::read_to_string(entry.path()).unwrap();
        let units = text.lines().find_map(|line| line.strip_prefix("unit")).unwrap_or_default();
        let Some(unit) = units.split(',').map(str::trim).find(|unit| here(&sheet_path(unit)).is_file()) else {
            continue;
        };
        let desks = on_desks(&std::fs::read_to_string(here(&sheet_path(unit))).unwrap(), &shop);
        let others = walkdir::WalkDir::new(here("playbooks")).sort_by_file_name().into_iter().map(Result::unwrap);
        let others = others.filter(|other| other.path().extension().is_some_and(|ending| ending == "playbook"));
        let mut books: Vec<Playbook> = vec![compiled(&text, &desks).0.unwrap()];
        for other in others.filter(|other| other.path() != entry.path()) {
            let (book, _) = compiled(&std::fs::read_to_string(other.path()).unwrap(), &desks);
            books.extend(book.filter(|book| book.units.iter().any(|named| named == unit)));
        }
        let ground = ground_of(books, &desks, &shop);
        let what = entry.path().file_name().unwrap().to_string_lossy().into_owned();
        let sets = sets_of(&ground.wired.unit, 151);
        walks += compare(&ground, BookId(0), &sets, 11, &what);
    }
    assert!(walks > 300, "{walks} walks compared");
}

fn sheet_path(unit: &str) -> String {
    format!("playbooks/units/{unit}.yaml")
}

/// A row of numbers that looks random and is the same every time (xorshift64*, Vigna 2016).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        usize::try_from(self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33).unwrap() % n
    }

    pub fn of<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// A unit of a control string, a contactor, elements and something outside; every second one with a bank.
fn random_unit(dice: &mut Dice) -> (String, usize, usize) {
    let (switches, elements) = (1 + dice.below(4), 1 + dice.below(3));
    let rung: String = (1..=switches).map(|at| format!("C{} switch-{at} ", at - 1)).collect();
    let loads: String = (1..=elements).map(|at| format!("    - T heater-{at} N\n")).collect();
    let closed = ["always", "heat on"];
    let parts: String =
        (1..=switches).map(|at| format!("    switch-{at}: {{ closed when: {} }}\n", dice.of(&closed))).collect();
    let heaters: String = (1..=elements)
        .map(|at| format!("    heater-{at}: {{ watts: {} W, volts: 120 V }}\n", 200 + 100 * dice.below(5)))
        .collect();
    let tied = 1 + dice.below(elements);
    let moving = if dice.below(2) == 0 { ", comes and goes: now and then" } else { "" };
    let text = format!(
        "unit: made\ntitle: Made up\nnameplate: {{ line: 120 V AC ±10 % }}\ncalling: heat on\nbanks: {{ zone: 1 to 2 }}\n\
         circuit:\n  supplies:\n    mains: {{ points: [L, N], volts: line, grounded: N }}\n  rungs:\n    - L fuse C0\n    - {rung}C{switches} contactor.coil N\n    - L contactor.pole T\n{loads}\
         parts:\n  fuses:\n    fuse: {{ amps: 20 A }}\n  switches:\n{parts}  contactors:\n    contactor: {{ poles: [pole], ohms: 400 ohm }}\n  elements:\n{heaters}  outside:\n    door: {{}}\n    zone.plug: {{}}\n\
         readings:\n  warm:\n    in: °F\n    where: inside\n    good: 150 to 160 °F\n    instead:\n      contactor.coil off: 70 to 80 °F\n      heater-{tied} off: 100 to 120 °F\n  \
         door-look: {{ words: [shut, ajar, gone] }}\n  zone.look: {{ words: [in, out] }}\n\
         faults:\n  door:\n    ajar: {{ shows: {{ door-look: ajar, warm: 120 to 152 °F }} }}\n    gone: {{ shows: {{ door-look: gone{}}} }}\n  \
         fuse:\n    loose: {{ opens: yes{moving} }}\n  zone.plug:\n    out: {{ shows: {{ zone.look: out, warm: 90 to 149 °F }} }}\n",
        if dice.below(2) == 0 { ", warm: 130 to 140 °F" } else { "" },
    );
    (text, switches, elements)
}

/// A playbook for it whose lines lead anywhere further on: right, wrong, or in circles of repairs.
fn random_playbook(dice: &mut Dice, switches: usize, elements: usize) -> String {
    let mut tests: Vec<(String, String, Vec<String>)> = vec![(
        "warm".to_owned(),
        "with power live, covers on, heat on\n measure °F at warm, highest over 10 s".to_owned(),
        vec!["145 to 170 °F".to_owned(), "below 145 °F".to_owned(), "above 170 °F".to_owned()],
    )];
    let look = |name: &str, tied: &str, words: &[&str]| {
        let with = "with power live, covers on\n ask What do you see?\n answers ".to_owned() + tied;
        (name.to_owned(), with, words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>())
    };
    let live = "with power live, covers off, heat on\n danger Live parts kill: keep hands out.\n measure ";
    let volts = |at: &str, limit: usize| {
        let lines = vec![format!("above {limit} V AC"), format!("below {limit} V AC")];
        (format!("volts-{}", at.to_lowercase()), format!("{live}V AC from {at} to N"), lines)
    };
    for at in 0..=switches {
        tests.push(volts(&format!("C{at}"), *dice.of(&[60, 90, 107, 119])));
    }
    tests.push(volts("T", *dice.of(&[60, 90, 108])));
    for at in 1..=elements {
        let lines = ["20 to 60 ohm", "below 20 ohm", "above 60 ohm", "OL"].map(str::to_owned).to_vec();
        tests.push((
            format!("ohms-{at}"),
            format!("with power locked-out, covers off\n measure ohm of heater-{at}"),
            lines,
        ));
    }
    tests.push(look("door", "door-look", &["shut", "ajar", "gone"]));
    tests.push(look("zones", "zone.look", &["in", "out"]));
    let amps = vec!["above 1.5 A".to_owned(), "below 1.5 A".to_owned()];
    tests.push(("amps".to_owned(), format!("{live}A through contactor.pole, call it i\n measure A through heater-1, call it j\n calculate highest(i, j)"), amps));
    if dice.below(2) == 0 {
        // A sum over a reading another test took: on some ways it has been, on others not.
        let drop = vec!["-20 to 20 V".to_owned(), "below -20 V".to_owned(), "above 20 V".to_owned()];
        tests.push(("drop".to_owned(), format!("{live}V AC from C0 to N, call it top\n calculate top - coil"), drop));
        let coil = vec!["above 90 V AC".to_owned(), "below 90 V AC".to_owned()];
        tests.push(("coil".to_owned(), format!("{live}V AC across contactor.coil, call it coil"), coil));
    }
    // The complaint stays first, the rest comes in any order, and some are left out.
    for at in 1..tests.len() {
        let other = 1 + dice.below(tests.len() - 1);
        tests.swap(at, other);
    }
    tests.truncate(3 + dice.below(tests.len() - 2));
    if !tests.iter().any(|test| test.0 == "coil") {
        tests.retain(|test| test.0 != "drop");
    }
    let parts: Vec<String> = (1..=switches)
        .map(|at| format!("switch-{at}"))
        .chain((1..=elements).map(|at| format!("heater-{at}")))
        .chain(["fuse", "contactor", "door", "zone-1.plug", "door gone", "fuse loose"].map(str::to_owned))
        .collect();
    let names: Vec<String> = tests.iter().map(|test| test.0.clone()).collect();
    let plain: Vec<String> = names.iter().filter(|name| *name != "zones").cloned().collect();
    let mut ends = String::new();
    let mut end_names = Vec::new();
    for at in 0..2 + dice.below(5) {
        let (one, two) = (dice.of(&parts).clone(), dice.of(&parts).clone());
        let verify = dice.of(&plain);
        ends.push_str(&if dice.below(4) == 0 {
            format!("adjust end-{at}: Set it\n with power locked-out\n for {one}, {two}\n do Set it.\n verify {verify}\n")
        } else {
            format!("repair end-{at}: Change it\n with power locked-out, covers off\n for {one}, {two}\n part Part\n verify {verify}\n")
        });
        end_names.push(format!("end-{at}"));
    }
    ends.push_str(&format!("escalate named: Named\n for {}\n to lead\n because Named.\n", dice.of(&parts)));
    ends.push_str("escalate other: Other\n for anything else\n to lead\n because Other.\nescalate order: Order\n to lead\n because Order.\n");
    end_names.extend(["named", "other", "order"].map(str::to_owned));
    let mut text = String::new();
    for (at, (name, body, lines)) in tests.iter().enumerate() {
        text.push_str(&format!("test {name}: Test\n"));
        if name == "zones" {
            text.push_str(" for each zone\n");
        }
        text.push_str(&format!(" {body}\n"));
        for (nth, line) in lines.iter().enumerate() {
            let further = &names[at + 1..];
            let to = if !further.is_empty() && dice.below(3) > 0 { dice.of(further) } else { dice.of(&end_names) };
            let word = if nth == 0 { "good" } else { "if" };
            text.push_str(&format!(" {word} {line} go to {to}\n"));
        }
    }
    let finish = (dice.of(&plain).clone(), dice.of(&plain).clone());
    let finish = if finish.0 == finish.1 { finish.0 } else { format!("{}, {}", finish.0, finish.1) };
    format!("playbook made: Made up\nunit made\nsymptom Cold\nrevised 2026-11-03\nfinish {finish}\n{text}{ends}")
}

#[test]
fn both_agree_on_units_and_playbooks_thrown_together() {
    let shop = the_shop();
    let (mut walks, mut met) = (0, BTreeSet::new());
    for seed in 1..=16 {
        let mut dice = Dice::new(seed);
        let (sheet, switches, elements) = random_unit(&mut dice);
        let desks = on_desks(&sheet, &shop);
        let text = random_playbook(&mut dice, switches, elements);
        let (book, problems) = compiled(&text, &desks);
        let told: Vec<&str> = problems.iter().filter(|p| p.is_error()).map(|p| p.message.as_str()).collect();
        assert!(told.is_empty(), "seed {seed}: {told:#?}\n{text}");
        let ground = ground_of(vec![book.unwrap()], &desks, &shop);
        let sets = sets_of(&ground.wired.unit, 37);
        walks += compare(&ground, BookId(0), &sets, 3, &format!("seed {seed}"));
        let run = ruleout::shakedown::runs::shake(&ground, BookId(0), ruleout::shakedown::runs::Depth::CHEAP).unwrap();
        met.extend(run.singles.iter().map(|run| run.outcome));
        let _: Vec<InBook<ruleout::playbook::model::TestId>> = run.gaps.into_iter().map(|gap| gap.0).collect();
    }
    assert!(walks > 1_000, "{walks} walks compared");
    let missing: Vec<Outcome> = Outcome::ALL
        .into_iter()
        .filter(|outcome| !met.contains(outcome) && *outcome != Outcome::Callback && *outcome != Outcome::NotOnSheet)
        .collect();
    assert!(missing.is_empty(), "these never came up: {missing:?}");
}
