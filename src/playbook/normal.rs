//! What a good unit reads at each test, from its sheet.
//!
//! 1. The readings of a test are taken together at every corner of the good unit, in the states the test names and what they
//!    need, all others at home; of a bank, for every member.
//! 2. Each set counts as it is and with every reading at both ends of the meter's accuracy; a sum is worked out for each set.
//!    Never the sum of separate ranges: they forget that two readings belong together.
//! 3. Volts of a supply or a branch are read with every load off too: a load that is open leaves its supply good, and a little
//!    higher than it is under load.
//! 4. The lowest and the highest, rounded outwards to the step of the meter, are `normal`.
//! 5. For `normal at NAME` the same at the lowest, the plate's and the highest volts of the supply NAME goes with, and every
//!    2 % between.

use super::arithmetic::NoSum;
use super::bounds::Good;
use super::model::{Playbook, Scale, SlotId, Test, TestId};
use super::moving::{Moving, Row, along};
use super::reckoned::{self, Reckoned};
use super::takings::Takings;
use crate::corners::{Corner, CornerId, Desk, End, Unread, Width};
use crate::sheet::meter::Meter;
use crate::trade::dimension::Dimension;
use crate::trade::meter::accuracy::{Accuracy, outwards};
use crate::trade::quantity::computed;
use crate::trade::reading::Reading;
use std::sync::Arc;

/// What a good unit reads at a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    /// Over every corner, widened by the meter, rounded outwards.
    pub good: Good,
    /// With supplies and parts as on the plate.
    pub plate: Reading,
    /// Of volts of a supply or a branch, the highest with every load off, before the meter; `good` then has a step of the meter
    /// in hand at its top.
    pub unloaded: Option<f64>,
}

/// Why the sheet does not say what a good unit reads.
#[derive(Debug, Clone, PartialEq)]
pub enum NoNormal {
    /// The sheet has no such place; the places are checked on their own.
    NoPlace,
    /// The meter shows nothing there.
    Unread(Unread),
    /// The sum has no answer for what a good unit reads.
    NoSum(NoSum),
    /// `normal at NAME`: NAME does not go in proportion with one supply.
    NotASupply(String),
    /// `normal at` two names.
    TwoSupplies(String, String),
}

impl From<Unread> for NoNormal {
    fn from(why: Unread) -> Self {
        Self::Unread(why)
    }
}

impl From<NoSum> for NoNormal {
    fn from(why: NoSum) -> Self {
        Self::NoSum(why)
    }
}

/// What every test of the playbook judges by, on this unit.
pub(super) fn settle(playbook: &mut Playbook, desk: &mut Desk) {
    let settled: Vec<Option<Settled>> = playbook.tests().map(|(id, test)| of_test(playbook, id, test, desk)).collect();
    for (test, settled) in playbook.tests.iter_mut().zip(settled) {
        if let Some(settled) = settled {
            settled.put(test);
        }
    }
}

/// What was worked out for one test.
struct Settled {
    normal: Result<Normal, NoNormal>,
    moving: Option<Result<Moving, NoNormal>>,
    reckoned: Option<Reckoned>,
}

impl Settled {
    fn put(self, test: &mut Test) {
        let Some(bounds) = &test.bounds else { return };
        let good = self.normal.as_ref().ok().map(|normal| normal.good);
        let moving = self.moving.and_then(|moving| match moving {
            Ok(moving) => Some(Arc::new(moving)),
            Err(why) => {
                test.no_normal = Some(why);
                None
            }
        });
        let at_plate = moving.as_ref().map(|moving| moving.good(moving.reads_on_plate));
        let laid = bounds.lay(good, at_plate);
        test.scale = if laid.judged { Scale::Judged(bounds.unit) } else { Scale::Numbers(bounds.unit) };
        for (branch, takes) in test.branches.iter_mut().zip(laid.takes) {
            branch.takes = takes;
        }
        test.coverage = laid.coverage;
        test.moving = moving;
        test.reckoned = self.reckoned;
        match self.normal {
            Ok(normal) => test.good_reads = Some(normal),
            Err(why) => test.no_normal = test.no_normal.take().or(Some(why)),
        }
    }
}

fn of_test(playbook: &Playbook, id: TestId, test: &Test, desk: &mut Desk) -> Option<Settled> {
    let bounds = test.bounds.as_ref()?;
    let normal = normal(playbook, id, desk);
    let moving = match bounds.at.as_slice() {
        [] => None,
        [name] => {
            // A name that is nowhere is told where readings are checked.
            let at = playbook.slots.iter().position(|slot| slot.name.as_deref() == Some(name))?;
            let at = SlotId(u16::try_from(at).unwrap_or(u16::MAX));
            let fixed = normal.as_ref().ok().map(|normal| normal.good);
            Some(moving(playbook, id, (at, name), fixed, desk))
        }
        [one, two, ..] => Some(Err(NoNormal::TwoSupplies(one.clone(), two.clone()))),
    };
    let reckoned = normal.as_ref().ok().and_then(|normal| {
        let takings = Takings::of(playbook, desk.wired(), id, None)?;
        reckoned::of(test, takings.first()?, normal, desk)
    });
    Some(Settled { normal, moving, reckoned })
}

/// The lowest and highest a test judges.
#[derive(Debug, Clone, Copy)]
struct Range {
    low: f64,
    high: f64,
    over_limit: bool,
}

impl Range {
    const NONE: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY, over_limit: false };

    fn add(&mut self, reading: Reading) {
        match reading {
            Reading::Value(value) => {
                self.low = self.low.min(value);
                self.high = self.high.max(value);
            }
            Reading::OverLimit => self.over_limit = true,
        }
    }

    /// Rounded outwards; where it may read `OL` it goes on to there.
    fn good(self, step: f64, floor: f64) -> Good {
        if self.over_limit {
            let (low, _) = outwards(self.low, self.low, step);
            return Good { low: low.max(floor), high: f64::INFINITY, over_limit: true };
        }
        let (low, high) = outwards(self.low, self.high, step);
        Good { low: low.max(floor), high, over_limit: false }
    }
}

fn normal(playbook: &Playbook, id: TestId, desk: &mut Desk) -> Result<Normal, NoNormal> {
    let takings = Takings::of(playbook, desk.wired(), id, None).ok_or(NoNormal::NoPlace)?;
    let mut range = Range::NONE;
    let mut bare = Bare::default();
    let mut plate = None;
    for corner in desk.corners(Width::All, &[]) {
        for takings in &takings {
            widen(&mut range, takings, desk, corner, &mut plate)?;
            bare.widen(takings, desk, corner)?;
        }
    }
    let test = playbook.test(id);
    bare.stretch(&mut range);
    let step = step_of(test, desk.meter(), &range);
    let mut good = range.good(step, floor(test));
    let volts = test.bounds.as_ref().is_some_and(|bounds| bounds.unit.dimension() == Dimension::VOLTS);
    let unloaded = Some(bare.highest).filter(|highest| volts && highest.is_finite() && good.high.is_finite());
    // Where one of several loads is off a phase can stand a few hundredths of a volt higher still.
    good.high = computed(good.high + unloaded.map_or(0.0, |_| step));
    Ok(Normal { good, plate: plate.unwrap_or(Reading::OverLimit), unloaded })
}

/// What a good unit reads with every load off.
struct Bare {
    range: Range,
    /// Before the meter.
    highest: f64,
}

impl Default for Bare {
    fn default() -> Self {
        Self { range: Range::NONE, highest: f64::NEG_INFINITY }
    }
}

impl Bare {
    fn widen(&mut self, takings: &Takings<'_>, desk: &mut Desk, corner: CornerId) -> Result<(), NoNormal> {
        // No part by itself at another end than the others changes what reads with all of them off.
        if !desk.corner(corner).apart.is_empty() {
            return Ok(());
        }
        let Some(set) = takings.unloaded(desk, corner) else { return Ok(()) };
        let shown = takings.result(&set)?;
        if let Some(Reading::Value(value)) = shown {
            self.highest = self.highest.max(value);
        }
        self.range.extend(shown);
        for end in desk.ends(&takings.taps(), &set) {
            self.range.extend(takings.result(&end)?);
        }
        Ok(())
    }

    fn stretch(&self, range: &mut Range) {
        range.extend([self.range.low, self.range.high].into_iter().filter(|end| end.is_finite()).map(Reading::Value));
    }
}

/// Adds what the test judges at a corner. The first result met is that of the plate.
fn widen(
    range: &mut Range,
    takings: &Takings<'_>,
    desk: &mut Desk,
    corner: CornerId,
    plate: &mut Option<Reading>,
) -> Result<(), NoNormal> {
    let taps = takings.taps();
    for set in takings.sets(desk, corner, None, &[])? {
        let shown = takings.result(&set)?.ok_or(NoNormal::Unread(Unread::NoModel))?;
        plate.get_or_insert(shown);
        range.add(shown);
        for end in desk.ends(&taps, &set) {
            range.extend(takings.result(&end)?);
        }
    }
    Ok(())
}

impl Extend<Reading> for Range {
    fn extend<T: IntoIterator<Item = Reading>>(&mut self, readings: T) {
        readings.into_iter().for_each(|reading| self.add(reading));
    }
}

/// The lowest a reading of the test can be.
fn floor(test: &Test) -> f64 {
    let signed = test.bounds.as_ref().is_none_or(|bounds| bounds.domain.signed);
    if signed { f64::NEG_INFINITY } else { 0.0 }
}

/// What the limits of a test are rounded to: the last digit of the meter's display where the shop's meter reads that unit, for
/// a sum too; else three digits of the larger end, never finer than a tenth of a percent or of a degree.
fn step_of(test: &Test, meter: &Meter, range: &Range) -> f64 {
    let unit = test.bounds.as_ref().map(|bounds| bounds.unit);
    let of_meter = unit.and_then(|unit| meter.accuracy(unit)).map(|accuracy| accuracy.step).filter(|step| *step > 0.0);
    of_meter.unwrap_or_else(|| {
        let ends = [range.low, range.high].into_iter().filter(|end| end.is_finite()).map(f64::abs);
        let largest = ends.fold(0.0, f64::max);
        let least = match unit {
            Some(unit) if unit.dimension() == Dimension::NONE => 0.1,
            Some(unit) if unit.dimension() == Dimension::TEMPERATURE => 0.1,
            Some(unit) if unit.dimension() == Dimension::COUNT => 1.0,
            _ => 0.0,
        };
        if largest == 0.0 { least } else { 10_f64.powf(largest.log10().floor() - 2.0).max(least) }
    })
}

/// Every so much of the volts on the plate there is a row.
const ROW: f64 = 0.02;
/// So far a reading of a supply may change with the parts that hang on it.
const STEADY: f64 = 5e-3;
/// So far off proportion a reading still goes with a supply.
const PROPORTION: f64 = 1e-3;

fn moving(
    playbook: &Playbook,
    id: TestId,
    (at, name): (SlotId, &str),
    normal: Option<Good>,
    desk: &mut Desk,
) -> Result<Moving, NoNormal> {
    let test = playbook.test(id);
    let bounds = test.bounds.clone().ok_or(NoNormal::NoPlace)?;
    let slot = playbook.slot(at);
    if slot.unit.dimension() != Dimension::VOLTS {
        return Err(NoNormal::NotASupply(name.to_owned()));
    }
    let supply = supply_of(playbook, at, desk)?.ok_or_else(|| NoNormal::NotASupply(name.to_owned()))?;
    let takings = Takings::of(playbook, desk.wired(), id, Some(at)).ok_or(NoNormal::NoPlace)?;
    let mut raw: Vec<Row> = Vec::new();
    let mut on_plate = 0.0;
    for share in shares(desk, supply) {
        let mut range = Range::NONE;
        let mut reads = None;
        for corner in desk.with_supply(supply, share).iter().copied() {
            for takings in &takings {
                let mut plate = None;
                widen(&mut range, takings, desk, corner, &mut plate)?;
                let mut bare = Bare::default();
                bare.widen(takings, desk, corner)?;
                bare.stretch(&mut range);
                if reads.is_none() {
                    let sets = takings.sets(desk, corner, None, &[])?;
                    reads = sets.first().and_then(|set| takings.reading(set, at));
                }
            }
        }
        let (Some(Reading::Value(reads)), false) = (reads, range.over_limit) else {
            return Err(NoNormal::NotASupply(name.to_owned()));
        };
        if (share - 1.0).abs() < 1e-9 {
            on_plate = reads;
        }
        raw.push(Row { reads, low: range.low, high: range.high });
    }
    let whole = raw.iter().fold(Range::NONE, |mut range, row| {
        range.extend([Reading::Value(row.low), Reading::Value(row.high)]);
        range
    });
    let accuracy = desk.meter().accuracy(slot.unit);
    let rows = raw.iter().map(|row| shown(&raw, row.reads, accuracy)).collect();
    let signed = bounds.domain.signed;
    let step = step_of(test, desk.meter(), &whole);
    Ok(Moving {
        at,
        name: name.to_owned(),
        rows,
        reads_on_plate: on_plate,
        unit: slot.unit,
        step,
        signed,
        bounds,
        normal,
    })
}

/// The row for a meter that shows `reads`, and may be off itself: the lowest and highest of the volts there may be.
fn shown(raw: &[Row], reads: f64, accuracy: Option<Accuracy>) -> Row {
    let (from, to) = accuracy.map_or((reads, reads), |accuracy| accuracy.behind(reads));
    let between = raw.iter().map(|row| row.reads).filter(|at| *at > from && *at < to);
    let places: Vec<f64> = [from, reads, to].into_iter().chain(between).collect();
    let low = places.iter().map(|at| along(raw, *at, |row| row.low)).fold(f64::INFINITY, f64::min);
    let high = places.iter().map(|at| along(raw, *at, |row| row.high)).fold(f64::NEG_INFINITY, f64::max);
    Row { reads, low, high }
}

/// The supply a reading of volts goes in proportion with: twice the volts of that one and of no other, twice the reading.
fn supply_of(playbook: &Playbook, at: SlotId, desk: &mut Desk) -> Result<Option<usize>, NoNormal> {
    let by = playbook.slot(at).test;
    let takings = Takings::of(playbook, desk.wired(), by, Some(at)).ok_or(NoNormal::NoPlace)?;
    let Some(takings) = takings.first() else { return Ok(None) };
    let reads = |desk: &mut Desk, corner: CornerId| -> Result<Option<f64>, NoNormal> {
        let sets = takings.sets(desk, corner, None, &[])?;
        let [set] = sets.as_slice() else { return Ok(None) };
        Ok(match takings.reading(set, at) {
            Some(Reading::Value(value)) => Some(value),
            _ => None,
        })
    };
    let at_plate = desk.at(&Corner::nominal());
    let Some(plain) = reads(desk, at_plate)?.filter(|volts| *volts > 0.0) else { return Ok(None) };
    // Volts that hang on what a load draws are no supply: those across a fuse.
    for parts in [End::Low, End::High] {
        let corner = desk.at(&Corner { parts, ..Corner::nominal() });
        let there = reads(desk, corner)?.map(|volts| volts / plain);
        if there.is_none_or(|there| (there - 1.0).abs() >= STEADY) {
            return Ok(None);
        }
    }
    let mut with = None;
    for supply in 0..desk.wired().unit.supplies.len() {
        let spread = desk.wired().unit.supplies.get(supply).map(|supply| supply.volts);
        let Some(spread) = spread else { continue };
        let ends = [spread.low / spread.nominal, spread.high / spread.nominal, 0.96, 1.04];
        let (mut goes, mut stays) = (true, true);
        for share in ends {
            let corner = desk.at(&Corner { volts: vec![(supply, share)], ..Corner::nominal() });
            let there = reads(desk, corner)?.unwrap_or(f64::NAN) / plain;
            goes &= (there - share).abs() < PROPORTION;
            stays &= (there - 1.0).abs() < PROPORTION;
        }
        match (goes, stays, with) {
            (true, _, None) => with = Some(supply),
            (false, true, _) => {}
            _ => return Ok(None),
        }
    }
    Ok(with)
}

/// The volts of a supply there are rows for, as shares of the plate, lowest first.
fn shares(desk: &Desk, supply: usize) -> Vec<f64> {
    let spread = desk.wired().unit.supplies.get(supply).map(|supply| supply.volts);
    let (low, high) = spread.map_or((1.0, 1.0), |s| (s.low / s.nominal, s.high / s.nominal));
    // A plate without a tolerance still gives a line to go along.
    let (low, high) = if high - low < 1e-9 { (1.0 - ROW, 1.0 + ROW) } else { (low, high) };
    let mut shares = vec![low, 1.0, high];
    let mut share = ROW;
    while 1.0 - share > low + 1e-9 || 1.0 + share < high - 1e-9 {
        shares.extend([1.0 - share, 1.0 + share].into_iter().filter(|at| *at > low + 1e-9 && *at < high - 1e-9));
        share += ROW;
    }
    shares.sort_by(f64::total_cmp);
    shares.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    shares
}
