//! The catalog as committed, and what is said about one that is not whole.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod broken;
mod committed;
mod conditions;
mod references;

use super::{Catalog, CatalogFile, CatalogProblem};

macro_rules! committed {
    ($($name:literal),* $(,)?) => {
        [$(CatalogFile {
            name: $name,
            text: include_str!(concat!("../../../../config/catalog/", $name)),
        }),*]
    };
}

/// The files as they are committed.
fn committed() -> Vec<CatalogFile<'static>> {
    committed![
        "squat-signs.toml",
        "squat-causes.toml",
        "squat-corrections.toml",
        "squat-questions.toml",
        "bench-signs.toml",
        "bench-causes.toml",
        "bench-corrections.toml",
        "bench-questions.toml",
        "deadlift-signs.toml",
        "deadlift-causes.toml",
        "deadlift-corrections.toml",
        "deadlift-questions.toml",
        "all-questions.toml",
        "context.toml",
        "escalations.toml",
        "filming.toml",
        "rules.toml",
        "flags.toml",
        "lexicon.toml",
        "body-words.toml",
        "weights.toml",
        "hazards.toml",
        "sign-words.toml",
        "sign-weights.toml",
        "post-weights.toml",
        "advice.toml",
        "motion.toml",
        "manners.toml",
    ]
    .to_vec()
}

/// The committed files with some words changed: file, words that stand there once or more (the
/// first is changed), new words.
fn edited(edits: &[(&str, &str, &str)]) -> Vec<(&'static str, String)> {
    let mut files: Vec<(&'static str, String)> = committed()
        .into_iter()
        .map(|file| (file.name, file.text.to_owned()))
        .collect();
    for (name, old, new) in edits {
        let (_, text) = files.iter_mut().find(|(file, _)| file == name).unwrap();
        assert!(text.contains(old), "{name} has no {old:?}");
        *text = text.replacen(old, new, 1);
    }
    files
}

fn problems(files: &[(&'static str, String)]) -> Vec<CatalogProblem> {
    let files: Vec<CatalogFile<'_>> = files
        .iter()
        .map(|(name, text)| CatalogFile { name, text })
        .collect();
    Catalog::parse(&files).expect_err("the catalog is broken")
}

/// The line on which `words` first stand in the file.
fn line(files: &[(&'static str, String)], name: &str, words: &str) -> usize {
    let (_, text) = files.iter().find(|(file, _)| *file == name).unwrap();
    let at = text.find(words).expect(words);
    text[..at].matches('\n').count() + 1
}

/// One edit gives exactly one problem, on the line where `at` stands, and its message holds
/// each of `says`.
fn one_problem(name: &'static str, old: &str, new: &str, at: &str, says: &[&str]) {
    let files = edited(&[(name, old, new)]);
    let found = problems(&files);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].file, name);
    assert_eq!(found[0].line, line(&files, name, at), "{}", found[0]);
    for words in says {
        assert!(
            found[0].to_string().contains(words),
            "{} / {words}",
            found[0]
        );
    }
}
