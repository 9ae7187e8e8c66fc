//! The groups of parts: what each may say, which faults are usual for it, what a fault of it may do to the circuit.
//!
//! Which faults are usual, and the figures in them, are common practice without a source, but for elements (moisture
//! and burnt-out wire) and solid-state relays (they fail shorted more often than open), as the trade's texts say.

use crate::trade::dimension::Dimension;

/// A group of parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Plugs, disconnects, breakers that are locked out.
    Disconnects,
    /// Fuses, and breakers that are not.
    Fuses,
    /// Switches, thermostats, limits.
    Switches,
    /// Contactors.
    Contactors,
    /// Relays.
    Relays,
    /// Solid-state relays.
    SolidStateRelays,
    /// Heating elements.
    Elements,
    /// Motors.
    Motors,
    /// Lamps.
    Lamps,
    /// Solenoids and valves.
    Coils,
    /// Transformers.
    Transformers,
    /// Electronic controls.
    Controls,
    /// A control's own output.
    Outputs,
    /// Probes.
    Sensors,
    /// Capacitors.
    Capacitors,
    /// Splices, terminals, wires.
    Joints,
    /// In no rung.
    Outside,
}

/// What a line of a part takes.
#[derive(Debug, Clone, Copy)]
pub enum Takes {
    /// A number of one of these.
    Amount(&'static [Dimension]),
    /// When it is closed.
    When,
    /// The names of its poles.
    Poles,
    /// How far off it may be: `watts +5 -10 %`, `ohms ±5 %`, `±6 %`.
    Tolerance,
    /// A reading in degrees.
    Reading,
    /// A share of one: `0.8` or `80 %`.
    Share,
    /// One of these words.
    Word(&'static [&'static str]),
    /// The name of a part.
    Part,
}

/// A line a part may have.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
}

/// What a usual fault does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UsualDoes {
    /// Opens every pole, one at a time: a fault a pole.
    OpensEach,
    /// Closes every switching pole, one at a time.
    ClosesEach,
    /// Opens the coil, the input or the supply side.
    OpensDriver,
    /// It does nothing at all.
    Dead,
    /// Grounded halfway, through 1 ohm.
    Grounded,
    /// Shorted.
    Shorts,
    /// Down to a share of its size.
    Times(f64),
}

/// A fault the group brings.
#[derive(Debug, Clone, Copy)]
pub struct Usual {
    /// Its name; behind the pole's (`a-open`) where there are several poles.
    pub name: &'static str,
    /// What it does.
    pub does: UsualDoes,
}

/// What the sheet may say a fault does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allowed {
    /// `opens`
    Opens,
    /// `closes`
    Closes,
    /// `ohms`
    Ohms,
    /// `times`
    Times,
    /// `volts`
    Volts,
    /// `where`
    Where,
}

impl Allowed {
    /// The word in the sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Opens => "opens",
            Self::Closes => "closes",
            Self::Ohms => "ohms",
            Self::Times => "times",
            Self::Volts => "volts",
            Self::Where => "where",
        }
    }
}

const OHMS: Key = Key { name: "ohms", takes: Takes::Amount(&[Dimension::OHMS]) };
const VOLTS: Key = Key { name: "volts", takes: Takes::Amount(&[Dimension::VOLTS]) };
const AMPS: Key = Key { name: "amps", takes: Takes::Amount(&[Dimension::AMPS]) };
const WATTS: Key = Key { name: "watts", takes: Takes::Amount(&[Dimension::WATTS]) };
const POLES: Key = Key { name: "poles", takes: Takes::Poles };
const CLOSED: Key = Key { name: "closed when", takes: Takes::When };
const AT_REST: Key = Key { name: "closed at rest", takes: Takes::Poles };
const WORKS: Key = Key { name: "works from", takes: Takes::Amount(&[Dimension::VOLTS, Dimension::NONE]) };
const LETS_GO: Key = Key { name: "lets go under", takes: Takes::Amount(&[Dimension::VOLTS, Dimension::NONE]) };
const POWER_FACTOR: Key = Key { name: "power factor", takes: Takes::Share };
const TOLERANCE: Key = Key { name: "tolerance", takes: Takes::Tolerance };
const LEAK: Key = Key { name: "leak", takes: Takes::Amount(&[Dimension::OHMS, Dimension::FARADS]) };

impl Group {
    /// Every group, in the order of the guide.
    pub const ALL: [Self; 17] = [
        Self::Disconnects,
        Self::Fuses,
        Self::Switches,
        Self::Contactors,
        Self::Relays,
        Self::SolidStateRelays,
        Self::Elements,
        Self::Motors,
        Self::Lamps,
        Self::Coils,
        Self::Transformers,
        Self::Controls,
        Self::Outputs,
        Self::Sensors,
        Self::Capacitors,
        Self::Joints,
        Self::Outside,
    ];

    /// Its heading in the sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Disconnects => "disconnects",
            Self::Fuses => "fuses",
            Self::Switches => "switches",
            Self::Contactors => "contactors",
            Self::Relays => "relays",
            Self::SolidStateRelays => "solid-state relays",
            Self::Elements => "elements",
            Self::Motors => "motors",
            Self::Lamps => "lamps",
            Self::Coils => "coils",
            Self::Transformers => "transformers",
            Self::Controls => "controls",
            Self::Outputs => "outputs",
            Self::Sensors => "sensors",
            Self::Capacitors => "capacitors",
            Self::Joints => "joints",
            Self::Outside => "outside",
        }
    }

    /// The group with this heading.
    #[must_use]
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|group| group.word() == word)
    }

    /// The lines a part of it may have.
    #[must_use]
    pub const fn keys(self) -> &'static [Key] {
        match self {
            Self::Disconnects => &[POLES, OHMS],
            Self::Fuses => &[POLES, AMPS, OHMS],
            Self::Switches => &[CLOSED, POLES, OHMS],
            Self::Contactors | Self::Relays => &[POLES, AT_REST, VOLTS, OHMS, AMPS, WORKS, LETS_GO, CLOSED],
            Self::SolidStateRelays => &[POLES, VOLTS, OHMS, WORKS, LEAK, CLOSED],
            Self::Elements => &[WATTS, VOLTS, OHMS, TOLERANCE],
            Self::Motors => &[AMPS, VOLTS, OHMS, POWER_FACTOR, POLES, WORKS, TOLERANCE],
            Self::Lamps => &[WATTS, VOLTS, OHMS, WORKS],
            Self::Coils => &[OHMS, AMPS, VOLTS, WORKS, TOLERANCE],
            Self::Transformers => &[
                Key { name: "primary", takes: Takes::Amount(&[Dimension::VOLTS]) },
                Key { name: "secondary", takes: Takes::Amount(&[Dimension::VOLTS]) },
                Key { name: "size", takes: Takes::Amount(&[Dimension::WATTS]) },
                Key { name: "primary ohms", takes: Takes::Amount(&[Dimension::OHMS]) },
                Key { name: "secondary ohms", takes: Takes::Amount(&[Dimension::OHMS]) },
            ],
            Self::Controls => &[
                Key { name: "supply", takes: Takes::Amount(&[Dimension::WATTS, Dimension::AMPS]) },
                VOLTS,
                WORKS,
                POLES,
                CLOSED,
            ],
            Self::Outputs => &[VOLTS, OHMS, Key { name: "of", takes: Takes::Part }, CLOSED],
            Self::Sensors => &[
                OHMS,
                Key { name: "kind", takes: Takes::Word(&["Pt100", "Pt1000"]) },
                Key { name: "at", takes: Takes::Reading },
                TOLERANCE,
            ],
            Self::Capacitors => &[Key { name: "size", takes: Takes::Amount(&[Dimension::FARADS]) }, TOLERANCE],
            Self::Joints => &[OHMS],
            Self::Outside => &[Key { name: "carries", takes: Takes::Word(&["gas"]) }],
        }
    }

    /// The pole that has to do with volts that move contacts: the coil, the input, the supply side.
    #[must_use]
    pub const fn driver(self) -> Option<&'static str> {
        match self {
            Self::Contactors | Self::Relays => Some("coil"),
            Self::SolidStateRelays => Some("in"),
            Self::Controls => Some("supply"),
            _ => None,
        }
    }

    /// Whether its poles are contacts (but the driver).
    #[must_use]
    pub const fn switches(self) -> bool {
        matches!(
            self,
            Self::Disconnects
                | Self::Switches
                | Self::Contactors
                | Self::Relays
                | Self::SolidStateRelays
                | Self::Controls
        )
    }

    /// The faults every part of it has unless the sheet replaces or strikes them.
    #[must_use]
    pub const fn usual(self) -> &'static [Usual] {
        const OPEN: Usual = Usual { name: "open", does: UsualDoes::OpensEach };
        match self {
            Self::Disconnects | Self::Fuses | Self::Lamps | Self::Joints => &[OPEN],
            Self::Switches => &[OPEN, Usual { name: "stuck", does: UsualDoes::ClosesEach }],
            Self::Contactors | Self::Relays => &[
                Usual { name: "coil-open", does: UsualDoes::OpensDriver },
                OPEN,
                Usual { name: "welded", does: UsualDoes::ClosesEach },
            ],
            Self::SolidStateRelays => &[Usual { name: "shorted", does: UsualDoes::ClosesEach }, OPEN],
            Self::Elements => &[OPEN, Usual { name: "grounded", does: UsualDoes::Grounded }],
            Self::Motors | Self::Coils | Self::Transformers => &[OPEN],
            Self::Controls => {
                &[Usual { name: "dead", does: UsualDoes::Dead }, Usual { name: "stuck", does: UsualDoes::ClosesEach }]
            }
            Self::Outputs => &[Usual { name: "dead", does: UsualDoes::OpensEach }],
            Self::Sensors => &[OPEN, Usual { name: "shorted", does: UsualDoes::Shorts }],
            Self::Capacitors => &[OPEN, Usual { name: "weak", does: UsualDoes::Times(0.6) }],
            Self::Outside => &[],
        }
    }

    /// What a fault of it may do to the circuit.
    #[must_use]
    pub const fn allows(self) -> &'static [Allowed] {
        use Allowed::{Closes, Ohms, Opens, Times, Volts, Where};
        match self {
            Self::Disconnects | Self::Fuses | Self::Joints => &[Opens, Ohms],
            Self::Switches | Self::Controls => &[Opens, Closes, Ohms],
            Self::Contactors | Self::Relays | Self::SolidStateRelays | Self::Sensors => &[Opens, Closes, Ohms, Times],
            Self::Elements | Self::Motors | Self::Coils => &[Opens, Closes, Ohms, Times, Where],
            Self::Lamps | Self::Transformers => &[Opens, Closes, Ohms],
            Self::Outputs => &[Opens, Volts],
            Self::Capacitors => &[Opens, Closes, Times],
            Self::Outside => &[],
        }
    }
}
