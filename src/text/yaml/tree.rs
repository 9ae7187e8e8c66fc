//! A sheet as a tree of text and place.

use crate::text::source::Span;

/// A run of text with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// The text, as YAML reads it.
    pub text: String,
    /// Where it stands, quotes included.
    pub span: Span,
}

/// One thing in a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Where it stands.
    pub span: Span,
    /// Whether it stands inside `{ }` or `[ ]`.
    pub braced: bool,
    /// What it is.
    pub kind: Kind,
}

/// What a thing in a sheet is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// Nothing, or a word YAML takes for nothing: `~`, `null`.
    Nothing,
    /// Text.
    Text(String, Style),
    /// A list.
    List(Vec<Node>),
    /// Lines with names.
    Map(Vec<Entry>),
    /// Something that could not be read; told already.
    Broken,
}

/// How a text is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// As it is.
    Plain,
    /// In quotes.
    Quoted,
    /// As a block behind `|` or `>`.
    Block,
}

/// `NAME: …`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The name.
    pub key: Text,
    /// What stands behind or under it.
    pub value: Node,
}

impl Node {
    /// Something that could not be read.
    #[must_use]
    pub fn broken(span: Span) -> Self {
        Self { span, braced: false, kind: Kind::Broken }
    }
}
