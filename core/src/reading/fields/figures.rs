//! Figures in words of several tokens, put into digits: "one forty", "two hundred and five".

use crate::reading::measure::value;
use crate::reading::token::{Kind, Token};
use std::borrow::Cow;

/// The tokens, every figure in several words as one number.
pub(super) fn in_digits(tokens: &[Token]) -> Cow<'_, [Token]> {
    replaced(tokens, several, |token, number| {
        token.text = number.to_string();
        token.stem.clone_from(&token.text);
        token.kind = Kind::Number;
    })
}

/// The tokens with every run that `find` knows, from a token to the end it gives, put as one token by
/// `put`; borrowed when there is none.
pub(super) fn replaced<T>(
    tokens: &[Token],
    find: impl Fn(&[Token], usize) -> Option<(T, usize)>,
    put: impl Fn(&mut Token, T),
) -> Cow<'_, [Token]> {
    let Some(first) = (0..tokens.len()).find(|at| find(tokens, *at).is_some()) else {
        return Cow::Borrowed(tokens);
    };
    let mut out: Vec<Token> = tokens.get(..first).unwrap_or_default().to_vec();
    let mut at = first;
    while let Some(token) = tokens.get(at) {
        let mut token = token.clone();
        at += 1;
        if let Some((found, end)) = find(tokens, at - 1) {
            let last = end.checked_sub(1).and_then(|i| tokens.get(i));
            put(&mut token, found);
            token.span[1] = last.map_or(token.span[1], |last| last.span[1]);
            at = end;
        }
        out.push(token);
    }
    Cow::Owned(out)
}

/// The figure that begins at a token and takes more than one word, and its end.
fn several(tokens: &[Token], at: usize) -> Option<(u32, usize)> {
    let word = |at: usize| -> Option<u32> {
        let token = tokens.get(at).filter(|t| t.kind == Kind::Word)?;
        let exact = !matches!(token.text.as_str(), "few" | "couple" | "several" | "zero");
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "number words reach to a hundred"
        )]
        value(&token.text).filter(|_| exact).map(|v| v as u32)
    };
    let is = |at: usize, text: &str| tokens.get(at).is_some_and(|t| t.is(text));
    let tens = |at: usize| word(at).filter(|v| (20..=90).contains(v));
    let ones = |at: usize| word(at).filter(|v| (1..=9).contains(v));
    let below_hundred = |at: usize| {
        tens(at).map_or_else(
            || {
                word(at)
                    .filter(|v| (1..=19).contains(v))
                    .map(|v| (v, at + 1))
            },
            |ten| Some(ones(at + 1).map_or((ten, at + 1), |one| (ten + one, at + 2))),
        )
    };
    let hundreds = match ones(at) {
        Some(one) if is(at + 1, "hundred") => Some((one * 100, at + 2)),
        None if is(at, "hundred") => Some((100, at + 1)),
        None if is(at, "a") && is(at + 1, "hundred") => Some((100, at + 2)),
        _ => None,
    };
    if let Some((sum, end)) = hundreds {
        let rest = if is(end, "and") { end + 1 } else { end };
        return Some(match below_hundred(rest) {
            Some((more, end)) if more >= 5 => (sum + more, end),
            _ => (sum, end),
        });
    }
    // "one oh five"
    if let (Some(one), Some(last)) = (ones(at), ones(at + 2))
        && (is(at + 1, "oh") || is(at + 1, "o"))
    {
        return Some((one * 100 + last, at + 3));
    }
    // "one forty", "three fifteen": hundreds and the rest.
    if let Some(one) = ones(at)
        && let Some((more, end)) = below_hundred(at + 1)
        && more >= 10
        && tokens.get(at + 1).is_some_and(|t| t.spaced)
    {
        return Some((one * 100 + more, end));
    }
    let ten = tens(at)?;
    ones(at + 1).map(|one| (ten + one, at + 2))
}
