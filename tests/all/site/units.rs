//! The tech sheets of the units.

use super::markup::{Page, read};
use crate::support::Kitchen;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn site(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("site-out").join(path)
}

fn page(path: &str) -> (String, Page) {
    let text = std::fs::read_to_string(site(path)).unwrap_or_else(|why| panic!("{path}: {why}"));
    let page = read(&text);
    (text, page)
}

/// The text of each row of the list or table behind this heading, its cells apart.
fn rows(html: &str, heading: &str) -> BTreeMap<String, Vec<String>> {
    let (_, after) = html.split_once(&format!("id=\"{heading}\"")).unwrap_or_else(|| panic!("no {heading}"));
    let part = after.split_once("</section>").unwrap().0;
    let row = |piece: &str| -> Vec<String> {
        let cells = piece.split('<').filter_map(|piece| piece.split_once('>')).map(|(_, text)| text.trim().to_owned());
        cells.filter(|text| !text.is_empty()).collect()
    };
    let pieces = part.split("<tr>").flat_map(|piece| piece.split("<div>")).skip(1);
    let rows = pieces.map(row).filter(|cells| cells.len() > 1);
    rows.map(|mut cells| (cells.remove(0), cells)).collect()
}

#[test]
fn every_unit_of_ours_has_a_sheet_and_playbooks_lead_there_and_back() {
    let mut seen = 0;
    for entry in std::fs::read_dir(site("units")).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        let (text, sheet) = page(&format!("units/{name}"));
        assert_eq!(sheet.elements.get("h1"), Some(&1), "{name}");
        for words in ["Local codes", "What the meter should read", "Ladder", "Usual faults", "Playbooks for this unit"]
        {
            assert!(sheet.text.contains(words), "{name}: {words}");
        }
        let books: Vec<&String> =
            sheet.links.iter().filter(|link| link.starts_with("../") && link.contains('/')).collect();
        let books: Vec<_> = books.into_iter().filter(|link| link.ends_with(&name)).collect();
        assert!(!books.is_empty(), "{name} has no playbook");
        for book in books {
            let back = page(book.trim_start_matches("../")).1.links;
            assert!(back.contains(&format!("../units/{name}")), "{book} does not lead back to {name}");
        }
        assert!(page("index.html").1.links.contains(&format!("units/{name}")), "{name} is not on the index");
        assert!(!text.contains("NaN") && !text.contains("inf "), "{name}");
        seen += 1;
    }
    assert!(seen >= 4, "{seen} sheets");
}

/// Element watts +5 -10 %, so amps at V are 0.90 to 1.05 times W V / rated V², by Ohm's law; lines and contacts take off under 1 %.
/// The ohms of a Pt1000 are ten times those of IEC 60751's table for a Pt100: 100.00 at 0 °C, 123.24 at 60 °C (memory).
#[test]
fn amps_and_ohms_by_hand() {
    let (text, _) = page("units/holding-cabinet-208.html");
    let amps = rows(&text, "amps");
    let volts: Vec<f64> = ["187.2", "208", "229"].iter().map(|v| v.parse().unwrap()).collect();
    assert_eq!(amps["Supply"], ["187.2 V AC", "208 V AC", "229 V AC"]);
    for (cell, volts) in amps["element-1"].iter().zip(volts) {
        let (low, high) = cell.trim_end_matches(" A").split_once(" to ").unwrap();
        for (told, share) in [(low, 0.90), (high, 1.05)] {
            let by_hand = 1000.0 * share * volts / (208.0 * 208.0);
            let told: f64 = told.parse().unwrap();
            assert!((told / by_hand - 1.0).abs() < 0.01, "{cell} at {volts} V: {by_hand:.2} A by hand");
        }
    }
    let ohms = rows(&text, "sensors");
    for (at, want) in [("32 °F", "1000 ohm"), ("140 °F", "1232 ohm")] {
        assert_eq!(ohms[at], [want], "{at}");
    }
}

/// Live points of a locked-out unit stand in a box of their own: the receptacle of a machine with a plug.
#[test]
fn what_stays_live_when_locked_out_is_a_danger() {
    let (text, _) = page("units/holding-cabinet-208.html");
    let (_, locked) = text.split_once(">Locked out, covers off</h3>").unwrap();
    let locked = locked.split_once("</section>").unwrap().0;
    assert!(locked.contains("class=\"signal danger\"") && locked.contains("will kill: X, Y."), "{locked}");
    assert!(locked.contains("By itself, one wire off"), "{locked}");
}

/// Words of a sheet never become markup, and a sheet that changes changes its page alone.
#[test]
fn a_sheet_of_ones_own() {
    let sheet =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("playbooks/units/holding-cabinet-208.yaml"));
    let title = "title: \"Lamp <script>x</script> & <b>\\\"\"";
    let mut lines: Vec<String> = sheet.unwrap().lines().map(str::to_owned).collect();
    let at = lines.iter().position(|line| line.starts_with("title:")).unwrap();
    lines[at] = title.to_owned();
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen.run(&["publish"]).ends(0);
    kitchen.write("playbooks/units/holding-cabinet-208.yaml", lines.join("\n") + "\n");
    kitchen.run(&["publish"]).ends(0);
    let seen = read(&kitchen.read("site-out/units/holding-cabinet-208.html"));
    assert!(seen.text.contains("Lamp <script>x</script> & <b>\""), "{}", &seen.text[..400]);
    assert!(read(&kitchen.read("site-out/index.html")).text.contains("Lamp <script>x</script>"));
}
