//! The guide's table of functions is the table in the program, examples included.

use super::calling::assert_answer;
use ruleout::trade::functions::all;

const GUIDE: &str = include_str!("../../../grammar/guide.md");

/// Every function stands in the guide with its help and its worked example, and nothing else stands there.
#[test]
fn the_guide_names_every_function_with_an_example_that_comes_out() {
    let (_, after) = GUIDE.split_once("| function | gives |\n|---|---|\n").expect("the guide's table of functions");
    let told: Vec<&str> = after.lines().take_while(|line| line.starts_with('|')).collect();
    let want: Vec<String> = all()
        .iter()
        .map(|f| format!("| `{}` | {} `{}` is {}. |", f.usage(), f.line, f.example.call, f.example.answer))
        .collect();
    assert_eq!(told.join("\n"), want.join("\n"));
    for line in told {
        let (_, example) = line.rsplit_once(". `").expect("an example");
        let (call, answer) = example.split_once("` is ").expect("a call and its answer");
        assert_answer(call, answer.strip_suffix(". |").expect("the end of the line"));
    }
}
