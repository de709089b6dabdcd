//! Whatever is typed, the reader answers, points inside the text and does not depend on shouting.

use crate::reading::{Hints, Reading, quote, read, work};
use proptest::prelude::*;

fn words() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "chest",
        "pain",
        "no",
        "not",
        "but",
        "squat",
        "140",
        "kg",
        "x",
        "3",
        "@8",
        "rpe",
        "numb",
        "my",
        "mate",
        "if",
        "years ago",
        "plates",
        "two",
        "5x5",
        ",",
        ".",
        "missed",
        "rep",
        "100-110-120",
        "bw",
        "max",
        "failed",
        "the",
        "4th",
        "85%",
        "of",
        "for",
        "6/8",
        "\n",
        "\u{0301}",
        "é",
        "İ",
        "ß",
        "👍🏽",
        "痛",
        "i",
        "fainted",
        "what if",
        "pee",
        "dark",
        "16yo",
        "190/120",
        "set",
        "3 sets",
    ]);
    prop::collection::vec(word, 0..30).prop_map(|words| words.join(" "))
}

fn check(text: &str) {
    let found = read(text, super::whole_catalog(), Hints::default());
    let length = text.chars().count();
    let spans = found
        .flags
        .iter()
        .map(|m| m.span)
        .chain(found.mentions.iter().map(|m| m.span))
        .chain(found.signs.iter().map(|m| m.span));
    for [from, to] in spans {
        assert!(
            from <= to && to <= length,
            "{from}..{to} of {length} in {text:?}"
        );
        assert_eq!(quote(text, [from, to]).chars().count(), to - from);
    }
    let again = read(text, super::whole_catalog(), Hints::default());
    assert_eq!(found, again);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_text_breaks_the_reader_and_every_span_lies_in_it(text in "\\PC{0,80}") {
        check(&text);
    }

    #[test]
    fn lifters_words_in_any_order_never_break_it(text in words()) {
        check(&text);
    }

    #[test]
    fn shouting_and_extra_spaces_change_nothing_that_is_read(text in words()) {
        let meant = |text: &str| meant(&read(text, super::whole_catalog(), Hints::default()));
        prop_assert_eq!(meant(&text), meant(&text.to_ascii_uppercase()));
        prop_assert_eq!(meant(&text), meant(&text.replace(' ', "   ")));
    }

    #[test]
    fn set_lines_and_signs_in_pieces_and_any_order_never_break_it(
        text in pieces(),
    ) {
        check(&text);
        let meant = |text: &str| meant(&read(text, super::whole_catalog(), Hints::default()));
        prop_assert_eq!(meant(&text), meant(&text.to_ascii_uppercase()));
    }
}

/// What must not depend on capitals or on how many spaces stand between words.
fn meant(reading: &Reading) -> impl PartialEq + std::fmt::Debug + use<> {
    let flags: Vec<_> = reading
        .flags
        .iter()
        .map(|m| (m.flag.clone(), m.level))
        .collect();
    let signs: Vec<_> = reading
        .signs
        .iter()
        .map(|m| (m.sign.clone(), m.polarity))
        .collect();
    (
        flags,
        signs,
        reading.fields.clone(),
        reading.asks.clone(),
        reading.bare_load,
    )
}

/// Pieces of set lines and of sign wordings, cut at any word and put together.
fn pieces() -> impl Strategy<Value = String> {
    const LINES: [&str; 6] = [
        include_str!("lines/sets_first.tsv"),
        include_str!("lines/sets_second.tsv"),
        include_str!("lines/signs_squat.tsv"),
        include_str!("lines/signs_bench.tsv"),
        include_str!("lines/signs_deadlift.tsv"),
        include_str!("lines/signs_absent.tsv"),
    ];
    let words: Vec<&str> = LINES
        .iter()
        .flat_map(|table| table.split_whitespace())
        .collect();
    let run = (0..words.len(), 1_usize..6)
        .prop_map(move |(from, count)| words[from..(from + count).min(words.len())].join(" "));
    prop::collection::vec(run, 0..8).prop_map(|runs| runs.join(" "))
}

#[test]
fn a_very_long_text_is_read_in_time() {
    let text = "no chest pain, my back hurts and 140 kg x 3 @8 but numb legs since the deadlift. "
        .repeat(200);
    check(&text);
}

/// Inner steps of reading a text.
fn steps(text: &str) -> usize {
    let _ = work::taken();
    let _ = read(text, super::whole_catalog(), Hints::default());
    work::taken()
}

/// A text of any characters, mixed with words the catalog knows, up to 4 KiB.
fn long_text() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::collection::vec(any::<char>(), 0..1_024).prop_map(|chars| chars.iter().collect()),
        (words(), 1_usize..40).prop_map(|(text, times)| {
            let mut long = (text + " ").repeat(times);
            let mut end = long.len().min(4_096);
            while !long.is_char_boundary(end) {
                end -= 1;
            }
            long.truncate(end);
            long
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Twice the text takes about twice the steps, whatever the text is: no more than three times,
    /// where steps that grew with the square would take four.
    #[test]
    fn steps_grow_in_line_with_the_length_of_any_text(text in long_text()) {
        prop_assert!(text.len() <= 4_096);
        let (one, two) = (steps(&text), steps(&format!("{text} {text}")));
        prop_assert!(two <= 3 * one + 4_000, "{one} steps, then {two}");
    }
}

#[test]
fn steps_of_the_worst_repetitions_stay_in_line_at_16_times_the_length() {
    for piece in [
        "no chest pain is fine ",
        "pain ",
        "numb, back ",
        "what if my mate ",
        "100x5 @8 ",
        "im 40 ",
        "chest ",
        "hips shoot up knees cave ",
        "hips shoot up knees cave chest falls ",
        "cant keep my heels down ",
        "100, 110, 120kg x5 ",
        "5,5,4 ",
        "4 or 5 of 6 ",
        "hips hips hips knees in in in ",
    ] {
        let (short, long) = (steps(&piece.repeat(40)), steps(&piece.repeat(640)));
        assert!(long <= 24 * short + 10_000, "{piece}: {short}, then {long}");
        assert!(long > 0, "{piece}");
    }
}
