//! Signs by their concepts: what moves, how, and when, near together in one sentence, in any order.
//!
//! A movement belongs to what is named nearest before it: "elbows fine, knees cave" says nothing
//! of the elbows. So between the first part of a wording and the next no other subject may stand,
//! and a movement named before its subject must not belong to one named earlier.

use super::Polarity;
use super::hits::Hits;
use super::said::{At, Said};
use super::token::Kind;
use super::work;
use crate::catalog::{SignWording, SignWords};

/// Places a new clause counts for when nearness is measured.
const CLAUSE: usize = 2;

/// Words before a movement among which what it belongs to is looked for.
const OWNER: usize = 5;

/// One wording found: the sign and the words it stands on.
pub(super) struct Worded<'a> {
    /// The number of the wording in its book.
    pub(super) number: usize,
    pub(super) sign: &'a str,
    pub(super) words: Vec<usize>,
    /// Set when the words say how it should be: there only if they are denied or failing.
    pub(super) polarity: Option<Polarity>,
}

/// The concepts of one text, found once.
pub(super) struct Concepts<'a> {
    said: &'a Said,
    book: &'a SignWords,
    groups: Hits,
    subjects: Vec<At>,
    /// Sentences that only ask.
    asked: Vec<usize>,
}

impl<'a> Concepts<'a> {
    /// Finds every group of the book in a text.
    pub(super) fn new(
        said: &'a Said,
        book: &'a SignWords,
        lexicon: &crate::catalog::Lexicon,
    ) -> Self {
        let groups = if book.groups == 0 {
            Hits::default()
        } else {
            said.find(&book.phrases, lexicon)
        };
        let mut subjects: Vec<At> = book
            .subjects
            .iter()
            .flat_map(|group| groups.of(*group))
            .copied()
            .collect();
        subjects.sort_by_key(|at| (at.from, at.to));
        Self {
            said,
            book,
            groups,
            subjects,
            asked: asked(said),
        }
    }

    /// The wordings that a group said here may begin, in the order of the book.
    fn candidates(&self) -> Vec<usize> {
        let mut numbers: Vec<usize> = self
            .groups
            .iter()
            .filter_map(|(group, _)| self.book.by_group.get(group))
            .flatten()
            .copied()
            .collect();
        numbers.sort_unstable();
        numbers.dedup();
        numbers
    }

    fn text(&self) -> Text<'_> {
        Text {
            said: self.said,
            groups: &self.groups,
            subjects: &self.subjects,
            asked: &self.asked,
        }
    }

    /// Where each group of the book is said, by the group's number.
    pub(super) fn groups(&self) -> &Hits {
        &self.groups
    }

    /// Whether a word only names what moves.
    pub(super) fn names_part(&self, word: usize) -> bool {
        let around = self.subjects.iter();
        let mut around = around.take_while(|at| at.from <= word);
        around.any(|at| at.from <= word && word < at.to)
    }

    /// Whether a sentence only asks.
    pub(super) fn asks(&self, sentence: usize) -> bool {
        self.asked.binary_search(&sentence).is_ok()
    }

    /// Whether the words are of what is wanted, heard or looked for, not of the set.
    pub(super) fn aside(&self, words: &[usize]) -> bool {
        let text = self.text();
        text.led(text.of(self.book.aside), words)
    }

    /// Every sign worded; `here` tells the wordings of the lifts in question by their number.
    pub(super) fn worded(&self, here: impl Fn(usize) -> bool) -> Vec<Worded<'a>> {
        let text = self.text();
        let mut found = Vec::new();
        let wished = text.of(self.book.wished);
        for number in self.candidates() {
            let Some(wording) = self.book.wordings.get(number) else {
                continue;
            };
            if !here(number) {
                continue;
            }
            for words in text.matches(wording) {
                if wording.well && text.led(wished, &words) {
                    continue;
                }
                found.push(Worded {
                    number,
                    sign: &wording.sign,
                    polarity: wording.well.then(|| text.polarity(self.book, &words)),
                    words,
                });
            }
        }
        found
    }
}

/// Words before a wording within which what it is meant as is looked for.
const LEAD: usize = 6;

/// The text with what is said in it.
struct Text<'a> {
    said: &'a Said,
    groups: &'a Hits,
    subjects: &'a [At],
    /// Sentences that only ask.
    asked: &'a [usize],
}

impl Text<'_> {
    /// Where a group is said.
    fn of(&self, group: Option<usize>) -> &[At] {
        group.map_or(&[], |group| self.groups.of(group))
    }

    /// Whether one of these places stands in the same clause shortly before the words, or among
    /// them without being one of them.
    fn led(&self, by: &[At], words: &[usize]) -> bool {
        let (Some(first), Some(last)) = (words.first(), words.last()) else {
            return false;
        };
        let clause = |at: usize| self.said.words.get(at).map(|word| word.clause);
        let low = by.partition_point(|at| at.from + LEAD + LEAD < *first);
        by.iter()
            .skip(low)
            .take_while(|at| at.from <= *last)
            .any(|at| {
                let near = at.to <= *first && *first - at.to < LEAD;
                let among = at.from > *first && at.to <= *last && !words.contains(&at.from);
                (near || among) && clause(at.from) == clause(*first)
            })
    }

    /// Words of how it should be: denied or failing they say that it is not so.
    fn polarity(&self, book: &SignWords, words: &[usize]) -> Polarity {
        // "… is fine" after the words denies nothing of how it should be.
        let denied = words.iter().any(|at| {
            let word = self.said.words.get(*at);
            let by = word.and_then(|word| word.meant.denied);
            by.is_some_and(|by| by < *at && !words.contains(&by))
        });
        if denied || self.led(self.of(book.failing), words) {
            Polarity::Present
        } else {
            Polarity::Absent
        }
    }

    fn places(&self, any: &[usize]) -> Vec<At> {
        let mut places: Vec<At> = any
            .iter()
            .flat_map(|group| self.groups.of(*group))
            .copied()
            .collect();
        places.sort_unstable_by_key(|at| (at.from, at.to));
        places.dedup();
        places
    }

    /// Whether any of these groups is said at all.
    fn said(&self, any: &[usize]) -> bool {
        any.iter().any(|group| !self.groups.of(*group).is_empty())
    }

    /// The words of the first places where all parts stand together.
    fn matches(&self, wording: &SignWording) -> Vec<Vec<usize>> {
        if !wording.parts.iter().all(|part| self.said(part)) {
            return Vec::new();
        }
        let lists: Vec<Vec<At>> = wording.parts.iter().map(|part| self.places(part)).collect();
        let Some((first, rest)) = lists.split_first() else {
            return Vec::new();
        };
        let unless = self.places(&wording.unless);
        let found = first.iter().filter_map(|anchor| {
            let parts = self.gather(*anchor, rest, wording.near)?;
            let from = parts.iter().map(|at| at.from).min()?;
            let to = parts.iter().map(|at| at.to).max()?;
            let whole = At { from, to };
            let blocked = window(&unless, whole, wording.near)
                .iter()
                .any(|at| self.gap(*at, whole).is_some_and(|gap| gap <= wording.near));
            let sentence = self.said.words.get(from)?.sentence;
            if blocked || self.asked.binary_search(&sentence).is_ok() || !self.belongs(&parts) {
                return None;
            }
            let mut words: Vec<usize> = parts.iter().flat_map(|at| at.from..at.to).collect();
            words.sort_unstable();
            words.dedup();
            Some(words)
        });
        found.take(MATCHES).collect()
    }

    /// The nearest place of each further part.
    fn gather(&self, anchor: At, rest: &[Vec<At>], near: usize) -> Option<Vec<At>> {
        let mut taken = vec![anchor];
        let mut whole = anchor;
        for list in rest {
            let around = window(list, whole, near);
            work::steps(1 + around.len());
            let nearest = around
                .iter()
                .filter(|at| {
                    taken
                        .iter()
                        .all(|other| at.to <= other.from || at.from >= other.to)
                })
                .filter_map(|at| {
                    let gaps = taken.iter().filter_map(|other| self.gap(*at, *other));
                    gaps.min().map(|gap| (gap, at.from < anchor.from, *at))
                })
                .min_by_key(|(gap, before, at)| (*gap, *before, at.from))?;
            if nearest.0 > near {
                return None;
            }
            taken.push(nearest.2);
            whole = At {
                from: whole.from.min(nearest.2.from),
                to: whole.to.max(nearest.2.to),
            };
        }
        Some(taken)
    }

    /// Words between two places of one sentence, a new clause counting for more.
    fn gap(&self, a: At, b: At) -> Option<usize> {
        let (first, second) = if a.from <= b.from { (a, b) } else { (b, a) };
        let end = self.said.words.get(first.to.checked_sub(1)?)?;
        let start = self.said.words.get(second.from)?;
        if end.sentence != start.sentence {
            return None;
        }
        let between = second.from.saturating_sub(first.to);
        Some(between + CLAUSE * start.clause.saturating_sub(end.clause))
    }

    /// Whether the movement belongs to the subject of this wording and to no other.
    fn belongs(&self, parts: &[At]) -> bool {
        let [subject, movement, ..] = parts else {
            return true;
        };
        if !self.subjects.contains(subject) {
            return true;
        }
        let foreign = |at: &At| {
            parts
                .iter()
                .all(|part| at.to <= part.from || at.from >= part.to)
        };
        if subject.from < movement.from {
            return !window(self.subjects, *movement, movement.from - subject.from)
                .iter()
                .any(|at| foreign(at) && at.from >= subject.to && at.to <= movement.from);
        }
        let clause = |at: usize| self.said.words.get(at).map(|word| word.clause);
        let around = window(self.subjects, *movement, OWNER + subject.to - movement.from);
        let owned = around.iter().any(|at| {
            foreign(at)
                && at.to <= movement.from
                && movement.from - at.to <= OWNER
                && clause(at.from) == clause(movement.from)
        });
        let between = around
            .iter()
            .any(|at| foreign(at) && at.from >= movement.to && at.to <= subject.from);
        !owned && !between
    }
}

/// Words the longest phrase of the book may take, small words between counted.
const LONGEST_PHRASE: usize = 32;

/// Places of one wording that count in one text; a sign is mentioned once, whatever their number.
const MATCHES: usize = 8;

/// The part of a sorted list that can stand near a place.
fn window(list: &[At], place: At, near: usize) -> &[At] {
    let low = place.from.saturating_sub(near + LONGEST_PHRASE);
    let from = list.partition_point(|at| at.from < low);
    let to = list.partition_point(|at| at.from <= place.to + near);
    list.get(from..to).unwrap_or_default()
}

/// Sentences that ask whether something is so ("is my depth ok?"); "why do my knees cave?" and
/// "is it bad that my knees cave?" say that it is so.
fn asked(said: &Said) -> Vec<usize> {
    let mut asked = Vec::new();
    let mut words = said.words.iter().peekable();
    let mut opening: Vec<&str> = Vec::new();
    let mut sentence = 0;
    for token in &said.tokens {
        if token.kind == Kind::Sign {
            if token.is("?") && only_asks(&opening) {
                asked.push(sentence);
            }
            if matches!(token.text.as_str(), "." | "!" | "?" | "\n") {
                opening.clear();
            }
            continue;
        }
        if let Some(word) = words.next() {
            if word.sentence != sentence {
                opening.clear();
            }
            sentence = word.sentence;
            if opening.len() < 2 {
                opening.push(&word.token.text);
            }
        }
    }
    asked
}

/// Whether a question that opens so only asks.
fn only_asks(opening: &[&str]) -> bool {
    let asks = matches!(
        opening.first(),
        Some(
            &("is"
                | "are"
                | "am"
                | "does"
                | "do"
                | "did"
                | "should"
                | "could"
                | "can"
                | "would"
                | "will")
        )
    );
    let tells = matches!(opening.get(1), Some(&("it" | "that" | "this" | "there")));
    asks && !tells
}

/// Sentences that ask about something at large ("what does butt wink look like"): they open as a
/// question, mark or no mark, and name neither the lifter nor what to mend.
pub(super) fn at_large(said: &Said) -> Vec<usize> {
    let mut sentences = Vec::new();
    let mut at = 0;
    while let Some(first) = said.words.get(at) {
        let sentence = first.sentence;
        let end = said.words.partition_point(|word| word.sentence <= sentence);
        let text = |i: usize| {
            said.words
                .get(i)
                .filter(|_| i < end)
                .map_or("", |w| w.token.text.as_str())
        };
        let opens = match text(at) {
            "what" | "which" => matches!(
                text(at + 1),
                "does" | "do" | "is" | "are" | "would" | "should" | "makes" | "causes"
            ),
            "whats" | "does" | "should" => true,
            "do" => matches!(text(at + 1), "i" | "you" | "people" | "we" | "they"),
            "how" => matches!(text(at + 1), "do" | "does" | "would" | "should" | "can"),
            _ => false,
        };
        let own = (at..end).any(|i| {
            matches!(
                text(i),
                "my" | "me"
                    | "im"
                    | "mine"
                    | "fix"
                    | "stop"
                    | "cure"
                    | "mend"
                    | "correct"
                    | "prevent"
            )
        });
        if opens && !own {
            sentences.push(sentence);
        }
        at = end.max(at + 1);
    }
    sentences
}
