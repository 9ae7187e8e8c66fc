//! The troubleshooting chart, laid out as a ladder drawing's page: numbered lines between two rails, the ways out at the right rail with
//! the line they lead to.

use super::html::Html;
use super::lines::{Exit, Lines, Part};
use super::sums::sum_words;
use crate::language::syntax::{BlockKind, OutcomeKind};
use crate::playbook::model::{Members, Question};
use crate::playbook::told;

/// What a line that is no test is called.
#[must_use]
pub fn kind_word(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Head | BlockKind::Test => "",
        BlockKind::Repair => "Repair",
        BlockKind::Adjust => "Adjust",
        BlockKind::Escalate => "Hand over",
    }
}

impl Html {
    /// Draws the chart.
    pub fn chart<'a>(&mut self, lines: &'a Lines<'a>) -> &mut Self {
        self.raw("<ol class=\"chart\">\n");
        for (id, test) in lines.playbook.tests() {
            let line = lines.test(id);
            self.raw("<li id=\"line-").text(&line.id).raw("\"><span class=\"no\">").number(line.number);
            self.raw("</span>\n<div class=\"rung\"><a href=\"#step-").text(&line.id).raw("\">").text(line.title);
            self.raw("</a></div>\n");
            if let Question::Sum { sum, words, .. } = &test.question {
                let own = || sum_words(lines.playbook, sum).unwrap_or_else(|| words.clone());
                let words = told::judged(lines.playbook, test).unwrap_or_else(own);
                self.raw("<p class=\"reckon\">").text(&words).raw("</p>\n");
            }
            self.raw("<ul class=\"exits\">\n");
            for exit in lines.exits(id) {
                self.exit(&exit);
            }
            self.raw("</ul>\n</li>\n");
        }
        for (id, end) in lines.playbook.ends() {
            let line = lines.end(id);
            self.raw("<li class=\"end\" id=\"line-").text(&line.id).raw("\"><span class=\"no\">").number(line.number);
            self.raw("</span>\n<div class=\"rung\"><a href=\"#step-").text(&line.id).raw("\"><span>");
            self.raw(kind_word(end.kind)).raw(":</span> ").text(line.title);
            if let Members::That(bank) = end.members {
                self.raw(" (the ").text(&lines.playbook.bank(bank).name).raw(" found)");
            }
            self.raw("</a></div>\n");
            if !end.verify.is_empty() {
                self.raw("<ul class=\"exits\"><li><span>then</span> <span class=\"refs\">");
                self.line_links(end.verify.iter().map(|id| lines.test(*id)), Part::Chart);
                self.raw("</span></li></ul>\n");
            }
            if let Some(who) = &end.to {
                self.raw("<p class=\"call\">call: ").text(who).raw("</p>\n");
            }
            self.raw("</li>\n");
        }
        self.raw("</ol>\n")
    }

    fn exit(&mut self, exit: &Exit<'_>) -> &mut Self {
        self.raw(match exit.kind {
            Some(OutcomeKind::Good) => "<li class=\"good\"><span><b>good</b> ",
            Some(OutcomeKind::If | OutcomeKind::All) | None => "<li><span>",
        });
        self.text(&exit.words).raw("</span> ").line_link(&exit.go, Part::Chart).raw("</li>\n")
    }
}
