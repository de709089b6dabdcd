//! Signs by their concepts: groups of words (a part of the body or the bar, a movement or a
//! feeling, a moment) and, for each sign, which of them have to stand near one another.

use super::pattern::{Pattern, Term};
use super::words::PhraseBook;
use super::{CatalogFile, CatalogProblem, LiftBook};
use crate::report::Lift;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Words that may stand between two parts of a wording, when it gives no number (common practice).
const NEAR: usize = 5;

/// The file as written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SignWordsFile {
    subjects: Vec<String>,
    sharp_pain: Vec<String>,
    groups: BTreeMap<String, Vec<String>>,
    #[serde(default)]
    posts: BTreeMap<String, Vec<String>>,
    signs: BTreeMap<String, Vec<String>>,
    #[serde(default)]
    well: BTreeMap<String, Vec<String>>,
}

/// The wordings of every sign, compiled for matching.
#[derive(Clone, Debug, Default)]
pub struct SignWords {
    /// Every phrase, standing for the number of its group.
    pub(crate) phrases: PhraseBook,
    /// Names of the groups that have one, by number; words that stand in a wording come after.
    pub(crate) names: Vec<String>,
    /// How many groups there are.
    pub(crate) groups: usize,
    /// Groups that name what moves: between one of these and its movement no other may stand.
    pub(crate) subjects: Vec<usize>,
    /// What is said of a whole post: every phrase, standing for the number of its group.
    pub(crate) posts: PhraseBook,
    /// Names of these groups.
    pub(crate) post_names: Vec<String>,
    /// Words that make a pain a sharp one.
    pub(crate) sharp_pain: PhraseBook,
    /// The wordings in the order of the sign ids, those of how it should be last.
    pub(crate) wordings: Vec<SignWording>,
    /// Numbers of the wordings that need this group, for their part with the fewest groups.
    pub(crate) by_group: Vec<Vec<usize>>,
    /// The group of words that turn how it should be into how it is not (`cant`, `wont`).
    pub(crate) failing: Option<usize>,
    /// The group of words after which something is only wanted, heard or looked for.
    pub(crate) aside: Option<usize>,
    /// The group of words after which how it should be is only wished.
    pub(crate) wished: Option<usize>,
}

/// One wording: parts that stand near one another, the subject first.
#[derive(Clone, Debug)]
pub(crate) struct SignWording {
    /// The sign it says.
    pub(crate) sign: String,
    /// Whether it says how it should be: the sign is there only if this is denied.
    pub(crate) well: bool,
    /// For each part the groups any of which may stand there.
    pub(crate) parts: Vec<Vec<usize>>,
    /// Not if any of these stands near.
    pub(crate) unless: Vec<usize>,
    /// Words that may stand between two parts.
    pub(crate) near: usize,
}

impl SignWords {
    /// Reads the file; all faults at once.
    ///
    /// # Errors
    /// What is not TOML of this shape, a wording that cannot be read, a group that is not there.
    pub fn parse(file: CatalogFile<'_>) -> Result<Self, Vec<CatalogProblem>> {
        let read: SignWordsFile = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut book = Self::default();
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for (name, phrases) in &read.groups {
            let number = book.groups;
            names.insert(name, number);
            book.names.push(name.clone());
            book.groups += 1;
            for phrase in phrases {
                book.phrases.add(phrase, number);
            }
        }
        for phrase in &read.sharp_pain {
            book.sharp_pain.add(phrase, 0);
        }
        for (number, (name, phrases)) in read.posts.iter().enumerate() {
            book.post_names.push(name.clone());
            for phrase in phrases {
                book.posts.add(phrase, number);
            }
        }
        let mut problems = Vec::new();
        for name in &read.subjects {
            match names.get(name.as_str()) {
                Some(number) => book.subjects.push(*number),
                None => problems.push(problem(&file, name, &format!("no group `{name}`"))),
            }
        }
        let mut literals: BTreeMap<String, usize> = BTreeMap::new();
        let groups = book.groups;
        let mut compile = |table: &BTreeMap<String, Vec<String>>, well: bool| {
            for (sign, texts) in table {
                for text in texts {
                    let read = Pattern::parse(text, &mut literals)
                        .and_then(|pattern| wording(text, &pattern, &names, groups));
                    match read {
                        Ok(wording) => book.wordings.push(SignWording {
                            sign: sign.clone(),
                            well,
                            ..wording
                        }),
                        Err(what) => problems.push(problem(&file, text, &what)),
                    }
                }
            }
        };
        compile(&read.signs, false);
        compile(&read.well, true);
        let group = |name: &str| names.get(name).copied();
        book.failing = group("failing");
        book.aside = group("aside");
        book.wished = group("wished");
        let first = book.groups;
        for (phrase, number) in &literals {
            book.phrases.add(phrase, first + number);
        }
        book.groups += literals.len();
        book.by_group = vec![Vec::new(); book.groups];
        for (number, wording) in book.wordings.iter().enumerate() {
            let rarest = wording.parts.iter().min_by_key(|part| part.len());
            for group in rarest.into_iter().flatten() {
                if let Some(numbers) = book.by_group.get_mut(*group) {
                    numbers.push(number);
                }
            }
        }
        if problems.is_empty() {
            Ok(book)
        } else {
            Err(problems)
        }
    }

    /// Signs named here that no lift has.
    pub(super) fn strangers(
        &self,
        lifts: &BTreeMap<Lift, LiftBook>,
        file: &CatalogFile<'_>,
    ) -> Vec<CatalogProblem> {
        let known = |id: &str| lifts.values().any(|book| book.sign(id).is_some());
        let mut strange: Vec<&str> = Vec::new();
        for wording in self.wordings.iter().filter(|wording| !known(&wording.sign)) {
            if !strange.contains(&wording.sign.as_str()) {
                strange.push(&wording.sign);
            }
        }
        let problem = |id: &str| problem(file, id, &format!("no sign `{id}`"));
        strange.into_iter().map(problem).collect()
    }
}

/// One wording with its groups as numbers; words of its own come after the `groups` named ones.
fn wording(
    text: &str,
    pattern: &Pattern,
    names: &BTreeMap<&str, usize>,
    groups: usize,
) -> Result<SignWording, String> {
    let numbers = |terms: &[Term]| -> Result<Vec<usize>, String> {
        terms
            .iter()
            .map(|term| match term {
                Term::Group(name) => names
                    .get(name.as_str())
                    .copied()
                    .ok_or_else(|| format!("no group `{name}`")),
                Term::Literal(id) => Ok(groups + id),
                _ => Err("only groups and words may stand here".to_owned()),
            })
            .collect()
    };
    let parts = pattern.parts.iter().map(|part| numbers(&part.any));
    let unless = pattern.unless.iter().map(|any| numbers(any));
    Ok(SignWording {
        sign: String::new(),
        well: false,
        parts: parts.collect::<Result<_, _>>()?,
        unless: unless.collect::<Result<Vec<_>, _>>()?.concat(),
        near: if text.contains('@') {
            pattern.near
        } else {
            NEAR
        },
    })
}

/// A fault at the line where these words first stand.
fn problem(file: &CatalogFile<'_>, words: &str, what: &str) -> CatalogProblem {
    let before = file.text.split_once(words).map_or("", |(before, _)| before);
    CatalogProblem {
        file: file.name.to_owned(),
        line: before.matches('\n').count() + 1,
        what: what.to_owned(),
        accepted: "the shapes shown at the head of the file".to_owned(),
    }
}
