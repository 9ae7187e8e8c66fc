//! `publish`, with the real program: the same pages from the same sources, whole or not at all, and text that stays text.

use super::command_line::GOOD;
use super::support::Kitchen;
use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

fn published() -> Kitchen {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen.run(&["publish"]).ends(0).says("index.html").says("ruleout walk");
    kitchen
}

#[test]
fn the_pages_in_the_project_are_those_of_its_playbooks() {
    let kitchen = published();
    let fresh = kitchen.files("site-out");
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("site-out");
    let names = |files: &[(PathBuf, Vec<u8>)]| files.iter().map(|(path, _)| path.clone()).collect::<Vec<_>>();
    let committed: Vec<(PathBuf, Vec<u8>)> = walkdir::WalkDir::new(&root)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| (entry.path().strip_prefix(&root).unwrap().to_owned(), std::fs::read(entry.path()).unwrap()))
        .collect();
    assert_eq!(names(&committed), names(&fresh), "publish again and commit site-out/");
    for ((path, there), (_, here)) in committed.iter().zip(&fresh) {
        assert!(there == here, "site-out/{} is not as published: publish again and commit it", path.display());
    }
}

#[test]
fn publishing_twice_gives_the_same_bytes_and_touches_nothing() {
    let (one, other) = (published(), published());
    assert_eq!(one.files("site-out"), other.files("site-out"));
    let page = one.path().join("site-out/index.html");
    let before = std::fs::metadata(&page).unwrap().modified().unwrap();
    one.run(&["publish"]).ends(0).says("0 new or changed");
    assert_eq!(std::fs::metadata(&page).unwrap().modified().unwrap(), before);
}

#[test]
fn with_an_error_anywhere_nothing_is_written() {
    let kitchen = Kitchen::new()
        .with("playbooks/a/dead.playbook", GOOD)
        .with("playbooks/a/bad.playbook", GOOD.replace("dead", "bad").replace("go to set-switch", "go to nowhere"));
    kitchen.run(&["publish"]).ends(2).says("Nothing was published").says("nowhere");
    assert!(kitchen.files("site-out").is_empty());
    // And with pages there, they stay as they are.
    kitchen.write("playbooks/a/bad.playbook", GOOD.replace("dead", "bad"));
    kitchen.run(&["publish"]).ends(0);
    let before = kitchen.files("site-out");
    kitchen.write("playbooks/a/bad.playbook", "test x\n");
    kitchen.run(&["publish"]).ends(2);
    assert_eq!(kitchen.files("site-out"), before);
}

#[test]
fn a_playbook_taken_away_takes_its_page_along_and_nothing_else() {
    let kitchen = Kitchen::new()
        .with("playbooks/a/dead.playbook", GOOD)
        .with("playbooks/a/other.playbook", GOOD.replace("playbook dead", "playbook other"));
    kitchen.run(&["publish"]).ends(0);
    kitchen.write("site-out/notes.txt", "ours");
    kitchen.write("site-out/other/photo.jpg", "ours too");
    std::fs::remove_file(kitchen.path().join("playbooks/a/other.playbook")).unwrap();
    kitchen.run(&["publish"]).ends(0).says("1 removed");
    let left: Vec<PathBuf> = kitchen.files("site-out").into_iter().map(|(path, _)| path).collect();
    for path in ["notes.txt", "other/photo.jpg", "dead/any.html"] {
        assert!(left.contains(&PathBuf::from(path)), "{path} is gone: {left:?}");
    }
    assert!(!left.contains(&PathBuf::from("other/any.html")));
}

#[test]
fn what_stands_in_the_way_is_told_and_left() {
    let kitchen = Kitchen::new().with("playbooks/dead.playbook", GOOD).with("site-out/index.html", "somebody else's");
    kitchen.run(&["publish"]).ends(1).says("index.html").says("did not write");
    assert_eq!(kitchen.read("site-out/index.html"), "somebody else's");
    assert_eq!(kitchen.files("site-out").len(), 1);
    Kitchen::new()
        .with("playbooks/dead.playbook", GOOD)
        .with("site-out", "a file")
        .run(&["publish"])
        .ends(1)
        .says("is a file");
    Kitchen::new().with("playbooks", "a file").run(&["publish"]).ends(1).says("is a file");
}

#[test]
#[cfg(unix)]
fn a_full_disk_leaves_the_old_pages_whole() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen.run(&["publish"]).ends(0);
    let before = kitchen.files("site-out");
    for (path, bytes) in kitchen.files("playbooks") {
        if path.extension().is_some_and(|ending| ending == "playbook") {
            let text = String::from_utf8(bytes)
                .unwrap()
                .replace("revised  2026-", "revised  2025-")
                .replace("revised   2026-", "revised   2025-");
            kitchen.write(&Path::new("playbooks").join(&path).to_string_lossy(), text);
        }
    }
    // A limit on the size of a file stands for a disk that takes no more: the pages are larger than 16 blocks of 512 bytes.
    let program = env!("CARGO_BIN_EXE_ruleout");
    let told = std::process::Command::new("sh")
        .args(["-c", &format!("trap '' XFSZ; ulimit -f 16; exec '{program}' publish")])
        .current_dir(kitchen.path())
        .output()
        .unwrap();
    let err = String::from_utf8_lossy(&told.stderr);
    assert_eq!(told.status.code(), Some(1), "{err}");
    assert!(err.contains("as they were"), "{err}");
    assert_eq!(kitchen.files("site-out"), before);
    // With room again, the next run makes it whole.
    kitchen.run(&["publish"]).ends(0);
    assert!(kitchen.read("site-out/cabinet-dead/holding-cabinet-208.html").contains("2025-"));
}

/// Markup in every text a playbook or shop sheet can hold.
const HOSTILE: &str = r#"<script>alert(1)</script><img src=x onerror=alert(2)>"'&{{ 7 * 7 }}"#;

fn hostile() -> Kitchen {
    let playbook = format!(
        "\
playbook dead: {HOSTILE}
unit     some-unit
symptom  {HOSTILE}
revised  2026-09-14
finish   lamp, volts

test lamp: {HOSTILE}
  with     power live, covers on
  tools    {HOSTILE}
  danger   Live parts will kill: keep out. {HOSTILE}
  do       {HOSTILE}
  wait     5 minutes or until {HOSTILE}
  picture  shot.svg: {HOSTILE}
  why      {HOSTILE}
  ask      {HOSTILE}
  good     yes {HOSTILE}  go to volts
  if       no {HOSTILE}   go to set-switch

test volts: {HOSTILE}
  with     power live, covers off
  danger   208 V live parts kill: keep out.
  warning  {HOSTILE}
  measure  V AC from L1 to L2
  good     normal        go to other-complaint
  if       below normal  go to set-switch
  if       above normal  go to other-complaint

repair set-switch: {HOSTILE}
  with     power locked-out
  part     {HOSTILE}
  notice   {HOSTILE}
  do       {HOSTILE}
  verify   lamp
  leave    power locked-out, because {HOSTILE}

escalate other-complaint: {HOSTILE}
  to       lead
  because  {HOSTILE}
"
    );
    let quoted = HOSTILE.replace('\'', "''");
    let shop = format!("shop: 'Shop {quoted}'\nlocal codes: 'Codes {quoted}'\nclosing:\n  - 'Close {quoted}'\n");
    Kitchen::new()
        .with("playbooks/x/dead.playbook", playbook)
        .with("playbooks/x/shot.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>")
        .with("playbooks/shop.yaml", shop)
}

#[test]
fn text_never_becomes_markup() {
    let kitchen = hostile();
    kitchen.run(&["publish"]).ends(0);
    let mut pages = 0;
    for (path, bytes) in kitchen.files("site-out") {
        if path.extension().is_none_or(|ending| ending != "html") {
            continue;
        }
        pages += 1;
        let text = String::from_utf8(bytes).unwrap();
        for word in ["<script", "<img src=x", "<img src=\"x\"", "onerror=alert(2)>", ">49"] {
            assert!(!text.contains(word), "{word:?} in {}", path.display());
        }
    }
    assert!(pages >= 3);
    let page = kitchen.read("site-out/dead/some-unit.html");
    assert!(page.matches("&lt;script&gt;").count() > 15, "the texts are not on the page");
}

type Tag = (String, Vec<(String, String)>, bool);

/// Every tag of a page: its name, its attributes with their values, whether it closes.
fn tags(html: &str) -> Vec<Tag> {
    let mut tags = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        if rest.starts_with('!') {
            continue;
        }
        let end = rest.find('>').expect("a tag ends");
        let inside = &rest[..end];
        let closes = inside.starts_with('/');
        let inside = inside.trim_start_matches('/').trim_end_matches('/');
        let (name, mut attributes) = inside.split_once(char::is_whitespace).unwrap_or((inside, ""));
        let mut found = Vec::new();
        while let Some((key, tail)) = attributes.split_once('=') {
            let tail = tail.strip_prefix('"').unwrap_or_else(|| panic!("an attribute without quotes in <{inside}>"));
            let (value, tail) = tail.split_once('"').expect("a quote ends");
            found.push((key.trim().to_owned(), value.replace("&#x2f;", "/")));
            attributes = tail;
        }
        tags.push((name.trim().to_owned(), found, closes));
        rest = &rest[end + 1..];
    }
    tags
}

const EMPTY: [&str; 6] = ["meta", "link", "img", "br", "hr", "input"];

#[test]
fn pages_are_well_formed_and_keep_the_content_policy() {
    for kitchen in [published(), hostile()] {
        kitchen.run(&["publish"]).ends(0);
        for (path, bytes) in kitchen.files("site-out") {
            if path.extension().is_none_or(|ending| ending != "html") {
                continue;
            }
            let text = String::from_utf8(bytes).unwrap();
            let mut open: Vec<String> = Vec::new();
            let mut ids = BTreeSet::new();
            for (name, attributes, closes) in tags(&text) {
                assert!(name != "script" && name != "style" && name != "iframe", "<{name}> in {}", path.display());
                for (key, value) in &attributes {
                    assert!(key != "style" && !key.starts_with("on"), "{key} in {}", path.display());
                    assert!(
                        key != "id" || ids.insert(value.clone()),
                        "the address #{value} twice in {}",
                        path.display()
                    );
                }
                if closes {
                    assert_eq!(open.pop().as_deref(), Some(name.as_str()), "in {}", path.display());
                } else if !EMPTY.contains(&name.as_str()) {
                    open.push(name);
                }
            }
            assert!(open.is_empty(), "{open:?} not closed in {}", path.display());
            assert!(text.contains("default-src 'none'") && text.contains("lang=\"en\""), "{}", path.display());
        }
    }
}

#[test]
fn every_link_leads_somewhere_and_stays_inside() {
    let kitchen = published();
    let root = kitchen.path().join("site-out");
    let mut followed = 0;
    for (path, bytes) in kitchen.files("site-out") {
        if path.extension().is_none_or(|ending| ending != "html") {
            continue;
        }
        let text = String::from_utf8(bytes).unwrap();
        for (_, attributes, _) in tags(&text) {
            for (_, link) in attributes.iter().filter(|(key, _)| key == "href" || key == "src") {
                assert!(!link.contains(':') && !link.starts_with('/'), "{link} in {} is not relative", path.display());
                let (file, anchor) = link.split_once('#').unwrap_or((link, ""));
                let target = if file.is_empty() { path.clone() } else { path.parent().unwrap().join(file) };
                let mut inside = PathBuf::new();
                for part in target.components() {
                    match part {
                        Component::ParentDir => assert!(inside.pop(), "{link} in {} leads out", path.display()),
                        other => inside.push(other),
                    }
                }
                let there = std::fs::read_to_string(root.join(&inside));
                let there = there.unwrap_or_else(|_| panic!("{link} in {} leads nowhere", path.display()));
                assert!(
                    anchor.is_empty() || there.contains(&format!("id=\"{anchor}\"")),
                    "{link} in {} has no place to land",
                    path.display()
                );
                followed += 1;
            }
        }
    }
    assert!(followed > 300, "only {followed} links");
}

#[test]
fn two_playbooks_with_one_name_are_told_with_both_files() {
    Kitchen::new()
        .with("playbooks/a/dead.playbook", GOOD)
        .with("playbooks/b/dead.playbook", GOOD)
        .run(&["publish"])
        .ends(2)
        .says("a/dead.playbook")
        .says("b/dead.playbook");
}

#[test]
fn names_that_would_leave_the_folder_are_refused() {
    for name in ["../dead", "a/b", "..", "con", "Dead"] {
        let kitchen =
            Kitchen::new().with("playbooks/x.playbook", GOOD.replace("playbook dead", &format!("playbook {name}")));
        kitchen.run(&["publish"]).ends(2).never_says("panicked");
        assert!(kitchen.files("site-out").is_empty(), "{name}");
    }
    let unit = GOOD.replace("symptom ", "unit     ../../x\nsymptom ");
    Kitchen::new().with("playbooks/x.playbook", unit).run(&["publish"]).ends(2);
}

#[test]
fn doubled_and_empty_keys_of_the_shop_sheet_are_told() {
    for (sheet, words) in [
        ("shop: A\nshop: B\n", "shop"),
        ("shop:\n", "shop"),
        ("shop: null\n", "shop"),
        ("shopp: A\n", "shop"),
        ("shop: Press button #3\n", "#"),
    ] {
        let kitchen = Kitchen::new().with("playbooks/dead.playbook", GOOD).with("playbooks/shop.yaml", sheet);
        kitchen.run(&["publish"]).ends(2).says("shop.yaml").says(words).never_says("panicked");
    }
}
