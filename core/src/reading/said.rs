//! One text made ready: its words, where each group of the lexicon is said, and how it is meant
//! (denied, past, only thought of, about somebody else).

use super::hits::Hits;
use super::known::{Ids, Meaning, Words};
use super::measure::value;
use super::token::{Kind, Token, tokens};
use super::{clauses, cues};
use crate::catalog::words::{Phrase, PhraseBook, WordId, mark};
use crate::catalog::{Catalog, Lexicon};
use std::rc::Rc;

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
    pub(super) groups: Hits,
    /// Where each phrase of the flag file is said.
    pub(super) literals: Hits,
    /// What is known of each spelling, by its number.
    meanings: Vec<Rc<Meaning>>,
}

impl Said {
    /// Makes a text ready; what is known of its words is kept for the texts after it.
    pub(super) fn new(text: &str, catalog: &Catalog, known: &mut Words) -> Self {
        let lexicon = &catalog.lexicon;
        let tokens = tokens(text);
        let (mut words, meanings) = words_of(&tokens, catalog, known);
        // A saying counts word for word only; small words between make it something else.
        let saying = lexicon.number("cue idiom");
        let groups = Search {
            words: &words,
            ids: meanings.iter().map(|word| &word.groups[..]).collect(),
            small: meanings.iter().map(|word| word.small).collect(),
            book: &lexicon.phrases,
        };
        let groups = groups.found(saying.and_then(|term| u32::try_from(term).ok()));
        let literals = Search {
            words: &words,
            ids: meanings.iter().map(|word| &word.literals[..]).collect(),
            small: meanings.iter().map(|word| word.small).collect(),
            book: &catalog.flags.literals,
        };
        let mut said = Self {
            tokens,
            words: Vec::new(),
            groups: Hits::in_order(groups),
            literals: Hits::in_order(literals.found(None)),
            meanings: Vec::new(),
        };
        clauses::divide(&mut words, &said, lexicon);
        said.words = words;
        said.meanings = meanings;
        cues::mark(&mut said, lexicon);
        said
    }

    /// Where the terms of another book are said.
    pub(super) fn find(&self, book: &PhraseBook, lexicon: &Lexicon) -> Hits {
        let mut ids: Vec<Ids> = Vec::with_capacity(self.meanings.len());
        for word in &self.words {
            // Numbers are given in the order spellings first stand in the text.
            if word.spelling >= ids.len()
                && let Some(meaning) = self.meanings.get(word.spelling)
            {
                ids.push(meaning.of(book, &word.token, lexicon));
            }
        }
        let search = Search {
            words: &self.words,
            ids: ids
                .iter()
                .map(|ids| ids.as_deref().unwrap_or_default())
                .collect(),
            small: self
                .meanings
                .iter()
                .map(|word| word.small_as_spelt)
                .collect(),
            book,
        };
        Hits::new(search.found(None))
    }

    /// What is known of a word.
    pub(super) fn meaning(&self, word: &Word) -> Option<&Meaning> {
        self.meanings.get(word.spelling).map(AsRef::as_ref)
    }

    /// Where a group is said.
    pub(super) fn group(&self, lexicon: &Lexicon, name: &str) -> &[At] {
        let number = lexicon.number(name);
        number.map_or(&[], |term| self.groups.of(term))
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

/// Words and numbers with their places, and what is known of each spelling; signs only move the
/// place on.
fn words_of(
    tokens: &[Token],
    catalog: &Catalog,
    known: &mut Words,
) -> (Vec<Word>, Vec<Rc<Meaning>>) {
    let mut words: Vec<Word> = Vec::with_capacity(tokens.len());
    let mut meanings: Vec<Rc<Meaning>> = Vec::with_capacity(tokens.len());
    let (mut place, mut clause, mut sentence) = (0, 0, 0);
    known.next_text();
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
        let (spelling, new) = known.of(token, meanings.len(), catalog);
        meanings.extend(new);
        words.push(Word {
            spelling,
            number: token.number().or_else(|| value(&token.text)),
            token: token.clone(),
            place,
            clause,
            sentence,
            meant: Meant::default(),
        });
    }
    (words, meanings)
}

/// Whether the last word is a sentence of its own: then its full stop is only for weight.
fn alone(words: &[Word]) -> bool {
    match words {
        [.., before, last] => last.token.kind == Kind::Word && before.sentence != last.sentence,
        [last] => last.token.kind == Kind::Word,
        [] => false,
    }
}

/// Small words that may stand between two words of a phrase, at most.
const BETWEEN: usize = 2;

/// A search for the phrases of one book.
struct Search<'a> {
    words: &'a [Word],
    /// The words of the book that each spelling may be.
    ids: Vec<&'a [WordId]>,
    /// Whether each spelling is a small word that may stand inside a phrase.
    small: Vec<bool>,
    book: &'a PhraseBook,
}

impl Search<'_> {
    /// Every term with where it is said; between the words of a `whole` one nothing may stand.
    fn found(&self, whole: Option<u32>) -> Vec<(u32, At)> {
        let mut found = Vec::with_capacity(self.words.len() * 4);
        for (from, word) in self.words.iter().enumerate() {
            let first = self.ids(word);
            if first.is_empty() {
                continue;
            }
            let next = self.next(from, word);
            for id in first {
                for phrase in self.book.starting(*id, next) {
                    self.note(phrase, from, whole, &mut found);
                }
            }
        }
        found
    }

    /// Notes the terms of a phrase that is said at `from`.
    fn note(&self, phrase: &Phrase, from: usize, whole: Option<u32>, found: &mut Vec<(u32, At)>) {
        let Some(to) = self.end(phrase, from, BETWEEN) else {
            return;
        };
        let straight = |term: &u32| Some(*term) != whole || self.end(phrase, from, 0).is_some();
        let terms = self.book.terms(phrase).iter();
        let said = terms.filter(|term| straight(term));
        found.extend(said.map(|term| (*term, At { from, to })));
    }

    fn ids(&self, word: &Word) -> &[WordId] {
        self.ids.get(word.spelling).copied().unwrap_or_default()
    }

    /// Marks of every word that may stand second in a phrase that begins at `from`.
    fn next(&self, from: usize, first: &Word) -> u64 {
        let mut marks = 0;
        for word in self.words.iter().skip(from + 1).take(BETWEEN + 1) {
            if word.sentence != first.sentence {
                break;
            }
            marks = self.ids(word).iter().fold(marks, |all, id| all | mark(*id));
            if self.small.get(word.spelling) != Some(&true) {
                break;
            }
        }
        marks
    }

    /// Where a phrase that begins at `from` ends, if it is said there; up to so many small words
    /// may stand between two of its words, a full stop may not.
    fn end(&self, phrase: &Phrase, from: usize, between: usize) -> Option<usize> {
        super::work::steps(1);
        let mut at = from + 1;
        let sentence = self.words.get(from)?.sentence;
        for place in self.book.rest(phrase) {
            let mut skipped = 0;
            loop {
                let word = self.words.get(at)?;
                if word.sentence != sentence {
                    return None;
                }
                let here = self.ids(word);
                if here.iter().any(|id| place.binary_search(id).is_ok()) {
                    break;
                }
                skipped += 1;
                if self.small.get(word.spelling) != Some(&true) || skipped > between {
                    return None;
                }
                at += 1;
            }
            at += 1;
        }
        Some(at)
    }
}
