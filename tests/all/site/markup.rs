//! A strict reader of the pages' own markup: every element closed, every attribute in double quotes, nothing that acts.

use std::collections::{BTreeMap, BTreeSet};

/// What one page holds.
#[derive(Debug, Default)]
pub struct Page {
    /// Every `id`.
    pub ids: BTreeSet<String>,
    /// Every `href` and `src`.
    pub links: Vec<String>,
    /// Elements and how often.
    pub elements: BTreeMap<String, usize>,
    /// Levels of the headings, in order.
    pub headings: Vec<u8>,
    /// All text.
    pub text: String,
}

const EMPTY: [&str; 4] = ["meta", "link", "img", "br"];

/// Elements and attributes the pages use. All else would be markup that came in with somebody's text.
const ELEMENTS: &str = "a article b body br code dd details div dl dt em footer h1 h2 h3 h4 head header html i img li link main meta nav ol p pre \
                        section small span strong summary table tbody td th thead title tr ul blockquote";
const ATTRIBUTES: &str =
    "alt aria-hidden aria-label aria-labelledby charset class content href http-equiv id lang name rel src start";

/// Reads a page.
///
/// # Panics
/// Where it is not well formed.
pub fn read(html: &str) -> Page {
    let mut page = Page::default();
    let mut open: Vec<String> = Vec::new();
    let mut rest = html.strip_prefix("<!doctype html>").expect("a doctype");
    while let Some(at) = rest.find('<') {
        page.text.push_str(&plain(&rest[..at]));
        let end = rest[at..].find('>').expect("a closed tag") + at;
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name), "closed in order, near {:?}", &rest[..rest.len().min(80)]);
            continue;
        }
        let (name, attributes) = tag.split_once(' ').unwrap_or((tag, ""));
        assert!(ELEMENTS.split_whitespace().any(|known| known == name), "element {name:?}");
        *page.elements.entry(name.to_owned()).or_default() += 1;
        if let Some(level) = name.strip_prefix('h').and_then(|level| level.parse().ok()) {
            page.headings.push(level);
        }
        for (name, value) in attributes_of(attributes) {
            assert!(ATTRIBUTES.split_whitespace().any(|known| known == name), "attribute {name:?} of {tag:?}");
            match name {
                "id" => assert!(page.ids.insert(value.clone()), "{value} is there twice"),
                "href" | "src" => page.links.push(value.clone()),
                _ => {}
            }
            assert!(!value.to_lowercase().contains("javascript:"), "{value}");
        }
        if !EMPTY.contains(&name) {
            open.push(name.to_owned());
        }
    }
    assert_eq!(open, Vec::<String>::new(), "everything is closed");
    page
}

fn attributes_of(mut text: &str) -> Vec<(&str, String)> {
    let mut found = Vec::new();
    while !text.trim().is_empty() {
        let (name, after) = text.trim_start().split_once("=\"").unwrap_or_else(|| panic!("an attribute: {text:?}"));
        let (value, tail) = after.split_once('"').expect("a closed value");
        found.push((name, plain(value)));
        text = tail;
    }
    found
}

fn plain(text: &str) -> String {
    assert!(!text.contains(['<', '>']), "{text:?}");
    for (at, _) in text.match_indices('&') {
        let known = ["&lt;", "&gt;", "&amp;", "&quot;", "&#39;", "&#x27;", "&#x2f;"];
        assert!(known.iter().any(|name| text[at..].starts_with(name)), "a bare & in {text:?}");
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    text.replace("&#39;", "'").replace("&#x27;", "'").replace("&#x2f;", "/").replace("&amp;", "&")
}
