//! What keeps a site from being published, and how it is told.

use std::fmt;
use std::io::{self, ErrorKind};

/// What stands in the way of one file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Obstacle {
    /// Somebody else's file.
    NotOurs,
    /// A page of ours that was edited by hand.
    Edited,
    /// The same, and it is no longer wanted.
    EditedAndStale,
    /// A link to some other place.
    Link,
    /// A folder where a file shall stand.
    Folder,
    /// A folder on the way is a link to some other place.
    FolderIsLink,
    /// A folder on the way is a file.
    FolderIsFile,
    /// No file can have this path.
    BadPath(String),
    /// Two files want to stand there.
    Twice,
    /// It cannot be read.
    Unreadable(String),
}

impl fmt::Display for Obstacle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotOurs => f.write_str("a file stands there that Ruleout did not write; move it away"),
            Self::Edited => f.write_str(
                "it was edited by hand since it was published; put the change into the playbook, then publish with --overwrite",
            ),
            Self::EditedAndStale => f.write_str(
                "it is no longer published, but it was edited by hand; move it away, or publish with --overwrite to drop it",
            ),
            Self::Link => f.write_str("a link stands there; Ruleout does not write through links"),
            Self::Folder => f.write_str("a folder stands there"),
            Self::FolderIsLink => f.write_str("its folder is a link; Ruleout does not write through links"),
            Self::FolderIsFile => f.write_str("a file stands where its folder should be"),
            Self::BadPath(why) => write!(f, "no page can have this address: {why}"),
            Self::Twice => f.write_str("two pages want this address"),
            Self::Unreadable(why) => write!(f, "what stands there cannot be read: {why}"),
        }
    }
}

/// Why a site was not published.
#[derive(Debug)]
pub enum PublishError {
    /// The site folder is something else.
    NotAFolder(String),
    /// The list of what was written before cannot be read.
    List {
        /// Its name.
        name: String,
        /// Why.
        why: String,
    },
    /// Files that stand in the way. Nothing was written.
    InTheWay(Vec<(String, Obstacle)>),
    /// Another run is writing.
    Busy(String),
    /// The disk did not take it.
    Disk {
        /// What was being written.
        path: String,
        /// Why.
        error: io::Error,
        /// Whether some pages are new already.
        partly: bool,
    },
}

impl PublishError {
    /// The disk did not take `path`.
    #[must_use]
    pub fn disk(path: &str, error: io::Error, partly: bool) -> Self {
        Self::Disk { path: path.to_owned(), error, partly }
    }
}

impl fmt::Display for PublishError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAFolder(path) => write!(f, "`{path}` is a file; the pages need a folder. Nothing was written."),
            Self::List { name, why } => write!(
                f,
                "The list of published pages, `{name}`, is damaged: {why}. Get it back from version control, or move the site \
                 folder away and publish afresh. Nothing was written."
            ),
            Self::InTheWay(obstacles) => {
                writeln!(f, "Nothing was published. In the way in the site folder:")?;
                for (path, obstacle) in obstacles {
                    writeln!(f, "  {path}: {obstacle}.")?;
                }
                Ok(())
            }
            Self::Busy(path) => {
                write!(f, "Another publish is writing to `{path}`. Wait until it is done. Nothing was written.")
            }
            Self::Disk { path, error, partly } => {
                match error.kind() {
                    ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
                        write!(f, "No room left on the disk for `{path}`.")?
                    }
                    ErrorKind::FileTooLarge => write!(f, "The disk does not take a file as large as `{path}`.")?,
                    ErrorKind::PermissionDenied => write!(f, "No permission to write `{path}`.")?,
                    _ => write!(f, "`{path}` could not be written: {error}.")?,
                }
                f.write_str(if *partly {
                    " Some pages are new, some are still the old ones. Mend it and publish again to make the site whole."
                } else {
                    " The pages stand as they were before."
                })
            }
        }
    }
}
