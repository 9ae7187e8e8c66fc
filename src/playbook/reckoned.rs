//! The arithmetic behind what a good unit reads, in words, where it is a load across a supply or a sum of such: "12 kW ÷ 208 V ÷
//! √3 = 33.3 A". Anything else is solved from the drawing, and says so.
//!
//! A sum is told only where it comes to what the circuit gives as on the rating plate: within 1.5 %, for the contacts and fuses
//! in the line, 3 % behind a transformer. The bounds are ours.

use super::model::{Question, Test};
use super::normal::Normal;
use super::takings::Takings;
use crate::corners::{Desk, Spot, Tap, Width};
use crate::sheet::meter::Meter;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Does, Given, Part, PartId, Unit as Sheet};
use crate::trade::dimension::Dimension;
use crate::trade::printing::three_digits;
use crate::trade::quantity::{computed, plain, to_base};
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// How far a sum may be off the solved circuit.
const NEAR: f64 = 0.015;
/// The same for the volts of a leg or of half a winding.
const NEAR_PART: f64 = 0.006;
/// The same behind a transformer.
const NEAR_BEHIND: f64 = 0.03;

/// How what a good unit reads comes about.
#[derive(Debug, Clone, PartialEq)]
pub struct Reckoned {
    /// The sum as on the rating plate: "12 kW ÷ 208 V ÷ √3 = 33.3 A"; "solved from the drawing".
    pub sum: String,
    /// What it may be off, and why: "the supply less 10 %, plus 10 %".
    pub spread: Vec<String>,
}

impl Reckoned {
    /// All of it in one sentence.
    #[must_use]
    pub fn told(&self) -> String {
        let mut told = self.sum.clone();
        if !self.spread.is_empty() {
            told.push_str("; ");
            told.push_str(&self.spread.join("; "));
        }
        told
    }
}

/// The arithmetic of a test with numbers.
pub(super) fn of(test: &Test, takings: &Takings<'_>, normal: &Normal, desk: &mut Desk) -> Option<Reckoned> {
    let unit = test.bounds.as_ref()?.unit();
    let taps = takings.taps();
    let spots: Vec<Spot> = taps.iter().take(test.measures().len()).map(|tap| tap.spot).collect();
    let meter: Vec<String> = unloaded(normal, unit).into_iter().chain(off(desk.meter(), &taps)).collect();
    let only =
        if spots.len() == 1 || matches!(test.question, Question::Measure(_)) { spots.first().copied() } else { None };
    let solved = || {
        let drawing =
            "solved from the drawing at low, rated and high supply, with every part at both ends of its tolerance";
        Some(Reckoned { sum: drawing.to_owned(), spread: meter.clone() })
    };
    if spots.iter().all(|spot| matches!(spot, Spot::At(_))) {
        let sum = "as the unit's sheet says".to_owned();
        return Some(Reckoned { sum, spread: meter });
    }
    let Reading::Value(plate) = normal.plate else { return solved() };
    let base = to_base(plate, unit, false);
    let figures = Figures::of(takings, desk)?;
    let found = match unit.dimension() {
        Dimension::AMPS => figures.amps(base, only),
        Dimension::VOLTS => figures.volts(base),
        Dimension::OHMS => only.and_then(|spot| figures.ohms(base, spot)),
        _ => None,
    };
    let Some(Found { sum, value, mut spread }) = found else { return solved() };
    spread.extend(meter);
    // A figure that is no sum is not said twice.
    let shown = Reading::Value(three_digits(value)).told(unit.with_current(None));
    let is_sum = sum.contains(['÷', '×']);
    Some(Reckoned { sum: if is_sum { format!("{sum} = {shown}") } else { sum }, spread })
}

/// "with everything off up to 228.8 V": what the good readings of a supply go up to.
fn unloaded(normal: &Normal, unit: Unit) -> Option<String> {
    let highest = Reading::Value(tenths(normal.unloaded?)).told(unit.with_current(None));
    Some(format!("with everything off up to {highest}, and one step of the meter in hand"))
}

/// To four digits: a branch unloaded differs from a loaded one in the last of them.
fn tenths(value: f64) -> f64 {
    let step = 10_f64.powf(value.abs().max(1e-9).log10().floor() - 3.0);
    computed((value / step).round() * step)
}

/// What the meter may be off: "the meter off by 2 % and 5 counts of 0.1 A"; each of its functions that is used once.
fn off(meter: &Meter, taps: &[Tap]) -> Option<String> {
    let mut told: Vec<String> = Vec::new();
    for tap in taps {
        let Some(accuracy) = meter.accuracy(tap.unit) else { continue };
        let mut words: Vec<String> = Vec::new();
        if accuracy.share > 0.0 {
            words.push(format!("{} %", plain(three_digits(accuracy.share * 100.0))));
        }
        if accuracy.counts > 0.0 {
            let counts = if accuracy.counts > 1.0 { "counts" } else { "count" };
            let step = Reading::Value(accuracy.step).told(tap.unit.with_current(None));
            words.push(format!("{} {counts} of {step}", plain(accuracy.counts)));
        }
        let words = words.join(" and ");
        if !words.is_empty() && !told.contains(&words) {
            told.push(words);
        }
    }
    (!told.is_empty()).then(|| format!("the meter off by {}", told.join(", and by ")))
}

/// A sum that comes to what the circuit gives.
struct Found {
    sum: String,
    /// What it comes to, in base units of volts, amps or ohms.
    value: f64,
    spread: Vec<String>,
}

/// A load that works, with what it is rated for.
struct Load {
    part: PartId,
    watts: f64,
    volts: f64,
    spread: Option<String>,
}

struct Figures<'a> {
    sheet: &'a Sheet,
    loads: Vec<Load>,
}

impl<'a> Figures<'a> {
    fn of(takings: &Takings<'_>, desk: &'a mut Desk) -> Option<Self> {
        let standing = takings.standing(desk);
        let corner = *desk.corners(Width::Three, &[]).first()?;
        let stood = desk.stood(corner, &standing, &[]).ok()?;
        let sheet = &desk.wired().unit;
        let loads = sheet
            .parts()
            .filter(|(_, part)| part.group == Group::Elements)
            .filter_map(|(id, part)| {
                let watts = amount(part, "watts")?;
                let volts = amount(part, "volts").or_else(|| sheet.supplies.first().map(|s| s.volts.nominal))?;
                let works = stood.does(id, 0) == Does::On;
                Some((works, Load { part: id, watts, volts, spread: tolerance(part) }))
            })
            .map(|(works, load)| if works { load } else { Load { watts: 0.0, ..load } })
            .collect();
        Some(Self { sheet, loads })
    }

    fn working(&self) -> impl Iterator<Item = &Load> {
        self.loads.iter().filter(|load| load.watts > 0.0)
    }

    /// Watts ÷ volts; in three phases ÷ √3 too.
    fn amps(&self, amps: f64, only: Option<Spot>) -> Option<Found> {
        let near = |sum: f64| (sum / amps - 1.0).abs() <= NEAR;
        let own = |load: &&Load| matches!(only, Some(Spot::Through(part, _)) if part == load.part);
        for supply in &self.sheet.supplies {
            let volts = supply.volts.nominal;
            let line = format!("{} V", plain(three_digits(volts)));
            let mut lots: Vec<Vec<&Load>> = self.working().filter(own).map(|load| vec![load]).collect();
            let all: Vec<&Load> = self.working().collect();
            lots.push(all);
            lots.extend(self.working().map(|load| vec![load]));
            for lot in lots.iter().filter(|lot| !lot.is_empty()) {
                let watts: f64 = lot.iter().map(|load| load.watts * (volts / load.volts).powi(2)).sum();
                let rated = lot.iter().all(|load| (load.volts / volts - 1.0).abs() < 1e-6);
                let Some(words) = watts_words(lot, rated, volts) else { continue };
                let mut spread = vec![ends("the supply", supply.volts.low / volts, supply.volts.high / volts)];
                spread.extend(lot.first().and_then(|load| load.spread.clone()));
                spread.retain(|words| !words.is_empty());
                if near(watts / volts) {
                    return Some(Found { sum: format!("{words} ÷ {line}"), value: watts / volts, spread });
                }
                let three = watts / volts / 3_f64.sqrt();
                if supply.points.len() == 3 && near(three) {
                    return Some(Found { sum: format!("{words} ÷ {line} ÷ √3"), value: three, spread });
                }
            }
        }
        None
    }

    /// The volts of the plate, those from a leg to ground, or those behind a transformer.
    fn volts(&self, volts: f64) -> Option<Found> {
        for supply in &self.sheet.supplies {
            let rated = supply.volts.nominal;
            let line = format!("{} V", plain(three_digits(rated)));
            let found = |sum: String, value: f64| Found {
                sum,
                value,
                spread: vec![ends("the supply", supply.volts.low / rated, supply.volts.high / rated)],
            };
            let near = |sum: f64, within: f64| (sum / volts - 1.0).abs() <= within;
            if near(rated, NEAR) {
                return Some(found(format!("{line} on the rating plate"), rated));
            }
            // Closer: 120 V behind a transformer is near them too.
            if supply.points.len() == 3 && near(rated / 3_f64.sqrt(), NEAR_PART) {
                return Some(found(format!("{line} ÷ √3"), rated / 3_f64.sqrt()));
            }
            if near(rated / 2.0, NEAR_PART) {
                return Some(found(format!("{line} ÷ 2"), rated / 2.0));
            }
        }
        for part in self.sheet.parts.iter().filter(|part| part.group == Group::Transformers) {
            let secondary = amount(part, "secondary")?;
            let supply = self.sheet.supplies.first()?;
            let rated = supply.volts.nominal;
            if (secondary / volts - 1.0).abs() <= NEAR_BEHIND {
                let sum = format!("{} V out of {}, loaded", plain(three_digits(secondary)), part.name);
                let spread = vec![ends("the supply", supply.volts.low / rated, supply.volts.high / rated)];
                return Some(Found { sum, value: secondary, spread });
            }
        }
        None
    }

    /// Volts × volts ÷ watts of a load by itself; ohms the sheet gives.
    fn ohms(&self, ohms: f64, spot: Spot) -> Option<Found> {
        let Spot::Of(part, _) = spot else { return None };
        let near = |sum: f64| (sum / ohms - 1.0).abs() <= NEAR;
        let sheet = self.sheet.part_of(part);
        if let (Some(watts), Some(load)) = (amount(sheet, "watts"), self.loads.iter().find(|load| load.part == part))
            && near(load.volts * load.volts / watts)
        {
            let volts = plain(three_digits(load.volts));
            let spread = load.spread.clone().into_iter().collect();
            let sum = format!("{volts} V × {volts} V ÷ {} W", plain(three_digits(watts)));
            return Some(Found { sum, value: load.volts * load.volts / watts, spread });
        }
        let given = amount(sheet, "ohms").filter(|given| near(*given))?;
        let sum = format!("{} ohm on the unit's sheet", plain(three_digits(given)));
        Some(Found { sum, value: given, spread: tolerance(sheet).into_iter().collect() })
    }
}

/// "12 kW", "2 × 1000 W", "4000 W × (208 ÷ 240)²".
fn watts_words(lot: &[&Load], rated: bool, volts: f64) -> Option<String> {
    let first = lot.first()?;
    let all_alike = lot
        .iter()
        .all(|load| (load.watts / first.watts - 1.0).abs() < 1e-9 && (load.volts / first.volts - 1.0).abs() < 1e-9);
    let total: f64 = lot.iter().map(|load| load.watts).sum();
    let words = if total >= 10_000.0 {
        format!("{} kW", plain(three_digits(total / 1000.0)))
    } else {
        format!("{} W", plain(total))
    };
    match (rated, all_alike) {
        (true, _) => Some(words),
        (false, true) => {
            Some(format!("{words} × ({} ÷ {})²", plain(three_digits(volts)), plain(three_digits(first.volts))))
        }
        (false, false) => None,
    }
}

fn amount(part: &Part, key: &str) -> Option<f64> {
    match part.given.get(key) {
        Some(Given::Amount(amount)) => Some(amount.value),
        _ => None,
    }
}

/// "the element less 10 %, plus 5 %": of its watts, else of its ohms.
fn tolerance(part: &Part) -> Option<String> {
    let (watts, minus, plus) = match part.given.get("tolerance") {
        Some(Given::Tolerance { watts, minus, plus }) => (*watts, *minus, *plus),
        // As in the circuit: the catalogue figure of sheathed elements.
        _ if part.group == Group::Elements => (true, 0.10, 0.05),
        _ => return None,
    };
    let of = if watts { "an element's watts" } else { "the part's ohms" };
    Some(ends(of, 1.0 - minus, 1.0 + plus)).filter(|words| !words.is_empty())
}

/// "the supply less 10 %, plus 10 %"; nothing where it does not vary.
fn ends(of: &str, low: f64, high: f64) -> String {
    let percent = |share: f64| plain(three_digits(share * 100.0));
    match (low < 1.0 - 1e-9, high > 1.0 + 1e-9) {
        (true, true) => format!("{of} less {} %, plus {} %", percent(1.0 - low), percent(high - 1.0)),
        (true, false) => format!("{of} less {} %", percent(1.0 - low)),
        (false, true) => format!("{of} plus {} %", percent(high - 1.0)),
        (false, false) => String::new(),
    }
}
