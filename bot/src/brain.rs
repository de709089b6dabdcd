//! What the service knows and goes by: catalog, texts and rules, loaded from the config folder
//! over what is built in.

use crate::casework::Rules;
use crate::settings::{FILE, Settings};
use crate::wording::Words;
use cueline_core::catalog::{Catalog, CatalogFile, CatalogProblem};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, PoisonError, RwLock};

/// The catalog's files as built in, by name.
const BUILT_IN: [(&str, &str); 29] = [
    (
        "squat-signs.toml",
        include_str!("../../config/catalog/squat-signs.toml"),
    ),
    (
        "squat-causes.toml",
        include_str!("../../config/catalog/squat-causes.toml"),
    ),
    (
        "squat-corrections.toml",
        include_str!("../../config/catalog/squat-corrections.toml"),
    ),
    (
        "squat-questions.toml",
        include_str!("../../config/catalog/squat-questions.toml"),
    ),
    (
        "bench-signs.toml",
        include_str!("../../config/catalog/bench-signs.toml"),
    ),
    (
        "bench-causes.toml",
        include_str!("../../config/catalog/bench-causes.toml"),
    ),
    (
        "bench-corrections.toml",
        include_str!("../../config/catalog/bench-corrections.toml"),
    ),
    (
        "bench-questions.toml",
        include_str!("../../config/catalog/bench-questions.toml"),
    ),
    (
        "deadlift-signs.toml",
        include_str!("../../config/catalog/deadlift-signs.toml"),
    ),
    (
        "deadlift-causes.toml",
        include_str!("../../config/catalog/deadlift-causes.toml"),
    ),
    (
        "deadlift-corrections.toml",
        include_str!("../../config/catalog/deadlift-corrections.toml"),
    ),
    (
        "deadlift-questions.toml",
        include_str!("../../config/catalog/deadlift-questions.toml"),
    ),
    (
        "all-questions.toml",
        include_str!("../../config/catalog/all-questions.toml"),
    ),
    (
        "context.toml",
        include_str!("../../config/catalog/context.toml"),
    ),
    (
        "escalations.toml",
        include_str!("../../config/catalog/escalations.toml"),
    ),
    (
        "filming.toml",
        include_str!("../../config/catalog/filming.toml"),
    ),
    (
        "rules.toml",
        include_str!("../../config/catalog/rules.toml"),
    ),
    (
        "flags.toml",
        include_str!("../../config/catalog/flags.toml"),
    ),
    (
        "lexicon.toml",
        include_str!("../../config/catalog/lexicon.toml"),
    ),
    (
        "body-words.toml",
        include_str!("../../config/catalog/body-words.toml"),
    ),
    (
        "weights.toml",
        include_str!("../../config/catalog/weights.toml"),
    ),
    (
        "hazards.toml",
        include_str!("../../config/catalog/hazards.toml"),
    ),
    (
        "sign-words.toml",
        include_str!("../../config/catalog/sign-words.toml"),
    ),
    (
        "sign-weights.toml",
        include_str!("../../config/catalog/sign-weights.toml"),
    ),
    (
        "post-weights.toml",
        include_str!("../../config/catalog/post-weights.toml"),
    ),
    (
        "advice.toml",
        include_str!("../../config/catalog/advice.toml"),
    ),
    (
        "motion.toml",
        include_str!("../../config/catalog/motion.toml"),
    ),
    (
        "manners.toml",
        include_str!("../../config/catalog/manners.toml"),
    ),
    ("wording.toml", crate::wording::BUILT_IN),
];

/// Catalog, texts and rules.
#[derive(Clone, Debug)]
pub struct Brain {
    /// The coach's knowledge.
    pub catalog: Catalog,
    /// The coach's texts.
    pub words: Words,
    /// The rules of the house.
    pub rules: Rules,
}

/// The brain in use, which another may take the place of at any time. Whoever works with one keeps
/// it to the end of that piece of work.
#[derive(Debug)]
pub struct Live(RwLock<Arc<Brain>>);

impl Live {
    /// Begins with this one.
    pub fn new(brain: Brain) -> Self {
        Self(RwLock::new(Arc::new(brain)))
    }

    /// The one in use now.
    pub fn now(&self) -> Arc<Brain> {
        self.0
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Puts another in its place, whole.
    pub fn replace(&self, brain: Brain) {
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(brain);
    }
}

/// Settings and brain from a config folder; what it lacks is as built in.
///
/// # Errors
/// Every fault of every file, each with file, line and what is accepted.
pub fn load(folder: Option<&Path>) -> Result<(Settings, Brain), Vec<CatalogProblem>> {
    let settings = match folder
        .map(|folder| folder.join(FILE))
        .filter(|path| path.exists())
    {
        Some(path) => read(&path).and_then(|text| Settings::parse(&text)),
        None => Ok(Settings::default()),
    };
    let mut problems = Vec::new();
    let settings = settings.map_err(|found| problems.extend(found)).ok();
    let known = catalog_texts(folder)
        .and_then(|texts| knowledge(&texts))
        .map_err(|found| problems.extend(found))
        .ok();
    let (Some(settings), Some((catalog, words))) = (settings, known) else {
        return Err(problems);
    };
    let rules = settings.rules();
    let brain = Brain {
        catalog,
        words,
        rules,
    };
    Ok((settings, brain))
}

/// Catalog and texts from the files of the folder over what is built in.
fn knowledge(texts: &BTreeMap<String, String>) -> Result<(Catalog, Words), Vec<CatalogProblem>> {
    let files: Vec<CatalogFile<'_>> = BUILT_IN
        .iter()
        .map(|(name, text)| CatalogFile {
            name,
            text: texts.get(*name).map_or(*text, String::as_str),
        })
        .collect();
    let wording = files
        .iter()
        .find(|file| file.name == "wording.toml")
        .map_or(crate::wording::BUILT_IN, |file| file.text);
    let words = Words::parse("wording.toml", wording);
    match (Catalog::parse(&files), words) {
        (Ok(catalog), Ok(words)) => Ok((catalog, words)),
        (catalog, words) => {
            let mut problems = catalog.err().unwrap_or_default();
            problems.extend(words.err().unwrap_or_default());
            Err(problems)
        }
    }
}

/// A file's text.
fn read(path: &Path) -> Result<String, Vec<CatalogProblem>> {
    std::fs::read_to_string(path).map_err(|error| {
        vec![CatalogProblem {
            file: path.display().to_string(),
            line: 1,
            what: format!("cannot be read: {error}"),
            accepted: "a readable text file in UTF-8".to_owned(),
        }]
    })
}

/// Whether a file of the catalog's folder is meant to be read: hidden ones are an editor's own.
pub(crate) fn is_for_us(path: &Path) -> bool {
    let hidden = path
        .file_name()
        .is_none_or(|name| name.to_string_lossy().starts_with('.'));
    !hidden && path.extension().is_some_and(|ending| ending == "toml")
}

/// The catalog's files in the folder, by name; a name that is not the catalog's is refused.
fn catalog_texts(folder: Option<&Path>) -> Result<BTreeMap<String, String>, Vec<CatalogProblem>> {
    let mut texts = BTreeMap::new();
    let Some(folder) = folder
        .map(|folder| folder.join("catalog"))
        .filter(|f| f.is_dir())
    else {
        return Ok(texts);
    };
    let mut problems = Vec::new();
    let entries = std::fs::read_dir(&folder).map_err(|error| {
        vec![CatalogProblem {
            file: folder.display().to_string(),
            line: 1,
            what: format!("cannot be read: {error}"),
            accepted: "a folder of catalog files".to_owned(),
        }]
    })?;
    for path in entries.flatten().map(|entry| entry.path()) {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if !is_for_us(&path) {
            continue;
        }
        if BUILT_IN.iter().any(|(known, _)| *known == name) {
            match read(&path) {
                Ok(text) => {
                    texts.insert(name, text);
                }
                Err(more) => problems.extend(more),
            }
        } else {
            problems.push(CatalogProblem {
                file: name,
                line: 1,
                what: "this file is not part of the catalog".to_owned(),
                accepted: BUILT_IN.map(|(known, _)| known).join(", "),
            });
        }
    }
    if problems.is_empty() {
        Ok(texts)
    } else {
        Err(problems)
    }
}
