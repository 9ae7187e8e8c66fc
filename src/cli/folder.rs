//! The edge where files are read: which playbooks and sheets there are, and their text.
//!
//! Nothing is refused in silence: a file that can't be read, isn't text or is no file becomes a problem with its path.

use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::{Place, Source, Span};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use walkdir::WalkDir;

/// A file that cannot be opened.
pub static CANNOT_READ: Rule = Rule {
    code: "cannot-read",
    level: Level::Error,
    says: "Every playbook and sheet can be opened.",
    why: "A file passed over in silence would be a playbook missing from the site.",
    wrong: "(a file without read permission, a link that leads nowhere or round in a ring)",
    mended: "(the permission given, the link taken out)",
};

/// A file that is not text.
pub static NOT_TEXT: Rule = Rule {
    code: "not-text",
    level: Level::Error,
    says: "Playbooks and sheets are plain text in UTF-8.",
    why: "In another encoding `°` and `µ` turn into other characters, and a limit could be misread.",
    wrong: "(a word-processor file, or text saved as Windows-1252 or UTF-16)",
    mended: "(the same text saved as UTF-8)",
};

/// A file far larger than any playbook.
pub static TOO_LARGE: Rule = Rule {
    code: "too-large",
    level: Level::Error,
    says: "A playbook or sheet is at most 1 MB.",
    why: "A playbook for one complaint is a few pages; a file a hundred times that is something else. The limit is ours.",
    wrong: "(a 10 MB file)",
    mended: "(one playbook a complaint)",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&CANNOT_READ, &NOT_TEXT, &TOO_LARGE];

/// Most bytes of one file.
pub const MOST_BYTES: u64 = 1_000_000;

/// The folder of the unit sheets, beside the shop sheet.
pub const UNIT_SHEETS: &str = "units";

/// The name of the shop sheet.
pub const SHOP_SHEET: &str = "shop.yaml";

/// What a folder of playbooks holds.
#[derive(Debug)]
pub struct Folder {
    /// The folder with the shop sheet, or the one that was named.
    pub root: PathBuf,
    /// The shop sheet, if there is one.
    pub shop: Option<PathBuf>,
    /// The playbooks, sorted by path.
    pub playbooks: Vec<PathBuf>,
    /// What could not be looked into.
    pub problems: Vec<Problem>,
}

/// Looks for playbooks in a folder, links followed.
///
/// # Errors
/// A sentence where the folder is not there, or is a file.
pub fn look(root: &Path) -> Result<Folder, String> {
    if !root.exists() {
        return Err(format!("There is no folder {}.", shown(root)));
    }
    if !root.is_dir() {
        return Err(format!("{} is a file, and a folder of playbooks belongs here.", shown(root)));
    }
    let shop = root.join(SHOP_SHEET);
    let mut folder = Folder {
        root: root.to_owned(),
        shop: shop.is_file().then_some(shop),
        playbooks: Vec::new(),
        problems: Vec::new(),
    };
    for entry in WalkDir::new(root).follow_links(true).sort_by_file_name() {
        match entry {
            Ok(entry) if entry.path().extension().is_some_and(|ending| ending == "playbook") => {
                folder.playbooks.push(entry.into_path());
            }
            Ok(_) => {}
            Err(error) => {
                let path = error.path().unwrap_or(root);
                let message = if error.loop_ancestor().is_some() {
                    format!(
                        "The link {} leads back to a folder it stands in; everything in it is there already.",
                        shown(path)
                    )
                } else {
                    format!("{} can't be opened: {}.", shown(path), reason(error.io_error()))
                };
                folder.problems.push(Problem::new(&CANNOT_READ, whole(path, ""), message));
            }
        }
    }
    Ok(folder)
}

/// What to say of a folder without playbooks; a text file that looks like one is named.
#[must_use]
pub fn none_in(root: &Path) -> String {
    let fact = format!("There is no playbook in {}: the name of a playbook's file ends in .playbook.", shown(root));
    let texts = WalkDir::new(root).sort_by_file_name().into_iter().filter_map(Result::ok);
    let mut texts = texts.filter(|entry| entry.path().extension().is_some_and(|ending| ending == "txt"));
    let begins = |path: &Path| read(path).is_ok_and(|source| source.text().trim_start().starts_with("playbook "));
    match texts.find(|entry| begins(entry.path())) {
        Some(entry) => {
            let path = entry.path();
            format!("{fact} Rename {} to {}.", shown(path), shown(&path.with_extension("playbook")))
        }
        None => fact,
    }
}

impl Folder {
    /// A file of the folder as it is listed here: `x.playbook` and `./x.playbook` are one, and so is what a link leads to.
    ///
    /// # Errors
    /// A sentence where it is no playbook of this folder, so that nothing passes unread.
    pub fn listed(&self, file: &Path) -> Result<BTreeSet<PathBuf>, String> {
        let same = |listed: &PathBuf| {
            listed.file_name() == file.file_name()
                && matches!((listed.canonicalize(), file.canonicalize()), (Ok(a), Ok(b)) if a == b)
        };
        let found: BTreeSet<PathBuf> = self.playbooks.iter().filter(|listed| same(listed)).cloned().collect();
        if found.is_empty() {
            return Err(format!("{} is not a playbook: the name of a playbook's file ends in .playbook.", shown(file)));
        }
        Ok(found)
    }
}

/// The folder a single playbook belongs to: the nearest one above it with a shop sheet, else the nearest with unit sheets, else its
/// own. It may be or lie above the folder one stands in.
#[must_use]
pub fn home_of(file: &Path) -> PathBuf {
    let own = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let depth = own.canonicalize().map_or(0, |whole| whole.components().count());
    let here = |path: &Path| if path.as_os_str().is_empty() { PathBuf::from(".") } else { path.to_owned() };
    let above = own.ancestors().map(here);
    let further = (1..depth).map(|levels| std::iter::repeat_n("..", levels).collect::<PathBuf>());
    let further = further.filter(|_| own.is_relative());
    let folders: Vec<PathBuf> = above.chain(further).collect();
    let with = |wanted: &dyn Fn(&Path) -> bool| folders.iter().find(|folder| wanted(folder)).cloned();
    with(&|folder| folder.join(SHOP_SHEET).is_file())
        .or_else(|| with(&|folder| folder.join(UNIT_SHEETS).is_dir()))
        .unwrap_or_else(|| own.to_owned())
}

/// Reads a file as text.
///
/// # Errors
/// A problem that says why it is not to be had: not there, a folder, too large, not text, and where.
pub fn read(path: &Path) -> Result<Arc<Source>, Problem> {
    let told = |rule, source: &str, message| Problem::new(rule, whole(path, source), message);
    let bytes = bytes_of(path).map_err(|error| {
        let why = if path.is_dir() {
            format!("{} is a folder, and a file belongs here.", shown(path))
        } else {
            format!("{} can't be opened: {}.", shown(path), reason(Some(&error)))
        };
        told(&CANNOT_READ, "", why)
    })?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(told(
            &TOO_LARGE,
            "",
            format!("{} is over 1 MB, too large for one playbook or sheet.", shown(path)),
        ));
    }
    match String::from_utf8(bytes) {
        Ok(text) if text.contains('\0') => {
            Err(told(&NOT_TEXT, "", format!("{} is not a text file: it holds zero bytes.", shown(path))))
        }
        Ok(text) => Ok(Source::new(shown(path), text)),
        Err(error) => {
            let (good, bytes) = (error.utf8_error().valid_up_to(), error.into_bytes());
            Err(not_utf8(path, &bytes, good))
        }
    }
}

/// Says where the text stops being UTF-8, and what it probably is.
fn not_utf8(path: &Path, bytes: &[u8], good: usize) -> Problem {
    let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    if utf16 || bytes.iter().take(4096).any(|byte| *byte == 0) {
        let what = if utf16 { "saved as UTF-16; save it as UTF-8" } else { "not a text file" };
        return Problem::new(&NOT_TEXT, whole(path, ""), format!("{} is {what}.", shown(path)));
    }
    let head = bytes.get(..good).unwrap_or(&[]);
    let line = head.iter().filter(|byte| **byte == b'\n').count() + 1;
    let bad = bytes.get(good).copied().unwrap_or(0);
    let source = Source::new(shown(path), String::from_utf8_lossy(bytes).into_owned());
    // The good head is as long in the mended text as in the file.
    let place = Place::new(&source, Span::new(good, good + '\u{fffd}'.len_utf8()));
    let message = format!("Line {line} holds a character that is not UTF-8 (byte {bad:#04x}). Save the file as UTF-8.");
    Problem::new(&NOT_TEXT, place, message)
}

/// The bytes of a file, at most one more than a source may have.
#[expect(clippy::disallowed_methods, reason = "this is the edge where sources are read")]
pub(super) fn bytes_of(path: &Path) -> std::io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let length = file.metadata().map_or(0, |found| found.len().min(MOST_BYTES));
    // One more than it holds: reading then ends without asking for room.
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0) + 1);
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A path as the user knows it, with forward slashes.
#[must_use]
pub fn shown(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    text.strip_prefix("./").map(str::to_owned).unwrap_or(text)
}

/// A path as the system knows it: the same for every way of writing it, where the file is there.
#[must_use]
pub fn settled(path: &Path) -> PathBuf {
    path.canonicalize().or_else(|_| std::path::absolute(path)).unwrap_or_else(|_| path.to_owned())
}

fn whole(path: &Path, text: &str) -> Place {
    Place::new(&Source::new(shown(path), text), Span::default())
}

/// Why the system said no, in a few words.
pub(super) fn reason(error: Option<&std::io::Error>) -> String {
    use std::io::ErrorKind as Kind;
    match error.map(std::io::Error::kind) {
        Some(Kind::NotFound) => "it is not there".to_owned(),
        Some(Kind::PermissionDenied) => "no permission".to_owned(),
        Some(Kind::StorageFull | Kind::FileTooLarge | Kind::QuotaExceeded) => "the disk is full".to_owned(),
        Some(Kind::ReadOnlyFilesystem) => "the disk is write-protected".to_owned(),
        Some(Kind::IsADirectory) => "it is a folder".to_owned(),
        Some(Kind::NotADirectory) => "a file stands where a folder belongs".to_owned(),
        _ => error.map_or_else(|| "no reason given".to_owned(), ToString::to_string),
    }
}
