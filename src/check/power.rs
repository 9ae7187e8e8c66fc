//! The power stands as the meter needs it: named, dead for ohms, and the covers off where the probes go inside.

use super::Subject;
use crate::language::syntax::{Block, Probes, Says};
use crate::playbook::model::{Measure, Test};
use crate::sheet::states::{Stand, StateId};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;

/// A test that leaves the power open.
pub static POWER_NOT_NAMED: Rule = Rule {
    code: "power-not-named",
    level: Level::Error,
    says: "A test that measures, or has covers off, says in `with` whether the power is live or locked out.",
    why: "Otherwise the power stays as the step before left it: the reading depends on the road, and so does the danger.",
    wrong: "test load-volts: Volts on the load side\n  with     covers off\n  measure  V AC from T1 to T2",
    mended: "test load-volts: Volts on the load side\n  with     power live, covers off\n  measure  V AC from T1 to T2",
};

/// The ohms function on a live machine.
pub static OHMS_ON_LIVE: Rule = Rule {
    code: "ohms-on-live",
    level: Level::Error,
    says: "Ohms and microfarads, and a part by itself, are measured with the power locked out.",
    why: "The meter drives its own small current: on a live part it reads nonsense, blows its fuse, or blows up in the hand.",
    wrong: "with     power live, covers off\nmeasure  ohm of element",
    mended: "with     power locked-out, covers off\nmeasure  ohm of element",
};

/// Probes in the circuit behind covers that are on.
pub static PROBES_BEHIND_COVERS: Rule = Rule {
    code: "probes-behind-covers",
    level: Level::Warning,
    says: "A test that puts the meter on a part or between two points says that the covers are off.",
    why: "Covers come off with the power locked out. A test that does not ask for it sends the technician to find out alone.",
    wrong: "with     power live, covers on\nmeasure  V AC across fan",
    mended: "with     power live, covers off\ndanger   Live parts behind the cover: keep hands out, touch only with the probes.\nmeasure  V AC across fan",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&POWER_NOT_NAMED, &OHMS_ON_LIVE, &PROBES_BEHIND_COVERS];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    for (block, test) in subject.tests() {
        let needs = playbook.states.with_needs(&test.with);
        let covers_off = needs.iter().any(|stand| stand.state == StateId::COVERS && !stand.is_home());
        let power = needs.iter().find(|stand| stand.state == StateId::POWER);
        match power {
            // A `power` with a value it doesn't have is told as such; a guess at the other value could kill.
            None if says_power(block) => {}
            None if !test.measures().is_empty() || covers_off => {
                problems.push(not_named(subject, block, test, covers_off));
            }
            Some(power) if *power != Stand::LOCKED_OUT => {
                for measure in test.measures().iter().filter(|measure| wants_dead(measure)) {
                    problems.push(ohms_on_live(subject, block, measure));
                }
            }
            _ => {}
        }
        behind_covers(subject, block, test, &needs, problems);
    }
}

/// Whether the `with` line names power, in whatever words.
fn says_power(block: &Block) -> bool {
    block.lines.iter().any(|line| {
        matches!(&line.says, Says::With(settings) if settings.iter().any(|setting| setting.state.as_str() == "power"))
    })
}

/// Whether the meter drives its own current, or a wire is taken off.
pub(super) fn wants_dead(measure: &Measure) -> bool {
    matches!(measure.unit.dimension(), Dimension::OHMS | Dimension::FARADS) || matches!(measure.probes, Probes::Of(_))
}

fn not_named(subject: Subject<'_>, block: &Block, test: &Test, covers_off: bool) -> Problem {
    let does = match (test.measures().is_empty(), covers_off) {
        (false, _) => "measures",
        (true, _) => "has covers off",
    };
    let message = format!("The test `{}` {does}, and does not say whether the power is live or locked out.", test.name);
    let dead = test.measures().is_empty() || test.measures().iter().any(wants_dead);
    let problem = Problem::new(&POWER_NOT_NAMED, subject.playbook.place(test.with_span), message);
    subject.with_instead(problem, block, if dead { "power locked-out" } else { "power live" })
}

fn ohms_on_live(subject: Subject<'_>, block: &Block, measure: &Measure) -> Problem {
    let unit = measure.unit.spoken();
    let message = if wants_dead(measure) && matches!(measure.unit.dimension(), Dimension::OHMS | Dimension::FARADS) {
        format!("{} are measured `{}` with the power live.", capital(unit), measure.at)
    } else {
        format!("`{}` takes a wire off with the power live.", measure.at)
    };
    let words = subject.playbook.source.slice(measure.span);
    Problem::new(&OHMS_ON_LIVE, subject.playbook.place(measure.span), message)
        .instead(format!("{}\n{words}", subject.with_line(block, "power locked-out")))
}

fn behind_covers(subject: Subject<'_>, block: &Block, test: &Test, needs: &[Stand], problems: &mut Vec<Problem>) {
    let covers = needs.iter().find(|stand| stand.state == StateId::COVERS);
    let live = !needs.contains(&Stand::LOCKED_OUT);
    let inside = |measure: &&Measure| match (&measure.probes, covers) {
        (Probes::At(_), _) => false,
        (_, Some(covers)) => covers.is_home(),
        // With the power locked out two points may lie outside: the receptacle, the pins of the cord.
        (Probes::Between(..), None) => live,
        (Probes::Across(_) | Probes::Through(_) | Probes::Of(_), None) => true,
    };
    let Some(measure) = test.measures().iter().find(inside) else { return };
    let how = if covers.is_some() { "with the covers on" } else { "and does not say that the covers are off" };
    let message = format!("The test `{}` measures `{}` {how}.", test.name, measure.at);
    let problem = Problem::new(&PROBES_BEHIND_COVERS, subject.playbook.place(test.with_span), message);
    problems.push(subject.with_instead(problem, block, "covers off"));
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
