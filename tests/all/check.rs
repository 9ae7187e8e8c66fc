//! Playbooks with one mistake each, and the same playbooks mended.
//!
//! `tests/cases/check/CODE.playbook` breaks the rule CODE; `CODE.ok.playbook` comes as near to it as a right playbook can.
//! A line `#! CODE line N "WORDS"` says which problem is told on which line at which words; on one line of its own for each.
//! What is announced and not told fails the case; so does an error that is told and not announced, and the file's own code
//! where it is not announced. The playbooks in `others` are there too, as they would be in one folder.

use ruleout::check::{Subject, all_rules, check, contacts, units};
use ruleout::corners::Desks;
use ruleout::language::parse;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::model::Bank;
use ruleout::playbook::outline::{Outline, Outlines};
use ruleout::sheet::shop;
use ruleout::sheet::states::{Stand, State, States, Value, ValueId};
use ruleout::text::printer::{self, Look};
use ruleout::text::problem::{Problem, tidy};
use ruleout::text::rule::Level;
use ruleout::text::source::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A shop that knows a call for heat, a jumper and whom to call, and a unit with three zones.
struct Shop {
    sheet: shop::Shop,
    states: Arc<States>,
    banks: Vec<Bank>,
    others: Outlines,
    /// The units of this project's own sheets.
    units: BTreeMap<String, Desks>,
}

impl Shop {
    fn open() -> Self {
        let value = |name: &str| Value { name: name.to_owned(), to: None };
        let mut states: Vec<State> = States::built_in().iter().map(|(_, state)| state.clone()).collect();
        let covers_off = Stand { value: ValueId(1), ..Stand::COVERS_ON };
        for (name, values, only_while, change_while) in [
            ("heat", ["off", "on"], vec![Stand::LIVE], vec![]),
            ("jumper", ["none", "in"], vec![covers_off], vec![Stand::LOCKED_OUT, covers_off]),
        ] {
            states.push(State {
                name: name.to_owned(),
                values: values.map(value).to_vec(),
                only_while,
                change_while,
                disconnects: Vec::new(),
                lock_out_also: Vec::new(),
                place: None,
            });
        }
        let mut others = Outlines::default();
        for path in playbooks(&cases().join("others")) {
            let source = Source::new(shown(&path), fs::read_to_string(&path).unwrap());
            let (tree, problems) = parse(&source);
            assert!(problems.is_empty(), "{}: {problems:?}", path.display());
            others.add(Outline::of(&tree.unwrap()));
        }
        let banks = vec![Bank { name: "zone".to_owned(), members: vec![1, 2, 3] }];
        let sheet =
            "call:\n  lead: on the radio\n  electrician: through the site manager\n  gas fitter: through dispatch\n";
        let (sheet, problems) = shop::read(&Source::new("shop.yaml", sheet));
        assert!(problems.is_empty(), "{problems:?}");
        Self { sheet, states: Arc::new(States::new(states)), banks, others, units: units() }
    }

    /// Everything told about one playbook.
    fn problems(&self, source: &Arc<Source>) -> Vec<Problem> {
        let (tree, mut problems) = parse(source);
        let Some(tree) = tree else { return problems };
        problems.extend(contacts::against(&tree, &self.sheet));
        problems.extend(units::against(&tree, ["booster-208", "ice-machine-208"].into_iter()));
        let mut others = self.others.clone();
        others.add(Outline::of(&tree));
        // A case for a unit that has a sheet is checked on it, as the program does.
        let unit = Outline::of(&tree).units.first().cloned().unwrap_or_default();
        let desks = self.units.get(&unit);
        let (states, banks) = match desks {
            Some(desks) => (&desks.wired().unit.states, banks_of(desks)),
            None => (&self.states, self.banks.clone()),
        };
        let (playbook, told) = compile(&tree, Ground { states, banks: &banks, desks });
        problems.extend(told);
        let mut problems = match &playbook {
            Some(playbook) => check(Subject { tree: &tree, playbook, others: &others, desks }, problems),
            None => problems,
        };
        tidy(&mut problems);
        problems
    }
}

/// Every unit of the project that has a sheet, with the shop's own meter.
fn units() -> BTreeMap<String, Desks> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("playbooks");
    let text = fs::read_to_string(here.join("shop.yaml")).unwrap();
    let shop = shop::read(&Source::new("shop.yaml", text)).0;
    let sheets = ["booster-208", "booster-240", "holding-cabinet-208", "walk-in-cooler-208", "gas-fryer-120"];
    let desks = |name: &str| crate::support::desks(&format!("playbooks/units/{name}.yaml"), &shop);
    let own = crate::support::desks("tests/cases/check/units/warm-shelf-120.yaml", &shop);
    let own = [("warm-shelf-120".to_owned(), own)];
    sheets.into_iter().map(|name| (name.to_owned(), desks(name))).chain(own).collect()
}

fn banks_of(desks: &Desks) -> Vec<Bank> {
    let banks = &desks.wired().unit.banks;
    banks.iter().map(|bank| Bank { name: bank.name.clone(), members: bank.members.clone() }).collect()
}

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/check")
}

fn playbooks(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|end| end == "playbook"));
    found.sort();
    found
}

fn shown(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

fn told(problem: &Problem) -> String {
    format!("{} line {} \"{}\"", problem.rule.code, problem.place.line(), problem.place.text())
}

#[test]
fn every_case_tells_what_it_announces() {
    let shop = Shop::open();
    let mut wrong = String::new();
    for path in playbooks(&cases()) {
        let (name, text) = (shown(&path), fs::read_to_string(&path).unwrap());
        let code = name.split('.').next().unwrap().to_owned();
        let mut announced: Vec<&str> =
            text.lines().filter_map(|line| line.strip_prefix("#! ")).map(str::trim).collect();
        let mended = name.ends_with(".ok.playbook");
        if mended == announced.iter().any(|line| line.starts_with(&format!("{code} "))) {
            writeln!(wrong, "{name}: {}", if mended { "is not mended" } else { "does not show its code" }).unwrap();
        }
        for problem in shop.problems(&Source::new(name.as_str(), text.as_str())) {
            let line = told(&problem);
            match announced.iter().position(|announced| *announced == line) {
                Some(at) => drop(announced.remove(at)),
                None if problem.is_error() || problem.rule.code == code => {
                    writeln!(wrong, "{name}: not announced: #! {line}\n    {}", problem.message).unwrap();
                }
                None => {}
            }
        }
        for line in announced {
            writeln!(wrong, "{name}: not told: {line}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// A slip of the pen is told once, not again as everything that is missing because of it.
#[test]
fn one_slip_is_told_once() {
    let shop = Shop::open();
    let right = fs::read_to_string(cases().join("no-such-block.ok.playbook")).unwrap();
    let slips = [
        ("measure  ohm of element", "mesure  ohm of element", vec!["unknown-line"]),
        ("good     yes", "god      yes", vec!["unknown-line"]),
        ("if       no   go to supply\n", "if       no   goto supply\n", vec!["no-go-to"]),
        ("verify  element-ohms", "verfy  element-ohms", vec!["unknown-line"]),
        ("part    Element", "parts   Element", vec!["unknown-line"]),
        ("to       electrician", "two      electrician", vec!["unknown-line"]),
        ("if       no   go to supply\n", "if       no   go to suply\n", vec!["no-such-block"]),
        ("finish   heats-up", "finnish  heats-up", vec!["unknown-line"]),
        ("above 229 V AC", "above 229 A", vec!["limit-unit"]),
        ("danger   208", "dnager   208", vec!["unknown-line"]),
    ];
    for (good, slip, codes) in slips {
        assert!(right.contains(good), "{good}");
        let problems = shop.problems(&Source::new("slip", right.replacen(good, slip, 1)));
        let told: Vec<&str> = problems.iter().filter(|p| p.is_error()).map(|p| p.rule.code).collect();
        assert_eq!(told, codes, "{slip}: {problems:#?}");
    }
}

/// How each message reads: `tests/cases/check/told/CODE.snap`, to be read before it is accepted.
#[test]
fn every_code_is_told_in_words() {
    let shop = Shop::open();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(cases().join("told"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    for path in playbooks(&cases()) {
        let name = shown(&path);
        let Some(code) = name.strip_suffix(".playbook").filter(|code| !code.ends_with(".ok")) else { continue };
        let mut problems = shop.problems(&Source::new(name.as_str(), fs::read_to_string(&path).unwrap()));
        problems.retain(|problem| problem.rule.code == code);
        settings.bind(|| insta::assert_snapshot!(code, printer::told(&problems, 1, Look::PLAIN)));
    }
}

#[test]
fn every_rule_has_its_two_cases_and_its_two_examples() {
    let here: BTreeSet<String> = playbooks(&cases()).iter().map(|path| shown(path)).collect();
    let mut wrong = String::new();
    let mut codes = BTreeSet::new();
    for rule in all_rules() {
        let code = rule.code;
        if !codes.insert(code) {
            writeln!(wrong, "two rules have the code {code}").unwrap();
        }
        if !code.split('-').all(|word| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase())) {
            writeln!(wrong, "the code {code} is not words joined with hyphens").unwrap();
        }
        for (what, text) in [("says", rule.says), ("why", rule.why), ("wrong", rule.wrong), ("mended", rule.mended)] {
            if text.trim().is_empty() {
                writeln!(wrong, "the rule {code} has no `{what}`").unwrap();
            }
        }
        for sentence in [rule.says, rule.why] {
            if !sentence.ends_with(['.', ')', '?']) {
                writeln!(wrong, "the rule {code} does not end its sentence: {sentence}").unwrap();
            }
        }
        if rule.wrong == rule.mended {
            writeln!(wrong, "the rule {code} has the same example twice").unwrap();
        }
    }
    // What needs a unit sheet is tried on one, in `unit_sheet`; the language and the sheets have rooms of their own.
    // And what a whole shakedown tells, in `shakedown::rules`.
    let with_a_unit: Vec<_> = ruleout::check::places::RULES.into_iter().chain(ruleout::check::shaken::RULES).collect();
    // What needs files is tried on some, in `site::publishing`; a thousand blocks are written below.
    let with_files = ruleout::check::pictures::FILE_RULES;
    for rule in [ruleout::check::rules(), ruleout::playbook::rules()].concat() {
        if with_a_unit.contains(&rule) || with_files.contains(&rule) || rule.code == "too-many-blocks" {
            continue;
        }
        for file in [format!("{}.playbook", rule.code), format!("{}.ok.playbook", rule.code)] {
            if !here.contains(&file) {
                writeln!(wrong, "there is no {file}").unwrap();
            }
        }
    }
    for file in &here {
        let code = file.split('.').next().unwrap();
        if !codes.contains(code) {
            writeln!(wrong, "{file} is a case of no rule").unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(all_rules().iter().any(|rule| rule.level == Level::Warning));
}

/// The bank is called as the unit's sheet calls it; where nothing tells, the author fills it in.
#[test]
fn a_bank_with_no_name_is_named_by_the_sheet() {
    let mut shop = Shop::open();
    let text = fs::read_to_string(cases().join("no-such-bank.ok.playbook")).unwrap();
    assert!(text.contains("each zone\n"), "{text}");
    let text = text.replace("each zone\n", "each\n");
    let told = |shop: &Shop| -> Vec<String> {
        let problems = shop.problems(&Source::new("slip", text.as_str()));
        problems
            .into_iter()
            .filter(|problem| problem.rule.code == "for-form")
            .filter_map(|problem| problem.instead)
            .collect()
    };
    assert_eq!(told(&shop), ["for      each zone"]);
    shop.banks[0].name = "deck".to_owned();
    assert_eq!(told(&shop), ["for      each deck"]);
    shop.banks.clear();
    assert_eq!(told(&shop), ["for      each NAME-OF-BANK"]);
}

/// A playbook of so many tests in a row, each leading to the next and to a repair of its own.
fn long_playbook(blocks: usize) -> String {
    let mut text = String::from(
        "playbook kettle-cold: Kettle stays cold\nsymptom  Kettle does not get hot\nrevised  2026-09-14\nfinish   test-0\n",
    );
    let tests = (blocks - 1) / 2;
    for at in 0..tests {
        let next = if at + 1 == tests { "ran-well".to_owned() } else { format!("test-{}", at + 1) };
        writeln!(text, "\ntest test-{at}: Look at part {at}\n  with     power live, covers on\n  ask      Is part {at} whole?\n  good     yes  go to {next}\n  if       no   go to mend-{at}").unwrap();
    }
    for at in 0..tests {
        writeln!(text, "\nrepair mend-{at}: Replace part {at}\n  with     power locked-out, covers off\n  part     Part {at}\n  do       Put part {at} in.\n  verify   test-{at}").unwrap();
    }
    for at in 2 * tests..blocks {
        let name = if at == 2 * tests { "ran-well".to_owned() } else { format!("hand-on-{at}") };
        writeln!(text, "\nescalate {name}: It works while you are there\n  to       lead\n  because  Every part is whole.\n  leave    power locked-out").unwrap();
    }
    text
}

/// The limit of blocks is ours. A file of 60,000 is told this one thing; one at the limit is checked like any other.
#[test]
fn a_thousand_blocks_and_no_more() {
    let shop = Shop::open();
    let told = |blocks: usize| -> Vec<String> {
        let problems = shop.problems(&Source::new("long.playbook", long_playbook(blocks)));
        problems.iter().map(|problem| format!("{} {}", problem.rule.code, problem.message)).collect()
    };
    assert_eq!(told(999), Vec::<String>::new());
    for blocks in [1_001, 60_000] {
        let problems = told(blocks);
        assert_eq!(problems.len(), 1, "{problems:#?}");
        assert!(problems[0].starts_with("too-many-blocks "), "{problems:#?}");
    }
    assert!(told(60_000)[0].contains("60,000 tests, repairs, adjusts and escalations; it may have 1,000"));
}

/// The danger suggested for live work is about what can hurt there, and itself reads well: with it written in, nothing is told.
#[test]
fn the_warning_suggested_fits_the_work() {
    let shop = Shop::open();
    let live = "power live, covers off";
    let gas = "danger  Gas can burn or explode:";
    let electric = "danger  Live parts will kill: keep hands out, touch only with the probes.";
    let wiring = "danger  Live parts behind this cover will kill: keep hands and tools out of the wiring.";
    let test = |with: &str, title: &str, measure: &str, limit: &str| {
        format!(
            "test load: {title}\n  with     {with}\n  measure  {measure}\n  good     above {limit}  go to ran-well\n  if       below {limit}  go to set-it\n\n\
             adjust set-it: Set it\n  with     power locked-out\n  do       Set it as marked.\n  verify   load\n"
        )
    };
    let adjust = |with: &str, title: &str, order: &str| {
        format!(
            "test load: Does it work?\n  with     power live, covers on\n  ask      Does it work?\n  good     yes  go to ran-well\n  if       no   go to set-it\n\n\
             adjust set-it: {title}\n  with     {with}\n  do       {order}\n  verify   load\n"
        )
    };
    let cases: [(String, &[&str]); 10] = [
        (test(live, "Volts at the element", "V AC across element", "200 V"), &[electric]),
        (test(live, "Inlet while it burns", "inWC at inlet", "5 inWC"), &[wiring, gas]),
        (
            test("power live, covers off, manometer on-inlet", "Inlet pressure", "psi at inlet", "0.2 psi"),
            &[wiring, gas],
        ),
        (test("power live, covers on, gas-cock open", "Valve volts", "V AC at valve", "20 V"), &[gas]),
        (test(live, "Suction pressure", "psi at suction", "20 psi"), &[wiring, "warning  Refrigerant under pressure"]),
        (test(live, "Volts at the hot gas valve", "V AC across valve", "20 V"), &[electric]),
        (test(live, "Rinse water pressure", "psi at rinse", "20 psi"), &[wiring]),
        (
            adjust("power live, covers on", "Light the pilot", "Hold a lit match at the pilot."),
            &["danger  Gas that has not lit can flash:"],
        ),
        (
            adjust("power live, covers on", "Turn the steam down", "Turn the steam knob to LOW."),
            &["warning  Hot parts and steam"],
        ),
        (
            adjust("power live, covers on", "Set the clock", "Set the clock to noon."),
            &["warning  WHAT-CAN-HURT: HOW-TO-KEEP-CLEAR."],
        ),
    ];
    for (blocks, wanted) in cases {
        let text = format!(
            "playbook kettle-cold: Kettle stays cold\nsymptom  Kettle does not get hot\nrevised  2026-09-14\nfinish   load\n\n{blocks}\n\
             escalate ran-well: It works\n  to       lead\n  because  Every reading was good.\n"
        );
        let problems = shop.problems(&Source::new("work.playbook", text.as_str()));
        let problem = problems.iter().find(|problem| problem.rule.code == "live-without-warning");
        let Some(problem) = problem else {
            // Covers on and nothing done to the power: no live work, and nothing to warn of.
            assert!(text.contains("covers on, gas-cock"), "{text}\n{problems:#?}");
            continue;
        };
        let instead = problem.instead.clone().unwrap();
        let lines: Vec<&str> = instead.lines().skip(1).map(str::trim).collect();
        assert_eq!(lines.len(), wanted.len(), "{text}\n{instead}");
        assert!(lines.iter().zip(wanted).all(|(line, want)| line.starts_with(want)), "{text}\n{instead}");
        let line = problem.place.source.line_span(problem.place.line()).range();
        let text = format!("{}{instead}{}", &text[..line.start], &text[line.end..]);
        let mended = shop.problems(&Source::new("work.playbook", text));
        let open = instead.contains("WHAT-CAN-HURT");
        let left: Vec<&str> = mended.iter().map(|p| p.rule.code).filter(|code| *code != "state-not-declared").collect();
        assert_eq!(left, if open { vec!["not-filled-in"] } else { vec![] }, "{instead}\n{mended:#?}");
    }
}
