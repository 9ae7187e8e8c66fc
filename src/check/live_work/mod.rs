//! Live work has its danger of live parts, and above the first hand on the machine.

pub(super) mod hazards;

use super::Subject;
use super::power::wants_dead;
use super::standings::Standings;
use crate::language::syntax::{Block, BlockKind, Probes, Signal};
use crate::playbook::hazard::Hazard;
use crate::playbook::model::{EndId, Measure, Step, Test, TestId};
use crate::sheet::states::{Stand, StateId};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::dimension::Dimension;

/// Live work with no danger of live parts.
pub static LIVE_WITHOUT_WARNING: Rule = Rule {
    code: "live-without-warning",
    level: Level::Error,
    says: "Work with the power live and the covers off, or with the leads on live parts, has a `danger` that speaks of the live parts above its first `do`, `wait`, `measure` or `ask`. Any other adjust with the power live has a `danger` or `warning`.",
    why: "What stands up there is shown before the power comes on and the covers come off. Below, it is read with the hands inside; and a word about the fan warns nobody of the live parts beside it.",
    wrong: "with     power live, covers off\nwarning  The fan starts by itself: keep hands out of it.\nmeasure  V AC from L1 to L2",
    mended: "with     power live, covers off\ndanger   208 V live parts behind this cover will kill: keep hands out, touch only with the probes.\nwarning  The fan starts by itself: keep hands out of it.\nmeasure  V AC from L1 to L2",
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

/// Why a block needs a signal word, and of what.
struct Live {
    why: Why,
    wants: Wants,
}

enum Why {
    /// Its own `with` says so.
    Named,
    /// It puts the leads on live parts, with the covers on.
    Leads,
    /// It can stand so on a road; the block before it, if there is one.
    Left(Option<String>),
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Wants {
    /// A danger that speaks of the live parts.
    Danger,
    /// A danger or a warning, of whatever it is.
    Any,
}

impl Wants {
    fn is_met_by(self, step: &Step) -> bool {
        match (self, step) {
            (Self::Danger, Step::Signal(Signal::Danger, text, _)) => Hazard::LiveParts.is_spoken_of(text),
            (Self::Any, step) => is_strong(step),
            _ => false,
        }
    }
}

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let mut standings = Standings::of(subject);
    for ((block, test), (id, _)) in subject.tests().zip(playbook.tests()) {
        let work = Work { block, with: &test.with, with_span: test.with_span, steps: &test.steps, name: &test.name };
        // Where the power has to be named, or locked out, that is told, and no danger stands for it.
        let live = if power_is_told(subject, test) {
            None
        } else {
            live_test(subject, &work, test, || standings.live_at_test(id))
        };
        tell(subject, &work, live, problems);
    }
    for ((block, end), (id, _)) in subject.ends().zip(playbook.ends()) {
        if end.kind != BlockKind::Escalate {
            let work = Work { block, with: &end.with, with_span: end.with_span, steps: &end.steps, name: &end.name };
            // A repair that is not locked out is told as such, and no danger makes it right.
            let live = match end.kind {
                BlockKind::Adjust => live_adjust(subject, &work, id, &mut standings),
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

fn live_test(
    subject: Subject<'_>,
    work: &Work<'_>,
    test: &Test,
    on_a_road: impl FnOnce() -> Option<Option<String>>,
) -> Option<Live> {
    let needs = subject.playbook.states.with_needs(work.with);
    let power = needs.iter().find(|stand| stand.state == StateId::POWER);
    let covers = needs.iter().find(|stand| stand.state == StateId::COVERS);
    // A clamp goes round a wire; probes go on bare metal.
    let probes = |measure: &Measure| {
        matches!(measure.probes, Probes::Across(_) | Probes::Between(..))
            && measure.unit.dimension() == Dimension::VOLTS
    };
    let leads = || (power.is_some() && test.measures().iter().any(probes)).then_some(Why::Leads);
    let why = match (power, covers) {
        (Some(power), _) if *power == Stand::LOCKED_OUT => None,
        (_, Some(covers)) if covers.is_home() => leads(),
        (Some(_), Some(_)) => Some(Why::Named),
        _ => on_a_road().map(Why::Left).or_else(leads),
    };
    why.map(|why| Live { why, wants: Wants::Danger })
}

fn live_adjust(subject: Subject<'_>, work: &Work<'_>, id: EndId, standings: &mut Standings<'_>) -> Option<Live> {
    let needs = subject.playbook.states.with_needs(work.with);
    let power = needs.iter().find(|stand| stand.state == StateId::POWER);
    let covers = needs.iter().find(|stand| stand.state == StateId::COVERS);
    let any = |why| Live { why, wants: Wants::Any };
    let danger = |why| Live { why, wants: Wants::Danger };
    match (power, covers) {
        (Some(power), _) if *power == Stand::LOCKED_OUT => None,
        (Some(_), Some(covers)) if covers.is_home() => Some(any(Why::Named)),
        (Some(_), Some(_)) => Some(danger(Why::Named)),
        (Some(_), None) => {
            let open = standings.live_work_at_end(id).map(|from| danger(Why::Left(from)));
            Some(open.unwrap_or_else(|| any(Why::Named)))
        }
        (None, Some(covers)) if covers.is_home() => standings.live_at_end(id).map(|from| any(Why::Left(from))),
        (None, _) => standings
            .live_work_at_end(id)
            .map(|from| danger(Why::Left(from)))
            .or_else(|| standings.live_at_end(id).map(|from| any(Why::Left(from)))),
    }
}

fn tell(subject: Subject<'_>, work: &Work<'_>, live: Option<Live>, problems: &mut Vec<Problem>) {
    let first = work.steps.iter().position(is_action).unwrap_or(work.steps.len());
    let last = work.steps.iter().rposition(is_action);
    if let Some(live) = &live
        && !work.steps.iter().take(first).any(|step| live.wants.is_met_by(step))
    {
        problems.push(without_warning(subject, work, live, first));
        return;
    }
    for (at, step) in work.steps.iter().enumerate().skip(first) {
        let Step::Signal(signal, ..) = step else { continue };
        let nothing_below = last.is_some_and(|last| at > last);
        if nothing_below || (live.is_some() && is_strong(step)) {
            let how =
                if nothing_below { "stands below the last step" } else { "stands below the first step of live work" };
            let message = format!("This `{}` {how}, where it is read too late.", signal.word());
            let problem = Problem::new(&SIGNAL_TOO_LATE, subject.playbook.place(step.span()), message);
            problems.push(problem.instead(moved(subject, step, work, if nothing_below { last } else { Some(first) })));
        }
    }
}

fn without_warning(subject: Subject<'_>, work: &Work<'_>, live: &Live, first: usize) -> Problem {
    let place = |span| subject.playbook.place(span);
    let name = work.name;
    let adjust = work.block.kind == BlockKind::Adjust;
    let open = live.wants == Wants::Danger;
    let is = match (&live.why, adjust && !open) {
        (Why::Named, false) => format!("`{name}` is live work"),
        (Why::Named, true) => format!("`{name}` is done with the power live"),
        (Why::Leads, _) => format!("`{name}` puts the leads on live parts"),
        (Why::Left(from), closed) => {
            let from = from.as_ref().map_or("another playbook".to_owned(), |from| format!("`{from}`"));
            let so = if closed { "the power is still live" } else { "the power is live and the covers are off" };
            format!("Coming from {from} to `{name}`, {so}")
        }
    };
    let what = if open { "the danger of live parts" } else { "the danger or warning" };
    if let Some(step) = work.steps.iter().skip(first).find(|step| live.wants.is_met_by(step)) {
        let message = format!("{is}, and {what} stands below the first step.");
        let problem = Problem::new(&LIVE_WITHOUT_WARNING, place(step.span()), message);
        return problem.instead(moved(subject, step, work, Some(first)));
    }
    // Live parts kill: a lower word for them is mended where it stands.
    let lower = work.steps.iter().take(first).find_map(|step| match step {
        Step::Signal(signal, text, span) if open && Hazard::LiveParts.is_spoken_of(text) => {
            Some((*signal, text, *span))
        }
        _ => None,
    });
    if let Some((signal, text, span)) = lower {
        let message = format!("{is}, and speaks of the live parts in a `{}`: they kill.", signal.word());
        return Problem::new(&LIVE_WITHOUT_WARNING, place(span), message).instead(format!("danger  {text}"));
    }
    let said = work.steps.iter().take(first).any(is_strong);
    let message = match (open, said) {
        (true, true) => format!("{is}, and no `danger` above its first step speaks of the live parts."),
        (true, false) => format!("{is}, and there is no `danger` of live parts."),
        (false, _) => format!("{is}, and there is no danger or warning."),
    };
    let problem = Problem::new(&LIVE_WITHOUT_WARNING, place(work.with_span), message);
    match (&live.why, adjust) {
        (Why::Left(_), false) => subject.with_instead(problem, work.block, "covers on"),
        (Why::Leads, _) => problem.and_below(hazards::LIVE),
        _ if said => problem.and_below(hazards::live(subject.playbook, work)),
        _ => problem.and_below(&hazards::warnings(subject.playbook, work).join("\n")),
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

fn is_strong(step: &Step) -> bool {
    matches!(step, Step::Signal(Signal::Danger | Signal::Warning, ..))
}

fn is_action(step: &Step) -> bool {
    matches!(step, Step::Do(..) | Step::Wait { .. } | Step::Measure(..) | Step::Ask(_))
}

impl Standings<'_> {
    /// Whether a road leads here with the power live and the covers off, and the block it comes from.
    fn live_at_test(&mut self, id: TestId) -> Option<Option<String>> {
        self.comes_to_test(id, |states, standing| states.is_live_work(standing))
    }

    /// The same for an adjust.
    fn live_work_at_end(&mut self, id: EndId) -> Option<Option<String>> {
        self.comes_to_end(id, |states, standing| states.is_live_work(standing))
    }

    /// The same for an adjust, the power alone.
    fn live_at_end(&mut self, id: EndId) -> Option<Option<String>> {
        self.comes_to_end(id, |_, standing| standing.holds(Stand::LIVE))
    }
}
