//! Text to tokens, each with its place in the original text in Unicode code points.

use crate::catalog::words::{fold_char, is_mark, squeeze, stem};
use crate::reading::TextSpan;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Letters.
    Word,
    /// Digits, with a decimal point or comma if any.
    Number,
    /// One sign of punctuation.
    Sign,
}

/// One token.
#[derive(Clone, Debug)]
pub(super) struct Token {
    /// Folded text.
    pub(super) text: String,
    /// Its stem.
    pub(super) stem: String,
    /// What it is.
    pub(super) kind: Kind,
    /// Its place in the original text.
    pub(super) span: TextSpan,
    /// True when white space or the start stands before it.
    pub(super) spaced: bool,
}

impl Token {
    /// True for this sign.
    pub(super) fn is(&self, text: &str) -> bool {
        self.text == text
    }

    /// The number it is, if any; a comma before one or two last digits is a decimal comma.
    pub(super) fn number(&self) -> Option<f64> {
        if self.kind != Kind::Number {
            return None;
        }
        self.text
            .parse::<f64>()
            .ok()
            .filter(|v| v.is_finite() && *v < 1e9)
    }
}

/// Splits a text.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let chars: Vec<char> = text.chars().collect();
    let mut out = Vec::with_capacity(chars.len() / 4 + 1);
    let mut at = 0;
    let mut spaced = true;
    while let Some(c) = chars.get(at).copied() {
        if c == '\n' {
            out.push(token("\n".to_owned(), Kind::Sign, at, at + 1, spaced));
            at += 1;
            spaced = true;
        } else if c.is_whitespace() || c.is_control() || is_mark(c) {
            spaced |= !is_mark(c);
            at += 1;
        } else {
            let (kind, to) = if c.is_ascii_digit() {
                (Kind::Number, number_end(&chars, at))
            } else if c.is_alphabetic() {
                (Kind::Word, word_end(&chars, at))
            } else {
                (Kind::Sign, at + 1)
            };
            let piece = chars.get(at..to).unwrap_or_default();
            let folded = match kind {
                Kind::Number => number_text(piece),
                _ => squeeze(
                    piece
                        .iter()
                        .flat_map(|c| fold_char(*c))
                        .filter(|c| kind == Kind::Sign || (*c != '\'' && !is_mark(*c))),
                ),
            };
            if !folded.is_empty() {
                // The multiplication sign folds to the letter it is read as.
                let kind = if folded == "x" { Kind::Word } else { kind };
                out.push(token(folded, kind, at, to, spaced));
            }
            spaced = false;
            at = to;
        }
    }
    join_cannot(&mut out);
    part_units(&mut out);
    out
}

/// `140kgx5`: a unit written together with the sign of multiplication is two words.
fn part_units(tokens: &mut Vec<Token>) {
    let mut at = 1;
    while at < tokens.len() {
        let after_number = tokens.get(at - 1).is_some_and(|t| t.kind == Kind::Number);
        let Some(word) = tokens.get_mut(at) else {
            return;
        };
        let unit = matches!(word.text.as_str(), "kgx" | "kgsx" | "lbx" | "lbsx" | "kx");
        if after_number && unit && !word.spaced {
            let [from, to] = word.span;
            word.text.pop();
            word.stem = stem(&word.text);
            word.span = [from, to - 1];
            tokens.insert(at + 1, token("x".to_owned(), Kind::Word, to - 1, to, false));
        }
        at += 1;
    }
}

fn token(text: String, kind: Kind, from: usize, to: usize, spaced: bool) -> Token {
    Token {
        stem: stem(&text),
        text,
        kind,
        span: [from, to],
        spaced,
    }
}

/// A word runs over letters, marks and an apostrophe between letters; an `x` between digits is one word.
fn word_end(chars: &[char], from: usize) -> usize {
    let mut to = from;
    while let Some(c) = chars.get(to) {
        let apostrophe = fold_char(*c).eq(['\'']);
        let letter_next = chars.get(to + 1).is_some_and(|n| n.is_alphabetic());
        if c.is_alphabetic() || is_mark(*c) || (apostrophe && letter_next) {
            to += 1;
        } else {
            break;
        }
    }
    to
}

/// A number runs over digits and one point or comma between digits, and over a half after them.
fn number_end(chars: &[char], from: usize) -> usize {
    let digit = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
    let run = |mut at: usize| {
        while digit(at) {
            at += 1;
        }
        at
    };
    let to = run(from);
    if chars.get(to) == Some(&'½') {
        return to + 1;
    }
    let Some(point @ ('.' | ',')) = chars.get(to) else {
        return to;
    };
    if !digit(to + 1) {
        return to;
    }
    let end = run(to + 1);
    // Two points make a date or a version, two commas a list (`60,80,100`), and so does one comma
    // between figures of hundreds (`100,120`): none is a decimal.
    let goes_on = chars.get(end) == Some(point) && digit(end + 1);
    let grouped = *point == ',' && end - to == 4;
    let before = from
        .checked_sub(2)
        .is_some_and(|i| digit(i) && chars.get(i + 1) == Some(&','));
    if (goes_on && !(grouped && to - from == 1))
        || (grouped && to - from > 1)
        || (before && *point == ',')
    {
        return to;
    }
    end
}

/// Digits with a decimal point; a comma before three digits only groups them.
fn number_text(piece: &[char]) -> String {
    let text: String = piece.iter().collect();
    if let Some(whole) = text.strip_suffix('½') {
        return format!("{whole}.5");
    }
    match text.split_once(',') {
        Some((whole, rest)) if rest.len() == 3 => format!("{whole}{rest}"),
        Some((whole, rest)) => format!("{whole}.{rest}"),
        None => text,
    }
}

/// Words written as they are spoken or typed in haste, and the plain word for each; sorted.
const SPOKEN: [(&str, &str); 54] = [
    ("aboot", "about"),
    ("airm", "arm"),
    ("airms", "arms"),
    ("b4", "before"),
    ("canna", "cant"),
    ("cannae", "cant"),
    ("cannot", "cant"),
    ("canny", "cant"),
    ("canot", "cant"),
    ("cnt", "cant"),
    ("couldn", "cant"),
    ("couldnae", "cant"),
    ("couldnt", "cant"),
    ("cudnt", "cant"),
    ("cuz", "because"),
    ("deid", "dead"),
    ("didnae", "didnt"),
    ("dinna", "dont"),
    ("dinnae", "dont"),
    ("dnt", "dont"),
    ("doesnae", "doesnt"),
    ("donot", "dont"),
    ("doon", "down"),
    ("fae", "from"),
    ("gonnae", "gonna"),
    ("hadnae", "hadnt"),
    ("hasnae", "hasnt"),
    ("hauf", "half"),
    ("heid", "head"),
    ("hert", "heart"),
    ("isnae", "isnt"),
    ("kannot", "cant"),
    ("ma", "my"),
    ("mah", "my"),
    ("masel", "myself"),
    ("meself", "myself"),
    ("mouf", "mouth"),
    ("nowt", "nothing"),
    ("nuffin", "nothing"),
    ("nuthin", "nothing"),
    ("oot", "out"),
    ("ower", "over"),
    ("owt", "anything"),
    ("rn", "now"),
    ("sair", "sore"),
    ("smth", "something"),
    ("summat", "something"),
    ("sumthin", "something"),
    ("unable", "cant"),
    ("wasnae", "wasnt"),
    ("werenae", "werent"),
    ("wiv", "with"),
    ("wonae", "wont"),
    ("wouldnae", "wouldnt"),
];

/// `can not` and `not able to` read as `cant`, so a complaint is not taken for a denial.
fn join_cannot(tokens: &mut Vec<Token>) {
    for token in tokens.iter_mut() {
        let spoken = SPOKEN.binary_search_by_key(&token.text.as_str(), |(said, _)| said);
        let Some((_, plain)) = spoken.ok().and_then(|at| SPOKEN.get(at)) else {
            continue;
        };
        (*plain).clone_into(&mut token.text);
        token.stem = stem(plain);
    }
    let mut at = 0;
    while at + 1 < tokens.len() {
        let pair = |a: &str, b: &str| {
            tokens.get(at).is_some_and(|t| t.is(a)) && tokens.get(at + 1).is_some_and(|t| t.is(b))
        };
        let joined = match () {
            () if pair("can", "not") || pair("could", "not") || pair("can", "no") => Some("cant"),
            () if pair("not", "able") || pair("cant", "to") || pair("cant", "seem") => Some("cant"),
            () if pair("do", "not") || pair("does", "not") => Some("dont"),
            () if pair("did", "not") => Some("didnt"),
            () if pair("will", "not") => Some("wont"),
            () if pair("has", "not") || pair("have", "not") => Some("havent"),
            () if pair("i", "am") => Some("im"),
            () if pair("i", "have") => Some("ive"),
            () => None,
        };
        if let Some(word) = joined {
            let second = tokens.remove(at + 1);
            if let Some(first) = tokens.get_mut(at) {
                word.clone_into(&mut first.text);
                first.stem = stem(word);
                first.span[1] = second.span[1];
            }
        }
        at += 1;
    }
}
