//! How fast texts are read: lines a second, and long hostile texts of 64 KiB.
//!
//! Targets on one core: 10,000 lines a second, 64 KiB in under 10 milliseconds. Run with
//! `cargo bench -p cueline-core --bench reading`; others on the machine only ever add time, so the
//! quickest round counts.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::catalog::{Catalog, CatalogFile};
use cueline_core::reading::{Hints, Reader, read};
use divan::counter::{BytesCount, ItemsCount};
use divan::{Bencher, black_box};
use std::sync::LazyLock;
use std::time::{Duration, Instant};

fn main() {
    divan::main();
    let alone = quickest(|| {
        for line in LINES.iter() {
            black_box(read(black_box(line), &CATALOG, Hints::default()));
        }
    });
    let mut reader = Reader::new(&CATALOG);
    let together = quickest(|| {
        for line in LINES.iter() {
            black_box(reader.read(black_box(line), Hints::default()));
        }
    });
    println!(
        "lines a second, each by itself {:.0}, all with one reader {:.0}, ratio {:.2}",
        LINES.len() as f64 / alone.as_secs_f64(),
        LINES.len() as f64 / together.as_secs_f64(),
        alone.as_secs_f64() / together.as_secs_f64()
    );
}

/// The quickest of several rounds.
#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn quickest(mut round: impl FnMut()) -> Duration {
    let rounds = (0..10).map(|_| {
        let start = Instant::now();
        round();
        start.elapsed()
    });
    rounds.min().unwrap_or_default()
}

static CATALOG: LazyLock<Catalog> = LazyLock::new(|| {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../config/catalog");
    let texts: Vec<(&'static str, String)> = NAMES
        .iter()
        .map(|name| (*name, file(&format!("{folder}/{name}"))))
        .collect();
    let files: Vec<CatalogFile<'_>> = texts
        .iter()
        .map(|(name, text)| CatalogFile { name, text })
        .collect();
    Catalog::parse(&files).expect("the committed catalog")
});

const NAMES: [&str; 24] = [
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
    "body-words.toml",
    "weights.toml",
    "hazards.toml",
    "sign-words.toml",
    "sign-weights.toml",
    "post-weights.toml",
];

/// Set lines, sign wordings and flag lines of the tests.
static LINES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/reading/tests");
    let column = |name: &str, number: usize| -> Vec<String> {
        let text = file(&format!("{folder}/{name}"));
        let rows = text.lines().filter_map(|row| row.split('\t').nth(number));
        rows.map(str::to_owned).collect()
    };
    [
        column("lines/sets_first.tsv", 0),
        column("lines/signs_squat.tsv", 1),
        column("lines/signs_bench.tsv", 1),
        column("lines/signs_deadlift.tsv", 1),
        column("more_phrases.tsv", 2),
        column("corpora/first.tsv", 2),
        column("corpora/second.tsv", 2),
    ]
    .concat()
});

#[expect(
    clippy::disallowed_methods,
    reason = "a bench reads its lines; the reader itself reads no file"
)]
fn file(path: &str) -> String {
    std::fs::read_to_string(path).expect("a file of the repository")
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn lines(bencher: Bencher<'_, '_>) {
    bencher
        .counter(ItemsCount::new(LINES.len()))
        .bench_local(|| {
            for line in LINES.iter() {
                black_box(read(black_box(line), &CATALOG, Hints::default()));
            }
        });
}

/// The same with one reader, as `cueline read --lines` reads them.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn lines_with_one_reader(bencher: Bencher<'_, '_>) {
    let mut reader = Reader::new(&CATALOG);
    bencher
        .counter(ItemsCount::new(LINES.len()))
        .bench_local(|| {
            for line in LINES.iter() {
                black_box(reader.read(black_box(line), Hints::default()));
            }
        });
}

/// What is repeated to 64 KiB.
const PIECES: [&str; 9] = [
    "warmed up slowly, then five sets of three at 140 kg. my knees cave a little on the last one. ",
    "no chest pain is fine ",
    "pain ",
    "numb, back ",
    "100x5 @8 ",
    "im 40 ",
    "what if my mate ",
    "hips shoot up knees cave chest falls ",
    "hpis shot knes cav cheast fals xqzv ",
];

#[divan::bench(args = PIECES, sample_count = 20, sample_size = 1)]
fn long_text(bencher: Bencher<'_, '_>, piece: &str) {
    let mut text = piece.repeat(64 * 1024 / piece.len() + 1);
    text.truncate(64 * 1024);
    bencher
        .counter(BytesCount::of_str(&text))
        .bench_local(|| black_box(read(black_box(&text), &CATALOG, Hints::default())));
}
