//! What volts a part hangs on when everything between it and the supply is closed.

use super::wired::{current_of, grounding_of};
use crate::circuit::Current;
use crate::circuit::complex::Complex;
use crate::circuit::network::phasors;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Given, Grounded, PointId, Unit};
use crate::trade::unit::Current as Written;

/// Points that contacts, fuses and joints can bring together, and what feeds each lot.
pub(super) struct Ratings {
    root: Vec<usize>,
    feeds: Vec<Feed>,
}

/// One end of something that makes volts.
struct Feed {
    root: usize,
    /// Which supply or transformer.
    source: usize,
    volts: Complex,
    current: Current,
    /// Bonded to ground, so that it has volts against other supplies that are.
    bonded: bool,
}

impl Ratings {
    pub fn of(unit: &Unit) -> Self {
        let mut root: Vec<usize> = (0..unit.points.len()).collect();
        fn find(root: &[usize], mut at: usize) -> usize {
            while let Some(&up) = root.get(at).filter(|up| **up != at) {
                at = up;
            }
            at
        }
        for part in &unit.parts {
            let carries = matches!(part.group, Group::Fuses | Group::Joints) || part.group.switches();
            for pole in part.poles.iter().filter(|pole| carries && part.group.driver() != Some(pole.name.as_str())) {
                let (a, b) = (find(&root, usize::from(pole.from.0)), find(&root, usize::from(pole.to.0)));
                if let Some(up) = root.get_mut(a.max(b)) {
                    *up = a.min(b);
                }
            }
        }
        let mut feeds = Vec::new();
        for (source, supply) in unit.supplies.iter().enumerate() {
            let current = current_of(supply.volts.unit.current());
            let grounding = grounding_of(supply.grounded);
            let volts = phasors(supply.points.len(), supply.volts.nominal, current, grounding).unwrap_or_default();
            let bonded = supply.grounded != Grounded::None;
            for (point, volts) in supply.points.iter().zip(volts) {
                let root = find(&root, usize::from(point.0));
                feeds.push(Feed { root, source, volts, current, bonded });
            }
        }
        for (at, part) in unit.parts.iter().enumerate().filter(|(_, part)| part.group == Group::Transformers) {
            let Some(Given::Amount(volts)) = part.given.get("secondary") else { continue };
            for pole in part.poles.iter().filter(|pole| pole.name == "secondary") {
                for (point, volts) in [(pole.from, volts.value), (pole.to, 0.0)] {
                    let root = find(&root, usize::from(point.0));
                    let source = unit.supplies.len() + at;
                    feeds.push(Feed { root, source, volts: Complex::from(volts), current: Current::Ac, bonded: false });
                }
            }
        }
        for (at, part) in unit.parts.iter().enumerate().filter(|(_, part)| part.group == Group::Outputs) {
            let Some(Given::Amount(volts)) = part.given.get("volts") else { continue };
            let current = if volts.unit.current() == Some(Written::Ac) { Current::Ac } else { Current::Dc };
            for pole in &part.poles {
                for (point, volts) in [(pole.from, volts.value), (pole.to, 0.0)] {
                    let root = find(&root, usize::from(point.0));
                    let source = unit.supplies.len() + at;
                    feeds.push(Feed { root, source, volts: Complex::from(volts), current, bonded: false });
                }
            }
        }
        let ground = find(&root, 0);
        feeds.push(Feed { root: ground, source: usize::MAX, volts: Complex::ZERO, current: Current::Ac, bonded: true });
        let root = (0..root.len()).map(|at| find(&root, at)).collect();
        Self { root, feeds }
    }

    /// The volts across two points, if each is fed from one place and both from one supply.
    pub fn volts_across(&self, from: PointId, to: PointId) -> Option<(f64, Current)> {
        let at = |point: PointId| self.root.get(usize::from(point.0)).copied();
        let (from, to) = (at(from)?, at(to)?);
        let feeds = |root: usize| self.feeds.iter().filter(move |feed| feed.root == root);
        let mut found: Option<(f64, Current)> = None;
        for one in feeds(from) {
            for two in feeds(to) {
                let same = one.source == two.source || (one.bonded && two.bonded);
                let volts = (one.volts - two.volts).abs();
                if !same || volts < 1e-9 {
                    continue;
                }
                let current = if one.source == usize::MAX { two.current } else { one.current };
                match found {
                    Some((before, _)) if (before - volts).abs() > 1e-6 => return None,
                    _ => found = Some((volts, current)),
                }
            }
        }
        found
    }
}
