//! Every limit of a trace's measuring that a coach may set: `motion.toml` of the catalog.

use super::{SignLimits, TraceLimits};
use crate::catalog::{CatalogFile, CatalogProblem};
use serde::Deserialize;

/// Limits of following, of signs and of comparing two sets.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MotionLimits {
    /// Following and cutting into repetitions.
    pub trace: TraceLimits,
    /// From where on a quantity shows a sign.
    pub sign: SignLimits,
    /// Comparing a set with the one before.
    pub verdict: VerdictLimits,
}

/// How a measured sign is judged against the set before (our own model choice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct VerdictLimits {
    /// A sign is gone when its probability is at most this.
    pub gone_at_most: f64,
    /// A sign is still there when its probability is at least this.
    pub there_at_least: f64,
    /// A change counts beyond this many of its standard errors: 1.645 leaves one in twenty to
    /// chance on one side.
    pub beyond_errors: f64,
}

impl Default for VerdictLimits {
    fn default() -> Self {
        Self {
            gone_at_most: 0.2,
            there_at_least: 0.8,
            beyond_errors: 1.645,
        }
    }
}

impl MotionLimits {
    /// Reads `motion.toml`; what it does not name is as built in.
    ///
    /// # Errors
    /// What cannot be read, with its line; a figure that is none.
    pub fn parse(file: CatalogFile<'_>) -> Result<Self, Vec<CatalogProblem>> {
        let problem = |line: usize, what: String, accepted: &str| CatalogProblem {
            file: file.name.to_owned(),
            line,
            what,
            accepted: accepted.to_owned(),
        };
        let endless = file.text.lines().zip(1..).find(|(text, _)| {
            let value = text.split('#').next().unwrap_or_default();
            let value = value.split('=').nth(1).unwrap_or_default().trim();
            matches!(value.trim_start_matches(['+', '-']), "nan" | "inf")
        });
        if let Some((text, line)) = endless {
            let what = format!("`{}` is no figure", text.trim());
            return Err(vec![problem(line, what, "a number")]);
        }
        let limits: Self = toml::from_str(file.text).map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            let before = file.text.get(..at).unwrap_or_default();
            let line = before.matches('\n').count() + 1;
            vec![problem(
                line,
                error.message().to_owned(),
                "the keys of the file as built in, each with a number",
            )]
        })?;
        let verdict = &limits.verdict;
        let share = |value: f64| (0.0..=1.0).contains(&value);
        let sound = share(verdict.gone_at_most)
            && share(verdict.there_at_least)
            && verdict.gone_at_most < verdict.there_at_least
            && verdict.beyond_errors > 0.0;
        if !sound {
            let mut lines = file.text.lines().zip(1..);
            let line = lines.find(|(text, _)| text.trim() == "[verdict]");
            return Err(vec![problem(
                line.map_or(1, |(_, line)| line),
                "the limits of [verdict] do not fit together".to_owned(),
                "0 <= gone_at_most < there_at_least <= 1, and beyond_errors above 0",
            )]);
        }
        Ok(limits)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(text: &str) -> Result<MotionLimits, Vec<CatalogProblem>> {
        MotionLimits::parse(CatalogFile {
            name: "motion.toml",
            text,
        })
    }

    #[test]
    fn the_file_as_committed_says_what_is_built_in() {
        let text = include_str!("../../../config/catalog/motion.toml");
        assert_eq!(read(text).unwrap(), MotionLimits::default());
        // Every limit stands in the file, so that the coach finds it; six fields hold the others.
        let figures = text.lines().filter(|line| {
            let line = line.trim_start();
            line.contains(" = ") && !line.starts_with('#')
        });
        let shown = format!("{:?}", MotionLimits::default());
        assert_eq!(figures.count(), shown.matches(": ").count() - 6, "{shown}");
    }

    #[test]
    fn a_wrong_limit_is_told_with_its_line() {
        for (text, line) in [
            ("[sign]\n\nhalf = 1", 3),
            ("[verdict]\nbeyond_errors = \"much\"", 2),
            ("[verdict]\n# none\nbeyond_errors = nan", 3),
            ("\n[verdict]\ngone_at_most = 0.9", 2),
            ("[verdict]\nbeyond_errors = 0", 1),
            ("[verdict", 1),
        ] {
            let problems = read(text).unwrap_err();
            assert_eq!(
                (problems.len(), problems[0].line),
                (1, line),
                "{text}: {problems:?}"
            );
        }
        assert_eq!(read("# nothing\n").unwrap(), MotionLimits::default());
    }
}
