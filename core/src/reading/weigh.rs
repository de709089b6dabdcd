//! What the words of a text, taken together, say of a body in trouble.
//!
//! Wordings catch what they were written for; people find other words. Here every word, every two
//! words and every group of the lexicon that the text says adds its weight (see the catalog's
//! weights). The sum raises the flag `complaint` where no wording did, and takes back a wording
//! where all the rest of its sentence is lifting talk.

use super::flags::denied;
use super::known::Words;
use super::said::{At, Said};
use super::token::Kind;
use super::{FlagLevel, FlagMention, work};
use crate::catalog::{Catalog, Weights};
use std::ops::Range;

/// Id of the flag for what no wording covers.
const COMPLAINT: &str = "complaint";

/// Hundredths of a logit in one.
const HUNDREDTHS: f64 = 100.0;

/// Weighs the text and changes the flags found accordingly.
pub(super) fn weigh(said: &Said, catalog: &Catalog, flags: &mut Vec<FlagMention>) {
    let weights = &catalog.weights;
    if weights.values.is_empty() || said.words.is_empty() {
        return;
    }
    let found = Found::new(said, catalog, flags);
    let whole = found.sums((0, said.words.len()));
    flags.retain(|mention| {
        let bar = match mention.level {
            _ if weights.plain_statements.contains(&mention.flag) => weights.clears_plain_below,
            FlagLevel::Emergency => weights.clears_emergency_below,
            _ => weights.clears_below,
        };
        found.sums(around(said, mention.span))[0].max(whole[0]) >= f64::from(bar)
    });
    let level = flags.iter().map(|mention| mention.level).max();
    let flagged = level.unwrap_or_default() > FlagLevel::None;
    let worst = found.worst(said, whole);
    let bar = if flagged {
        weights.sure_from
    } else {
        weights.flags_from
    };
    let raised = if worst[0] < f64::from(bar) {
        FlagLevel::None
    } else if worst[1] >= f64::from(weights.emergency_from) {
        FlagLevel::Emergency
    } else if flagged {
        FlagLevel::None
    } else {
        FlagLevel::Clinician
    };
    if raised > level.unwrap_or_default() {
        flags.retain(|mention| mention.flag != COMPLAINT);
        flags.push(FlagMention {
            flag: COMPLAINT.to_owned(),
            level: raised,
            span: found.heaviest(said),
        });
    }
}

/// Words on either side of a group that are weighed together with it, all in one sentence.
const BESIDE: usize = 8;

/// Words after a word that are weighed together with it, both in one sentence.
const AFTER: usize = 6;

/// The group of small words: what it stands beside tells nothing that they do not tell themselves.
const FILLER: &str = "cue filler";

/// What of a text is weighed: stems, `<groups>`, two stems near each other in the order they stand,
/// or a stem and a group near it (with a space), and the flags that wordings raise, with their
/// level (`[chest emergency]`); each once. Two that are near stand in one sentence.
pub fn weighed(text: &str, catalog: &Catalog) -> Vec<String> {
    let said = Said::new(text, catalog, &mut Words::default());
    let mut names: Vec<String> = Vec::new();
    let stems: Vec<&str> = said.words.iter().map(stem).collect();
    names.extend(stems.iter().map(|stem| (*stem).to_owned()));
    for (at, stem) in stems.iter().enumerate() {
        let near = stems.get(after(&said, at)).unwrap_or_default().iter();
        names.extend(near.map(|next| format!("{stem} {next}")));
    }
    for name in catalog.lexicon.names.keys() {
        let places = said.group(&catalog.lexicon, name);
        let alone = name == FILLER;
        let name = Weights::group_name(name);
        for at in places {
            if !denied(&said, *at) {
                names.push(format!("<{name}>"));
            }
            if alone {
                continue;
            }
            let (before, after) = beside(&said, *at);
            let stems = |range: Range<usize>| stems.get(range).unwrap_or_default().iter();
            names.extend(stems(before).map(|stem| format!("{stem} <{name}>")));
            names.extend(stems(after).map(|stem| format!("<{name}> {stem}")));
        }
    }
    for mention in super::flags::flags(&said, catalog, super::PreparedOnce::of(catalog)) {
        names.push(format!("[{}]", wording(&mention)));
    }
    names.sort();
    names.dedup();
    names
}

/// The words after a word that are weighed with it.
fn after(said: &Said, at: usize) -> Range<usize> {
    let from = at + 1;
    let rest = said.words.get(from..).unwrap_or_default().iter();
    let sentence = said.words.get(at).map(|word| word.sentence);
    let near = rest.take(AFTER);
    let here = near.take_while(|word| Some(word.sentence) == sentence);
    from..from + here.count()
}

/// The words before and after a place that are weighed with it.
fn beside(said: &Said, at: At) -> (Range<usize>, Range<usize>) {
    let to = at.to.min(said.words.len());
    let sentence = said.words.get(at.from).map(|word| word.sentence);
    let here = |word: &&super::said::Word| Some(word.sentence) == sentence;
    let before = said.words.get(..at.from).unwrap_or_default().iter();
    let before = before.rev().take(BESIDE).take_while(here).count();
    let after = said.words.get(to..).unwrap_or_default().iter();
    let after = after.take(BESIDE).take_while(here).count();
    (at.from - before..at.from, to..to + after)
}

/// Name of a flag found at its level, as it is weighed.
fn wording(mention: &FlagMention) -> String {
    format!("{} {}", mention.flag, mention.level.word())
}

/// The stem weighed for a word; every figure is one.
fn stem(word: &super::said::Word) -> &str {
    if word.token.kind == Kind::Number {
        "#"
    } else {
        &word.token.stem
    }
}

/// The weights found in a text, each where it stands.
struct Found<'a> {
    weights: &'a Weights,
    /// Word and number of the weight, by word.
    at: Vec<(usize, u32)>,
}

impl<'a> Found<'a> {
    fn new(said: &Said, catalog: &'a Catalog, flags: &[FlagMention]) -> Self {
        let weights = &catalog.weights;
        let ids: Vec<Option<u32>> = said
            .words
            .iter()
            .map(|word| {
                let find = || weights.terms.get(stem(word)).copied();
                said.meaning(word)
                    .map_or_else(find, |known| known.weighed(find))
            })
            .collect();
        let mut at = Vec::with_capacity(said.words.len() * 8);
        for (index, id) in ids.iter().enumerate() {
            work::steps(1);
            let Some(id) = id else { continue };
            let alone = weights.single.get(*id as usize).copied().flatten();
            at.extend(alone.map(|weight| (index, weight)));
            let near = ids.get(after(said, index)).unwrap_or_default();
            let near = near.iter().flatten();
            let pairs = near.filter_map(|next| weights.pairs.get(&(*id, *next)));
            at.extend(pairs.map(|weight| (index, *weight)));
        }
        let filler = catalog.lexicon.number(FILLER);
        for (group, places) in said.groups.iter() {
            let of_group = weights.groups.binary_search_by_key(&group, |one| one.0);
            let Some((_, term)) = of_group.ok().and_then(|at| weights.groups.get(at)) else {
                continue;
            };
            for place in places {
                work::steps(1);
                let alone = weights.single.get(*term as usize).and_then(Option::as_ref);
                let alone = alone.filter(|_| !denied(said, *place));
                at.extend(alone.map(|weight| (place.from, *weight)));
                if filler == Some(group) {
                    continue;
                }
                let (before, after) = beside(said, *place);
                let known = |range: Range<usize>| ids.get(range).into_iter().flatten().flatten();
                let before = known(before).filter_map(|word| weights.pairs.get(&(*word, *term)));
                let after = known(after).filter_map(|word| weights.pairs.get(&(*term, *word)));
                at.extend(before.chain(after).map(|weight| (place.from, *weight)));
            }
        }
        for mention in flags {
            if let Some(weight) = weights.wordings.get(&wording(mention)) {
                let touched = |word: &super::said::Word| word.token.span[1] > mention.span[0];
                at.push((said.words.iter().position(touched).unwrap_or(0), *weight));
            }
        }
        at.sort_unstable();
        Self { weights, at }
    }

    /// The two sums over words `from..to`, each weight counted once, for the length of the text.
    fn sums(&self, (from, to): (usize, usize)) -> [f64; 2] {
        let low = self.at.partition_point(|(word, _)| *word < from);
        let high = self.at.partition_point(|(word, _)| *word < to);
        let mut numbers: Vec<u32> = self
            .at
            .get(low..high)
            .unwrap_or_default()
            .iter()
            .map(|(_, weight)| *weight)
            .collect();
        numbers.sort_unstable();
        numbers.dedup();
        let scale = (numbers.len().max(1) as f64).sqrt();
        let value = |side: usize| {
            let sum: i32 = numbers
                .iter()
                .filter_map(|number| self.weights.values.get(*number as usize))
                .map(|pair| pair[side])
                .sum();
            f64::from(self.weights.start[side]) + f64::from(sum) / scale
        };
        [value(0), value(1)]
    }

    /// The two sums of the text, or of the one sentence of several that speaks more for trouble: a
    /// symptom in the middle of a long story is not to drown in it. A sentence by itself has to
    /// weigh more, by `sentence_more`, since fewer words stand beside it that would excuse it.
    fn worst(&self, said: &Said, whole: [f64; 2]) -> [f64; 2] {
        let more = f64::from(self.weights.sentence_more);
        let mut worst = whole;
        let mut from = 0;
        while let Some(word) = said.words.get(from) {
            let to = said.words.partition_point(|w| w.sentence <= word.sentence);
            let [trouble, grave] = self.sums((from, to));
            if trouble - more > worst[0] {
                worst = [trouble - more, grave];
            }
            from = to.max(from + 1);
        }
        worst
    }

    /// The sentence that speaks most for trouble.
    fn heaviest(&self, said: &Said) -> super::TextSpan {
        let mut best = ((0, said.words.len()), f64::NEG_INFINITY);
        let mut from = 0;
        while let Some(word) = said.words.get(from) {
            let to = said.words.partition_point(|w| w.sentence <= word.sentence);
            let sum = self.sums((from, to))[0];
            if sum > best.1 {
                best = ((from, to), sum);
            }
            from = to.max(from + 1);
        }
        let words = said.words.get(best.0.0..best.0.1).unwrap_or_default();
        let start = words.first().map_or(0, |word| word.token.span[0]);
        [start, words.last().map_or(start, |word| word.token.span[1])]
    }
}

/// The words of the sentences that a span of the text touches, `from..to`.
fn around(said: &Said, span: super::TextSpan) -> (usize, usize) {
    let mut sentences: Option<(usize, usize)> = None;
    for word in &said.words {
        if word.token.span[0] < span[1] && span[0] < word.token.span[1] {
            let first = sentences.map_or(word.sentence, |(first, _)| first);
            sentences = Some((first, word.sentence));
        }
    }
    let (first, last) = sentences.unwrap_or_default();
    let from = said.words.partition_point(|word| word.sentence < first);
    let to = said.words.partition_point(|word| word.sentence <= last);
    (from, to)
}

/// A logit in hundredths, as the file writes it.
pub fn hundredths(logit: f64) -> i32 {
    format!("{:.0}", logit * HUNDREDTHS).parse().unwrap_or(0)
}
