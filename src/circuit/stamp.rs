//! What each pole adds to the equations, seen by one of the three systems laid over each other: alternating, direct, and
//! as an ohmmeter sees it.

#![expect(
    clippy::indexing_slicing,
    reason = "poles are numbered by the network itself, which hands out no other numbers"
)]

use super::change::PoleNow;
use super::complex::Complex;
use super::network::{CONTACT_OHMS, Current, Leak, Make, Network, PoleId};

/// Which of the circuits laid over each other is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum System {
    /// Alternating.
    Ac,
    /// Direct.
    Dc,
    /// As an ohmmeter sees it: sources out, everything cold.
    Ohms,
}

/// What one pole adds to the equations.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Stamp {
    pub from: usize,
    pub to: usize,
    /// Between its two ends.
    pub through: Complex,
    /// From each end to ground.
    pub from_ground: Complex,
    pub to_ground: Complex,
    /// Amps its own source drives out of the first end when the ends are held together.
    pub drive: Complex,
    /// The other winding's pole and what its volts add.
    pub twin: Option<(usize, Complex)>,
}

impl Stamp {
    pub fn conducts(&self) -> bool {
        self.through != Complex::ZERO
    }

    pub fn is_real(&self) -> bool {
        let twin = self.twin.map_or(0.0, |(_, y)| y.im);
        self.through.im == 0.0 && self.from_ground.im == 0.0 && self.to_ground.im == 0.0 && twin == 0.0
    }

    /// Its conductances: between which points, and how much; through it, and from each end to ground.
    pub fn paths(&self) -> [(usize, usize, Complex); 3] {
        [(self.from, self.to, self.through), (self.from, 0, self.from_ground), (self.to, 0, self.to_ground)]
    }
}

/// What a pole is, seen by one system.
pub(super) fn stamp(net: &Network, system: System, at: usize, closed: bool, all: &dyn Fn(usize) -> PoleNow) -> Stamp {
    let pole = &net.poles[at];
    let now = all(at);
    let mut stamp = Stamp { from: pole.from.0, to: pole.to.0, ..Stamp::default() };
    let turn = 2.0 * std::f64::consts::PI * net.settings.hertz;
    let shorted = Complex::from(CONTACT_OHMS);
    let scaled = |ohms: f64| Complex::from(now.ohms.unwrap_or(ohms) * now.times * now.tolerance);
    // `None` is an open pole.
    let ohms: Option<Complex> = match pole.make {
        Make::Conductor { ohms } => (!now.opens).then(|| scaled(ohms)),
        Make::Contact { ohms, leak, .. } => {
            if closed && !now.opens {
                Some(scaled(ohms))
            } else {
                match leak {
                    Leak::None => None,
                    Leak::Ohms(ohms) => Some(Complex::from(ohms)),
                    Leak::Snubber { ohms, farads } if system == System::Ac => {
                        Some(Complex::new(ohms, -1.0 / (turn * farads)))
                    }
                    Leak::Snubber { .. } => None,
                }
            }
        }
        Make::Load { cold, hot } => {
            let as_made = match system {
                System::Ac => hot,
                System::Dc => Complex::from(hot.re),
                System::Ohms => Complex::from(cold),
            };
            let so_much = match now.ohms {
                Some(ohms) => Complex::from(ohms),
                None => as_made,
            };
            match (now.opens, now.closes) {
                (true, _) => None,
                (_, true) => Some(shorted),
                _ => Some(so_much * (now.times * now.tolerance)),
            }
        }
        Make::Capacitor { farads } => match (now.opens, now.closes) {
            (true, _) => None,
            (_, true) => Some(shorted),
            _ => (system == System::Ac).then(|| Complex::new(0.0, -1.0 / (turn * farads * now.times * now.tolerance))),
        },
        Make::Output { ohms, current, volts, .. } => {
            let runs = closed && (current == Current::Ac) == (system == System::Ac) && system != System::Ohms;
            if runs && !now.opens {
                let volts = now.volts.unwrap_or(volts) * now.times * now.tolerance;
                stamp.drive = Complex::from(volts / ohms);
            }
            (!now.opens).then(|| Complex::from(ohms))
        }
        Make::Winding { twin, ohms, volts, core } => {
            return winding(net, system, stamp, (twin, ohms, volts, core), &all(twin.0), &now);
        }
    };
    let Some(ohms) = ohms else { return stamp };
    match now.grounded {
        // A path to ground part of the way along, as three conductances between the ends and ground (star to delta).
        Some((along, path)) => {
            let (near, far) = (ohms * along, ohms * (1.0 - along));
            let path = Complex::from(path.max(1e-6));
            let whole = near * far + far * path + near * path;
            stamp.through = path / whole;
            stamp.from_ground = far / whole;
            stamp.to_ground = near / whole;
        }
        None => stamp.through = ohms.inverse(),
    }
    stamp
}

/// One winding: the T-circuit of a transformer (winding ohms, iron between, ideal ratio) as a two-port, so that it
/// needs no unknowns of its own. Direct current and the ohmmeter see the wire alone.
fn winding(
    net: &Network,
    system: System,
    mut stamp: Stamp,
    (twin, ohms, volts, core): (PoleId, f64, f64, f64),
    other: &PoleNow,
    now: &PoleNow,
) -> Stamp {
    let own = now.ohms.unwrap_or(ohms) * now.times * now.tolerance;
    if now.opens {
        return stamp;
    }
    if now.closes {
        stamp.through = Complex::from(1.0 / CONTACT_OHMS);
        return stamp;
    }
    if system != System::Ac {
        stamp.through = Complex::from(1.0 / own);
        return stamp;
    }
    let Make::Winding { ohms: other_ohms, volts: other_volts, .. } = net.poles[twin.0].make else { return stamp };
    if other.opens {
        stamp.through = Complex::from(1.0 / (own + core));
        return stamp;
    }
    // A winding shorted in itself takes all the flux: its twin is left with the ohms of its own wire.
    if other.closes {
        stamp.through = Complex::from(1.0 / own);
        return stamp;
    }
    let ratio = volts / other_volts;
    let (other_core, mutual) = (core / (ratio * ratio), core / ratio);
    let theirs = other.ohms.unwrap_or(other_ohms) * other.times * other.tolerance;
    let whole = own * theirs + own * other_core + core * theirs;
    stamp.through = Complex::from((theirs + other_core) / whole);
    stamp.twin = Some((twin.0, Complex::from(-mutual / whole)));
    stamp
}
