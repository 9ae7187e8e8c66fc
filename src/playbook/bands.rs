//! Limits to bands: which line takes which numbers.
//!
//! 1. Every `A to B` takes its numbers, both ends included; where two meet, the one with the larger numbers has the shared end.
//! 2. `below` and `above` follow in order of lines, each with all that is left on its side.
//! 3. A number that stands in an `above` and is still free goes to it, so that "below 3 / above 3" has no hole.
//! 4. `OL` goes to the `OL` line, else to `normal` where a good unit reads `OL`, else to the `above` with the largest number.
//!
//! What is left over is a gap; what two `A to B` share beyond an end is an overlap. Worked example, amps from 0: "below 1 A",
//! "good 1 A to 5 A", "above 5 A" give 0 up to 1, 1 to 5, over 5.

use super::model::{Edge, Stretch};
use std::cmp::Ordering;

/// One outcome line's limit, in the unit of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spec {
    /// `A to B`, or a computed `normal`; `over_limit` where a good unit may read `OL`.
    Between {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Whether a good unit may read `OL` (only for a computed `normal`).
        over_limit: bool,
    },
    /// `below X`
    Below(f64),
    /// `above X`
    Above(f64),
    /// `OL`
    OverLimit,
}

/// The numbers a meter can show in a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Domain {
    /// Whether numbers below zero are shown.
    pub signed: bool,
    /// Whether `OL` is shown.
    pub over_limit: bool,
}

/// Which line takes what, and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// For each spec, its stretches, lowest first.
    pub stretches: Vec<Vec<Stretch>>,
    /// Which spec takes `OL`.
    pub over_limit: Option<usize>,
    /// Numbers no line takes.
    pub gaps: Vec<Stretch>,
    /// Whether `OL` can be shown and no line takes it.
    pub over_limit_gap: bool,
    /// Two specs and what both claim.
    pub overlaps: Vec<(usize, usize, Stretch)>,
}

/// A place between numbers: just before or just after one.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cut {
    at: f64,
    after: bool,
}

impl Cut {
    const fn before(at: f64) -> Self {
        Self { at, after: false }
    }

    const fn after(at: f64) -> Self {
        Self { at, after: true }
    }

    fn order(self, other: Self) -> Ordering {
        self.at.total_cmp(&other.at).then(self.after.cmp(&other.after))
    }

    fn max(self, other: Self) -> Self {
        if self.order(other) == Ordering::Less { other } else { self }
    }

    fn min(self, other: Self) -> Self {
        if self.order(other) == Ordering::Greater { other } else { self }
    }
}

/// The numbers from one cut to another; empty where they are out of order.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Run {
    low: Cut,
    high: Cut,
}

impl Run {
    fn is_empty(self) -> bool {
        self.low.order(self.high) != Ordering::Less
    }

    fn shared(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.min(other.high) }
    }

    fn stretch(self) -> Stretch {
        Stretch {
            low: Edge { at: self.low.at, within: !self.low.after && self.low.at.is_finite() },
            high: Edge { at: self.high.at, within: self.high.after && self.high.at.is_finite() },
        }
    }
}

/// Takes `wanted` out of what is free and returns what it got, lowest first.
fn take(free: &mut Vec<Run>, wanted: Run) -> Vec<Run> {
    let mut got = Vec::new();
    let mut rest = Vec::with_capacity(free.len() + 1);
    for run in free.iter().copied() {
        let shared = run.shared(wanted);
        if shared.is_empty() {
            rest.push(run);
            continue;
        }
        got.push(shared);
        rest.extend(
            [Run { low: run.low, high: shared.low }, Run { low: shared.high, high: run.high }]
                .into_iter()
                .filter(|left| !left.is_empty()),
        );
    }
    *free = rest;
    got
}

/// Lays the lines out over everything the meter can show.
#[must_use]
pub fn lay_out(specs: &[Spec], domain: Domain) -> Layout {
    let bottom = if domain.signed { Cut::before(f64::NEG_INFINITY) } else { Cut::before(0.0) };
    let top = Cut::after(f64::INFINITY);
    let mut free = vec![Run { low: bottom, high: top }];
    let mut taken: Vec<Vec<Run>> = vec![Vec::new(); specs.len()];
    let mut layout = Layout::default();

    let mut between: Vec<(usize, Run)> = specs
        .iter()
        .enumerate()
        .filter_map(|(at, spec)| match *spec {
            Spec::Between { low, high, .. } => Some((at, Run { low: Cut::before(low), high: Cut::after(high) })),
            _ => None,
        })
        .collect();
    // Larger numbers first: a shared end is theirs.
    between.sort_by(|(_, a), (_, b)| b.high.order(a.high).then(b.low.order(a.low)));
    for (nth, (at, run)) in between.iter().enumerate() {
        for (other, before) in between.iter().take(nth) {
            let shared = run.shared(*before);
            let only_an_end = shared.low.at.total_cmp(&shared.high.at) == Ordering::Equal;
            let meet = only_an_end && run.high.at.total_cmp(&before.low.at) == Ordering::Equal;
            if !shared.is_empty() && !meet {
                layout.overlaps.push(((*at).min(*other), (*at).max(*other), shared.stretch()));
            }
        }
        if let Some(mine) = taken.get_mut(*at) {
            *mine = take(&mut free, *run);
        }
    }

    for (spec, mine) in specs.iter().zip(taken.iter_mut()) {
        match *spec {
            Spec::Below(x) => *mine = take(&mut free, Run { low: bottom, high: Cut::before(x) }),
            Spec::Above(x) => *mine = take(&mut free, Run { low: Cut::after(x), high: top }),
            Spec::Between { .. } | Spec::OverLimit => {}
        }
    }
    for (spec, mine) in specs.iter().zip(taken.iter_mut()) {
        if let Spec::Above(x) = *spec {
            let got = take(&mut free, Run { low: Cut::before(x), high: Cut::after(x) });
            mine.extend(got);
            mine.sort_by(|a, b| a.low.order(b.low));
            join(mine);
        }
    }

    if domain.over_limit {
        layout.over_limit = over_limit_line(specs);
        layout.over_limit_gap = layout.over_limit.is_none();
    }
    layout.stretches = taken.iter().map(|runs| runs.iter().map(|run| run.stretch()).collect()).collect();
    layout.gaps = free.iter().map(|run| run.stretch()).collect();
    layout.overlaps.sort_by_key(|(a, b, _)| (*a, *b));
    layout
}

/// Joins runs that touch.
fn join(runs: &mut Vec<Run>) {
    runs.dedup_by(|next, before| {
        let touch = before.high.order(next.low) == Ordering::Equal;
        if touch {
            before.high = next.high;
        }
        touch
    });
}

fn over_limit_line(specs: &[Spec]) -> Option<usize> {
    let position = |wanted: &dyn Fn(&Spec) -> bool| specs.iter().position(wanted);
    position(&|spec| matches!(spec, Spec::OverLimit))
        .or_else(|| position(&|spec| matches!(spec, Spec::Between { over_limit: true, .. })))
        .or_else(|| {
            let above = specs.iter().enumerate().filter_map(|(at, spec)| match spec {
                Spec::Above(x) => Some((at, *x)),
                _ => None,
            });
            // The first of equals, so that the order of lines decides.
            above
                .fold(None, |best: Option<(usize, f64)>, (at, x)| match best {
                    Some((_, most)) if most >= x => best,
                    _ => Some((at, x)),
                })
                .map(|(at, _)| at)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    const AMPS: Domain = Domain { signed: false, over_limit: false };
    const OHMS: Domain = Domain { signed: false, over_limit: true };
    const PRESSURE: Domain = Domain { signed: true, over_limit: false };

    fn between(low: f64, high: f64) -> Spec {
        Spec::Between { low, high, over_limit: false }
    }

    fn told(stretch: &Stretch) -> String {
        let low = if stretch.low.within { '[' } else { '(' };
        let high = if stretch.high.within { ']' } else { ')' };
        format!("{low}{} {}{high}", stretch.low.at, stretch.high.at)
    }

    fn line(stretches: &[Stretch]) -> String {
        stretches.iter().map(told).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn cases() {
        use Spec::{Above, Below, OverLimit};
        // lines, domain, what each takes, gaps
        let cases: &[(&[Spec], Domain, &[&str], &str)] = &[
            (&[Below(3.0), Above(3.0)], AMPS, &["[0 3)", "[3 inf)"], ""),
            (&[Above(3.0), Below(5.0)], AMPS, &["(3 inf)", "[0 3]"], ""),
            (&[between(1.0, 3.0), between(3.0, 5.0)], PRESSURE, &["[1 3)", "[3 5]"], "(-inf 1) (5 inf)"),
            (&[between(3.0, 5.0), Below(3.0), Above(6.0)], AMPS, &["[3 5]", "[0 3)", "[6 inf)"], "(5 6)"),
            (&[between(1.0, 5.0), Below(1.0), Above(5.0)], AMPS, &["[1 5]", "[0 1)", "(5 inf)"], ""),
            (&[Below(1.0), Below(1.0), Above(1.0)], AMPS, &["[0 1)", "", "[1 inf)"], ""),
            (&[Below(5.0), Above(3.0)], AMPS, &["[0 5)", "[5 inf)"], ""),
            (&[between(2.0, 4.0), Below(9.0), Above(9.0)], AMPS, &["[2 4]", "[0 2) (4 9)", "[9 inf)"], ""),
            (&[Below(0.0), Above(0.0)], AMPS, &["", "[0 inf)"], ""),
            (&[Below(1.0), OverLimit, Above(1.0)], OHMS, &["[0 1)", "", "[1 inf)"], ""),
        ];
        for (specs, domain, want, gaps) in cases {
            let layout = lay_out(specs, *domain);
            let got: Vec<String> = layout.stretches.iter().map(|s| line(s)).collect();
            assert_eq!(got, *want, "{specs:?}");
            assert_eq!(line(&layout.gaps), *gaps, "gaps of {specs:?}");
            assert!(layout.overlaps.is_empty(), "{specs:?}");
        }
    }

    #[test]
    fn overlaps_are_more_than_an_end() {
        let layout = lay_out(&[between(1.0, 4.0), between(3.0, 5.0)], AMPS);
        assert_eq!(layout.overlaps.len(), 1);
        assert_eq!(layout.overlaps.first().map(|(a, b, s)| (*a, *b, told(s))), Some((0, 1, "[3 4]".into())));
        // One inside the other, and twice the same.
        assert_eq!(lay_out(&[between(1.0, 9.0), between(3.0, 5.0)], AMPS).overlaps.len(), 1);
        assert_eq!(lay_out(&[between(1.0, 9.0), between(1.0, 9.0)], AMPS).overlaps.len(), 1);
    }

    #[test]
    fn over_limit_goes_to_its_line_then_normal_then_the_largest_above() {
        use Spec::{Above, Below, OverLimit};
        let normal = Spec::Between { low: 1.0, high: 2.0, over_limit: true };
        let cases: &[(&[Spec], Option<usize>)] = &[
            (&[Below(1.0), Above(1.0), OverLimit], Some(2)),
            (&[normal, Below(1.0), Above(2.0)], Some(0)),
            (&[Above(5.0), Above(9.0), Below(5.0)], Some(1)),
            (&[between(1.0, 2.0), Below(1.0)], None),
        ];
        for (specs, want) in cases {
            let layout = lay_out(specs, OHMS);
            assert_eq!(layout.over_limit, *want, "{specs:?}");
            assert_eq!(layout.over_limit_gap, want.is_none());
        }
        assert_eq!(lay_out(&[Above(5.0)], AMPS).over_limit, None);
        assert!(!lay_out(&[Above(5.0)], AMPS).over_limit_gap);
    }

    /// Every number falls on at most one line, and on none exactly where a gap is told: against trying numbers one by one.
    #[test]
    fn each_number_has_one_line_or_is_in_a_gap() {
        let mut seed = 7_u64;
        let mut next = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % n
        };
        for _ in 0..2_000 {
            let specs: Vec<Spec> = (0..=next(4))
                .map(|_| {
                    let a = f64::from(u32::try_from(next(6)).unwrap());
                    match next(3) {
                        0 => Spec::Below(a),
                        1 => Spec::Above(a),
                        _ => between(a, a + f64::from(u32::try_from(next(3)).unwrap())),
                    }
                })
                .collect();
            let layout = lay_out(&specs, AMPS);
            for half in 0..16 {
                let value = f64::from(half) / 2.0;
                let lines = layout.stretches.iter().filter(|s| s.iter().any(|s| s.has(value))).count();
                let gap = layout.gaps.iter().any(|s| s.has(value));
                assert_eq!((lines, gap), if gap { (0, true) } else { (1, false) }, "{value} in {specs:?}");
            }
        }
    }
}
