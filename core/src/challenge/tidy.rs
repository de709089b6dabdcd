//! An answer as people type it, put into the form that is read: numbered lists, sentences, decimal
//! commas and percentages in words.

/// Words that a part of an answer may begin with after the end of a sentence.
const PARTS: [&str; 6] = [
    "cue",
    "practise",
    "practice",
    "exercise",
    "assistance",
    "drill",
];

/// Tens in words.
const TENS: [&str; 10] = [
    "zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];
/// Ones in words, from one.
const ONES: [&str; 9] = [
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
];

/// The text with `1. this 2. that` parted, a sentence that begins a cue or an exercise parted, `55,5 %`
/// with a point, and `seventy percent` in figures. Everything else stays as it is.
pub(super) fn tidy(text: &str) -> String {
    let text = decimal_points(text);
    let mut out = String::with_capacity(text.len());
    for (at, line) in text.split('\n').enumerate() {
        if at > 0 {
            out.push('\n');
        }
        words(line, &mut out);
    }
    out
}

/// `55,5%` and `55,5 %` with a point; any other comma parts.
fn decimal_points(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let digit = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
    let sure = |from: usize| {
        let after = chars.iter().skip(from).skip_while(|c| c.is_ascii_digit());
        let mut after = after.skip_while(|c| **c == ' ');
        after.next() == Some(&'%')
    };
    (0..chars.len())
        .filter_map(|at| {
            let c = *chars.get(at)?;
            let decimal = c == ',' && at > 0 && digit(at - 1) && digit(at + 1) && sure(at + 1);
            Some(if decimal { '.' } else { c })
        })
        .collect()
}

/// One line, word by word.
fn words(line: &str, out: &mut String) {
    let words: Vec<&str> = line.split(' ').collect();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        if at > 0 {
            out.push(' ');
        }
        let next = words.get(at + 1).copied().unwrap_or_default();
        if let Some((figure, used)) = percentage(words.get(at..).unwrap_or_default()) {
            out.push_str(&figure);
            at += used;
            continue;
        }
        if at > 0 && numbering(word) {
            // The second and the third of a list in one line.
            out.push(',');
        } else if numbering(word) {
            // The first: nothing stands before it.
        } else if let Some(sentence) = word.strip_suffix('.').filter(|_| begins(next)) {
            out.push_str(sentence);
            out.push(';');
        } else {
            out.push_str(word);
        }
        at += 1;
    }
}

/// `1.`, `2)` or `3:`, as in a list.
fn numbering(word: &str) -> bool {
    let mut chars = word.chars();
    matches!(
        (chars.next(), chars.next(), chars.next()),
        (Some('1'..='3'), Some('.' | ')' | ':'), None)
    )
}

/// A word that begins a cue or an exercise.
fn begins(word: &str) -> bool {
    let word = word.trim_end_matches([':', '=']).to_lowercase();
    PARTS.contains(&word.as_str())
}

/// A percentage in words at the beginning (`seventy percent`, `seventy-five per cent`, `a hundred
/// percent`) in figures, and how many words it takes.
fn percentage(words: &[&str]) -> Option<(String, usize)> {
    let lower = |at: usize| words.get(at).map(|word| word.to_lowercase());
    let place = |all: &[&str], word: &str| all.iter().position(|known| *known == word);
    let first = lower(0)?;
    let (value, used) = if first == "hundred" {
        (100, 1)
    } else if matches!(first.as_str(), "a" | "one") && lower(1)? == "hundred" {
        (100, 2)
    } else if let Some((tens, ones)) = first.split_once('-') {
        (10 * place(&TENS, tens)? + place(&ONES, ones)? + 1, 1)
    } else {
        let tens = 10 * place(&TENS, &first)?;
        match lower(1).and_then(|ones| place(&ONES, &ones)) {
            Some(ones) if tens >= 20 => (tens + ones + 1, 2),
            _ => (tens, 1),
        }
    };
    let sign = lower(used)?;
    let (whole, taken) = if sign == "per" {
        (format!("per{}", lower(used + 1)?), 2)
    } else {
        (sign, 1)
    };
    let rest = whole.strip_prefix("percent")?;
    // What stands right behind it, a comma for one, stays.
    (!rest.starts_with(char::is_alphabetic)).then(|| (format!("{value}%{rest}"), used + taken))
}

#[cfg(test)]
mod tests {
    use super::tidy;

    #[test]
    fn lists_sentences_and_percentages_are_put_into_form() {
        for (typed, read) in [
            (
                "1. brace late 2. loose rack 3) stance",
                " brace late , loose rack , stance",
            ),
            ("brace 55,5%, ankle 20,5 %", "brace 55.5%, ankle 20.5 %"),
            ("brace, 20, 30%", "brace, 20, 30%"),
            (
                "brace seventy percent, ankle twenty-five per cent",
                "brace 70%, ankle 25%",
            ),
            ("a hundred percent brace", "100% brace"),
            ("ten sets, no percentage", "ten sets, no percentage"),
            ("twenty percentages", "twenty percentages"),
            (
                "brace late. Cue: big air. practise squats. Easy.",
                "brace late; Cue: big air; practise squats. Easy.",
            ),
            ("3x5 at 60-65%", "3x5 at 60-65%"),
            ("", ""),
        ] {
            assert_eq!(tidy(typed), read, "{typed}");
        }
    }
}
