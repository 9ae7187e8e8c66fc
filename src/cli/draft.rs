//! `ruleout draft`: a sheet to start from, printed; put it where it belongs with `>`.

use super::exit::{Exit, say, stop};
use crate::sheet::unit::draft::{Wanted, draft, one_of_each};
use crate::sheet::unit::group::Group;
use crate::text::english::{list, nearest, ticked};

/// Options of `draft`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The name of the unit: booster-208
    #[arg(long, value_name = "NAME")]
    unit: String,
    /// A part the unit has, as GROUP:NAME, or GROUP:BANK.NAME for one of a bank; may be given often. Without it, one of
    /// each group
    #[arg(long = "part", value_name = "GROUP:NAME")]
    parts: Vec<String>,
}

pub(super) fn run(args: &Args) -> Exit {
    if !is_name(&args.unit) {
        return stop(format!(
            "`{}` is not one word of small letters, digits and hyphens, as the name of a unit is.",
            args.unit
        ));
    }
    let parts = match args.parts.iter().map(|part| wanted(part)).collect::<Result<Vec<_>, _>>() {
        Ok(parts) if parts.is_empty() => one_of_each(),
        Ok(parts) => parts,
        Err(reason) => return stop(reason),
    };
    say(&draft(&args.unit, &parts));
    Exit::Clean
}

/// `elements:heater-1`
fn wanted(text: &str) -> Result<Wanted, String> {
    let (group, name) =
        text.split_once(':').ok_or_else(|| format!("`{text}` is not GROUP:NAME, as in `elements:heater-1`."))?;
    let words = Group::ALL.map(Group::word);
    let found = Group::find(group).ok_or_else(|| match nearest(group, words) {
        Some(near) => format!("`{group}` is no group of parts. Did you mean `{near}:{name}`?"),
        None => format!("`{group}` is no group of parts. The groups are {}.", list(&ticked(&words), "and")),
    })?;
    // `deck.element`: one of a bank.
    let words: Vec<&str> = name.split('.').collect();
    let good = |word: &&str| is_name(word) && word.starts_with(|c: char| c.is_ascii_lowercase());
    if words.len() > 2 || !words.iter().all(good) {
        return Err(format!(
            "`{name}` is not one word of small letters, digits and hyphens, as the name of a part is."
        ));
    }
    Ok(Wanted { group: found, name: name.to_owned() })
}

fn is_name(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}
