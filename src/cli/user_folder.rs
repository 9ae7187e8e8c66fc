//! Where a program keeps things of its own for a user: by the XDG Base Directory Specification, and as is usual where that is not
//! used.

use std::path::PathBuf;

/// What may be lost: only time is lost with it. `None` where the system names no folder.
pub fn cache() -> Option<PathBuf> {
    of("XDG_CACHE_HOME", ".cache", "Library/Caches")
}

/// What is to stay. `None` where the system names no folder.
pub fn data() -> Option<PathBuf> {
    of("XDG_DATA_HOME", ".local/share", "Library/Application Support")
}

#[expect(clippy::disallowed_methods, reason = "the environment is read in cli")]
fn of(variable: &str, usual: &str, on_macos: &str) -> Option<PathBuf> {
    let named = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let home = || named("HOME");
    let folder = if cfg!(windows) {
        named("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        home().map(|home| home.join(on_macos))
    } else {
        named(variable).or_else(|| home().map(|home| home.join(usual)))
    };
    folder.map(|folder| folder.join("ruleout"))
}
