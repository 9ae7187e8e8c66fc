//! The pictures of a playbook, looked at where they lie.

use super::folder::{self, shown};
use crate::check::pictures::{self, Slip};
use crate::language;
use crate::site::output::path_slip;
use crate::site::picture::picture_slip;
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::source::Source;
use std::path::Path;
use std::sync::Arc;

/// What is wrong with the pictures a playbook shows.
pub(super) fn problems(source: &Arc<Source>) -> Vec<Problem> {
    let path = Path::new(source.path());
    match language::parse(source).0 {
        Some(tree) => pictures::files(&tree, &|file| picture(path, file).err()),
        None => Vec::new(),
    }
}

/// The picture of this name beside the playbook at `path`, fit to be copied into a site.
pub(super) fn picture(path: &Path, file: &str) -> Result<Vec<u8>, Slip> {
    if let Some(slip) = path_slip(file) {
        return Err(Slip::Refused(format!("Name a file in the playbook's own folder; {slip}.")));
    }
    let beside = path.parent().unwrap_or(Path::new("."));
    let bytes = folder::bytes_of(&beside.join(file)).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => Slip::Missing { near: near(beside, file) },
        _ => Slip::Refused(format!("It can't be opened: {}.", folder::reason(Some(&error)))),
    })?;
    match picture_slip(file, &bytes) {
        Some(slip) => Err(Slip::Refused(slip)),
        None => Ok(bytes),
    }
}

/// The file beside the playbook, or below it, that may have been meant.
fn near(beside: &Path, file: &str) -> Option<String> {
    let files: Vec<String> = walkdir::WalkDir::new(beside)
        .max_depth(3)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file())
        .filter_map(|entry| entry.path().strip_prefix(beside).ok().map(shown))
        .filter(|name| picture_slip(name, &[]).is_none_or(|slip| !slip.starts_with("A picture is a file ending")))
        .take(500)
        .collect();
    let name = |path: &str| path.rsplit('/').next().unwrap_or("").to_lowercase();
    // In another folder under its own name, or here under another.
    let elsewhere = files.iter().find(|there| name(there) == name(file));
    elsewhere.map(String::as_str).or_else(|| nearest(file, files.iter().map(String::as_str))).map(str::to_owned)
}
