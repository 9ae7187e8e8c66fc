//! Reads the reference tables: comma-separated, quotes round fields with commas, `#` starts a comment.

use std::collections::BTreeMap;
use std::path::Path;

/// The rows of a table under `tests/cases/circuit`, each by its column names.
pub fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/circuit").join(file);
    #[expect(clippy::disallowed_methods, reason = "a test reads its own cases")]
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).map(split);
    let names = lines.next().expect("a heading line");
    lines.map(|fields| names.iter().cloned().zip(fields).collect()).collect()
}

fn split(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => fields.last_mut().expect("one at least").push(c),
        }
    }
    fields
}

/// Within 1 mV or 0.1 %, and under 0.01 V (or A) both count as nothing, as the reference's own note says.
pub fn agree(found: f64, expected: f64) -> bool {
    let nothing = |x: f64| x.abs() < 0.01;
    (nothing(found) && nothing(expected)) || (found - expected).abs() <= (0.001 * expected.abs()).max(0.001)
}
