//! The coach's texts: loaded from `wording.toml`, checked against the texts built in.
//!
//! The built-in file is the contract: a changed file must have the same keys, may use only the
//! placeholders that the built-in text of the same key uses, and must keep the mandatory parts
//! of the safety texts.

use cueline_core::catalog::CatalogProblem;
use std::collections::{BTreeMap, BTreeSet};

/// The texts built into the binary.
pub const BUILT_IN: &str = include_str!("../../../config/catalog/wording.toml");

/// Texts that must say stop, and that must name licensed care.
const MUST_SAY: [(&str, &[&str]); 4] = [
    ("stop.emergency", &["stop", "licensed"]),
    ("stop.clinician", &["stop", "licensed"]),
    ("stop.still", &["licensed", "{emergency_number}"]),
    ("stop.halted_by_coach", &["licensed"]),
];

/// All texts by `section.key`.
#[derive(Clone, Debug)]
pub struct Words {
    texts: BTreeMap<String, String>,
}

impl Words {
    /// The texts built in.
    pub fn built_in() -> Self {
        Self {
            texts: read(BUILT_IN).unwrap_or_default(),
        }
    }

    /// Texts from a file; every fault at once, with line.
    pub fn parse(name: &str, text: &str) -> Result<Self, Vec<CatalogProblem>> {
        let problem = |line: usize, what: String, accepted: String| CatalogProblem {
            file: name.to_owned(),
            line,
            what,
            accepted,
        };
        let texts = read(text).map_err(|(line, what)| {
            vec![problem(
                line,
                what,
                "sections of texts, as built in".to_owned(),
            )]
        })?;
        let model = Self::built_in().texts;
        let mut problems = Vec::new();
        for key in model.keys().filter(|key| !texts.contains_key(*key)) {
            problems.push(problem(
                1,
                format!("the text `{key}` is missing"),
                "every text that is built in".to_owned(),
            ));
        }
        for (key, value) in &texts {
            let line = line_of(text, key);
            let Some(built_in) = model.get(key) else {
                let accepted = format!("the known texts, such as `{}`", nearest(key, &model));
                problems.push(problem(line, format!("unknown text `{key}`"), accepted));
                continue;
            };
            let known = placeholders(built_in);
            for name in placeholders(value).difference(&known) {
                let accepted = format!("{known:?}");
                problems.push(problem(line, format!("`{key}` uses {{{name}}}"), accepted));
            }
        }
        for (key, parts) in MUST_SAY {
            let said = texts.get(key).map(|t| t.to_lowercase()).unwrap_or_default();
            for part in parts.iter().filter(|part| !said.contains(**part)) {
                problems.push(problem(
                    line_of(text, key),
                    format!("the safety text `{key}` does not say \"{part}\""),
                    "a text that says it".to_owned(),
                ));
            }
        }
        if problems.is_empty() {
            Ok(Self { texts })
        } else {
            Err(problems)
        }
    }

    /// The text of `key` with its placeholders filled in. A filled-in value is never filled in
    /// again, so that a lifter's `{name}` stays what it is.
    pub fn say(&self, key: &str, values: &[(&str, &str)]) -> String {
        let mut rest = self.texts.get(key).map_or("", String::as_str);
        let mut said = String::with_capacity(rest.len() + 32);
        while let Some(open) = rest.find('{') {
            said.push_str(&rest[..open]);
            let after = &rest[open + 1..];
            let Some(close) = after.find('}') else {
                said.push('{');
                rest = after;
                continue;
            };
            let name = &after[..close];
            if let Some((_, value)) = values.iter().find(|(known, _)| *known == name) {
                said.push_str(value);
            }
            rest = &after[close + 1..];
        }
        said.push_str(rest);
        said
    }

    /// All keys, for the test that asks for each.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.texts.keys().map(String::as_str)
    }
}

/// Sections of texts to `section.key`; or the line and what is wrong there.
fn read(text: &str) -> Result<BTreeMap<String, String>, (usize, String)> {
    let sections: BTreeMap<String, BTreeMap<String, String>> =
        toml::from_str(text).map_err(|error| {
            let line = error.span().map_or(1, |span| {
                text.get(..span.start)
                    .unwrap_or_default()
                    .lines()
                    .count()
                    .max(1)
            });
            (line, error.message().to_owned())
        })?;
    Ok(sections
        .into_iter()
        .flat_map(|(section, texts)| {
            texts
                .into_iter()
                .map(move |(key, value)| (format!("{section}.{key}"), value))
        })
        .collect())
}

/// The line on which `section.key` is set; 1 when it is not.
fn line_of(text: &str, key: &str) -> usize {
    let Some((section, name)) = key.split_once('.') else {
        return 1;
    };
    let mut here = false;
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.starts_with('[') {
            here = line == format!("[{section}]");
        } else if here
            && line
                .split('=')
                .next()
                .is_some_and(|head| head.trim() == name)
        {
            return index + 1;
        }
    }
    1
}

/// Names in braces.
fn placeholders(text: &str) -> BTreeSet<&str> {
    text.split('{')
        .skip(1)
        .filter_map(|part| part.split_once('}').map(|(name, _)| name))
        .filter(|name| !name.is_empty() && name.chars().all(|c| c.is_ascii_lowercase() || c == '_'))
        .collect()
}

/// The known key that shares most of its letters with `key`.
fn nearest<'a>(key: &str, known: &'a BTreeMap<String, String>) -> &'a str {
    known
        .keys()
        .max_by_key(|candidate| {
            let shared = candidate
                .chars()
                .zip(key.chars())
                .take_while(|(a, b)| a == b)
                .count();
            (
                shared,
                std::cmp::Reverse(candidate.len().abs_diff(key.len())),
            )
        })
        .map_or("reply.read", String::as_str)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_texts_built_in_are_a_valid_file() {
        let words = Words::parse("wording.toml", BUILT_IN).expect("built-in texts");
        assert!(words.keys().count() > 50);
    }

    #[test]
    fn a_safety_text_that_forgets_licensed_care_is_refused_with_its_line() {
        let text = BUILT_IN.replace(
            "get licensed medical care, do not wait for an answer here.",
            "see you next week.",
        );
        let problems = Words::parse("wording.toml", &text).expect_err("refused");
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(problems[0].what.contains("stop.emergency"));
        let line = text.lines().nth(problems[0].line - 1).expect("line");
        assert!(line.starts_with("emergency ="), "{line}");
    }

    #[test]
    fn an_unknown_text_and_an_unknown_placeholder_are_named() {
        let text = BUILT_IN
            .replace("gone = ", "gnoe = ")
            .replace("**Do not:** {text}", "**Do not:** {txt}");
        let problems = Words::parse("wording.toml", &text).expect_err("refused");
        let all = format!("{problems:?}");
        assert!(
            all.contains("progress.gnoe") && all.contains("progress.gone"),
            "{all}"
        );
        assert!(all.contains("txt"), "{all}");
    }

    #[test]
    fn a_lifters_braces_are_not_filled_in() {
        let words = Words::built_in();
        let said = words.say("reply.because", &[("signs", "{because} {signs}")]);
        assert_eq!(said, "I go by this: {because} {signs}.");
    }
}
