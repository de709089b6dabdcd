//! What lies at the top of the repository.

use crate::source::root;
use std::fs;

/// Everything that may lie there besides dotfiles and what the repository ignores.
const TOP: [&str; 11] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "bot",
    "config",
    "core",
    "demo-data",
    "migrations",
    "tests",
];

#[test]
fn the_top_holds_only_what_was_agreed() {
    let ignored = fs::read_to_string(root().join(".gitignore")).expect(".gitignore");
    let ignored: Vec<&str> = ignored
        .lines()
        .map(|line| line.trim().trim_matches('/'))
        .collect();
    let mut extra = Vec::new();
    for entry in fs::read_dir(root()).expect("the repository") {
        let name = entry.expect("an entry").file_name();
        let name = name.to_string_lossy();
        let known = TOP.contains(&name.as_ref()) || ignored.contains(&name.as_ref());
        if !known && !name.starts_with('.') {
            extra.push(name.into_owned());
        }
    }
    assert!(extra.is_empty(), "{extra:?} does not belong at the top");
}

#[test]
fn both_engines_have_the_same_migrations() {
    let names = |engine: &str| {
        let folder = root().join("migrations").join(engine);
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("a folder of migrations")
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .collect();
        names.sort();
        names
    };
    assert_eq!(names("sqlite"), names("postgres"));
}
