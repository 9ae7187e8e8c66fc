//! What Ruleout has written to a site folder: the list that makes publishing again safe and quick.
//!
//! `published.json` stands in the site folder, one file a line, sorted, so that a change reads well in version control.
//! No clock and no place on this machine is in it.

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

/// One file as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// Of its content.
    pub content: Fingerprint,
    /// Of everything it was made from; a page whose sources are unchanged is not made again.
    pub inputs: Fingerprint,
}

/// Everything Ruleout has written to a site folder.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// By path from the site folder.
    pub files: BTreeMap<String, Written>,
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
        let mut out = String::with_capacity(64 + 220 * self.files.len());
        out.push_str("{\"files\": {");
        for (nth, (path, written)) in self.files.iter().enumerate() {
            let path = serde_json::Value::from(path.as_str());
            let (content, inputs) = (written.content.0.to_hex(), written.inputs.0.to_hex());
            let comma = if nth == 0 { "" } else { "," };
            // Writing to a string cannot fail.
            let _ = write!(out, "{comma}\n{path}: {{\"content\": \"{content}\", \"inputs\": \"{inputs}\"}}");
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
        let written =
            |text: &str| Written { content: Fingerprint::of(text.as_bytes()), inputs: Fingerprint::of(b"in") };
        let files = [("b/any.html", written("b")), ("a \"quoted\".svg", written("a"))];
        let manifest = Manifest { files: files.map(|(path, w)| (path.to_owned(), w)).into() };
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
