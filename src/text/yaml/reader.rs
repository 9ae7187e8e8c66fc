//! Taking a sheet apart: fields, lists, names and sentences, with everything wrong collected on the way.

use super::quote::{line_with_quotes, quoted};
use super::tree::{Entry, Kind, Node, Style, Text};
use super::{CUT_SENTENCE, EMPTY_LINE, UNKNOWN_LINE, WRONG_SHAPE};
use crate::text::english::{list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use crate::text::source::{Place, Source, Span};
use std::sync::Arc;

/// Reads one sheet and collects what is wrong with it.
#[derive(Debug)]
pub struct Reader {
    source: Arc<Source>,
    problems: Vec<Problem>,
}

/// The lines under one heading, all of them known.
#[derive(Debug, Clone, Copy)]
pub struct Fields<'n> {
    entries: &'n [Entry],
}

impl<'n> Fields<'n> {
    /// The line of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&'n Entry> {
        self.entries.iter().find(|entry| entry.key.text == name)
    }

    /// The lines whose name starts so ("to "), with the rest of the name.
    pub fn starting<'a>(&'a self, start: &'a str) -> impl Iterator<Item = (&'n str, &'n Entry)> + 'a {
        self.entries.iter().filter_map(move |entry| Some((entry.key.text.strip_prefix(start)?.trim(), entry)))
    }
}

impl Reader {
    /// Opens a sheet: the reader, with what was wrong so far, and the tree.
    #[must_use]
    pub fn open(source: &Arc<Source>) -> (Self, Node) {
        let (node, problems) = super::read(source);
        (Self { source: Arc::clone(source), problems }, node)
    }

    /// Everything that was wrong.
    #[must_use]
    pub fn finish(self) -> Vec<Problem> {
        self.problems
    }

    /// A span of this sheet as a place.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        Place::new(&self.source, span)
    }

    /// The place of some words of a text, where they stand there as they are; else of the whole text.
    #[must_use]
    pub fn place_of(&self, text: Span, words: &str) -> Place {
        match self.source.slice(text).find(words) {
            Some(at) => {
                let start = text.start as usize + at;
                self.place(Span::new(start, start + words.len()))
            }
            None => self.place(text),
        }
    }

    /// Whether something of this rule was told so far.
    #[must_use]
    pub fn told(&self, rule: &'static Rule) -> bool {
        self.problems.iter().any(|problem| problem.rule == rule)
    }

    /// Notes a problem.
    pub fn note(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Notes a problem at a span of this sheet.
    pub fn say(&mut self, rule: &'static Rule, span: Span, fact: impl Into<String>) {
        self.problems.push(Problem::new(rule, self.place(span), fact));
    }

    /// The same, with what to write instead of the span, shown as the whole line.
    pub fn say_instead(&mut self, rule: &'static Rule, span: Span, fact: impl Into<String>, instead: &str) {
        let place = self.place(span);
        let line = place.line_with(instead);
        self.problems.push(Problem::new(rule, place, fact).instead(line));
    }

    /// The sheet as a whole as lines with names: those of `known`, and those that start with one of `starts`.
    pub fn sheet<'n>(&mut self, what: &str, root: &'n Node, known: &[&str], starts: &[&str]) -> Fields<'n> {
        let none = Fields { entries: &[] };
        match &root.kind {
            Kind::Map(entries) => self.known(what, entries, known, starts),
            Kind::Broken => none,
            Kind::Nothing => {
                self.say(&EMPTY_LINE, root.span, capital(&format!("{what} is empty.")));
                none
            }
            Kind::Text(..) | Kind::List(_) => {
                let fact = capital(&format!("{what} is made of lines with names: {}.", named(known)));
                self.say(&WRONG_SHAPE, root.span, fact);
                none
            }
        }
    }

    /// The lines under a heading: those of `known`, and those that start with one of `starts`.
    pub fn fields<'n>(&mut self, entry: &'n Entry, known: &[&str], starts: &[&str]) -> Fields<'n> {
        let what = format!("`{}`", entry.key.text);
        let entries = self.entries(entry);
        self.known(&what, entries, known, starts)
    }

    /// The same, with more words for what they are lines of.
    pub fn fields_of<'n>(&mut self, what: &str, entry: &'n Entry, known: &[&str]) -> Fields<'n> {
        let entries = self.entries(entry);
        self.known(what, entries, known, &[])
    }

    /// The lines under a heading, whatever their names.
    pub fn entries<'n>(&mut self, entry: &'n Entry) -> &'n [Entry] {
        match &entry.value.kind {
            Kind::Map(entries) if !entries.is_empty() => entries,
            Kind::Broken => &[],
            Kind::Nothing | Kind::Map(_) => {
                self.empty(entry);
                &[]
            }
            Kind::Text(..) | Kind::List(_) => {
                let fact = format!("`{}` takes lines under it, each `NAME: TEXT`.", entry.key.text);
                self.say(&WRONG_SHAPE, entry.value.span, fact);
                &[]
            }
        }
    }

    /// Names, as `[a, b]`, as a list, or parted by commas on one line.
    pub fn names(&mut self, entry: &Entry) -> Vec<Text> {
        match &entry.value.kind {
            Kind::Text(text, style) => self.split_at_commas(text, *style, entry.value.span),
            Kind::List(items) => {
                if items.is_empty() {
                    self.empty(entry);
                }
                items.iter().filter_map(|item| self.name_in_list(entry, item)).collect()
            }
            Kind::Broken => Vec::new(),
            Kind::Nothing => {
                self.empty(entry);
                Vec::new()
            }
            Kind::Map(_) => {
                let fact = format!("`{0}` takes a list of names: `{0}: [one, other]`.", entry.key.text);
                self.say(&WRONG_SHAPE, entry.value.span, fact);
                Vec::new()
            }
        }
    }

    fn name_in_list(&mut self, entry: &Entry, item: &Node) -> Option<Text> {
        match &item.kind {
            Kind::Text(text, _) if !text.trim().is_empty() => Some(Text { text: folded(text), span: item.span }),
            Kind::Text(..) | Kind::Nothing => {
                self.say(&EMPTY_LINE, item.span, format!("Nothing stands here in the list of `{}`.", entry.key.text));
                None
            }
            Kind::Broken => None,
            Kind::List(_) | Kind::Map(_) => {
                self.say(&WRONG_SHAPE, item.span, format!("In the list of `{}` only names stand.", entry.key.text));
                None
            }
        }
    }

    fn split_at_commas(&mut self, text: &str, style: Style, span: Span) -> Vec<Text> {
        let as_written = style == Style::Plain && self.source.slice(span) == text;
        let mut names = Vec::new();
        let mut at = span.start as usize;
        for part in text.split(',') {
            let start = at + part.len() - part.trim_start().len();
            let place = if as_written { Span::new(start, start + part.trim().len()) } else { span };
            at += part.len() + 1;
            if part.trim().is_empty() {
                self.say(&EMPTY_LINE, span, "Nothing stands before or behind a comma here.");
            } else {
                names.push(Text { text: folded(part), span: place });
            }
        }
        names
    }

    /// A few words: a name, a title, a number with its unit.
    pub fn words(&mut self, entry: &Entry) -> Option<Text> {
        match &entry.value.kind {
            Kind::Text(text, _) if !text.trim().is_empty() => Some(Text { text: folded(text), span: entry.value.span }),
            Kind::Text(..) | Kind::Nothing => {
                self.empty(entry);
                None
            }
            Kind::Broken => None,
            Kind::List(_) | Kind::Map(_) => {
                let fact = format!("`{}` takes words on its own line.", entry.key.text);
                self.say(&WRONG_SHAPE, entry.value.span, fact);
                None
            }
        }
    }

    /// One sentence, read to its end: not in braces, no ` #` on its line.
    pub fn sentence(&mut self, entry: &Entry) -> Option<Text> {
        match &entry.value.kind {
            Kind::Map(_) if !entry.value.braced && !self.source.slice(entry.value.span).starts_with('{') => {
                self.split_sentence(&entry.value);
                None
            }
            Kind::List(_) => {
                let fact = format!("`{}` takes one sentence, not a list.", entry.key.text);
                self.say(&WRONG_SHAPE, entry.value.span, fact);
                None
            }
            _ => {
                let words = self.words(entry)?;
                self.whole(&entry.key.text, &entry.value, words)
            }
        }
    }

    /// A list of sentences, one a line with `-` in front; or one sentence.
    pub fn sentences(&mut self, entry: &Entry) -> Vec<Text> {
        let items = match &entry.value.kind {
            Kind::List(items) => items,
            Kind::Map(_) => {
                let fact = format!("`{}` takes a list: one sentence a line, `- ` in front.", entry.key.text);
                self.say(&WRONG_SHAPE, entry.value.span, fact);
                return Vec::new();
            }
            _ => return self.sentence(entry).into_iter().collect(),
        };
        if items.is_empty() {
            self.empty(entry);
        }
        items.iter().filter_map(|item| self.sentence_in_list(entry, item)).collect()
    }

    fn sentence_in_list(&mut self, entry: &Entry, item: &Node) -> Option<Text> {
        match &item.kind {
            Kind::Text(text, _) if !text.trim().is_empty() => {
                self.whole(&entry.key.text, item, Text { text: folded(text), span: item.span })
            }
            Kind::Text(..) | Kind::Nothing => {
                self.say(&EMPTY_LINE, item.span, format!("An item of `{}` says nothing.", entry.key.text));
                None
            }
            Kind::Broken => None,
            Kind::Map(_) if !item.braced && !self.source.slice(item.span).starts_with('{') => {
                self.split_sentence(item);
                None
            }
            Kind::Map(_) | Kind::List(_) => {
                self.say(&WRONG_SHAPE, item.span, format!("An item of `{}` is one sentence.", entry.key.text));
                None
            }
        }
    }

    /// A sentence with a colon in it was read as a name and its text.
    fn split_sentence(&mut self, node: &Node) {
        let line = self.source.line_span(self.source.line_of(node.span.start));
        let fact = "A colon with a blank behind it splits this sentence. Put the sentence in quotes.";
        let mut problem = Problem::new(&WRONG_SHAPE, self.place(node.span), fact);
        problem.instead = line_with_quotes(self.source.slice(line));
        self.note(problem);
    }

    /// Refuses a sentence that YAML may have cut.
    fn whole(&mut self, name: &str, node: &Node, words: Text) -> Option<Text> {
        if node.braced {
            let fact = format!(
                "In braces a sentence ends at its first comma. Give `{name}` a line of its own, without braces."
            );
            self.say(&CUT_SENTENCE, node.span, fact);
            return None;
        }
        let lines = self.source.line_span(self.source.line_of(node.span.end)).end;
        let rest = Span { start: node.span.start, end: lines.max(node.span.end) };
        let text = self.source.slice(rest);
        let plain = matches!(&node.kind, Kind::Text(_, Style::Plain));
        if plain && let Some(at) = text.find(" #").or_else(|| text.find("\t#")) {
            let start = rest.start as usize + at + 1;
            let line = self.source.line_span(self.source.line_of(rest.start + u32::try_from(at).unwrap_or(0)));
            let fact = "At ` #` YAML ends the sentence; the rest is lost as a comment. Put the sentence in quotes, or the comment on a line of its own.";
            let place = Span::new(start, line.end as usize);
            let mut problem = Problem::new(&CUT_SENTENCE, self.place(place), fact);
            problem.instead = line_with_quotes(self.source.slice(line));
            self.note(problem);
            return None;
        }
        if let Some(odd) = words.text.chars().find(|c| c.is_control()) {
            let fact = format!("A sign that can't be shown stands in this text (U+{:04X}).", u32::from(odd));
            self.say(&WRONG_SHAPE, words.span, fact);
            return None;
        }
        Some(words)
    }

    /// A name with nothing behind it.
    fn empty(&mut self, entry: &Entry) {
        let line = self.source.line_span(self.source.line_of(entry.key.span.start));
        let behind = self.source.slice(Span { start: entry.key.span.end, end: line.end });
        let comment = behind.split_once('#').map(|(_, comment)| comment.trim());
        match comment.filter(|_| !entry.value.braced) {
            Some(comment) => {
                let fact =
                    format!("`#` starts a comment, so `{}` says nothing. Put the text in quotes.", entry.key.text);
                let instead = format!(": {}", quoted(&format!("#{comment}")));
                let span = Span { start: entry.key.span.end, end: line.end };
                let line = self.place(span).line_with(&instead);
                self.note(Problem::new(&EMPTY_LINE, self.place(span), fact).instead(line));
            }
            None => {
                let fact = format!("`{}` says nothing. Say it, or leave the line out.", entry.key.text);
                self.say(&EMPTY_LINE, entry.key.span, fact);
            }
        }
    }

    fn known<'n>(&mut self, what: &str, entries: &'n [Entry], known: &[&str], starts: &[&str]) -> Fields<'n> {
        for (at, entry) in entries.iter().enumerate() {
            let name = entry.key.text.as_str();
            if known.contains(&name) || starts.iter().any(|start| name.starts_with(start)) {
                continue;
            }
            if entry.value.braced && entry.value.kind == Kind::Nothing {
                let before = at.checked_sub(1).and_then(|at| entries.get(at));
                if let Some(whole) = before.and_then(|before| thousands(before, name)) {
                    let fact = "In braces a comma parts things. Write the number without it.";
                    let span =
                        before.map_or(entry.key.span, |b| Span { start: b.value.span.start, end: entry.key.span.end });
                    self.say_instead(&CUT_SENTENCE, span, fact, &whole);
                    continue;
                }
                let fact =
                    format!("A comma in braces parts things, so `{name}` stands alone. Give each a line of its own.");
                self.say(&CUT_SENTENCE, entry.key.span, fact);
                continue;
            }
            let fact = format!("`{name}` is no line of {what}.");
            match nearest(name, known.iter().copied()) {
                Some(near) => self.say_instead(&UNKNOWN_LINE, entry.key.span, fact, near),
                None => {
                    let word = if known.len() == 1 { "Its only line is" } else { "Its lines are" };
                    let fact = format!("{fact} {word} {}.", named(known));
                    self.say(&UNKNOWN_LINE, entry.key.span, fact);
                }
            }
        }
        Fields { entries }
    }
}

/// `4` and `500 W`, parted by the comma of 4,500 W: the number without it.
fn thousands(before: &Entry, behind: &str) -> Option<String> {
    let Kind::Text(front, _) = &before.value.kind else { return None };
    let digits = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    let (three, rest) = behind.split_at_checked(3)?;
    let ends = !rest.starts_with(|c: char| c.is_ascii_digit());
    (digits(front) && digits(three) && ends).then(|| format!("{front}{behind}"))
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or(String::new(), |first| first.to_uppercase().chain(signs).collect())
}

fn named(known: &[&str]) -> String {
    list(&ticked(known), "and")
}

/// Line ends and runs of blanks as one blank.
fn folded(text: &str) -> String {
    text.split([' ', '\n', '\r', '\t']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}
