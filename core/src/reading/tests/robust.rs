//! Whatever is typed, the reader answers, points inside the text and does not depend on shouting.

use super::words_catalog;
use crate::reading::{Hints, quote, read, work};
use proptest::prelude::*;
use std::sync::LazyLock;

static CATALOG: LazyLock<&crate::catalog::Catalog> = LazyLock::new(words_catalog);

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
    let found = read(text, &CATALOG, Hints::default());
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
    let again = read(text, &CATALOG, Hints::default());
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
    fn shouting_and_extra_spaces_change_no_flag(text in words()) {
        let flags = |text: &str| -> Vec<_> {
            read(text, &CATALOG, Hints::default())
                .flags
                .into_iter()
                .map(|mention| (mention.flag, mention.level))
                .collect()
        };
        // Some letters have no single capital; those are left out of the shouting.
        let loud: String = text.chars().map(|c| if c.is_ascii() { c.to_ascii_uppercase() } else { c }).collect();
        prop_assert_eq!(flags(&text), flags(&loud));
        prop_assert_eq!(flags(&text), flags(&text.replace(' ', "   ")));
    }
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
    ] {
        let (short, long) = (steps(&piece.repeat(40)), steps(&piece.repeat(640)));
        assert!(long <= 24 * short + 10_000, "{piece}: {short}, then {long}");
        assert!(long > 0, "{piece}");
    }
}
