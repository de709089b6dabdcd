//! One file of the catalog as blocks with their lines, and every fault of shape in it.

use super::nearest::nearest;
use super::{CatalogFile, CatalogProblem};
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Error, ValueDeserializer};

/// A kind of block such as `[[sign]]`.
pub(super) trait Block: DeserializeOwned {
    /// The word in the block's brackets.
    const NAME: &'static str;
    /// Keys every block must have.
    const REQUIRED: &'static [&'static str];
}

/// One block read, with the lines its words stand on.
#[derive(Debug)]
pub(super) struct Entry<'a, T> {
    /// The block's file.
    pub(super) file: &'a str,
    /// Line of the block's head.
    pub(super) line: usize,
    /// The block itself.
    pub(super) value: T,
    words: Vec<(String, usize)>,
}

impl<T> Entry<'_, T> {
    /// The line on which `word` stands in the block, else the line of its head.
    pub(super) fn line_of(&self, word: &str) -> usize {
        self.words
            .iter()
            .find(|(text, _)| text == word)
            .map_or(self.line, |(_, line)| *line)
    }

    /// A problem on the line of `word`.
    pub(super) fn problem(
        &self,
        word: &str,
        what: impl Into<String>,
        accepted: impl Into<String>,
    ) -> CatalogProblem {
        CatalogProblem {
            file: self.file.to_owned(),
            line: self.line_of(word),
            what: what.into(),
            accepted: accepted.into(),
        }
    }
}

/// All blocks of one file.
#[derive(Debug)]
pub(super) struct Blocks<'a, T> {
    /// The blocks that could be read, in the order of the file.
    pub(super) entries: Vec<Entry<'a, T>>,
    /// Ids (or `cause` keys) of all blocks, those that could not be read included.
    pub(super) ids: BTreeSet<String>,
    /// False when the file is missing or broken, so that an unknown id may stand in the lost part.
    pub(super) whole: bool,
}

impl<T> Default for Blocks<'_, T> {
    fn default() -> Self {
        Self {
            entries: Vec::new(),
            ids: BTreeSet::new(),
            whole: false,
        }
    }
}

/// One file taken apart into keys and values that know where they stand.
pub(super) struct Document<'a> {
    name: &'a str,
    line_starts: Vec<usize>,
    root: DeTable<'a>,
    broken_lines: Vec<usize>,
}

impl<'a> Document<'a> {
    /// Takes a file apart; what is not TOML becomes a problem, the rest is kept.
    pub(super) fn open(file: &CatalogFile<'a>, problems: &mut Vec<CatalogProblem>) -> Self {
        let (root, errors) = DeTable::parse_recoverable(file.text);
        let mut document = Self {
            name: file.name,
            line_starts: line_starts(file.text),
            root: root.into_inner(),
            broken_lines: Vec::new(),
        };
        for error in errors {
            let line = document.line(error.span().map_or(0, |span| span.start));
            // One slip often upsets the rest of its line: the first word on it is enough.
            if !document.broken_lines.contains(&line) {
                problems.push(document.problem(
                    line,
                    format!("not readable: {}", error.message()),
                    "key = value, text in \"double quotes\", lists in [brackets], blocks under [[name]]",
                ));
                document.broken_lines.push(line);
            }
        }
        document
    }

    /// Reads every block of one kind; nothing else may stand in the file.
    pub(super) fn blocks<T: Block>(mut self, problems: &mut Vec<CatalogProblem>) -> Blocks<'a, T> {
        let blocks = self.take_blocks(problems);
        self.refuse_rest(&[T::NAME], problems);
        blocks
    }

    /// Takes the blocks of one kind out of the file.
    pub(super) fn take_blocks<T: Block>(
        &mut self,
        problems: &mut Vec<CatalogProblem>,
    ) -> Blocks<'a, T> {
        let mut blocks = Blocks {
            whole: self.broken_lines.is_empty(),
            ..Blocks::default()
        };
        let Some(value) = self.root.remove(T::NAME) else {
            return blocks;
        };
        let line = self.line(value.span().start);
        let DeValue::Array(items) = value.into_inner() else {
            problems.push(self.problem(
                line,
                format!("`{}` is not a list of blocks", T::NAME),
                format!("blocks under [[{}]]", T::NAME),
            ));
            return blocks;
        };
        let heads: Vec<usize> = items.iter().map(|i| self.line(i.span().start)).collect();
        for (index, item) in items.iter().enumerate() {
            let line = heads.get(index).copied().unwrap_or(1);
            let end = heads.get(index + 1).copied().unwrap_or(usize::MAX);
            let broken = self.broken_lines.iter().any(|b| (line..end).contains(b));
            blocks.ids.extend(id_of(item.get_ref()));
            let mut found = Vec::new();
            if let Some(entry) = self.entry(item, line, &mut found) {
                blocks.entries.push(entry);
            } else {
                blocks.whole = false;
            }
            // What a slip of writing already explains is not told twice.
            if !broken {
                problems.append(&mut found);
            }
        }
        blocks
    }

    /// Takes one text out of the file.
    pub(super) fn take_text(
        &mut self,
        key: &str,
        problems: &mut Vec<CatalogProblem>,
    ) -> Option<String> {
        let Some(value) = self.root.remove(key) else {
            problems.push(self.problem(
                1,
                format!("`{key}` is missing"),
                format!("{key} = \"one or two sentences\""),
            ));
            return None;
        };
        let line = self.line(value.span().start);
        match value.get_ref().as_str() {
            Some(text) if !text.trim().is_empty() => Some(text.to_owned()),
            _ => {
                problems.push(self.problem(
                    line,
                    format!("`{key}` has no words"),
                    format!("{key} = \"one or two sentences\""),
                ));
                None
            }
        }
    }

    /// Refuses every key still in the file.
    pub(super) fn refuse_rest(&self, known: &[&str], problems: &mut Vec<CatalogProblem>) {
        for (key, _) in &self.root {
            let line = self.line(key.span().start);
            if !self.broken_lines.contains(&line) {
                problems.push(self.problem(
                    line,
                    format!("unknown name `{}`", key.get_ref()),
                    format!("{} in this file", known.join(", ")),
                ));
            }
        }
    }

    fn entry<T: Block>(
        &self,
        item: &Spanned<DeValue<'a>>,
        line: usize,
        problems: &mut Vec<CatalogProblem>,
    ) -> Option<Entry<'a, T>> {
        let before = problems.len();
        let table = item.get_ref().as_table()?;
        for key in T::REQUIRED.iter().filter(|key| !table.contains_key(**key)) {
            problems.push(self.problem(
                line,
                format!("`{key}` is missing"),
                format!("a {} has {}", T::NAME, T::REQUIRED.join(", ")),
            ));
        }
        let mut words = Vec::new();
        self.note_words(item, &mut words, problems);
        let value = self.read_block(item, problems);
        (problems.len() == before).then_some(())?;
        Some(Entry {
            file: self.name,
            line,
            value: value?,
            words,
        })
    }

    /// Reads one block; a key that does not fit is reported and left out, then the rest is read.
    fn read_block<T: Block>(
        &self,
        item: &Spanned<DeValue<'a>>,
        problems: &mut Vec<CatalogProblem>,
    ) -> Option<T> {
        let table = item.get_ref().as_table()?;
        let mut left_out: Vec<&str> = Vec::new();
        loop {
            let mut attempt = item.clone();
            if let DeValue::Table(table) = attempt.get_mut() {
                for key in &left_out {
                    table.remove(*key);
                }
            }
            let error = match T::deserialize(ValueDeserializer::from(attempt)) {
                Ok(value) => return Some(value),
                Err(error) => error,
            };
            let at = error.span().map_or(item.span().start, |span| span.start);
            if error.message().starts_with("missing field") {
                let key = quoted(error.message()).unwrap_or_default();
                let own = T::REQUIRED.contains(&key) && !table.contains_key(key);
                if own || left_out.contains(&key) {
                    return None;
                }
                let accepted = format!("`{key}` is needed here");
                problems.push(self.problem(self.line(at), format!("`{key}` is missing"), accepted));
            } else {
                problems.push(self.misfit(&error, self.line(at)));
            }
            let culprit = table
                .iter()
                .filter(|(key, _)| !left_out.contains(&key.get_ref().as_ref()))
                .find(|(key, value)| key.span().contains(&at) || holds(value, at))
                .map(|(key, _)| key.get_ref().as_ref())?;
            left_out.push(culprit);
        }
    }

    /// What the reader of values says, in words a coach can use.
    fn misfit(&self, error: &Error, line: usize) -> CatalogProblem {
        let message = error.message();
        if message.contains("one number or a pair of numbers") {
            return self.problem(
                line,
                "not a figure",
                "one number, or a pair such as [3, 5] with the smaller first",
            );
        }
        let (what, accepted) = message
            .split_once(", expected ")
            .unwrap_or((message, "a value of the right kind"));
        let what = what
            .replace("unknown field", "unknown key")
            .replace("unknown variant", "unknown word");
        let near = quoted(&what).and_then(|found| {
            let words = accepted.split('`').skip(1).step_by(2);
            nearest(found, words)
        });
        let accepted = near.map_or_else(
            || accepted.to_owned(),
            |near| format!("{accepted}; nearest is `{near}`"),
        );
        self.problem(line, what, accepted)
    }

    /// Notes every text of a value with its line, and refuses spans with the larger end first.
    fn note_words(
        &self,
        value: &Spanned<DeValue<'a>>,
        words: &mut Vec<(String, usize)>,
        problems: &mut Vec<CatalogProblem>,
    ) {
        let line = self.line(value.span().start);
        match value.get_ref() {
            DeValue::String(text) => words.push((text.to_string(), line)),
            DeValue::Array(items) => {
                if let [low, high] = &items[..]
                    && let (Some(a), Some(b)) = (figure(low), figure(high))
                    && a > b
                {
                    problems.push(self.problem(
                        line,
                        format!("the span [{a}, {b}] has its larger end first"),
                        format!("[{b}, {a}]"),
                    ));
                }
                for item in items {
                    self.note_words(item, words, problems);
                }
            }
            DeValue::Table(table) => {
                for (key, item) in table {
                    words.push((format!("{} =", key.get_ref()), self.line(key.span().start)));
                    self.note_words(item, words, problems);
                }
            }
            _ => {}
        }
    }

    fn line(&self, offset: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= offset)
    }

    fn problem(
        &self,
        line: usize,
        what: impl Into<String>,
        accepted: impl Into<String>,
    ) -> CatalogProblem {
        CatalogProblem {
            file: self.name.to_owned(),
            line,
            what: what.into(),
            accepted: accepted.into(),
        }
    }
}

/// Offsets at which the lines begin.
fn line_starts(text: &str) -> Vec<usize> {
    std::iter::once(0)
        .chain(text.match_indices('\n').map(|(at, _)| at + 1))
        .collect()
}

/// The block's own id; a correction is known by its cause.
fn id_of(block: &DeValue<'_>) -> Option<String> {
    let table = block.as_table()?;
    let id = table.get("id").or_else(|| table.get("cause"))?;
    id.get_ref().as_str().map(str::to_owned)
}

/// The number a value holds.
fn figure(value: &Spanned<DeValue<'_>>) -> Option<f64> {
    match value.get_ref() {
        DeValue::Integer(number) => number.as_str().parse().ok(),
        DeValue::Float(number) => number.as_str().parse().ok(),
        _ => None,
    }
}

/// Whether the offset lies in the value or in anything inside it.
fn holds(value: &Spanned<DeValue<'_>>, at: usize) -> bool {
    value.span().contains(&at)
        || match value.get_ref() {
            DeValue::Array(items) => items.iter().any(|item| holds(item, at)),
            DeValue::Table(table) => table
                .iter()
                .any(|(key, item)| key.span().contains(&at) || holds(item, at)),
            _ => false,
        }
}

/// The first word in backquotes, or in double quotes.
fn quoted(text: &str) -> Option<&str> {
    text.split('`').nth(1).or_else(|| text.split('"').nth(1))
}
