//! Text as a sheet can hold it.

/// The text in quotes, so that nothing in it means anything: double ones, single ones where it has double ones in it.
pub(super) fn quoted(text: &str) -> String {
    if text.contains(['"', '\\']) { format!("'{}'", text.replace('\'', "''")) } else { format!("\"{text}\"") }
}

/// `NAME: "REST"` or `- "REST"` of a line, its indentation kept. `None` where the line has no such head.
pub(super) fn line_with_quotes(line: &str) -> Option<String> {
    let body = line.trim_start();
    let indent = line.get(..line.len() - body.len())?;
    let (head, rest) = if let Some(rest) = body.strip_prefix("- ") {
        ("- ".to_owned(), rest)
    } else {
        let (name, rest) = body.split_once(": ")?;
        (format!("{name}: "), rest)
    };
    let rest = rest.trim();
    (!rest.is_empty() && !rest.starts_with(['"', '\''])).then(|| format!("{indent}{head}{}", quoted(rest)))
}
