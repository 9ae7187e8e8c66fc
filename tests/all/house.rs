//! The house itself: floors, and documents that say what is so.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap()
}

/// The floors as DEVELOPERS.md has them: room → floor.
fn floors() -> BTreeMap<String, u32> {
    read("DEVELOPERS.md")
        .lines()
        .filter_map(|line| {
            let mut cells = line.strip_prefix("| ")?.split(" | ");
            let floor = cells.next()?.trim().parse().ok()?;
            let room = cells.next()?.trim().trim_matches('`').trim_end_matches('/').to_owned();
            Some((room, floor))
        })
        .collect()
}

fn sources(below: &Path) -> Vec<PathBuf> {
    walkdir::WalkDir::new(below)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .map(|entry| entry.into_path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        .collect()
}

#[test]
fn nothing_imports_upwards() {
    let floors = floors();
    let mut slips = Vec::new();
    for path in sources(&root().join("src")) {
        let below = path.strip_prefix(root().join("src")).unwrap();
        let Some(room) = below.components().next().map(|c| c.as_os_str().to_string_lossy().into_owned()) else {
            continue;
        };
        let Some(floor) = floors.get(&room) else { continue };
        let text = std::fs::read_to_string(&path).unwrap();
        for (at, line) in text.lines().enumerate().filter(|(_, line)| !line.trim_start().starts_with("//")) {
            for used in line.split("crate::").skip(1) {
                let other: String = used.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
                if floors.get(&other).is_some_and(|above| above > floor) {
                    slips.push(format!("{}:{}: {}", below.display(), at + 1, line.trim()));
                }
            }
        }
    }
    assert!(slips.is_empty(), "imports that run upwards:\n{}", slips.join("\n"));
}

#[test]
fn every_room_is_on_the_map_and_opens_with_what_it_does() {
    let floors = floors();
    assert!(floors.len() >= 10, "the table of floors was not found: {floors:?}");
    for entry in std::fs::read_dir(root().join("src")).unwrap().map(Result::unwrap) {
        if entry.file_type().unwrap().is_dir() {
            let room = entry.file_name().to_string_lossy().into_owned();
            assert!(floors.contains_key(&room), "{room}/ is not on the map in DEVELOPERS.md");
        }
    }
    for path in sources(&root().join("src")) {
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.starts_with("//!"), "{} does not say what it is for", path.display());
    }
}

#[test]
fn the_top_level_is_as_agreed() {
    let allowed = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE-APACHE",
        "LICENSE-MIT",
        "README.md",
        "grammar",
        "playbooks",
        "site-out",
        "src",
        "target",
        "tests",
    ];
    for entry in std::fs::read_dir(root()).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(name.starts_with('.') || allowed.contains(&name.as_str()), "{name} stands at the top level");
    }
}
