//! Which word is meant by one typed with small slips.

use super::words::WordId;
use std::collections::HashMap;

/// Edits allowed for a word of `length` letters (insert, delete, substitute, swap).
const fn allowed(length: usize) -> usize {
    match length {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    }
}

/// Whether `typed` may be `meant` with small typos (Damerau 1964: insert, delete, substitute,
/// swap of neighbours); the first letter must agree unless swapped. Gives the distance.
pub(super) fn typo(typed: &[char], meant: &[char]) -> Option<usize> {
    let limit = allowed(meant.len()).min(allowed(typed.len() + 1));
    if limit == 0 || typed.len().abs_diff(meant.len()) > limit {
        return None;
    }
    let first = typed.first() == meant.first();
    let swapped = typed.first() == meant.get(1) && typed.get(1) == meant.first();
    if !first && !swapped {
        return None;
    }
    let distance = edits(typed, meant);
    (distance <= limit).then_some(distance)
}

/// Letters of the longest words compared.
const LONGEST: usize = 30;

/// The optimal-string-alignment distance of two short words: insertions, deletions, substitutions
/// and swaps of neighbours (Damerau 1964). Longer ones are as far apart as can be.
pub(crate) fn edits(a: &[char], b: &[char]) -> usize {
    if a.len() > LONGEST || b.len() > LONGEST {
        return usize::MAX / 2;
    }
    let mut before = [0_usize; LONGEST + 1];
    let mut last = [0_usize; LONGEST + 1];
    let mut row = [0_usize; LONGEST + 1];
    for (j, slot) in last.iter_mut().enumerate() {
        *slot = j;
    }
    for (i, x) in a.iter().enumerate() {
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let mut best = (last[j] + usize::from(x != y))
                .min(last[j + 1] + 1)
                .min(row[j] + 1);
            if i > 0 && j > 0 && a[i - 1] == *y && b[j - 1] == *x {
                best = best.min(before[j - 1] + 1);
            }
            row[j + 1] = best;
        }
        before = last;
        last = row;
    }
    last[b.len()]
}

/// Which letters a word has, one bit each; one edit changes at most two bits.
fn letters_of(word: &[char]) -> u32 {
    word.iter()
        .fold(0, |bits, c| bits | (1 << (u32::from(*c) & 31)))
}

/// Words sorted for finding the one meant by a word with small typos.
#[derive(Clone, Debug, Default)]
pub(crate) struct Spellings {
    by_first: HashMap<char, Vec<(u32, Vec<char>, WordId)>>,
}

impl Spellings {
    /// Adds a word; words of three letters or fewer are never corrected and are left out.
    pub(crate) fn add(&mut self, word: &str, id: WordId) {
        let letters: Vec<char> = word.chars().collect();
        if letters.len() > 3
            && letters.iter().all(|c| c.is_alphabetic())
            && let Some(first) = letters.first()
        {
            self.by_first
                .entry(*first)
                .or_default()
                .push((letters_of(&letters), letters, id));
        }
    }

    /// The words that `word` may be with the fewest typos, and how many those are.
    pub(crate) fn near(&self, word: &str) -> (usize, Vec<WordId>) {
        let typed: Vec<char> = word.chars().collect();
        let bits = letters_of(&typed);
        let most = 2 * allowed(typed.len() + 1);
        let mut best = usize::MAX;
        let mut found = Vec::new();
        for first in typed.iter().take(2) {
            for (meant_bits, letters, id) in self.by_first.get(first).into_iter().flatten() {
                if (bits ^ meant_bits).count_ones() as usize > most {
                    continue;
                }
                match typo(&typed, letters) {
                    Some(distance) if distance < best => {
                        best = distance;
                        found = vec![*id];
                    }
                    Some(distance) if distance == best => found.push(*id),
                    _ => {}
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        (best, found)
    }
}
