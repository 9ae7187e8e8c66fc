//! The tree against an independent YAML reader, places in odd texts, and text nobody would write.

use super::*;
use crate::text::source::Span;
use tree::Kind;

/// Every text of the tree with its place, keys too, as `TEXT@SLICE`.
fn texts(node: &Node, found: &mut Vec<(String, Span)>) {
    match &node.kind {
        Kind::Text(text, _) => found.push((text.clone(), node.span)),
        Kind::List(items) => items.iter().for_each(|item| texts(item, found)),
        Kind::Map(entries) => {
            for entry in entries {
                found.push((entry.key.text.clone(), entry.key.span));
                texts(&entry.value, found);
            }
        }
        Kind::Nothing | Kind::Broken => {}
    }
}

fn read_texts(text: &str) -> (Vec<(String, String)>, Vec<String>) {
    let source = Source::new("sheet.yaml", text);
    let (node, problems) = read(&source);
    let mut found = Vec::new();
    texts(&node, &mut found);
    let found = found.into_iter().map(|(text, span)| (text, source.slice(span).to_owned())).collect();
    (found, problems.iter().map(|p| format!("{} {}", p.rule.code, p.place.line())).collect())
}

#[test]
fn scalars_keep_their_text_and_places_are_in_bytes() {
    let text = "°µΩ: 4.0\r\non: 0x10\r\nlist: [off, 1_000, ~x, é°]\r\nsaid: \"a \\\"b\\\"\"\r\nlong: one\r\n  two\r\n";
    let (found, problems) = read_texts(text);
    assert!(problems.is_empty(), "{problems:?}");
    let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(
        found,
        [
            pair("°µΩ", "°µΩ"),
            pair("4.0", "4.0"),
            pair("on", "on"),
            pair("0x10", "0x10"),
            pair("list", "list"),
            pair("off", "off"),
            pair("1_000", "1_000"),
            pair("~x", "~x"),
            pair("é°", "é°"),
            pair("said", "said"),
            pair("a \"b\"", "\"a \\\"b\\\"\""),
            pair("long", "long"),
            pair("one two", "one\r\n  two"),
        ]
    );
}

#[test]
fn places_far_into_a_line_of_wide_signs() {
    let words: Vec<String> = (0..500).map(|at| format!("°{at}")).collect();
    let (found, problems) = read_texts(&format!("list: [{}]", words.join(", ")));
    assert!(problems.is_empty());
    assert!(found.iter().skip(1).zip(&words).all(|((text, slice), word)| text == word && slice == word));
    assert_eq!(found.len(), 501);
}

/// Source: the reader of the YAML organisation (`serde_yaml`), which shares no code with ours.
#[test]
fn the_same_texts_as_an_independent_reader() {
    let text = include_str!("../../../playbooks/shop.yaml");
    let (found, problems) = read_texts(text);
    assert!(problems.is_empty(), "{problems:?}");
    fn walk(value: &serde_yaml::Value, texts: &mut Vec<String>) {
        match value {
            serde_yaml::Value::Sequence(items) => items.iter().for_each(|item| walk(item, texts)),
            serde_yaml::Value::Mapping(entries) => entries.iter().for_each(|(key, value)| {
                walk(key, texts);
                walk(value, texts);
            }),
            serde_yaml::Value::String(text) => texts.push(text.clone()),
            other => texts.push(format!("{other:?}")),
        }
    }
    let mut theirs = Vec::new();
    walk(&serde_yaml::from_str(text).unwrap(), &mut theirs);
    assert_eq!(found.into_iter().map(|(text, _)| text).collect::<Vec<_>>(), theirs);
}

#[test]
fn one_slip_hides_nothing() {
    let good = include_str!("../../../playbooks/shop.yaml");
    let lines: Vec<&str> = good.lines().collect();
    let names = |text: &str| -> Vec<String> {
        let (node, _) = read(&Source::new("shop.yaml", text));
        match node.kind {
            Kind::Map(entries) => entries.into_iter().map(|entry| entry.key.text).collect(),
            _ => Vec::new(),
        }
    };
    let all = names(good);
    assert!(all.len() >= 8);
    // A closing bracket, a quote or a second colon at the end of any one line: every top line is still there.
    let mut broken = 0;
    for (at, line) in lines.iter().enumerate() {
        if line.trim().is_empty() || line.trim_start().starts_with('#') {
            continue;
        }
        for slip in [" ]: x", ": \"open", "\tx: y: z"] {
            let mut mended: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            mended[at].push_str(slip);
            let text = mended.join("\n");
            let (_, problems) = read(&Source::new("shop.yaml", text.as_str()));
            broken += usize::from(!problems.is_empty());
            let left = names(&text);
            let lost: Vec<&String> = all.iter().filter(|name| !left.contains(name)).collect();
            assert!(lost.len() <= usize::from(!line.starts_with(' ')), "line {} with `{slip}` loses {lost:?}", at + 1);
        }
    }
    assert!(broken > lines.len(), "{broken}");
}

#[test]
fn nested_far_too_deep() {
    for text in [
        "[".repeat(100_000),
        "- ".repeat(100_000),
        "{a: ".repeat(50_000),
        (0..2000).map(|n| format!("{}a:\n", " ".repeat(n))).collect(),
    ] {
        let (_, problems) = read_texts(&text);
        assert!(!problems.is_empty(), "{}", text.get(..10).unwrap());
    }
}

#[test]
fn text_nobody_would_write_is_told_and_never_breaks_the_reader() {
    let good = include_str!("../../../playbooks/shop.yaml");
    let signs = [
        "\"", "'", "[", "]", "{", "}", ":", ": ", " #", "\t", "\n", "- ", "&a ", "*a", "!x ", "|\n", ">", "%", "@",
        "---\n", "...", "°", "\u{0}", "\u{feff}", "\r", "? ",
    ];
    let mut dice: u64 = 7;
    let mut roll = |sides: usize| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) as usize % sides
    };
    let mut told = 0;
    for _ in 0..1500 {
        let mut text = good.to_owned();
        for _ in 0..1 + roll(3) {
            let mut at = roll(text.len());
            while !text.is_char_boundary(at) {
                at -= 1;
            }
            match roll(3) {
                0 => text.insert_str(at, signs[roll(signs.len())]),
                1 => text.truncate(at.max(1)),
                _ => {
                    let end = (at + 1 + roll(40)).min(text.len());
                    if text.is_char_boundary(end) {
                        text.replace_range(at..end, "");
                    }
                }
            }
        }
        let source = Source::new("shop.yaml", text.as_str());
        let (node, problems) = read(&source);
        let mut found = Vec::new();
        texts(&node, &mut found);
        for span in found.iter().map(|(_, span)| *span).chain(problems.iter().map(|problem| problem.place.span)) {
            assert!(source.text().get(span.range()).is_some(), "{span:?} in {text:?}");
        }
        told += usize::from(!problems.is_empty());
    }
    assert!(told > 300, "{told}");
}
