//! Phrases compiled for matching: for each place the words that may stand there.

use super::spread::{Places, spread};
use super::words::{Vocabulary, WordId};

/// A written word cut where figures meet letters or signs, as texts are cut (`9th` is `9`, `th`).
fn figures_apart(word: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut from = 0;
    let mut before: Option<bool> = None;
    for (at, c) in word.char_indices() {
        let figure = c.is_ascii_digit();
        if c == '/' || before.is_some_and(|was| was != figure) {
            pieces.push(word.get(from..at).unwrap_or_default());
            from = if c == '/' { at + 1 } else { at };
        }
        before = (c != '/').then_some(figure);
    }
    pieces.push(word.get(from..).unwrap_or_default());
    pieces.retain(|piece| !piece.is_empty());
    pieces
}

/// A phrase, found by a word it may begin with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Phrase {
    /// Its places after the first, `from..to` among those of the book.
    places: (u32, u32),
    /// What it stands for, `from..to` among the terms of the book.
    terms: (u32, u32),
}

/// The phrases that begin with one word; their marks lie side by side, so that looking through many
/// of them reads little.
#[derive(Clone, Debug, Default)]
struct Starting {
    /// Marks of the words that may stand second in each; none for a phrase of one word.
    second: Vec<u64>,
    phrases: Vec<Phrase>,
}

/// One of 64 marks for a word, so that most phrases are left alone without a closer look.
pub(crate) const fn mark(word: WordId) -> u64 {
    // The golden ratio spreads numbers in a row (Knuth 1973, section 6.4; from memory).
    1 << (word.wrapping_mul(0x9e37_79b9) >> 26)
}

/// Phrases of one file, each standing for terms; found by their first word.
#[derive(Clone, Debug, Default)]
pub(crate) struct PhraseBook {
    /// The words.
    pub(crate) words: Vocabulary,
    /// Where the words of each place begin in `choices`.
    places: Vec<u32>,
    /// The words that may stand at a place, sorted, one place after another.
    choices: Vec<WordId>,
    terms: Vec<u32>,
    by_first: Vec<Starting>,
}

impl PhraseBook {
    /// Adds a phrase that stands for `term`, with all it spreads to; an empty phrase is left out,
    /// and so is one that cannot be read (its file reports it).
    pub(crate) fn add(&mut self, phrase: &str, term: usize) {
        self.add_for(&spread(phrase).unwrap_or_default(), &[term]);
    }

    /// Adds sayings that stand for several terms.
    pub(crate) fn add_for(&mut self, sayings: &[Places], terms: &[usize]) {
        let from = short(self.terms.len());
        self.terms.extend(terms.iter().map(|term| short(*term)));
        let terms = (from, short(self.terms.len()));
        for saying in sayings {
            self.keep(saying, terms);
        }
    }

    fn keep(&mut self, saying: &[Vec<String>], terms: (u32, u32)) {
        let from = self.places.len();
        for words in saying {
            self.place(words);
        }
        let to = self.places.len();
        if from == to {
            return;
        }
        let second = if to - from > 1 {
            let marks = self.choices(from + 1).iter().map(|word| mark(*word));
            marks.fold(0, |all, one| all | one)
        } else {
            0
        };
        let phrase = Phrase {
            places: (short(from + 1), short(to)),
            terms,
        };
        for at in self.range(from) {
            let first = self.choices.get(at).map_or(0, |word| *word as usize);
            if self.by_first.len() <= first {
                self.by_first.resize_with(first + 1, Starting::default);
            }
            if let Some(list) = self.by_first.get_mut(first) {
                list.second.push(second);
                list.phrases.push(phrase);
            }
        }
    }

    /// Adds the words of one place; a word with figures in it takes several.
    fn place(&mut self, words: &[String]) {
        let mut cut: Vec<Vec<WordId>> = Vec::new();
        for word in words {
            for (at, piece) in figures_apart(word).into_iter().enumerate() {
                let id = self.words.intern(piece);
                match cut.get_mut(at) {
                    Some(place) => place.push(id),
                    None => cut.push(vec![id]),
                }
            }
        }
        for mut place in cut {
            place.sort_unstable();
            place.dedup();
            self.places.push(short(self.choices.len()));
            self.choices.append(&mut place);
        }
    }

    fn range(&self, place: usize) -> std::ops::Range<usize> {
        let start = |place: usize| self.places.get(place).map(|at| *at as usize);
        let end = self.choices.len();
        start(place).unwrap_or(end)..start(place + 1).unwrap_or(end)
    }

    /// The words that may stand at a place, sorted.
    fn choices(&self, place: usize) -> &[WordId] {
        self.choices.get(self.range(place)).unwrap_or_default()
    }

    /// Phrases that begin with this word and may go on with a word marked here; those of one word
    /// are always among them.
    pub(crate) fn starting(&self, first: WordId, marks: u64) -> impl Iterator<Item = &Phrase> {
        let list = self.by_first.get(first as usize);
        list.into_iter().flat_map(move |list| {
            let both = list.second.iter().zip(&list.phrases);
            both.filter(move |(second, _)| **second == 0 || **second & marks != 0)
                .map(|(_, phrase)| phrase)
        })
    }

    /// For each place of a phrase after the first, the words that may stand there, sorted.
    pub(crate) fn rest(&self, phrase: &Phrase) -> impl Iterator<Item = &[WordId]> {
        let (from, to) = phrase.places;
        (from..to).map(|place| self.choices(place as usize))
    }

    /// What a phrase stands for.
    pub(crate) fn terms(&self, phrase: &Phrase) -> &[u32] {
        let (from, to) = phrase.terms;
        let terms = self.terms.get(from as usize..to as usize);
        terms.unwrap_or_default()
    }

    /// For each word, by its number, whether it stands for a term by itself.
    pub(crate) fn alone(&self, term: usize) -> Vec<bool> {
        let here = |(second, phrase): (&u64, &Phrase)| {
            *second == 0 && self.terms(phrase).contains(&short(term))
        };
        let lists = self.by_first.iter();
        lists
            .map(|list| list.second.iter().zip(&list.phrases).any(here))
            .collect()
    }
}

/// A number of the book; no catalog is so large that one does not fit.
fn short(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
