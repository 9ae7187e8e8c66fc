//! A sum in words: "lowest of e1 and e2", "shown − found".

use crate::language::syntax::Op;
use crate::playbook::model::{Playbook, Sum};
use crate::text::english::list;

/// The sum in words. `None` where it holds a number: the author's own line says it in the author's own unit.
#[must_use]
pub fn sum_words(playbook: &Playbook, sum: &Sum) -> Option<String> {
    Some(match sum {
        Sum::Number(_) => return None,
        Sum::Slot(slot) => playbook.slot(*slot).name.clone()?,
        Sum::Word(word) => word.clone(),
        Sum::Call(name, arguments) => {
            let told = arguments.iter().map(|argument| sum_words(playbook, argument)).collect::<Option<Vec<_>>>()?;
            format!("{} of {}", name.name.replace('-', " "), list(&told, "and"))
        }
        Sum::Pair(op, left, right) => {
            let sign = match op {
                Op::Add => '+',
                Op::Subtract => '−',
                Op::Multiply => '×',
                Op::Divide => '÷',
            };
            format!("{} {sign} {}", bracketed(playbook, left)?, bracketed(playbook, right)?)
        }
        Sum::Minus(inner) => format!("−{}", bracketed(playbook, inner)?),
    })
}

fn bracketed(playbook: &Playbook, sum: &Sum) -> Option<String> {
    let words = sum_words(playbook, sum)?;
    Some(match sum {
        Sum::Number(_) | Sum::Slot(_) | Sum::Word(_) => words,
        Sum::Call(..) | Sum::Pair(..) | Sum::Minus(_) => format!("({words})"),
    })
}
