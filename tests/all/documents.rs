//! Documents are tests: every fenced playbook in the README and the guide does what the text says.
//!
//! ```` ```playbook ```` is a whole playbook and checks clean; ```` ```playbook wrong CODE ```` raises that code; ```` ```lines ```` is a few
//! lines of one block, which must be read without a problem.

use super::support::Kitchen;

struct Fence {
    file: &'static str,
    line: usize,
    info: String,
    text: String,
}

fn fences(file: &'static str) -> Vec<Fence> {
    let text = std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap();
    let mut fences: Vec<Fence> = Vec::new();
    let mut open = false;
    for (at, line) in text.lines().enumerate() {
        if let Some(info) = line.strip_prefix("```") {
            open = !open;
            if open {
                fences.push(Fence { file, line: at + 1, info: info.trim().to_owned(), text: String::new() });
            }
        } else if open && let Some(fence) = fences.last_mut() {
            fence.text.push_str(line);
            fence.text.push('\n');
        }
    }
    assert!(!open, "{file}: a fence is not closed");
    fences
}

/// The shop sheet of this project goes with them, and the other playbooks they may go on to.
fn check(fence: &Fence, text: &str) -> super::support::Told {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    for (path, _) in kitchen.files("playbooks") {
        // A playbook of the folder that is also printed in a document would be there twice.
        let path = kitchen.path().join("playbooks").join(path);
        let same = std::fs::read_to_string(&path).is_ok_and(|there| name_of(&there) == name_of(text));
        if same && path.extension().is_some_and(|ending| ending == "playbook") {
            std::fs::remove_file(path).unwrap();
        }
    }
    kitchen.write("playbooks/fenced.playbook", text);
    let told = kitchen.run(&["check", "playbooks/fenced.playbook"]);
    assert_ne!(told.code, 1, "{}, line {}: {}", fence.file, fence.line, told.err);
    told
}

fn name_of(text: &str) -> Option<&str> {
    text.lines().find_map(|line| line.strip_prefix("playbook ")?.split(':').next())
}

#[test]
fn every_playbook_in_the_documents_is_checked() {
    let fences: Vec<Fence> = ["README.md", "grammar/guide.md"].into_iter().flat_map(fences).collect();
    let mut whole = 0;
    for fence in fences.iter().filter(|fence| fence.info.starts_with("playbook")) {
        let place = format!("{}, line {}", fence.file, fence.line);
        let told = check(fence, &fence.text);
        match fence.info.strip_prefix("playbook wrong ") {
            Some(code) => assert!(told.out.contains(code), "{place} does not raise {code}:\n{}", told.out),
            None => assert_eq!(told.code, 0, "{place}:\n{}", told.out),
        }
        whole += 1;
    }
    assert!(whole >= 2, "no playbooks found in the documents");
}

#[test]
fn every_fragment_in_the_documents_is_read() {
    let rules: Vec<&str> = ruleout::language::rules().iter().map(|rule| rule.code).collect();
    for fence in fences("grammar/guide.md").iter().filter(|fence| fence.info == "lines") {
        let starts_block = ["test ", "repair ", "adjust ", "escalate ", "playbook "];
        let head = if fence.text.starts_with("playbook ") { "" } else { "playbook fragment: A fragment\n" };
        let block = if starts_block.iter().any(|word| fence.text.starts_with(word)) || head.is_empty() {
            ""
        } else {
            "test fragment: A fragment\n"
        };
        let text = format!("{head}{block}{}", fence.text);
        let source = ruleout::text::source::Source::new("fragment", text);
        let (_, problems) = ruleout::language::parse(&source);
        let told: Vec<String> = problems
            .iter()
            .filter(|problem| rules.contains(&problem.rule.code))
            .map(|problem| format!("{}: {}", problem.place.text(), problem.message))
            .collect();
        assert!(told.is_empty(), "{}, line {}: {told:#?}", fence.file, fence.line);
    }
}

/// The words that `?` shows in a walk stand in the guide with the same sentences.
#[test]
fn the_guide_lists_the_words_of_the_walk() {
    let guide =
        std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/guide.md")).unwrap();
    let (_, walking) = guide.split_once("## Walking it").unwrap();
    let rows: Vec<&str> = walking.lines().skip_while(|line| !line.starts_with("|---")).skip(1).collect();
    let rows: Vec<&str> = rows.into_iter().take_while(|line| line.starts_with('|')).collect();
    let want: Vec<String> = ruleout::walk::ORDERS.iter().map(|(word, does)| format!("| `{word}` | {does} |")).collect();
    assert_eq!(rows, want);
}
