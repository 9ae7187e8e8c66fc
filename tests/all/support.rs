//! A run of the real program in a folder of its own: files, words on the command line, what it should print, how it should end.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A temporary folder with files, in which the program is run.
pub struct Kitchen {
    folder: tempfile::TempDir,
}

/// What a run printed and how it ended.
pub struct Told {
    pub out: String,
    pub err: String,
    pub code: i32,
}

impl Kitchen {
    /// An empty folder.
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// The folder itself.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// With a file in it.
    pub fn with(self, path: &str, text: impl AsRef<[u8]>) -> Self {
        self.write(path, text);
        self
    }

    /// With a copy of a folder of this project.
    pub fn with_folder(self, from: &str, to: &str) -> Self {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(from);
        for entry in walkdir::WalkDir::new(&from).into_iter().map(|entry| entry.expect("a readable folder")) {
            if entry.file_type().is_file() {
                let below = entry.path().strip_prefix(&from).expect("below");
                let text = std::fs::read(entry.path()).expect("a readable file");
                self.write(&Path::new(to).join(below).to_string_lossy(), text);
            }
        }
        self
    }

    /// Writes a file.
    pub fn write(&self, path: &str, text: impl AsRef<[u8]>) {
        let path = self.path().join(path);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(path, text).expect("a written file");
    }

    /// Reads a file.
    pub fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.path().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    /// Every file below a folder, by path, with its bytes.
    pub fn files(&self, below: &str) -> Vec<(PathBuf, Vec<u8>)> {
        let root = self.path().join(below);
        walkdir::WalkDir::new(&root)
            .sort_by_file_name()
            .into_iter()
            .filter_map(Result::ok)
            .filter(|entry| entry.file_type().is_file())
            .map(|entry| {
                let bytes = std::fs::read(entry.path()).expect("a readable file");
                (entry.path().strip_prefix(&root).expect("below").to_owned(), bytes)
            })
            .collect()
    }

    /// Runs the program with these words, nothing typed.
    pub fn run(&self, words: &[&str]) -> Told {
        self.typed(words, "")
    }

    /// Runs the program and types this.
    pub fn typed(&self, words: &[&str], typed: &str) -> Told {
        let mut child = self
            .command(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        {
            use std::io::Write;
            let mut stdin = child.stdin.take().expect("a typed line");
            // A program that has ended no longer reads.
            let _ = stdin.write_all(typed.as_bytes());
        }
        Told::of(child.wait_with_output().expect("the program ends"))
    }

    /// The program with these words, to be run in some other way.
    pub fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
        command.args(words).current_dir(self.path()).env("NO_COLOR", "1").env("COLUMNS", "100");
        // What came of shakedowns is kept by content, so all tests may share it; never in the home of whoever runs them.
        command.env("XDG_CACHE_HOME", concat!(env!("CARGO_TARGET_TMPDIR"), "/cache"));
        // Records go into the kitchen's own folder, never into the home of whoever runs them.
        command.env("XDG_DATA_HOME", self.path().join("data"));
        command
    }
}

impl Told {
    fn of(output: Output) -> Self {
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8").replace("\r\n", "\n");
        Self {
            out: text(output.stdout),
            err: text(output.stderr),
            code: output.status.code().unwrap_or_else(|| panic!("ended by a signal: {:?}", output.status)),
        }
    }

    /// It ended with this code; else everything it printed is shown.
    #[track_caller]
    pub fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, code, "\n--- printed\n{}\n--- told\n{}", self.out, self.err);
        self
    }

    /// It printed these words, on either road.
    #[track_caller]
    pub fn says(self, words: &str) -> Self {
        assert!(
            self.out.contains(words) || self.err.contains(words),
            "{words:?} is not in\n--- printed\n{}\n--- told\n{}",
            self.out,
            self.err
        );
        self
    }

    /// It did not print these words.
    #[track_caller]
    pub fn never_says(self, words: &str) -> Self {
        assert!(
            !self.out.contains(words) && !self.err.contains(words),
            "{words:?} is in\n--- printed\n{}\n--- told\n{}",
            self.out,
            self.err
        );
        self
    }
}

/// A unit of the project with its shop's meter, ready to be read.
pub fn desks(sheet: &str, shop: &ruleout::sheet::shop::Shop) -> ruleout::corners::Desks {
    let text = std::fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(sheet)).unwrap();
    desks_of(sheet, &text, shop)
}

/// The same of a sheet that is at hand.
pub fn desks_of(name: &str, text: &str, shop: &ruleout::sheet::shop::Shop) -> ruleout::corners::Desks {
    let (unit, problems) = ruleout::sheet::unit::read(&ruleout::text::source::Source::new(name, text), shop);
    let (wired, more) = ruleout::circuit::unit::wire(&std::sync::Arc::new(unit));
    let errors: Vec<_> = problems.iter().chain(&more).filter(|p| p.is_error()).map(|p| &p.message).collect();
    assert!(errors.is_empty(), "{name}: {errors:?}");
    ruleout::corners::Desks::new(&std::sync::Arc::new(wired), &shop.meter)
}
