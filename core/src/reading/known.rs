//! What a spelling is to the books of the catalog: worked out once and kept, for it is the same in
//! every text.

use super::sign_phrases::SignBook;
use super::token::{Kind, Token};
use crate::catalog::words::{PhraseBook, WordId};
use crate::catalog::{Catalog, Lexicon};
use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

/// Spellings kept at most, and bytes they have in all, so that the room they take stays bounded.
const KEPT: usize = 20_000;
const BYTES: usize = 1_000_000;

/// The spellings met so far, all read with one catalog.
#[derive(Debug, Default)]
pub(super) struct Words {
    numbers: HashMap<String, usize>,
    kept: Vec<Kept>,
    /// Bytes of all spellings kept.
    bytes: usize,
    /// The text being read, counted.
    text: u64,
}

/// One spelling kept.
#[derive(Debug)]
struct Kept {
    meaning: Rc<Meaning>,
    /// The text it last stood in, and its number there.
    stood: (u64, usize),
}

impl Words {
    /// Begins another text.
    pub(super) fn next_text(&mut self) {
        self.text += 1;
        if self.kept.len() > KEPT || self.bytes > BYTES {
            self.numbers.clear();
            self.kept.clear();
            self.bytes = 0;
        }
    }

    /// The number of a token's spelling in this text, and what it means if it stands here for the
    /// first time; `next` is the first number not given yet.
    pub(super) fn of(
        &mut self,
        token: &Token,
        next: usize,
        catalog: &Catalog,
    ) -> (usize, Option<Rc<Meaning>>) {
        let known = self.numbers.get(&token.text);
        if let Some(kept) = known.and_then(|at| self.kept.get_mut(*at)) {
            let (text, number) = kept.stood;
            if text == self.text {
                return (number, None);
            }
            kept.stood = (self.text, next);
            return (next, Some(Rc::clone(&kept.meaning)));
        }
        let meaning = Rc::new(Meaning::new(token, catalog));
        self.bytes += token.text.len();
        self.numbers.insert(token.text.clone(), self.kept.len());
        self.kept.push(Kept {
            meaning: Rc::clone(&meaning),
            stood: (self.text, next),
        });
        (next, Some(meaning))
    }
}

/// The words of a book that a spelling may be, if any.
pub(super) type Ids = Option<Rc<[WordId]>>;

/// What a spelling is to each book.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one independent mark on a spelling"
)]
#[derive(Debug)]
pub(super) struct Meaning {
    /// Words of the lexicon it may be, small typos forgiven.
    pub(super) groups: Vec<WordId>,
    /// Words of the flag file's phrases it may be, small typos forgiven.
    pub(super) literals: Vec<WordId>,
    /// One of the small words that may stand inside a phrase, small typos forgiven.
    pub(super) small: bool,
    /// The same as it is spelt.
    pub(super) small_as_spelt: bool,
    /// A word for pain in another language.
    pub(super) pain_abroad: bool,
    /// A small word of another language.
    pub(super) small_abroad: bool,
    /// The number of its stem among what is weighed for a body in trouble.
    weighed: OnceCell<Option<u32>>,
    /// The same, plain and denied, among what is weighed for signs.
    told: OnceCell<[Option<u32>; 2]>,
    /// Words of further books it may be, each book known by where it lies: it lies still as long as
    /// the catalog is read with.
    books: RefCell<Vec<(usize, Ids)>>,
    /// The same for books of signs.
    signs: RefCell<Vec<(usize, Option<WordId>)>>,
}

impl Meaning {
    fn new(token: &Token, catalog: &Catalog) -> Self {
        let lexicon = &catalog.lexicon;
        let exact = lexicon.phrases.words.exact(&token.text, &token.stem);
        let small_as_spelt = lexicon.is_small(&exact);
        let [groups, literals] = resolve(token, exact, &catalog.flags.literals, lexicon);
        Self {
            small: lexicon.is_small(&groups),
            groups,
            literals,
            small_as_spelt,
            pain_abroad: lexicon.pain_abroad.contains(&token.text),
            small_abroad: lexicon.small_abroad.contains(&token.text),
            weighed: OnceCell::new(),
            told: OnceCell::new(),
            books: RefCell::default(),
            signs: RefCell::default(),
        }
    }

    /// The words of another book that it may be, if any; `token` is one so spelt.
    pub(super) fn of(&self, book: &PhraseBook, token: &Token, lexicon: &Lexicon) -> Ids {
        let place = std::ptr::from_ref(book).addr();
        let mut books = self.books.borrow_mut();
        if let Some((_, ids)) = books.iter().find(|(at, _)| *at == place) {
            return ids.clone();
        }
        let found = meant(token, book, lexicon);
        let ids: Ids = (!found.is_empty()).then(|| found.into());
        books.push((place, ids.clone()));
        ids
    }

    /// The word of a book of signs that it may be; `token` is one so spelt.
    pub(super) fn sign_word(
        &self,
        book: &SignBook,
        token: &Token,
        lexicon: &Lexicon,
    ) -> Option<WordId> {
        let place = std::ptr::from_ref(book).addr();
        let mut signs = self.signs.borrow_mut();
        if let Some((_, id)) = signs.iter().find(|(at, _)| *at == place) {
            return *id;
        }
        let id = book.known(token, lexicon);
        signs.push((place, id));
        id
    }

    /// The number of its stem among what is weighed, found by `find` the first time.
    pub(super) fn weighed(&self, find: impl FnOnce() -> Option<u32>) -> Option<u32> {
        *self.weighed.get_or_init(find)
    }

    /// The numbers of its stem, plain and denied, among what is weighed for signs, found by `find`
    /// the first time.
    pub(super) fn told(&self, find: impl FnOnce() -> [Option<u32>; 2]) -> [Option<u32>; 2] {
        *self.told.get_or_init(find)
    }
}

/// The words of lexicon and flag file a token may be: `exact` as spelt in the lexicon, else by a
/// small typo unless it is a real word.
fn resolve(
    token: &Token,
    exact: Vec<WordId>,
    literals: &PhraseBook,
    lexicon: &Lexicon,
) -> [Vec<WordId>; 2] {
    let exact = [exact, literals.words.exact(&token.text, &token.stem)];
    let known = exact.iter().any(|ids| !ids.is_empty());
    if known || !may_be_mistyped(token, lexicon) {
        return exact;
    }
    let near = [&lexicon.phrases, literals].map(|book| book.words.near(&token.text));
    let best = near.iter().map(|(distance, _)| *distance).min();
    near.map(|(distance, ids)| {
        if Some(distance) == best {
            ids
        } else {
            Vec::new()
        }
    })
}

/// The words of a book that a token may be: as spelt or stemmed, a word that means the same, else
/// by a small typo.
fn meant(token: &Token, book: &PhraseBook, lexicon: &Lexicon) -> Vec<WordId> {
    let mut exact = book.words.exact(&token.text, &token.stem);
    // "came" is said where "come" is written.
    if let Some(meant) = lexicon.same.get(&token.stem) {
        exact.extend(book.words.exact(meant, meant));
        exact.sort_unstable();
        exact.dedup();
    }
    if exact.is_empty() && may_be_mistyped(token, lexicon) {
        return book.words.near(&token.text).1;
    }
    exact
}

/// A word of middling length that is no real word otherwise.
fn may_be_mistyped(token: &Token, lexicon: &Lexicon) -> bool {
    token.kind != Kind::Number
        && (4..=24).contains(&token.text.len())
        && !lexicon.protected.contains(&token.text)
        && !lexicon.protected.contains(&token.stem)
}
