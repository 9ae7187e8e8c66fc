//! The whole way from text to pages, as ratios of one run: `cargo bench --bench publish`.
//!
//! 1. Writes 100, 1,000 and 10,000 playbooks of 20 tests, always the same ones, into a memory-backed folder (a disk would be timed else).
//! 2. Runs the real program on them: `check`, `publish`, and `publish` once more with nothing changed.
//! 3. Holds that against `cp -r` of the same output, against itself at another size, and against a bare program's start.
//!
//! A command the program does not have yet is told as such, and its rows are left out.

#![expect(clippy::disallowed_methods, reason = "a benchmark times, and writes its own files")]
#![expect(clippy::print_stdout, clippy::unwrap_used, clippy::expect_used, reason = "a benchmark prints and stops")]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

const SIZES: [usize; 3] = [100, 1_000, 10_000];
const TESTS: usize = 20;

fn main() {
    let memory = Path::new("/dev/shm");
    let home = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.expect("a folder");
    let publishes = has_command("publish");
    let mut checks = Vec::new();
    let mut full = Vec::new();
    for size in SIZES {
        let folder = home.path().join(format!("of-{size}"));
        write_shop(&folder, size);
        fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/playbooks/shop.yaml"), folder.join("shop.yaml"))
            .expect("the shop sheet");
        let (seconds, peak) = run(&["check", text(&folder)], &folder);
        println!("check    {size:>6}: {seconds:>8.3} s, peak {peak} kB");
        checks.push(seconds);
        if publishes {
            let out = home.path().join(format!("out-{size}"));
            let arguments = ["publish", text(&folder), "--to", text(&out)];
            let (first, peak) = run(&arguments, &folder);
            let (again, _) = run(&arguments, &folder);
            let copied = copy(&out, &home.path().join(format!("copy-{size}")));
            println!("publish  {size:>6}: {first:>8.3} s, peak {peak} kB, again {again:.3} s, cp -r {copied:.3} s");
            full.push((first, again, copied, peak));
        }
    }
    let (bare, own) = start_up(home.path());
    println!("\n{:<46} {:>8}  aim", "", "found");
    if let [_, thousand, ten_thousand] = checks.as_slice() {
        row("check of 10,000 over check of 1,000", ten_thousand / thousand, "at most 11");
    }
    if let [_, thousand, ten_thousand] = full.as_slice() {
        row("publish over cp -r of its output, at 10,000", ten_thousand.0 / ten_thousand.2, "at most 5");
        row("publish of 10,000 over publish of 1,000", ten_thousand.0 / thousand.0, "at most 11");
        row("publish again over publish, at 10,000", ten_thousand.1 / ten_thousand.0, "at most 0.3");
        row("peak memory of publish at 10,000, in MB", ten_thousand.3 as f64 / 1024.0, "at most 64");
    } else {
        println!("this program has no `publish` yet: its rows are left out");
    }
    row("start over the start of a bare program", own / bare, "at most 1.3");
}

fn row(what: &str, found: f64, aim: &str) {
    println!("{what:<46} {found:>8.2}  {aim}");
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_ruleout"))
}

fn has_command(name: &str) -> bool {
    program().args([name, "--help"]).stdout(Stdio::null()).stderr(Stdio::null()).status().expect("runs").success()
}

/// Seconds, and the most memory in kB (`VmHWM`, read while the program still stands; 0 where the system does not tell).
fn run(arguments: &[&str], at: &Path) -> (f64, u64) {
    let start = Instant::now();
    let mut child = program().args(arguments).current_dir(at).stdout(Stdio::null()).spawn().expect("starts");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    loop {
        if let Some(found) = fs::read_to_string(&status).ok().and_then(|text| high_water(&text)) {
            peak = peak.max(found);
        }
        if let Some(ended) = child.try_wait().expect("waits") {
            assert!(ended.code().is_some_and(|code| code == 0), "{arguments:?} ended with {ended}");
            return (start.elapsed().as_secs_f64(), peak);
        }
        std::thread::sleep(std::time::Duration::from_micros(500));
    }
}

fn high_water(status: &str) -> Option<u64> {
    status.lines().find_map(|line| line.strip_prefix("VmHWM:")?.split_whitespace().next()?.parse().ok())
}

fn copy(from: &Path, to: &Path) -> f64 {
    let start = Instant::now();
    assert!(Command::new("cp").arg("-r").args([from, to]).status().expect("cp").success());
    start.elapsed().as_secs_f64()
}

/// Seconds a bare program and this one take to start and end: the best of 200 each, in turn.
fn start_up(home: &Path) -> (f64, f64) {
    let source: PathBuf = home.join("bare.rs");
    let bare = home.join("bare");
    fs::write(&source, "fn main() { println!(\"ruleout 0.1.0\"); }\n").unwrap();
    assert!(Command::new("rustc").args(["-O", "-o"]).args([&bare, &source]).status().expect("rustc").success());
    let once = |mut command: Command| {
        let start = Instant::now();
        assert!(command.stdout(Stdio::null()).status().expect("runs").success());
        start.elapsed().as_secs_f64()
    };
    let mut best = (f64::INFINITY, f64::INFINITY);
    for _ in 0..200 {
        best.0 = best.0.min(once(Command::new(&bare)));
        let mut own = program();
        own.arg("--version");
        best.1 = best.1.min(once(own));
    }
    best
}

fn write_shop(folder: &Path, size: usize) {
    for number in 0..size {
        let family = folder.join(format!("family-{:03}", number / 50));
        fs::create_dir_all(&family).unwrap();
        fs::write(family.join(format!("warmer-{number}.playbook")), playbook(number)).unwrap();
    }
}

/// One playbook of twenty tests down a string of contacts, its numbers drawn from its own number.
fn playbook(number: usize) -> String {
    let volts = match number % 3 {
        0 => 120,
        1 => 208,
        _ => 240,
    };
    let (low, high) = (volts * 9 / 10, volts * 11 / 10);
    let mut text = format!(
        "playbook warmer-{number}: Warming drawer {number} stays cold\nsymptom  Drawer {number} does not get warm\nsymptom  Bread from drawer {number} is cold\n\
         revised  2026-09-{:02}\nfinish   comes-on\n\n\
         test comes-on: Switch it on and look\n  with       power live, covers on\n  do         Press the main switch to ON.\n  ask        What comes on?\n\
         \x20 good       lamp and fan  go to spot-1\n  if         nothing       go to supply-wrong\n  cannot     go to supply-wrong\n  takes      1 minute\n\n",
        1 + number % 28
    );
    for test in 1..TESTS {
        let next = if test + 1 < TESTS { format!("spot-{}", test + 1) } else { "replace-control".to_owned() };
        write!(
            text,
            "test spot-{test}: Volts behind contact {test} of the string\n  with       power live, covers off\n\
             \x20 danger     {volts} V live parts behind this cover will kill: keep hands out, touch only with the probes.\n\
             \x20 do         Hold the lamp on the terminal strip.\n  measure    V AC from A{test} to NEUTRAL, loaded\n\
             \x20 good       {low} to {high} V AC  go to {next}\n  if         below {low} V AC   go to replace-{test}\n  if         above {high} V AC  go to supply-wrong\n\
             \x20 why        Good volts here clear every contact ahead of this spot.\n  takes      {} minutes\n\n",
            1 + (number + test) % 5
        )
        .unwrap();
    }
    for test in 1..TESTS {
        write!(
            text,
            "repair replace-{test}: Replace contact {test}\n  with       power locked-out, covers off\n  for        contact-{test}\n  part       Contact block, {volts} V, 10 A\n\
             \x20 do         Tighten each terminal to the torque on the part.\n  verify     spot-{test}\n\n"
        )
        .unwrap();
    }
    write!(
        text,
        "repair replace-control: Replace the control\n  with       power locked-out, covers off\n  for        control\n  part       Control, {volts} V\n  verify     comes-on\n\n\
         escalate supply-wrong: The supply is wrong\n  for        mains\n  to         electrician\n  because    The supply is outside the rating plate. The drawer is not at fault.\n\
         \x20 leave      power locked-out\n"
    )
    .unwrap();
    text
}
