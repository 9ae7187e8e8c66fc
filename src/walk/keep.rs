//! The edge of the record: events appended to a file, one a line, each on the disk before the next question.

use super::record::Event;
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A record file being written.
#[derive(Debug)]
pub struct Keep {
    file: File,
    path: PathBuf,
}

impl Keep {
    /// A new record in a folder. Its name is made of the time and the playbook; a file that is there already is never touched.
    ///
    /// # Errors
    /// Where the folder or the file cannot be made.
    #[expect(clippy::disallowed_methods, reason = "this is the edge where records are written")]
    pub fn new_in(folder: &Path, at: &str, playbook: &str) -> io::Result<Self> {
        std::fs::create_dir_all(folder)?;
        let stamp: String = at.chars().map(|c| if c.is_ascii_digit() { c } else { '-' }).collect();
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' };
        let name: String = playbook.chars().map(plain).collect();
        for nth in 1..=1000 {
            let more = if nth == 1 { String::new() } else { format!("-{nth}") };
            let path = folder.join(format!("{stamp}-{name}{more}.record"));
            // A text somebody put there is never written over by the write-up.
            if path.with_extension("txt").exists() {
                continue;
            }
            match File::options().append(true).create_new(true).open(&path) {
                Ok(file) => return Ok(Self { file, path }),
                Err(problem) if problem.kind() == io::ErrorKind::AlreadyExists => {}
                Err(problem) => return Err(problem),
            }
        }
        Err(io::Error::from(io::ErrorKind::AlreadyExists))
    }

    /// Goes on with a record that is there.
    ///
    /// # Errors
    /// Where it cannot be opened to write.
    pub fn go_on(path: &Path) -> io::Result<Self> {
        let file = File::options().append(true).open(path)?;
        Ok(Self { file, path: path.to_owned() })
    }

    /// Where it is written.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Where the write-up stands beside it.
    #[must_use]
    pub fn text_path(&self) -> PathBuf {
        self.path.with_extension("txt")
    }

    /// Writes the write-up beside the record, for whoever reads no records; gone on with, it is written anew.
    ///
    /// # Errors
    /// Where it cannot be written.
    #[expect(clippy::disallowed_methods, reason = "this is the edge where records are written")]
    pub fn write_text(&self, text: &str) -> io::Result<()> {
        std::fs::write(self.text_path(), text)
    }

    /// Writes events and waits until they are on the disk.
    ///
    /// # Errors
    /// Where they cannot be written: a full disk, a pulled card.
    pub fn write(&mut self, events: &[Event]) -> io::Result<()> {
        if events.is_empty() {
            return Ok(());
        }
        let mut lines = String::new();
        for event in events {
            lines.push_str(&serde_json::to_string(event)?);
            lines.push('\n');
        }
        self.file.write_all(lines.as_bytes())?;
        self.file.sync_data()
    }
}

/// The events of a record file's text. A last line cut off by a pulled battery is left out.
///
/// # Errors
/// The number of the line that is no event.
pub fn read(text: &str) -> Result<Vec<Event>, usize> {
    let lines: Vec<&str> = text.lines().collect();
    let mut events = Vec::with_capacity(lines.len());
    for (nth, line) in lines.iter().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        match serde_json::from_str(line) {
            Ok(event) => events.push(event),
            Err(_) if nth + 1 == lines.len() && !text.ends_with('\n') => {}
            Err(_) => return Err(nth + 1),
        }
    }
    Ok(events)
}
