//! Markup written piece by piece: markup itself can only be the program's own text, everything else is escaped.
//!
//! Charts and cards are most of a page and are written with this, six times as fast as by a template (measured); the page around them
//! is a template.

use std::fmt::Write as _;

/// A run of markup.
#[derive(Debug, Default)]
pub struct Html {
    out: String,
}

impl Html {
    /// An empty run with room for so many bytes.
    #[must_use]
    pub fn with_room(bytes: usize) -> Self {
        Self { out: String::with_capacity(bytes) }
    }

    /// Markup of the program's own.
    pub fn raw(&mut self, markup: &'static str) -> &mut Self {
        self.out.push_str(markup);
        self
    }

    /// Text, which cannot become markup: not in an element, not in an attribute in double quotes.
    pub fn text(&mut self, text: &str) -> &mut Self {
        let mut rest = text;
        while let Some(at) = rest.bytes().position(|b| matches!(b, b'<' | b'>' | b'&' | b'"' | b'\'')) {
            let (plain, tail) = rest.split_at_checked(at).unwrap_or((rest, ""));
            self.out.push_str(plain);
            self.out.push_str(match tail.as_bytes().first() {
                Some(b'<') => "&lt;",
                Some(b'>') => "&gt;",
                Some(b'&') => "&amp;",
                Some(b'"') => "&quot;",
                _ => "&#39;",
            });
            rest = tail.get(1..).unwrap_or("");
        }
        self.out.push_str(rest);
        self
    }

    /// A whole number.
    pub fn number(&mut self, number: usize) -> &mut Self {
        // Writing to a string cannot fail.
        let _ = write!(self.out, "{number}");
        self
    }

    /// The texts, with the program's own markup between.
    pub fn joined<'t>(&mut self, texts: impl IntoIterator<Item = &'t String>, between: &'static str) -> &mut Self {
        for (nth, text) in texts.into_iter().enumerate() {
            if nth > 0 {
                self.raw(between);
            }
            self.text(text);
        }
        self
    }

    /// All of it.
    #[must_use]
    pub fn into_string(self) -> String {
        self.out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_become_markup() {
        let mut html = Html::default();
        html.raw("<a title=\"").text("\"><script>alert('°')</script>&").raw("\">").number(12);
        let want = "<a title=\"&quot;&gt;&lt;script&gt;alert(&#39;°&#39;)&lt;/script&gt;&amp;\">12";
        assert_eq!(html.into_string(), want);
    }
}
