//! Signs in words: the phrases of the catalog and wordings by concepts, weighed against one another.
//!
//! A guess about a cause ("weak triceps") is no sign: only what a phrase of the catalog says is.

use super::features::termed;
use super::posts::{self, FineByRule};
use super::said::{At, Said};
use super::sayings::{Told, Weighed};
use super::sign_phrases::{Places, SignBook, place};
use super::wordings::{Concepts, at_large};
use super::{Polarity, SignMention};
use crate::catalog::words::WordId;
use crate::catalog::{Catalog, Lexicon};
use crate::report::Lift;
use std::collections::BTreeMap;

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

/// Every sign found, each once, in the order of the text, and the rule by which the whole tells of
/// no fault.
pub(super) fn signs(
    said: &Said,
    catalog: &Catalog,
    book: &SignBook,
    lift_unknown: bool,
) -> (Vec<SignMention>, Option<FineByRule>) {
    let lexicon = &catalog.lexicon;
    let known = |word: &super::said::Word| {
        let meaning = said.meaning(word)?;
        meaning.sign_word(book, &word.token, lexicon)
    };
    let mut ids: Vec<Option<WordId>> = said.words.iter().map(known).collect();
    leave_compounds(said, &mut ids);
    let places = Places::new(&ids);
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
    let mut mentions = mentions(said, lexicon, &kept);
    let mut fine = None;
    if let Some(lift) = book.lift.filter(|_| !lift_unknown) {
        let terms = termed(said, catalog, concepts.groups());
        if let Some(weighed) = Weighed::new(said, catalog, &terms, lift) {
            by_sayings(said, catalog, &concepts, &at_large, &weighed, &mut mentions);
        }
        fine = posts::fine(said, catalog, &terms, lift);
    }
    (mentions, fine)
}

/// Adds the signs that no phrase and no concepts tell but the weight of the words does, where
/// nothing else was read of the same words.
fn by_sayings(
    said: &Said,
    catalog: &Catalog,
    concepts: &Concepts<'_>,
    at_large: &[usize],
    weighed: &Weighed<'_>,
    mentions: &mut Vec<SignMention>,
) {
    let all = weighed.told();
    reconsider(said, weighed, &all, mentions);
    for told in all {
        let (Some(first), Some(last)) = (told.words.first(), told.words.last()) else {
            continue;
        };
        let words = told.words.iter().filter_map(|at| said.words.get(*at));
        let meant = |how: &dyn Fn(&super::said::Word) -> bool| words.clone().any(how);
        let span = [
            said.words.get(*first).map_or(0, |w| w.token.span[0]),
            said.words.get(*last).map_or(0, |w| w.token.span[1]),
        ];
        let (sign, polarity) = match told.sign.strip_prefix('-') {
            Some(sign) => (sign.to_owned(), Polarity::Absent),
            None => (told.sign, Polarity::Present),
        };
        let known = mentions.iter().any(|mention| {
            mention.sign == sign || mention.span[0] < span[1] && span[0] < mention.span[1]
        });
        // One word alone tells too little, and parts of the body named one after another say nothing
        // of what they do.
        let void = told.words.len() < 2
            || told.words.iter().all(|at| concepts.names_part(*at))
            || concepts.aside(&told.words)
            || others(said, &catalog.lexicon, *first)
            || meant(&|word| word.meant.thought || word.meant.long_past)
            || meant(&|word| at_large.contains(&word.sentence) || concepts.asks(word.sentence));
        if known || void {
            continue;
        }
        mentions.push(SignMention {
            sign,
            polarity,
            span,
            confidence: (SAID * told.probability * 100.0).round() / 100.0,
        });
    }
    mentions.sort_by(|a, b| a.span.cmp(&b.span).then_with(|| a.sign.cmp(&b.sign)));
}

/// Words that weigh this little for the sign read...
const UNLIKELY: f64 = 0.02;
/// ...and this much for another were taken amiss (both from sayings left out of the learning).
const LIKELY: f64 = 0.8;

/// Takes back what was read where the words around weigh for another sign, and turns what they
/// weigh for the contrary of.
fn reconsider(said: &Said, weighed: &Weighed<'_>, told: &[Told], mentions: &mut Vec<SignMention>) {
    let read: Vec<(String, super::TextSpan)> = mentions
        .iter()
        .map(|mention| (mention.sign.clone(), mention.span))
        .collect();
    mentions.retain_mut(|mention| {
        // What other words of the text tell anyway says nothing against these.
        let elsewhere = |sign: &str| {
            read.iter().any(|(other, span)| {
                other == sign && (span[1] <= mention.span[0] || mention.span[1] <= span[0])
            })
        };
        let inside = |at: &usize| {
            said.words.get(*at).is_some_and(|word| {
                word.token.span[0] < mention.span[1] && mention.span[0] < word.token.span[1]
            })
        };
        let words: Vec<usize> = (0..said.words.len()).filter(inside).collect();
        let (Some(first), Some(last)) = (words.first(), words.last()) else {
            return true;
        };
        let present = mention.polarity == Polarity::Present;
        let away = format!("-{}", mention.sign);
        let (own, contrary) = if present {
            (mention.sign.as_str(), away.as_str())
        } else {
            (away.as_str(), mention.sign.as_str())
        };
        if !present || !weighed.knows(own) || weighed.chance(own, *first, *last) >= UNLIKELY {
            return true;
        }
        if weighed.chance(contrary, *first, *last) >= LIKELY {
            mention.polarity = Polarity::Absent;
            return true;
        }
        !told.iter().any(|other| {
            other.probability >= LIKELY
                && other.sign != own
                && !elsewhere(&other.sign)
                && other.words.iter().any(|at| words.contains(at))
        })
    });
}

/// How far the weight of words is trusted beside a phrase or a wording (from sayings left out of
/// the learning).
const SAID: f64 = 0.8;

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
    let prepared = super::PreparedOnce::of(catalog);
    let lift_of = |number: usize| prepared.lift_of(number, book.lift);
    let worded = concepts.worded(|number| lift_of(number).is_some());
    let idiom = |at: &usize| said.words.get(*at).is_some_and(|word| word.meant.idiom);
    worded
        .into_iter()
        .filter(|one| !prepared.is_pain(one.number) || !one.words.iter().any(idiom))
        .filter_map(|one| {
            Some(Found {
                lift: lift_of(one.number)?,
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
    let mut out: Vec<(SignMention, usize)> = Vec::new();
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
        // Lengths in words: in letters they would hang on how many spaces stand between.
        let length = last - first;
        let mention = SignMention {
            sign: one.sign.clone(),
            polarity,
            span: [from, to],
            confidence,
        };
        let Some((known, known_length)) = out.iter_mut().find(|(m, _)| m.sign == one.sign) else {
            out.push((mention, length));
            continue;
        };
        let over = known.span[0] < to && from < known.span[1];
        // A phrase that holds its own "no" outweighs words that are only denied by it.
        let denied = over && polarity == Polarity::Absent && known.polarity == Polarity::Present;
        let told = over && polarity == Polarity::Present && known.polarity == Polarity::Absent;
        let surer = !told && known.confidence > confidence;
        let longer = known.confidence >= confidence && *known_length >= length;
        if !(denied || surer || longer) {
            *known = mention;
            *known_length = length;
        }
    }
    let mut out: Vec<SignMention> = out.into_iter().map(|(mention, _)| mention).collect();
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
