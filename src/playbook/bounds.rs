//! The limits of a test against what a good unit reads.
//!
//! 1. `normal` takes the stretch a good unit reads, `below normal` and `above normal` what lies beyond its ends.
//! 2. With a sheet that stretch has numbers, and all lines are laid out together ([`super::bands`]).
//! 3. Without one it is a stretch at an unknown place: its three sides cover everything; numbers mixed with it can be checked
//!    only once there is a sheet.

use super::bands::{Domain, Layout, Spec, lay_out};
use super::model::{Coverage, Takes};
use crate::language::syntax::{OutcomeKind, Side};
use crate::trade::unit::Unit;

/// The stretch a good unit reads, in the unit of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Good {
    /// Lowest number; +∞ where a good unit reads `OL` and nothing else.
    pub low: f64,
    /// Highest number; +∞ where a good unit may read `OL`.
    pub high: f64,
    /// Whether a good unit may read `OL`.
    pub over_limit: bool,
}

impl Good {
    /// Whether a good unit reads numbers at all.
    #[must_use]
    pub fn has_numbers(self) -> bool {
        self.low.is_finite()
    }

    fn spec(self, side: Side) -> Spec {
        match side {
            Side::Below => Spec::Below(self.low),
            Side::Within => Spec::Between { low: self.low, high: self.high, over_limit: self.over_limit },
            Side::Above => Spec::Above(self.high),
        }
    }
}

/// One line's limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// In numbers, or `OL`.
    Fixed(Spec),
    /// A side of `normal`.
    Normal(Side),
    /// A side of `normal at NAME`.
    NormalAt(Side),
}

/// The limits of one test.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    /// In order of lines; `None` for one that could not be read.
    pub(super) lines: Vec<(OutcomeKind, Option<Bound>)>,
    /// The readings `normal at` goes by, each once, in order of lines.
    pub(super) at: Vec<String>,
    /// The unit of the test.
    pub(super) unit: Unit,
    /// What the meter can show.
    pub(super) domain: Domain,
}

/// What each line takes, and what is wrong with it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    pub takes: Vec<Takes>,
    pub coverage: Coverage,
    /// Whether the technician has to say where normal is.
    pub judged: bool,
}

impl Bounds {
    /// Whether any line goes by `normal`, `normal at NAME` not counted.
    #[must_use]
    pub fn has_normal(&self) -> bool {
        self.lines.iter().any(|(_, bound)| matches!(bound, Some(Bound::Normal(_))))
    }

    /// The unit of the test.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// The readings `normal at` goes by.
    #[must_use]
    pub fn at(&self) -> &[String] {
        &self.at
    }

    /// Lays the lines out, with what `normal` and `normal at` stand for where that is known.
    pub(super) fn lay(&self, normal: Option<Good>, at: Option<Good>) -> Laid {
        let specs: Vec<Option<Spec>> = self
            .lines
            .iter()
            .map(|(_, bound)| match bound {
                Some(Bound::Fixed(spec)) => Some(*spec),
                Some(Bound::Normal(side)) => normal.map(|good| good.spec(*side)),
                Some(Bound::NormalAt(side)) => at.map(|good| good.spec(*side)),
                None => None,
            })
            .collect();
        let side = |at: usize| match self.lines.get(at) {
            Some((_, Some(Bound::Normal(side) | Bound::NormalAt(side)))) => Some(*side),
            _ => None,
        };
        let unknown = |at: usize| side(at).filter(|_| specs.get(at).is_some_and(Option::is_none));
        let mut takes: Vec<Takes> = (0..self.lines.len())
            .map(|at| match unknown(at) {
                Some(side) => Takes::Judged(side),
                None => Takes::Numbers { stretches: Vec::new(), over_limit: false },
            })
            .collect();
        let of_kind = |all: bool| -> (Vec<usize>, Layout) {
            let kinds = self.lines.iter().zip(&specs).enumerate();
            let mine = kinds.filter(|(_, ((kind, _), spec))| (*kind == OutcomeKind::All) == all && spec.is_some());
            let (which, mine): (Vec<usize>, Vec<Spec>) =
                mine.filter_map(|(at, (_, spec))| spec.map(|spec| (at, spec))).unzip();
            (which, lay_out(&mine, self.domain))
        };
        let (which, layout) = of_kind(false);
        let (which_all, layout_all) = of_kind(true);
        for (which, layout) in [(&which, &layout), (&which_all, &layout_all)] {
            for (nth, at) in which.iter().enumerate() {
                if let (Some(slot), Some(stretches)) = (takes.get_mut(*at), layout.stretches.get(nth)) {
                    *slot = Takes::Numbers { stretches: stretches.clone(), over_limit: layout.over_limit == Some(nth) };
                }
            }
        }
        let judged = (0..self.lines.len()).any(|at| unknown(at).is_some());
        let any_slip = self.lines.iter().any(|(_, bound)| bound.is_none());
        let coverage = if judged {
            Coverage { sides: self.sides_missing(), ..Coverage::default() }
        } else if any_slip || which.is_empty() {
            // A line that could not be read would leave a false gap.
            Coverage::default()
        } else {
            let original = |nth: usize| which.get(nth).copied().unwrap_or(nth);
            Coverage {
                gaps: layout.gaps,
                over_limit_gap: layout.over_limit_gap,
                sides: Vec::new(),
                overlaps: layout.overlaps.iter().map(|(a, b, s)| (original(*a), original(*b), *s)).collect(),
            }
        };
        Laid { takes, coverage, judged }
    }

    /// The sides of an unknown `normal` no line takes; none is told where numbers are mixed with it.
    fn sides_missing(&self) -> Vec<Side> {
        let outcomes = || self.lines.iter().filter(|(kind, _)| *kind != OutcomeKind::All).map(|(_, bound)| bound);
        let numbers = |bound: &Option<Bound>| {
            !matches!(bound, Some(Bound::Normal(_) | Bound::NormalAt(_) | Bound::Fixed(Spec::OverLimit)))
        };
        if outcomes().any(numbers) {
            return Vec::new();
        }
        let takes = |side: Side| {
            outcomes().any(|bound| matches!(bound, Some(Bound::Normal(s) | Bound::NormalAt(s)) if *s == side))
        };
        [Side::Below, Side::Within, Side::Above].into_iter().filter(|side| !takes(*side)).collect()
    }
}
