//! The site folder is always whole, and nothing in it that Ruleout did not write is touched.

use crate::support::Kitchen;
use ruleout::site::manifest::{Fingerprint, MANIFEST, Manifest};
use ruleout::site::publisher::{Published, Publisher};
use std::fs;
use std::path::{Path, PathBuf};

/// Publishes these files, each made from itself.
fn publish(root: &Path, files: &[(&str, &str)]) -> Result<Published, String> {
    publish_with(root, files, false)
}

fn publish_with(root: &Path, files: &[(&str, &str)], overwrite: bool) -> Result<Published, String> {
    let publisher = Publisher::begin(root, overwrite, Manifest::default()).map_err(|error| error.to_string())?;
    for (path, text) in files {
        publisher.put(path, text.as_bytes(), Fingerprint::of(text.as_bytes())).map_err(|error| error.to_string())?;
    }
    publisher.finish().map(|(published, _)| published).map_err(|error| error.to_string())
}

fn has(kitchen: &Kitchen, path: &str) -> bool {
    kitchen.path().join(path).exists()
}

fn done(written: usize, unchanged: usize, removed: usize) -> Result<Published, String> {
    Ok(Published { written, unchanged, removed })
}

fn site(kitchen: &Kitchen) -> PathBuf {
    kitchen.path().join("site")
}

const ONE: [(&str, &str); 3] = [("index.html", "index"), ("a/any.html", "a"), ("b/any.html", "b")];

#[test]
fn only_what_changed_is_written_and_only_ours_is_removed() {
    let kitchen = Kitchen::new();
    let root = site(&kitchen);
    assert_eq!(publish(&root, &ONE), done(3, 0, 0));
    kitchen.write("site/notes.txt", "mine");
    kitchen.write("site/b/photo.jpg", "mine");
    let before = fs::metadata(root.join("a/any.html")).unwrap().modified().unwrap();
    assert_eq!(publish(&root, &[("index.html", "new index"), ("a/any.html", "a")]), done(1, 1, 1));
    assert_eq!(fs::metadata(root.join("a/any.html")).unwrap().modified().unwrap(), before);
    assert_eq!(kitchen.read("site/index.html"), "new index");
    assert!(!has(&kitchen, "site/b/any.html"));
    assert!(has(&kitchen, "site/b/photo.jpg") && has(&kitchen, "site/notes.txt"));
    assert!(!has(&kitchen, "site/.ruleout-new"));
    // A folder that is empty for it goes with its last page.
    assert_eq!(publish(&root, &[("index.html", "new index")]), done(0, 1, 1));
    assert!(!has(&kitchen, "site/a"));
}

#[test]
fn what_stands_in_the_way_is_told_and_nothing_is_written() {
    let new: [(&str, &str); 3] = [("index.html", "changed"), ("a/any.html", "a"), ("c/any.html", "c")];
    type Setup = fn(&Kitchen);
    let cases: [(&str, Setup, &str); 5] = [
        (
            "somebody's file",
            |kitchen| kitchen.write("site/c/any.html", "mine"),
            "c/any.html: a file stands there that Ruleout did not write",
        ),
        ("a folder", |kitchen| kitchen.write("site/c/any.html/x", "mine"), "c/any.html: a folder stands there"),
        (
            "a file for a folder",
            |kitchen| kitchen.write("site/c", "mine"),
            "c/any.html: a file stands where its folder should be",
        ),
        ("edited by hand", |kitchen| kitchen.write("site/index.html", "by hand"), "index.html: it was edited by hand"),
        (
            "edited and no longer wanted",
            |kitchen| kitchen.write("site/b/any.html", "by hand"),
            "b/any.html: it is no longer published, but it was edited",
        ),
    ];
    for (what, setup, want) in cases {
        let kitchen = Kitchen::new();
        publish(&site(&kitchen), &ONE).unwrap();
        setup(&kitchen);
        let before = kitchen.files("site");
        let error = publish(&site(&kitchen), &new).unwrap_err();
        assert!(error.contains(want), "{what}: {error}");
        assert_eq!(kitchen.files("site"), before, "{what}");
        assert!(!has(&kitchen, "site/.ruleout-new"), "{what}");
    }
}

#[cfg(unix)]
#[test]
fn links_are_not_followed_out_of_the_folder() {
    use std::os::unix::fs::symlink;
    let kitchen = Kitchen::new().with("elsewhere/any.html", "mine");
    publish(&site(&kitchen), &[("index.html", "index")]).unwrap();
    symlink(kitchen.path().join("elsewhere"), site(&kitchen).join("a")).unwrap();
    let error = publish(&site(&kitchen), &ONE).unwrap_err();
    assert!(error.contains("a/any.html: its folder is a link"), "{error}");
    fs::remove_file(site(&kitchen).join("a")).unwrap();
    fs::create_dir(site(&kitchen).join("a")).unwrap();
    symlink(kitchen.path().join("elsewhere/any.html"), site(&kitchen).join("a/any.html")).unwrap();
    let error = publish(&site(&kitchen), &ONE).unwrap_err();
    assert!(error.contains("a/any.html: a link stands there"), "{error}");
    assert_eq!(kitchen.read("elsewhere/any.html"), "mine");
    // A page of ours that was replaced by a link is not removed through it either.
    let kitchen = Kitchen::new().with("elsewhere/any.html", "a");
    publish(&site(&kitchen), &ONE).unwrap();
    fs::remove_dir_all(site(&kitchen).join("a")).unwrap();
    symlink(kitchen.path().join("elsewhere"), site(&kitchen).join("a")).unwrap();
    assert_eq!(publish(&site(&kitchen), &[("index.html", "index"), ("b/any.html", "b")]), done(0, 2, 0));
    assert_eq!(kitchen.read("elsewhere/any.html"), "a");
}

#[test]
fn a_page_edited_by_hand_is_written_over_only_when_asked() {
    let kitchen = Kitchen::new();
    publish(&site(&kitchen), &ONE).unwrap();
    kitchen.write("site/index.html", "by hand");
    assert!(publish(&site(&kitchen), &ONE).is_err());
    assert_eq!(publish_with(&site(&kitchen), &ONE, true), done(1, 2, 0));
    assert_eq!(kitchen.read("site/index.html"), "index");
    // Edited to exactly what is published now: nothing to lose.
    kitchen.write("site/index.html", "next");
    assert_eq!(publish(&site(&kitchen), &[("index.html", "next"), ONE[1], ONE[2]]), done(0, 3, 0));
}

#[test]
fn addresses_that_leave_the_folder_or_meet_are_refused() {
    for (files, want) in [
        (vec![("../x.html", "x")], "no page can have this address"),
        (vec![("a/../../x.html", "x")], "no page can have this address"),
        (vec![("a.html", "x"), ("a.html", "y")], "two pages want this address"),
        (vec![("published.json", "x")], "no page can have this address"),
    ] {
        let kitchen = Kitchen::new();
        let error = publish(&site(&kitchen), &files).unwrap_err();
        assert!(error.contains(want), "{error}");
        assert!(!has(&kitchen, "site") && !has(&kitchen, "x.html"));
    }
}

#[test]
fn a_file_for_the_site_folder_and_a_damaged_list_are_told() {
    let kitchen = Kitchen::new().with("site", "a file");
    assert!(publish(&site(&kitchen), &ONE).unwrap_err().contains("is a file; the pages need a folder"));
    let kitchen = Kitchen::new().with("site/published.json", "{\"files\": {\n\"a\"");
    assert!(publish(&site(&kitchen), &ONE).unwrap_err().contains("is damaged: line 2 of it cannot be read"));
    assert_eq!(kitchen.files("site").len(), 1);
}

/// A run that was stopped between two renames: some pages new, the list still the old one.
#[test]
fn a_run_that_was_cut_off_is_taken_up_by_the_next() {
    let kitchen = Kitchen::new();
    publish(&site(&kitchen), &ONE).unwrap();
    let new = [("index.html", "new"), ("a/any.html", "a2"), ("c/any.html", "c")];
    let written = |text: &str| Fingerprint::of(text.as_bytes());
    let list = Manifest { files: new.iter().map(|(path, text)| ((*path).to_owned(), written(text))).collect() };
    kitchen.write(&format!("site/.ruleout-new/{MANIFEST}"), list.text());
    kitchen.write("site/.ruleout-new/2.part", "half a pa");
    kitchen.write("site/index.html", "new");
    kitchen.write("site/c/any.html", "c");
    // The sources have changed once more since.
    let newer = [("index.html", "newer"), ("a/any.html", "a2"), ("c/any.html", "c2")];
    assert_eq!(publish(&site(&kitchen), &newer), done(3, 0, 1));
    assert_eq!(kitchen.read("site/c/any.html"), "c2");
    assert!(!has(&kitchen, "site/.ruleout-new") && !has(&kitchen, "site/b"));
    assert_eq!(publish(&site(&kitchen), &newer), done(0, 3, 0));
}

/// A page that has gone missing is made again, beside one of the same playbook that is kept.
#[test]
fn one_page_of_two_is_made_again() {
    let kitchen = Kitchen::new()
        .with("playbooks/lamps/lamp-out.playbook", super::pages::LAMP.replace("lamp-120", "lamp-120, lamp-240"));
    assert_eq!(kitchen.run(&["publish"]).code, 0);
    let before = kitchen.files("site-out");
    fs::remove_file(kitchen.path().join("site-out/lamp-out/lamp-240.html")).unwrap();
    let told = kitchen.run(&["publish"]);
    assert_eq!(told.code, 0, "{}{}", told.out, told.err);
    assert!(kitchen.files("site-out") == before);
}

#[test]
fn a_picture_that_acts_or_lies_elsewhere_is_refused() {
    for (file, want) in [("door.svg", "holds `<script`"), ("../door.svg", "own folder"), ("door.png", "not the kind")] {
        let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>x</script></svg>";
        let kitchen = Kitchen::new().with("playbooks/lamps/door.svg", drawing).with("playbooks/door.svg", drawing);
        kitchen.write("playbooks/lamps/door.png", drawing);
        let picture = format!("  picture    {file}: The lamp from below\n  ask        What does the lamp do?");
        let text = super::pages::LAMP.replace("  ask        What does the lamp do?", &picture);
        kitchen.write("playbooks/lamps/lamp-out.playbook", text);
        let told = kitchen.run(&["publish"]);
        assert!(told.code != 0, "{}{}", told.out, told.err);
        assert!(format!("{}{}", told.out, told.err).contains(want), "{file}: {}{}", told.out, told.err);
        assert!(!has(&kitchen, "site-out"));
    }
}

/// The files of pictures are looked at by `check` too: with a code, a place, and the file that was meant.
#[test]
fn pictures_are_looked_at_where_they_lie() {
    let lamp = super::pages::LAMP;
    let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0\"/></svg>";
    let acts = "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>x</script></svg>";
    for (file, code, want) in [
        ("door.svg", "", ""),
        ("drawings/latch.svg", "", ""),
        ("dor.svg", "no-such-picture", "Did you mean `door.svg`?"),
        ("latch.svg", "no-such-picture", "Write instead: picture    drawings/latch.svg: The lamp from below"),
        ("lamp.jpg", "no-such-picture", "Put it into the same folder."),
        ("acts.svg", "not-a-picture", "holds `<script`"),
        ("door.png", "not-a-picture", "not the kind its ending"),
        ("notes.txt", "not-a-picture", "A picture is a file ending in"),
    ] {
        let kitchen = Kitchen::new().with("playbooks/lamps/door.svg", drawing).with("playbooks/lamps/acts.svg", acts);
        kitchen.write("playbooks/lamps/drawings/latch.svg", drawing);
        kitchen.write("playbooks/lamps/door.png", drawing);
        kitchen.write("playbooks/lamps/notes.txt", "a note");
        let picture = format!("  picture    {file}: The lamp from below\n  ask        What does the lamp do?");
        let text = lamp.replace("  ask        What does the lamp do?", &picture);
        kitchen.write("playbooks/lamps/lamp-out.playbook", &text);
        let line = text.lines().position(|line| line.contains("picture")).unwrap() + 1;
        let told = kitchen.run(&["check"]).ends(if code.is_empty() { 0 } else { 2 });
        if code.is_empty() {
            told.never_says("picture");
        } else {
            told.says(code).says(want).says(&format!("lamp-out.playbook, line {line}"));
        }
        // A walk in the terminal shows no pictures, and is not held up by one.
        assert_ne!(kitchen.typed(&["walk", "playbooks/lamps/lamp-out.playbook"], "").code, 2, "{file}");
    }
}

/// A playbook that has not changed is not read in full again; its warnings are told all the same, and so is what the sheets change.
#[test]
fn what_has_not_changed_is_told_again() {
    let kitchen = Kitchen::new().with("playbooks/lamps/lamp-out.playbook", super::pages::LAMP);
    let worse = super::pages::LAMP.replace("Take the lamp out.", "Take the lamp out and then put it down.");
    kitchen.write("playbooks/lamps/worse.playbook", worse.replace("lamp-out", "lamp-worse"));
    let told = |of: &str| kitchen.run(&["publish"]).out.matches(of).count();
    let first = told("two-actions");
    assert!(first > 0);
    assert_eq!(told("two-actions"), first);
    assert_eq!(told("0 new or changed, 5 as they were"), 1);
    // The shop is on both pages, the index and the guide.
    kitchen.write("playbooks/shop.yaml", "shop: Ninebark\n");
    assert_eq!(told("4 new or changed"), 1);
    // With an error in one, nothing of the other is changed.
    let before = kitchen.files("site-out");
    kitchen.write("playbooks/lamps/worse.playbook", "playbook lamp-worse: Nothing\n");
    kitchen.write("playbooks/lamps/lamp-out.playbook", super::pages::LAMP.replace("Switch it on", "Turn it on"));
    assert_eq!(kitchen.run(&["publish"]).code, 2);
    assert!(kitchen.files("site-out") == before);
}

#[test]
fn a_page_is_kept_only_where_it_stands_and_is_known_to_be_made_from_the_same() {
    let kitchen = Kitchen::new();
    let (old, new) = (Fingerprint::of(b"the playbook"), Fingerprint::of(b"the playbook, edited"));
    let first = Publisher::begin(&site(&kitchen), false, Manifest::default()).unwrap();
    assert!(first.starts_anew() && !first.keep("a/any.html", old));
    first.put("a/any.html", b"page", old).unwrap();
    let (_, made_from) = first.finish().unwrap();
    let asks = |made_from: &Manifest, inputs| {
        Publisher::begin(&site(&kitchen), false, made_from.clone()).unwrap().keep("a/any.html", inputs)
    };
    assert!(asks(&made_from, old));
    assert!(!asks(&made_from, new), "made from something else");
    assert!(!asks(&Manifest::default(), old), "nobody knows what it was made from");
    kitchen.write("site/a/any.html", "edited by hand");
    assert!(!asks(&made_from, old), "it does not stand as written");
    // The list that is committed says nothing of the program or the sources.
    assert!(!fs::read_to_string(site(&kitchen).join(MANIFEST)).unwrap().contains(&String::from(old)));
}
