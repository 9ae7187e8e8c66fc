//! Pictures: what may be copied into a site.
//!
//! A drawing (SVG) opened by itself is a document of the site; one with a script in it would run there. So the kind of file has to be
//! what its name says, and a drawing may hold nothing that acts or loads.

/// Why a picture is not copied, in words; `None` where it is.
#[must_use]
pub fn picture_slip(file: &str, bytes: &[u8]) -> Option<String> {
    let ending = file.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).unwrap_or_default();
    let starts = |magic: &[u8]| bytes.starts_with(magic);
    let is_kind = match ending.as_str() {
        "png" => starts(b"\x89PNG\r\n\x1a\n"),
        "jpg" | "jpeg" => starts(b"\xff\xd8\xff"),
        "gif" => starts(b"GIF87a") || starts(b"GIF89a"),
        "webp" => starts(b"RIFF") && bytes.get(8..12) == Some(b"WEBP"),
        "svg" => return drawing_slip(bytes),
        _ => return Some("A picture is a file ending in svg, png, jpg, webp or gif.".to_owned()),
    };
    (!is_kind).then(|| format!("The file is not the kind its ending `{ending}` says."))
}

/// What a drawing may not hold, in lower case.
const ACTING: [&str; 9] = [
    "<script",
    "<foreignobject",
    "<iframe",
    "<animate",
    "<set",
    "javascript:",
    "<!entity",
    "<?xml-stylesheet",
    "@import",
];

fn drawing_slip(bytes: &[u8]) -> Option<String> {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Some("The drawing is not UTF-8 text.".to_owned());
    };
    let lower = text.to_ascii_lowercase();
    if !lower.contains("<svg") {
        return Some("The file is not a drawing (SVG).".to_owned());
    }
    let found = ACTING.iter().find(|word| lower.contains(**word));
    if let Some(word) = found {
        return Some(format!("The drawing holds `{word}`. Save it as a plain drawing, without scripts or motion."));
    }
    let handles = lower.split_whitespace().any(|word| {
        word.strip_prefix("on")
            .and_then(|rest| rest.split_once('='))
            .is_some_and(|(name, _)| !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphabetic()))
    });
    if handles {
        return Some("The drawing acts on touch or load (an `on…=`). Save it as a plain drawing.".to_owned());
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_copied_and_what_is_not() {
        let good: [(&str, &[u8]); 3] = [
            ("a.svg", b"<svg xmlns=\"http://www.w3.org/2000/svg\"><text>on = off</text></svg>"),
            ("a.PNG", b"\x89PNG\r\n\x1a\nrest"),
            ("a/b.jpg", b"\xff\xd8\xff\xe0"),
        ];
        for (name, bytes) in good {
            assert_eq!(picture_slip(name, bytes), None, "{name}");
        }
        let bad: [(&str, &[u8]); 6] = [
            ("a.html", b"<svg/>"),
            ("a.png", b"<svg/>"),
            ("a.svg", b"<svg onload=\"x()\"/>"),
            ("a.svg", b"<svg><SCRIPT>x</SCRIPT></svg>"),
            ("a.svg", b"<html/>"),
            ("a", b""),
        ];
        for (name, bytes) in bad {
            assert!(picture_slip(name, bytes).is_some(), "{name}");
        }
    }
}
