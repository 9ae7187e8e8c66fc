//! What stands on the pages.

use super::markup::read;
use ruleout::language::parse;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::sheet::shop::{Shop, read as read_shop};
use ruleout::site::page::playbook_page;
use ruleout::site::templates::{STYLE, Templates};
use ruleout::text::source::Source;

/// The page of one playbook.
fn page(shop: &Shop, text: &str) -> String {
    page_on(shop, Ground { states: &shop.table, banks: &[], desks: None }, text)
}

/// The page of one playbook, by the sheet of its unit or without one.
fn page_on(shop: &Shop, ground: Ground<'_>, text: &str) -> String {
    let (tree, _) = parse(&Source::new("playbooks/family/one.playbook", text));
    let tree = tree.expect("a playbook");
    let (playbook, _) = compile(&tree, ground);
    let playbook = playbook.expect("a compiled playbook");
    let unit = playbook.units.first().map(String::as_str);
    let view = playbook_page(&playbook, unit, shop, None, &|name| format!("../{name}/any.html"));
    Templates::new().and_then(|templates| templates.fill("playbook", &playbook.title, "../", &view)).expect("a page")
}

/// The part of a page between `<main>` and `</main>`.
fn main_part(page: &str) -> &str {
    let (_, after) = page.split_once("<main>").expect("a main part");
    after.split_once("</main>").expect("its end").0
}

/// A playbook of four kinds of line.
pub const LAMP: &str = "\
playbook lamp-out: The heat lamp is out
unit     lamp-120
symptom  No light over the pass
revised  2026-09-14
finish   lamp-on

test lamp-on: Switch it on and look
  with       power live, covers on
  ask        What does the lamp do?
  good       it lights    go to was-off
  if         it is dark   go to socket-volts
  takes      1 minute

test socket-volts: Volts at the socket
  with       power live, covers off
  tools      Lamp gloves
  danger     120 V live parts behind this cover will kill: keep hands out, touch only with the probes.
  do         Take the lamp out.
  caution    The socket is over 200 °F and burns: keep fingers off it.
  measure    V AC from S1 to S2, loaded, lowest over 10 s
  good       108 to 132 V AC  go to replace-lamp
  if         below 108 V AC   go to lamp-ohms
  if         above 132 V AC   go to supply-high
  cannot     go to lamp-ohms
  why        A good reading here clears the switch and the cord.
  takes      3 minutes

test lamp-ohms: Lamp by itself
  with       power locked-out, covers off
  measure    ohm of lamp
  good       1 to 40 ohm   go to supply-high
  if         below 1 ohm   go to replace-lamp
  if         above 40 ohm  go to replace-lamp
  if         OL            go to replace-lamp

repair replace-lamp: Replace the lamp
  with       power locked-out, covers off
  part       Heat lamp, 250 W, 120 V
  do         Hold the new lamp by its base.
  verify     socket-volts
  leave      power locked-out

escalate supply-high: The supply is high
  to         lead
  because    The lamp is good.
  leave      power locked-out

escalate was-off: It was switched off
  to         lead
  because    The lamp lights.
  leave      power live
";

#[test]
fn a_page_in_full() {
    let page = page(&Shop::built_in(), LAMP);
    insta::assert_snapshot!(main_part(&page));
}

/// Markup in every field a person writes.
#[test]
fn text_never_becomes_markup() {
    let hostile = "\"><script src=//x>alert('1')</script><img src=x onerror=a()>&amp;<!--";
    let playbook = format!(
        "playbook p: {hostile}\nunit u\nsymptom {hostile}\nrevised 2026-09-14\nfinish a\n\
         test a: {hostile}\nwith power live, covers off\ntools {hostile}\ndanger {hostile}\ndo {hostile}\n\
         wait 5 minutes or until {hostile}\npicture a.svg: {hostile}\nnotice {hostile}\nask {hostile}\ngood {hostile} go to r\n\
         if no {hostile} go to b\ncannot go to b\nwhy {hostile}\n\
         test b: B\nwith power live, covers off\nwarning {hostile}\nmeasure V AC across a<b>c\ngood below 3 V go to r\n\
         if above 3 V go to e\n\
         repair r: {hostile}\nwith power locked-out\npart {hostile}\ntools {hostile}\ndo {hostile}\nverify a\n\
         escalate e: {hostile}\nto {hostile}\nbecause {hostile}\nleave power live, because {hostile}\n"
    );
    let mut shop = Shop::built_in();
    shop.name = hostile.to_owned();
    shop.local_codes = hostile.to_owned();
    for list in [&mut shop.lock_out, &mut shop.re_energize, &mut shop.closing, &mut shop.hand_over] {
        *list = vec![hostile.to_owned()];
    }
    for contact in &mut shop.call {
        contact.name = hostile.to_owned();
        contact.who = hostile.to_owned();
    }
    let seen = read(&page(&shop, &playbook));
    // It is all there, as text: about thirty times.
    assert!(seen.text.matches("<script src=//x>alert('1')</script>").count() > 25, "{}", seen.text);
    assert_eq!(seen.elements.get("img"), Some(&1), "the picture and no other");
}

/// Contrast after WCAG 2.2, 1.4.3 (formulas of relative luminance and contrast ratio as given there, from memory): text at least 4.5 to 1.
#[test]
fn text_stands_out_by_day_and_by_night() {
    let value = |name: &str, nth: usize| -> [f64; 3] {
        let at = STYLE.match_indices(&format!("--{name}: #")).nth(nth).expect("a colour").0 + name.len() + 5;
        let part =
            |from: usize| f64::from(u8::from_str_radix(&STYLE[at + from..at + from + 2], 16).expect("hexadecimal"));
        [part(0), part(2), part(4)]
    };
    let luminance = |[r, g, b]: [f64; 3]| {
        let linear =
            |c: f64| if c / 255.0 <= 0.040_45 { c / 255.0 / 12.92 } else { ((c / 255.0 + 0.055) / 1.055).powf(2.4) };
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    };
    for theme in [0, 1] {
        let paper = luminance(value("paper", theme));
        for name in ["ink", "soft", "link"] {
            let ink = luminance(value(name, theme));
            let ratio = (paper.max(ink) + 0.05) / (paper.min(ink) + 0.05);
            assert!(ratio >= 4.5, "{name}, theme {theme}: {ratio:.2}");
        }
    }
}

/// The words on the scale of a test with these outcome lines, in the order drawn, `*` for good, `|` for the tick before.
fn drawn(question: &str, outcomes: &str) -> String {
    let outcomes: String = outcomes.split("; ").map(|line| format!("{line} go to e\n")).collect();
    let text = format!(
        "playbook p: P\nfinish a\ntest a: A\nwith power locked-out\n{question}\n{outcomes}escalate e: E\nto lead\nbecause x\n"
    );
    let page = page(&Shop::built_in(), &text);
    let card = page.split_once("<article").expect("a card").1.split_once("</article>").expect("its end").0;
    let kind = ["lying", "standing", "answers"]
        .into_iter()
        .find(|kind| card.contains(&format!("class=\"{kind}\"")))
        .expect("a scale");
    let scale = card.split_once(&format!("class=\"{kind}\"")).expect("a scale").1;
    let stretches = scale.split("<li").skip(1).map(|item| {
        let tick = item.split_once("aria-hidden=\"true\">").filter(|_| item.contains("tick"));
        let tick = tick.map(|(_, after)| format!("|{}| ", after.split('<').next().unwrap_or(""))).unwrap_or_default();
        let words = item.split_once("<b>").expect("words").1.split('<').next().unwrap_or("").replace('\u{a0}', " ");
        format!("{tick}{}{words}", if item.contains("<em>good") { "*" } else { "" })
    });
    let stretches: Vec<String> = stretches.take_while(|s| !s.is_empty()).collect();
    format!("{kind}: {}", stretches.join(" · "))
}

#[test]
fn scales() {
    let cases = [
        (
            "measure V AC from L1 to L2",
            "good 187 to 229 V; if below 187 V; if above 229 V",
            "lying: below 187 V AC · |187| *187 to 229 V AC · |229| above 229 V AC",
        ),
        ("measure A through L1", "good below 3 A; if above 3 A", "lying: *below 3 A · |3| 3 A or above"),
        (
            "measure psi at suction",
            "if 0 to 5 psi; good 5 to 9 psi; if above 9 psi; if below 0 psi",
            "lying: below 0 psi · |0| 0 to under 5 psi · |5| *5 to 9 psi · |9| above 9 psi",
        ),
        (
            "measure ohm of rod",
            "good 10 to 20 ohm; if below 10 ohm; if above 20 ohm; if OL",
            "lying: below 10 ohm · |10| *10 to 20 ohm · |20| above 20 ohm · OL",
        ),
        (
            "measure A through L1",
            "if below 1 A; if 1 to 2 A; good 2 to 3 A; if 3 to 4 A; if above 4 A",
            "standing: |4| above 4 A · |3| 3 to 4 A · |2| *2 to under 3 A · |1| 1 to under 2 A · below 1 A",
        ),
        (
            "measure A through L1",
            "good normal; if below normal; if above normal",
            "lying: below normal · *normal · above normal",
        ),
        (
            "measure A through L1",
            "good normal; if below 1 A; if below normal; if above normal",
            "lying: below 1 A · |1| below normal · *normal · above normal",
        ),
        ("ask What is it?", "good lit; if dark", "answers: *lit · dark"),
    ];
    for (question, outcomes, want) in cases {
        assert_eq!(drawn(question, outcomes), want, "{outcomes}");
    }
}

/// Where roads meet with the unit standing differently, the card says what has to hold.
#[test]
fn the_way_is_told_for_the_usual_road_and_for_others() {
    let page = page(&Shop::built_in(), LAMP);
    let card = |id: &str| {
        let start = format!("<article class=\"card\" id=\"step-{id}\"");
        let (_, after) = page.split_once(&start).expect("the card");
        let (inner, _) = after.split_once("</article>").expect("its end");
        read(&format!("<!doctype html>{start}{inner}</article>")).text
    };
    let volts = card("socket-volts");
    let words = volts.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains(
            "Coming from step 1 live, covers on Lock out. Take off the covers that are in the way. Re-energize."
        ),
        "{words}"
    );
    assert!(words.contains("Coming from step 4 locked out, covers off Re-energize."), "{words}");
    assert!(words.contains("Unit now live, covers off"), "{words}");
    let ohms = card("lamp-ohms").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(ohms.contains("Take one wire off lamp, so that it is read by itself. ohm of lamp"), "{ohms}");
    assert!(ohms.contains("Put the wire back on lamp."), "{ohms}");
}

#[test]
fn the_shop_sheet_is_on_the_page() {
    let sheet = "shop: Ninebark\nlocal codes: |\n  Codes first.\ncall:\n  lead: by radio, channel 2\n";
    let (shop, _) = read_shop(&Source::new("shop.yaml", sheet));
    let seen = read(&page(&shop, LAMP)).text;
    for words in ["Ninebark", "by radio, channel 2", "Codes first."] {
        assert!(seen.contains(words), "{words}");
    }
}

/// A fuse of the sheet is pulled to be read by itself; any other part has a wire taken off. A large limit is told as it was written, what
/// a unit in order reads is told apart from what is good, and a calculation by what it judges.
#[test]
fn what_is_read_by_itself() {
    let text = "playbook p: P\nunit booster-208\nfinish a\n\
                test a: A\nwith power locked-out, covers off\nmeasure ohm of fuse-1, call it r1\nmeasure ohm of fuse-2, call it r2\n\
                calculate highest(r1, r2)\ngood below 1 ohm go to b\nif above 1 ohm go to e\n\
                test b: B\nwith power locked-out, covers off\nmeasure ohm of heater-1\ngood 9 to 13 ohm go to c\n\
                if below 9 ohm go to e\nif above 13 ohm go to e\n\
                test c: C\nwith power locked-out, covers off\nmeasure ohm from T1 to Ground\ngood above 100 kohm go to e\n\
                if below 100 kohm go to e\nescalate e: E\nto lead\nbecause x\n";
    let desks = crate::support::desks("playbooks/units/booster-208.yaml", &Shop::built_in());
    let unit = &desks.wired().unit;
    let ground = Ground { states: &unit.states, banks: &[], desks: Some(&desks) };
    let page = page_on(&Shop::built_in(), ground, text);
    let seen = read(&page).text.replace('\u{a0}', " ");
    for words in [
        "Pull fuse-1, so that it is read by itself.",
        "Put fuse-1 back in.",
        "Take one wire off heater-1, so that it is read by itself.",
        "the higher of the two",
        "100 kohm or above",
        "below 100 kohm",
        "By the drawing expect 10.3 to 12.1 ohm",
        "The scale decides, not this.",
    ] {
        assert!(seen.contains(words), "{words}: {seen}");
    }
    assert!(!seen.contains("100000") && !seen.contains("wire off fuse"), "{seen}");
    assert!(page.contains(">100 kohm</i>"), "the tick");
}

/// Dangers stand in one box in the head of the page, each text once with all its lines; warnings in the next.
#[test]
fn like_dangers_share_a_box() {
    let more = LAMP.replace(
        "test lamp-ohms: Lamp by itself\n  with       power locked-out, covers off\n",
        concat!(
            "test lamp-ohms: Lamp by itself\n  with       power live, covers off\n",
            "  danger     120 V live parts behind this cover will kill: keep hands out, touch only with the probes.\n",
            "  danger     The second lamp stays live and will kill: keep away from it.\n",
            "  warning    The glass bursts and can blind: wear glasses.\n"
        ),
    );
    let page = page(&Shop::built_in(), &more);
    let head = page.split_once("id=\"before\"").unwrap().1.split_once("<dl").unwrap().0;
    assert_eq!(head.matches("class=\"signal danger\"").count(), 1, "{head}");
    assert_eq!(head.matches("class=\"signal warning\"").count(), 1, "{head}");
    assert_eq!(head.matches("touch only with the probes").count(), 1, "{head}");
    assert!(head.contains("<small>steps 2 and 3</small>"), "{head}");
    assert!(head.find("stays live").unwrap() < head.find("can blind").unwrap(), "{head}");
}
