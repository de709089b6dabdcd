//! Denial, time, person and sayings: how each word is meant.
//!
//! After the trigger method of `NegEx` and `ConText` (Chapman 2001; Harkema 2009): a trigger, a
//! scope, look-alike triggers and words that end the scope; the word lists are our own.

use super::said::{At, Said, Word};
use crate::catalog::Lexicon;

/// Words a denial reaches over, at most (one later implementation of `NegEx` uses six).
const REACH: usize = 6;

/// Words a denial reaches over along a list, at most.
const LIST_REACH: usize = 24;

/// Words that may follow a comma and still stand under the denial before it.
const LIST_ITEM: usize = 3;

/// Words the longest cue may take.
const LONGEST: usize = 32;

/// Days from which "ago" is long past.
const LONG_AGO_DAYS: f64 = 600.0;

/// Marks every word with how it is meant.
pub(super) fn mark(said: &mut Said, lexicon: &Lexicon) {
    let get = |name: &str| said.group(lexicon, name).to_vec();
    let idioms = get("cue idiom");
    let false_denials = get("cue not negation");
    let denials: Vec<At> = get("cue negation")
        .into_iter()
        .filter(|at| !covered(*at, &false_denials) && !covered(*at, &idioms))
        .collect();
    let denials_after: Vec<At> = get("cue negation after")
        .into_iter()
        .filter(|at| !covered(*at, &false_denials))
        .collect();
    let thought = get("cue hypothetical");
    let selfs = get("cue self");
    let others: Vec<At> = get("cue other person")
        .into_iter()
        .filter(|at| !covered(*at, &selfs))
        .collect();
    let reporting = !get("cue reporting").is_empty();
    let now = get("cue right now");
    let earlier = get("cue earlier");
    let gone = get("cue gone");
    let current: Vec<At> = get("cue current")
        .into_iter()
        .filter(|at| !covered(*at, &gone))
        .collect();
    // "Never used to" tells of something new.
    let long_past: Vec<At> = get("cue long past")
        .into_iter()
        .filter(|at| !covered(*at, &current))
        .collect();
    let words = &mut said.words;
    for at in &idioms {
        each(words, *at, |word| word.meant.idiom = true);
    }
    for at in &denials {
        deny_after(words, *at);
    }
    deny_before(words, &denials_after);
    let mut done = 0;
    for at in thought {
        let clause_sentence = words.get(at.from).map(|word| word.sentence);
        for (index, word) in words.iter_mut().enumerate().skip(at.from.max(done)) {
            if Some(word.sentence) != clause_sentence {
                break;
            }
            super::work::steps(1);
            word.meant.thought = true;
            done = index + 1;
        }
    }
    if !reporting {
        mark_others(words, &others, &selfs);
    }
    mark_now(words, &now);
    mark_time(
        words,
        &Times {
            long_past: &long_past,
            earlier: &earlier,
            gone: &gone,
            current: &current,
        },
        lexicon,
    );
}

/// Whether `at` lies inside one of `wider`.
fn covered(at: At, wider: &[At]) -> bool {
    let low = wider.partition_point(|w| w.from + LONGEST < at.to);
    wider
        .iter()
        .skip(low)
        .take_while(|w| w.from <= at.from)
        .any(|w| at.to <= w.to)
}

fn each(words: &mut [Word], at: At, mut change: impl FnMut(&mut Word)) {
    for word in words.iter_mut().take(at.to).skip(at.from) {
        change(word);
    }
}

/// A denial reaches to the end of its clause, and over commas along a bare list.
fn deny_after(words: &mut [Word], denial: At) {
    let from = denial.to;
    let Some(first) = words.get(from) else { return };
    let mut clause = first.clause;
    let sentence = first.sentence;
    let before = from.checked_sub(1).and_then(|at| words.get(at));
    if before.is_some_and(|word| word.sentence != sentence) {
        return;
    }
    let mut at = from;
    let mut reach = 0;
    while reach < REACH && at < from + LIST_REACH {
        let Some(word) = words.get(at) else { return };
        if word.sentence != sentence {
            return;
        }
        if word.clause != clause {
            if !bare_item(words, at) {
                return;
            }
            clause = words.get(at).map_or(clause, |word| word.clause);
            reach = 0;
        }
        if let Some(word) = words.get_mut(at) {
            super::work::steps(1);
            word.meant.denied = Some(denial.from);
        }
        at += 1;
        reach += 1;
    }
}

/// A short item after a comma with nothing in it that begins a statement of its own.
fn bare_item(words: &[Word], from: usize) -> bool {
    let Some(first) = words.get(from) else {
        return false;
    };
    let item: Vec<&Word> = words
        .iter()
        .skip(from)
        .take_while(|word| word.clause == first.clause)
        .take(LIST_ITEM + 1)
        .collect();
    item.len() <= LIST_ITEM
        && !item.iter().any(|word| {
            matches!(
                word.token.text.as_str(),
                "i" | "im"
                    | "my"
                    | "is"
                    | "are"
                    | "was"
                    | "feel"
                    | "feels"
                    | "felt"
                    | "hurts"
                    | "aches"
                    | "aching"
                    | "now"
                    | "then"
                    | "still"
                    | "but"
                    | "just"
                    | "jaw"
                    | "arm"
                    | "arms"
                    | "leg"
                    | "legs"
                    | "back"
                    | "all"
                    | "good"
                    | "went"
                    | "gone"
                    | "got"
                    | "both"
                    | "left"
                    | "right"
                    | "so"
                    | "since"
                    | "only"
                    | "face"
                    | "neck"
                    | "chest"
                    | "head"
            )
        })
}

/// "… is fine" denies what stands before it in the clause; in a question it denies nothing.
fn deny_before(words: &mut [Word], denials: &[At]) {
    let mut starts: Vec<bool> = Vec::new();
    for (index, word) in words.iter().enumerate() {
        if starts.len() <= word.sentence {
            starts.resize(word.sentence + 1, false);
        }
        let first = index
            .checked_sub(1)
            .and_then(|before| words.get(before))
            .is_none_or(|before| before.sentence != word.sentence);
        if first && let Some(asks) = starts.get_mut(word.sentence) {
            *asks = matches!(
                word.token.text.as_str(),
                "is" | "are" | "should" | "can" | "does" | "do" | "why" | "was" | "how" | "what"
            );
        }
    }
    // Words before this one are marked by an earlier denial of the same clause.
    let mut done = 0;
    for at in denials {
        let Some(here) = words.get(at.from) else {
            continue;
        };
        let clause = here.clause;
        if starts.get(here.sentence) == Some(&true) {
            continue;
        }
        for word in words.iter_mut().take(at.from).skip(done).rev() {
            if word.clause != clause {
                break;
            }
            super::work::steps(1);
            word.meant.denied = word.meant.denied.or(Some(at.from));
        }
        done = done.max(at.from);
    }
}

/// After another person is named, words are about them until the lifter comes back in.
fn mark_others(words: &mut [Word], others: &[At], selfs: &[At]) {
    let count = words.len();
    let mut is_other = vec![false; count];
    let mut is_self = vec![false; count];
    for at in others {
        for flag in is_other.iter_mut().take(at.to).skip(at.from) {
            *flag = true;
        }
    }
    for at in selfs {
        for flag in is_self.iter_mut().take(at.to).skip(at.from) {
            *flag = true;
        }
    }
    let mut sentence = usize::MAX;
    let mut about_other = false;
    for ((word, other), own) in words.iter_mut().zip(is_other).zip(is_self) {
        if word.sentence != sentence {
            sentence = word.sentence;
            about_other = false;
        }
        if other {
            about_other = true;
        } else if own {
            about_other = false;
        }
        word.meant.other = about_other;
    }
}

fn mark_now(words: &mut [Word], now: &[At]) {
    let mut sentences: Vec<usize> = now
        .iter()
        .filter_map(|at| words.get(at.from).map(|word| word.sentence))
        .collect();
    sentences.sort_unstable();
    for word in words.iter_mut() {
        word.meant.right_now = sentences.binary_search(&word.sentence).is_ok();
    }
}

/// The cues of time found.
struct Times<'a> {
    long_past: &'a [At],
    earlier: &'a [At],
    gone: &'a [At],
    current: &'a [At],
}

/// Time counts for its sentence; a word of now in the same clause keeps that clause in the present.
fn mark_time(words: &mut [Word], times: &Times, lexicon: &Lexicon) {
    let sentences = words.last().map_or(0, |word| word.sentence + 1);
    let mut long = vec![false; sentences];
    let mut earlier = vec![false; sentences];
    let mut gone = vec![false; sentences];
    let note = |list: &[At], into: &mut [bool], words: &[Word]| {
        for at in list {
            if let Some(flag) = words.get(at.from).and_then(|w| into.get_mut(w.sentence)) {
                *flag = true;
            }
        }
    };
    note(times.long_past, &mut long, words);
    note(times.earlier, &mut earlier, words);
    note(times.gone, &mut gone, words);
    let lengths = super::measure::lengths(words);
    let ends: Vec<usize> = lengths
        .iter()
        .filter(|length| length.days >= LONG_AGO_DAYS)
        .map(|length| length.at.to)
        .collect();
    for (index, word) in words.iter().enumerate() {
        if long_ago(words, index, &ends, lexicon)
            && let Some(flag) = long.get_mut(word.sentence)
        {
            *flag = true;
        }
    }
    let mut now_clauses: Vec<usize> = times
        .current
        .iter()
        .filter_map(|at| words.get(at.from).map(|word| word.clause))
        .collect();
    now_clauses.sort_unstable();
    for word in words.iter_mut() {
        let present = now_clauses.binary_search(&word.clause).is_ok();
        let of = |list: &[bool]| list.get(word.sentence).copied().unwrap_or(false);
        word.meant.long_past = of(&long) && !present;
        word.meant.earlier_gone = !present && (of(&earlier) || of(&long)) && of(&gone);
    }
}

/// "… years ago" of two years or more, or a calendar year well back.
fn long_ago(words: &[Word], at: usize, ends: &[usize], lexicon: &Lexicon) -> bool {
    let Some(word) = words.get(at) else {
        return false;
    };
    if let Some(year) = word.token.number() {
        let before = at.checked_sub(1).and_then(|i| words.get(i));
        let dated = before.is_some_and(|w| {
            matches!(
                w.token.text.as_str(),
                "in" | "since" | "from" | "back" | "of" | "summer" | "around"
            )
        });
        if dated && (1950.0..=f64::from(lexicon.long_past_until)).contains(&year) {
            return true;
        }
    }
    matches!(word.token.text.as_str(), "ago" | "back") && ends.binary_search(&at).is_ok()
}
