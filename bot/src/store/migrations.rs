//! The embedded migrations; `migrations/README.md` has the rules.

use super::StoreError;
use sqlx::SqlSafeStr;
use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};

/// The migrations of one engine, in order: number, name, text.
macro_rules! migrations {
    ($engine:literal: $(($number:literal, $name:literal)),* $(,)?) => {
        &[$((
            $number,
            $name,
            include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"), "/../migrations/", $engine, "/", $name, ".sql"
            )),
        )),*]
    };
}

type Listed = &'static [(i64, &'static str, &'static str)];

pub(super) const SQLITE: Listed = migrations!(
    "sqlite": (1, "0001_start"), (2, "0002_verdicts"), (3, "0003_desk"), (4, "0004_privacy"),
    (5, "0005_review_sheets"), (6, "0006_challenges"), (7, "0007_desk_pages"),
    (8, "0008_strikes"), (9, "0009_case_files"), (10, "0010_queue_source"),
);
pub(super) const POSTGRES: Listed = migrations!(
    "postgres": (1, "0001_start"), (2, "0002_verdicts"), (3, "0003_desk"), (4, "0004_privacy"),
    (5, "0005_review_sheets"), (6, "0006_challenges"), (7, "0007_desk_pages"),
    (8, "0008_strikes"), (9, "0009_case_files"), (10, "0010_queue_source"),
);

/// What runs them. A database that a newer release has already moved on is accepted, because
/// migrations only ever add before they take away.
pub(super) fn migrator(listed: Listed) -> Migrator {
    let mut migrator = Migrator::with_migrations(
        listed
            .iter()
            .map(|(number, name, text)| {
                Migration::new(
                    *number,
                    (*name).into(),
                    MigrationType::Simple,
                    text.into_sql_str(),
                    false,
                )
            })
            .collect(),
    );
    migrator.set_ignore_missing(true);
    migrator
}

/// What a failed migration means to the caller.
pub(super) fn failed(
    error: MigrateError,
    classify: impl Fn(sqlx::Error) -> super::engine::Fault,
) -> StoreError {
    match error {
        MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _) => {
            match classify(error).error {
                StoreError::Unexpected(why) => {
                    StoreError::Unexpected(format!("a migration failed: {why}"))
                }
                other => other,
            }
        }
        error => StoreError::Unexpected(format!("a migration failed: {error}")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_migration_file_is_embedded() {
        for (engine, listed) in [("sqlite", SQLITE), ("postgres", POSTGRES)] {
            let folder = format!("{}/../migrations/{engine}", env!("CARGO_MANIFEST_DIR"));
            let mut files: Vec<String> = std::fs::read_dir(folder)
                .unwrap()
                .map(|file| file.unwrap().file_name().into_string().unwrap())
                .collect();
            files.sort();
            let embedded: Vec<String> = listed
                .iter()
                .map(|(_, name, _)| format!("{name}.sql"))
                .collect();
            assert_eq!(files, embedded, "list every file of migrations/{engine}");
            for (number, name, _) in listed {
                assert!(name.starts_with(&format!("{number:04}_")), "{name}");
            }
        }
    }

    #[test]
    fn both_engines_have_the_same_numbers_and_names() {
        let names = |listed: Listed| {
            listed
                .iter()
                .map(|(number, name, _)| (*number, *name))
                .collect::<Vec<_>>()
        };
        assert_eq!(names(SQLITE), names(POSTGRES));
    }
}
