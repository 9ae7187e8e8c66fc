//! A unit is brought up once for all that differs in nothing it hangs on. Here every sheet of ours is brought up afresh, each time
//! by itself, and has to read the same: every reading outside the circuit, and the volts at every point.

use super::slow::Dice;
use super::{here, on_desks, the_shop};
use ruleout::circuit::unit::Bench;
use ruleout::corners::Width;
use ruleout::sheet::standing::Standing;
use ruleout::sheet::states::{Stand, StateId, ValueId};
use ruleout::sheet::unit::model::{FaultId, PointId, ReadingId};

#[test]
fn what_is_shared_reads_as_if_it_were_not() {
    let shop = the_shop();
    let mut dice = Dice::new(7);
    let mut compared = 0;
    for entry in walkdir::WalkDir::new(here("playbooks/units")).sort_by_file_name().into_iter().map(Result::unwrap) {
        if entry.path().extension().is_none_or(|ending| ending != "yaml") {
            continue;
        }
        let desks = on_desks(&std::fs::read_to_string(entry.path()).unwrap(), &shop);
        let wired = desks.wired();
        let unit = &wired.unit;
        let faults: Vec<FaultId> = unit.faults().map(|(id, _)| id).collect();
        let mut desk = desks.take();
        let corners = desk.corners(Width::All, &faults);
        for _ in 0..150 {
            let corner = *dice.of(&corners);
            let mut set: Vec<FaultId> = (0..dice.below(3)).map(|_| *dice.of(&faults)).collect();
            set.sort_unstable();
            set.dedup();
            let mut standing = Standing::home(&unit.states);
            for at in 0..unit.states.len() {
                let state = StateId(u16::try_from(at).unwrap());
                let values = unit.states.get(state).unwrap().values.len();
                if dice.below(2) == 0 {
                    standing.set(Stand { state, value: ValueId(u16::try_from(dice.below(values)).unwrap()) });
                }
            }
            let what = format!("{} with {set:?} at {:?}, {standing:?}", unit.name, desk.corner(corner));
            let afresh = Bench::new(wired, desk.corner(corner).clone()).stand(&standing, &set).unwrap();
            let shared = desk.stood(corner, &standing, &set).unwrap();
            for at in 0..unit.points.len() {
                let point = PointId(u16::try_from(at).unwrap());
                let (one, two) = (afresh.volts_at(point), shared.volts_at(point));
                assert!(
                    (one - two).abs() <= 1e-9 * one.abs().max(1.0),
                    "{what}: {one} and {two} V at {}",
                    unit.point_name(point)
                );
            }
            for at in 0..unit.readings.len() {
                let id = ReadingId(u16::try_from(at).unwrap());
                let name = &unit.reading_of(id).name;
                assert_eq!(afresh.reading(id), shared.reading(id), "{what}: {name}");
                // And of all that only what the reading hangs on.
                let depends = desk.depends(&[], Some(id));
                let counts = depends.of_faults(&set);
                let alike = desk.alike(corner, &depends, &counts);
                let less = desk.stood(alike, &depends.of_standing(&standing, &unit.states), &counts).unwrap();
                assert_eq!(afresh.reading(id), less.reading(id), "{what}: {name}, with {counts:?} alone");
                compared += 1;
            }
        }
    }
    assert!(compared > 5_000, "{compared}");
}
