//! Networks made at random from a seed, for the properties and for ngspice.

use ruleout::circuit::{
    Complex, Current, Drive, GROUND, Grounding, Leak, Make, Network, PointId, PoleId, SupplyId, TerminalId,
};

/// Marsaglia's xorshift64 (from memory): the same numbers on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() >> 11) as usize % n
    }

    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly over the decades.
    pub fn ohms(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.share())
    }
}

/// One pole as ngspice needs it told.
#[derive(Clone, Copy)]
pub enum Told {
    Ohms(f64),
    Coil {
        ohms: f64,
        reactance: f64,
    },
    Farads(f64),
    Snubber {
        ohms: f64,
        farads: f64,
    },
    Open,
    Transformer {
        second: (PointId, PointId),
        ratio: f64,
        ohms: (f64, f64),
        core: f64,
    },
    /// The second winding, told with the first.
    Twin,
}

pub struct Random {
    pub net: Network,
    pub points: Vec<PointId>,
    /// Point, reference, volts, angle in degrees.
    pub sources: Vec<(PointId, Option<usize>, f64, f64)>,
    pub poles: Vec<(PoleId, PointId, PointId, Told)>,
    pub current: Current,
    pub lost: Option<TerminalId>,
    /// What the caller hands in for each switch.
    pub positions: Vec<bool>,
    pub supply: SupplyId,
}

/// 5 to 40 points: wires, elements, contacts open and closed, and with AC coils, capacitors, leaks and a transformer.
pub fn network(seed: u64, current: Current) -> Random {
    let dice = &mut Dice::new(seed + 1);
    let mut net = Network::new();
    let count = 5 + dice.below(36);
    let points: Vec<PointId> = (0..count).map(|i| net.point(format!("p{i}"))).collect();
    let (legs, grounding, volts, phasors): (usize, Grounding, f64, &[(f64, f64)]) = match (current, dice.below(4)) {
        (Current::Dc, 0 | 1) => (2, Grounding::Point(1), 24.0, &[(24.0, 0.0), (0.0, 0.0)]),
        (Current::Dc, _) => (2, Grounding::Middle, 48.0, &[(24.0, 0.0), (24.0, 180.0)]),
        (Current::Ac, 0) => (2, Grounding::Point(1), 120.0, &[(120.0, 0.0), (0.0, 0.0)]),
        (Current::Ac, 1) => (2, Grounding::Middle, 240.0, &[(120.0, 0.0), (120.0, 180.0)]),
        (Current::Ac, 2) => (
            3,
            Grounding::Wye,
            208.0,
            &[(120.088_855_837_6, 0.0), (120.088_855_837_6, -120.0), (120.088_855_837_6, 120.0)],
        ),
        (Current::Ac, _) => (2, Grounding::None, 208.0, &[(104.0, 0.0), (104.0, 180.0)]),
    };
    let supply = net.supply("mains", current, &points[..legs], volts, grounding).expect("these fit");
    let floats = grounding == Grounding::None;
    let sources = (0..legs).map(|i| (points[i], floats.then_some(0), phasors[i].0, phasors[i].1)).collect();
    let lost = (dice.below(5) == 0).then(|| net.terminals_of(supply)[0]);
    let (mut poles, mut positions) = (Vec::new(), Vec::new());
    // A tree first, so that most points hang together, then as many again across.
    for i in 1..2 * count {
        let (from, to) = if i < count {
            (points[i], if dice.below(8) == 0 { GROUND } else { points[dice.below(i)] })
        } else {
            (points[dice.below(count)], points[dice.below(count)])
        };
        if from == to {
            continue;
        }
        let name = format!("x{i}");
        let ac = current == Current::Ac;
        let (pole, told) = match dice.below(12) {
            0..=2 => (net.conductor(name, from, to, 0.01), Told::Ohms(0.01)),
            3 | 4 => {
                let position = net.position();
                let made = dice.below(2) == 0;
                positions.push(made);
                let drive = Drive { position: Some(position), ..Drive::default() };
                (net.contact(name, from, to, drive), if made { Told::Ohms(0.01) } else { Told::Open })
            }
            5 if ac => {
                let (ohms, reactance) = (dice.ohms(10.0, 1e3), dice.ohms(10.0, 1e3));
                let make = Make::Load { cold: ohms, hot: Complex::new(ohms, reactance) };
                (net.pole(name, from, to, make), Told::Coil { ohms, reactance })
            }
            6 if ac => {
                let farads = dice.ohms(1e-6, 50e-6);
                (net.pole(name, from, to, Make::Capacitor { farads }), Told::Farads(farads))
            }
            7 if ac => {
                let position = net.position();
                positions.push(false);
                let leak = Leak::Snubber { ohms: 47.0, farads: 22e-9 };
                let drive = Drive { position: Some(position), ..Drive::default() };
                let make = Make::Contact { ohms: 0.01, leak, drive };
                (net.pole(name, from, to, make), Told::Snubber { ohms: 47.0, farads: 22e-9 })
            }
            8 if ac && i >= count => {
                let second = (points[dice.below(count)], points[dice.below(count)]);
                if second.0 == second.1 {
                    continue;
                }
                let ratio = 1.0 + dice.below(10) as f64;
                let ohms = (dice.ohms(0.5, 20.0), dice.ohms(0.05, 2.0));
                let (one, two) = net.transformer(&name, (from, to), second, (24.0 * ratio, 24.0), ohms, 5000.0);
                poles.push((one, from, to, Told::Transformer { second, ratio, ohms, core: 5000.0 }));
                (two, Told::Twin)
            }
            _ => {
                let ohms = dice.ohms(1.0, 1e5);
                (net.resistance(name, from, to, ohms), Told::Ohms(ohms))
            }
        };
        let (from, to) = match told {
            Told::Twin => (net.pole_at(pole).from, net.pole_at(pole).to),
            _ => (from, to),
        };
        poles.push((pole, from, to, told));
    }
    Random { net, points, sources, poles, current, lost, positions, supply }
}
