//! The command line, and files that are no playbooks: always a clear message or a right result, never a panic.

use super::support::Kitchen;

/// A playbook with nothing wrong, in the smallest form.
pub const GOOD: &str = "\
playbook dead: Cabinet is dead
symptom  Nothing comes on
revised  2026-09-14
finish   lamp

test lamp: Power lamp
  with    power live, covers on
  ask     Is the power lamp lit?
  good    yes  go to other-complaint
  if      no   go to set-switch

adjust set-switch: Turn the main switch on
  with    power locked-out
  do      Turn the main switch on.
  verify  lamp

escalate other-complaint: It is not this complaint
  to       lead
  because  The cabinet has power.
";

#[test]
fn a_good_playbook_is_clean() {
    Kitchen::new().with("playbooks/dead.playbook", GOOD).run(&["check"]).ends(0).says("1 file");
}

#[test]
fn byte_order_mark_and_line_ends_of_other_systems_are_read() {
    let crlf = format!("\u{feff}{}", GOOD.replace('\n', "\r\n"));
    Kitchen::new().with("playbooks/dead.playbook", crlf).run(&["check"]).ends(0);
}

#[test]
fn files_that_are_no_playbooks() {
    let long_line = format!("{GOOD}\nescalate long: {}\n", "x".repeat(100_000));
    let cases: &[(&str, &[u8], &str)] = &[
        ("binary", b"\x7fELF\x02\x01\x01\0\0\0", "not a text file"),
        ("utf-16", b"\xff\xfep\0l\0", "UTF-16"),
        ("latin-1", b"playbook a: 180 \xb0F\n", "not UTF-8"),
        ("empty", b"", "no playbook in this file"),
        ("blank", b"\n\n  \n", "no playbook in this file"),
        ("comments", b"# nothing here\n", "no playbook in this file"),
        ("long-line", long_line.as_bytes(), "characters"),
    ];
    for (name, bytes, words) in cases {
        let kitchen = Kitchen::new().with("playbooks/one.playbook", bytes);
        let told = kitchen.run(&["check"]);
        assert_eq!(told.code, 2, "{name}: {}{}", told.out, told.err);
        assert!(told.out.len() < 20_000, "{name}: the whole file is printed back");
        told.says(words).never_says("panicked");
    }
}

#[test]
fn a_file_of_ten_megabytes_is_refused_by_its_size() {
    let large = GOOD.repeat(10_000_000 / GOOD.len());
    Kitchen::new().with("playbooks/one.playbook", large).run(&["check"]).ends(2).says("over 1 MB");
}

#[test]
fn where_the_text_stops_being_utf8_is_said() {
    let bytes = [GOOD.as_bytes(), b"# 180 \xb0F\n"].concat();
    let line = GOOD.lines().count() + 1;
    Kitchen::new().with("playbooks/one.playbook", bytes).run(&["check"]).ends(2).says(&format!("Line {line}"));
}

#[test]
fn a_file_where_a_folder_is_expected_and_nothing_at_all() {
    let kitchen = Kitchen::new().with("playbooks", "a file");
    kitchen.run(&["check", "nowhere"]).ends(1).says("There is no file or folder nowhere");
    kitchen.run(&["check", "--colour"]).ends(1);
    kitchen.run(&["--help"]).ends(0).says("Local codes");
    kitchen.run(&[]).ends(1);
}

/// A folder of one equipment family goes by the sheets further up.
#[test]
fn a_folder_below_the_shop_sheet_is_checked_by_it() {
    let shop = include_str!("../../playbooks/shop.yaml");
    let unit = include_str!("../../playbooks/units/ice-machine-208.yaml");
    let playbook = include_str!("../../playbooks/ice-machine/high-pressure.playbook");
    let kitchen = Kitchen::new()
        .with("playbooks/shop.yaml", shop)
        .with("playbooks/units/ice-machine-208.yaml", unit)
        .with("playbooks/ice-machine/high-pressure.playbook", playbook)
        .with("playbooks/other/dead.playbook", "playbook dead: Not asked for\n");
    kitchen.run(&["check", "playbooks/ice-machine"]).ends(0).says("Nothing wrong in 1 file");
    kitchen.run(&["check", "playbooks"]).ends(2).says("dead.playbook");
}

#[test]
#[cfg(unix)]
fn a_ring_of_links_is_told_and_the_rest_is_checked() {
    let kitchen = Kitchen::new().with("playbooks/a/dead.playbook", GOOD);
    std::os::unix::fs::symlink("..", kitchen.path().join("playbooks/a/ring")).unwrap();
    std::os::unix::fs::symlink("missing", kitchen.path().join("playbooks/a/lost.playbook")).unwrap();
    kitchen.run(&["check"]).ends(2).says("leads back").says("lost.playbook").never_says("panicked");
}

#[test]
fn one_bad_playbook_hides_nothing_of_another() {
    let bad = GOOD.replace("go to set-switch", "go to set-swich").replace("playbook dead", "playbook other");
    Kitchen::new()
        .with("playbooks/a.playbook", &bad)
        .with("playbooks/b.playbook", bad.replace("other", "third").replace("  if ", "  iff "))
        .run(&["check"])
        .ends(2)
        .says("a.playbook")
        .says("b.playbook")
        .says("set-switch");
}

#[test]
fn a_single_playbook_is_checked_with_the_shop_sheet_above_it() {
    let kitchen = Kitchen::new()
        .with("playbooks/cabinet/dead.playbook", GOOD)
        .with("playbooks/cabinet/broken.playbook", "playbook broken: x\n");
    kitchen.run(&["check", "playbooks/cabinet/dead.playbook"]).ends(0).never_says("broken");
}

#[test]
fn power_off_is_answered_with_locked_out_and_never_with_live() {
    let off = GOOD.replace("power live, covers on", "power off, covers off");
    Kitchen::new()
        .with("playbooks/dead.playbook", off)
        .run(&["check"])
        .ends(2)
        .says("never `off`")
        .says("with    power locked-out, covers off")
        .never_says("power live, covers off");
}

#[test]
fn a_playbook_is_found_however_its_path_is_written() {
    let bad = GOOD.replace("go to set-switch", "go to set-swich");
    let kitchen = Kitchen::new()
        .with("playbooks/cabinet/dead.playbook", &bad)
        .with("playbooks/cabinet/notes.txt", "call back on Monday")
        .with("playbooks/shop.yaml", "shop: Some Shop\n");
    let own = kitchen.path().join("playbooks/cabinet");
    let whole = own.join("dead.playbook").to_string_lossy().into_owned();
    for name in ["dead.playbook", "./dead.playbook", "../cabinet/dead.playbook", whole.as_str()] {
        let told = kitchen.command(&["check", name]).current_dir(&own).output().unwrap();
        let out = String::from_utf8_lossy(&told.stdout).into_owned();
        assert_eq!((told.status.code(), out.contains("set-swich")), (Some(2), true), "{name}: {out}");
    }
    kitchen.write("playbooks/cabinet/dead.playbook", GOOD);
    for name in ["dead.playbook", "./dead.playbook", whole.as_str()] {
        let told =
            kitchen.command(&["walk", name]).current_dir(&own).stdin(std::process::Stdio::null()).output().unwrap();
        let out = String::from_utf8_lossy(&told.stdout).into_owned();
        assert!(out.contains("Cabinet is dead") && !out.contains("can't be walked"), "{name}: {out}");
    }
    kitchen.write("playbooks/cabinet/dead.playbook", &bad);
    // What is no playbook is not passed over as clean.
    kitchen.run(&["check", "playbooks/cabinet/notes.txt"]).ends(1).says("is not a playbook");
    // A sheet stands for its folder, and the shop sheet above one's own folder counts.
    kitchen.run(&["check", "playbooks/shop.yaml"]).ends(2).says("set-swich");
    kitchen.write("playbooks/shop.yaml", "shopp: Some Shop\n");
    let told = kitchen.command(&["check", "dead.playbook"]).current_dir(&own).output().unwrap();
    assert!(String::from_utf8_lossy(&told.stdout).contains("shopp"), "the shop sheet above was not read");
}

#[test]
fn a_walk_goes_by_the_sheet_of_the_unit_one_stands_at() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    let booster = "playbooks/booster/booster-cold.playbook";
    kitchen.run(&["walk", booster]).ends(1).says("`booster-208` and `booster-240`").says("--unit");
    kitchen.run(&["walk", booster, "--unit", "toaster"]).ends(1).says("not for `toaster`");
    let told = kitchen.run(&["walk", booster, "--unit", "booster-240"]).ends(0);
    told.says("booster-240").never_says("booster-208");
    // Stored energy stands on the unit sheet alone: it is part of locking out.
    kitchen
        .typed(&["walk", "playbooks/holding-cabinet/cabinet-dead.playbook"], "dead\nyes\n\nnothing\n")
        .ends(0)
        .says("Let the elements cool");
}

#[test]
fn the_sheets_are_found_from_inside_the_folder() {
    let kitchen = Kitchen::new().with_folder("playbooks", "kitchen");
    for name in ["kitchen/booster/booster-cold.playbook", "kitchen/shop.yaml"] {
        assert!(kitchen.path().join(name).is_file(), "{name}");
    }
    // A slip only a sheet can tell.
    let text = kitchen.read("kitchen/booster/booster-cold.playbook").replacen("from C4", "from C9", 1);
    kitchen.write("kitchen/booster/booster-cold.playbook", text);
    let inside = |below: &str, words: &[&str]| {
        let mut command = kitchen.command(words);
        let out = command.current_dir(kitchen.path().join(below)).output().unwrap();
        String::from_utf8(out.stdout).unwrap()
    };
    for (below, asked) in [
        ("", "kitchen"),
        ("", "kitchen/booster"),
        ("kitchen", "."),
        ("kitchen", "booster"),
        ("kitchen", "booster/booster-cold.playbook"),
        ("kitchen/booster", "."),
        ("kitchen/booster", "booster-cold.playbook"),
    ] {
        let told = inside(below, &["check", asked]);
        assert!(told.contains("has no point `C9`"), "in {below}/: check {asked}: {told}");
    }
    // Without a shop sheet the folder of the unit sheets shows where the kitchen begins.
    std::fs::remove_file(kitchen.path().join("kitchen/shop.yaml")).unwrap();
    assert!(inside("kitchen/booster", &["check", "."]).contains("has no point `C9`"));
}

#[test]
fn what_was_not_looked_at_is_said() {
    let on_a_unit = GOOD.replace("symptom", "unit  kettle-9\nsymptom");
    Kitchen::new()
        .with("playbooks/a/dead.playbook", on_a_unit)
        .run(&["check"])
        .ends(0)
        .says("No sheet in playbooks/units for `kettle-9`");
    Kitchen::new().with("playbooks/a/dead.playbook", GOOD).run(&["check"]).ends(0).never_says("No sheet");
}

#[test]
fn a_folder_without_playbooks_is_no_good_folder() {
    let kitchen = Kitchen::new().with("playbooks/a/dead.txt", GOOD);
    for words in [["check", "playbooks"], ["publish", "playbooks"], ["shakedown", "playbooks"]] {
        kitchen
            .run(&words)
            .ends(1)
            .says("no playbook in playbooks")
            .says("Rename playbooks/a/dead.txt to playbooks/a/dead.playbook");
    }
}

/// Only a playbook has `accept` lines: of advice on a sheet none is offered.
#[test]
fn advice_on_a_sheet_offers_no_accept_line() {
    let kitchen = Kitchen::new();
    kitchen.run(&["rule", "long-title"]).ends(0).says("accept long-title:");
    kitchen.run(&["rule", "usual-faults"]).ends(0).says("advice on a sheet").never_says("accept usual-faults");
}
