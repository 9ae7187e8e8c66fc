//! From the parser's events to the tree.

use super::tree::{Entry, Kind, Node, Style, Text};
use super::{DOUBLED_LINE, SHEET_LINE, YAML_MARK};
use crate::text::problem::Problem;
use crate::text::source::{Place, Source, Span};
use saphyr_parser::{Event, Marker, Parser, ScalarStyle};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

/// Deepest nesting of lists and lines; sheets need six. A limit of ours.
pub(super) const DEEPEST: usize = 24;

/// Where the parser gave up, and what it says about it.
#[derive(Debug)]
pub(super) struct Stop {
    pub(super) at: usize,
    pub(super) info: String,
}

/// Reads a stretch of whole lines.
pub(super) fn build(source: &Arc<Source>, range: Range<usize>) -> Result<(Node, Vec<Problem>), Stop> {
    let text = source.text().get(range.clone()).unwrap_or("");
    let mut builder = Builder {
        source,
        marks: Marks::new(text, range.start),
        problems: Vec::new(),
        open: Vec::new(),
        root: None,
        documents: 0,
    };
    let mut parser = Parser::new_from_str(text);
    while let Some(event) = parser.next_event() {
        let (event, span) =
            event.map_err(|e| Stop { at: builder.marks.byte(*e.marker()), info: e.info().to_owned() })?;
        let span = Span::new(builder.marks.byte(span.start), builder.marks.byte(span.end));
        if !builder.take(event, span) {
            break;
        }
    }
    let end = Span::new(range.start, range.start);
    let root = builder.root.unwrap_or(Node { span: end, braced: false, kind: Kind::Nothing });
    Ok((root, builder.problems))
}

/// Turns the parser's character counts into bytes.
struct Marks<'t> {
    text: &'t str,
    base: usize,
    /// The byte of every 64th character; empty where characters are bytes.
    steps: Vec<u32>,
}

const STEP: usize = 64;

impl<'t> Marks<'t> {
    fn new(text: &'t str, base: usize) -> Self {
        let steps = if text.is_ascii() {
            Vec::new()
        } else {
            text.char_indices().step_by(STEP).map(|(at, _)| u32::try_from(at).unwrap_or(u32::MAX)).collect()
        };
        Self { text, base, steps }
    }

    fn byte(&self, mark: Marker) -> usize {
        let index = mark.index();
        if self.steps.is_empty() {
            return self.base + index.min(self.text.len());
        }
        let step = self.steps.get(index / STEP).map_or(self.text.len(), |at| *at as usize);
        let rest = self.text.get(step..).unwrap_or("");
        self.base + step + rest.char_indices().nth(index % STEP).map_or(rest.len(), |(at, _)| at)
    }
}

struct Builder<'s> {
    source: &'s Arc<Source>,
    marks: Marks<'s>,
    problems: Vec<Problem>,
    open: Vec<Open>,
    root: Option<Node>,
    documents: usize,
}

/// A list or lines not yet at their end.
struct Open {
    start: Span,
    braced: bool,
    what: What,
}

enum What {
    List(Vec<Node>),
    Map(Vec<Entry>, Option<Key>),
}

enum Key {
    Name(Text),
    /// Not a name; told already. Its value is dropped.
    Odd,
}

impl Builder<'_> {
    /// Takes one event; false to stop.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        let braced = self.open.last().is_some_and(|open| open.braced);
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents > 1 {
                    let fact = "A second part starts here. A sheet is one file from top to bottom.";
                    self.problem(&YAML_MARK, span, fact);
                    return false;
                }
            }
            Event::Scalar(text, style, anchor, tag) => {
                let tag = tag.is_some();
                self.refuse_marks(anchor, tag, span);
                let plain = style == ScalarStyle::Plain && !tag;
                let kind = if plain && matches!(&*text, "" | "~" | "null" | "Null" | "NULL") {
                    Kind::Nothing
                } else {
                    let style = match style {
                        ScalarStyle::Plain => Style::Plain,
                        ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => Style::Quoted,
                        ScalarStyle::Literal | ScalarStyle::Folded => Style::Block,
                    };
                    Kind::Text(text.into_owned(), style)
                };
                self.put(Node { span: self.trimmed(span), braced, kind });
            }
            Event::Alias(_) => {
                self.problem(&YAML_MARK, span, "`*` stands for a text somewhere else. Write the text itself here.");
                self.put(Node::broken(span));
            }
            Event::SequenceStart(anchor, tag) => {
                self.refuse_marks(anchor, tag.is_some(), span);
                return self.push(span, braced, What::List(Vec::new()));
            }
            Event::MappingStart(anchor, tag) => {
                self.refuse_marks(anchor, tag.is_some(), span);
                return self.push(span, braced, What::Map(Vec::new(), None));
            }
            Event::SequenceEnd | Event::MappingEnd => self.close(span),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
        true
    }

    fn problem(&mut self, rule: &'static crate::text::rule::Rule, span: Span, fact: impl Into<String>) {
        self.problems.push(Problem::new(rule, Place::new(self.source, span), fact));
    }

    fn refuse_marks(&mut self, anchor: usize, tag: bool, span: Span) {
        // The mark stands in front of the text; the place is the line up to the text.
        let line = self.source.line_span(self.source.line_of(span.start));
        let line_text = self.source.slice(line);
        if anchor != 0 || tag {
            let mark = if tag { '!' } else { '&' };
            let at = line_text.find(mark).map_or(line.start as usize, |at| line.start as usize + at);
            let place = Span::new(at, span.end.min(line.end) as usize);
            let fact = format!(
                "`{mark}` in front of a text has a meaning of its own in YAML. Write the text alone, or all of it in quotes."
            );
            self.problem(&YAML_MARK, place, fact);
        }
    }

    /// Without the blanks and line ends the parser counts in at the end of some texts.
    fn trimmed(&self, span: Span) -> Span {
        let text = self.source.slice(span);
        Span::new(span.start as usize, span.start as usize + text.trim_end().len())
    }

    fn push(&mut self, span: Span, braced: bool, what: What) -> bool {
        if self.open.len() >= DEEPEST {
            self.problem(&SHEET_LINE, span, "Lists and lines stand too deep inside each other here.");
            return false;
        }
        let braced = braced || self.source.slice(span).starts_with(['{', '[']);
        self.open.push(Open { start: span, braced, what });
        true
    }

    fn close(&mut self, end: Span) {
        let Some(open) = self.open.pop() else { return };
        let (kind, last) = match open.what {
            What::List(items) => {
                let last = items.last().map(|item| item.span);
                (Kind::List(items), last)
            }
            What::Map(entries, _) => {
                let last = entries.last().map(|entry| entry.key.span.to(entry.value.span));
                (Kind::Map(without_doubles(self.source, entries, &mut self.problems)), last)
            }
        };
        // In braces the end is the closing one; else the end of the last thing in it.
        let span = if open.braced { open.start.to(end) } else { last.map_or(open.start, |last| open.start.to(last)) };
        let braced = self.open.last().is_some_and(|open| open.braced);
        self.put(Node { span, braced, kind });
    }

    fn put(&mut self, node: Node) {
        let odd_key = match self.open.last_mut().map(|open| &mut open.what) {
            None => {
                self.root.get_or_insert(node);
                return;
            }
            Some(What::List(items)) => {
                items.push(node);
                return;
            }
            Some(What::Map(entries, key)) => match key.take() {
                Some(Key::Name(name)) => {
                    // A value that is not there has no place of its own: it has its name's.
                    let span = if node.kind == Kind::Nothing && node.span.start == node.span.end {
                        name.span
                    } else {
                        node.span
                    };
                    entries.push(Entry { key: name, value: Node { span, ..node } });
                    return;
                }
                Some(Key::Odd) => return,
                None => match node.kind {
                    Kind::Text(text, _) => {
                        *key = Some(Key::Name(Text { text, span: node.span }));
                        return;
                    }
                    _ => {
                        *key = Some(Key::Odd);
                        node.span
                    }
                },
            },
        };
        self.problem(&SHEET_LINE, odd_key, "In front of a colon stands a name, in plain words.");
    }
}

/// Of entries with one name the first is kept; the others are told.
pub(super) fn without_doubles(
    source: &Arc<Source>,
    mut entries: Vec<Entry>,
    problems: &mut Vec<Problem>,
) -> Vec<Entry> {
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    entries.retain(|entry| {
        let Some(first) = seen.get(&entry.key.text) else {
            seen.insert(entry.key.text.clone(), entry.key.span);
            return true;
        };
        let fact = format!("`{}` stands here twice.", entry.key.text);
        let problem = Problem::new(&DOUBLED_LINE, Place::new(source, entry.key.span), fact);
        problems.push(problem.also(Place::new(source, *first), "the first one"));
        false
    });
    entries
}
