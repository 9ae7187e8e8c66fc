//! How fast playbooks are read: megabytes a second on one core, against a bare split of the same text into lines.
//! `cargo bench --bench reading`; prints figures, and fails under 50 MB/s or where a generated playbook is not read whole.
//!
//! Aim and way of measuring: 50 MB/s for text as `align` lays it out, source and tree built, problems looked for, one thread.

#![expect(clippy::disallowed_methods, reason = "a benchmark times")]
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a benchmark prints what it measured and stops at the first thing that is wrong"
)]

use ruleout::language::parse;
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};

/// The least rate, in megabytes a second.
const AIM: f64 = 50.0;

/// How often the bare split is done in one measurement.
const SPLITS: u32 = 50;

/// One playbook of 20 tests, 3 repairs, an adjust and 2 escalations, its words and numbers varied by `seed`.
fn playbook(seed: usize) -> String {
    let mut text = String::new();
    let n = |step: usize, span: usize| (seed * 7 + step * 13) % span;
    write!(
        text,
        "playbook cold-rinse-{seed}: Final rinse stays cold\n\
        unit     booster-{}, booster-{}\n\
        symptom  Rinse water never gets hot\n\
        symptom  Plates come out wet and spotted\n\
        revised  2026-{:02}-{:02}\n\
        finish   run-to-set-point, heat-off\n",
        200 + n(0, 40),
        440 + n(1, 40),
        1 + n(2, 12),
        1 + n(3, 28)
    )
    .unwrap();
    for at in 0..20 {
        let next = at + 1;
        writeln!(text, "\ntest step-{at}: Volts and amps at place {at}").unwrap();
        match n(at, 3) {
            0 => write!(text, "  with       power live, covers off, heat calling\n\
                \x20 danger     Live parts behind this panel: keep hands and leads out of it, clamp only on the taped leads.\n\
                \x20 do         Clamp L1, L2 and L3 in turn while the rinse runs.\n\
                \x20 measure    V AC from L1 to L2, call it supply-{at}\n\
                \x20 measure    A through L1, call it i1\n\
                \x20 measure    A through L2, call it i2\n\
                \x20 calculate  lowest(i1, i2) - supply-{at} / 20 ohm\n\
                \x20 good       normal at supply-{at}        go to step-{next}\n\
                \x20 if         below 1 A               go to step-{next}\n\
                \x20 if         below normal at supply-{at}  go to change-relay\n\
                \x20 if         above normal at supply-{at}  go to change-relay\n\
                \x20 cannot     go to bad-supply\n\
                \x20 takes      {} minutes\n", 1 + n(at, 9)).unwrap(),
            1 => write!(text, "  with       power locked-out, covers off\n\
                \x20 caution    Let it cool. The burner box is over 400 °F after a run.\n\
                \x20 why        A contact that drops volts under load shows it here and nowhere else.\n\
                \x20 measure    V AC across heater-relay.a, highest over 30 s\n\
                \x20 good       below {} V       go to step-{next}\n\
                \x20 if         {} V to 195 V    go to change-relay\n\
                \x20 if         above 195 V     go to bad-supply\n\
                \x20 takes      3 minutes\n", 2 + n(at, 5), 2 + n(at, 5)).unwrap(),
            _ => write!(text, "  with       power live, covers on, heat calling\n\
                \x20 wait       {} minutes or until the heat light goes out by itself\n\
                \x20 ask        What does the water do at the final rinse jets when the rack is in?\n\
                \x20 good       steady fan from every jet   go to step-{next}\n\
                \x20 if         dribbles or stops halfway   go to reset-limit\n\
                \x20 if         no water at all             go to bad-supply\n\
                \x20 takes      12 minutes\n", 5 + n(at, 20)).unwrap(),
        }
    }
    text.push_str("\n\
        test step-20: Run it to set point\n  with       power live, covers on, heat calling\n  ask        Did it reach 180 °F and shut off?\n\
        \x20 good       yes  go to bad-supply\n  if         no   go to bad-supply\n\n\
        test run-to-set-point: Run to set point\n  ask        Did it get there?\n  good       yes  go to bad-supply\n  if         no   go to bad-supply\n\n\
        test heat-off: Turned off, is it off?\n  ask        Is it off?\n  good       yes  go to bad-supply\n  if         no   go to bad-supply\n\n\
        repair change-relay: Replace the heater relay\n  with       power locked-out, covers off\n  for        heater-relay\n\
        \x20 part       Heater relay, 24 V coil, 50 A\n  do         Mark every lead before you take it off.\n\
        \x20 do         Torque the line lugs to the figure on the label.\n  verify     step-0, step-1\n  leave      power locked-out\n\n\
        adjust reset-limit: Reset the high limit\n  for        high-limit tripped\n  danger     The plate behind it is live: use the insulated rod.\n\
        \x20 do         Press the red button until it clicks.\n  verify     step-1\n\n\
        escalate bad-supply: The supply is wrong\n  for        mains, fuse-1\n  to         electrician\n\
        \x20 because    The supply is low or a leg is gone. The machine is not at fault.\n  leave      power locked-out\n");
    text
}

/// Time this thread has had on a core: what other programs take of the machine is not counted. Linux keeps it in nanoseconds as the
/// first number of `schedstat`; elsewhere the clock on the wall has to do.
fn on_core(start: Instant) -> Duration {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split(' ').next()?.parse().ok())
        .map_or_else(|| start.elapsed(), Duration::from_nanos)
}

/// The shortest of several runs: what the machine can do when nothing else is in the way.
fn shortest(mut run: impl FnMut()) -> Duration {
    let clock = Instant::now();
    let mut once = || {
        let start = on_core(clock);
        run();
        on_core(clock) - start
    };
    (0..15).map(|_| once()).min().unwrap()
}

fn main() {
    let texts: Vec<String> = (0..500).map(playbook).collect();
    for text in &texts {
        let (read, problems) = parse(&Source::new("generated.playbook", text.as_str()));
        assert!(problems.is_empty(), "{:?}", problems.first().map(|problem| (&problem.message, problem.place.text())));
        assert_eq!(read.unwrap().blocks.len(), 26, "a block is missing");
    }
    let bytes: usize = texts.iter().map(String::len).sum();
    let megabytes = bytes as f64 / 1e6;
    let lines: usize = texts.iter().map(|text| text.lines().count()).sum();

    let reading = shortest(|| {
        for text in &texts {
            black_box(parse(&Source::new("generated.playbook", text.as_str())));
        }
    });
    // The core's time is counted in steps of a few milliseconds, so that the short work is done many times.
    let splitting = shortest(|| {
        for text in (0..SPLITS).flat_map(|_| &texts) {
            for line in text.split('\n') {
                black_box(line.trim());
            }
        }
    }) / SPLITS;
    let rate = megabytes / reading.as_secs_f64();
    println!("{} playbooks, {lines} lines, {megabytes:.1} MB", texts.len());
    println!("read:          {rate:.1} MB/s, {:.0} ns a line", reading.as_secs_f64() * 1e9 / lines as f64);
    println!("lines split:   {:.1} MB/s", megabytes / splitting.as_secs_f64());
    println!("read / split:  {:.1}", reading.as_secs_f64() / splitting.as_secs_f64());
    assert!(rate >= AIM, "under {AIM} MB/s");
}
