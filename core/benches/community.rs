//! How long marking, agreement and curves take for a large community.
//!
//! Targets: 10,000 answers marked in under 200 ms, agreement of 10,000 members with 1,000 bootstrap
//! samples in under 2 s.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::catalog::LiftBook;
use cueline_core::challenge::{
    Answer, Chance, Entrant, Key, NamedCause, agreement, mark, standing,
};
use cueline_core::outcome::survival::{Followed, curve, log_rank};
use divan::Bencher;

fn main() {
    divan::main();
}

/// Causes of a lift about as long as the longest of the catalog.
fn causes() -> Vec<String> {
    (0..24).map(|at| format!("c-{at}")).collect()
}

fn answers(count: usize) -> Vec<Answer> {
    let causes = causes();
    let mut chance = Chance::from_seed(3);
    (0..count)
        .map(|_| {
            let first = chance.below(causes.len());
            let named = (0..=chance.below(3)).map(|step| NamedCause {
                cause: causes[(first + 5 * step) % causes.len()].clone(),
                confidence: (chance.below(2) == 0).then(|| chance.below(100) as f64 / 100.0),
            });
            Answer {
                causes: named.collect(),
                ..Answer::default()
            }
        })
        .collect()
}

#[divan::bench]
fn ten_thousand_answers_marked(bencher: Bencher<'_, '_>) {
    let answers = answers(10_000);
    let key = Key {
        causes: vec!["c-3".to_owned(), "c-8".to_owned()],
    };
    let book = LiftBook::default();
    bencher.bench(|| -> f64 {
        let marks = answers.iter().map(|answer| mark(answer, &key, &book));
        marks.map(|mark| mark.total()).sum()
    });
}

#[divan::bench(sample_count = 10)]
fn agreement_of_ten_thousand_with_a_thousand_draws(bencher: Bencher<'_, '_>) {
    let (answers, causes) = (answers(10_000), causes());
    bencher.bench(|| agreement(&answers, &causes, 1000, 1));
}

#[divan::bench]
fn season_of_two_thousand_members(bencher: Bencher<'_, '_>) {
    let mut chance = Chance::from_seed(4);
    let entrants: Vec<Entrant> = (0..2000)
        .map(|at| {
            let marks: Vec<f64> = (0..=chance.below(50))
                .map(|_| chance.below(100) as f64)
                .collect();
            Entrant::new(format!("m-{at}"), &marks)
        })
        .collect();
    bencher.bench(|| standing(&entrants, 5));
}

#[divan::bench]
fn ten_thousand_courses_compared(bencher: Bencher<'_, '_>) {
    let mut chance = Chance::from_seed(5);
    let courses: Vec<Followed> = (0..10_000)
        .map(|_| Followed {
            days: chance.below(90) as f64,
            gone: chance.below(3) > 0,
        })
        .collect();
    bencher.bench(|| {
        let (one, two) = courses.split_at(5000);
        (curve(&courses), log_rank(one, two))
    });
}
