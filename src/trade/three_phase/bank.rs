//! A bank of three elements on three lines, healthy or with elements or lines open, by phasors.
//!
//! Lines A, B and C are 120° apart. In delta, element 1 hangs A–B, element 2 B–C, element 3 C–A; in wye, element 1
//! hangs from A to the star point, 2 from B, 3 from C. A line that is open leaves its terminal floating: the terminal
//! settles where the currents into it add to nothing, and so does a star point without a neutral.
//!
//! Worked example: a delta of 3 × 14.42 ohm on 208 V draws 24.98 A in each line. With element 1 open lines A and B
//! drop to 57.7 % (14.42 A), C keeps its amps, and two thirds of the watts are left.

/// How the three elements are connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Connection {
    /// Between the lines.
    Delta,
    /// To a star point that floats.
    Wye,
    /// To a star point tied to the neutral.
    WyeWithNeutral,
}

/// A bank: three elements, and which lines reach it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bank {
    /// How the elements are connected.
    pub connection: Connection,
    /// Ohms of elements 1, 2 and 3; infinite where open. Above zero.
    pub ohms: [f64; 3],
    /// Whether lines A, B and C reach the bank.
    pub lines: [bool; 3],
}

/// What meters read on a bank. Amps and volts RMS.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Amps in lines A, B and C.
    pub line_amps: [f64; 3],
    /// Amps in the neutral.
    pub neutral_amps: f64,
    /// Volts across elements 1, 2 and 3.
    pub element_volts: [f64; 3],
    /// Amps through elements 1, 2 and 3.
    pub element_amps: [f64; 3],
    /// Volts between the bank's terminals A–B, B–C and C–A.
    pub terminal_volts: [f64; 3],
    /// Volts across the break in each line that is open; 0 in one that is not.
    pub break_volts: [f64; 3],
    /// Watts of the bank.
    pub watts: f64,
}

/// A phasor: volts or amps as two parts at right angles.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Phasor(f64, f64);

impl Phasor {
    const ZERO: Self = Self(0.0, 0.0);

    fn less(self, other: Self) -> Self {
        Self(self.0 - other.0, self.1 - other.1)
    }

    fn plus(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }

    fn times(self, factor: f64) -> Self {
        Self(self.0 * factor, self.1 * factor)
    }

    fn size(self) -> f64 {
        (self.0 * self.0 + self.1 * self.1).sqrt()
    }
}

impl Bank {
    /// A healthy bank that makes `watts` at `volts` between lines.
    /// Elements of 3 V² ÷ W in delta, V² ÷ W in wye.
    #[must_use]
    pub fn rated(connection: Connection, watts: f64, volts: f64) -> Self {
        let ohms = volts * volts / watts * if connection == Connection::Delta { 3.0 } else { 1.0 };
        Self { connection, ohms: [ohms; 3], lines: [true; 3] }
    }

    /// The same bank with this element (0 to 2) open; another number changes nothing.
    #[must_use]
    pub fn with_element_open(mut self, element: usize) -> Self {
        if let Some(ohms) = self.ohms.get_mut(element) {
            *ohms = f64::INFINITY;
        }
        self
    }

    /// The same bank with this line (0 to 2) open; another number changes nothing.
    #[must_use]
    pub fn with_line_open(mut self, line: usize) -> Self {
        if let Some(reaches) = self.lines.get_mut(line) {
            *reaches = false;
        }
        self
    }

    /// What meters read with `volts` between lines, the three alike.
    #[must_use]
    pub fn load(&self, volts: f64) -> Load {
        let phase = volts / 3f64.sqrt();
        let (half, side) = (phase / 2.0, volts / 2.0);
        let supply = [Phasor(phase, 0.0), Phasor(-half, -side), Phasor(-half, side)];
        match self.connection {
            Connection::Delta => self.delta(supply),
            Connection::Wye => self.wye(supply, false),
            Connection::WyeWithNeutral => self.wye(supply, true),
        }
    }

    fn delta(&self, supply: [Phasor; 3]) -> Load {
        let [g1, g2, g3] = self.ohms.map(|ohms| 1.0 / ohms);
        let [a, b, c] = supply;
        // A floating terminal sits between its two neighbors as their conductances pull; two floating sit on the third.
        let [va, vb, vc] = match self.lines {
            [true, true, true] => [a, b, c],
            [false, true, true] => [between(b, g1, c, g3, a), b, c],
            [true, false, true] => [a, between(a, g1, c, g2, b), c],
            [true, true, false] => [a, b, between(b, g2, a, g3, c)],
            [true, false, false] => [a, a, a],
            [false, true, false] => [b, b, b],
            [false, false, true] => [c, c, c],
            [false, false, false] => [Phasor::ZERO; 3],
        };
        let across = [va.less(vb), vb.less(vc), vc.less(va)];
        let [i1, i2, i3] = [across[0].times(g1), across[1].times(g2), across[2].times(g3)];
        let lines = [i1.less(i3), i2.less(i1), i3.less(i2)];
        self.told(supply, [va, vb, vc], across, [i1, i2, i3], lines, Phasor::ZERO)
    }

    fn wye(&self, supply: [Phasor; 3], neutral: bool) -> Load {
        let [g1, g2, g3] = self.ohms.map(|ohms| 1.0 / ohms);
        let on = self.lines.map(|reaches| if reaches { 1.0 } else { 0.0 });
        let [g1, g2, g3] = [g1 * on[0], g2 * on[1], g3 * on[2]];
        let [a, b, c] = supply;
        let all = g1 + g2 + g3;
        let star = if neutral || all == 0.0 {
            Phasor::ZERO
        } else {
            a.times(g1).plus(b.times(g2)).plus(c.times(g3)).times(1.0 / all)
        };
        // A terminal whose line is open hangs on its element and sits at the star point.
        let terminal = |line: Phasor, reaches: bool| if reaches { line } else { star };
        let terminals = [terminal(a, self.lines[0]), terminal(b, self.lines[1]), terminal(c, self.lines[2])];
        let across = terminals.map(|terminal| terminal.less(star));
        let amps = [across[0].times(g1), across[1].times(g2), across[2].times(g3)];
        let back = if neutral { amps[0].plus(amps[1]).plus(amps[2]) } else { Phasor::ZERO };
        self.told(supply, terminals, across, amps, amps, back)
    }

    fn told(
        &self,
        supply: [Phasor; 3],
        terminals: [Phasor; 3],
        across: [Phasor; 3],
        amps: [Phasor; 3],
        lines: [Phasor; 3],
        neutral: Phasor,
    ) -> Load {
        let [ta, tb, tc] = terminals;
        let element_volts = across.map(Phasor::size);
        let element_amps = amps.map(Phasor::size);
        Load {
            line_amps: lines.map(Phasor::size),
            neutral_amps: neutral.size(),
            element_volts,
            element_amps,
            terminal_volts: [ta.less(tb).size(), tb.less(tc).size(), tc.less(ta).size()],
            break_volts: [supply[0].less(ta).size(), supply[1].less(tb).size(), supply[2].less(tc).size()],
            watts: element_volts.iter().zip(element_amps).map(|(volts, amps)| volts * amps).sum(),
        }
    }

    /// Ohms between the bank's terminals A–B, B–C and C–A, power off and the lines apart; `None` reads OL.
    /// Healthy delta ⅔ R, healthy wye 2 R: the same number for the same rating.
    #[must_use]
    pub fn terminal_ohms(&self) -> [Option<f64>; 3] {
        let [r1, r2, r3] = self.ohms;
        let pairs = match self.connection {
            Connection::Delta => [beside(r1, r2 + r3), beside(r2, r3 + r1), beside(r3, r1 + r2)],
            Connection::Wye | Connection::WyeWithNeutral => [r1 + r2, r2 + r3, r3 + r1],
        };
        pairs.map(|ohms| ohms.is_finite().then_some(ohms))
    }
}

/// Where a floating point sits between two others; on `own`, its line's own volts, where both ways to it are open.
fn between(one: Phasor, g_one: f64, two: Phasor, g_two: f64, own: Phasor) -> Phasor {
    let all = g_one + g_two;
    if all > 0.0 { one.times(g_one).plus(two.times(g_two)).times(1.0 / all) } else { own }
}

/// Two resistances side by side; infinite where both are.
fn beside(one: f64, two: f64) -> f64 {
    1.0 / (1.0 / one + 1.0 / two)
}
