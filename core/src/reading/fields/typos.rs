//! Names of lifts, units and counts typed wrongly, put right before any field is sought.
//!
//! Distance after Damerau 1964 (insert, delete, substitute, swap neighbours), with the first letter
//! kept unless swapped. Words that are lifters' own words one letter away are never touched.

use super::figures::replaced;
use crate::catalog::spelling::edits;
use crate::reading::token::{Kind, Token};
use std::borrow::Cow;

/// Names put right wherever they stand.
const NAMES: [&str; 20] = [
    "squat",
    "squats",
    "squatted",
    "squatting",
    "bench",
    "benches",
    "benched",
    "benching",
    "deadlift",
    "deadlifts",
    "deadlifted",
    "deadlifting",
    "single",
    "singles",
    "double",
    "doubles",
    "doubled",
    "triple",
    "triples",
    "tripled",
];

/// Words put right only right behind a figure, where hardly anything else can stand.
const BEHIND_FIGURE: [&str; 8] = [
    "kilo", "kilos", "pound", "pounds", "plate", "plates", "reps", "sets",
];

/// Spellings too short or too far off for the distance, and the plain word for each.
const SPELT: [(&str, &str); 30] = [
    ("ddlift", "deadlift"),
    ("ddl", "deadlift"),
    ("skwat", "squat"),
    ("skwats", "squats"),
    ("skwatted", "squatted"),
    ("sqt", "squat"),
    ("sqts", "squats"),
    ("squt", "squat"),
    ("dedlfit", "deadlift"),
    ("dedlif", "deadlift"),
    ("dedlifs", "deadlifts"),
    ("dedlifts", "deadlifts"),
    ("dlift", "deadlift"),
    ("dlifts", "deadlifts"),
    ("dedz", "deads"),
    ("deds", "deads"),
    ("benhc", "bench"),
    ("lsb", "lbs"),
    ("lsbs", "lbs"),
    ("lbss", "lbs"),
    ("lbd", "lbs"),
    ("lbz", "lbs"),
    ("ibs", "lbs"),
    ("bls", "lbs"),
    ("kgz", "kgs"),
    ("kgss", "kgs"),
    ("ksg", "kgs"),
    ("gks", "kgs"),
    ("gk", "kg"),
    ("kq", "kg"),
];

/// Real words within the distance of a name.
const PROTECTED: [&str; 44] = [
    "beach",
    "beaches",
    "beached",
    "beaching",
    "beech",
    "belch",
    "belches",
    "belched",
    "belching",
    "bunch",
    "bunches",
    "bunched",
    "bunching",
    "blench",
    "bending",
    "branching",
    "bleaching",
    "breaching",
    "squad",
    "squads",
    "squaw",
    "squash",
    "squashed",
    "squashing",
    "squared",
    "squaring",
    "squinting",
    "squinted",
    "squirting",
    "deadline",
    "deadlines",
    "deadlock",
    "doable",
    "shingle",
    "shingles",
    "trifle",
    "tripe",
    "kill",
    "kills",
    "kilt",
    "kilts",
    "pond",
    "ponds",
    "plated",
];

/// The tokens with typing errors in names mended; borrowed when there are none.
pub(super) fn mended(tokens: &[Token]) -> Cow<'_, [Token]> {
    replaced(tokens, mend, |token, word| {
        word.clone_into(&mut token.text);
        token.stem = crate::catalog::words::stem(word);
        token.kind = Kind::Word;
    })
}

/// The plain word for what is typed at a token, and where that ends.
fn mend(tokens: &[Token], at: usize) -> Option<(&'static str, usize)> {
    let token = tokens.get(at).filter(|token| token.kind == Kind::Word)?;
    let text = token.text.as_str();
    let behind = at
        .checked_sub(1)
        .and_then(|before| tokens.get(before))
        .and_then(Token::number);
    if let Some(found) = behind.and_then(|figure| in_pieces(tokens, at, figure)) {
        return Some(found);
    }
    if NAMES.contains(&text) || BEHIND_FIGURE.contains(&text) || PROTECTED.contains(&text) {
        return None;
    }
    let unit = |word: &str| matches!(word, "lbs" | "kg" | "kgs");
    if let Some((_, word)) = SPELT.iter().find(|(typed, _)| *typed == text) {
        return (behind.is_some() || !unit(word)).then_some((word, at + 1));
    }
    let named = nearest(text, &NAMES);
    let word = named.or_else(|| {
        behind.and_then(|_| nearest(text, &BEHIND_FIGURE).filter(|word| safe(text, word)))
    })?;
    Some((word, at + 1))
}

/// "155 k g", "150 k", "2pl8s": a word that was typed in pieces behind its figure.
fn in_pieces(tokens: &[Token], at: usize, figure: f64) -> Option<(&'static str, usize)> {
    let is = |at: usize, text: &str| tokens.get(at).is_some_and(|token| token.is(text));
    let glued = |at: usize| tokens.get(at).is_some_and(|token| !token.spaced);
    if is(at, "k") && is(at + 1, "g") {
        return Some(("kg", at + 2));
    }
    if is(at, "l") && (is(at + 1, "b") || is(at + 1, "bs")) {
        return Some(("lb", at + 2));
    }
    if is(at, "pl") && is(at + 1, "8") && glued(at + 1) {
        let plural = is(at + 2, "s") && glued(at + 2);
        return Some(("plates", at + 2 + usize::from(plural)));
    }
    // A lone "k" is kilograms where a load may stand and the line does not run on with a noun.
    let closes = tokens.get(at + 1).is_none_or(|next| {
        next.kind != Kind::Word
            || matches!(
                next.text.as_str(),
                "x" | "for" | "on" | "bench" | "squat" | "deadlift"
            )
    });
    (is(at, "k") && (20.0..1000.0).contains(&figure) && closes).then_some(("kg", at + 1))
}

/// A short word is mended only where two neighbours are swapped: "resp", "stes".
fn safe(typed: &str, word: &str) -> bool {
    if word.len() > 4 {
        return true;
    }
    let sorted = |text: &str| {
        let mut letters: Vec<char> = text.chars().collect();
        letters.sort_unstable();
        letters
    };
    typed.len() > 4 || sorted(typed) == sorted(word)
}

/// The nearest of some names within the distance for the length; none when it is a name itself.
fn nearest(typed: &str, names: &[&'static str]) -> Option<&'static str> {
    let letters: Vec<char> = typed.chars().take(LONGEST + 1).collect();
    if !(4..=LONGEST).contains(&letters.len()) {
        return None;
    }
    let limit = if letters.len() >= 8 { 2 } else { 1 };
    names
        .iter()
        .filter(|name| {
            first_letters_agree(&letters, name) && letters.len().abs_diff(name.len()) <= limit
        })
        .map(|name| {
            crate::reading::work::steps(1);
            let meant: Vec<char> = name.chars().collect();
            (edits(&letters, &meant), *name)
        })
        .filter(|(far, _)| (1..=limit).contains(far))
        .min_by_key(|(far, name)| (*far, letters.len().abs_diff(name.len())))
        .map(|(_, name)| name)
}

/// The longest typed word that may be a name.
const LONGEST: usize = 13;

fn first_letters_agree(typed: &[char], name: &str) -> bool {
    let mut letters = name.chars();
    let (first, second) = (letters.next(), letters.next());
    let typed_first = typed.first().copied();
    typed_first == first || (typed_first == second && typed.get(1).copied() == first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::token::tokens;

    fn words(text: &str) -> String {
        let found = tokens(text);
        let words: Vec<String> = mended(&found).iter().map(|t| t.text.clone()).collect();
        words.join(" ")
    }

    #[test]
    fn names_and_units_typed_wrongly_are_put_right() {
        for (typed, wanted) in [
            (
                "sqauts squatt sqat sqaut skwats",
                "squats squats squat squat squats",
            ),
            ("benhc bech bnech benchs", "bench bench bench bench"),
            (
                "deadlfit deadlifft dedlift deadliftt daedlift",
                "deadlift deadlift deadlift deadlifts deadlift",
            ),
            ("tripple doubel singel", "triple double single"),
            (
                "180 kilso 225 lsb 245 puonds 185lbss",
                "180 kilos 225 lbs 245 pounds 185 lbs",
            ),
            ("155 k g, 150 k, 2pl8s", "155 kg , 150 kg , 2 plates"),
            ("3 sets of 5 resp", "3 sets of 5 reps"),
        ] {
            assert_eq!(words(typed), wanted);
        }
    }

    #[test]
    fn real_words_near_a_name_stay_as_they_are() {
        for text in [
            "at the beach with a bunch of squads bending to a deadline",
            "it is doable , kills my quads",
            "3 kills , 5 rest , 2 ponds , 4 rips",
            "dead tired , my back is bent",
            "ibs flares up",
            "ran 5 k run",
        ] {
            assert_eq!(words(text), text);
        }
    }

    #[test]
    fn the_distance_counts_a_swap_once() {
        let letters = |word: &str| word.chars().collect::<Vec<char>>();
        let far = |typed: &str, name: &str| edits(&letters(typed), &letters(name));
        assert_eq!(far("sqaut", "squat"), 1);
        assert_eq!(far("squat", "squat"), 0);
        assert_eq!(far("deadlfitt", "deadlift"), 2);
        assert_eq!(far("kitten", "sitting"), 3);
    }
}
