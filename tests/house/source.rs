//! The source of a crate, file by file.

use std::fs;
use std::path::Path;

/// The repository.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("tests lie in the repository")
}

/// One source file.
pub(crate) struct Source {
    /// Path within the crate's `src`, such as `web/router.rs`.
    pub(crate) path: String,
    /// All of it.
    pub(crate) text: String,
    /// It is a file of tests.
    pub(crate) is_test: bool,
}

impl Source {
    /// The room it belongs to: the first part of its path.
    pub(crate) fn room(&self) -> &str {
        let first = self.path.split('/').next().unwrap_or_default();
        first.trim_end_matches(".rs")
    }

    /// What is no test: all of a file up to its test module, nothing of a file of tests.
    pub(crate) fn product(&self) -> &str {
        if self.is_test {
            return "";
        }
        self.text
            .find("\n#[cfg(test)]")
            .and_then(|at| self.text.get(..at))
            .unwrap_or(&self.text)
    }
}

/// Every Rust file below a folder of the repository, in order of its path.
pub(crate) fn sources(folder: &str) -> Vec<Source> {
    let base = root().join(folder);
    let mut found = Vec::new();
    let mut open = vec![base.clone()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of source") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                found.push(read(&base, &path));
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(!found.is_empty(), "no source below {folder}");
    found
}

fn read(base: &Path, path: &Path) -> Source {
    let text = fs::read_to_string(path).expect("a source file");
    let within = path.strip_prefix(base).unwrap_or(path);
    let parts: Vec<String> = within
        .iter()
        .map(|part| part.to_string_lossy().into_owned())
        .collect();
    Source {
        is_test: parts
            .iter()
            .any(|part| part == "tests" || part == "tests.rs"),
        path: parts.join("/"),
        text,
    }
}
