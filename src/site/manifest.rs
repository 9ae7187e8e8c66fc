//! What Ruleout has written to a site folder: the list that makes publishing again safe and quick.
//!
//! `published.json` stands in the site folder, one file a line, sorted, so that a change reads well in version control.
//! Only what the pages hold goes into it: no clock, no place on this machine, nothing of the program that made them. What they were
//! made from is another such list, kept by the caller outside the site.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Its name in the site folder.
pub const MANIFEST: &str = "published.json";

/// A fingerprint of some bytes (BLAKE3, 256 bits), in hexadecimal where it is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Fingerprint(blake3::Hash);

impl Fingerprint {
    /// The fingerprint of a file's content.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(blake3::hash(bytes))
    }

    /// The fingerprint of several texts in turn; where one ends and the next begins counts.
    #[must_use]
    pub fn of_all<T: AsRef<[u8]>>(parts: impl IntoIterator<Item = T>) -> Self {
        let mut hasher = blake3::Hasher::new();
        for part in parts {
            let part = part.as_ref();
            hasher.update(&u64::try_from(part.len()).unwrap_or(u64::MAX).to_le_bytes());
            hasher.update(part);
        }
        Self(hasher.finalize())
    }

    /// Its bytes, to go into another fingerprint.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.0.as_bytes()
    }
}

impl From<Fingerprint> for String {
    fn from(print: Fingerprint) -> Self {
        print.0.to_hex().to_string()
    }
}

impl TryFrom<String> for Fingerprint {
    type Error = blake3::HexError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        blake3::Hash::from_hex(text).map(Self)
    }
}

/// A fingerprint for each file of a site: of its content, or of all it was made from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// By path from the site folder.
    pub files: BTreeMap<String, Fingerprint>,
}

impl Manifest {
    /// Reads it.
    ///
    /// # Errors
    /// Why it cannot be read, in words.
    pub fn parse(text: &str) -> Result<Self, String> {
        serde_json::from_str(text).map_err(|error| format!("line {} of it cannot be read", error.line()))
    }

    /// The text of it: one file a line, sorted.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = String::with_capacity(64 + 120 * self.files.len());
        out.push_str("{\"files\": {");
        for (nth, (path, print)) in self.files.iter().enumerate() {
            let path = serde_json::Value::from(path.as_str());
            let comma = if nth == 0 { "" } else { "," };
            // Writing to a string cannot fail.
            let _ = write!(out, "{comma}\n{path}: \"{}\"", print.0.to_hex());
        }
        out.push_str("\n}}\n");
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_comes_back_as_written_one_file_a_line() {
        let files = [("b/any.html", "b"), ("a \"quoted\".svg", "a")];
        let manifest =
            Manifest { files: files.map(|(path, text)| (path.to_owned(), Fingerprint::of(text.as_bytes()))).into() };
        let text = manifest.text();
        assert_eq!(Manifest::parse(&text), Ok(manifest));
        assert_eq!(text.lines().count(), 4);
        assert_eq!(Manifest::parse(&Manifest::default().text()), Ok(Manifest::default()));
        assert!(Manifest::parse("{\"files\": {").is_err());
    }

    #[test]
    fn where_one_part_ends_counts() {
        assert_ne!(Fingerprint::of_all(["ab", "c"]), Fingerprint::of_all(["a", "bc"]));
    }
}
