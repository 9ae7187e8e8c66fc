//! What the shakedown tells while a playbook is being written: the rules. They are held in the room above, which walks every fault
//! through the playbook; they stand here so that `accept` and `rule` know them.

use crate::text::rule::{Level, Rule};

/// Closed with a fault left.
pub static CALLBACK: Rule = Rule {
    code: "callback",
    level: Level::Warning,
    says: "No call closes while a fault is left that a test of the playbook would feel.",
    why: "The machine fails again the same week, and the trip is on the shop. Tests in `verify` and `finish` are asked before a call closes.",
    wrong: "finish  door-look        (the heater is never looked at again)",
    mended: "finish  door-look, heats-up",
};

/// A good part changed.
pub static WRONG_PART: Rule = Rule {
    code: "wrong-part",
    level: Level::Warning,
    says: "With every single fault, only what is bad is changed.",
    why: "A good part changed costs the part and the trip, and the fault is still there. Put a test in between that tells the two apart.",
    wrong: "if  below 90 V AC  go to replace-cord        (a pulled plug reads the same)",
    mended: "if  below 90 V AC  go to plug-look",
};

/// Handed on by one who does not know why.
pub static STUMPED: Rule = Rule {
    code: "stumped",
    level: Level::Warning,
    says: "Every single fault of the complaint ends in a repair, or in an escalation that names it with `for`.",
    why: "Whoever is called should be told what was found. A fault that comes out as \"everything is in order\" was missed.",
    wrong: "escalate no-cause: No cause found\n  to       lead\n  because  Every reading was good.",
    mended: "escalate supply-wrong: The supply is low\n  for      mains low\n  to       electrician\n  because  The supply is under the rating plate.",
};

/// The same repair twice.
pub static DID_NOT_HOLD: Rule = Rule {
    code: "did-not-hold",
    level: Level::Warning,
    says: "With every single fault, no repair comes up a second time.",
    why: "A line that leads back to the repair just done takes what another fault reads too. It needs a test that tells the two apart.",
    wrong: "if  below 180 °F  go to descale        (a low supply reads the same, clean or not)",
    mended: "if  below 180 °F  go to supply-volts",
};

/// Something done to a good unit.
pub static GOOD_PART_CHANGED: Rule = Rule {
    code: "good-part-changed",
    level: Level::Warning,
    says: "On a good unit nothing is changed and nothing is set, wherever supply, parts and meter stand within their limits.",
    why: "A playbook that repairs a good machine repairs it on every call. Mostly a limit stands too close to what a good unit reads.",
    wrong: "good  205 to 211 V AC  go to amps        (the rating plate allows 187 to 229)",
    mended: "good  normal           go to amps",
};

/// The rules of the shakedown.
pub static RULES: [&Rule; 5] = [&CALLBACK, &WRONG_PART, &STUMPED, &DID_NOT_HOLD, &GOOD_PART_CHANGED];
