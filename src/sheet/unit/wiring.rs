//! `circuit:`: supplies, and rungs as on the ladder diagram: points and parts in turn.

use super::group::Group;
use super::model::{Given, Grounded, Part, PartId, Point, PointId, Pole, Rung, RungItem, Supply, Unit};
use super::nameplate;
use crate::text::english::{known as known_names, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::text::yaml::WRONG_SHAPE;
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Kind, Text};
use crate::trade::unit::Current;

/// A rung that can't be wired.
pub static RUNG: Rule = Rule {
    code: "rung",
    level: Level::Error,
    says: "A rung is points and parts in turn, with a point at each end: `L1 fuse-1 A1 k1.a T1`. Points start with a capital, parts with a small letter; a point between two parts may be left out.",
    why: "What the meter reads is solved from the rungs, so every wire must end somewhere.",
    wrong: "rungs:\n  - L1 fuse-1 A1 A2 k1.a",
    mended: "rungs:\n  - L1 fuse-1 A1 k1.a T1",
};

/// A part that is nowhere, or twice.
pub static NOT_WIRED: Rule = Rule {
    code: "not-wired",
    level: Level::Error,
    says: "Every pole of every part stands in one rung, once; a part in no rung stands under `outside`.",
    why: "A part that is not wired carries nothing, and its faults would be felt nowhere.",
    wrong: "parts:\n  fuses:\n    fuse-3: {}        (and no rung names it)",
    mended: "circuit:\n  rungs:\n    - L3 fuse-3 A3",
};

/// A supply that can't be.
pub static SUPPLY: Rule = Rule {
    code: "supply",
    level: Level::Error,
    says: "A supply has `points`, `volts` (a line of the rating plate) and `grounded`: one of its points, `middle`, `wye`, `corner`, `high-leg` or `none`.",
    why: "The same 208 V reads 120 V to ground on a wye and 208 V on a grounded corner.",
    wrong: "mains: { points: [L1, L2, L3], volts: line }",
    mended: "mains: { points: [L1, L2, L3], volts: line, grounded: wye }",
};

const WORDS: [&str; 5] = ["middle", "wye", "corner", "high-leg", "none"];
/// What they mean, in the same order.
const GROUNDED: [Grounded; 5] = [Grounded::Middle, Grounded::Wye, Grounded::Corner, Grounded::HighLeg, Grounded::None];

/// Reads supplies, then rungs, then looks for what is not wired.
pub(super) fn read(reader: &mut Reader, entry: &Entry, unit: &mut Unit) {
    let fields = reader.fields(entry, &["supplies", "rungs"], &[]);
    if let Some(line) = fields.get("supplies") {
        for supply in reader.entries(line) {
            let before = unit.supplies.len();
            read_supply(reader, supply, unit);
            if unit.supplies.len() == before {
                unit.holes.supply();
                unit.holes.name(&supply.key.text);
            }
        }
    } else {
        unit.holes.supply();
        let fact = "`circuit` has no `supplies`: what feeds the unit, `mains: { points: [L1, L2], volts: line, grounded: wye }`.";
        reader.say(&SUPPLY, entry.key.span, fact);
    }
    if let Some(line) = fields.get("rungs") {
        match &line.value.kind {
            Kind::List(items) => {
                for item in items {
                    match &item.kind {
                        Kind::Text(text, _) => read_rung(reader, &Text { text: text.clone(), span: item.span }, unit),
                        Kind::Broken => unit.holes.no_rungs(),
                        Kind::List(words) => {
                            unit.holes.no_rungs();
                            let words: Vec<&str> = words
                                .iter()
                                .filter_map(|word| match &word.kind {
                                    Kind::Text(text, _) => Some(text.as_str()),
                                    _ => None,
                                })
                                .collect();
                            let fact =
                                "A rung is one line: points and parts in turn, with blanks between, no brackets.";
                            reader.say_instead(&WRONG_SHAPE, item.span, fact, &words.join(" "));
                        }
                        _ => {
                            unit.holes.no_rungs();
                            reader.say(&WRONG_SHAPE, item.span, "A rung is one line: points and parts in turn.");
                        }
                    }
                }
            }
            Kind::Broken => unit.holes.no_rungs(),
            _ => {
                unit.holes.no_rungs();
                reader.say(&WRONG_SHAPE, line.value.span, "`rungs` takes a list, one rung a line with `- ` in front.");
            }
        }
    } else {
        unit.holes.no_rungs();
        let fact = "`circuit` has no `rungs`: the lines of the ladder diagram, points and parts in turn.";
        reader.say(&RUNG, entry.key.span, fact);
    }
}

fn read_supply(reader: &mut Reader, entry: &Entry, unit: &mut Unit) {
    let fields = reader.fields(entry, &["points", "volts", "grounded"], &[]);
    let missing: Vec<&str> =
        ["points", "volts", "grounded"].into_iter().filter(|name| fields.get(name).is_none()).collect();
    if !missing.is_empty() {
        let hints: Vec<&str> = missing
            .iter()
            .map(|name| match *name {
                "points" => "`points: [L1, L2]`",
                "volts" => "`volts: line`, a line of the rating plate",
                _ => "`grounded: wye`, or `middle`, `corner`, `high-leg`, `none`, or one of its points",
            })
            .collect();
        let (missing, hints) = (list(&ticked(&missing), "and no"), list(&hints, "and"));
        let fact = format!("`{}` has no {missing}. Say {hints}.", entry.key.text);
        reader.say(&SUPPLY, entry.key.span, fact);
    }
    let names = fields.get("points").map(|line| reader.names(line)).unwrap_or_default();
    let mut points = Vec::new();
    for name in &names {
        if !is_point(&name.text) {
            let fact = format!("`{}` is no name of a point: points start with a capital.", name.text);
            reader.say_instead(&RUNG, name.span, fact, &name.text.to_uppercase());
        } else if name.text == "Ground" {
            reader.say(&SUPPLY, name.span, "`Ground` is built in; a supply has its own points.");
        } else {
            points.push(point(reader, unit, &name.text, name.span));
        }
    }
    let volts =
        fields.get("volts").and_then(|line| reader.words(line)).and_then(|text| nameplate::volts(reader, &text, unit));
    let Some(text) = fields.get("grounded").and_then(|line| reader.words(line)) else { return };
    let grounded = match text.text.as_str() {
        "middle" => Grounded::Middle,
        "wye" => Grounded::Wye,
        "corner" => Grounded::Corner,
        "high-leg" => Grounded::HighLeg,
        "none" => Grounded::None,
        name => match names.iter().position(|point| point.text == name) {
            Some(at) => Grounded::Point(at),
            None => {
                let fact = format!("`{name}` is none of its points and none of {}.", list(&ticked(&WORDS), "or"));
                let near = nearest(name, names.iter().map(|n| n.text.as_str()).chain(WORDS));
                match near {
                    Some(near) => reader.say_instead(&SUPPLY, text.span, fact, near),
                    None => reader.say(&SUPPLY, text.span, fact),
                }
                return;
            }
        },
    };
    let Some(volts) = volts else { return };
    if points.len() != names.len() || points.is_empty() {
        return;
    }
    if !fits(points.len(), grounded, volts.unit.current() == Some(Current::Dc)) {
        let dc = volts.unit.current() == Some(Current::Dc);
        let words = WORDS.into_iter().zip(GROUNDED).filter(|(_, grounded)| fits(points.len(), *grounded, dc));
        let words: Vec<&str> = words.map(|(word, _)| word).collect();
        let fact = format!(
            "A supply of {} points can't be grounded as `{}`, but as {} or at one of its points.",
            points.len(),
            text.text,
            list(&ticked(&words), ",")
        );
        reader.say(&SUPPLY, text.span, fact);
        return;
    }
    unit.supplies.push(Supply {
        name: entry.key.text.clone(),
        points,
        volts,
        grounded,
        place: reader.place(entry.key.span),
    });
}

/// Which groundings go with how many points.
fn fits(points: usize, grounded: Grounded, dc: bool) -> bool {
    match (points, grounded) {
        (2, Grounded::Point(_) | Grounded::Middle | Grounded::None) => true,
        _ if dc => false,
        (3 | 4, Grounded::Point(_)) | (3, Grounded::Middle | Grounded::None | Grounded::Corner) => true,
        (2..=4, Grounded::Wye) | (3 | 4, Grounded::HighLeg) => true,
        _ => false,
    }
}

/// Points start with a capital: the last piece of `zone.Z` counts.
pub(super) fn is_point(token: &str) -> bool {
    let last = token.rsplit('.').next().unwrap_or(token);
    last.starts_with(|c: char| c.is_ascii_uppercase()) && last.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
}

fn point(reader: &Reader, unit: &mut Unit, name: &str, span: Span) -> PointId {
    if let Some(found) = unit.point(name) {
        return found;
    }
    unit.points.push(Point { name: name.to_owned(), place: Some(reader.place(span)) });
    PointId(u16::try_from(unit.points.len() - 1).unwrap_or(u16::MAX))
}

fn read_rung(reader: &mut Reader, text: &Text, unit: &mut Unit) {
    let words: Vec<&str> = text.text.split_whitespace().collect();
    let bank = words.iter().find_map(|word| {
        let (bank, _) = word.split_once('.')?;
        unit.bank(bank).map(|(at, bank)| (at, bank.clone()))
    });
    match bank {
        None => one_rung(reader, text, &words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>(), unit, true),
        Some((_, bank)) => {
            let prefix = format!("{}.", bank.name);
            for (turn, number) in bank.members.iter().enumerate() {
                let said: Vec<String> = words
                    .iter()
                    .map(|word| match word.strip_prefix(&prefix) {
                        Some(rest) => format!("{}-{number}.{rest}", bank.name),
                        None => (*word).to_owned(),
                    })
                    .collect();
                one_rung(reader, text, &said, unit, turn == 0);
            }
        }
    }
}

fn one_rung(reader: &mut Reader, text: &Text, words: &[String], unit: &mut Unit, tell: bool) {
    let say = |reader: &mut Reader, unit: &mut Unit, fact: String, instead: Option<(&str, &str)>| {
        unit.holes.rung(words.iter().cloned().chain(instead.map(|(_, better)| better.to_owned())));
        if !tell || words.iter().any(|word| unit.holes.behind(word)) {
            return;
        }
        let mut problem = Problem::new(&RUNG, reader.place(text.span), fact);
        if let Some((found, better)) = instead {
            let (found, better) = (unit.as_written(found), unit.as_written(better));
            problem.instead = Some(reader.place(text.span).line_with(&text.text.replacen(&found, &better, 1)));
        }
        reader.note(problem);
    };
    let mut items: Vec<RungItem> = Vec::new();
    let mut wired: Vec<(PartId, String)> = Vec::new();
    for word in words {
        if is_point(word) {
            if matches!(items.last(), Some(RungItem::Point(_))) {
                // A part written with a capital is what it mostly is.
                let small = word
                    .rsplit_once('.')
                    .map_or(word.to_lowercase(), |(of, last)| format!("{of}.{}", last.to_lowercase()));
                let meant = find_pole(unit, &small).is_ok();
                let word_told = unit.as_written(word);
                let fact = if word == "Ground" {
                    "Two points are joined by a part between them. A point that is tied to ground has a joint there: `X2 ground-strap Ground`, and `ground-strap: {}` under `joints`.".to_owned()
                } else {
                    format!(
                        "In front of `{word_told}` stands another point, and no part between. Points start with a capital, parts with a small letter."
                    )
                };
                say(reader, unit, fact, meant.then_some((word.as_str(), small.as_str())));
                return;
            }
            items.push(RungItem::Point(point(reader, unit, word, text.span)));
            continue;
        }
        match find_pole(unit, word) {
            Ok((part, pole)) => {
                if matches!(items.last(), Some(RungItem::Pole(..))) {
                    let place = Some(reader.place(text.span));
                    unit.points.push(Point { name: String::new(), place });
                    items.push(RungItem::Point(PointId(u16::try_from(unit.points.len() - 1).unwrap_or(u16::MAX))));
                }
                let taken = unit.part_of(part).poles.iter().any(|p| p.name == pole)
                    || wired.iter().any(|(id, name)| *id == part && *name == pole);
                if taken {
                    if tell {
                        let fact = format!(
                            "`{}` stands in a rung already. Each pole is in one place; name another, or take one out.",
                            unit.as_written(word)
                        );
                        let name = word.clone();
                        let first = unit.rungs.iter().find(|rung| {
                            rung.items
                                .iter()
                                .any(|item| matches!(item, RungItem::Pole(id, at) if unit.pole_name(*id, *at) == name))
                        });
                        let problem = Problem::new(&NOT_WIRED, reader.place(text.span), fact);
                        reader.note(match first {
                            Some(first) => problem.also(first.place.clone(), "the first one"),
                            None => problem,
                        });
                    }
                    unit.holes.rung(words.iter().cloned());
                    return;
                }
                wired.push((part, pole));
                items.push(RungItem::Pole(part, wired.len() - 1));
            }
            Err((fact, near)) => {
                let line = |c: char| matches!(c, '-' | '–' | '—' | '>' | '=' | '|');
                if word.contains(',') || word.chars().all(line) {
                    let clean: Vec<String> =
                        text.text.replace(',', " ").split_whitespace().map(str::to_owned).collect();
                    let clean: Vec<String> = clean.into_iter().filter(|word| !word.chars().all(line)).collect();
                    unit.holes.rung(words.iter().map(|word| word.replace(',', "")));
                    if tell {
                        let fact = "Between points and parts stand blanks, and nothing else.";
                        reader.say_instead(&RUNG, text.span, fact, &clean.join(" "));
                    }
                    return;
                }
                say(reader, unit, fact, near.as_ref().map(|near| (word.as_str(), near.as_str())));
                return;
            }
        }
    }
    let ends_on_points = matches!((items.first(), items.last()), (Some(RungItem::Point(_)), Some(RungItem::Point(_))));
    if items.len() < 3 || !ends_on_points {
        let fact = "A rung starts and ends on a point, with a part between at least: `L1 fuse-1 A1`.".to_owned();
        say(reader, unit, fact, None);
        return;
    }
    // Now that it stands, the poles are wired: points are at the even places.
    let mut done = items.clone();
    for (at, item) in items.iter().enumerate() {
        let RungItem::Pole(part, turn) = *item else { continue };
        let before = at.checked_sub(1).and_then(|at| items.get(at));
        let (Some(RungItem::Point(from)), Some(RungItem::Point(to))) = (before, items.get(at + 1)) else { continue };
        let name = wired.get(turn).map(|(_, name)| name.clone()).unwrap_or_default();
        if let Some(owner) = unit.parts.get_mut(usize::from(part.0)) {
            owner.poles.push(Pole { name, from: *from, to: *to });
            if let Some(item) = done.get_mut(at) {
                *item = RungItem::Pole(part, owner.poles.len() - 1);
            }
        }
    }
    unit.rungs.push(Rung { items: done, place: reader.place(text.span) });
}

/// The part a word of a rung names, and its pole; or what is wrong, with what may have been meant.
fn find_pole(unit: &Unit, word: &str) -> Result<(PartId, String), (String, Option<String>)> {
    if let Some((id, part)) = unit.part(word) {
        if part.group == Group::Outside {
            return Err((format!("`{word}` stands under `outside` and can't be wired."), None));
        }
        let needs = part.group.driver().is_some() || part.group == Group::Transformers || declared(part).len() > 1;
        if needs {
            let mut names: Vec<String> = part.group.driver().map(|d| format!("{word}.{d}")).into_iter().collect();
            names.extend(declared(part).iter().map(|pole| format!("{word}.{pole}")));
            if part.group == Group::Transformers {
                names = vec![format!("{word}.primary"), format!("{word}.secondary")];
            }
            let names: Vec<String> = names.iter().map(|name| unit.as_written(name)).collect();
            let fact =
                format!("`{}` has several poles. Say which: {}.", unit.as_written(word), list(&ticked(&names), "or"));
            return Err((fact, None));
        }
        let only = declared(part).first().cloned().unwrap_or_default();
        return Ok((id, only));
    }
    let Some((name, pole)) = word.rsplit_once('.') else { return Err(unknown_part(unit, word)) };
    let Some((id, part)) = unit.part(name) else {
        // `deck-1.relay` is a member's part, not a pole of `deck-1`.
        if unit.as_written(word) != word && unit.as_written(name) == name {
            return Err(unknown_part(unit, word));
        }
        let (fact, near) = unknown_part(unit, name);
        return Err((fact, near.map(|near| format!("{near}.{pole}"))));
    };
    let mut names: Vec<&str> = part.group.driver().into_iter().collect();
    if part.group == Group::Transformers {
        names = vec!["primary", "secondary"];
    }
    let listed = declared(part);
    let open = listed.is_empty() && part.group != Group::Transformers;
    names.extend(listed.iter().map(String::as_str));
    if open || names.contains(&pole) {
        return Ok((id, pole.to_owned()));
    }
    let near = nearest(pole, names.iter().copied()).map(|near| format!("{name}.{near}"));
    let told = unit.as_written(name);
    Err((format!("`{pole}` is no pole of `{told}`. It has {}.", list(&ticked(&names), "and")), near))
}

/// The poles the part's own line lists.
fn declared(part: &Part) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for key in ["poles", "closed at rest"] {
        if let Some(Given::Names(more)) = part.given.get(key) {
            let more: Vec<String> = more.iter().filter(|name| !names.contains(name)).cloned().collect();
            names.extend(more);
        }
    }
    names
}

fn unknown_part(unit: &Unit, name: &str) -> (String, Option<String>) {
    let near = nearest(name, unit.parts.iter().map(|part| part.name.as_str())).map(str::to_owned);
    let told = unit.as_written(name);
    if near.is_some() {
        return (format!("There is no part `{told}`."), near);
    }
    let point = name.to_uppercase();
    if unit.point(&point).is_some() {
        return (format!("There is no part `{told}`. Points start with a capital."), Some(point));
    }
    let known: Vec<String> = unit
        .parts
        .iter()
        .filter(|p| p.group != Group::Outside && unit.speaks(p.member))
        .map(|p| unit.as_written(&p.name))
        .collect();
    (format!("There is no part `{told}`.{}", known_names("parts", &known)), None)
}

/// What no rung names.
pub(super) fn loose(reader: &mut Reader, unit: &Unit) {
    let untold = |part: &Part| part.group == Group::Outside || !unit.speaks(part.member);
    for part in unit.parts.iter().filter(|part| !untold(part)) {
        let place = part.place.clone();
        if part.poles.is_empty() {
            if !unit.holes.unwired(&part.name) {
                let fact = format!("`{}` stands in no rung.", unit.as_written(&part.name));
                reader.note(Problem::new(&NOT_WIRED, place, fact));
            }
            continue;
        }
        let mut wanted = declared(part);
        match part.group {
            Group::Transformers => wanted.extend(["primary".to_owned(), "secondary".to_owned()]),
            Group::Controls => wanted.push("supply".to_owned()),
            Group::Contactors | Group::Relays | Group::SolidStateRelays
                if !matches!(part.given.get("closed when"), Some(Given::When(_))) =>
            {
                wanted.extend(part.group.driver().map(str::to_owned));
            }
            _ => {}
        }
        for pole in wanted {
            let name = format!("{}.{pole}", part.name);
            if !part.poles.iter().any(|p| p.name == pole) && !unit.holes.unwired(&name) {
                let fact = format!("`{}` stands in no rung.", unit.as_written(&name));
                reader.note(Problem::new(&NOT_WIRED, place.clone(), fact));
            }
        }
    }
    for supply in &unit.supplies {
        for point in &supply.points {
            let wired =
                unit.parts.iter().flat_map(|part| &part.poles).any(|pole| pole.from == *point || pole.to == *point);
            if !wired && !unit.holes.any_rung() {
                let fact = format!(
                    "No rung leads to `{0}` of `{1}`. Wire it, or take `{0}` out of its `points`.",
                    unit.point_name(*point),
                    supply.name
                );
                reader.note(Problem::new(&NOT_WIRED, supply.place.clone(), fact));
            }
        }
    }
}
