//! The terminal of a walk: lines and interrupts in, a timer at the question mark of a `wait`.

use crate::cli::exit::say;
use std::io::{BufRead, IsTerminal, Read};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

/// Longest line taken from the terminal, in bytes; a note of some pages.
const LONGEST_LINE: u64 = 10_000;

/// Home and clear, as every terminal since ECMA-48 takes it.
pub(super) const CLEAR: &str = "\x1b[H\x1b[2J";

/// What comes from outside.
pub(super) enum Heard {
    /// A typed line.
    Line(String),
    /// The input has ended.
    End,
    /// Ctrl-C.
    Interrupt,
}

/// Lines and interrupts, in the order they come.
pub(super) fn listen() -> Receiver<Heard> {
    let (to, heard) = channel();
    let interrupts: Sender<Heard> = to.clone();
    // Without the handler an interrupt ends the program: every event is on the disk all the same.
    let _ = ctrlc::set_handler(move || {
        let _ = interrupts.send(Heard::Interrupt);
    });
    std::thread::spawn(move || {
        while let Some(line) = read_line() {
            if to.send(Heard::Line(line)).is_err() {
                return;
            }
        }
        let _ = to.send(Heard::End);
    });
    heard
}

/// One line of the input; `None` at its end. What is not UTF-8 is shown as such.
#[expect(clippy::disallowed_methods, reason = "the terminal belongs to cli")]
fn read_line() -> Option<String> {
    let mut bytes = Vec::new();
    let mut input = std::io::stdin().lock();
    match input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut bytes) {
        Ok(1..) => {
            let text = String::from_utf8_lossy(&bytes);
            Some(text.trim_end_matches(['\r', '\n']).to_owned())
        }
        Ok(0) | Err(_) => None,
    }
}

#[expect(clippy::disallowed_methods, reason = "the terminal belongs to cli")]
pub(super) fn stdin_is_terminal() -> bool {
    std::io::stdin().is_terminal()
}

#[expect(clippy::disallowed_methods, reason = "the terminal belongs to cli")]
pub(super) fn stdout_is_terminal() -> bool {
    std::io::stdout().is_terminal()
}

/// Waits for a line with a timer at the question mark; what is being typed stays. When the time is up the bell rings, once.
/// The walk goes on by a line only: the timer never answers for anybody.
#[expect(clippy::disallowed_methods, reason = "the clock is read in cli")]
pub(super) fn wait(lines: &Receiver<Heard>, seconds: f64, prompt: &str) -> Option<Heard> {
    let started = Instant::now();
    let (mut shown, mut rung) = (None, false);
    // The longest line it will write, over the question mark that stands there.
    say(&format!("\r{}", left_words(seconds, prompt)));
    loop {
        let left = (seconds - started.elapsed().as_secs_f64()).max(0.0).ceil();
        if shown != Some(left) {
            // Save the cursor, write the line's beginning anew, put the cursor back (DECSC and DECRC).
            say(&format!("\x1b7\r{}\x1b8", left_words(left, prompt)));
            shown = Some(left);
        }
        if left <= 0.0 && !rung {
            say("\x07");
            rung = true;
        }
        match lines.recv_timeout(Duration::from_millis(if rung { 60_000 } else { 200 })) {
            Ok(heard) => return Some(heard),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return None,
        }
    }
}

/// "24:10 left. Enter goes on. done? ", always of the same width.
fn left_words(left: f64, prompt: &str) -> String {
    let words = if left <= 0.0 { "Time is up.".to_owned() } else { format!("{} left.", clock(left)) };
    format!("{words:<14}Enter goes on. {prompt}")
}

/// "24:10", "1:00:00".
fn clock(seconds: f64) -> String {
    let seconds = seconds as u64;
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 { format!("{hours}:{minutes:02}:{seconds:02}") } else { format!("{minutes}:{seconds:02}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_timer_as_it_is_read() {
        for (left, want) in [
            (3600.0, "1:00:00 left. Enter goes on. done? "),
            (1450.0, "24:10 left.   Enter goes on. done? "),
            (59.0, "0:59 left.    Enter goes on. done? "),
            (0.0, "Time is up.   Enter goes on. done? "),
        ] {
            assert_eq!(left_words(left, "done? "), want);
        }
    }
}
