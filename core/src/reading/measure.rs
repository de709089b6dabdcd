//! Measured things in words: numbers, lengths of time, ages, blood pressure, fever, percentages.

use super::said::{At, Word};
use super::token::Kind;

/// A length of time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Length {
    /// Its length in days.
    pub(super) days: f64,
    /// Where it is said, number and unit.
    pub(super) at: At,
}

/// Number words up to twenty and the tens, by their first letter.
const fn number_words(first: u8) -> &'static [(&'static str, f64)] {
    match first {
        b'c' => &[("couple", 2.0)],
        b'e' => &[
            ("eight", 8.0),
            ("eleven", 11.0),
            ("eighteen", 18.0),
            ("eighty", 80.0),
        ],
        b'f' => &[
            ("four", 4.0),
            ("five", 5.0),
            ("fourteen", 14.0),
            ("fifteen", 15.0),
            ("forty", 40.0),
            ("fifty", 50.0),
            ("few", 3.0),
        ],
        b'h' => &[("hundred", 100.0)],
        b'n' => &[("nine", 9.0), ("nineteen", 19.0), ("ninety", 90.0)],
        b'o' => &[("one", 1.0)],
        b's' => &[
            ("six", 6.0),
            ("seven", 7.0),
            ("sixteen", 16.0),
            ("seventeen", 17.0),
            ("sixty", 60.0),
            ("seventy", 70.0),
            ("several", 3.0),
        ],
        b't' => &[
            ("two", 2.0),
            ("three", 3.0),
            ("ten", 10.0),
            ("twelve", 12.0),
            ("thirteen", 13.0),
            ("twenty", 20.0),
            ("thirty", 30.0),
        ],
        b'z' => &[("zero", 0.0)],
        _ => &[],
    }
}

/// The number a word says in letters.
pub(super) fn value(text: &str) -> Option<f64> {
    number_words(*text.as_bytes().first()?)
        .iter()
        .find(|(word, _)| *word == text)
        .map(|(_, value)| *value)
}

/// The number said by a word.
pub(super) fn number(word: &Word) -> Option<f64> {
    word.number
}

/// Days in a unit of time.
fn unit_days(text: &str) -> Option<f64> {
    Some(match text {
        "day" | "days" | "d" => 1.0,
        "week" | "weeks" | "wk" | "wks" | "w" => 7.0,
        "fortnight" | "fortnights" => 14.0,
        "month" | "months" | "mth" | "mths" | "mo" | "mos" => 30.0,
        "year" | "years" | "yr" | "yrs" => 365.0,
        "decade" | "decades" => 3650.0,
        _ => return None,
    })
}

fn text(words: &[Word], at: usize) -> &str {
    words.get(at).map_or("", |word| word.token.text.as_str())
}

/// Every length of time said, in order of where it ends.
pub(super) fn lengths(words: &[Word]) -> Vec<Length> {
    let mut found = Vec::new();
    for (index, word) in words.iter().enumerate() {
        let Some(unit) = unit_days(&word.token.text) else {
            continue;
        };
        let back = |steps: usize| index.checked_sub(steps).map_or("", |i| text(words, i));
        let counted = |steps: usize| {
            index
                .checked_sub(steps)
                .and_then(|i| words.get(i))
                .filter(|w| w.sentence == word.sentence)
                .and_then(number)
        };
        let plural = word.token.text.ends_with('s');
        let (count, start) = if let Some(count) = counted(1) {
            (count, 1)
        } else if matches!(
            back(1),
            "of" | "more" | "or" | "good" | "long" | "full" | "odd"
        ) && let Some(count) = counted(2)
        {
            (count, 2)
        } else if back(1) == "a" && back(2) == "half" {
            (0.5, 2)
        } else if matches!(back(1), "a" | "an" | "whole" | "past" | "over") {
            (1.0, 1)
        } else if plural && matches!(back(1), "for" | "few" | "many" | "these" | "been") {
            (3.0, 1)
        } else {
            continue;
        };
        // "1 and a half years" keeps its whole part; "d" and "w" are units only after digits.
        if word.token.text.len() == 1
            && index
                .checked_sub(1)
                .and_then(|i| words.get(i))
                .is_none_or(|w| w.token.kind != Kind::Number)
        {
            continue;
        }
        found.push(Length {
            days: count * unit,
            at: At {
                from: index.saturating_sub(start),
                to: index + 1,
            },
        });
    }
    found
}

/// Words before "is 13" that make it an age.
const PERSONS: [&str; 17] = [
    "son", "daughter", "boy", "girl", "kid", "lad", "im", "nephew", "niece", "athlete", "lifter",
    "he", "she", "brother", "sister", "child", "age",
];

/// Words after a number that make it anything but an age.
const COUNTED: [&str; 33] = [
    "reps", "rep", "sets", "kg", "kgs", "kilos", "lb", "lbs", "pounds", "weeks", "wks", "week",
    "wk", "months", "month", "days", "x", "percent", "st", "stone", "min", "mins", "minutes",
    "hours", "cm", "inches", "lifts", "sessions", "mths", "kilo", "points", "out", "deg",
];

/// Every age of a person said: "im 15", "16yo", "15 years old", "age 14", "turning 17".
pub(super) fn ages(words: &[Word]) -> Vec<(f64, At)> {
    let mut found = Vec::new();
    for (index, word) in words.iter().enumerate() {
        let Some(age) =
            number(word).filter(|age| age.fract() == 0.0 && (5.0..=100.0).contains(age))
        else {
            continue;
        };
        let back = |steps: usize| index.checked_sub(steps).map_or("", |i| text(words, i));
        let next = |steps: usize| text(words, index + steps);
        let old_after = matches!(next(1), "yo" | "yrold" | "yearold")
            || (matches!(next(1), "y" | "yr" | "yrs" | "year" | "years")
                && (matches!(next(2), "o" | "old") || (next(2), next(3)) == ("of", "age")))
            || (next(1) == "y" && next(2) == "o")
            || (index == 0 && matches!(next(1), "here" | "m" | "f" | "male" | "female"));
        let before = matches!(
            back(1),
            "im" | "age" | "aged" | "turning" | "turn" | "turned" | "only" | "hes" | "shes"
        ) || (back(1) == "am" && back(2) == "i")
            || (matches!(back(1), "is" | "just" | "was" | "nearly" | "almost")
                && PERSONS.contains(&back(2)))
            || (PERSONS[..9].contains(&back(1)) && word.token.kind == Kind::Number);
        let only_of_person = back(1) != "only" || matches!(back(2), "im" | "am" | "hes" | "shes");
        let counted = COUNTED.contains(&next(1));
        let spell = matches!(next(1), "year" | "years" | "yrs" | "yr") && !old_after;
        let signed = next_sign(words, index);
        if (old_after || (before && only_of_person && !counted && !spell)) && !signed {
            // "i turn 18 next year" is seventeen now.
            let to_come = matches!(back(1), "turn" | "turning")
                && matches!(next(1), "next" | "soon" | "in" | "this" | "later");
            found.push((
                if to_come { age - 1.0 } else { age },
                At {
                    from: index,
                    to: index + 1,
                },
            ));
        }
    }
    found
}

/// A number glued to the next one by a sign (`5/10`) is no age; the words keep only white space.
fn next_sign(words: &[Word], index: usize) -> bool {
    match (words.get(index), words.get(index + 1)) {
        (Some(a), Some(b)) => {
            b.token.kind == Kind::Number
                && b.token.span[0] == a.token.span[1] + 1
                && !b.token.spaced
        }
        _ => false,
    }
}

/// Every blood pressure said: `185 over 115`, `190/120`.
pub(super) fn pressures(words: &[Word]) -> Vec<(f64, f64, At)> {
    let mut found = Vec::new();
    for index in 0..words.len() {
        let n = |at: usize| words.get(at).and_then(|word| word.token.number());
        // "Upper number is 200, lower 118."
        let apart = (2..=4).find(|steps| {
            n(index + steps).is_some()
                && (1..*steps).any(|at| {
                    matches!(
                        text(words, index + at),
                        "lower" | "bottom" | "diastolic" | "over"
                    )
                })
        });
        let pair = match (n(index), n(index + 1), n(index + 2)) {
            (Some(high), Some(low), _) => Some((high, low, 2)),
            (Some(high), None, Some(low))
                if matches!(text(words, index + 1), "over" | "on" | "by") =>
            {
                Some((high, low, 3))
            }
            (Some(high), None, _) => {
                apart.and_then(|steps| n(index + steps).map(|low| (high, low, steps + 1)))
            }
            _ => None,
        };
        if let Some((high, low, length)) = pair
            && (80.0..=300.0).contains(&high)
            && (40.0..=200.0).contains(&low)
            && high > low
        {
            found.push((
                high,
                low,
                At {
                    from: index,
                    to: index + length,
                },
            ));
        }
    }
    found
}

/// A figure that is a fever in a person, 38 to 42 degrees Celsius or 100.4 to 107 Fahrenheit.
pub(super) fn fevers(words: &[Word]) -> Vec<At> {
    numbers_where(words, |value, _| {
        (38.0..=42.5).contains(&value) || (100.4..=107.5).contains(&value)
    })
}

/// A percentage said with the sign left out (`8 percent`) or the word.
pub(super) fn percents(words: &[Word]) -> Vec<At> {
    numbers_where(words, |_, next| matches!(next, "percent" | "pct" | "per"))
}

/// A mass with its unit.
pub(super) fn masses(words: &[Word]) -> Vec<At> {
    let mut found = numbers_where(words, |_, next| {
        matches!(
            next,
            "kg" | "kgs"
                | "kilo"
                | "kilos"
                | "k"
                | "lb"
                | "lbs"
                | "pound"
                | "pounds"
                | "stone"
                | "st"
        )
    });
    // "a stone" is a mass too.
    for index in 0..words.len().saturating_sub(1) {
        if matches!(text(words, index), "a" | "half")
            && matches!(text(words, index + 1), "stone" | "kilo")
        {
            found.push(At {
                from: index,
                to: index + 2,
            });
        }
    }
    found.sort_unstable_by_key(|at| at.from);
    found
}

fn numbers_where(words: &[Word], holds: impl Fn(f64, &str) -> bool) -> Vec<At> {
    words
        .iter()
        .enumerate()
        .filter_map(|(index, word)| {
            let value = number(word)?;
            holds(value, text(words, index + 1)).then_some(At {
                from: index,
                to: index + 1,
            })
        })
        .collect()
}
