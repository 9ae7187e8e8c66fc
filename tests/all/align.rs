//! Laying playbooks out: fixed cases, the samples, and made-up playbooks by the thousand.
//!
//! Made-up playbooks are written with blanks, units, signs and comments in any way the language takes; laid out they have to read the
//! same, and laid out once more they have to stay as they are. `align` compares the trees itself; here the text is compared too, so
//! that a comparison that has gone blind is seen.

#![expect(clippy::disallowed_methods, reason = "tests read their cases")]

use ruleout::language::align::align;
use ruleout::language::parse;
use ruleout::text::source::Source;
use std::fs;
use std::path::Path;

fn laid_out(text: &str) -> String {
    align(&Source::new("case.playbook", text)).unwrap_or_else(|problems| panic!("{}\n{text}", problems[0].message))
}

#[test]
fn one_form_of_every_line() {
    // The line as written, its block, the line as laid out.
    let cases = [
        ("measure VAC from L1 to L2 , call  it  supply", "test", "measure    V AC from L1 to L2, call it supply"),
        (
            "measure VDC across relay, loaded, highest over 10sec",
            "test",
            "measure    V DC across relay, highest over 10 s, loaded",
        ),
        ("measure inches of water at inlet", "test", "measure    inWC at inlet"),
        ("measure \"wc at inlet", "test", "measure    inWC at inlet"),
        ("measure megohms of element", "test", "measure    Mohm of element"),
        ("measure microamps DC at flame-signal", "test", "measure    uA DC at flame-signal"),
        ("measure V AC across that  zone.relay", "test", "measure    V AC across that zone.relay"),
        ("calculate i1*2 + (i2) x 3", "test", "calculate  i1 × 2 + i2 × 3"),
        ("calculate a - (b - c)/2 in mV", "test", "calculate  a - (b - c) ÷ 2 in mV"),
        ("calculate (a + b) + c", "test", "calculate  a + b + c"),
        ("calculate a + (b + c)", "test", "calculate  a + (b + c)"),
        ("calculate - ( a + b ) × c", "test", "calculate  -(a + b) × c"),
        ("calculate lowest ( i1,i2 ,i3 )", "test", "calculate  lowest(i1, i2, i3)"),
        ("calculate a - 2 in wc in kPa", "test", "calculate  a - 2 inWC in kPa"),
        ("if below 5amps go to x", "test", "if         below 5 A  go to x"),
        ("if .5 to 5.10 deg F go to x", "test", "if         0.5 to 5.10 °F  go to x"),
        ("if below −3 F go to playbook x", "test", "if         below -3 °F  go to playbook x"),
        ("if above normal at supply go to x", "test", "if         above normal at supply  go to x"),
        ("if OL go to x", "test", "if         OL  go to x"),
        ("wait 1 min or until the light goes out", "test", "wait       1 minute or until the light goes out"),
        ("wait 90 seconds", "test", "wait       90 s"),
        ("takes 4mins", "test", "takes      4 minutes"),
        ("takes 1.5 hrs", "test", "takes      1.5 hours"),
        ("with power  live,covers off", "test", "with       power live, covers off"),
        ("for each  zone", "test", "for        each zone"),
        ("tools clamp meter ,gloves", "test", "tools      clamp meter, gloves"),
        ("picture rod.png:  The rod in the flame", "test", "picture    rod.png: The rod in the flame"),
        ("accept long-sentence :  quoted", "test", "accept     long-sentence: quoted"),
        ("for that zone.relay coil open , fuse-1", "repair", "for        that zone.relay coil open, fuse-1"),
        ("for anything  else", "escalate", "for        anything else"),
        (
            "leave power live , because the freezer is full, and cold",
            "repair",
            "leave      power live, because the freezer is full, and cold",
        ),
        ("unit  b-208,b-240", "playbook", "unit     b-208, b-240"),
        ("finish  a ,b", "playbook", "finish   a, b"),
        ("revised\t2026-10-05", "playbook", "revised  2026-10-05"),
    ];
    for (line, block, want) in cases {
        let heading = if block == "playbook" { String::new() } else { format!("{block} a: A\n") };
        let text = laid_out(&format!("playbook p: P\n{heading}{line}\n"));
        assert_eq!(text.trim_end().lines().last().unwrap().trim_start(), want, "{line:?}");
    }
}

#[test]
fn comments_and_groups_stay() {
    let written = "# Top\n#second\n\n\nplaybook p:P\n# in the head\nsymptom  It is cold\n\n\nfinish a\n\n# ---- tests ----\n\n\n# about a\ntest  a : Volts\n\n   ask Is it on?\n     # between\n\n\n  good yes go to b\n if not quite   go to playbook other\n cannot go to b\n# behind\n\n# about b\n\nescalate b: Bad\nto electrician\n# right above c\nescalate c: Worse\nto electrician\n# the end\n\n# of all\n\n";
    let wanted = "# Top\n#second\n\nplaybook p: P\n# in the head\nsymptom  It is cold\n\nfinish   a\n\n# ---- tests ----\n\n# about a\ntest a: Volts\n  ask        Is it on?\n  # between\n\n  good       yes        go to b\n  if         not quite  go to playbook other\n  cannot     go to b\n  # behind\n\n# about b\n\nescalate b: Bad\n  to         electrician\n\n# right above c\nescalate c: Worse\n  to         electrician\n  # the end\n\n# of all\n";
    assert_eq!(laid_out(written), wanted);
    assert_eq!(laid_out(wanted), wanted);
    assert_eq!(laid_out(&written.replace('\n', "\r\n")), wanted, "with Windows line ends");
}

#[test]
fn a_playbook_with_errors_is_left_alone() {
    let problems = align(&Source::new("case.playbook", "playbook p: P\ntest a: A\ndonut\n")).unwrap_err();
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].rule.code, "unknown-line");
}

#[test]
fn the_samples_are_laid_out() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for folder in ["playbooks", "tests/cases/language"] {
        for path in walkdir::WalkDir::new(root.join(folder)).sort_by_file_name() {
            let path = path.unwrap().into_path();
            if path.extension().is_none_or(|end| end != "playbook") {
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            if let Ok(once) = align(&Source::new("case.playbook", text.as_str())) {
                assert_eq!(laid_out(&once), once, "{}", path.display());
                assert_eq!(without_blanks(&comments(&text)), without_blanks(&comments(&once)), "{}", path.display());
                count += 1;
            }
        }
    }
    assert!(count >= 4, "only {count} playbooks found");
}

fn comments(text: &str) -> String {
    text.lines().filter(|line| line.trim_start().starts_with('#')).collect()
}

fn without_blanks(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[test]
fn made_up_playbooks_read_the_same_laid_out() {
    for seed in 1..=400 {
        let mut dice = Dice(seed);
        let written = playbook(&mut dice);
        let source = Source::new("made-up.playbook", written.as_str());
        let (_, problems) = parse(&source);
        assert!(problems.is_empty(), "seed {seed}: {} `{}`\n{written}", problems[0].message, problems[0].place.text());
        let once = align(&source).unwrap_or_else(|told| panic!("seed {seed}: {}\n{written}", told[0].place.text()));
        assert_eq!(laid_out(&once), once, "seed {seed}");
        // What is prose stays letter for letter.
        for word in ["do", "danger", "why", "because", "symptom", "part"] {
            assert_eq!(prose(&written, word), prose(&once, word), "seed {seed}");
        }
        assert_eq!(without_blanks(&comments(&written)), without_blanks(&comments(&once)), "seed {seed}");
    }
}

/// What the lines that start with `word` say, without outer blanks.
fn prose(text: &str, word: &str) -> Vec<String> {
    text.lines()
        .filter_map(|line| line.trim().strip_prefix(word))
        .filter(|rest| rest.starts_with([' ', '\t']))
        .map(|rest| rest.trim().replace('\t', " "))
        .collect()
}

/// A small generator of numbers, the same on every machine (xorshift, after Marsaglia, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from((self.0 >> 11) % sides as u64).unwrap()
    }

    fn pick<'a>(&mut self, from: &[&'a str]) -> &'a str {
        from[self.roll(from.len())]
    }

    fn gap(&mut self) -> &'static str {
        ["", " ", "   ", "\t", " "][1 + self.roll(4)]
    }

    fn maybe(&mut self) -> &'static str {
        ["", " ", "  "][self.roll(3)]
    }
}

fn playbook(dice: &mut Dice) -> String {
    let mut text = String::new();
    noise(dice, &mut text);
    text.push_str(&format!(
        "playbook{}p{}{}:{}Title: with a colon\n",
        dice.gap(),
        dice.roll(9),
        dice.maybe(),
        dice.maybe()
    ));
    let kinds = ["test", "test", "test", "repair", "adjust", "escalate"];
    let head = ["unit", "symptom", "revised", "finish", "was", "accept"];
    lines(dice, &mut text, &head, false);
    for number in 0..1 + dice.roll(6) {
        let kind = dice.pick(&kinds);
        text.push_str(&format!("{kind}{}n{number}{}:{}The title, {number}\n", dice.gap(), dice.maybe(), dice.maybe()));
        let asks = kind == "test" && dice.roll(2) == 0;
        let words: &[&str] = match kind {
            "test" if asks => &[
                "for", "with", "tools", "danger", "do", "wait", "picture", "why", "ask", "answers", "good", "if", "if",
                "all", "cannot", "takes", "measure",
            ],
            "test" => &[
                "for",
                "with",
                "tools",
                "danger",
                "do",
                "wait",
                "why",
                "measure",
                "measure",
                "calculate",
                "good",
                "if",
                "if",
                "all",
                "cannot",
                "takes",
                "accept",
            ],
            "escalate" => &["for", "to", "because", "because", "leave", "do"],
            _ => &["for", "with", "part", "tools", "danger", "do", "do", "wait", "verify", "leave", "takes"],
        };
        let words: Vec<&str> = if kind == "adjust" {
            words.iter().copied().filter(|word| *word != "part").collect()
        } else {
            words.to_vec()
        };
        lines(dice, &mut text, &words, asks);
    }
    text
}

/// Comments and blank lines, now and then.
fn noise(dice: &mut Dice, text: &mut String) {
    for _ in 0..dice.roll(3) {
        match dice.roll(4) {
            0 => text.push('\n'),
            1 => text.push_str(&format!("{}# a comment: do nothing\n", dice.maybe())),
            2 => text.push_str("  \t\n"),
            _ => {}
        }
    }
}

fn lines(dice: &mut Dice, text: &mut String, words: &[&str], asks: bool) {
    for word in words {
        noise(dice, text);
        if dice.roll(4) == 0 && *word != "ask" {
            continue;
        }
        let body = body(dice, word, asks);
        let line = format!("{}{word}{}{body}{}\n", dice.maybe(), dice.gap(), dice.maybe());
        text.push_str(&line);
    }
    noise(dice, text);
}

fn body(dice: &mut Dice, word: &str, asks: bool) -> String {
    match word {
        "unit" | "finish" | "verify" => {
            (0..1 + dice.roll(3)).map(|n| format!("name-{n}")).collect::<Vec<_>>().join([",", ", ", " ,"][dice.roll(3)])
        }
        "tools" => ["clamp meter, gloves", "one wrench", "meter ,  hex key 1/4 in"][dice.roll(3)].to_owned(),
        "revised" => "2024-02-29".to_owned(),
        "was" | "answers" => "old-name".to_owned(),
        "accept" => format!("some-code{}:{}because it is so", dice.maybe(), dice.maybe()),
        "for" => {
            let forms = [
                "each zone",
                "that zone",
                "that zone.relay",
                "that zone.relay coil open",
                "relay",
                "relay coil  open, fuse-1",
                "anything else",
                "zone-3.relay , k1.a welded",
            ];
            dice.pick(&forms).to_owned()
        }
        "with" => format!("power{}live{},{}covers off", dice.gap(), dice.maybe(), dice.maybe()),
        "leave" => dice
            .pick(&[
                "power live",
                "power live, covers on",
                "power live, because it is full, and cold",
                "heat off ,because so",
            ])
            .to_owned(),
        "wait" | "takes" => {
            let time = format!(
                "{}{}{}",
                number(dice),
                dice.maybe(),
                dice.pick(&["s", "min", "minutes", "seconds", "h", "hour"])
            );
            if word == "wait" && dice.roll(2) == 0 {
                format!("{time} or{}until it says go to work", dice.gap())
            } else {
                time
            }
        }
        "picture" => dice.pick(&["a.png: The rod", "sub/a.png:  Seen: from left", "a b.png"]).to_owned(),
        "measure" => {
            let unit = dice.pick(&[
                "V AC",
                "VAC",
                "volts DC",
                "uA DC",
                "µA",
                "ohms",
                "Ω",
                "in wc",
                "\"wc",
                "inches of water",
                "deg F",
                "°C",
                "F",
                "Hz",
                "%",
                "amps",
            ]);
            let place = dice.pick(&[
                "across relay",
                "through L1",
                "from  L1  to N",
                "from that zone.A to zone-2.B",
                "of element",
                "at inlet",
                "across that zone.relay",
            ]);
            let mut text = format!("{unit}{}{place}", dice.gap());
            if dice.roll(2) == 0 {
                text.push_str(&format!(
                    ",{}{} over {} s",
                    dice.maybe(),
                    dice.pick(&["highest", "lowest", "average", "change"]),
                    number(dice)
                ));
            }
            if dice.roll(3) == 0 {
                text.push_str(" , loaded");
            }
            if dice.roll(2) == 0 {
                text.push_str(&format!(",{}call it r-{}", dice.maybe(), dice.roll(9)));
            }
            text
        }
        "calculate" => {
            let in_unit = dice.pick(&["", "", " in V", " in deg F"]);
            format!("{}{in_unit}", sum(dice, 3))
        }
        "good" | "if" | "all" => {
            let when = if asks {
                dice.pick(&["yes", "no, never", "it goes to work", "ran past 350 °F", "5 to 10"]).to_owned()
            } else {
                limit(dice)
            };
            format!("{when}{}{}", dice.gap(), target(dice))
        }
        "cannot" => target(dice),
        _ => dice
            .pick(&[
                "Open the panel.",
                "A: b, c; d # e",
                "if <b>below</b> 5 A go to x",
                "\"Quoted\"  twice 1,200 times",
                "Ångström µ Ω ✓",
            ])
            .to_owned(),
    }
}

fn target(dice: &mut Dice) -> String {
    format!("go to{}{}", dice.gap(), dice.pick(&["n1", "playbook other", "playbook", "a-long-name"]))
}

fn number(dice: &mut Dice) -> String {
    dice.pick(&["1", "5", "0.5", ".25", "12.0", "350", "100.10"]).to_owned()
}

fn limit(dice: &mut Dice) -> String {
    let unit = dice.pick(&["V", "VAC", "amps", "ohm", "°F", "deg F", "in wc", "s", "min", "%"]);
    let (gap, blank) = (dice.gap(), dice.maybe());
    match dice.roll(8) {
        0 => "OL".to_owned(),
        1 => "normal".to_owned(),
        2 => format!("{}{gap}normal", dice.pick(&["below", "above"])),
        3 => format!("{}normal{gap}at{gap}supply", dice.pick(&["below ", "above  ", ""])),
        4 => format!("1 {unit}{gap}to 400{blank}{unit}"),
        5 => format!("-1{gap}to{gap}4.50 {unit}"),
        _ => format!("{}{gap}{}{blank}{unit}", dice.pick(&["below", "above"]), number(dice)),
    }
}

fn sum(dice: &mut Dice, deep: usize) -> String {
    if deep == 0 {
        return dice.pick(&["i1", "supply-volts", "5", "2 A", "0.5 in wc", "3%", "10 °F"]).to_owned();
    }
    let (left, right) = (sum(dice, deep - 1), sum(dice, deep - 1));
    let blank = dice.maybe();
    match dice.roll(8) {
        0 => format!("{left} - {right}"),
        1 => format!("{left}{blank}+{blank}{right}"),
        2 => format!("{left} x {right}"),
        3 => format!("({left}){blank}/ ({right})"),
        4 => format!("({left} − {right}){blank}×{blank}2"),
        5 => format!("lowest({left},{blank}{right} )"),
        6 => format!("-{blank}({left})"),
        _ => left,
    }
}
