//! Words as lifters type them: folding, stems, small typos.

pub(crate) use super::phrases::{Phrase, PhraseBook, mark};
pub(crate) use super::spelling::Spellings;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// A table of words looked up by spelling; its keys come from the catalog, never from a sender,
/// so a plain fast hash serves.
pub(crate) type WordTable<T> = HashMap<String, T, BuildHasherDefault<Quick>>;

/// The same for words that lie elsewhere.
pub(crate) type SliceTable<'a, T> = HashMap<&'a str, T, BuildHasherDefault<Quick>>;

/// A table looked up by two numbers of the catalog.
pub(crate) type PairTable<T> = HashMap<(u32, u32), T, BuildHasherDefault<Quick>>;

/// A hash that takes eight bytes at a time, multiplied and shifted (after Murmur, Appleby 2008; from
/// memory).
#[derive(Clone, Debug, Default)]
pub(crate) struct Quick(u64);

impl Quick {
    const fn mix(&mut self, word: u64) {
        let mixed = (self.0 ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

impl Hasher for Quick {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        let (words, rest) = bytes.as_chunks::<8>();
        for word in words {
            self.mix(u64::from_le_bytes(*word));
        }
        let mut last = [0; 8];
        for (slot, byte) in last.iter_mut().zip(rest) {
            *slot = *byte;
        }
        self.mix(u64::from_le_bytes(last));
    }

    // Spellings end with this; it tells nothing of which they are.
    fn write_u8(&mut self, _: u8) {}

    fn write_u32(&mut self, number: u32) {
        self.mix(u64::from(number) << 1 | 1);
    }
}

/// The FNV-1a hash of 64 bits (Fowler, Noll, Vo).
#[derive(Clone, Debug)]
pub(crate) struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Hasher for Fnv {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
}

/// Lower-case letters without accents for one character; most give one letter, a few two.
pub(crate) fn fold_char(c: char) -> impl Iterator<Item = char> {
    let plain: &'static str = match c {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ā' | 'ă' | 'ą' | 'À' | 'Á' | 'Â' | 'Ã' | 'Ä' | 'Å'
        | 'Ā' | 'Ă' | 'Ą' => "a",
        'ç' | 'ć' | 'č' | 'ĉ' | 'Ç' | 'Ć' | 'Č' | 'Ĉ' => "c",
        'ď' | 'đ' | 'Ď' | 'Đ' => "d",
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' | 'È' | 'É' | 'Ê' | 'Ë' | 'Ē' | 'Ė' | 'Ę'
        | 'Ě' => "e",
        'ğ' | 'Ğ' => "g",
        'ì' | 'í' | 'î' | 'ï' | 'ī' | 'į' | 'ı' | 'Ì' | 'Í' | 'Î' | 'Ï' | 'Ī' | 'Į' | 'İ' => {
            "i"
        }
        'ł' | 'Ł' | 'ľ' | 'Ľ' => "l",
        'ñ' | 'ń' | 'ň' | 'Ñ' | 'Ń' | 'Ň' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ō' | 'ő' | 'Ò' | 'Ó' | 'Ô' | 'Õ' | 'Ö' | 'Ø' | 'Ō'
        | 'Ő' => "o",
        'ř' | 'Ř' => "r",
        'ś' | 'š' | 'ş' | 'Ś' | 'Š' | 'Ş' => "s",
        'ß' => "ss",
        'ť' | 'Ť' => "t",
        'ù' | 'ú' | 'û' | 'ü' | 'ū' | 'ů' | 'ű' | 'Ù' | 'Ú' | 'Û' | 'Ü' | 'Ū' | 'Ů' | 'Ű' => {
            "u"
        }
        'ý' | 'ÿ' | 'Ý' | 'Ÿ' => "y",
        'ź' | 'ż' | 'ž' | 'Ź' | 'Ż' | 'Ž' => "z",
        'æ' | 'Æ' => "ae",
        'œ' | 'Œ' => "oe",
        '’' | '‘' | 'ʼ' | '`' | '´' | '′' => "'",
        '×' | '✕' | '✖' => "x",
        _ => "",
    };
    let simple = c.is_ascii().then(|| c.to_ascii_lowercase());
    let lower = (plain.is_empty() && simple.is_none())
        .then(|| c.to_lowercase())
        .into_iter()
        .flatten();
    simple
        .filter(|_| plain.is_empty())
        .into_iter()
        .chain(plain.chars())
        .chain(lower)
}

/// A whole word folded: lower case, no accents, no apostrophes, three or more of a letter as one.
pub(crate) fn fold(word: &str) -> String {
    squeeze(
        word.chars()
            .flat_map(fold_char)
            .filter(|c| *c != '\'' && !is_mark(*c)),
    )
}

/// A combining mark, as decomposed text writes its accents.
pub(crate) const fn is_mark(c: char) -> bool {
    matches!(c, '\u{300}'..='\u{36f}' | '\u{200b}'..='\u{200d}' | '\u{fe0f}' | '\u{feff}')
}

/// Letters repeated three times or more become one (`paaain` is `pain`); digits stay.
pub(crate) fn squeeze(chars: impl Iterator<Item = char>) -> String {
    let mut out = String::new();
    let mut last = None;
    let mut run = 0_usize;
    for c in chars {
        if last == Some(c) && c.is_alphabetic() {
            run += 1;
            match run {
                1 => out.push(c),
                2 => {
                    out.pop();
                }
                _ => {}
            }
        } else {
            run = 0;
            out.push(c);
            last = Some(c);
        }
    }
    out
}

/// A light stem: plural, `-ed`, `-ing` and a last `e` or doubled consonant taken off.
pub(crate) fn stem(word: &str) -> String {
    // Words whose stem would be another word, and things named with "-ings" (leggings).
    if matches!(
        word,
        "here" | "there" | "where" | "were" | "none" | "some" | "same" | "done"
    ) || word.ends_with("ings")
    {
        return word.to_owned();
    }
    let mut base = word.to_owned();
    if base.len() > 3 && base.ends_with('s') && !base.ends_with("ss") && !base.ends_with("us") {
        base.pop();
    }
    let cut = if base.len() > 5 && base.ends_with("ing") {
        3
    } else if (base.len() > 4 && base.ends_with("ed"))
        || (base.len() > 5 && base.ends_with("in") && !base.ends_with("ain"))
    {
        2
    } else {
        0
    };
    if cut > 0 && base.is_char_boundary(base.len() - cut) {
        base.truncate(base.len() - cut);
        let mut tail = base.chars().rev();
        let (last, before) = (tail.next(), tail.next());
        if last == before && last.is_some_and(|c| !"aeiouls".contains(c)) {
            base.pop();
        }
    }
    if base.len() > 3 && base.ends_with('e') {
        base.pop();
    }
    base
}

/// A word of the vocabulary, by number.
pub(crate) type WordId = u32;

/// Every word of a file's phrases, found by spelling, stem, beginning or small typo.
#[derive(Clone, Debug, Default)]
pub(crate) struct Vocabulary {
    whole: WordTable<WordId>,
    /// Words of which only this very form counts.
    only: WordTable<WordId>,
    stems: WordTable<Vec<WordId>>,
    /// Beginnings of words by their own first letters, as many as [`FIRST_LETTERS`] at most.
    beginnings: WordTable<Vec<(String, WordId)>>,
    spellings: Spellings,
    count: WordId,
}

impl Vocabulary {
    /// The number of a phrase word; `numb*` stands for every word that begins so, `=legs` for
    /// this very form only.
    pub(super) fn intern(&mut self, written: &str) -> WordId {
        if let Some(exact) = written.strip_prefix('=') {
            let next = self.count;
            let id = *self.only.entry(fold(exact)).or_insert(next);
            self.count = self.count.max(id + 1);
            return id;
        }
        // Most are written as they are kept.
        if let Some(id) = self.whole.get(written) {
            return *id;
        }
        let (text, open) = match written.strip_suffix('*') {
            Some(text) => (fold(text), true),
            None => (fold(written), false),
        };
        let key = if open {
            format!("{text}*")
        } else {
            text.clone()
        };
        if let Some(id) = self.whole.get(&key) {
            return *id;
        }
        let id = self.count;
        self.count += 1;
        self.whole.insert(key, id);
        if open {
            let first = first_letters(&text).last().unwrap_or_default().to_owned();
            let begun = self.beginnings.entry(first).or_default();
            begun.push((text.clone(), id));
        } else {
            self.stems.entry(stem(&text)).or_default().push(id);
        }
        self.spellings.add(&text, id);
        id
    }

    /// The phrase words that `word` is, without typos.
    pub(crate) fn exact(&self, word: &str, word_stem: &str) -> Vec<WordId> {
        let mut found: Vec<WordId> = self.whole.get(word).copied().into_iter().collect();
        found.extend(self.only.get(word));
        if let Some(ids) = self.stems.get(word_stem) {
            found.extend(ids);
        }
        found.extend(
            first_letters(word)
                .filter_map(|first| self.beginnings.get(first))
                .flatten()
                .filter(|(text, _)| word.starts_with(text.as_str()))
                .map(|(_, id)| *id),
        );
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The phrase words that `word` may be with the fewest typos, and how many those are.
    pub(crate) fn near(&self, word: &str) -> (usize, Vec<WordId>) {
        self.spellings.near(word)
    }
}

/// First letters of a beginning that it is looked up by, at most.
const FIRST_LETTERS: usize = 3;

/// The first letter of a word, its first two, and so on.
fn first_letters(word: &str) -> impl Iterator<Item = &str> {
    let ends = word
        .char_indices()
        .map(|(at, letter)| at + letter.len_utf8());
    ends.take(FIRST_LETTERS).filter_map(|to| word.get(..to))
}

#[cfg(test)]
mod tests {
    use super::super::spelling::typo;
    use super::*;

    #[test]
    fn one_slip_in_a_long_word_is_still_that_word() {
        let of = |a: &str, b: &str| {
            typo(
                &a.chars().collect::<Vec<_>>(),
                &b.chars().collect::<Vec<_>>(),
            )
        };
        assert_eq!(of("chst", "chest"), Some(1));
        assert_eq!(of("hedache", "headache"), Some(1));
        assert_eq!(of("siezure", "seizure"), Some(1));
        // First letters differ: a paint pot is not a faint.
        assert_eq!(of("paint", "faint"), None);
        // Short words are never corrected.
        assert_eq!(of("pic", "pec"), None);
    }

    #[test]
    fn drawn_out_letters_and_accents_are_folded() {
        assert_eq!(fold("Paaaain"), "pain");
        assert_eq!(fold("CAN’T"), "cant");
        assert_eq!(fold("entraîné"), "entraine");
    }

    #[test]
    fn forms_of_one_word_share_a_stem() {
        for (a, b) in [("aches", "aching"), ("popped", "pop"), ("knees", "knee")] {
            assert_eq!(stem(a), stem(b));
        }
    }
}
