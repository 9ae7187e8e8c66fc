//! The guide as a page: the same text contributors and lead technicians read in `grammar/guide.md`.

use super::output::address;
use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};
use serde::Serialize;

/// The guide's text.
pub const GUIDE: &str = include_str!("../../grammar/guide.md");

/// The guide as the template lays it out.
#[derive(Debug, Serialize)]
pub struct GuidePage {
    /// The shop.
    pub shop: String,
    /// Its text as HTML; raw HTML in it is shown as text.
    pub body: String,
}

/// Lays out the guide: headings get addresses, tables a frame that scrolls on a phone, raw HTML is shown as text.
#[must_use]
pub fn guide_page(shop: &str) -> GuidePage {
    let mut body = String::with_capacity(GUIDE.len() * 2);
    html::push_html(&mut body, events(GUIDE).into_iter());
    GuidePage { shop: shop.to_owned(), body }
}

fn events(text: &str) -> Vec<Event<'_>> {
    let mut events: Vec<Event<'_>> = Vec::new();
    let mut heading: Option<usize> = None;
    let mut words = String::new();
    for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
        match event {
            Event::Html(raw) | Event::InlineHtml(raw) => events.push(Event::Text(raw)),
            Event::Start(Tag::Heading { .. }) => {
                heading = Some(events.len());
                words.clear();
                events.push(event);
            }
            Event::End(TagEnd::Heading(level)) => {
                if let Some(start) = heading.take().and_then(|at| events.get_mut(at)) {
                    *start = with_address(level, &words);
                }
                events.push(event);
            }
            Event::Start(Tag::Table(_)) => {
                events.push(frame("<div class=\"wide\" role=\"region\" aria-label=\"Table\" tabindex=\"0\">"));
                events.push(event);
            }
            Event::End(TagEnd::Table) => {
                events.push(event);
                events.push(frame("</div>"));
            }
            Event::Start(Tag::CodeBlock(_)) => {
                events.push(frame("<div class=\"wide\" role=\"region\" aria-label=\"Playbook text\" tabindex=\"0\">"));
                events.push(event);
            }
            Event::End(TagEnd::CodeBlock) => {
                events.push(event);
                events.push(frame("</div>"));
            }
            Event::Text(ref text) | Event::Code(ref text) => {
                if heading.is_some() {
                    words.push_str(text);
                }
                events.push(event);
            }
            other => events.push(other),
        }
    }
    events
}

fn frame(tag: &'static str) -> Event<'static> {
    Event::Html(CowStr::Borrowed(tag))
}

fn with_address(level: HeadingLevel, words: &str) -> Event<'static> {
    let id = address(&words.to_lowercase().replace(' ', "-"));
    Event::Html(CowStr::from(format!("<{level} id=\"{id}\">")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn raw_html_is_shown_as_text_and_headings_have_addresses() {
        let mut out = String::new();
        html::push_html(&mut out, events("## Two words\n\n<script>x</script>\n\na <b>bold</b> `<i>`\n").into_iter());
        assert!(out.contains("<h2 id=\"two-words\">"), "{out}");
        assert!(out.contains("&lt;script&gt;") && out.contains("&lt;b&gt;") && !out.contains("<script"), "{out}");
    }
}
