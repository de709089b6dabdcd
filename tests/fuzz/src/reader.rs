//! Any bytes that are text: the reader answers, points inside the text, and reads the same whether
//! it is shouted or spread over more spaces.

#![no_main]

use cueline_core::catalog::{Catalog, CatalogFile};
use cueline_core::quantity::MassUnit;
use cueline_core::reading::{Hints, Reading, quote, read};
use cueline_core::report::Lift;
use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

macro_rules! files {
    ($($name:literal),* $(,)?) => {
        [$(CatalogFile { name: $name, text: include_str!(concat!("../../../config/catalog/", $name)) }),*]
    };
}

static CATALOG: LazyLock<Catalog> = LazyLock::new(|| {
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
        "flags.toml",
        "lexicon.toml",
        "hazards.toml",
        "sign-words.toml",
    ];
    Catalog::parse(&files).expect("the committed catalog")
});

/// What must not depend on capitals or on how many spaces stand between words.
fn meant(reading: &Reading) -> impl PartialEq + std::fmt::Debug + use<> {
    let flags: Vec<_> = reading.flags.iter().map(|m| (m.flag.clone(), m.level)).collect();
    let signs: Vec<_> = reading.signs.iter().map(|m| (m.sign.clone(), m.polarity)).collect();
    (flags, signs, reading.fields.clone(), reading.asks.clone(), reading.bare_load)
}

fuzz_target!(|data: &[u8]| {
    let Some((first, rest)) = data.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    let hints = Hints {
        unit: [None, Some(MassUnit::Kg), Some(MassUnit::Lb)][usize::from(first % 3)],
        lift: [None, Some(Lift::Squat), Some(Lift::Bench), Some(Lift::Deadlift)][usize::from(first / 3 % 4)],
    };
    let reading = read(text, &CATALOG, hints);
    let length = text.chars().count();
    let flags = reading.flags.iter().map(|m| m.span);
    let signs = reading.signs.iter().map(|m| m.span);
    let fields = reading.mentions.iter().map(|m| m.span);
    for [from, to] in flags.chain(signs).chain(fields) {
        assert!(from <= to && to <= length, "{from}..{to} of {length}");
        assert_eq!(quote(text, [from, to]).chars().count(), to - from);
    }
    let highest = reading.flags.iter().map(|m| m.level).max().unwrap_or_default();
    assert_eq!(reading.level, highest);
    assert!(reading.signs.iter().all(|m| (0.0..=1.0).contains(&m.confidence)));
    assert_eq!(meant(&reading), meant(&read(&text.to_ascii_uppercase(), &CATALOG, hints)));
    assert_eq!(meant(&reading), meant(&read(&text.replace(' ', "   "), &CATALOG, hints)));
});
