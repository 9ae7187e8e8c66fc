//! The coverage pages: what the shakedown of a playbook on a unit found.

use super::markup::read;
use ruleout::shakedown::coverage::{Alike, Coverage, Found, Missed};
use ruleout::sheet::shop::Shop;
use ruleout::site::coverage_page::{Of, coverage_page};
use ruleout::site::templates::Templates;
use std::path::Path;

fn page(found: &Coverage) -> String {
    let of = Of {
        name: "lamp-out",
        title: "The lamp <i> is out",
        unit: "lamp-120",
        machine: "Heat lamp <b>",
        revised: "2026-09-14",
    };
    let shop = Shop::built_in();
    let view = coverage_page(of, found, &shop);
    Templates::new().and_then(|templates| templates.fill("coverage", "What it finds", "../", &view)).expect("a page")
}

/// Every field of a report is on the page, as text; each ending once with its faults; headings only where there is something.
#[test]
fn what_was_found_is_on_the_page() {
    let hostile = "<script>x</script>";
    let found = |fault: &str, by: &str| Found { fault: fault.to_owned(), by: by.to_owned() };
    let missed = |what: &str, why: &str| Missed { what: what.to_owned(), why: why.to_owned() };
    let all = Coverage {
        line: format!("Shaken down {hostile}"),
        finds: vec![
            found("lamp open", "Replace the lamp"),
            found("cord open", hostile),
            found("lamp weak", "Replace the lamp"),
        ],
        hands_on: vec![found("mains low", "The supply is low")],
        alike: vec![Alike {
            faults: vec!["lamp open".to_owned(), "lamp weak".to_owned()],
            end: "Replace the lamp".to_owned(),
            why: hostile.to_owned(),
        }],
        missed: vec![missed("socket loose", "stumped")],
        not_on_sheet: vec![missed("glass", hostile)],
        others: vec!["fan open".to_owned(), hostile.to_owned()],
    };
    let html = page(&all);
    let seen = read(&html);
    assert_eq!(seen.text.matches(hostile).count(), 5, "{}", seen.text);
    assert!(html.contains("<dt>Replace the lamp</dt>\n<dd>lamp open, lamp weak</dd>"), "{html}");
    for words in ["socket loose", "stumped", "mains low", "The supply is low", "fan open", "2026-09-14", "Local codes"]
    {
        assert!(seen.text.contains(words), "{words}");
    }
    assert!(seen.links.contains(&"../lamp-out/lamp-120.html".to_owned()), "{:?}", seen.links);
    assert!(seen.links.contains(&"../units/lamp-120.html".to_owned()), "{:?}", seen.links);

    let none = Coverage { missed: Vec::new(), alike: Vec::new(), not_on_sheet: Vec::new(), others: Vec::new(), ..all };
    let seen = read(&page(&none)).text;
    for heading in ["does not find", "can't tell apart", "no reading for", "of another complaint"] {
        assert!(!seen.contains(heading), "{heading}");
    }
}

/// Each page of a playbook whose unit has a sheet says the coverage line and leads to the page with all of it, which says it too.
#[test]
fn every_playbook_of_ours_leads_to_what_it_finds() {
    let site = Path::new(env!("CARGO_MANIFEST_DIR")).join("site-out");
    let text = |path: &Path| std::fs::read_to_string(path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    let mut seen = 0;
    for entry in walkdir::WalkDir::new(&site).sort_by_file_name().into_iter().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        let Some(unit) = name.strip_suffix("-coverage.html") else { continue };
        let folder = entry.path().parent().unwrap();
        let book = read(&text(&folder.join(format!("{unit}.html"))));
        let here = format!("../{}/{name}", folder.file_name().unwrap().to_string_lossy());
        assert!(book.links.contains(&here), "{here}: {:?}", book.links.first());
        let (_, line) = book.text.split_once("Shakedown ").expect("the coverage line");
        let line = line.split(" Fault by fault").next().unwrap();
        let found = read(&text(entry.path()));
        assert!(line.contains(unit) && found.text.contains(line), "{here}: {line}");
        seen += 1;
    }
    assert!(seen >= 6, "{seen} coverage pages");
}
