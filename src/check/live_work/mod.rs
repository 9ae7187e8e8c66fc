//! Live work has its signal word, and above the first hand on the machine.

mod hazards;

use super::Subject;
use super::power::wants_dead;
use super::standings::Standings;
use crate::language::syntax::{Block, BlockKind, Signal};
use crate::playbook::model::{EndId, Step, Test, TestId};
use crate::sheet::states::{Stand, StateId};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;

/// Live work nobody is warned of.
pub static LIVE_WITHOUT_WARNING: Rule = Rule {
    code: "live-without-warning",
    level: Level::Error,
    says: "Work with the power live and the covers off, and every adjust with the power live, has a `danger` or `warning` above its first `do`, `wait`, `measure` or `ask`.",
    why: "What stands up there is shown before the power comes on and the covers come off. Below, it is read with the hands inside.",
    wrong: "with     power live, covers off\nmeasure  V AC from L1 to L2",
    mended: "with     power live, covers off\ndanger   208 V live parts behind this cover will kill: keep hands out, touch only with the probes.\nmeasure  V AC from L1 to L2",
};

/// A signal word that comes too late.
pub static SIGNAL_TOO_LATE: Rule = Rule {
    code: "signal-too-late",
    level: Level::Warning,
    says: "A signal word stands above the step it is about; a `danger` or `warning` of live work above the first step.",
    why: "Read after the work it is too late (MIL-STD-2106A, Appendix B). Of live work it is shown before the power comes on and the covers come off.",
    wrong: "do       Pull the rod.\ncaution  The rod burns: wear gloves.",
    mended: "caution  The rod burns: wear gloves.\ndo       Pull the rod.",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&LIVE_WITHOUT_WARNING, &SIGNAL_TOO_LATE];

/// A block in which somebody works: a test, a repair or an adjust.
struct Work<'a> {
    block: &'a Block,
    with: &'a [Stand],
    with_span: Span,
    steps: &'a [Step],
    name: &'a str,
}

/// Why a block needs a danger or a warning.
enum Live {
    /// Its own `with` says so.
    Named,
    /// It can stand so on a road; the block before it, if there is one.
    Left(Option<String>),
}

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let mut standings = Standings::of(subject);
    for ((block, test), (id, _)) in subject.tests().zip(playbook.tests()) {
        let work = Work { block, with: &test.with, with_span: test.with_span, steps: &test.steps, name: &test.name };
        // Where the power has to be named, or locked out, that is told, and no danger stands for it.
        let live =
            if power_is_told(subject, test) { None } else { live(subject, &work, || standings.live_at_test(id)) };
        tell(subject, &work, live, problems);
    }
    for ((block, end), (id, _)) in subject.ends().zip(playbook.ends()) {
        if end.kind != BlockKind::Escalate {
            let work = Work { block, with: &end.with, with_span: end.with_span, steps: &end.steps, name: &end.name };
            // A repair that is not locked out is told as such, and no danger makes it right.
            let live = match end.kind {
                BlockKind::Adjust => live(subject, &work, || standings.live_at_end(id)),
                _ => None,
            };
            tell(subject, &work, live, problems);
        }
    }
}

/// Whether [`super::power`] says that the power is not named, or live where ohms are measured.
fn power_is_told(subject: Subject<'_>, test: &Test) -> bool {
    let needs = subject.playbook.states.with_needs(&test.with);
    let covers_off = needs.iter().any(|stand| stand.state == StateId::COVERS && !stand.is_home());
    let measures = test.measures();
    match needs.iter().find(|stand| stand.state == StateId::POWER) {
        None => covers_off || !measures.is_empty(),
        Some(_) => !measures.is_empty() && measures.iter().all(wants_dead),
    }
}

fn live(subject: Subject<'_>, work: &Work<'_>, on_a_road: impl FnOnce() -> Option<Option<String>>) -> Option<Live> {
    let needs = subject.playbook.states.with_needs(work.with);
    let power = needs.iter().find(|stand| stand.state == StateId::POWER);
    let covers = needs.iter().find(|stand| stand.state == StateId::COVERS);
    let adjust = work.block.kind == BlockKind::Adjust;
    match (power, covers) {
        (Some(power), _) if *power == Stand::LOCKED_OUT => None,
        (Some(_), _) if adjust => Some(Live::Named),
        (_, Some(covers)) if covers.is_home() && !adjust => None,
        (Some(_), Some(_)) => Some(Live::Named),
        _ => on_a_road().map(Live::Left),
    }
}

fn tell(subject: Subject<'_>, work: &Work<'_>, live: Option<Live>, problems: &mut Vec<Problem>) {
    let place = |span| subject.playbook.place(span);
    let first = work.steps.iter().position(is_action).unwrap_or(work.steps.len());
    let last = work.steps.iter().rposition(is_action);
    let strong = |step: &Step| matches!(step, Step::Signal(Signal::Danger | Signal::Warning, ..));
    let warned = work.steps.iter().take(first).any(strong);
    let too_late = work.steps.iter().skip(first).find(|step| strong(step));
    if let Some(live) = &live
        && !warned
    {
        let name = work.name;
        let adjust = work.block.kind == BlockKind::Adjust;
        let is = match (live, adjust) {
            (Live::Named, false) => format!("`{name}` is live work"),
            (Live::Named, true) => format!("`{name}` is done with the power live"),
            (Live::Left(from), _) => {
                let from = from.as_ref().map_or("another playbook".to_owned(), |from| format!("`{from}`"));
                let so = if adjust { "the power is still live" } else { "the power is live and the covers are off" };
                format!("Coming from {from} to `{name}`, {so}")
            }
        };
        let problem = match too_late {
            Some(step) => {
                let message = format!("{is}, and the danger or warning stands below the first step.");
                Problem::new(&LIVE_WITHOUT_WARNING, place(step.span()), message).instead(moved(
                    subject,
                    step,
                    work,
                    Some(first),
                ))
            }
            None => {
                let message = format!("{is}, and there is no danger or warning.");
                let problem = Problem::new(&LIVE_WITHOUT_WARNING, place(work.with_span), message);
                match (live, adjust) {
                    (Live::Left(_), false) => subject.with_instead(problem, work.block, "covers on"),
                    _ => problem.and_below(&hazards::warnings(subject.playbook, work).join("\n")),
                }
            }
        };
        problems.push(problem);
        return;
    }
    for (at, step) in work.steps.iter().enumerate().skip(first) {
        let Step::Signal(signal, ..) = step else { continue };
        let nothing_below = last.is_some_and(|last| at > last);
        if nothing_below || (live.is_some() && strong(step)) {
            let how =
                if nothing_below { "stands below the last step" } else { "stands below the first step of live work" };
            let message = format!("This `{}` {how}, where it is read too late.", signal.word());
            let problem = Problem::new(&SIGNAL_TOO_LATE, place(step.span()), message);
            problems.push(problem.instead(moved(subject, step, work, if nothing_below { last } else { Some(first) })));
        }
    }
}

/// The signal word above the step it belongs above.
fn moved(subject: Subject<'_>, signal: &Step, work: &Work<'_>, above: Option<usize>) -> String {
    let words = |step: &Step| subject.playbook.source.slice(step.span()).to_owned();
    match above.and_then(|at| work.steps.get(at)) {
        Some(action) => format!("{}\n{}", words(signal), words(action)),
        None => words(signal),
    }
}

fn is_action(step: &Step) -> bool {
    matches!(step, Step::Do(..) | Step::Wait { .. } | Step::Measure(..) | Step::Ask(_))
}

impl Standings<'_> {
    /// Whether a road leads here with the power live and the covers off, and the block it comes from.
    fn live_at_test(&mut self, id: TestId) -> Option<Option<String>> {
        self.comes_to_test(id, |states, standing| states.is_live_work(standing))
    }

    /// The same for an adjust, where the power alone counts.
    fn live_at_end(&mut self, id: EndId) -> Option<Option<String>> {
        self.comes_to_end(id, |_, standing| standing.holds(Stand::LIVE))
    }
}
