//! A file of the site: where it goes and what is in it.

use crate::playbook::outline::Outline;
use crate::text::english::list;

/// One file of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputFile {
    /// Where it goes, from the site folder, with forward slashes.
    pub path: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl OutputFile {
    /// A file of text.
    #[must_use]
    pub fn text(path: impl Into<String>, text: String) -> Self {
        Self { path: path.into(), bytes: text.into_bytes() }
    }
}

/// Longest part of a path most file systems take, in bytes.
const LONGEST_NAME: usize = 200;

/// Why a file cannot be put at this path, in words; `None` where it can.
///
/// A path has to stay inside the site folder on every machine the folder is copied to: no `..`, no drive, no blank or dot at an end,
/// nothing a file system or an address reads as something else.
#[must_use]
pub fn path_slip(path: &str) -> Option<String> {
    let parts: Vec<&str> = path.split('/').collect();
    if path.is_empty() || parts.iter().any(|part| part.is_empty()) {
        return Some("a folder or file in it has no name".to_owned());
    }
    for part in parts {
        if part.starts_with('.') || part.ends_with(['.', ' ']) || part.starts_with(' ') {
            return Some(format!("`{part}` starts or ends with a dot or a blank"));
        }
        if part.len() > LONGEST_NAME {
            return Some(format!("a name in it is longer than {LONGEST_NAME} letters"));
        }
        let odd: Vec<String> = part
            .chars()
            .filter(|c| c.is_control() || matches!(c, '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' | '#' | '%' | '&'))
            .map(|c| format!("{c:?}"))
            .collect();
        if !odd.is_empty() {
            return Some(format!("a file name cannot hold {}", list(&odd, "or")));
        }
    }
    None
}

/// Text as part of an address: letters, digits, `-`, `.` and `_` stay, blanks become `_`, all else a code of its letters.
/// Two different texts never give the same address.
#[must_use]
pub fn address(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii_alphanumeric() || matches!(c, '-' | '.') {
            out.push(c);
        } else {
            out.push_str(&format!("_{:x}_", u32::from(c)));
        }
    }
    out
}

/// The page of a playbook on a unit: `NAME/UNIT.html`, or `NAME/any.html` where no unit is named.
#[must_use]
pub fn page_of(name: &str, unit: Option<&str>) -> String {
    format!("{}/{}.html", address(name), unit.map_or_else(|| "any".to_owned(), address))
}

/// The page of what a playbook finds on a unit: `NAME/UNIT-coverage.html`.
#[must_use]
pub fn coverage_of(name: &str, unit: &str) -> String {
    format!("{}/{}-coverage.html", address(name), address(unit))
}

/// The tech sheet of a unit: `units/UNIT.html`.
#[must_use]
pub fn sheet_of(unit: &str) -> String {
    format!("units/{}.html", address(unit))
}

/// The units a playbook has pages for; one `None` where it names none.
pub fn units(outline: &Outline) -> impl Iterator<Item = Option<&str>> {
    let any = outline.units.is_empty().then_some(None);
    any.into_iter().chain(outline.units.iter().map(|unit| Some(unit.as_str())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_leave_the_folder_are_refused() {
        for good in ["index.html", "box-warm/walk-in-208.html", "box-warm/door strip.svg"] {
            assert_eq!(path_slip(good), None, "{good}");
        }
        for bad in ["", "/etc/x", "a//b", "../x", "a/../../x", "a/.", "c:x", "a\\b", "a/b ", "a/\0", "a/.git/x"] {
            assert!(path_slip(bad).is_some(), "{bad}");
        }
    }

    #[test]
    fn addresses_are_plain_and_each_its_own() {
        assert_eq!(address("block-volts"), "block-volts");
        assert_eq!(address("a b"), "a_20_b");
        assert_eq!(address("<x>"), "_3c_x_3e_");
        assert_ne!(address("a_b"), address("a b"));
    }
}
