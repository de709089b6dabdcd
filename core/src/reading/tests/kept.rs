//! What is kept of earlier texts makes reading faster and changes nothing of it.

use super::whole_catalog;
use crate::catalog::words::{PhraseBook, mark};
use crate::reading::{Hints, Reader, read};
use crate::report::Lift;

/// Lines as strangers send them: sets, signs, complaints, slips of the keys.
fn lines() -> impl Iterator<Item = &'static str> {
    let tables = [
        include_str!("lines/sets_second.tsv"),
        include_str!("lines/signs_second.tsv"),
        include_str!("corpora/third.tsv"),
        include_str!("more_phrases.tsv"),
    ];
    let rows = tables.into_iter().flat_map(str::lines);
    rows.filter_map(|row| row.split('\t').max_by_key(|cell| cell.len()))
}

#[test]
fn a_line_reads_the_same_first_thing_in_the_morning_and_after_a_thousand_others() {
    let catalog = whole_catalog();
    let mut reader = Reader::new(catalog);
    for (at, line) in lines().enumerate() {
        let lift = [
            None,
            Some(Lift::Squat),
            Some(Lift::Bench),
            Some(Lift::Deadlift),
        ][at % 4];
        let hints = Hints {
            lift,
            ..Hints::default()
        };
        assert_eq!(
            reader.read(line, hints),
            read(line, catalog, hints),
            "{line}"
        );
    }
}

#[test]
fn after_more_words_than_are_kept_a_line_still_reads_the_same() {
    let catalog = whole_catalog();
    let mut reader = Reader::new(catalog);
    let line = "squat 140 kg x 5 @8, knees cave in and my chst hurts";
    let first = reader.read(line, Hints::default());
    let letter = |number: usize| char::from(b'a' + u8::try_from(number % 26).unwrap());
    let mut number = 0;
    for _ in 0..30 {
        let mut text = String::new();
        for _ in 0..800 {
            text.extend([1, 26, 676, 17_576].map(|place| letter(number / place)));
            text.push_str("qz ");
            number += 1;
        }
        let _ = reader.read(&text, Hints::default());
    }
    assert_eq!(reader.read(line, Hints::default()), first);
}

#[test]
fn no_phrase_is_left_aside_whose_second_word_is_there() {
    let mut book = PhraseBook::default();
    let seconds = [
        "pain", "ache", "cave", "shoot", "tips", "rounds", "hurts", "5",
    ];
    for (term, second) in seconds.iter().enumerate() {
        book.add(&format!("knees {second} now"), term);
    }
    book.add("knees", seconds.len());
    let word = |text: &str| book.words.exact(text, text);
    let knees = word("knees")[0];
    for (term, second) in seconds.iter().enumerate() {
        let marks = word(second).iter().fold(0, |all, id| all | mark(*id));
        let terms: Vec<u32> = book
            .starting(knees, marks)
            .flat_map(|phrase| book.terms(phrase))
            .copied()
            .collect();
        assert!(terms.contains(&u32::try_from(term).unwrap()), "{second}");
        assert!(terms.contains(&8), "a phrase of one word needs no second");
    }
    assert_eq!(book.starting(knees, 0).count(), 1);
}
