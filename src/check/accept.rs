//! `accept CODE: REASON`: a warning silenced where it stands, with the reason written down.

use crate::language::syntax::{Block, Playbook, Says, Word};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;

/// An `accept` for a code there is none of, or for an error.
pub static CANNOT_ACCEPT: Rule = Rule {
    code: "cannot-accept",
    level: Level::Error,
    says: "`accept` names the code of a warning.",
    why: "An error is a hole in the playbook; no reason closes it.",
    wrong: "accept  gap-in-limits: nobody will read 4 A",
    mended: "if  3 to 5 A  go to coil",
};

/// An `accept` with nothing to silence.
pub static ACCEPTS_NOTHING: Rule = Rule {
    code: "accepts-nothing",
    level: Level::Warning,
    says: "An `accept` line silences a warning that is there.",
    why: "One left behind would hide the next one that comes.",
    wrong: "accept  long-sentence: the maker's own words        (no long sentence here)",
    mended: "(the line taken out)",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&CANNOT_ACCEPT, &ACCEPTS_NOTHING];

struct Accept<'a> {
    code: &'a Word,
    line: Span,
    /// The block it stands in; `None` in the head, where it goes for the whole playbook.
    block: Option<Span>,
    used: bool,
}

impl Accept<'_> {
    fn takes(&self, problem: &Problem) -> bool {
        let at = problem.place.span;
        let inside = self.block.is_none_or(|block| block.start <= at.start && at.end <= block.end);
        inside && self.code.as_str() == problem.rule.code
    }
}

/// Takes out the warnings that are accepted, and tells of `accept` lines that are wrong or idle. What the shakedown tells comes
/// later; lines for it are left alone.
pub(super) fn silence(tree: &Playbook, problems: Vec<Problem>) -> Vec<Problem> {
    let (mut kept, accepts) = taken_out(tree, problems);
    if accepts.is_empty() {
        return kept;
    }
    let rules = crate::check::all_rules();
    for accept in accepts.iter().filter(|accept| !is_shaken(accept)) {
        let known = rules.iter().find(|rule| rule.code == accept.code.as_str());
        let problem = match known {
            Some(rule) if rule.level == Level::Error => {
                let message = format!("`{}` is an error, and no reason makes it right.", accept.code.as_str());
                Problem::new(&CANNOT_ACCEPT, tree.place(accept.code.span), message)
            }
            Some(_) if accept.used => continue,
            Some(_) => idle(tree, accept),
            None => {
                let warnings = rules.iter().filter(|rule| rule.level == Level::Warning).map(|rule| rule.code);
                let near = nearest(accept.code.as_str(), warnings);
                let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
                let message = format!("No warning has the code `{}`.{hint}", accept.code.as_str());
                Problem::new(&CANNOT_ACCEPT, tree.place(accept.code.span), message)
            }
        };
        kept.push(problem);
    }
    kept
}

/// The same for what the shakedown told.
pub(super) fn silence_shaken(tree: &Playbook, problems: Vec<Problem>) -> Vec<Problem> {
    let (mut kept, accepts) = taken_out(tree, problems);
    kept.extend(accepts.iter().filter(|accept| is_shaken(accept) && !accept.used).map(|accept| idle(tree, accept)));
    kept
}

fn is_shaken(accept: &Accept<'_>) -> bool {
    crate::check::shaken::RULES.iter().any(|rule| rule.code == accept.code.as_str())
}

fn idle(tree: &Playbook, accept: &Accept<'_>) -> Problem {
    let message = format!("There is no `{}` here to accept.", accept.code.as_str());
    Problem::new(&ACCEPTS_NOTHING, tree.place(accept.line), message)
}

/// What is not accepted, and the `accept` lines with whether each was used.
fn taken_out(tree: &Playbook, problems: Vec<Problem>) -> (Vec<Problem>, Vec<Accept<'_>>) {
    let mut accepts: Vec<Accept<'_>> = accepts_of(&tree.head, None)
        .chain(tree.blocks.iter().flat_map(|block| accepts_of(block, Some(extent(block)))))
        .collect();
    let mut kept = Vec::with_capacity(problems.len());
    for problem in problems {
        let here = problem.place.source.path() == tree.source.path();
        let mut accepted = false;
        for accept in accepts.iter_mut().filter(|accept| here && !problem.is_error() && accept.takes(&problem)) {
            accept.used = true;
            accepted = true;
        }
        if !accepted {
            kept.push(problem);
        }
    }
    (kept, accepts)
}

fn accepts_of(block: &Block, extent: Option<Span>) -> impl Iterator<Item = Accept<'_>> {
    block.lines.iter().filter_map(move |line| match &line.says {
        Says::Accept { code, .. } => Some(Accept { code, line: line.span, block: extent, used: false }),
        _ => None,
    })
}

/// From the heading to the last line.
fn extent(block: &Block) -> Span {
    block.lines.iter().fold(block.span, |span, line| span.to(line.span))
}
