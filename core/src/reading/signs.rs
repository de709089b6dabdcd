//! Signs in words: the catalog's phrases found by their content words, in any order, near together.
//!
//! A guess about a cause ("weak triceps") is no sign: only what a phrase of the catalog says is.

use super::said::{At, Said, Word};
use super::wordings::{Concepts, at_large};
use super::{Polarity, SignMention};
use crate::catalog::words::{Spellings, WordId, WordTable, fold, stem};
use crate::catalog::{Catalog, Lexicon};
use crate::report::Lift;
use std::collections::BTreeMap;

/// Small words that carry nothing in a phrase of several words.
const SMALL: [&str; 46] = [
    "i", "im", "my", "me", "the", "a", "an", "it", "its", "is", "are", "was", "be", "of", "to",
    "at", "on", "and", "when", "with", "that", "this", "for", "as", "or", "so", "very", "really",
    "just", "get", "gets", "got", "have", "has", "had", "do", "does", "some", "there", "if",
    "then", "bit", "kind", "like", "feels", "feel",
];

/// Words more than a phrase's own that may stand between its words.
const ROOM: usize = 4;

/// One phrase made ready, its words as numbers of the book's vocabulary.
#[derive(Debug)]
struct Phrase {
    lift: Lift,
    sign: usize,
    content: Vec<WordId>,
    whole: Vec<WordId>,
    /// A question itself ("does that count?").
    asks: bool,
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
    lift: Option<Lift>,
    phrases: Vec<Phrase>,
    words: WordTable<WordId>,
    spellings: Spellings,
    /// Phrases by a word of theirs, once for each time it stands in the phrase.
    by_word: Vec<Vec<usize>>,
}

/// One phrase found.
#[derive(Clone)]
struct Found {
    lift: Lift,
    sign: String,
    share: f64,
    words: Vec<usize>,
    size: usize,
    /// Its words stand further apart than in the phrase.
    loose: bool,
    /// What the wording itself says; else a denial beside it decides.
    polarity: Option<Polarity>,
    /// The phrase is a question itself.
    asks: bool,
}

/// Where each word of the vocabulary stands, by its number.
type Places = BTreeMap<WordId, Vec<usize>>;

/// Every sign found, each once, in the order of the text.
pub(super) fn signs(
    said: &Said,
    catalog: &Catalog,
    book: &SignBook,
    lift_unknown: bool,
) -> Vec<SignMention> {
    let lexicon = &catalog.lexicon;
    let mut known: Vec<Option<WordId>> = Vec::new();
    let mut ids: Vec<Option<WordId>> = Vec::with_capacity(said.words.len());
    for word in &said.words {
        // Numbers are given in the order words first stand in the text.
        if word.spelling >= known.len() {
            known.push(book.known(word, lexicon));
        }
        ids.push(known.get(word.spelling).copied().flatten());
    }
    leave_compounds(said, &mut ids);
    let mut places: Places = BTreeMap::new();
    for (index, id) in ids.iter().enumerate() {
        if let Some(id) = id {
            places.entry(*id).or_default().push(index);
        }
    }
    let mut found: Vec<Found> = Vec::new();
    let at_large = at_large(said);
    for phrase in book.candidates(&places) {
        if let Some((words, share)) = place(phrase, said, &ids, &places) {
            let signs = catalog.lifts.get(&phrase.lift);
            let Some(sign) = signs.and_then(|signs| signs.signs.get(phrase.sign)) else {
                continue;
            };
            found.push(Found {
                lift: phrase.lift,
                sign: sign.id.clone(),
                share,
                loose: words
                    .last()
                    .zip(words.first())
                    .is_some_and(|(last, first)| last - first >= phrase.whole.len()),
                words,
                size: phrase.content.len().max(1),
                polarity: None,
                asks: phrase.asks,
            });
        }
    }
    let concepts = Concepts::new(said, &catalog.sign_words, lexicon);
    found.extend(by_concepts(said, catalog, book, &concepts));
    found.retain(|one| !concepts.aside(&one.words));
    found.retain(|one| {
        let sentence = one.words.first().and_then(|at| said.words.get(*at));
        one.asks || sentence.is_none_or(|word| !at_large.contains(&word.sentence))
    });
    let kept = settle(&found, lift_unknown);
    mentions(said, lexicon, &kept)
}

/// The hand of "hand off" holds no bar, and "back squats" are the exercise.
fn leave_compounds(said: &Said, ids: &mut [Option<WordId>]) {
    for at in 1..ids.len() {
        let text = |at: usize| {
            said.words
                .get(at)
                .map_or("", |word| word.token.text.as_str())
        };
        if text(at - 1) == "hand" && matches!(text(at), "off" | "out") && text(at + 1) != "the" {
            for slot in ids.iter_mut().take(at + 1).skip(at - 1) {
                *slot = None;
            }
        }
        let mine = at >= 2 && matches!(text(at - 2), "my" | "lower" | "low" | "upper");
        if text(at - 1) == "back"
            && text(at).starts_with("squat")
            && !mine
            && let Some(slot) = ids.get_mut(at - 1)
        {
            *slot = None;
        }
    }
}

/// Signs said in other words than the phrases of the catalog, by their concepts.
fn by_concepts(
    said: &Said,
    catalog: &Catalog,
    book: &SignBook,
    concepts: &Concepts<'_>,
) -> Vec<Found> {
    let lift_of = |id: &str| {
        let mut lifts = catalog.lifts.iter();
        lifts.find_map(|(lift, signs)| {
            let here = book.lift.is_none_or(|only| only == *lift);
            (here && signs.sign(id).is_some()).then_some(*lift)
        })
    };
    let worded = concepts.worded(|id| lift_of(id).is_some());
    let idiom = |at: &usize| said.words.get(*at).is_some_and(|word| word.meant.idiom);
    let pain = |id: &str| {
        let mut lifts = catalog.lifts.values();
        lifts.any(|signs| signs.sign(id).is_some_and(|sign| sign.pain))
    };
    worded
        .into_iter()
        .filter(|one| !pain(one.sign) || !one.words.iter().any(idiom))
        .filter_map(|one| {
            Some(Found {
                lift: lift_of(one.sign)?,
                sign: one.sign.to_owned(),
                share: 1.0,
                words: one.words,
                size: 2,
                loose: false,
                polarity: one.polarity,
                asks: false,
            })
        })
        .collect()
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
        for token in super::token::tokens(text) {
            if token.kind == super::token::Kind::Sign {
                continue;
            }
            let id = self.intern(&canonical(&token.text, lexicon));
            whole.push(id);
            if !SMALL.contains(&token.text.as_str()) {
                content.push(id);
            }
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
    fn known(&self, word: &Word, lexicon: &Lexicon) -> Option<WordId> {
        let text = &word.token.text;
        let meant = lexicon.same.get(&word.token.stem);
        let canonical = meant.unwrap_or(&word.token.stem);
        if let Some(id) = self.words.get(canonical) {
            return Some(*id);
        }
        if canonical.len() < 4 || canonical.len() > 24 || lexicon.protected.contains(text) {
            return None;
        }
        self.spellings.near(canonical).1.first().copied()
    }

    /// Phrases enough of whose words are there, in the order of the catalog.
    fn candidates(&self, places: &Places) -> Vec<&Phrase> {
        let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
        for id in places.keys() {
            for number in self.by_word.get(*id as usize).into_iter().flatten() {
                *counts.entry(*number).or_default() += 1;
            }
        }
        counts
            .into_iter()
            .filter_map(|(number, count)| {
                self.phrases
                    .get(number)
                    .filter(|phrase| count >= phrase.needed().min(phrase.content.len().max(1)))
            })
            .collect()
    }
}

/// Where a phrase stands best, and what share of its content words.
fn place(
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
        for start in places.get(word).into_iter().flatten() {
            let words = window(phrase, said, places, *start);
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
        let list = places.get(word).map_or(&[][..], Vec::as_slice);
        let from = list.partition_point(|at| *at < start);
        let next = list
            .iter()
            .skip(from)
            .take_while(|at| **at < end)
            .find(|at| !taken.contains(at) && together(**at));
        if let Some(at) = next {
            taken.push(*at);
        }
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
    places.get(first)?.iter().find_map(|start| {
        let mut words = vec![*start];
        let mut at = *start;
        for word in whole.iter().skip(1) {
            at = (at + 1..=at + 2).find(|next| {
                ids.get(*next) == Some(&Some(*word))
                    && said.words.get(*next).map(|w| w.sentence)
                        == said.words.get(*start).map(|w| w.sentence)
            })?;
            words.push(at);
        }
        Some(words)
    })
}

/// Finds of one sign that are weighed against others, at most; each sign is mentioned once.
const EACH: usize = 8;

/// Keeps whole matches over partial ones at the same words, and with the lift unknown only what
/// one lift alone says.
fn settle(found: &[Found], lift_unknown: bool) -> Vec<Found> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let found: Vec<&Found> = found
        .iter()
        .filter(|one| {
            let count = counts.entry(one.sign.as_str()).or_default();
            *count += 1;
            *count <= EACH
        })
        .collect();
    let overlap = |a: &Found, b: &Found| {
        let apart = a.words.last() < b.words.first() || b.words.last() < a.words.first();
        super::work::steps(1);
        !apart && a.words.iter().any(|word| b.words.contains(word))
    };
    let kept = found.iter().filter(|one| {
        let others: Vec<&Found> = found
            .iter()
            .copied()
            .filter(|other| other.sign != one.sign && overlap(one, other))
            .collect();
        let partial = one.share < 1.0 && others.iter().any(|other| other.share > one.share);
        // Two words of a phrase picked from what says something else.
        let picked = one.loose && one.size <= 2 && others.iter().any(|other| !other.loose);
        let ambiguous = lift_unknown
            && others
                .iter()
                .any(|other| other.lift != one.lift && other.words.len() >= one.words.len());
        // One word that another sign says more with ("blades pinned" is no pinned lifter).
        let within = one.size == 1
            && others.iter().any(|other| {
                other.size > 1 && one.words.iter().all(|word| other.words.contains(word))
            });
        !partial && !picked && !ambiguous && !within
    });
    kept.copied().cloned().collect()
}

/// Mentions from what was found: each sign once, denied or past ones as absent.
fn mentions(said: &Said, lexicon: &Lexicon, found: &[Found]) -> Vec<SignMention> {
    let over = Over {
        stopped: said.group(lexicon, "cue stopped"),
        fine: said.group(lexicon, "cue negation after"),
    };
    let mut out: Vec<SignMention> = Vec::new();
    for one in found {
        let (Some(first), Some(last)) = (one.words.first().copied(), one.words.last().copied())
        else {
            continue;
        };
        if others(said, lexicon, first)
            || one
                .words
                .iter()
                .any(|at| said.words.get(*at).is_some_and(|w| w.meant.thought))
        {
            continue;
        }
        let polarity = one.polarity.unwrap_or_else(|| {
            if over.absent(said, &one.words) {
                Polarity::Absent
            } else {
                Polarity::Present
            }
        });
        let base: f64 = match one.polarity {
            Some(_) => 0.85,
            None if one.size == 1 => 0.75,
            None => 0.9,
        };
        let confidence = (base * one.share * 100.0).round() / 100.0;
        let from = said.words.get(first).map_or(0, |w| w.token.span[0]);
        let to = said.words.get(last).map_or(from, |w| w.token.span[1]);
        match out.iter_mut().find(|mention| mention.sign == one.sign) {
            // A phrase that holds its own "no" outweighs words that are only denied by it.
            Some(mention)
                if polarity == Polarity::Absent
                    && mention.polarity == Polarity::Present
                    && mention.span[0] < to
                    && from < mention.span[1] => {}
            Some(mention)
                if !(mention.polarity == Polarity::Absent
                    && polarity == Polarity::Present
                    && mention.span[0] < to
                    && from < mention.span[1])
                    && mention.confidence > confidence
                    || (mention.confidence >= confidence
                        && mention.span[1] - mention.span[0] >= to.saturating_sub(from)) => {}
            Some(mention) => {
                *mention = SignMention {
                    sign: one.sign.clone(),
                    polarity,
                    span: [from, to],
                    confidence,
                };
            }
            None => out.push(SignMention {
                sign: one.sign.clone(),
                polarity,
                span: [from, to],
                confidence,
            }),
        }
    }
    out.sort_by(|a, b| a.span.cmp(&b.span).then_with(|| a.sign.cmp(&b.sign)));
    out
}

/// Whether the words belong to somebody else ("his knees cave", "my brother bounces it").
fn others(said: &Said, lexicon: &Lexicon, first: usize) -> bool {
    let before = first.checked_sub(1).and_then(|at| said.words.get(at));
    let owner = before.is_some_and(|word| {
        matches!(
            word.token.text.as_str(),
            "his" | "her" | "their" | "mates" | "friends" | "brothers" | "dads"
        )
    });
    let persons = said.group(lexicon, "cue other person");
    owner
        || persons
            .iter()
            .any(|at| at.to == first && at.to - at.from > 0)
}

/// Where the text says that something is over or well.
struct Over<'a> {
    stopped: &'a [At],
    fine: &'a [At],
}

impl Over<'_> {
    /// Whether the words are denied by a denial that is not part of them, or told as over.
    fn absent(&self, said: &Said, words: &[usize]) -> bool {
        let (Some(first), Some(last)) = (words.first(), words.last()) else {
            return false;
        };
        let clause = |at: usize| said.words.get(at).map(|word| word.clause);
        // "the bar is a good way off": what stands inside is said of something else.
        let inside = |by: usize| self.fine.iter().any(|at| at.from == by) && by < *last;
        let denied = words.iter().any(|at| {
            said.words
                .get(*at)
                .and_then(|word| word.meant.denied)
                .is_some_and(|by| !words.contains(&by) && !inside(by))
        });
        let over = self.stopped.iter().any(|at| {
            !words.contains(&at.from)
                && (clause(at.from) == clause(*first) || clause(at.from) == clause(*last))
        });
        denied || over
    }
}
