//! What people write besides sets: insults, threats, advertising, orders to a program, talk of other
//! things. Known by groups of words and wordings, in the language of the red flags.

use super::pattern::Pattern;
use super::summons::{SummonsWording, compiled};
use super::words::PhraseBook;
use super::{CatalogFile, CatalogProblem};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What kind of message it is besides a set, the gravest last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MannerKind {
    /// A question or a wish that has nothing to do with lifting.
    OffTopic,
    /// An order to the program to be or to do something else.
    Orders,
    /// Advertising.
    Spam,
    /// A question about drugs, medicines or where to get them.
    Drugs,
    /// An insult to whoever reads it.
    Insult,
    /// Words against people for what they are.
    Hate,
    /// Sexual words to or about a person.
    Sexual,
    /// A threat.
    Threat,
}

impl MannerKind {
    /// Every kind, the gravest last.
    pub const ALL: [Self; 8] = [
        Self::OffTopic,
        Self::Orders,
        Self::Spam,
        Self::Drugs,
        Self::Insult,
        Self::Hate,
        Self::Sexual,
        Self::Threat,
    ];

    /// The kind as files and answers write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OffTopic => "off-topic",
            Self::Orders => "orders",
            Self::Spam => "spam",
            Self::Drugs => "drugs",
            Self::Insult => "insult",
            Self::Hate => "hate",
            Self::Sexual => "sexual",
            Self::Threat => "threat",
        }
    }

    /// Aimed at people or the program, to hurt.
    pub const fn is_abuse(self) -> bool {
        matches!(
            self,
            Self::Insult | Self::Hate | Self::Sexual | Self::Threat
        )
    }
}

/// The file as written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct MannersFile {
    groups: BTreeMap<String, Vec<String>>,
    harmless: Vec<String>,
    manner: Vec<Block>,
}

/// One kind with its wordings.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Block {
    kind: MannerKind,
    words: Vec<String>,
}

/// The wordings of every kind, compiled for matching.
#[derive(Clone, Debug, Default)]
pub struct Manners {
    /// Every phrase, standing for its number.
    pub(crate) phrases: PhraseBook,
    /// Kind and wording, the gravest kind first, else in the order of the file.
    pub(crate) wordings: Vec<(MannerKind, SummonsWording)>,
    /// Numbers of the phrases that mean nothing of the kind, whatever stands in them.
    pub(crate) harmless: Vec<usize>,
}

impl Manners {
    /// Reads the file; all faults at once, each with its line.
    ///
    /// # Errors
    /// What is not TOML of this shape, a wording that cannot be read, a group that is not there.
    pub fn parse(file: CatalogFile<'_>) -> Result<Self, Vec<CatalogProblem>> {
        let read: MannersFile = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut book = Self::default();
        let mut problems = Vec::new();
        let mut literals: BTreeMap<String, usize> = BTreeMap::new();
        for block in &read.manner {
            for text in &block.words {
                let wording = spelt_out(text, &read.groups)
                    .and_then(|text| Pattern::parse(&text, &mut literals))
                    .and_then(|pattern| compiled(&pattern));
                match wording {
                    Ok(wording) => book.wordings.push((block.kind, wording)),
                    Err(what) => problems.push(problem(&file, text, &what)),
                }
            }
        }
        for text in &read.harmless {
            let next = literals.len();
            book.harmless
                .push(*literals.entry(text.clone()).or_insert(next));
        }
        for (phrase, number) in &literals {
            if super::spread::spread(phrase).is_err() {
                problems.push(problem(&file, phrase, "cannot be read"));
            }
            book.phrases.add(phrase, *number);
        }
        book.wordings
            .sort_by_key(|(kind, _)| std::cmp::Reverse(*kind));
        if problems.is_empty() {
            Ok(book)
        } else {
            Err(problems)
        }
    }
}

/// A wording with every `<group>` replaced by its phrases, any of which may stand there.
fn spelt_out(text: &str, groups: &BTreeMap<String, Vec<String>>) -> Result<String, String> {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('<') {
        let (name, next) = after
            .split_once('>')
            .ok_or_else(|| "a < without its >".to_owned())?;
        let phrases = groups
            .get(name)
            .filter(|phrases| !phrases.is_empty())
            .ok_or_else(|| format!("no group `{name}` with words in it"))?;
        out.push_str(before);
        out.push_str(&phrases.join(" / "));
        rest = next;
    }
    out.push_str(rest);
    Ok(out)
}

/// A fault with the line that holds the words.
fn problem(file: &CatalogFile<'_>, words: &str, what: &str) -> CatalogProblem {
    let line = file.text.lines().position(|line| line.contains(words));
    CatalogProblem {
        file: file.name.to_owned(),
        line: line.map_or(1, |at| at + 1),
        what: format!("{what}: {words}"),
        accepted: "words, <groups of this file>, + (near), / (or), ! (unless), @12 (words apart)"
            .to_owned(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn faults(text: &str) -> Vec<(usize, String)> {
        let file = CatalogFile {
            name: "manners.toml",
            text,
        };
        let problems = Manners::parse(file).unwrap_err();
        problems.into_iter().map(|p| (p.line, p.what)).collect()
    }

    #[test]
    fn a_slip_of_the_coach_is_told_with_its_line() {
        let found = faults(
            "harmless = []\n[groups]\nbot = [\"bot\"]\n[[manner]]\nkind = \"insult\"\nwords = [\n\"stupid + <bto>\",\n]\n",
        );
        assert_eq!(found[0].0, 7);
        assert!(found[0].1.contains("no group `bto`"), "{found:?}");
        let found = faults("harmless = []\n[groups]\n[[manner]]\nkind = \"rude\"\nwords = []\n");
        assert_eq!(found[0].0, 4);
        assert!(found[0].1.contains("rude"), "{found:?}");
    }
}
