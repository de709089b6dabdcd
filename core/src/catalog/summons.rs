//! What the lifter may write that has the coach look, whatever the signs say, and what lets a rule
//! of context hold: the wordings of the escalations and rules, in the language of the red flags without groups (`a / b`, `+ near`, `! unless`,
//! a last `^` whoever it is about).

use super::CatalogProblem;
use super::pattern::{Pattern, Term};
use super::words::PhraseBook;
use std::collections::BTreeMap;

/// The wordings of the escalations, compiled.
#[derive(Clone, Debug, Default)]
pub(crate) struct Summons {
    /// Every phrase, standing for its number.
    pub(crate) phrases: PhraseBook,
    /// Escalation id and one wording each, in the order of the file.
    pub(crate) wordings: Vec<(String, SummonsWording)>,
}

/// One wording: parts near one another in one sentence, in any order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct SummonsWording {
    /// For each part the phrases any of which may stand there.
    pub(crate) parts: Vec<Vec<usize>>,
    /// Not if any of these stands near.
    pub(crate) unless: Vec<usize>,
    /// Words that may stand between two parts.
    pub(crate) near: usize,
    /// Counts whoever it is about.
    pub(crate) any_person: bool,
}

impl Summons {
    /// Compiles the wordings; one that cannot be read is told to `fault` and left out.
    pub(super) fn of<'e>(
        told: impl Iterator<Item = (&'e str, &'e [String])>,
        mut fault: impl FnMut(&str, &str, String),
    ) -> Self {
        let mut book = Self::default();
        let mut literals: BTreeMap<String, usize> = BTreeMap::new();
        for (id, texts) in told {
            for text in texts {
                match wording(text, &mut literals) {
                    Ok(wording) => book.wordings.push((id.to_owned(), wording)),
                    Err(what) => fault(id, text, what),
                }
            }
        }
        for (phrase, number) in &literals {
            book.phrases.add(phrase, *number);
        }
        book
    }
}

fn wording(text: &str, literals: &mut BTreeMap<String, usize>) -> Result<SummonsWording, String> {
    compiled(&Pattern::parse(text, literals)?)
}

/// A wording whose terms are all words.
pub(super) fn compiled(pattern: &Pattern) -> Result<SummonsWording, String> {
    let numbers = |terms: &[Term]| -> Result<Vec<usize>, String> {
        let number = |term: &Term| match term {
            Term::Literal(number) => Ok(*number),
            _ => Err("only words may stand here, no <groups>".to_owned()),
        };
        terms.iter().map(number).collect()
    };
    let parts = pattern.parts.iter().map(|part| numbers(&part.any));
    let unless = pattern.unless.iter().map(|any| numbers(any));
    Ok(SummonsWording {
        parts: parts.collect::<Result<_, _>>()?,
        unless: unless.collect::<Result<Vec<_>, _>>()?.concat(),
        near: pattern.near,
        any_person: pattern.any_person,
    })
}

/// The same faults as problems of the catalog.
pub(super) fn problem(file: &str, line: usize, text: &str, what: &str) -> CatalogProblem {
    CatalogProblem {
        file: file.to_owned(),
        line,
        what: format!("{what}: {text}"),
        accepted: "words, + (near), / (or), ! (unless), @12 (words apart)".to_owned(),
    }
}
