//! A unit with a meter, at every corner.

use super::lists::{CornerId, Counts, Listed, Width, fault_varies, list, same};
use super::tap::{Spot, Tap};
use crate::circuit::unit::{Bench, Corner, Depends, End, Probe, Shown, Stood, Up, Wired};
use crate::circuit::{Current, Make, Unsolved, Value};
use crate::language::syntax::OverKind;
use crate::sheet::meter::Meter;
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::sheet::unit::model::{FaultId, PartId, PointId, ReadingId};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::{computed, from_base};
use crate::trade::reading::Reading;
use crate::trade::unit::Current as Written;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

/// Why a reading cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unread {
    /// The sheet does not say enough: no such function of the meter at this place.
    NoModel,
    /// Ohms, and the place is live.
    Live,
    /// The circuit comes to no steady state.
    Unsolved,
}

impl fmt::Display for Unread {
    /// Half a sentence, behind "can't be worked out: ".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoModel => "the sheet does not say what a meter shows there",
            Self::Live => "the place is live, and ohms are taken dead",
            Self::Unsolved => "the circuit comes to no steady state",
        })
    }
}

impl From<Unsolved> for Unread {
    fn from(_: Unsolved) -> Self {
        Self::Unsolved
    }
}

fn id_of(at: usize) -> CornerId {
    CornerId(u16::try_from(at).unwrap_or(u16::MAX))
}

/// At most so many readings are taken together at both ends of their accuracy (2ⁿ sets); beyond, all low and all high.
const MOST_TOGETHER: usize = 6;

/// Circuits brought up with some faults in: by corner, and how the unit stands.
type Ups = BTreeMap<CornerId, Vec<(Standing, Result<Arc<Up>, Unread>)>>;

/// A unit with the shop's meter, made ready at every corner. What it has solved it keeps until [`Desk::forget`].
#[derive(Debug, Clone)]
pub struct Desk {
    wired: Arc<Wired>,
    meter: Meter,
    corners: Arc<[Listed]>,
    /// Of each, the first that is the same, by what counts ([`Counts::ALL`]).
    same: Arc<[[CornerId; 8]]>,
    /// Corners asked for beside those: ids go on behind the list.
    more: Vec<Arc<Corner>>,
    /// Of these, those with a supply at some share of its volts.
    rows: BTreeMap<(usize, u64), Arc<[CornerId]>>,
    /// Made when a corner is first looked at.
    benches: Vec<Option<Bench>>,
    /// By those of the faults in the unit that move the circuit.
    ups: BTreeMap<Vec<FaultId>, Ups>,
    /// The good unit with every load off, where that can be solved.
    unloaded: BTreeMap<(CornerId, Standing), Option<Arc<Stood>>>,
}

/// A source that gives way more than this share when it is loaded is read as loaded alone: what a pilot generator or a weak output
/// shows with nothing on it is a finding, not a good supply. Ours.
const STIFF: f64 = 0.2;

impl Desk {
    /// A unit and the shop's meter.
    #[must_use]
    pub fn new(wired: &Arc<Wired>, meter: &Meter) -> Self {
        let corners: Arc<[Listed]> = list(&wired.unit).into();
        let benches = vec![None; corners.len()];
        let same = (0..corners.len()).map(|at| Counts::ALL.map(|counts| id_of(same(&corners, at, counts)))).collect();
        Self {
            wired: Arc::clone(wired),
            meter: meter.clone(),
            corners,
            same,
            more: Vec::new(),
            rows: BTreeMap::new(),
            benches,
            ups: BTreeMap::new(),
            unloaded: BTreeMap::new(),
        }
    }

    /// The unit.
    #[must_use]
    pub fn wired(&self) -> &Arc<Wired> {
        &self.wired
    }

    /// The meter.
    #[must_use]
    pub fn meter(&self) -> &Meter {
        &self.meter
    }

    /// The corners to look at with these faults in, in a fixed order, the one as on the plate first.
    #[must_use]
    pub fn corners(&self, width: Width, faults: &[FaultId]) -> Vec<CornerId> {
        let varied = faults.iter().any(|fault| fault_varies(self.wired.unit.fault_of(*fault)));
        self.corners
            .iter()
            .enumerate()
            .filter(|(_, listed)| (listed.three || width == Width::All) && (varied || !listed.faults_high))
            .map(|(at, _)| id_of(at))
            .collect()
    }

    /// A corner.
    #[must_use]
    pub fn corner(&self, id: CornerId) -> &Corner {
        self.kept_corner(id)
    }

    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `corners` and `at`, within the two tables")]
    fn kept_corner(&self, id: CornerId) -> &Arc<Corner> {
        let at = usize::from(id.0);
        self.corners.get(at).map_or_else(|| &self.more[at - self.corners.len()], |listed| &listed.corner)
    }

    /// A corner of one's own: a supply at other volts than the ends of the plate.
    pub fn at(&mut self, corner: &Corner) -> CornerId {
        let known = self.more.iter().position(|known| **known == *corner);
        let at = known.unwrap_or_else(|| {
            self.more.push(Arc::new(corner.clone()));
            self.benches.push(None);
            self.more.len() - 1
        });
        id_of(self.corners.len() + at)
    }

    /// The corners of the good unit with one supply at a share of its volts on the plate; where it is the only one, nothing else
    /// of the plate is varied.
    pub fn with_supply(&mut self, supply: usize, share: f64) -> Arc<[CornerId]> {
        let key = (supply, share.to_bits());
        if let Some(known) = self.rows.get(&key) {
            return Arc::clone(known);
        }
        let alone = self.wired.unit.supplies.len() == 1;
        let listed: Vec<Corner> = self.corners(Width::All, &[]).into_iter().map(|id| self.corner(id).clone()).collect();
        let row: Arc<[CornerId]> = listed
            .into_iter()
            .filter(|corner| !alone || corner.supply == End::Nominal)
            .map(|corner| self.at(&Corner { volts: vec![(supply, share)], ..corner }))
            .collect();
        self.rows.insert(key, Arc::clone(&row));
        row
    }

    /// How a unit stands with these states and what they need, all others at home.
    #[must_use]
    pub fn standing(&self, with: &[Stand]) -> Standing {
        let states = &self.wired.unit.states;
        let mut standing = Standing::home(states);
        for stand in states.with_needs(with) {
            standing.set(stand);
        }
        standing
    }

    /// Drops what was solved for units with more than one fault in them.
    pub fn forget(&mut self) {
        self.ups.retain(|faults, _| faults.len() < 2);
    }

    /// How often a circuit was solved here.
    #[must_use]
    pub fn solves(&self) -> usize {
        self.benches.iter().flatten().map(Bench::solves).sum()
    }

    /// What decides what these taps show, and a reading in words beside them.
    #[must_use]
    pub fn depends(&self, taps: &[Tap], said: Option<ReadingId>) -> Depends {
        let outside = taps.iter().filter_map(|tap| match tap.spot {
            Spot::At(reading) => Some(reading),
            _ => None,
        });
        let readings = outside.chain(said).map(|reading| Depends::of_reading(&self.wired, reading));
        let depends = readings.fold(Depends::default(), |depends, reading| depends.with(&reading));
        let on_circuit = taps.iter().any(|tap| !matches!(tap.spot, Spot::At(_)));
        if on_circuit { depends.with(self.wired.moves()) } else { depends }
    }

    /// The first corner at which all is the same that something depends on, with these faults in; the corner itself where it is
    /// none of the list.
    #[must_use]
    pub fn alike(&self, corner: CornerId, depends: &Depends, faults: &[FaultId]) -> CornerId {
        let varied = faults.iter().any(|fault| fault_varies(self.wired.unit.fault_of(*fault)));
        let counts = Counts { plate: depends.plate, free: depends.free, faults: varied };
        let known = Counts::ALL.iter().position(|known| *known == counts);
        let same = self.same.get(usize::from(corner.0)).zip(known).and_then(|(same, known)| same.get(known));
        same.copied().unwrap_or(corner)
    }

    /// The unit brought up into a standing, with these faults in.
    ///
    /// # Errors
    /// [`Unread::Unsolved`]
    pub fn stood(&mut self, corner: CornerId, standing: &Standing, faults: &[FaultId]) -> Result<Arc<Stood>, Unread> {
        let up = self.up(corner, standing, faults)?;
        Ok(Arc::new(Stood::new(&self.wired, self.kept_corner(corner), standing, faults, up)))
    }

    /// Its circuit, by what moves it and nothing else.
    fn up(&mut self, corner: CornerId, standing: &Standing, faults: &[FaultId]) -> Result<Arc<Up>, Unread> {
        let wired = Arc::clone(&self.wired);
        let moves = wired.moves();
        let faults = moves.of_faults(faults);
        let corner = self.alike(corner, moves, &faults);
        let standing = moves.of_standing(standing, &wired.unit.states);
        let known = self.ups.get(&faults).and_then(|ups| ups.get(&corner));
        if let Some((_, known)) = known.and_then(|known| known.iter().find(|(so, _)| *so == standing)) {
            return known.clone();
        }
        let solved = match self.bench(corner) {
            Some(bench) => bench.up(&standing, &faults).map(Arc::new).map_err(Unread::from),
            None => Err(Unread::NoModel),
        };
        let ups = self.ups.entry(faults).or_default();
        ups.entry(corner).or_default().push((standing, solved.clone()));
        solved
    }

    fn bench(&mut self, corner: CornerId) -> Option<&mut Bench> {
        let at = usize::from(corner.0);
        let corner = match self.corners.get(at) {
            Some(listed) => &listed.corner,
            None => self.more.get(at - self.corners.len())?,
        };
        let bench = self.benches.get_mut(at)?;
        Some(bench.get_or_insert_with(|| Bench::new(&self.wired, Arc::clone(corner))))
    }

    /// Every set of readings the taps may show together, in the taps' units: several where contacts chatter, a probe floats
    /// or faults clash. Never empty, and never with an empty set for taps there are.
    ///
    /// # Errors
    /// [`Unread`] where one of them cannot be worked out.
    pub fn read(
        &mut self,
        corner: CornerId,
        standing: &Standing,
        faults: &[FaultId],
        taps: &[Tap],
    ) -> Result<Vec<Vec<Reading>>, Unread> {
        let stood = self.stood(corner, standing, faults)?;
        let mut sets: Vec<Vec<Reading>> = vec![Vec::with_capacity(taps.len())];
        for tap in taps {
            let shown = self.shown(corner, &stood, tap)?;
            let mut wider = Vec::with_capacity(sets.len() * shown.len());
            for set in &sets {
                for one in &shown {
                    wider.push(set.iter().copied().chain([*one]).collect());
                }
            }
            sets = wider;
        }
        Ok(sets)
    }

    /// The same volts on a good unit with every load off and every contact where it is: what a supply and its branches read while
    /// something on them is open. `None` where a tap is no volts of the circuit, where a probe then hangs in the air, and behind a
    /// source that gives way by more than a fifth.
    pub fn unloaded(&mut self, corner: CornerId, standing: &Standing, taps: &[Tap]) -> Option<Vec<Reading>> {
        let probes: Vec<Probe> = taps
            .iter()
            .map(|tap| match tap.spot {
                Spot::Across(part, pole) if tap.unit.dimension() == Dimension::VOLTS => Some(Probe::Across(part, pole)),
                Spot::Between(red, black) if tap.unit.dimension() == Dimension::VOLTS => {
                    Some(Probe::Between(red, black))
                }
                _ => None,
            })
            .collect::<Option<_>>()?;
        let key = (corner, standing.clone());
        let stood = match self.unloaded.get(&key) {
            Some(known) => known.clone(),
            None => {
                let loaded = self.stood(corner, standing, &[]).ok()?;
                let solved = self.bench(corner)?.unloaded(standing, &loaded).ok().flatten().map(Arc::new);
                self.unloaded.insert(key, solved.clone());
                solved
            }
        }?;
        let loaded = self.stood(corner, standing, &[]).ok()?;
        taps.iter()
            .zip(probes)
            .map(|(tap, probe)| {
                let current = if tap.unit.current() == Some(Written::Dc) { Current::Dc } else { Current::Ac };
                if tap.over == Some(OverKind::Change) || stood.floats(current, probe) {
                    return None;
                }
                let [before] = self.shown(corner, &loaded, tap).ok()?.try_into().ok()?;
                let [after] = self.shown(corner, &stood, tap).ok()?.try_into().ok()?;
                let (Reading::Value(from), Reading::Value(to)) = (before, after) else { return None };
                let stiff = (to - from).abs() <= STIFF * from.abs().max(to.abs());
                stiff.then_some(after)
            })
            .collect()
    }

    /// Readings that are only written down and judged by nobody, one set: what the sheet does not know of them is zero.
    pub fn noted(&mut self, corner: CornerId, standing: &Standing, faults: &[FaultId], taps: &[Tap]) -> Vec<Reading> {
        taps.iter()
            .map(|tap| {
                let sets = self.read(corner, standing, faults, std::slice::from_ref(tap)).unwrap_or_default();
                sets.into_iter().flatten().next().unwrap_or(Reading::Value(0.0))
            })
            .collect()
    }

    /// The words a reading may show: their places in the sheet's list.
    ///
    /// # Errors
    /// [`Unread`] where the reading is not told in words.
    pub fn words(
        &mut self,
        corner: CornerId,
        standing: &Standing,
        faults: &[FaultId],
        reading: ReadingId,
    ) -> Result<Vec<usize>, Unread> {
        let stood = self.stood(corner, standing, faults)?;
        let words: Vec<usize> = stood
            .reading(reading)
            .into_iter()
            .filter_map(|shown| match shown {
                Shown::Word(word) => Some(word),
                Shown::Number(_) => None,
            })
            .collect();
        if words.is_empty() { Err(Unread::NoModel) } else { Ok(words) }
    }

    /// The set again with each reading at both ends of its accuracy, the set itself not among them. Empty where the meter's
    /// accuracy is not known.
    #[must_use]
    pub fn ends(&self, taps: &[Tap], set: &[Reading]) -> Vec<Vec<Reading>> {
        let windows: Vec<Option<(f64, f64)>> =
            taps.iter().zip(set).map(|(tap, reading)| self.window(tap, *reading)).collect();
        let wide: Vec<usize> =
            windows.iter().enumerate().filter(|(_, window)| window.is_some()).map(|(at, _)| at).collect();
        if wide.is_empty() {
            return Vec::new();
        }
        let with = |high: &dyn Fn(usize) -> bool| -> Vec<Reading> {
            windows
                .iter()
                .zip(set)
                .enumerate()
                .map(|(at, (window, reading))| match window {
                    Some((low, top)) => Reading::Value(if high(at) { *top } else { *low }),
                    None => *reading,
                })
                .collect()
        };
        if wide.len() > MOST_TOGETHER {
            return vec![with(&|_| false), with(&|_| true)];
        }
        (0..1_u32 << wide.len())
            .map(|pattern| {
                with(&|at| wide.iter().position(|of| *of == at).is_some_and(|bit| pattern & (1 << bit) != 0))
            })
            .collect()
    }

    /// How far off the meter may read, where that is known and anything at all.
    fn window(&self, tap: &Tap, reading: Reading) -> Option<(f64, f64)> {
        let Reading::Value(value) = reading else { return None };
        let accuracy = self.meter.accuracy(tap.unit)?;
        let (low, high) = accuracy.window(value);
        let low = if tap.unit.is_signed() { low } else { low.max(0.0) };
        (low < high).then(|| (computed(low), computed(high)))
    }

    /// Everything one tap may show.
    fn shown(&mut self, corner: CornerId, stood: &Stood, tap: &Tap) -> Result<Vec<Reading>, Unread> {
        let dimension = tap.unit.dimension();
        let values = match tap.spot {
            Spot::At(reading) => return self.outside(stood, tap, reading),
            Spot::Across(part, pole) if dimension == Dimension::VOLTS => {
                self.volts(stood, tap, Probe::Across(part, pole))?
            }
            Spot::Between(red, black) if dimension == Dimension::VOLTS => {
                self.volts(stood, tap, Probe::Between(red, black))?
            }
            Spot::Through(part, pole) if dimension == Dimension::AMPS => {
                let current = self.current(tap, Some((part, pole)));
                way(tap.over, stood.amps(current, part, pole))
            }
            Spot::Terminal(terminal) if dimension == Dimension::AMPS => {
                way(tap.over, stood.amps_at(self.current(tap, None), terminal))
            }
            Spot::Across(part, pole) if dimension == Dimension::OHMS => {
                self.dead(stood, &self.ends_of(part, pole))?;
                let bench = self.bench(corner).ok_or(Unread::NoModel)?;
                return Ok(vec![from_value(stood.ohms(bench, Probe::Across(part, pole))?, tap)]);
            }
            Spot::Between(red, black) if dimension == Dimension::OHMS => {
                self.dead(stood, &[red, black])?;
                let bench = self.bench(corner).ok_or(Unread::NoModel)?;
                return Ok(vec![from_value(stood.ohms(bench, Probe::Between(red, black))?, tap)]);
            }
            Spot::Of(part, pole) => {
                let id = self.wired.pole(part, pole).ok_or(Unread::NoModel)?;
                let size = matches!(self.wired.net.pole_at(id).make, Make::Capacitor { .. });
                let fits = if size { Dimension::FARADS } else { Dimension::OHMS };
                if dimension != fits {
                    return Err(Unread::NoModel);
                }
                self.dead(stood, &self.ends_of(part, pole))?;
                let bench = self.bench(corner).ok_or(Unread::NoModel)?;
                let value = stood.alone(bench, part, pole)?.ok_or(Unread::NoModel)?;
                return Ok(vec![from_value(value, tap)]);
            }
            _ => return Err(Unread::NoModel),
        };
        let mut shown: Vec<Reading> = Vec::with_capacity(values.len());
        for value in values {
            let value = if tap.unit.is_signed() { value } else { value.abs() };
            // Under a billionth is what is left over of the arithmetic.
            let value = if value.abs() < 1e-9 { 0.0 } else { value };
            let reading = Reading::Value(from_base(value, tap.unit, false));
            if !shown.contains(&reading) {
                shown.push(reading);
            }
        }
        Ok(shown)
    }

    fn volts(&self, stood: &Stood, tap: &Tap, probe: Probe) -> Result<Vec<f64>, Unread> {
        let current = match tap.unit.current() {
            Some(Written::Ac) => Current::Ac,
            Some(Written::Dc) => Current::Dc,
            None => return Err(Unread::NoModel),
        };
        let input = if tap.loaded { self.meter.low_impedance } else { self.meter.input };
        let reading = stood.volts(current, probe, input, tap.loaded);
        let mut values = way(tap.over, reading.phases);
        if tap.over != Some(OverKind::Change) {
            values.extend(reading.ghost);
        }
        Ok(values)
    }

    /// Which function of the clamp: as written, else what the part is on.
    fn current(&self, tap: &Tap, pole: Option<(PartId, usize)>) -> Current {
        let rated = || {
            let pole = pole.and_then(|(part, pole)| self.wired.pole(part, pole))?;
            self.wired.net.pole_at(pole).rated.map(|rated| rated.current)
        };
        match tap.unit.current() {
            Some(Written::Ac) => Current::Ac,
            Some(Written::Dc) => Current::Dc,
            None => rated().unwrap_or(if self.wired.net.has(Current::Ac) { Current::Ac } else { Current::Dc }),
        }
    }

    fn ends_of(&self, part: PartId, pole: usize) -> Vec<PointId> {
        self.wired.unit.part_of(part).poles.get(pole).map(|pole| vec![pole.from, pole.to]).unwrap_or_default()
    }

    fn dead(&self, stood: &Stood, points: &[PointId]) -> Result<(), Unread> {
        if points.iter().any(|point| stood.is_live(*point)) { Err(Unread::Live) } else { Ok(()) }
    }

    fn outside(&self, stood: &Stood, tap: &Tap, reading: ReadingId) -> Result<Vec<Reading>, Unread> {
        let of = self.wired.unit.reading_of(reading);
        let Some(dimension) = of.dimension() else { return Err(Unread::NoModel) };
        // A point of temperature is no change of one.
        let no_change = tap.over == Some(OverKind::Change) && dimension == Dimension::TEMPERATURE;
        if !dimension.like(tap.unit.dimension()) || no_change {
            return Err(Unread::NoModel);
        }
        let mut shown: Vec<Reading> = Vec::new();
        for one in stood.reading(reading) {
            let one = match one {
                Shown::Number(Reading::Value(value)) => Reading::Value(from_base(value, tap.unit, of.difference)),
                Shown::Number(Reading::OverLimit) => Reading::OverLimit,
                Shown::Word(_) => return Err(Unread::NoModel),
            };
            if !shown.contains(&one) {
                shown.push(one);
            }
        }
        if shown.is_empty() { Err(Unread::NoModel) } else { Ok(shown) }
    }
}

/// The phases of chattering contacts as the meter is watched; without a way word it may show any of them. In a steady circuit
/// nothing changes over time.
fn way(over: Option<OverKind>, phases: Vec<f64>) -> Vec<f64> {
    let Some(over) = over else { return phases };
    let one = match over {
        OverKind::Highest => phases.iter().copied().reduce(f64::max),
        OverKind::Lowest => phases.iter().copied().reduce(f64::min),
        #[expect(clippy::cast_precision_loss, reason = "a handful of phases")]
        OverKind::Average => (!phases.is_empty()).then(|| phases.iter().sum::<f64>() / phases.len() as f64),
        OverKind::Change => (!phases.is_empty()).then_some(0.0),
    };
    one.into_iter().collect()
}

fn from_value(value: Value, tap: &Tap) -> Reading {
    match value {
        Value::Number(number) => Reading::Value(from_base(number, tap.unit, false)),
        Value::Ol => Reading::OverLimit,
    }
}

#[cfg(test)]
mod tests;
