//! The tokens of a text with what has been read from them already.

use crate::quantity::MassUnit;
use crate::reading::measure::value;
use crate::reading::token::{Kind, Token};
use crate::reading::{FieldMention, TextSpan};
use std::borrow::Cow;

/// Tokens, what is read of them, and where.
#[derive(Debug)]
pub(super) struct Line<'a> {
    tokens: Cow<'a, [Token]>,
    used: Vec<bool>,
    /// The number each token says, in digits and in letters.
    numbers: Vec<(Option<f64>, Option<f64>)>,
    /// Marks of the words there are, so that a phrase whose first word is not is not sought.
    seen: [u64; 4],
    /// Where each field was read.
    pub(super) mentions: Vec<FieldMention>,
}

impl<'a> Line<'a> {
    /// A line of which nothing is read yet.
    pub(super) fn new(tokens: &'a [Token]) -> Self {
        let tokens = match super::typos::mended(tokens) {
            Cow::Borrowed(tokens) => super::figures::in_digits(tokens),
            Cow::Owned(tokens) => Cow::Owned(super::figures::in_digits(&tokens).into_owned()),
        };
        let mut seen = [0; 4];
        for token in tokens.iter() {
            let (slot, bit) = mark(&token.text);
            if let Some(bits) = seen.get_mut(slot) {
                *bits |= bit;
            }
        }
        Self {
            used: vec![false; tokens.len()],
            numbers: tokens.iter().map(numbers).collect(),
            tokens,
            seen,
            mentions: Vec::new(),
        }
    }

    /// Whether the first word of a phrase may be in the text.
    fn may_have(&self, phrase: &str) -> bool {
        let (slot, bit) = mark(phrase);
        self.seen.get(slot).is_some_and(|bits| bits & bit != 0)
    }

    /// How many tokens.
    pub(super) fn len(&self) -> usize {
        self.tokens.len()
    }

    /// The text of a token; empty past the end.
    pub(super) fn text(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |token| token.text.as_str())
    }

    /// The text `steps` before a token; empty before the start.
    pub(super) fn before(&self, at: usize, steps: usize) -> &str {
        at.checked_sub(steps).map_or("", |index| self.text(index))
    }

    /// Whether a token follows the one before it without white space.
    pub(super) fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| !token.spaced)
    }

    /// Whether a token is one of these words.
    pub(super) fn is(&self, at: usize, words: &[&str]) -> bool {
        words.contains(&self.text(at))
    }

    /// Whether a phrase of words stands at a token.
    pub(super) fn phrase(&self, at: usize, phrase: &str) -> Option<usize> {
        let first = self.text(at);
        if phrase.as_bytes().first() != first.as_bytes().first() {
            return None;
        }
        let rest = phrase.strip_prefix(first)?;
        // Only a whole first word begins the phrase.
        if first.is_empty() || !(rest.is_empty() || rest.starts_with(' ')) {
            return None;
        }
        let mut end = at;
        for word in phrase.split(' ') {
            // A hyphen may join the words of a phrase.
            if end > at && self.text(end) == "-" {
                end += 1;
            }
            if self.text(end) != word {
                return None;
            }
            end += 1;
        }
        Some(end)
    }

    /// Whether any of these phrases stands at a token, the longest first.
    pub(super) fn any_phrase(&self, at: usize, phrases: &[&str]) -> Option<usize> {
        let first = self.text(at).as_bytes().first();
        phrases
            .iter()
            .filter(|phrase| phrase.as_bytes().first() == first)
            .filter_map(|phrase| self.phrase(at, phrase))
            .max()
    }

    /// Those of these phrases whose first word may be in the text: no other stands anywhere.
    pub(super) fn may<'p>(&self, phrases: &[&'p str]) -> Vec<&'p str> {
        let phrases = phrases.iter().copied();
        phrases.filter(|phrase| self.may_have(phrase)).collect()
    }

    /// The first place of any of these phrases, `[from, to)` in tokens.
    pub(super) fn find(&self, phrases: &[&str]) -> Option<(usize, usize)> {
        let may = self.may(phrases);
        if may.is_empty() {
            return None;
        }
        (0..self.len()).find_map(|at| self.any_phrase(at, &may).map(|to| (at, to)))
    }

    /// The number in digits at a token.
    pub(super) fn digits(&self, at: usize) -> Option<f64> {
        self.numbers.get(at).and_then(|(digits, _)| *digits)
    }

    /// The number at a token, in digits or letters.
    pub(super) fn number(&self, at: usize) -> Option<f64> {
        self.numbers
            .get(at)
            .and_then(|(digits, letters)| digits.or(*letters))
    }

    /// The unit of mass at a token; `k` only when glued to the number before it.
    pub(super) fn unit(&self, at: usize) -> Option<MassUnit> {
        match self.text(at) {
            "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => Some(MassUnit::Kg),
            "k" if self.glued(at) && self.digits(at.checked_sub(1)?)? < 1000.0 => {
                Some(MassUnit::Kg)
            }
            "lb" | "lbs" | "pound" | "pounds" | "#" => Some(MassUnit::Lb),
            _ => None,
        }
    }

    /// The unit that belongs to the number at a token, and where it ends: `140kg`, `140ish kg`,
    /// `220-lb`.
    pub(super) fn unit_after(&self, at: usize) -> Option<(MassUnit, usize)> {
        let next = at + 1;
        if let Some(unit) = self.unit(next) {
            return Some((unit, next + 1));
        }
        let joined = self.is(next, &["ish"])
            || (self.is(next, &["-"]) && self.glued(next) && self.glued(next + 1));
        let unit = self.unit(next + 1).filter(|_| joined)?;
        Some((unit, next + 2))
    }

    /// The token that holds a place of the text.
    pub(super) fn at_place(&self, place: usize) -> usize {
        self.tokens.partition_point(|token| token.span[1] <= place)
    }

    /// Whether a token is read already.
    pub(super) fn is_used(&self, at: usize) -> bool {
        self.used.get(at).copied().unwrap_or(true)
    }

    /// Marks tokens as read.
    pub(super) fn take(&mut self, from: usize, to: usize) {
        for used in self.used.iter_mut().take(to).skip(from) {
            *used = true;
        }
    }

    /// Notes where a field was read and marks the tokens.
    pub(super) fn note(&mut self, field: &str, from: usize, to: usize, confidence: f64) {
        self.take(from, to);
        let span = self.span(from, to);
        self.mentions.push(FieldMention {
            field: field.to_owned(),
            span,
            confidence,
        });
    }

    /// The place of tokens in the original text.
    pub(super) fn span(&self, from: usize, to: usize) -> TextSpan {
        let start = self.tokens.get(from).map_or(0, |token| token.span[0]);
        let end = to
            .checked_sub(1)
            .and_then(|at| self.tokens.get(at))
            .map_or(start, |token| token.span[1]);
        [start, end.max(start)]
    }

    /// Whether a word of denial stands shortly before a token, in the same clause.
    pub(super) fn denied(&self, at: usize) -> bool {
        (1..=3)
            .map_while(|steps| {
                let word = self.before(at, steps);
                (!matches!(word, "" | "," | "." | ";" | "\n" | "but" | "and" | "with"))
                    .then_some(word)
            })
            .any(|word| {
                matches!(
                    word,
                    "no" | "not"
                        | "without"
                        | "never"
                        | "dont"
                        | "didnt"
                        | "wasnt"
                        | "isnt"
                        | "arent"
                        | "werent"
                        | "havent"
                        | "zero"
                        | "forgot"
                )
            })
    }

    /// Whether any of these words stands anywhere.
    pub(super) fn has(&self, words: &[&str]) -> bool {
        words.iter().any(|word| self.may_have(word)) && (0..self.len()).any(|at| self.is(at, words))
    }
}

/// The number a token says in digits, and the one it says in letters.
fn numbers(token: &Token) -> (Option<f64>, Option<f64>) {
    let exact = !matches!(token.text.as_str(), "few" | "couple" | "several");
    let letters = (token.kind == Kind::Word && exact).then(|| value(&token.text));
    (token.number(), letters.flatten())
}

/// One bit of 256 for the first word of a phrase, by its first three letters.
fn mark(phrase: &str) -> (usize, u64) {
    let letters = match *phrase.as_bytes() {
        [] | [b' ', ..] => [0, 0, 0],
        [one] | [one, b' ', ..] => [one, 0, 0],
        [one, two] | [one, two, b' ', ..] => [one, two, 0],
        [one, two, three, ..] => [one, two, three],
    };
    let [one, two, three] = letters.map(usize::from);
    let number = one * 11 + two * 41 + three * 101;
    ((number >> 6) & 3, 1 << (number & 63))
}
