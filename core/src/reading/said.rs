//! One text made ready: its words, where each group of the lexicon is said, and how it is meant
//! (denied, past, only thought of, about somebody else).

use super::measure::value;
use super::token::{Kind, Token, tokens};
use super::{clauses, cues};
use crate::catalog::Lexicon;
use crate::catalog::words::{Phrase, PhraseBook, WordId};
use std::collections::HashMap;

/// One word or number, with what stood before it.
#[derive(Clone, Debug)]
pub(super) struct Word {
    /// The token it is.
    pub(super) token: Token,
    /// Place in the line of words, a comma counting one more and a full stop four.
    pub(super) place: usize,
    /// Number of the clause: commas, joining words and full stops divide.
    pub(super) clause: usize,
    /// The number it says, in digits or letters.
    pub(super) number: Option<f64>,
    /// Number of its spelling, counted in the order spellings first stand in the text.
    pub(super) spelling: usize,
    /// Number of the sentence.
    pub(super) sentence: usize,
    /// How it is meant.
    pub(super) meant: Meant,
}

/// How a word is meant.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one independent mark on a word"
)]
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Meant {
    /// Denied, by the denial that begins at this word.
    pub(super) denied: Option<usize>,
    /// Only thought of.
    pub(super) thought: bool,
    /// About somebody else.
    pub(super) other: bool,
    /// Part of a harmless saying.
    pub(super) idiom: bool,
    /// Long over.
    pub(super) long_past: bool,
    /// Of earlier days and gone.
    pub(super) earlier_gone: bool,
    /// Said to be happening now.
    pub(super) right_now: bool,
}

/// Where something is said: words `from..to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct At {
    /// First word.
    pub(super) from: usize,
    /// One past the last word.
    pub(super) to: usize,
}

/// A text made ready for reading.
#[derive(Debug)]
pub(super) struct Said {
    /// Every token, signs included.
    pub(super) tokens: Vec<Token>,
    /// Words and numbers only.
    pub(super) words: Vec<Word>,
    /// Where each group of the lexicon is said, by the group's number.
    pub(super) groups: Vec<Vec<At>>,
    /// Where each phrase of the flag file is said.
    pub(super) literals: Vec<Vec<At>>,
}

impl Said {
    /// Makes a text ready.
    pub(super) fn new(text: &str, lexicon: &Lexicon, literals: &PhraseBook) -> Self {
        let tokens = tokens(text);
        let mut words = words_of(&tokens);
        let books = [&lexicon.phrases, literals];
        let mut ids: Vec<[Vec<WordId>; 2]> = Vec::new();
        for word in &words {
            if word.spelling >= ids.len() {
                ids.push(resolve(&word.token, books, lexicon));
            }
        }
        let filler = lexicon.names.get("cue filler").copied();
        // A saying counts word for word only; small words between make it something else.
        let saying = lexicon.names.get("cue idiom").copied();
        let small: Vec<bool> = ids
            .iter()
            .map(|pair| is_filler(&pair[0], filler, lexicon))
            .collect();
        let first = |side: usize| -> Vec<Vec<At>> {
            let book = books[side];
            let mut found: Vec<Vec<At>> =
                std::iter::repeat_with(Vec::new).take(book.terms).collect();
            for from in 0..words.len() {
                let spelling = words.get(from).map_or(usize::MAX, |word| word.spelling);
                for id in ids.get(spelling).map_or(&[][..], |pair| &pair[side]) {
                    for (phrase, term) in book.starting(*id) {
                        let whole = side == 0 && Some(*term) == saying;
                        let small = if whole { &[][..] } else { &small };
                        if let Some(to) = run(&words, &ids, side, phrase, from, small)
                            && let Some(list) = found.get_mut(*term)
                        {
                            list.push(At { from, to });
                        }
                    }
                }
            }
            for list in &mut found {
                list.sort_by_key(|at| (at.from, at.to));
                list.dedup();
            }
            found
        };
        let (groups, literals) = (first(0), first(1));
        let mut said = Self {
            tokens,
            words: Vec::new(),
            groups,
            literals,
        };
        clauses::divide(&mut words, &said, lexicon);
        said.words = words;
        cues::mark(&mut said, lexicon);
        said
    }

    /// Where the terms of another book are said, by the number of the term.
    pub(super) fn find(&self, book: &PhraseBook, lexicon: &Lexicon) -> Vec<Vec<At>> {
        let filler = lexicon.names.get("cue filler").copied();
        let mut ids: Vec<[Vec<WordId>; 2]> = Vec::new();
        let mut small: Vec<bool> = Vec::new();
        for word in &self.words {
            // Numbers are given in the order spellings first stand in the text.
            if word.spelling >= ids.len() {
                let token = &word.token;
                ids.push([meant(token, book, lexicon), Vec::new()]);
                let own = lexicon.phrases.words.exact(&token.text, &token.stem);
                small.push(is_filler(&own, filler, lexicon));
            }
        }
        let mut found: Vec<Vec<At>> = std::iter::repeat_with(Vec::new).take(book.terms).collect();
        for (from, word) in self.words.iter().enumerate() {
            for id in ids.get(word.spelling).map_or(&[][..], |pair| &pair[0]) {
                for (phrase, term) in book.starting(*id) {
                    if let Some(to) = run(&self.words, &ids, 0, phrase, from, &small)
                        && let Some(list) = found.get_mut(*term)
                    {
                        list.push(At { from, to });
                    }
                }
            }
        }
        found
    }

    /// Where a group is said.
    pub(super) fn group(&self, lexicon: &Lexicon, name: &str) -> &[At] {
        lexicon
            .names
            .get(name)
            .and_then(|term| self.groups.get(*term))
            .map_or(&[], Vec::as_slice)
    }

    /// The words from `at.from` to `at.to`.
    pub(super) fn slice(&self, at: At) -> &[Word] {
        self.words.get(at.from..at.to).unwrap_or_default()
    }

    /// Whether any word of it is meant so.
    pub(super) fn any(&self, at: At, how: impl Fn(&Meant) -> bool) -> bool {
        self.slice(at).iter().any(|word| how(&word.meant))
    }
}

/// Words and numbers with their places; signs only move the place on.
fn words_of(tokens: &[Token]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::with_capacity(tokens.len());
    let (mut place, mut clause, mut sentence) = (0, 0, 0);
    let mut spellings: HashMap<&str, usize> = HashMap::with_capacity(tokens.len());
    for token in tokens {
        if token.kind == Kind::Sign {
            match token.text.as_str() {
                // "Cannot. Get. Words. Out." is one sentence.
                "." if alone(&words) => place += 1,
                "." | "!" | "?" | "\n" => {
                    place += 4;
                    clause += 1;
                    sentence += 1;
                }
                "," | ";" | ":" | "(" | ")" => {
                    place += 1;
                    clause += 1;
                }
                _ => {}
            }
            continue;
        }
        place += 1;
        let next = spellings.len();
        words.push(Word {
            spelling: *spellings.entry(&token.text).or_insert(next),
            number: token.number().or_else(|| value(&token.text)),
            token: token.clone(),
            place,
            clause,
            sentence,
            meant: Meant::default(),
        });
    }
    words
}

/// Whether the last word is a sentence of its own: then its full stop is only for weight.
fn alone(words: &[Word]) -> bool {
    match words {
        [.., before, last] => last.token.kind == Kind::Word && before.sentence != last.sentence,
        [last] => last.token.kind == Kind::Word,
        [] => false,
    }
}

/// The phrase words a token may be: as spelt, else by a small typo unless it is a real word.
fn resolve(token: &Token, books: [&PhraseBook; 2], lexicon: &Lexicon) -> [Vec<WordId>; 2] {
    let exact = books.map(|book| book.words.exact(&token.text, &token.stem));
    let known = exact.iter().any(|ids| !ids.is_empty());
    if known || !may_be_mistyped(token, lexicon) {
        return exact;
    }
    let near = books.map(|book| book.words.near(&token.text));
    let best = near.iter().map(|(distance, _)| *distance).min();
    near.map(|(distance, ids)| {
        if Some(distance) == best {
            ids
        } else {
            Vec::new()
        }
    })
}

/// The words of a book that a token may be: as spelt or stemmed, a word that means the same, else
/// by a small typo.
fn meant(token: &Token, book: &PhraseBook, lexicon: &Lexicon) -> Vec<WordId> {
    let mut exact = book.words.exact(&token.text, &token.stem);
    // "came" is said where "come" is written.
    if let Some(meant) = lexicon.same.get(&token.stem) {
        exact.extend(book.words.exact(meant, meant));
        exact.sort_unstable();
        exact.dedup();
    }
    if exact.is_empty() && may_be_mistyped(token, lexicon) {
        return book.words.near(&token.text).1;
    }
    exact
}

/// A word of middling length that is no real word otherwise.
fn may_be_mistyped(token: &Token, lexicon: &Lexicon) -> bool {
    token.kind != Kind::Number
        && (4..=24).contains(&token.text.len())
        && !lexicon.protected.contains(&token.text)
        && !lexicon.protected.contains(&token.stem)
}

/// Whether a word is one of the small words that may stand inside a phrase.
fn is_filler(ids: &[WordId], filler: Option<usize>, lexicon: &Lexicon) -> bool {
    filler.is_some_and(|filler| {
        ids.iter()
            .any(|word| lexicon.phrases.is_term(*word, filler))
    })
}

/// Where a phrase that begins at `from` ends, if it is said there; up to two small words may
/// stand between its words, a full stop may not.
fn run(
    words: &[Word],
    ids: &[[Vec<WordId>; 2]],
    side: usize,
    phrase: &Phrase,
    from: usize,
    small: &[bool],
) -> Option<usize> {
    super::work::steps(1);
    let mut at = from + 1;
    let sentence = words.get(from)?.sentence;
    for place in phrase.iter().skip(1) {
        let mut skipped = 0;
        loop {
            let word = words.get(at)?;
            let here = ids.get(word.spelling)?;
            if word.sentence != sentence {
                return None;
            }
            if here[side].iter().any(|id| place.binary_search(id).is_ok()) {
                break;
            }
            skipped += 1;
            if small.get(word.spelling) != Some(&true) || skipped > 2 {
                return None;
            }
            at += 1;
        }
        at += 1;
    }
    Some(at)
}
