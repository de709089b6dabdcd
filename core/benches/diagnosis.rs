//! How long beliefs, the next question and a whole set in words take on the catalog as it stands.
//!
//! Targets: beliefs with 20 findings in the largest book under 1 ms, the diagnosis with its
//! question under 10 ms, a set told in words under 200 microseconds. The beliefs are also worked
//! out by adding up every combination of causes; the ratio is printed at the end.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::assess::{Assessment, History, assess};
use cueline_core::catalog::{Catalog, CatalogFile, LiftBook};
use cueline_core::diagnosis::{Diagnosis, Finding, Origin, Settings, both_probable, diagnose};
use cueline_core::report::{Competes, Lift, SetReport};
use divan::{Bencher, black_box};
use std::sync::LazyLock;
use std::time::Instant;

macro_rules! file {
    ($name:literal) => {
        CatalogFile {
            name: $name,
            text: include_str!(concat!("../../config/catalog/", $name)),
        }
    };
}

static CATALOG: LazyLock<Catalog> = LazyLock::new(|| {
    Catalog::parse(&[
        file!("squat-signs.toml"),
        file!("squat-causes.toml"),
        file!("squat-corrections.toml"),
        file!("squat-questions.toml"),
        file!("bench-signs.toml"),
        file!("bench-causes.toml"),
        file!("bench-corrections.toml"),
        file!("bench-questions.toml"),
        file!("deadlift-signs.toml"),
        file!("deadlift-causes.toml"),
        file!("deadlift-corrections.toml"),
        file!("deadlift-questions.toml"),
        file!("all-questions.toml"),
        file!("context.toml"),
        file!("escalations.toml"),
        file!("filming.toml"),
        file!("rules.toml"),
        file!("flags.toml"),
        file!("lexicon.toml"),
        file!("body-words.toml"),
        file!("weights.toml"),
        file!("hazards.toml"),
        file!("sign-words.toml"),
        file!("sign-weights.toml"),
        file!("post-weights.toml"),
    ])
    .expect("the catalog is whole")
});

fn main() {
    divan::main();
    let (fast, slow) = (seconds(200, beliefs_of_twenty), seconds(1, by_enumeration));
    let (exact, summed) = (beliefs_of_twenty(), by_enumeration());
    println!(
        "beliefs with 20 findings: {:.0} us, every combination {:.0} ms, ratio {:.0}, apart by {:.1e}",
        fast * 1e6,
        slow * 1e3,
        slow / fast,
        (exact - summed).abs()
    );
}

/// Mean time of one call.
#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn seconds(calls: u32, work: fn() -> f64) -> f64 {
    let start = Instant::now();
    for _ in 0..calls {
        black_box(work());
    }
    start.elapsed().as_secs_f64() / f64::from(calls)
}

/// The book with the most causes.
fn book() -> &'static LiftBook {
    let books = CATALOG.lifts.values();
    books.max_by_key(|book| book.causes.len()).unwrap()
}

/// Twenty findings spread over the book: seen, looked for and absent, and measured.
fn twenty() -> Vec<Finding> {
    let signs: Vec<_> = book().signs.iter().filter(|sign| !sign.pain).collect();
    let step = |at: usize| signs[at * signs.len() / 20];
    (0..20)
        .map(|at| Finding {
            sign: step(at).id.clone(),
            probability: [1.0, 0.0, 0.7, 1.0][at % 4],
            from: if at % 4 == 2 {
                Origin::Measured
            } else {
                Origin::Ticked
            },
        })
        .collect()
}

fn report() -> SetReport {
    let mut report = SetReport {
        lift: Some(Lift::Deadlift),
        competes: Some(Competes::Yes),
        ..SetReport::default()
    };
    report.setting.hand_off = Some(true);
    report
}

/// The probability of two causes together, which takes two posteriors.
fn beliefs_of_twenty() -> f64 {
    let (first, second) = (&book().causes[0].id, &book().causes[1].id);
    let pair = (first.as_str(), second.as_str());
    let settings = Settings::default();
    both_probable(book(), &[], &report(), &twenty(), &settings, pair).unwrap()
}

/// One finding, how often its sign is there without a fault, and the causes that show it.
struct Shown {
    probability: f64,
    leak: f64,
    by: Vec<(usize, f64)>,
}

/// The same by adding up every combination of causes, straight from the definition of noisy-OR.
fn by_enumeration() -> f64 {
    let (book, findings, link) = (book(), twenty(), Settings::default().link);
    let place = |id: &str| book.causes.iter().position(|cause| cause.id == id);
    let feeds: Vec<Vec<usize>> = (0..book.causes.len())
        .map(|to| {
            let into = |from: &usize| {
                book.causes[*from]
                    .feeds
                    .iter()
                    .any(|id| place(id) == Some(to))
            };
            (0..book.causes.len()).filter(into).collect()
        })
        .collect();
    let shown: Vec<Shown> = findings
        .iter()
        .map(|finding| {
            let by = book.causes.iter().enumerate().filter_map(|(at, cause)| {
                let mut shows = cause.shows.iter();
                let found = shows.find(|(id, _)| *id == finding.sign)?;
                Some((at, found.1.probability()))
            });
            let leak = book.sign(&finding.sign).unwrap().leak;
            Shown {
                probability: finding.probability,
                leak,
                by: by.collect(),
            }
        })
        .collect();
    let (mut all, mut both) = (0.0, 0.0);
    for combination in 0_u32..1 << book.causes.len() {
        let has = |cause: &usize| combination >> cause & 1 == 1;
        let mut weight = 1.0;
        for (cause, feeding) in feeds.iter().enumerate() {
            let fed = feeding.iter().filter(|from| has(from)).count();
            let prior = book.causes[cause].prior.probability();
            let away = (1.0 - prior) * (1.0 - link).powi(i32::try_from(fed).unwrap());
            weight *= if has(&cause) { 1.0 - away } else { away };
        }
        for Shown {
            probability,
            leak,
            by,
        } in &shown
        {
            let away = by.iter().filter(|(cause, _)| has(cause));
            let away = away.fold(1.0 - leak, |away, (_, strength)| away * (1.0 - strength));
            weight *= (1.0 - probability) * away + probability * (1.0 - away);
        }
        all += weight;
        if has(&0) && has(&1) {
            both += weight;
        }
    }
    both / all
}

#[divan::bench]
fn two_posteriors_with_twenty_findings(bencher: Bencher<'_, '_>) {
    bencher.bench(beliefs_of_twenty);
}

#[divan::bench(args = [3, 8, 20])]
fn diagnosis_with_its_question(bencher: Bencher<'_, '_>, count: usize) {
    let (findings, report, settings) = (twenty(), report(), Settings::default());
    let findings = &findings[..count];
    bencher.bench(|| -> Diagnosis {
        diagnose(
            book(),
            &CATALOG.context,
            &report,
            black_box(findings),
            &settings,
        )
    });
}

#[divan::bench(args = [
    "squat 140kg x 5 @8, hips come up before my chest and I breathe on the way down, core feels loose",
    "bench 90kg x4 @8. feet slide around, bum pops off the bench, and my leg drive is one big kick when i press",
    "deadlift 180kg x3 rpe 8. bar starts out in front of my shins, i get pulled onto my toes and it swings away from me",
])]
fn set_told_in_words(bencher: Bencher<'_, '_>, words: &str) {
    let report = SetReport {
        words: Some(words.to_owned()),
        ..SetReport::default()
    };
    let (history, settings) = (History::default(), Settings::default());
    let today = jiff::civil::date(2026, 3, 2);
    bencher.bench(|| -> Assessment {
        assess(&CATALOG, black_box(&report), &history, &settings, today)
    });
}
