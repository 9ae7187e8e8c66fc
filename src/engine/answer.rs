//! What a technician, a page or a simulated unit can answer, and why an answer is not taken.

use super::library::InBook;
use crate::language::syntax::Side;
use crate::playbook::arithmetic::NoSum;
use crate::playbook::model::TestId;
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;
use std::fmt;

/// An answer to whatever the walk waits for.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// The next change of state on the way has been made.
    Changed,
    /// The readings of a test, in order of its measures, judged by their numbers. Several, where the meter may show
    /// one or another (a ghost, a chattering relay): each is walked.
    Read(Vec<Taken>),
    /// The readings of a test without a sheet, and on which side of `normal` they fall by the rating plate and the drawing.
    Judged(Vec<Reading>, Side),
    /// The readings written down, and the outcome line (its index) whose answer was given.
    Said(Vec<Reading>, usize),
    /// The work is done; the closing or the hand-over list is done.
    Done,
    /// Can't do this one.
    Cannot,
    /// Stop: it is not safe.
    Stop,
    /// The part is not on the truck.
    NoPart,
}

/// One set of readings taken together.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// What the meter shows.
    pub read: Vec<Reading>,
    /// What it could as well have shown: the set again with each reading at an end of its accuracy. Every result between the
    /// lowest and the highest of them is possible. Empty where the reading counts as it is.
    pub could: Vec<Vec<Reading>>,
}

impl Taken {
    /// Readings that count as they are, as a technician types them.
    #[must_use]
    pub fn sure(read: Vec<Reading>) -> Self {
        Self { read, could: Vec::new() }
    }
}

/// Why an answer is not taken. The state stays as it was.
#[derive(Debug, Clone, PartialEq)]
pub enum Refused {
    /// It is no answer to what is asked here.
    NotHere,
    /// The unit does not stand yet as the step needs it.
    OnTheWay,
    /// More or fewer readings than the test takes.
    Count {
        /// How many it takes.
        takes: usize,
    },
    /// No outcome line takes this reading.
    NoLine(Option<Reading>),
    /// The sum has no answer for these readings.
    NoSum(RangeError),
    /// A reading the sum needs has not been taken on this way.
    NotTaken(String),
    /// The unit cannot be brought to stand so; the fact as a sentence.
    NoWay(String),
    /// A test for one member of a bank, and none was picked.
    NoMember(InBook<TestId>),
    /// The line leads to a name that is nowhere.
    Nowhere(String),
}

impl From<NoSum> for Refused {
    fn from(why: NoSum) -> Self {
        match why {
            NoSum::NoAnswer(why) => Self::NoSum(why),
            NoSum::NotTaken(name) => Self::NotTaken(name),
        }
    }
}

impl fmt::Display for Refused {
    /// One sentence, in the trade's words.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotHere => f.write_str("That is no answer to what is asked here."),
            Self::OnTheWay => f.write_str("The unit does not stand yet as this step needs it."),
            Self::Count { takes: 1 } => f.write_str("This step takes one reading."),
            Self::Count { takes } => write!(f, "This step takes {takes} readings."),
            Self::NoLine(_) => f.write_str("No line of this step says where to go from that."),
            Self::NoSum(why) => write!(f, "The sum has no answer for these readings: {why}."),
            Self::NotTaken(name) => write!(f, "The sum needs `{name}`, which has not been read on this way."),
            Self::NoWay(why) => write!(f, "The unit cannot be brought to stand as this step needs it: {why}"),
            Self::NoMember(_) => f.write_str("This step is for one of several alike, and none was picked on this way."),
            Self::Nowhere(name) => write!(f, "The line leads to `{name}`, which is not there."),
        }
    }
}
