//! The published pages as a browser lays them out: a phone 390 px wide and a screen of 1280 px, by day and by night.
//!
//! 1. Every page is copied to a temporary folder, its content policy taken out and `measure.js` put in: the pages hold no script.
//! 2. One page of frames shows each of them at each width; Chromium lays it out and prints what the measuring found.
//! 3. Two pages made badly on purpose prove that each kind of slip is found.
//!
//! Measured against WCAG 2.2: reflow (1.4.10), contrast (1.4.3), target size (2.5.8), headings, language; from memory.

use serde::Deserialize;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What the measuring told of one page in one frame.
#[derive(Debug, Deserialize)]
struct Measured {
    page: String,
    wrong: Vec<String>,
    width: u32,
    dark: bool,
    letters: u32,
    links: u32,
    headings: u32,
}

/// Widths in px, and whether at night.
const FRAMES: [(u32, bool); 3] = [(390, false), (1280, false), (390, true)];

/// By night only the colours differ: a page of each kind is enough.
const BY_NIGHT: [&str; 6] = [
    "units/holding-cabinet-208.html",
    "cabinet-dead/holding-cabinet-208.html",
    "cabinet-dead/holding-cabinet-208-coverage.html",
    "guide.html",
    "index.html",
    "bad.html",
];

/// What is framed: page, width, at night.
fn framed<'a>(pages: &[&'a str]) -> Vec<(&'a str, u32, bool)> {
    let frames = FRAMES.iter().flat_map(|(width, dark)| pages.iter().map(move |page| (*page, *width, *dark)));
    frames.filter(|(page, _, dark)| !dark || BY_NIGHT.contains(page)).collect()
}

/// One slip of each kind, and what is told of it.
const BAD: &str = "<!doctype html><html><head><title></title><style>body{background:#fff;color:#000}</style></head><body>\
    <h1>One</h1><h1>Two</h1><h3>Left out</h3><p style=\"width:1400px\">Wide</p>\
    <p style=\"color:#999\">Pale</p><p style=\"font-size:9px\">Tiny</p>\
    <p style=\"height:0.6em\">Under</p><p style=\"margin-top:-1.1em\">Over it</p>\
    <p><a href=\"#nowhere\" style=\"font-size:12px\">x</a></p>\
    <p style=\"position:relative\"><a href=\"#\" style=\"display:block;height:30px\">Under a sheet</a>\
    <b style=\"position:absolute;inset:0\"></b></p></body></html>";
const TOLD: [&str; 12] = [
    "wider than the window",
    "out of the window: <p> Wide",
    "contrast: <p> Pale",
    "smaller than 12 px: <p> Tiny",
    "text on text: <p>",
    "small to tap: <a> x",
    "leads nowhere: <a> x",
    "covered: <a> Under a sheet",
    "not one first heading",
    "heading out of order: <h3> Left out",
    "no language",
    "no title",
];

#[test]
fn pages_as_a_browser_lays_them_out() {
    let folder = tempfile::tempdir().unwrap();
    let site = Path::new(env!("CARGO_MANIFEST_DIR")).join("site-out");
    let pages = copied(&site, folder.path());
    assert!(pages.len() >= 7, "{pages:?}");
    fs::write(folder.path().join("measure.js"), include_str!("measure.js")).unwrap();
    fs::write(folder.path().join("bad.html"), with_measuring(BAD, "")).unwrap();
    let mut shown: Vec<&str> = pages.iter().map(String::as_str).collect();
    shown.push("bad.html");
    fs::write(folder.path().join("frames.html"), frames(&shown)).unwrap();

    let measured = laid_out(folder.path());
    let told: BTreeSet<(&str, u32, bool)> = measured.iter().map(|m| (m.page.as_str(), m.width, m.dark)).collect();
    for frame in framed(&shown) {
        assert!(told.contains(&frame), "{frame:?} told nothing; these did: {told:?}");
    }

    let mut wrong = Vec::new();
    for page in measured {
        if page.page == "bad.html" {
            for told in TOLD {
                assert!(
                    page.wrong.iter().any(|wrong| wrong.starts_with(told)),
                    "{told} is not among {:#?}",
                    page.wrong
                );
            }
        } else {
            assert!(page.letters > 20 && page.headings > 0 && page.links > 0, "{page:?}");
            let at = format!("{} at {} px{}", page.page, page.width, if page.dark { ", at night" } else { "" });
            wrong.extend(page.wrong.into_iter().map(|words| format!("{at}: {words}")));
        }
    }
    assert!(wrong.is_empty(), "{} wrong\n{}", wrong.len(), wrong.join("\n"));
}

/// Copies the site with the measuring in each page; the pages' addresses, in order. A page that leads on at once is left out.
fn copied(site: &Path, to: &Path) -> Vec<String> {
    let mut pages = Vec::new();
    for entry in walkdir::WalkDir::new(site).sort_by_file_name().into_iter().map(Result::unwrap) {
        let below = entry.path().strip_prefix(site).unwrap();
        let target: PathBuf = to.join(below);
        if entry.file_type().is_dir() {
            fs::create_dir_all(target).unwrap();
        } else if below.extension().is_some_and(|ending| ending == "html") {
            let text = fs::read_to_string(entry.path()).unwrap();
            assert!(!text.contains("<script"), "{}: a page does without script", below.display());
            let up = "../".repeat(below.components().count() - 1);
            if !text.contains("http-equiv=\"refresh\"") {
                fs::write(target, with_measuring(&text, &up)).unwrap();
                pages.push(below.to_string_lossy().replace('\\', "/"));
            }
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
    pages
}

/// The page without its content policy, with the measuring script.
fn with_measuring(text: &str, up: &str) -> String {
    let policy = text.lines().find(|line| line.starts_with("<meta http-equiv=\"Content-Security-Policy\""));
    let open = policy.map_or_else(|| text.to_owned(), |policy| text.replace(policy, ""));
    open.replace("</body>", &format!("<script src=\"{up}measure.js\"></script></body>"))
}

/// A page of frames, each as high as the longest page, and what they tell in a list.
fn frames(pages: &[&str]) -> String {
    let listen = "<script>\
         const told = [];\
         addEventListener('message', (event) => {\
           const frame = [...document.querySelectorAll('iframe')].find((f) => f.contentWindow === event.source);\
           told.push({ page: frame.dataset.page, ...event.data });\
           document.getElementById('told').textContent = JSON.stringify(told);\
         });\
         </script>";
    let mut html =
        format!("<!doctype html><meta charset=\"utf-8\"><title>frames</title><pre id=\"told\"></pre>{listen}\n");
    for (page, width, dark) in framed(pages) {
        let scheme = if dark { "dark" } else { "light" };
        html.push_str(&format!(
            "<iframe data-page=\"{page}\" src=\"{page}\" \
             style=\"border:0;width:{width}px;height:120000px;color-scheme:{scheme}\"></iframe>\n"
        ));
    }
    html
}

/// Lays the frames out in Chromium and reads what they told.
fn laid_out(folder: &Path) -> Vec<Measured> {
    let told = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--disable-dev-shm-usage", "--hide-scrollbars", "--virtual-time-budget=20000", "--dump-dom"])
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .arg(format!("file://{}", folder.join("frames.html").display()))
        .output()
        .expect("chromium, which tests/run installs");
    let page = String::from_utf8_lossy(&told.stdout);
    let (_, list) =
        page.split_once("<pre id=\"told\">").unwrap_or_else(|| panic!("{}", String::from_utf8_lossy(&told.stderr)));
    let list = list.split_once("</pre>").unwrap().0;
    let list = list.replace("&lt;", "<").replace("&gt;", ">").replace("&nbsp;", " ").replace("&amp;", "&");
    serde_json::from_str(&list).unwrap_or_else(|why| panic!("{why}: {list}"))
}
