//! A code a message carries, and its explanation: what `ruleout rule CODE` prints.

/// How much it matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// The playbook is refused.
    Error,
    /// Advice; an `accept CODE: REASON` line silences it.
    Warning,
}

/// One promise with its code. The wording lives beside the check that keeps it.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rule {
    /// The stable code, words joined with hyphens. Never used again for something else.
    pub code: &'static str,
    /// Error or warning.
    pub level: Level,
    /// The rule in one sentence.
    pub says: &'static str,
    /// Why it is a rule, in a sentence or two.
    pub why: &'static str,
    /// A short example that breaks it.
    pub wrong: &'static str,
    /// The same example mended.
    pub mended: &'static str,
}
