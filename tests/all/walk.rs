//! The terminal walk, told as cases: a playbook, what is typed, what must be seen.
//!
//! A case is a file `tests/cases/walk/NAME.walk`:
//!
//! | line | says |
//! |---|---|
//! | `playbook PATH` | the playbook walked, then those it goes on to; those of this project with their unit's sheet |
//! | `shop PATH` | the shop sheet; left out, the shop without one |
//! | `> WORDS` | a typed line |
//! | `see WORDS` | stands in the answer to it, however the lines are broken |
//! | `hide WORDS` | does not |
//! | `mark WORDS` | is the question mark then |
//! | `over` | the walk has ended |
//!
//! Whatever a case says, no line is wider than 80 columns, no step is higher than a terminal of 24 lines, and directly above
//! each question stands how the unit stands.

use super::support::Kitchen;
use ruleout::circuit::unit::wire;
use ruleout::corners::Desks;
use ruleout::engine::{BookId, Library};
use ruleout::language::parse;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::model::{Bank, Playbook};
use ruleout::playbook::outline::Outline;
use ruleout::sheet::shop::{self, Shop};
use ruleout::sheet::unit;
use ruleout::text::source::Source;
use ruleout::walk::{Job, Reply, TakeUp, Walk, keep};
use std::path::PathBuf;
use std::sync::Arc;

const AT: &str = "2026-11-25 10:00";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn shop_at(path: &str) -> Shop {
    let (shop, problems) = shop::read(&Source::new(path, std::fs::read_to_string(root().join(path)).unwrap()));
    assert!(problems.is_empty(), "{path}: {:?}", problems.iter().map(|p| &p.message).collect::<Vec<_>>());
    shop
}

fn compiled(path: &str, shop: &Shop) -> Arc<Playbook> {
    let text = std::fs::read_to_string(root().join(path)).unwrap_or_else(|why| panic!("{path}: {why}"));
    let (tree, problems) = parse(&Source::new(path, text));
    assert!(problems.is_empty(), "{path}: {:?}", problems.iter().map(|p| &p.message).collect::<Vec<_>>());
    let banks =
        [("zone", 3), ("well", 4)].map(|(name, last)| Bank { name: name.to_owned(), members: (1..=last).collect() });
    let (playbook, problems) = compile(&tree.unwrap(), Ground { states: &shop.table, banks: &banks, desks: None });
    let errors: Vec<_> = problems.iter().filter(|p| p.is_error()).map(|p| &p.message).collect();
    assert!(errors.is_empty(), "{path}: {errors:?}");
    Arc::new(playbook.unwrap())
}

/// As the program compiles it for the first of its units; every playbook of this project has a sheet.
fn on_its_sheet(path: &str, shop: &Shop) -> Playbook {
    let tree = parse(&Source::new(path, std::fs::read_to_string(path).unwrap())).0.unwrap();
    let sheet = format!("playbooks/units/{}.yaml", Outline::of(&tree).units[0]);
    let (unit, told) = unit::read(&Source::new(&sheet, std::fs::read_to_string(root().join(&sheet)).unwrap()), shop);
    let banks: Vec<Bank> =
        unit.banks.iter().map(|bank| Bank { name: bank.name.clone(), members: bank.members.clone() }).collect();
    let (wired, more) = wire(&Arc::new(unit));
    assert!(told.is_empty() && more.is_empty(), "{sheet} has something wrong");
    let desks = Desks::new(&Arc::new(wired), &shop.meter);
    let states = &desks.wired().unit.states;
    compile(&tree, Ground { states, banks: &banks, desks: Some(&desks) }).0.unwrap()
}

/// Compiled for the unit of this sheet.
fn compiled_on(path: &str, desks: &Desks) -> Arc<Playbook> {
    let text = std::fs::read_to_string(root().join(path)).unwrap();
    let (tree, _) = parse(&Source::new(path, text));
    let unit = &desks.wired().unit;
    let banks: Vec<Bank> =
        unit.banks.iter().map(|bank| Bank { name: bank.name.clone(), members: bank.members.clone() }).collect();
    let ground = Ground { states: &unit.states, banks: &banks, desks: Some(desks) };
    Arc::new(compile(&tree.unwrap(), ground).0.unwrap())
}

fn library(paths: &[&str], shop: &Shop) -> Arc<Library> {
    let with_its_sheet = |path: &str| on_its_sheet(&root().join(path).to_string_lossy(), shop);
    let one = |path: &&str| match path.starts_with("playbooks/") {
        true => Arc::new(with_its_sheet(path)),
        false => compiled(path, shop),
    };
    Arc::new(Library::new(paths.iter().map(one).collect()))
}

fn started(paths: &[&str]) -> (Walk, Reply) {
    started_at(paths, Shop::built_in())
}

fn started_at(paths: &[&str], shop: Shop) -> (Walk, Reply) {
    Walk::start(library(paths, &shop), BookId(0), Job::without_sheet(shop), AT).unwrap()
}

/// Words with every run of blanks and line ends made one blank.
fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What has to hold of every reply.
fn fits(walk: &Walk, reply: &Reply) -> Result<(), String> {
    if walk.is_over() {
        return Ok(());
    }
    if let Some(wide) = reply.text.lines().find(|line| line.chars().count() > 80) {
        return Err(format!("wider than 80 columns: {wide}"));
    }
    // The question itself takes the last line.
    let high = reply.text.lines().count() + 1;
    if high > 24 {
        return Err(format!("{high} lines high"));
    }
    let asks_after_standing = walk.prompt() != "complaint: ";
    if asks_after_standing && !reply.text.lines().last().is_some_and(|line| line.starts_with("Unit now: ")) {
        return Err("how the unit stands is not right above the question".to_owned());
    }
    Ok(())
}

#[test]
fn every_case() {
    let folder = root().join("tests/cases/walk");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.retain(|path| path.extension().is_some_and(|ending| ending == "walk"));
    cases.sort();
    assert!(cases.len() >= 10, "only {} cases found", cases.len());
    let mut wrong = Vec::new();
    for path in cases {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        run(&name, &std::fs::read_to_string(&path).unwrap(), &mut wrong);
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

fn run(name: &str, text: &str, wrong: &mut Vec<String>) {
    let books: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("playbook ")).collect();
    let shop = text.lines().find_map(|line| line.strip_prefix("shop ")).map_or_else(Shop::built_in, shop_at);
    let sheet = text.lines().find_map(|line| line.strip_prefix("unit "));
    let (mut walk, mut reply) = match sheet {
        Some(sheet) => {
            let desks = Arc::new(crate::support::desks(sheet, &shop));
            let books = books.iter().map(|path| compiled_on(path, &desks)).collect();
            Walk::start(Arc::new(Library::new(books)), BookId(0), Job::at(shop, desks), AT).unwrap()
        }
        None => started_at(&books, shop),
    };
    let mut checks = 0;
    for (line, number) in text.lines().zip(1..) {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        let mut say = |what: &str| {
            wrong.push(format!("{name}:{number}: {what}\n{}\n{}", indented(&reply.text), walk.prompt()));
        };
        match word {
            "" | "#" | "playbook" | "shop" | "unit" => continue,
            ">" => {
                if walk.is_over() {
                    say("typed after the end");
                    return;
                }
                reply = walk.hear(rest, AT);
                if walk.is_over() {
                    reply.text.push_str(&walk.write_up().text());
                }
                if let Err(why) = fits(&walk, &reply) {
                    wrong.push(format!("{name}:{number}: {why}\n{}", indented(&reply.text)));
                }
                continue;
            }
            "see" if !folded(&reply.text).contains(&folded(rest)) => say(&format!("not seen: {rest}")),
            "hide" if folded(&reply.text).contains(&folded(rest)) => say(&format!("seen: {rest}")),
            "mark" if walk.prompt().trim_end() != rest => say(&format!("not the question mark: {rest}")),
            "over" if !walk.is_over() => say("not over"),
            "see" | "hide" | "mark" | "over" => {}
            _ => panic!("{name}:{number}: no such line: {line}"),
        }
        checks += 1;
    }
    assert!(checks > 0, "{name} checks nothing");
}

fn indented(text: &str) -> String {
    text.lines().map(|line| format!("    | {line}")).collect::<Vec<_>>().join("\n")
}

const TANK: &str = "tests/cases/engine/tank-cold.playbook";

fn typed(walk: &mut Walk, lines: &[&str]) -> Reply {
    let mut reply = Reply::default();
    for line in lines {
        reply = walk.hear(line, AT);
    }
    reply
}

/// Every event comes out with the line that made it, so that it can be written before the next question.
#[test]
fn every_event_comes_out_at_once() {
    let (mut walk, reply) = started(&[TANK]);
    let mut events = reply.events;
    for line in ["cold", "yes", "120", "yes", "", "yes", "note damp in here", "0", "back", "0", "yes"] {
        events.extend(walk.hear(line, AT).events);
        assert_eq!(events, walk.events(), "after {line:?}");
    }
    assert!(events.len() > 8);
}

/// A walk left off anywhere is taken up at the same question, with the same record.
#[test]
fn a_walk_is_taken_up_where_it_was_left_off() {
    let lines =
        ["", "yes", "120", "yes", "", "yes", "0", "yes", "", "OL", "", "note two words", "", "done", "", "10", ""];
    for left_after in 0..=lines.len() {
        let (mut walk, _) = started(&[TANK]);
        typed(&mut walk, &lines[..left_after]);
        let mark = walk.prompt();
        walk.leave_off("interrupt", AT);
        // Through the file and back.
        let text: String = walk.events().iter().map(|event| serde_json::to_string(event).unwrap() + "\n").collect();
        let events = keep::read(&text).unwrap();
        assert_eq!(events, walk.events());
        let shop = Shop::built_in();
        let (library, job) = (library(&[TANK], &shop), Job::without_sheet(shop));
        let (again, reply) = Walk::take_up(library, BookId(0), job, &events, AT).unwrap();
        assert_eq!(again.prompt(), mark, "left off after {left_after} lines");
        assert!(reply.text.contains("Taken up"), "{}", reply.text);
    }
}

#[test]
fn a_record_that_does_not_fit_is_refused() {
    let shop = Shop::built_in();
    let (mut walk, _) = started(&[TANK]);
    typed(&mut walk, &["", "yes", "120", "yes"]);
    let take_up = |paths: &[&str], events: &[_]| {
        let job = Job::without_sheet(shop.clone());
        Walk::take_up(library(paths, &shop), BookId(0), job, events, AT).map(|_| ()).unwrap_err()
    };
    let events = walk.events().to_vec();
    assert_eq!(take_up(&["tests/cases/engine/motor-hums.playbook"], &events), TakeUp::OtherText);
    assert_eq!(take_up(&[TANK], &events[1..]), TakeUp::NoStart);
    let mut other = events.clone();
    other[3].typed = Some("160".to_owned());
    assert_eq!(take_up(&[TANK], &other), TakeUp::Parted(4));
    // A line cut off by a pulled battery is left out; one that is no event is said.
    let mut text: String = events.iter().map(|event| serde_json::to_string(event).unwrap() + "\n").collect();
    text.push_str("{\"at\": \"20");
    assert_eq!(keep::read(&text).unwrap(), events);
    assert_eq!(keep::read("{}\n"), Err(1));
}

/// Words from a playbook or a technician never reach the terminal as something it would obey.
#[test]
fn no_control_characters() {
    let (mut walk, _) = started(&[TANK]);
    typed(&mut walk, &["cold \u{1b}[2J water", "yes", "note \u{1b}]0;x\u{7}", "so far", "pause"]);
    assert!(walk.is_over());
    for text in [walk.record_text(), walk.write_up().text()] {
        assert!(!text.contains(['\u{1b}', '\u{7}']), "{text}");
    }
}

/// The whole text of a call with a second fault, as a technician sees it.
#[test]
fn a_whole_call() {
    let (mut walk, reply) = started(&[TANK]);
    let mut text = reply.text;
    let lines = [
        "the dish machine leaves grease",
        "yes",
        "120",
        "yes",
        "",
        "yes",
        "0",
        "yes",
        "",
        "OL",
        "",
        "",
        "done",
        "",
        "10",
        "",
        "",
        "yes",
        "135",
        "yes",
        "",
        "yes",
        "0.4",
        "yes",
        "",
        "10",
        "",
        "done",
        "yes",
        "22.5",
        "yes",
        "",
        "yes",
        "yes",
        "162",
        "done",
    ];
    for line in lines {
        text.push_str(&format!("{}{line}\n", walk.prompt()));
        text.push_str(&walk.hear(line, AT).text);
    }
    assert!(walk.is_over(), "{text}");
    text.push_str(&walk.record_text());
    text.push_str(&walk.write_up().text());
    insta::assert_snapshot!(text);
}

/// Every screen of this project's own playbooks fits a terminal of 80 by 24, on walks drawn blindly but always the same.
#[test]
fn every_screen_of_our_playbooks_fits() {
    let root = root().join("playbooks");
    let mut books: Vec<String> = walkdir::WalkDir::new(&root)
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.unwrap().into_path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "playbook"))
        .map(|path| path.to_string_lossy().into_owned())
        .collect();
    assert!(books.len() >= 3, "{books:?}");
    let (mut screens, mut wrong) = (0, std::collections::BTreeSet::new());
    for _ in 0..books.len() {
        books.rotate_left(1);
        let all: Vec<&str> = books.iter().map(String::as_str).collect();
        let shop = shop_at("playbooks/shop.yaml");
        let library = Library::new(all.iter().map(|path| Arc::new(on_its_sheet(path, &shop))).collect());
        let started = Walk::start(Arc::new(library), BookId(0), Job::without_sheet(shop), AT).unwrap();
        for seed in 0..40 {
            let (mut walk, mut reply) = started.clone();
            let mut dice = seed;
            let mut roll = |n: usize| {
                dice = (dice * 1_103_515_245 + 12_345) % 2_147_483_648;
                (dice >> 16) % n
            };
            for _ in 0..400 {
                if let Err(why) = fits(&walk, &reply) {
                    wrong.insert(format!("{}: {why}\n{}", books[0], indented(&reply.text)));
                }
                if walk.is_over() {
                    break;
                }
                screens += 1;
                let answers: Vec<&str> =
                    reply.text.lines().filter(|line| line.starts_with("             ")).map(str::trim).collect();
                let line = match (walk.prompt().as_str(), roll(25)) {
                    (_, 0) => "back",
                    (_, 1) => "can't",
                    ("answer: " | "it is: ", _) if !answers.is_empty() => answers[roll(answers.len())],
                    (prompt, _) if prompt.contains('?') => "yes",
                    _ => ["0", "1", "4", "12", "24", "44", "120", "140", "200", "208", "1000"][roll(11)],
                };
                reply = walk.hear(line, AT);
            }
        }
    }
    assert!(screens > 2_000, "only {screens} screens seen");
    assert!(wrong.is_empty(), "{}", wrong.into_iter().take(5).collect::<Vec<_>>().join("\n"));
}

/// The program itself: input that ends, a record kept, taken up again, closed in the other run.
#[test]
fn the_program_keeps_a_record_and_takes_it_up_again() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    let told =
        kitchen.typed(&["walk", "cabinet-dead", "--records", "calls"], "went off at lunch\nyes\n\nnothing\n").ends(0);
    let told =
        told.says("Unit now: live, covers on\nlocked out? ").says("Left off").says("ruleout walk --resume calls/");
    told.says("Complaint  went off at lunch").never_says("event: started");
    let (name, bytes) = kitchen.files("calls").remove(0);
    assert!(String::from_utf8(bytes).unwrap().lines().count() >= 6);
    let record = format!("calls/{}", name.to_string_lossy());
    let told = kitchen.typed(&["walk", "--resume", &record], "yes\n0\n\ndone\n").ends(0);
    told.says("Taken up").says("Handed over: The receptacle is wrong").says("electrician");
    kitchen.typed(&["walk", "--resume", &record], "").ends(1).says("This call has ended.");
}

/// The record holds the unit: a walk of a playbook for several is taken up without being told which. One from before it did is
/// taken up with `--unit`, or without where there is but one; so is one whose complaint would be asked back today.
#[test]
fn a_record_knows_its_unit() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen.typed(&["walk", "booster-cold", "--records", "calls"], "").ends(1).says("--unit NAME");
    let start = ["walk", "booster-cold", "--unit", "booster-240", "--records", "calls"];
    kitchen.typed(&start, "cool dishes\nyes\n").ends(0).says("Left off");
    let (name, bytes) = kitchen.files("calls").remove(0);
    let record = format!("calls/{}", name.to_string_lossy());
    let told = kitchen.typed(&["walk", "--resume", &record], "pause\n").ends(0);
    told.says("Taken up").says("Unit       booster-240");
    let told = kitchen.typed(&["walk", "--resume", &record, "--unit", "booster-208"], "").ends(1);
    told.says("This record is of `booster-240`, not of `booster-208`.");
    let old = String::from_utf8(bytes).unwrap().replace("\"unit\":\"booster-240\",", "").replace("cool dishes", "120");
    assert!(!old.contains("\"unit\""), "{old}");
    kitchen.write("calls/old.record", &old);
    kitchen.typed(&["walk", "--resume", "calls/old.record"], "").ends(1).says("--unit NAME");
    let told = kitchen.typed(&["walk", "--resume", "calls/old.record", "--unit", "booster-240"], "pause\n").ends(0);
    told.says("Taken up").says("Complaint  120").never_says("Unit       booster");
}

/// Where no folder is asked for, records go into the user's own, each with its write-up as text beside it. The words printed to go on
/// with it hold where they were printed; the record itself knows its folder of playbooks.
#[test]
fn a_record_is_kept_where_nobody_said_where() {
    let kitchen = Kitchen::new().with_folder("playbooks", "my books");
    let told =
        kitchen.typed(&["walk", "cabinet-dead", "--from", "my books"], "went off\nyes\nnote it hums\npause\n").ends(0);
    let kept = kitchen.files("data/ruleout/calls");
    let names: Vec<String> = kept.iter().map(|(name, _)| name.to_string_lossy().into_owned()).collect();
    let [record, text] = names.as_slice() else { panic!("{names:?}") };
    assert!(record.ends_with("-cabinet-dead.record") && text.ends_with("-cabinet-dead.txt"), "{names:?}");
    let told = told
        .says("Left off here.")
        .says(&format!("data/ruleout/calls/{record}"))
        .says(" --from \"my books\"\n")
        .says("The write-up stands beside it");
    told.never_says("event: started");
    let text = format!("data/ruleout/calls/{text}");
    let written = kitchen.read(&text);
    assert!(written.contains("Complaint  went off") && written.contains("Notes      it hums"), "{written}");
    let record = format!("data/ruleout/calls/{record}");
    kitchen.typed(&["walk", "--resume", &record, "--from", "my books"], "pause\n").ends(0).says("Taken up");
    kitchen.typed(&["walk", "--resume", &record], "note again\nstop\nyes\ndone\n").ends(0).says("Taken up");
    let written = kitchen.read(&text);
    assert!(written.contains("again") && written.contains("Handed over") && !written.contains("Left off"), "{written}");
    // Carried elsewhere, it is looked up where names are.
    let elsewhere = Kitchen::new().with_folder("playbooks", "playbooks");
    let gone = String::from_utf8(kept[0].1.clone()).unwrap().replace("my books", "nowhere");
    elsewhere.write("old.record", gone);
    elsewhere.typed(&["walk", "--resume", "old.record"], "pause\n").ends(0).says("Taken up");
}

/// A reading that was asked back and said again is taken up as it was, and the record says that it was.
#[test]
fn a_confirmed_reading_is_taken_up_again() {
    let shop = Shop::built_in();
    let (mut walk, _) = started(&[TANK]);
    typed(&mut walk, &["", "yes", "1300", "yes"]);
    let read: Vec<_> = walk.events().iter().filter(|event| event.typed.as_deref() == Some("1300")).collect();
    assert!(serde_json::to_string(read[0]).unwrap().contains("\"confirmed\":true"), "{read:?}");
    let events = walk.events().to_vec();
    let (library, job) = (library(&[TANK], &shop), Job::without_sheet(shop));
    let (again, _) = Walk::take_up(library, BookId(0), job, &events, AT).unwrap();
    assert_eq!(again.events()[..events.len()], events);
    assert!(again.write_up().text().contains("asked back, and said again"), "{}", again.write_up().text());
}

/// On a screen complaint, cause and correction stay in sight: where all of it is too long, the readings are left to the file.
#[test]
fn a_long_write_up_keeps_the_cause_in_sight() {
    let (mut walk, _) = started(&[TANK]);
    typed(&mut walk, &["", "yes", "120"]);
    let short = walk.write_up();
    assert_eq!(short.on_screen("x.txt"), short.text());
    let mut long = walk.write_up();
    long.readings = (1..=20).map(|n| format!("Test {n}: 5 A, good")).collect();
    long.tested_after = long.readings[15..].to_vec();
    let told = long.on_screen("x.txt");
    assert!(told.lines().count() <= 19, "{told}");
    assert!(folded(&told).contains("Readings 20 tests, 5 of them after the last repair: in x.txt"), "{told}");
    assert!(told.contains("Cause") && told.contains("Correction") && !told.contains("Test 3"), "{told}");
}

/// A stop leaves room: the card that says how to lock out is two lines short of the screen.
#[test]
fn a_stop_is_short() {
    for (sheet, path) in [
        ("playbooks/units/hot-wells-208.yaml", "playbooks/hot-wells/well-cold.playbook"),
        ("playbooks/units/gas-fryer-120.yaml", "playbooks/gas-fryer/fryer-drops-out.playbook"),
        ("playbooks/units/walk-in-cooler-208.yaml", "playbooks/walk-in-cooler/box-warm.playbook"),
    ] {
        let shop = shop_at("playbooks/shop.yaml");
        let desks = Arc::new(crate::support::desks(sheet, &shop));
        let library = Library::new(vec![compiled_on(path, &desks)]);
        let (mut walk, _) = Walk::start(Arc::new(library), BookId(0), Job::at(shop, desks), AT).unwrap();
        let reply = typed(&mut walk, &["", "yes", "stop"]);
        let high = reply.text.lines().count() + 1;
        assert!(high <= 22, "{path}: {high} lines\n{}", reply.text);
        assert_eq!(reply.text.contains("gas cock"), sheet.contains("fryer"), "{}", reply.text);
    }
}

/// Without a folder for records that can be written the record is printed; a playbook with errors is not walked; a name that is none is said.
#[test]
fn the_program_says_why_it_cannot_walk() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    // Where no record can be kept the walk says so at once, and everything is printed.
    kitchen.write("data", "a file, not a folder");
    let told = kitchen.typed(&["walk", "playbooks/holding-cabinet/cabinet-dead.playbook"], "pause\n").ends(0);
    told.says("No record can be kept in").says("event: started").says("No record was kept");
    kitchen.run(&["walk", "cabinet-ded"]).ends(1).says("Did you mean `cabinet-dead`?");
    kitchen.run(&["walk", "no-such.playbook"]).ends(1).says("There is no file no-such.playbook.");
    kitchen.run(&["walk"]).ends(1);
    kitchen.run(&["walk", "cabinet-dead", "--from", "nowhere"]).ends(1).says("There is no folder nowhere.");
    kitchen.run(&["walk", "--resume", "playbooks/shop.yaml"]).ends(1).says("is no record");
    kitchen.run(&["walk", "cabinet-dead", "--records", "playbooks/shop.yaml"]).ends(1).says("No record can be kept");
    kitchen
        .write("playbooks/bad.playbook", "playbook bad: Bad\n\ntest one: One\n  ask Well?\n  good yes go to nowhere\n");
    kitchen.run(&["walk", "bad"]).ends(2).says("It can't be walked").says("ruleout check playbooks/bad.playbook");
}
