//! The edge that writes a site folder, so that it is always whole: the old pages or the new ones.
//!
//! 1. [`Publisher::begin`] reads what was written before (`published.json`).
//! 2. [`Publisher::put`] takes one file after another, from several threads if need be: an unchanged file is left alone, a new or changed
//!    one is written under a temporary name inside the site folder. What stands in the way is collected.
//! 3. [`Publisher::finish`] writes the list of what will stand, then renames everything into place, removes what Ruleout wrote
//!    and no longer writes, and puts the new list in place last. With anything in the way, nothing is touched.
//!
//! A full disk is met in step 2, before the first rename. If the machine stops in the middle of step 3, the list of what was
//! about to stand is still there, and the next run knows the new files for its own.

#![expect(clippy::disallowed_methods, reason = "the publisher is the edge that reads and writes the site folder")]

use super::manifest::{Fingerprint, MANIFEST, Manifest};
use super::obstacle::{Obstacle, PublishError};
use super::output::path_slip;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{ErrorKind, Write as _};
use std::mem::take;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The folder for temporary files, inside the site folder so that a rename stays on one disk.
const STAGING: &str = ".ruleout-new";
/// Held while a run writes.
const LOCK: &str = "lock";

/// What a run did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Published {
    /// Files that were new or changed.
    pub written: usize,
    /// Files left alone.
    pub unchanged: usize,
    /// Files removed.
    pub removed: usize,
}

/// Publishes into one site folder.
pub struct Publisher {
    root: PathBuf,
    overwrite: bool,
    old: Manifest,
    /// What each file was made from when it was last written.
    made_from: Manifest,
    /// What a run that was cut off was about to write.
    cut_off: Manifest,
    next_name: AtomicUsize,
    run: Mutex<Run>,
}

/// What a run has come to.
#[derive(Default)]
struct Run {
    new: Manifest,
    /// What each of its files is made from.
    made_from: Manifest,
    /// Temporary name and the path it is for.
    staged: Vec<(PathBuf, String)>,
    unchanged: usize,
    obstacles: Vec<(String, Obstacle)>,
    /// Folders of the site looked at; `None` where all is well.
    folders: BTreeMap<String, Option<Obstacle>>,
    /// Open while this run writes; dropping it lets the next one in.
    lock: Option<fs::File>,
    created_root: bool,
    /// Whether pages are being put in place: the list of what is about to stand is kept until all of them are.
    placing: bool,
    done: bool,
}

impl Publisher {
    /// Reads what was written to this folder before. The folder need not exist. `overwrite`: pages edited by hand are written over.
    /// `made_from`: what the run before gave back for this folder; empty where nobody knows, and then every page is made anew.
    ///
    /// # Errors
    /// [`PublishError`] where the folder is a file, or its list cannot be read.
    pub fn begin(root: &Path, overwrite: bool, made_from: Manifest) -> Result<Self, PublishError> {
        match fs::metadata(root) {
            Ok(found) if !found.is_dir() => return Err(PublishError::NotAFolder(shown(root))),
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(PublishError::disk(&shown(root), error, false)),
        }
        let old = read_manifest(&root.join(MANIFEST), MANIFEST)?;
        let cut_off = read_manifest(&root.join(STAGING).join(MANIFEST), MANIFEST).unwrap_or_default();
        let next_name = AtomicUsize::new(0);
        Ok(Self { root: root.to_owned(), overwrite, old, made_from, cut_off, next_name, run: Mutex::default() })
    }

    /// Whether nothing is known of what the pages in this folder were made from.
    pub fn starts_anew(&self) -> bool {
        self.made_from.files.is_empty()
    }

    /// Whether the file at this path stands as it was written from these very inputs. Then it is kept, and need not be made.
    pub fn keep(&self, path: &str, inputs: Fingerprint) -> bool {
        self.keep_all(&[path], inputs)
    }

    /// Whether all of these stand as they were written from these very inputs. Then they are kept; else none of them is.
    pub fn keep_all(&self, paths: &[&str], inputs: Fingerprint) -> bool {
        let standing: Option<Vec<Fingerprint>> = paths.iter().map(|path| self.standing(path, inputs)).collect();
        let Some(standing) = standing else { return false };
        let mut run = self.run();
        if paths.iter().any(|path| run.new.files.contains_key(*path)) {
            return false;
        }
        run.unchanged += paths.len();
        run.new.files.extend(paths.iter().map(|path| (*path).to_owned()).zip(standing));
        run.made_from.files.extend(paths.iter().map(|path| ((*path).to_owned(), inputs)));
        true
    }

    /// The content of a file as it was written from these inputs, if it stands so still.
    fn standing(&self, path: &str, inputs: Fingerprint) -> Option<Fingerprint> {
        self.made_from.files.get(path).filter(|made_from| **made_from == inputs)?;
        let content = self.old.files.get(path)?;
        if path_slip(path).is_some() || self.folder_obstacle(path).is_some() {
            return None;
        }
        let target = self.root.join(path);
        let is_file = fs::symlink_metadata(&target).is_ok_and(|found| found.is_file());
        let stands = is_file && fs::read(&target).is_ok_and(|bytes| Fingerprint::of(&bytes) == *content);
        stands.then_some(*content)
    }

    /// Takes one file. What stands in its way is collected and told by [`Publisher::finish`].
    ///
    /// # Errors
    /// [`PublishError`] where the disk does not take it. Nothing that stood in the folder has been touched.
    pub fn put(&self, path: &str, bytes: &[u8], inputs: Fingerprint) -> Result<(), PublishError> {
        let content = Fingerprint::of(bytes);
        {
            let mut run = self.run();
            run.made_from.files.insert(path.to_owned(), inputs);
            if run.new.files.insert(path.to_owned(), content).is_some() {
                run.obstacles.push((path.to_owned(), Obstacle::Twice));
                return Ok(());
            }
        }
        match self.look(path, bytes, content) {
            Err(obstacle) => self.in_the_way(path, obstacle),
            Ok(Standing::Same) => self.run().unchanged += 1,
            Ok(Standing::Other) => {
                let temporary = self.stage(path, bytes)?;
                self.run().staged.push((temporary, path.to_owned()));
            }
        }
        Ok(())
    }

    /// Puts everything in place. Comes back with what each file was made from, for the next run.
    ///
    /// # Errors
    /// [`PublishError`] with all that stands in the way, or with what the disk did not take. Nothing has been touched then, unless
    /// it says so.
    pub fn finish(self) -> Result<(Published, Manifest), PublishError> {
        let stale = self.stale();
        let mut obstacles = take(&mut self.run().obstacles);
        if !obstacles.is_empty() {
            obstacles.sort();
            obstacles.dedup();
            return Err(PublishError::InTheWay(obstacles));
        }
        let (new, made_from, staged, unchanged) = {
            let mut run = self.run();
            (take(&mut run.new), take(&mut run.made_from), take(&mut run.staged), run.unchanged)
        };
        let done = Published { written: staged.len(), unchanged, removed: stale.len() };
        if staged.is_empty() && stale.is_empty() && new == self.old && self.cut_off.files.is_empty() {
            return Ok((done, made_from));
        }
        let journal = self.journal(&new)?;
        self.run().placing = true;
        for (temporary, path) in &staged {
            let target = self.root.join(path);
            let folder = target.parent().map_or(Ok(()), fs::create_dir_all);
            folder.and_then(|()| fs::rename(temporary, &target)).map_err(|e| PublishError::disk(path, e, true))?;
        }
        let mut emptied = BTreeSet::new();
        for path in &stale {
            let target = self.root.join(path);
            fs::remove_file(&target).map_err(|e| PublishError::disk(path, e, true))?;
            emptied.extend(target.parent().filter(|folder| *folder != self.root).map(Path::to_owned));
        }
        for folder in emptied.iter().rev() {
            // Only a folder with nothing left in it goes; anything else in it is not ours.
            let _ = fs::remove_dir(folder);
        }
        fs::rename(&journal, self.root.join(MANIFEST)).map_err(|e| PublishError::disk(MANIFEST, e, true))?;
        let mut run = self.run();
        (run.placing, run.done) = (false, true);
        drop(run);
        Ok((done, made_from))
    }

    /// The list of what is about to stand, under its own name in the staging folder.
    fn journal(&self, new: &Manifest) -> Result<PathBuf, PublishError> {
        let temporary = self.stage(MANIFEST, new.text().as_bytes())?;
        let journal = self.root.join(STAGING).join(MANIFEST);
        fs::rename(temporary, &journal).map_err(|error| PublishError::disk(MANIFEST, error, false))?;
        Ok(journal)
    }

    /// Files Ruleout wrote and writes no longer. One edited by hand stands in the way.
    fn stale(&self) -> Vec<String> {
        let known: BTreeSet<&String> = self.old.files.keys().chain(self.cut_off.files.keys()).collect();
        let mut stale = Vec::new();
        for path in known {
            if self.run().new.files.contains_key(path) || path_slip(path).is_some() {
                continue;
            }
            if self.folder_obstacle(path).is_some() {
                continue;
            }
            let target = self.root.join(path);
            let Ok(found) = fs::symlink_metadata(&target) else { continue };
            let ours =
                found.is_file() && fs::read(&target).is_ok_and(|bytes| self.is_ours(path, Fingerprint::of(&bytes)));
            if ours || (found.is_file() && self.overwrite) {
                stale.push(path.clone());
            } else {
                self.in_the_way(path, Obstacle::EditedAndStale);
            }
        }
        stale
    }

    /// What stands at a path now, against what shall stand there.
    fn look(&self, path: &str, bytes: &[u8], content: Fingerprint) -> Result<Standing, Obstacle> {
        if path == MANIFEST {
            return Err(Obstacle::BadPath("this is the name of the list of pages".to_owned()));
        }
        if let Some(slip) = path_slip(path) {
            return Err(Obstacle::BadPath(slip));
        }
        if let Some(obstacle) = self.folder_obstacle(path) {
            return Err(obstacle);
        }
        let target = self.root.join(path);
        let found = match fs::symlink_metadata(&target) {
            Ok(found) => found,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Standing::Other),
            Err(error) => return Err(Obstacle::Unreadable(error.to_string())),
        };
        if found.is_symlink() {
            return Err(Obstacle::Link);
        }
        if !found.is_file() {
            return Err(Obstacle::Folder);
        }
        let known = self.old.files.contains_key(path) || self.cut_off.files.contains_key(path);
        let stands = fs::read(&target).map_err(|error| Obstacle::Unreadable(error.to_string()))?;
        if stands == bytes {
            return Ok(Standing::Same);
        }
        if !known {
            return Err(Obstacle::NotOurs);
        }
        if !self.overwrite && !self.is_ours(path, Fingerprint::of(&stands)) && Fingerprint::of(&stands) != content {
            return Err(Obstacle::Edited);
        }
        Ok(Standing::Other)
    }

    fn is_ours(&self, path: &str, stands: Fingerprint) -> bool {
        [&self.old, &self.cut_off].iter().any(|list| list.files.get(path).is_some_and(|content| *content == stands))
    }

    /// What stands in the way of the folders a path lies in.
    fn folder_obstacle(&self, path: &str) -> Option<Obstacle> {
        let (folder, _) = path.rsplit_once('/')?;
        if let Some(known) = self.run().folders.get(folder) {
            return known.clone();
        }
        let mut obstacle = None;
        let mut so_far = self.root.clone();
        for part in folder.split('/') {
            so_far.push(part);
            match fs::symlink_metadata(&so_far) {
                Ok(found) if found.is_symlink() => obstacle = Some(Obstacle::FolderIsLink),
                Ok(found) if !found.is_dir() => obstacle = Some(Obstacle::FolderIsFile),
                Ok(_) => continue,
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => obstacle = Some(Obstacle::Unreadable(error.to_string())),
            }
            break;
        }
        self.run().folders.insert(folder.to_owned(), obstacle.clone());
        obstacle
    }

    fn in_the_way(&self, path: &str, obstacle: Obstacle) {
        self.run().obstacles.push((path.to_owned(), obstacle));
    }

    /// Writes bytes under a temporary name.
    fn stage(&self, path: &str, bytes: &[u8]) -> Result<PathBuf, PublishError> {
        self.open_staging()?;
        let name = self.next_name.fetch_add(1, Ordering::Relaxed);
        let temporary = self.root.join(STAGING).join(format!("{name}.part"));
        let written = fs::File::create(&temporary).and_then(|mut file| file.write_all(bytes));
        match written {
            Ok(()) => Ok(temporary),
            Err(error) => {
                let _ = fs::remove_file(&temporary);
                Err(PublishError::disk(path, error, false))
            }
        }
    }

    /// Makes the staging folder, once, and keeps other runs out of it.
    fn open_staging(&self) -> Result<(), PublishError> {
        let mut run = self.run();
        if run.lock.is_some() {
            return Ok(());
        }
        let told = |error| PublishError::disk(STAGING, error, false);
        run.created_root = !self.root.exists();
        let staging = self.root.join(STAGING);
        if fs::symlink_metadata(&staging).is_ok_and(|found| !found.is_dir()) {
            return Err(PublishError::InTheWay(vec![(STAGING.to_owned(), Obstacle::NotOurs)]));
        }
        fs::create_dir_all(&staging).map_err(told)?;
        let lock = fs::File::create(staging.join(LOCK)).map_err(told)?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(fs::TryLockError::WouldBlock) => return Err(PublishError::Busy(shown(&self.root))),
            // A disk that knows no locks: publishing still works, two runs at once are then up to the user.
            Err(fs::TryLockError::Error(_)) => {}
        }
        remove_parts(&staging);
        run.lock = Some(lock);
        Ok(())
    }

    fn run(&self) -> MutexGuard<'_, Run> {
        // A thread that panicked left a list with one entry less at worst.
        self.run.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Publisher {
    /// Takes away what was written beside the pages, whether they were published or not.
    fn drop(&mut self) {
        let mut run = self.run();
        if run.lock.is_none() {
            return;
        }
        let staging = self.root.join(STAGING);
        remove_parts(&staging);
        // The list of a run that was cut off stays until one is done: it says which pages are ours.
        if !run.placing && (self.cut_off.files.is_empty() || run.done) {
            let _ = fs::remove_file(staging.join(MANIFEST));
        }
        let _ = fs::remove_file(staging.join(LOCK));
        run.lock = None;
        let _ = fs::remove_dir(&staging);
        if run.created_root && !run.done {
            // Only where nothing was put into it.
            let _ = fs::remove_dir(&self.root);
        }
    }
}

/// What stands at a path.
enum Standing {
    /// The very bytes.
    Same,
    /// Nothing, or an older page of ours.
    Other,
}

/// Removes what runs leave in the staging folder; nothing else in it is touched.
fn remove_parts(staging: &Path) {
    for entry in fs::read_dir(staging).into_iter().flatten().flatten() {
        if entry.path().extension().is_some_and(|extension| extension == "part") {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn read_manifest(path: &Path, name: &str) -> Result<Manifest, PublishError> {
    match fs::read_to_string(path) {
        Ok(text) => Manifest::parse(&text).map_err(|why| PublishError::List { name: name.to_owned(), why }),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(Manifest::default()),
        Err(error) if error.kind() == ErrorKind::InvalidData => {
            Err(PublishError::List { name: name.to_owned(), why: "it is not text".to_owned() })
        }
        Err(error) => Err(PublishError::disk(name, error, false)),
    }
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}
