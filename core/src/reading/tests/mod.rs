//! Stories of what lifters write and what must be read from it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
// Figures typed with few digits come back as the very same numbers.
#![allow(clippy::float_cmp)]

mod flag_table;
mod kept;
mod lines;
mod manners;
mod meets;
mod posts;
mod reach;
mod robust;
mod sayings;
mod set_lines;
mod set_posts;
mod signs;
mod speed;
mod traps;

use std::sync::LazyLock;

use crate::catalog::{Catalog, CatalogFile, FlagBook, Hazards, Lexicon, Weights};

/// A catalog of flags, hazards and words as shipped, without lifts.
pub(crate) fn words_catalog() -> &'static Catalog {
    static CATALOG: LazyLock<Catalog> = LazyLock::new(parse_words);
    &CATALOG
}

fn parse_words() -> Catalog {
    let file = |name, text| CatalogFile { name, text };
    let lexicon = Lexicon::parse(
        file(
            "lexicon.toml",
            include_str!("../../../../config/catalog/lexicon.toml"),
        ),
        file(
            "body-words.toml",
            include_str!("../../../../config/catalog/body-words.toml"),
        ),
    )
    .unwrap();
    let mut weights = Weights::parse(file(
        "weights.toml",
        include_str!("../../../../config/catalog/weights.toml"),
    ))
    .unwrap();
    assert_eq!(weights.find_groups(&lexicon), Vec::<String>::new());
    Catalog {
        flags: FlagBook::parse(file(
            "flags.toml",
            include_str!("../../../../config/catalog/flags.toml"),
        ))
        .unwrap(),
        hazards: Hazards::parse(file(
            "hazards.toml",
            include_str!("../../../../config/catalog/hazards.toml"),
        ))
        .unwrap(),
        lexicon,
        weights,
        ..Catalog::default()
    }
}

#[test]
fn every_group_a_flag_names_is_in_the_lexicon() {
    let catalog = words_catalog();
    assert_eq!(
        catalog.flags.unknown_groups(&catalog.lexicon),
        Vec::<String>::new()
    );
}

/// The whole catalog as shipped.
pub(crate) fn whole_catalog() -> &'static Catalog {
    static CATALOG: LazyLock<Catalog> = LazyLock::new(parse_whole);
    &CATALOG
}

fn parse_whole() -> Catalog {
    macro_rules! files {
        ($($name:literal),* $(,)?) => {
            [$(CatalogFile { name: $name, text: include_str!(concat!("../../../../config/catalog/", $name)) }),*]
        };
    }
    let files = files![
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
    ];
    Catalog::parse(&files).unwrap()
}
