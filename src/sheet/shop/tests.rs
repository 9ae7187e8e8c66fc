//! The shop sheet, and the shop without one.

use super::*;
use crate::sheet::states::{StateId, ValueId};
use crate::text::source::{Place, Span};

fn shop_of(text: &str) -> (Shop, Vec<String>) {
    let (shop, problems) = read(&Source::new("shop.yaml", text));
    (shop, problems.iter().map(|problem| format!("{} {}", problem.rule.code, problem.place.text())).collect())
}

#[test]
fn the_shop_without_a_sheet_locks_out_in_order() {
    let shop = Shop::built_in();
    // Written out as a sheet, it passes its own check.
    let steps: String = shop.lock_out.iter().map(|step| format!("  - \"{step}\"\n")).collect();
    assert_eq!(shop_of(&format!("lock out:\n{steps}")).1, Vec::<String>::new());
    assert_eq!(shop.temperature.symbol(), "°F");
    assert_eq!(shop.contact("lead").map(|contact| contact.who.as_str()), Some("the lead technician"));
    assert!(shop.contact("nobody").is_none());
}

#[test]
fn what_is_left_out_is_built_in() {
    let (shop, problems) = shop_of("shop: Old Mill Kitchen Service\ntemperature: deg C\n");
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!((shop.name.as_str(), shop.temperature.symbol()), ("Old Mill Kitchen Service", "°C"));
    assert_eq!(shop.lock_out, Shop::built_in().lock_out);
    assert_eq!(shop.table.len(), 2);
    assert!(!shop.lists_who_to_call);
}

#[test]
fn a_list_of_who_to_call_holds_where_all_of_it_was_read() {
    let lists = |text: &str| shop_of(text).0.lists_who_to_call;
    assert!(lists("call:\n  lead: by radio\n  gas fitter: through dispatch\n"));
    assert!(!lists("call:\n  lead: by radio\n  gas fitter:\n"));
    assert!(!lists("call: the lead\n"));
}

#[test]
fn a_meter_off_by_percent_and_counts() {
    let sheet = "meter:\n  input: 11 Mohm\n  accuracy:\n    V AC: ±1.0 % + 3 counts of 0.1 V\n    A: 2.0 % + 5 counts of 100 mA\n    °F: 0 % + 2 counts of 0.1 °C\n    uF: 2 %\n";
    let (shop, problems) = shop_of(sheet);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!((shop.meter.input, shop.meter.low_impedance), (11_000_000.0, 3_000.0));
    let off = |unit: &str, reading: f64| {
        shop.meter.accuracy(Unit::parse(unit).unwrap()).map(|accuracy| accuracy.off(reading))
    };
    let near = |got: Option<f64>, want: f64| assert!((got.unwrap() - want).abs() < 1e-9, "{got:?} is not {want}");
    // Source: the shared trade reference, meter accuracy windows (120 V ±1.5 V; 24.98 A ±0.9996 A).
    near(off("V AC", 120.0), 1.5);
    near(off("A AC", 24.98), 0.9996);
    near(off("V", 120.0), 1.5);
    // Two counts of a tenth of a degree C are 0.36 °F: a difference, without the 32.
    near(off("°F", 212.0), 0.36);
    near(off("uF", 35.0), 0.7);
    assert_eq!(off("V DC", 24.0), None);
    assert_eq!(off("ohm", 24.0), None);
}

#[test]
fn states_of_shop_and_unit() {
    let sheet = "states:\n  power:\n    disconnects: [plug, gas-cock]\n    lock out also: Let the oil stand.\n  covers:\n    to off: Take the skirt off.\n  fan:\n    values: [off, low]\n    only while: power live\n";
    let (shop, problems) = shop_of(sheet);
    assert!(problems.is_empty(), "{problems:?}");
    let power = shop.table.get(StateId::POWER).unwrap();
    assert_eq!(
        (power.disconnects.len(), power.lock_out_also.as_slice()),
        (2, ["Let the oil stand.".to_owned()].as_slice())
    );
    // The sentence is the shop's; covers still come off with the power locked out, and go on with the built-in sentence.
    let covers = shop.table.get(StateId::COVERS).unwrap();
    assert_eq!(shop.table.sentence(StateId::COVERS, ValueId(1)), "Take the skirt off.");
    assert_eq!(shop.table.sentence(StateId::COVERS, ValueId::HOME), "Put every cover back with all its screws.");
    assert_eq!(covers.change_while, [Stand::LOCKED_OUT]);

    let place = Place::new(&Source::new("unit.yaml", "fan"), Span::new(0, 3));
    let unit = Declared {
        name: "fan".to_owned(),
        place: place.clone(),
        values: declared::bare_values(&["off", "high"]),
        values_place: place,
        sound: true,
        only_while: Vec::new(),
        change_while: Vec::new(),
        disconnects: Vec::new(),
        lock_out_also: Vec::new(),
    };
    let (states, problems) = shop.with_unit(&[unit]);
    assert!(problems.is_empty(), "{problems:?}");
    assert!(states.stand("fan", "high").is_some() && states.stand("fan", "low").is_none());
}

#[test]
fn how_the_closing_list_leaves_a_state() {
    let sheet = "closing:\n  - Wipe down.\n  - leave fan low, light on, because the flue is hot\n  - Leave the site clean.\nstates:\n  fan:\n    values: [off, low]\n  light:\n    values: [off, on]\n";
    let (shop, problems) = shop_of(sheet);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(shop.closing, ["Wipe down.", "Leave the site clean."]);
    let told: Vec<String> = shop.left_on(&shop.table).iter().map(|stand| shop.table.told(*stand)).collect();
    assert_eq!(told, ["fan low", "light on"]);
    assert!(shop.left.iter().all(|left| left.because.as_deref() == Some("the flue is hot")));
}
