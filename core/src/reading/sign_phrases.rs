//! The phrases of the catalog's signs, compiled, and where their words stand in a text: in any
//! order, near together.

use super::said::Said;
use super::token::Token;
use crate::catalog::words::{Spellings, WordId, WordTable, fold, stem};
use crate::catalog::{Catalog, Lexicon};
use crate::report::Lift;

/// Small words that carry nothing in a phrase of several words.
const SMALL: [&str; 46] = [
    "i", "im", "my", "me", "the", "a", "an", "it", "its", "is", "are", "was", "be", "of", "to",
    "at", "on", "and", "when", "with", "that", "this", "for", "as", "or", "so", "very", "really",
    "just", "get", "gets", "got", "have", "has", "had", "do", "does", "some", "there", "if",
    "then", "bit", "kind", "like", "feels", "feel",
];

/// Words that deny what follows at once.
const DENYING: [&str; 6] = ["isnt", "arent", "wasnt", "werent", "not", "aint"];

/// Words more than a phrase's own that may stand between its words.
const ROOM: usize = 4;

/// One phrase made ready, its words as numbers of the book's vocabulary.
#[derive(Debug)]
pub(super) struct Phrase {
    pub(super) lift: Lift,
    pub(super) sign: usize,
    pub(super) content: Vec<WordId>,
    pub(super) whole: Vec<WordId>,
    /// A question itself ("does that count?").
    pub(super) asks: bool,
}

impl Phrase {
    /// Content words that have to be there.
    const fn needed(&self) -> usize {
        match self.content.len() {
            count @ 0..=3 => count,
            count => count - count / 4,
        }
    }
}

/// Every phrase of the signs of one lift, or of all.
#[derive(Debug)]
pub(super) struct SignBook {
    pub(super) lift: Option<Lift>,
    phrases: Vec<Phrase>,
    words: WordTable<WordId>,
    spellings: Spellings,
    /// Phrases by a word of theirs, once for each time it stands in the phrase.
    by_word: Vec<Vec<usize>>,
}

/// Where each word of the vocabulary stands.
pub(super) struct Places(Vec<(WordId, usize)>);

impl Places {
    /// The places of these words, which are none of the vocabulary's where there is no number.
    pub(super) fn new(ids: &[Option<WordId>]) -> Self {
        let known = ids.iter().enumerate();
        let mut all: Vec<(WordId, usize)> =
            known.filter_map(|(at, id)| Some(((*id)?, at))).collect();
        all.sort_unstable();
        Self(all)
    }

    /// Places of a word at `from` or after it, in order.
    fn from(&self, word: WordId, from: usize) -> impl Iterator<Item = usize> {
        let low = self.0.partition_point(|one| *one < (word, from));
        let rest = self.0.iter().skip(low);
        rest.take_while(move |(id, _)| *id == word)
            .map(|(_, at)| *at)
    }

    /// Places of a word, in order.
    fn of(&self, word: WordId) -> impl Iterator<Item = usize> {
        self.from(word, 0)
    }

    /// The words, each once.
    fn words(&self) -> impl Iterator<Item = WordId> {
        let runs = self.0.chunk_by(|a, b| a.0 == b.0);
        runs.filter_map(|run| run.first().map(|(id, _)| *id))
    }
}

/// A word as it counts in phrases: its stem, one stem for words that mean the same.
fn canonical(word: &str, lexicon: &Lexicon) -> String {
    let stem = stem(&fold(word));
    lexicon.same.get(&stem).cloned().unwrap_or(stem)
}

impl SignBook {
    /// Compiles the phrases of a lift, or of every lift.
    pub(super) fn new(catalog: &Catalog, lift: Option<Lift>) -> Self {
        let mut book = Self {
            lift,
            phrases: Vec::new(),
            words: WordTable::default(),
            spellings: Spellings::default(),
            by_word: Vec::new(),
        };
        for (book_lift, signs) in &catalog.lifts {
            if lift.is_some_and(|lift| lift != *book_lift) {
                continue;
            }
            for (sign, entry) in signs.signs.iter().enumerate() {
                for text in &entry.phrases {
                    book.add(text, *book_lift, sign, &catalog.lexicon);
                }
            }
        }
        book
    }

    fn add(&mut self, text: &str, lift: Lift, sign: usize, lexicon: &Lexicon) {
        let mut content = Vec::new();
        let mut whole = Vec::new();
        let mut before = String::new();
        for token in super::token::tokens(text) {
            if token.kind == super::token::Kind::Sign {
                continue;
            }
            let id = self.intern(&canonical(&token.text, lexicon));
            whole.push(id);
            // What is denied counts, however small: "isn't on" is not "isn't".
            let denied = DENYING.contains(&fold(&before).as_str());
            if denied || !SMALL.contains(&token.text.as_str()) {
                content.push(id);
            }
            before.clone_from(&token.text);
        }
        let number = self.phrases.len();
        let found_by = if content.len() <= 1 {
            whole.get(..whole.len().min(1)).unwrap_or_default()
        } else {
            &content
        };
        for id in found_by {
            if let Some(list) = self.by_word.get_mut(*id as usize) {
                list.push(number);
            }
        }
        self.phrases.push(Phrase {
            lift,
            sign,
            content,
            whole,
            asks: text.contains('?') || text.starts_with("how "),
        });
    }

    fn intern(&mut self, word: &str) -> WordId {
        if let Some(id) = self.words.get(word) {
            return *id;
        }
        let id = WordId::try_from(self.by_word.len()).unwrap_or(WordId::MAX);
        self.words.insert(word.to_owned(), id);
        self.spellings.add(word, id);
        self.by_word.push(Vec::new());
        id
    }

    /// A word of the text as a phrase word, small typos forgiven.
    pub(super) fn known(&self, token: &Token, lexicon: &Lexicon) -> Option<WordId> {
        let text = &token.text;
        let meant = lexicon.same.get(&token.stem);
        let canonical = meant.unwrap_or(&token.stem);
        if let Some(id) = self.words.get(canonical) {
            return Some(*id);
        }
        if canonical.len() < 4 || canonical.len() > 24 || lexicon.protected.contains(text) {
            return None;
        }
        self.spellings.near(canonical).1.first().copied()
    }

    /// Phrases enough of whose words are there, in the order of the catalog.
    pub(super) fn candidates(&self, places: &Places) -> Vec<&Phrase> {
        let mut numbers: Vec<usize> = places
            .words()
            .flat_map(|id| self.by_word.get(id as usize).into_iter().flatten().copied())
            .collect();
        numbers.sort_unstable();
        let counts = numbers.chunk_by(|a, b| a == b);
        counts
            .filter_map(|same| {
                let phrase = self.phrases.get(*same.first()?)?;
                let needed = phrase.needed().min(phrase.content.len().max(1));
                (same.len() >= needed).then_some(phrase)
            })
            .collect()
    }
}

/// Where a phrase stands best, and what share of its content words.
pub(super) fn place(
    phrase: &Phrase,
    said: &Said,
    ids: &[Option<WordId>],
    places: &Places,
) -> Option<(Vec<usize>, f64)> {
    if phrase.content.len() <= 1 {
        return in_order(&phrase.whole, said, ids, places).map(|words| (words, 1.0));
    }
    let needed = phrase.needed();
    let mut best: Option<Vec<usize>> = None;
    'words: for word in &phrase.content {
        for start in places.of(*word) {
            let words = window(phrase, said, places, start);
            if words.len() >= needed && best.as_ref().is_none_or(|b| words.len() > b.len()) {
                let whole = words.len() == phrase.content.len();
                best = Some(words);
                if whole {
                    break 'words;
                }
            }
        }
    }
    let best = best.filter(|words| phrase.content.len() > 2 || !turned(phrase, said, ids, words));
    best.map(|words| {
        let share = words.len() as f64 / phrase.content.len() as f64;
        (words, share)
    })
}

/// Whether a word of direction that the phrase does not have stands between its two words: "back to
/// squatting" is no back that squats.
fn turned(phrase: &Phrase, said: &Said, ids: &[Option<WordId>], words: &[usize]) -> bool {
    let (Some(first), Some(last)) = (words.first(), words.last()) else {
        return false;
    };
    (first + 1..*last).any(|at| {
        let own = ids
            .get(at)
            .copied()
            .flatten()
            .is_some_and(|id| phrase.whole.contains(&id));
        let turns = said.words.get(at).is_some_and(|word| {
            matches!(
                word.token.text.as_str(),
                "to" | "into" | "from" | "after" | "before"
            )
        });
        turns && !own
    })
}

/// The phrase's words within the room that begins at `start`, in one sentence.
fn window(phrase: &Phrase, said: &Said, places: &Places, start: usize) -> Vec<usize> {
    super::work::steps(phrase.content.len());
    let end = start + phrase.whole.len() + ROOM;
    let opening = said.words.get(start);
    // Two words say something together only with no comma between; more of them also across.
    let together = |at: usize| {
        said.words
            .get(at)
            .zip(opening)
            .is_some_and(|(word, first)| {
                word.sentence == first.sentence
                    && (phrase.content.len() > 2 || word.place - first.place == at - start)
            })
    };
    let mut taken: Vec<usize> = Vec::new();
    for word in &phrase.content {
        let next = places
            .from(*word, start)
            .take_while(|at| *at < end)
            .find(|at| !taken.contains(at) && together(*at));
        taken.extend(next);
    }
    taken.sort_unstable();
    taken
}

/// A short phrase word for word, at most one other word between.
fn in_order(
    whole: &[WordId],
    said: &Said,
    ids: &[Option<WordId>],
    places: &Places,
) -> Option<Vec<usize>> {
    let first = whole.first()?;
    places.of(*first).find_map(|start| {
        let mut words = vec![start];
        let mut at = start;
        for word in whole.iter().skip(1) {
            at = (at + 1..=at + 2).find(|next| {
                ids.get(*next) == Some(&Some(*word))
                    && said.words.get(*next).map(|w| w.sentence)
                        == said.words.get(start).map(|w| w.sentence)
            })?;
            words.push(at);
        }
        Some(words)
    })
}
