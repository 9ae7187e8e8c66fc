//! Where the program keeps what took it long: the user's cache folder, never the tree. Losing it costs time and nothing else.
//!
//! A file holds what was made and the fingerprint of all it was made from; the caller says whether that still holds. What can't
//! be read or written is as if it were not there.

#![expect(clippy::disallowed_methods, reason = "the cache is an edge, and only what it wrote is removed")]

use super::user_folder;
use crate::site::manifest::Fingerprint;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// Most files kept of one kind; beyond, the older half goes. A number of ours.
const MOST_KEPT: usize = 400;

/// Where one kind of thing is kept.
pub struct Cache {
    folder: Option<PathBuf>,
}

#[derive(Serialize, Deserialize)]
struct Entry<T> {
    made_from: Fingerprint,
    made: T,
}

impl Cache {
    /// What is kept under `kind`: in this folder, else the user's cache folder; where there is none, nowhere.
    pub fn new(folder: Option<&Path>, kind: &str) -> Self {
        Self { folder: folder.map(Path::to_owned).or_else(user_folder::cache).map(|folder| folder.join(kind)) }
    }

    /// What was kept by this name, and the fingerprint of all it was made from.
    pub fn read<T: DeserializeOwned>(&self, name: &str) -> Option<(Fingerprint, T)> {
        let Entry { made_from, made } = serde_json::from_slice(&std::fs::read(self.file(name)?).ok()?).ok()?;
        Some((made_from, made))
    }

    /// Keeps it by this name, whole or not at all.
    pub fn write<T: Serialize>(&self, name: &str, made_from: Fingerprint, made: &T) {
        let (Some(folder), Some(file)) = (self.folder.as_deref(), self.file(name)) else { return };
        tidy(folder);
        let written = std::fs::create_dir_all(folder).and_then(|()| {
            let mut new = tempfile::NamedTempFile::new_in(folder)?;
            std::io::Write::write_all(&mut new, &serde_json::to_vec(&Entry { made_from, made })?)?;
            new.persist(file).map_err(|error| error.error)
        });
        let _ = written;
    }

    fn file(&self, name: &str) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("{name}.json")))
    }
}

/// Enough of a fingerprint to name a file by.
pub fn short(print: Fingerprint) -> String {
    String::from(print).chars().take(32).collect()
}

/// What tells one build of the program from another.
pub fn program() -> Vec<u8> {
    let built = std::env::current_exe().and_then(std::fs::metadata);
    let built = built.and_then(|file| Ok((file.len(), file.modified()?))).ok();
    format!("{} {built:?}", env!("CARGO_PKG_VERSION")).into_bytes()
}

fn tidy(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let ours = |entry: std::io::Result<std::fs::DirEntry>| {
        let path = entry.ok()?.path();
        let written = std::fs::metadata(&path).and_then(|file| file.modified()).ok()?;
        path.extension().is_some_and(|ending| ending == "json").then_some((written, path))
    };
    let mut kept: Vec<_> = entries.filter_map(ours).collect();
    if kept.len() > MOST_KEPT {
        kept.sort();
        kept.truncate(kept.len() - MOST_KEPT / 2);
        for (_, path) in kept {
            let _ = std::fs::remove_file(path);
        }
    }
}
