//! Whatever is typed, the reader answers, points inside the text and does not depend on shouting.

use super::words_catalog;
use crate::reading::{Hints, quote, read};
use proptest::prelude::*;
use std::sync::LazyLock;

static CATALOG: LazyLock<crate::catalog::Catalog> = LazyLock::new(words_catalog);

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
