//! Whether a lifter competes, as lifters say it in chat and beside a set.

use super::words_catalog;
use crate::reading::{Hints, read};
use crate::report::Competes;

fn competes(text: &str) -> Option<Competes> {
    read(text, words_catalog(), Hints::default())
        .fields
        .competes
}

#[track_caller]
fn all(texts: &[&str], wanted: Option<Competes>) {
    let wrong: Vec<_> = texts
        .iter()
        .map(|text| (*text, competes(text)))
        .filter(|(_, found)| *found != wanted)
        .collect();
    assert!(wrong.is_empty(), "wanted {wanted:?}: {wrong:#?}");
}

#[test]
fn who_competes_says_so() {
    all(
        &[
            "i do compete",
            "I compete",
            "yes I compete",
            "I compete in the 83 kg class",
            "I still compete",
            "I've competed twice",
            "actually I do compete these days",
            "I'm competing again",
            "squat 140 kg x 3, I compete",
            "I competed last year",
        ],
        Some(Competes::Yes),
    );
}

#[test]
fn who_does_not_or_no_longer_says_so() {
    all(
        &[
            "I don't compete anymore",
            "i dont compete",
            "I do not compete",
            "no plans to compete",
            "I have no plans to compete",
            "I'm not planning to compete",
            "I don't plan on competing",
            "I stopped competing",
            "I no longer compete",
            "I quit competing two years ago",
            "retired from competing",
            "I used to compete",
            "I've never competed",
            "I won't compete this year",
            "I am not going to compete",
            "not a competitor",
            "I do not do meets",
            "done with meets",
            "no meets for me",
            "no meet planned",
        ],
        Some(Competes::No),
    );
}

#[test]
fn a_meet_ahead_is_a_plan() {
    all(
        &[
            "planning my first meet",
            "i am planning my first meet in march",
            "I'm planning a meet",
            "signed up for my first meet",
            "signed up for a comp in june",
            "I want to compete next year",
            "going to compete in june",
            "I have a meet in 6 weeks",
            "training for my first comp",
            "I've never competed but I'm planning my first meet",
            "I used to compete, and now I plan to compete again",
            "squat 140 kg x 3 @8, meet in 8 weeks",
        ],
        Some(Competes::Planned),
    );
}

#[test]
fn what_says_nothing_of_it_is_left_alone() {
    all(
        &[
            "my coach competes",
            "my friend wants to compete",
            "do you compete?",
            "lets meet in the gym",
            "nice to meet you",
            "can we meet on friday",
            "thinking about competing",
            "should I compete?",
            "squat 140 kg x 3 @8, competition stance",
            "I train with a competitive spirit",
        ],
        None,
    );
}
