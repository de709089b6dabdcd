//! What people write besides sets: that it is known, and that a set of which its lifter swears is a set.
//!
//! Lines invented by one hand, half of them traps, written before any was read. First reading: 153 of 170
//! kinds, 0.900 (0.846 to 0.937), and 151 of 157 traps let alone, 0.962 (0.919 to 0.982). What was missed
//! showed what to widen, so today's figures show that nothing is lost again, not how a line never seen is
//! read. That swearing is let alone is also held against thousands of lines written for other tests.

use super::reach::wilson;
use super::whole_catalog;
use crate::catalog::MannerKind;
use crate::reading::{FlagLevel, Hints, manner, read};
use std::collections::BTreeMap;

/// Kind, tab, text: a kind of [`MannerKind`], `other-lift`, or `none` for a trap.
const LINES: &str = include_str!("manners.tsv");

/// What a line is read as.
fn found(text: &str) -> String {
    if let Some(manner) = manner(text, whole_catalog()) {
        return manner.kind.word().to_owned();
    }
    let reading = read(text, whole_catalog(), Hints::default());
    let other = reading.other_exercise.is_some();
    (if other { "other-lift" } else { "none" }).to_owned()
}

fn rows() -> Vec<(&'static str, &'static str)> {
    LINES
        .lines()
        .map(|row| row.split_once('\t').expect("two columns"))
        .collect()
}

fn share(right: usize, all: usize) -> String {
    let (low, high) = wilson(right, all);
    let share = right as f64 / all as f64;
    format!("{right} of {all}, {share:.3} ({low:.3} to {high:.3})")
}

#[test]
fn what_is_no_set_is_known_and_swearing_at_a_set_is_not_taken_for_it() {
    let mut kinds: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let (mut told, mut known) = (0, 0);
    let (mut traps, mut left) = (0, 0);
    for (kind, text) in rows() {
        let found = found(text);
        let right = found == kind;
        let count = kinds.entry(kind).or_default();
        *count = (count.0 + usize::from(right), count.1 + 1);
        if kind == "none" {
            traps += 1;
            left += usize::from(right);
        } else {
            told += 1;
            known += usize::from(right);
        }
        if !right {
            println!("    {kind} read as {found}: {text}");
        }
    }
    for (kind, (right, all)) in kinds {
        println!("{kind}: {}", share(right, all));
    }
    println!("kinds: {}", share(known, told));
    println!("traps: {}", share(left, traps));
    assert!(told + traps >= 300 && traps * 2 >= told + traps);
    assert!(known >= FLOOR_KNOWN, "{known} of {told}");
    assert!(left >= FLOOR_LEFT, "{left} of {traps}");
}

/// Lines of a kind that must be read as it.
const FLOOR_KNOWN: usize = 167;
/// Traps that must be let alone.
const FLOOR_LEFT: usize = 178;

#[test]
fn a_trap_that_is_a_set_is_read_as_one() {
    let sets = rows().into_iter().filter(|(kind, text)| {
        *kind == "none"
            && ["squat", "bench", "deadlift"]
                .iter()
                .any(|l| text.contains(l))
    });
    let (mut all, mut read_as_set) = (0, 0);
    for (_, text) in sets.filter(|(_, text)| text.contains(" kg x ")) {
        let reading = read(text, whole_catalog(), Hints::default());
        let set = reading.fields.load.is_some() && reading.fields.reps.is_some();
        all += 1;
        read_as_set += usize::from(set && reading.level < FlagLevel::Clinician);
        if !set {
            println!("    no set: {text}");
        }
    }
    println!("traps read as sets: {}", share(read_as_set, all));
    assert!(
        all > 60 && read_as_set * 100 >= all * 95,
        "{read_as_set} of {all}"
    );
}

/// Posts, chat and plain sets written for other tests by hands that knew nothing of manners.
const POSTS: [&str; 5] = [
    include_str!("sayings/posts.tsv"),
    include_str!("corpora/plain_sets.tsv"),
    include_str!("corpora/chat.tsv"),
    include_str!("corpora/lifting.tsv"),
    include_str!("corpora/lifting_unseen.tsv"),
];

#[test]
fn of_thousands_of_posts_written_for_other_tests_hardly_one_is_taken_for_bad_manners() {
    let (mut all, mut left) = (0, 0);
    for row in POSTS.iter().flat_map(|file| file.lines()) {
        let text = row.rsplit('\t').next().unwrap_or_default();
        let found = manner(text, whole_catalog());
        all += 1;
        left += usize::from(found.is_none());
        if let Some(found) = found {
            println!("    {:?}: {text}", found.kind);
        }
    }
    println!("other posts let alone: {}", share(left, all));
    assert!(all > 3000 && (all - left) * 1000 <= all, "{left} of {all}");
}

#[test]
fn a_danger_beside_an_insult_is_still_a_danger() {
    for text in [
        "you idiot, I have chest pain since the set",
        "fuck you bot, I passed out under the bar",
        "useless coach, my left arm went numb and I cant speak right",
    ] {
        let reading = read(text, whole_catalog(), Hints::default());
        assert!(reading.level >= FlagLevel::Clinician, "{text}");
    }
}

#[test]
fn the_gravest_kind_counts() {
    let kind = |text: &str| manner(text, whole_catalog()).map(|found| found.kind);
    assert_eq!(kind("you idiot, i will kill you"), Some(MannerKind::Threat));
    assert_eq!(
        kind("buy now https://x.example you losers"),
        Some(MannerKind::Insult)
    );
    let text = "squat 140 kg x 3, you are an idiot";
    let span = manner(text, whole_catalog()).expect("an insult").span;
    assert_eq!(crate::reading::quote(text, span), "you are an idiot");
}
