//! What can be wrong between the brackets of a call, told in the trade's words.

use super::function::Words;
use crate::trade::dimension::Dimension;
use std::fmt;

/// What is wrong with a call. `at` counts the arguments from 0.
#[derive(Debug, Clone, Copy)]
pub enum Misuse {
    /// Not enough between the brackets.
    TooFew {
        /// How many there are.
        given: usize,
        /// How many it takes at least.
        least: usize,
    },
    /// Too much between the brackets.
    TooMany {
        /// How many there are.
        given: usize,
        /// How many it takes at most.
        most: usize,
    },
    /// Volts, say, where amps belong.
    Unlike {
        /// Which one.
        at: usize,
        /// What that place is called.
        name: &'static str,
        /// What belongs there.
        wanted: Dimension,
        /// What stands there.
        given: Dimension,
    },
    /// Unlike things that have to be alike: volts among amps.
    NotTheSame {
        /// Which one differs.
        at: usize,
        /// What the first one is.
        first: Dimension,
        /// What this one is.
        given: Dimension,
    },
    /// A number where a word of a list belongs.
    WantsWord {
        /// Which one.
        at: usize,
        /// The list.
        words: &'static Words,
    },
    /// A word that is not on the list.
    NoSuchWord {
        /// Which one.
        at: usize,
        /// The list.
        words: &'static Words,
    },
    /// A word where a number belongs.
    WantsNumber {
        /// Which one.
        at: usize,
        /// What that place is called.
        name: &'static str,
    },
    /// A percentage of temperatures, which would change with the zero of the scale.
    NoRatioOfTemperatures,
}

impl Misuse {
    /// Which argument it is about, counted from 0; `None` where it is about all of them.
    #[must_use]
    pub fn at(&self) -> Option<usize> {
        match *self {
            Self::Unlike { at, .. }
            | Self::NotTheSame { at, .. }
            | Self::WantsWord { at, .. }
            | Self::NoSuchWord { at, .. }
            | Self::WantsNumber { at, .. } => Some(at),
            Self::TooFew { .. } | Self::TooMany { .. } | Self::NoRatioOfTemperatures => None,
        }
    }

    /// The list a word should have come from, where that is what is wrong.
    #[must_use]
    pub fn words(&self) -> Option<&'static Words> {
        match self {
            Self::WantsWord { words, .. } | Self::NoSuchWord { words, .. } => Some(words),
            _ => None,
        }
    }
}

impl fmt::Display for Misuse {
    /// What is wrong, to stand behind "`superheat`: ".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { given, least } => write!(f, "takes {least} or more, and {given} stand between the brackets"),
            Self::TooMany { given, most } => write!(f, "takes {most} at most, and {given} stand between the brackets"),
            Self::Unlike { name, wanted, given, .. } => write!(f, "the {name} is {wanted}, and {given} stands there"),
            Self::NotTheSame { first, given, .. } => {
                write!(f, "takes readings of one kind, and {given} stands among {first}")
            }
            Self::WantsWord { words, .. } | Self::NoSuchWord { words, .. } => {
                write!(f, "the {} is one of {}", words.called, words.list.join(", "))
            }
            Self::WantsNumber { name, .. } => write!(f, "the {name} is a reading or a number, and a word stands there"),
            Self::NoRatioOfTemperatures => {
                f.write_str("a percentage of temperatures means nothing: it changes with °F and °C")
            }
        }
    }
}
