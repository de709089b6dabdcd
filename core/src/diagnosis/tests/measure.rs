//! How long a diagnosis takes. Prints figures and asserts none, since they depend on the machine:
//! `cargo test --release -p cueline-core diagnosis::tests::measure -- --ignored --nocapture`.

use super::books::{CATALOG, book};
use crate::diagnosis::frontier::Frontier;
use crate::diagnosis::gates::{Facts, in_play};
use crate::diagnosis::network::Network;
use crate::diagnosis::posterior::{Workspace, posterior};
use crate::diagnosis::{Finding, Origin, Settings, diagnose, evidence};
use crate::report::{Lift, SetReport};
use std::time::{Duration, Instant};

const RUNS: usize = 200;

/// Numbers from 0 below `below`, the same on every run (Knuth's MMIX generator).
struct Draws(u64);

impl Draws {
    fn next(&mut self, below: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % below
    }
}

fn findings(lift: Lift, count: usize, draws: &mut Draws) -> Vec<Finding> {
    let mut signs: Vec<_> = book(lift).signs.iter().filter(|s| !s.pain).collect();
    while signs.len() > count {
        signs.remove(draws.next(signs.len()));
    }
    let seen = signs.into_iter().map(|sign| Finding {
        sign: sign.id.clone(),
        probability: 1.0,
        from: Origin::Ticked,
    });
    seen.collect()
}

fn told(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    println!(
        "{what}: median {:?}, p99 {:?}, longest {:?}",
        at(50),
        at(99),
        at(100)
    );
}

#[test]
#[ignore = "prints a measurement"]
#[expect(
    clippy::disallowed_methods,
    reason = "measures time; decides nothing by it"
)]
fn posterior_and_diagnosis() {
    let mut room = Workspace::default();
    let settings = Settings::default();
    for lift in Lift::ALL {
        let report = SetReport {
            lift: Some(lift),
            competes: Some(crate::report::Competes::Yes),
            ..SetReport::default()
        };
        for count in [0, 4, 8, 12, 20, 60] {
            let mut draws = Draws(1);
            let (mut order_times, mut times, mut whole, mut widest) = (vec![], vec![], vec![], 0);
            for _ in 0..if count > 20 { 3 } else { RUNS } {
                let findings = findings(lift, count, &mut draws);
                let facts = Facts::of(&report);
                let gathered = evidence::gather(book(lift), &[], facts, &findings);
                let causes = in_play(book(lift), &[], facts);
                let start = Instant::now();
                let network = Network::of(book(lift), &causes, &gathered.evidence, settings.link);
                let order = Frontier::of(&network);
                order_times.push(start.elapsed());
                let found = posterior(&network, &order, &mut room);
                times.push(start.elapsed());
                assert!(found.log_evidence.is_finite());
                widest = widest.max(order.width);
                let start = Instant::now();
                let found = diagnose(book(lift), &CATALOG.context, &report, &findings, &settings);
                whole.push(start.elapsed());
                assert!(!found.beliefs.is_empty());
            }
            println!(
                "{lift}, {} causes, {count} present signs, at most {widest} open",
                book(lift).causes.len()
            );
            told("  order", order_times);
            told("  order and posterior", times);
            told("  whole diagnosis", whole);
        }
    }
}

#[test]
#[ignore = "prints a measurement"]
#[expect(
    clippy::disallowed_methods,
    reason = "measures time; decides nothing by it"
)]
fn a_told_set_assessed() {
    let settings = Settings::default();
    let catalog = crate::reading::tests::whole_catalog();
    for (lift, words) in [
        (
            Lift::Squat,
            "140kg x 5 @8, hips come up before my chest and I breathe on the way down, core feels loose",
        ),
        (
            Lift::Bench,
            "90kg x4 @8. feet slide around, bum pops off the bench, and my leg drive is one big kick when i press",
        ),
        (
            Lift::Deadlift,
            "180kg x3 rpe 8. bar starts out in front of my shins, i get pulled onto my toes and it swings away from me",
        ),
    ] {
        let report = SetReport {
            lift: Some(lift),
            words: Some(words.to_owned()),
            ..SetReport::default()
        };
        let times = (0..RUNS).map(|_| {
            let start = Instant::now();
            let found = crate::assess::assess(
                catalog,
                &report,
                &crate::assess::History::default(),
                &settings,
                jiff::civil::date(2026, 3, 2),
            );
            assert!(!found.signs.is_empty());
            start.elapsed()
        });
        told(&format!("{lift}, told in words, assessed"), times.collect());
    }
}
