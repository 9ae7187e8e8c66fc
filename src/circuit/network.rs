//! What the solver is given: points, supplies, and the poles of parts between points.
//!
//! A *pole* is anything with two ends: a fuse, one contact of a contactor, its coil, an element, a winding.
//! A *decider* is what moves contacts: a coil, the supply side of a control, the input of a solid-state relay.
//! A *position* is a contact's place as the caller sees it from the states of the unit (door shut, heat called for).

use super::complex::Complex;

/// Ohms of a closed contact, a fuse or a joint unless the sheet says otherwise (language §3).
pub const CONTACT_OHMS: f64 = 0.010;

/// A point of the circuit. Point 0 is the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PointId(pub(super) usize);

/// The ground: what every supply is bonded to or floats against.
pub const GROUND: PointId = PointId(0);

/// A pole, in the order added.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PoleId(pub(super) usize);

impl PoleId {
    /// The pole of this place in the order added, for a pair of windings that name each other.
    pub(super) const fn of(at: usize) -> Self {
        Self(at)
    }
}

/// A supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SupplyId(pub(super) usize);

/// One terminal of a supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TerminalId(pub(super) usize);

/// What moves contacts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DeciderId(pub(super) usize);

/// A place in the list of positions the caller hands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PositionId(pub(super) usize);

impl PositionId {
    /// Where in the caller's list.
    pub const fn index(self) -> usize {
        self.0
    }
}

/// Alternating or direct.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Current {
    /// Alternating, RMS.
    Ac,
    /// Direct.
    Dc,
}

/// What a supply's points are to the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grounding {
    /// The point in this place of the list is bonded to ground: the neutral of a two-, three- or four-wire supply.
    Point(usize),
    /// The middle of one winding: 120/240 V.
    Middle,
    /// The star point: 208Y/120, 480Y/277.
    Wye,
    /// One corner of a delta, the second point.
    Corner,
    /// The middle of the winding between the first and third point of a delta; the second is the high leg.
    HighLeg,
    /// Nothing is bonded.
    None,
}

/// One supply.
#[derive(Clone, Debug)]
pub(super) struct Supply {
    name: String,
    pub(super) current: Current,
    /// Ground, or a point of its own the supply floats on.
    pub(super) reference: PointId,
    pub(super) terminals: Vec<TerminalId>,
}

/// One terminal of a supply.
#[derive(Clone, Debug)]
pub(super) struct Terminal {
    pub(super) supply: SupplyId,
    pub(super) point: PointId,
    /// Volts against the supply's reference.
    pub(super) volts: Complex,
    /// Ohms of the leg up to the terminal.
    pub(super) ohms: f64,
}

/// What an open solid-state relay lets through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Leak {
    /// A plain contact: nothing.
    None,
    /// So many ohms.
    Ohms(f64),
    /// A resistor and a capacitor in series.
    Snubber {
        /// The resistor.
        ohms: f64,
        /// The capacitor.
        farads: f64,
    },
}

/// What closes a contact: it is made when every one named here says so, the other way round if closed at rest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Drive {
    /// A coil, a control, a solid-state relay's input.
    pub decider: Option<DeciderId>,
    /// What the caller says.
    pub position: Option<PositionId>,
    /// Closed when at rest.
    pub rest_closed: bool,
}

/// What is between the two ends of a pole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Make {
    /// A fuse, a joint, a wire.
    Conductor {
        /// Its ohms.
        ohms: f64,
    },
    /// A contact, or the output of a solid-state relay.
    Contact {
        /// Ohms when made.
        ohms: f64,
        /// What it lets through when open.
        leak: Leak,
        /// What makes it.
        drive: Drive,
    },
    /// An element, a coil, a motor winding, a lamp, a sensor, the supply side of a control.
    Load {
        /// What an ohmmeter reads, cold.
        cold: f64,
        /// At work: resistance and 60 Hz reactance.
        hot: Complex,
    },
    /// A capacitor.
    Capacitor {
        /// Its farads.
        farads: f64,
    },
    /// One winding of a transformer.
    Winding {
        /// The other one.
        twin: PoleId,
        /// Winding ohms.
        ohms: f64,
        /// Rated volts; the two of a pair give the ratio.
        volts: f64,
        /// Ohms of the iron, seen from this winding (no-load loss).
        core: f64,
    },
    /// A control's own output: volts behind ohms, from the second end to the first.
    Output {
        /// Alternating or direct.
        current: Current,
        /// Volts with nothing connected.
        volts: f64,
        /// Ohms in series.
        ohms: f64,
        /// What turns it on.
        drive: Drive,
    },
}

/// What a pole is rated for, to say *on*, *off* or *weak*.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rated {
    /// Rated volts.
    pub volts: f64,
    /// Alternating or direct.
    pub current: Current,
    /// Volts from which it does its work.
    pub works_from: f64,
}

/// One pole.
#[derive(Clone, Debug)]
pub struct Pole {
    /// `k1.a`, `heater-1`.
    pub name: String,
    /// One end.
    pub from: PointId,
    /// The other.
    pub to: PointId,
    /// What is between.
    pub make: Make,
    /// What it is rated for, if it does any work.
    pub rated: Option<Rated>,
}

/// A coil, a control or a solid-state relay's input: volts on a pole that move contacts.
#[derive(Clone, Debug)]
pub(super) struct Decider {
    name: String,
    /// The pole whose volts decide.
    pub(super) pole: PoleId,
    /// Volts from which it pulls in.
    pub(super) pull_in: f64,
    /// Volts under which it lets go; the same as `pull_in` where there is no memory.
    pub(super) let_go: f64,
}

/// Numbers of the model; each can be set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Line frequency.
    pub hertz: f64,
    /// Share of rated volts under which a part is *off*.
    pub off_below: f64,
    /// The one resistor that ties an island to ground.
    pub island_ohms: f64,
    /// A point with no path under this to a supply or ground gives ghost readings.
    pub ghost_ohms: f64,
    /// A ghost reads up to this share of the highest supply.
    pub ghost_share: f64,
    /// Ohms from which the meter shows OL.
    pub ol_ohms: f64,
    /// Volts to ground from which a point counts as live.
    pub live_volts: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            hertz: 60.0,
            off_below: 0.10,
            island_ohms: 1e13,
            ghost_ohms: 1e6,
            ghost_share: 0.85,
            ol_ohms: 40e6,
            live_volts: 1.0,
        }
    }
}

/// Share of rated volts at which a contactor or relay coil pulls in (language §3).
pub const PULL_IN: f64 = 0.85;
/// Share of rated volts under which it lets go (language §3).
pub const LET_GO: f64 = 0.50;

/// The circuit of one unit.
#[derive(Clone, Debug)]
pub struct Network {
    pub(super) points: Vec<String>,
    pub(super) supplies: Vec<Supply>,
    pub(super) terminals: Vec<Terminal>,
    pub(super) poles: Vec<Pole>,
    pub(super) deciders: Vec<Decider>,
    pub(super) positions: usize,
    /// Numbers of the model.
    pub settings: Settings,
}

impl Default for Network {
    fn default() -> Self {
        Self::new()
    }
}

impl Network {
    /// A network of the ground alone.
    pub fn new() -> Self {
        Self {
            points: vec!["Ground".to_owned()],
            supplies: Vec::new(),
            terminals: Vec::new(),
            poles: Vec::new(),
            deciders: Vec::new(),
            positions: 0,
            settings: Settings::default(),
        }
    }

    /// A new point.
    pub fn point(&mut self, name: impl Into<String>) -> PointId {
        self.points.push(name.into());
        PointId(self.points.len() - 1)
    }

    /// A supply whose phasors against its reference are given, one for each point.
    pub fn supply_of(
        &mut self,
        name: impl Into<String>,
        current: Current,
        grounded: bool,
        legs: &[(PointId, Complex)],
    ) -> SupplyId {
        let name = name.into();
        let id = SupplyId(self.supplies.len());
        let reference = if grounded { GROUND } else { self.point(format!("{name} (its own middle)")) };
        let mut terminals = Vec::new();
        for &(point, volts) in legs {
            terminals.push(TerminalId(self.terminals.len()));
            self.terminals.push(Terminal { supply: id, point, volts, ohms: 0.0 });
        }
        self.supplies.push(Supply { name, current, reference, terminals });
        id
    }

    /// A supply of so many volts between lines, by what is grounded; `None` if that many points can't be so grounded.
    pub fn supply(
        &mut self,
        name: impl Into<String>,
        current: Current,
        points: &[PointId],
        volts: f64,
        grounding: Grounding,
    ) -> Option<SupplyId> {
        let phasors = phasors(points.len(), volts, current, grounding)?;
        let legs: Vec<_> = points.iter().copied().zip(phasors).collect();
        Some(self.supply_of(name, current, grounding != Grounding::None, &legs))
    }

    /// A pole between two points.
    pub fn pole(&mut self, name: impl Into<String>, from: PointId, to: PointId, make: Make) -> PoleId {
        self.poles.push(Pole { name: name.into(), from, to, make, rated: None });
        PoleId(self.poles.len() - 1)
    }

    /// A fuse, a joint, a wire.
    pub fn conductor(&mut self, name: impl Into<String>, from: PointId, to: PointId, ohms: f64) -> PoleId {
        self.pole(name, from, to, Make::Conductor { ohms })
    }

    /// A contact of 10 mohm with nothing through it when open.
    pub fn contact(&mut self, name: impl Into<String>, from: PointId, to: PointId, drive: Drive) -> PoleId {
        self.pole(name, from, to, Make::Contact { ohms: CONTACT_OHMS, leak: Leak::None, drive })
    }

    /// A plain resistance: an element, a sensor.
    pub fn resistance(&mut self, name: impl Into<String>, from: PointId, to: PointId, ohms: f64) -> PoleId {
        self.pole(name, from, to, Make::Load { cold: ohms, hot: Complex::from(ohms) })
    }

    /// A transformer; `ohms` are those of the two windings, `core` of the iron seen from the first.
    pub fn transformer(
        &mut self,
        name: &str,
        first: (PointId, PointId),
        second: (PointId, PointId),
        volts: (f64, f64),
        ohms: (f64, f64),
        core: f64,
    ) -> (PoleId, PoleId) {
        let one = PoleId(self.poles.len());
        let two = PoleId(self.poles.len() + 1);
        let ratio = volts.0 / volts.1;
        self.pole(
            format!("{name}.primary"),
            first.0,
            first.1,
            Make::Winding { twin: two, ohms: ohms.0, volts: volts.0, core },
        );
        self.pole(
            format!("{name}.secondary"),
            second.0,
            second.1,
            Make::Winding { twin: one, ohms: ohms.1, volts: volts.1, core: core / (ratio * ratio) },
        );
        (one, two)
    }

    /// What the pole is rated for.
    pub fn rate(&mut self, pole: PoleId, rated: Rated) {
        if let Some(pole) = self.poles.get_mut(pole.0) {
            pole.rated = Some(rated);
        }
    }

    /// Volts on `pole` move contacts.
    pub fn decider(&mut self, name: impl Into<String>, pole: PoleId, pull_in: f64, let_go: f64) -> DeciderId {
        self.deciders.push(Decider { name: name.into(), pole, pull_in, let_go });
        DeciderId(self.deciders.len() - 1)
    }

    /// What moves a contact or turns an output on; for anything else nothing changes.
    pub fn set_drive(&mut self, pole: PoleId, new: Drive) {
        if let Some(Pole { make: Make::Contact { drive, .. } | Make::Output { drive, .. }, .. }) =
            self.poles.get_mut(pole.0)
        {
            *drive = new;
        }
    }

    /// A new place in the caller's list of positions.
    pub fn position(&mut self) -> PositionId {
        self.positions += 1;
        PositionId(self.positions - 1)
    }

    /// How many positions the caller hands in.
    pub const fn positions(&self) -> usize {
        self.positions
    }

    /// The ohms of a supply's leg up to its terminal.
    pub fn set_leg_ohms(&mut self, terminal: TerminalId, ohms: f64) {
        if let Some(terminal) = self.terminals.get_mut(terminal.0) {
            terminal.ohms = ohms;
        }
    }

    /// All points a probe can touch, ground first; a floating supply's own middle is not one.
    pub fn points(&self) -> impl Iterator<Item = (PointId, &str)> {
        let middle = |point: PointId| point != GROUND && self.supplies.iter().any(|supply| supply.reference == point);
        let points = self.points.iter().enumerate().map(|(i, name)| (PointId(i), name.as_str()));
        points.filter(move |&(point, _)| !middle(point))
    }

    /// The name of a point.
    pub fn point_name(&self, point: PointId) -> &str {
        self.points.get(point.0).map_or("", String::as_str)
    }

    /// The name of what moves contacts.
    pub fn decider_name(&self, decider: DeciderId) -> &str {
        self.deciders.get(decider.0).map_or("", |decider| &decider.name)
    }

    /// The name of a supply.
    pub fn supply_name(&self, supply: SupplyId) -> &str {
        self.supplies.get(supply.0).map_or("", |supply| &supply.name)
    }

    /// All poles in the order added.
    pub fn poles(&self) -> impl Iterator<Item = (PoleId, &Pole)> {
        self.poles.iter().enumerate().map(|(i, pole)| (PoleId(i), pole))
    }

    /// One pole; ids come from this network, so there is one.
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by this network alone")]
    pub fn pole_at(&self, pole: PoleId) -> &Pole {
        &self.poles[pole.0]
    }

    /// Whether anything here makes this kind of current.
    pub fn has(&self, current: Current) -> bool {
        self.supplies.iter().any(|supply| supply.current == current)
            || self.poles.iter().any(|p| matches!(p.make, Make::Output { current: of, .. } if of == current))
    }

    /// The terminals of a supply.
    pub fn terminals_of(&self, supply: SupplyId) -> &[TerminalId] {
        self.supplies.get(supply.0).map_or(&[], |supply| &supply.terminals)
    }

    /// The supply's terminal at a point, if there is one.
    pub fn terminal_at(&self, point: PointId) -> Option<TerminalId> {
        self.terminals.iter().position(|terminal| terminal.point == point).map(TerminalId)
    }

    /// The most volts between two terminals of one supply, or between one and ground.
    pub fn highest_volts(&self) -> f64 {
        let mut highest = 0.0_f64;
        for supply in self.supplies.iter().filter(|supply| supply.current == Current::Ac) {
            let legs: Vec<Complex> =
                supply.terminals.iter().filter_map(|t| self.terminals.get(t.0)).map(|t| t.volts).collect();
            for (i, &one) in legs.iter().enumerate() {
                if supply.reference == GROUND {
                    highest = highest.max(one.abs());
                }
                for &other in legs.iter().skip(i + 1) {
                    highest = highest.max((one - other).abs());
                }
            }
        }
        highest
    }
}

/// Volts of each point against the reference. Angles: a third of a turn apart, L2 behind L1.
pub(super) fn phasors(points: usize, volts: f64, current: Current, grounding: Grounding) -> Option<Vec<Complex>> {
    let real = Complex::from;
    let wye = |i: usize| Complex::polar(volts / 3f64.sqrt(), [0.0, -120.0, 120.0].get(i).copied().unwrap_or(0.0));
    if current == Current::Dc {
        return match (points, grounding) {
            (2, Grounding::Point(1) | Grounding::None) => Some(vec![real(volts), Complex::ZERO]),
            (2, Grounding::Point(0)) => Some(vec![Complex::ZERO, real(-volts)]),
            (2, Grounding::Middle) => Some(vec![real(volts / 2.0), real(-volts / 2.0)]),
            _ => None,
        };
    }
    match (points, grounding) {
        (2, Grounding::Point(at)) if at < 2 => {
            Some((0..2).map(|i| if i == at { Complex::ZERO } else { real(volts) }).collect())
        }
        (3, Grounding::Point(at)) if at < 3 => {
            let mut sign = 1.0;
            let mut legs = Vec::new();
            for i in 0..3 {
                if i == at {
                    legs.push(Complex::ZERO);
                } else {
                    legs.push(real(sign * volts / 2.0));
                    sign = -1.0;
                }
            }
            Some(legs)
        }
        (4, Grounding::Point(at)) if at < 4 => {
            let mut line = 0;
            let mut legs = Vec::new();
            for i in 0..4 {
                if i == at {
                    legs.push(Complex::ZERO);
                } else {
                    legs.push(wye(line));
                    line += 1;
                }
            }
            Some(legs)
        }
        (2, Grounding::Middle | Grounding::None) => Some(vec![real(volts / 2.0), real(-volts / 2.0)]),
        (3, Grounding::Middle) => Some(vec![real(volts / 2.0), real(-volts / 2.0), Complex::ZERO]),
        (2 | 3, Grounding::Wye) | (3, Grounding::None) => Some((0..points).map(wye).collect()),
        (4, Grounding::Wye) => Some(vec![wye(0), wye(1), wye(2), Complex::ZERO]),
        (3, Grounding::Corner) => Some((0..3).map(|i| wye(i) - wye(1)).collect()),
        (3 | 4, Grounding::HighLeg) => {
            let high = Complex::new(0.0, -volts * 3f64.sqrt() / 2.0);
            let mut legs = vec![real(volts / 2.0), high, real(-volts / 2.0)];
            if points == 4 {
                legs.push(Complex::ZERO);
            }
            Some(legs)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: reference table of system voltages (phasor sums): A-B, B-C, C-A, then each to neutral.
    #[test]
    fn system_voltages() {
        let cases: [(&str, f64, Grounding, [f64; 6]); 4] = [
            ("208Y/120", 120.0 * 3f64.sqrt(), Grounding::Wye, [207.85, 207.85, 207.85, 120.0, 120.0, 120.0]),
            ("480Y/277", 277.128 * 3f64.sqrt(), Grounding::Wye, [480.0, 480.0, 480.0, 277.13, 277.13, 277.13]),
            ("240/120 high-leg delta", 240.0, Grounding::HighLeg, [240.0, 240.0, 240.0, 120.0, 207.85, 120.0]),
            ("240 corner-grounded delta", 240.0, Grounding::Corner, [240.0, 240.0, 240.0, 240.0, 0.0, 240.0]),
        ];
        for (name, volts, grounding, expected) in cases {
            let v = phasors(3, volts, Current::Ac, grounding).unwrap();
            let found = [v[0] - v[1], v[1] - v[2], v[2] - v[0], v[0], v[1], v[2]].map(Complex::abs);
            for (found, expected) in found.iter().zip(expected) {
                assert!((found - expected).abs() < 0.006, "{name}: {found} for {expected}");
            }
        }
    }

    #[test]
    fn a_grounding_that_does_not_fit_is_refused() {
        assert!(phasors(2, 120.0, Current::Ac, Grounding::HighLeg).is_none());
        assert!(phasors(5, 120.0, Current::Ac, Grounding::Wye).is_none());
        assert!(phasors(3, 24.0, Current::Dc, Grounding::Wye).is_none());
    }
}
