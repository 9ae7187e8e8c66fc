//! Every walk ends: (repairs × members + 1) × (tests + owed tests) answers at most.

use super::library;
use ruleout::engine::{Answer, At, BookId, Library, State, Taken, most_answers, start, step};
use ruleout::language::syntax::Side;
use ruleout::playbook::model::Scale;
use ruleout::trade::reading::Reading;

/// Answers drawn blindly but always the same ones: a linear congruential sequence (Knuth, MMIX constants, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % n
    }
}

/// Something this state takes, mostly readings near the limits.
fn anything(library: &Library, state: &State, dice: &mut Dice) -> Answer {
    let At::Test(visit) = &state.at else {
        return if dice.roll(20) == 0 { Answer::Cannot } else { Answer::Done };
    };
    if dice.roll(30) == 0 {
        return Answer::Cannot;
    }
    let test = library.book(state.book()).test(visit.test);
    let near = [0.2, 0.9, 1.5, 10.0, 12.0, 20.0, 22.0, 30.0, 120.0, 160.0, 300.0, 420.0, 500.0];
    let read: Vec<Reading> = test.measures().iter().map(|_| Reading::Value(near[dice.roll(near.len())])).collect();
    match test.scale {
        Scale::Answers => Answer::Said(read, dice.roll(test.branches.len())),
        Scale::Numbers(_) => Answer::Read(vec![Taken::sure(read)]),
        Scale::Judged(_) => Answer::Judged(read, [Side::Below, Side::Within, Side::Above][dice.roll(3)]),
    }
}

#[test]
fn every_walk_ends_within_the_bound() {
    for names in [&["tank-cold", "breaker-trips"][..], &["zone-cold"], &["motor-hums"]] {
        let library = library(names);
        let most = most_answers(&library);
        let (mut longest, mut repairs) = (0, 0);
        for seed in 0..3_000 {
            let mut dice = Dice(seed);
            let mut state = start(&library, BookId(0)).unwrap();
            let mut answers = 0;
            while !state.is_over() {
                while let Ok(next) = step(&library, &state, &Answer::Changed) {
                    state = next.into_iter().next().unwrap().state;
                }
                let answer = anything(&library, &state, &mut dice);
                if let Ok(next) = step(&library, &state, &answer) {
                    state = next.into_iter().next().unwrap().state;
                    answers += 1;
                }
                assert!(answers <= most, "{names:?}, seed {seed}: more than {most} answers");
            }
            longest = longest.max(answers);
            repairs = repairs.max(state.done.len());
        }
        // The walks were no short ones: second faults were met.
        assert!(longest >= 8 && repairs >= 2, "{names:?}: longest {longest}, most repairs {repairs}");
    }
}
