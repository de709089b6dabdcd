//! Sets as a coach would judge them: the first cause to name, and whether to answer, ask or fetch
//! a person. Every set is invented and was judged by hand from common practice before the code
//! was run on it (no source).
//!
//! `cargo test -p cueline-tests --test vignettes -- --nocapture` prints every miss.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use cueline_bot::brain::{self, Brain};
use cueline_core::assess::{Assessment, History, assess};
use cueline_core::catalog::{Cause, Gate, Kind, LiftBook, Style};
use cueline_core::quantity::MassUnit;
use cueline_core::reading::{Hints, Polarity, read};
use cueline_core::report::{Best, Competes, Lift, SetReport, Stance, View};
use cueline_core::triage::Level;
use jiff::civil::date;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Sheet {
    vignette: Vec<Vignette>,
}

/// One set and how a coach judges it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Vignette {
    name: String,
    lift: Lift,
    style: Option<Stance>,
    words: String,
    #[serde(default)]
    ticks: Vec<String>,
    #[serde(default)]
    absent: Vec<String>,
    /// Views the set was seen from; with more than one nothing is hidden.
    #[serde(default)]
    view: Vec<View>,
    best: Option<String>,
    months: Option<u32>,
    compete: Option<bool>,
    handoff: Option<bool>,
    /// The cause to name first, `no-fault` when a kind word is all, `unsure` when it is too little
    /// to say.
    first: String,
    #[serde(default)]
    also: Vec<String>,
    stance: String,
}

impl Vignette {
    fn report(&self) -> SetReport {
        let mut report = SetReport {
            lift: Some(self.lift),
            words: Some(self.words.clone()),
            seen: self.ticks.clone(),
            not_seen: self.absent.clone(),
            training_months: self.months,
            ..SetReport::default()
        };
        report.view = match self.view.as_slice() {
            [only] => Some(*only),
            _ => None,
        };
        report.variant.stance = self.style;
        report.setting.hand_off = self.handoff;
        report.competes = self
            .compete
            .map(|yes| if yes { Competes::Yes } else { Competes::No });
        report.best = self.best.as_ref().map(|text| {
            let (value, _) = text.split_once(' ').expect("a best such as `140 kg`");
            Best {
                value: value.parse().expect("a number"),
                unit: MassUnit::Kg,
                date: None,
                tested: Some(true),
            }
        });
        report
    }
}

/// How the sheets came out.
#[derive(Default)]
struct Score {
    all: usize,
    first: usize,
    three: usize,
    stance: usize,
}

impl Score {
    fn share(&self, count: usize) -> f64 {
        count as f64 / self.all as f64
    }
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Answer => "answer",
        Level::Ask => "ask",
        Level::Coach => "coach",
        Level::Clinician => "clinician",
        Level::Emergency => "emergency",
    }
}

/// What is named first, then the likeliest of what is not named.
fn ranked(found: &Assessment) -> Vec<String> {
    let mut ranked = found.chosen.clone();
    if ranked.is_empty() {
        ranked.push(
            if found.no_fault.is_empty() {
                "unsure"
            } else {
                "no-fault"
            }
            .to_owned(),
        );
    }
    for belief in &found.beliefs {
        if !ranked.contains(&belief.cause) {
            ranked.push(belief.cause.clone());
        }
    }
    ranked
}

fn judge(brain: &Brain, sheet: &str, score: &mut Score) {
    let sheet: Sheet = toml::from_str(sheet).expect("the sheet is valid");
    for vignette in &sheet.vignette {
        let found = assess(
            &brain.catalog,
            &vignette.report(),
            &History::default(),
            &brain.rules.diagnosis,
            date(2026, 3, 2),
        );
        let stance = level(found.triage.level);
        // Where lifting stops, the cause is not named and not judged.
        let stopped = matches!(vignette.stance.as_str(), "clinician" | "emergency");
        let ranked = ranked(&found);
        let right = |cause: &String| *cause == vignette.first || vignette.also.contains(cause);
        let first = stopped || ranked.first().is_some_and(right);
        let three = stopped || ranked.iter().take(3).any(right);
        score.all += 1;
        score.first += usize::from(first);
        score.three += usize::from(three);
        score.stance += usize::from(stance == vignette.stance);
        if !(first && three && stance == vignette.stance) {
            let signs: Vec<String> = found
                .signs
                .iter()
                .map(|s| format!("{} {:.2}", s.sign, s.probability))
                .collect();
            let believed: Vec<String> = found
                .beliefs
                .iter()
                .take(4)
                .map(|b| format!("{} {:.2}", b.cause, b.probability))
                .collect();
            println!(
                "{}: {}\n  wanted {} ({}), {}\n  got {:?}, {stance}; first {first}, three {three}\n  signs {signs:?}\n  beliefs {believed:?}\n  escalations {:?}\n  question {:?}, effort {:?}, load {:?}",
                vignette.name,
                vignette.words,
                vignette.first,
                vignette.also.join(", "),
                vignette.stance,
                &ranked.iter().take(3).collect::<Vec<_>>(),
                found.escalations,
                found.question.as_ref().map(|q| &q.text),
                found.report.effort,
                found.report.load,
            );
        }
    }
}

fn told(what: &str, score: &Score) {
    println!(
        "{what}: {} sets, first right {} ({:.0} %), in the first three {} ({:.0} %), stance {} ({:.0} %)",
        score.all,
        score.first,
        100.0 * score.share(score.first),
        score.three,
        100.0 * score.share(score.three),
        score.stance,
        100.0 * score.share(score.stance),
    );
}

#[test]
fn sixty_sets_are_judged_as_a_coach_would() {
    let (_, brain) = load();
    let mut score = Score::default();
    for sheet in [
        include_str!("squat.toml"),
        include_str!("bench.toml"),
        include_str!("deadlift.toml"),
    ] {
        judge(&brain, sheet, &mut score);
    }
    told("written before tuning", &score);
    assert_eq!(score.all, 60);
    assert!(score.share(score.first) >= 0.85);
    assert!(score.share(score.three) >= 0.97);
    assert!(score.share(score.stance) >= 0.90);
}

#[test]
fn thirty_sets_written_after_the_tuning_are_judged_as_a_coach_would() {
    let (_, brain) = load();
    let mut score = Score::default();
    judge(&brain, include_str!("after.toml"), &mut score);
    told("written after tuning", &score);
    assert_eq!(score.all, 30);
    assert!(score.share(score.first) >= 0.85);
    assert!(score.share(score.three) >= 0.95);
    assert!(score.share(score.stance) >= 0.90);
}

/// One set as `cueline assess` takes it, and how a coach judges it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Told {
    name: String,
    report: SetReport,
    first: String,
    #[serde(default)]
    also: Vec<String>,
    stance: String,
}

/// Judges sets told as lines of JSON; `tell` prints every miss.
fn judge_lines(brain: &Brain, lines: &str, tell: bool) -> Score {
    let mut score = Score::default();
    for line in lines.lines() {
        let told: Told = serde_json::from_str(line).expect(line);
        let found = assess(
            &brain.catalog,
            &told.report,
            &History::default(),
            &brain.rules.diagnosis,
            date(2026, 3, 2),
        );
        let ranked = ranked(&found);
        let right = |cause: &String| *cause == told.first || told.also.contains(cause);
        // What is asked about or has the coach look need not be named.
        let open = told.stance != "answer" && ranked.first().is_some_and(|c| c == "unsure");
        let first = open || ranked.first().is_some_and(right);
        let stance = level(found.triage.level);
        score.all += 1;
        score.first += usize::from(first);
        score.three += usize::from(first || ranked.iter().take(3).any(right));
        score.stance += usize::from(stance == told.stance);
        if tell && (!first || stance != told.stance) {
            println!(
                "{}: wanted {}, {}; got {:?}, {stance}",
                told.name,
                told.first,
                told.stance,
                ranked.first()
            );
        }
    }
    score
}

/// Seventy-four sets in many styles: words alone, ticks alone, both, looked for and absent, every
/// view. All were judged before the code was run on them; then the rules of the choice were worked
/// on with them, so they show that it holds together, not how it does on sets never seen.
#[test]
fn sets_in_many_styles_are_judged_as_a_coach_would() {
    let (_, brain) = load();
    let score = judge_lines(&brain, include_str!("more.jsonl"), true);
    told("in many styles", &score);
    assert_eq!(score.all, 74);
    assert!(score.share(score.first) >= 0.85);
    assert!(score.share(score.three) >= 0.90);
    assert!(score.share(score.stance) >= 0.85);
}

/// Two hundred and thirteen sets by two hands who knew the trade's tables and nothing of the code;
/// never used to tune, and their misses never printed. The floors are a little below what was found
/// (178, 193 and 186); the aims (0.85, 0.97, 0.90) are not met on them.
#[test]
fn sets_never_used_to_tune_are_judged_no_worse_than_they_were() {
    let (_, brain) = load();
    let score = judge_lines(&brain, include_str!("unseen.jsonl"), false);
    told("never used to tune", &score);
    assert_eq!(score.all, 213);
    assert!(score.share(score.first) >= 0.8);
    assert!(score.share(score.three) >= 0.88);
    assert!(score.share(score.stance) >= 0.84);
}

/// Written by another hand after everything else and run once before any of it was looked at:
/// of the 83 with a cause the first was right in 79 and among the first three in 83, the stance in
/// 103 of all 120.
#[test]
fn sets_of_a_later_hand_are_judged_no_worse_than_they_were() {
    let (_, brain) = load();
    let score = judge_lines(&brain, include_str!("later.jsonl"), false);
    told("of a later hand", &score);
    assert_eq!(score.all, 120);
    assert!(score.share(score.first) >= 0.85);
    assert!(score.share(score.three) >= 0.93);
    assert!(score.share(score.stance) >= 0.85);
}

/// Reads every wording of a list and tells recall and precision of the signs read.
fn wordings(brain: &Brain, list: &str) -> (f64, f64) {
    let (mut wanted, mut found, mut read_signs) = (0_usize, 0_usize, 0_usize);
    for line in list.lines().filter(|line| !line.starts_with('#')) {
        let mut parts = line.split(" | ");
        let (Some(lift), Some(sign), Some(words)) = (parts.next(), parts.next(), parts.next())
        else {
            panic!("not `lift | sign | words`: {line}");
        };
        let lift = Lift::ALL.into_iter().find(|l| l.word() == lift).unwrap();
        let hints = Hints {
            unit: None,
            lift: Some(lift),
        };
        let signs: Vec<String> = read(words, &brain.catalog, hints)
            .signs
            .into_iter()
            .map(|mention| match mention.polarity {
                Polarity::Present => mention.sign,
                Polarity::Absent => format!("-{}", mention.sign),
            })
            .collect();
        let hit = signs.iter().any(|read| read == sign);
        // A part of the body said to be well is a sign read as not there, beside what is wanted.
        let there = signs
            .iter()
            .filter(|read| !read.starts_with('-') || *read == sign);
        let there = there.count();
        wanted += usize::from(sign != "none");
        found += usize::from(hit);
        read_signs += there;
        if (sign != "none" && !hit) || there > 1 || (sign == "none" && there > 0) {
            println!("{words}: wanted {sign}, read {signs:?}");
        }
    }
    let (recall, precision) = (
        found as f64 / wanted as f64,
        found as f64 / read_signs as f64,
    );
    println!(
        "recall {found} of {wanted} ({:.0} %), precision {found} of {read_signs} ({:.0} %)",
        100.0 * recall,
        100.0 * precision
    );
    (recall, precision)
}

#[test]
fn wordings_the_catalog_does_not_have_are_read_as_the_sign_meant() {
    let (_, brain) = load();
    let (recall, precision) = wordings(&brain, include_str!("wordings.txt"));
    assert!(recall >= 0.95 && precision >= 0.95);
}

#[test]
fn wordings_written_after_the_groups_of_words_are_read_too() {
    let (_, brain) = load();
    let (recall, precision) = wordings(&brain, include_str!("wordings-after.txt"));
    assert!(recall >= 0.95 && precision >= 0.95);
}

#[test]
fn wordings_never_tuned_on_are_mostly_read() {
    let (_, brain) = load();
    let (recall, precision) = wordings(&brain, include_str!("wordings-unseen.txt"));
    assert!(recall >= 0.75 && precision >= 0.85);
}

/// The built-in catalog, or the one in the folder that `CUELINE_TUNE` names.
fn load() -> (cueline_bot::settings::Settings, Brain) {
    let folder = std::env::var_os("CUELINE_TUNE").map(std::path::PathBuf::from);
    brain::load(folder.as_deref()).expect("the catalog is whole")
}

/// Numbers below `below`, the same on every run (Knuth's MMIX generator).
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / f64::from(1_u32 << 31)
    }
}

/// One cause at a time, its signs drawn as often as the catalog says it shows them: how often is
/// it named first, and how often is it among the first three?
/// A set that shows some of the signs of one cause, each as often as the catalog says; none when
/// fewer than two came up.
fn drawn(book: &LiftBook, lift: Lift, cause: &Cause, draws: &mut Draws) -> Option<SetReport> {
    let seen: Vec<String> = cause
        .shows
        .iter()
        .filter(|(id, _)| {
            book.sign(id)
                .is_some_and(|sign| !sign.pain && !sign.rule_only)
        })
        .filter(|(_, strength)| draws.next() < strength.probability())
        .map(|(id, _)| id.clone())
        .collect();
    if seen.len() < 2 {
        return None;
    }
    let words = match cause.kind {
        Kind::Load => "100 kg x 5 @10",
        _ => "100 kg x 5 @8",
    };
    let mut report = SetReport {
        lift: Some(lift),
        seen,
        training_months: Some(30),
        words: Some(words.to_owned()),
        ..SetReport::default()
    };
    report.variant.stance = match cause.style {
        Some(Style::Sumo) => Some(Stance::Sumo),
        _ if lift == Lift::Deadlift => Some(Stance::Conventional),
        _ => None,
    };
    report.competes = (cause.gate == Some(Gate::Competitors)).then_some(Competes::Yes);
    report.setting.hand_off = (cause.gate == Some(Gate::HandOff)).then_some(true);
    Some(report)
}

#[test]
fn a_single_cause_is_found_from_the_signs_it_shows() {
    let (_, brain) = load();
    let mut draws = Draws(7);
    let (mut all, mut first, mut three) = (0_usize, 0_usize, 0_usize);
    let mut worst: Vec<(f64, String)> = Vec::new();
    for (lift, book) in &brain.catalog.lifts {
        for cause in &book.causes {
            let (mut mine, mut found_mine) = (0, 0);
            let mut taken: BTreeMap<String, usize> = BTreeMap::new();
            for _ in 0..20 {
                let Some(report) = drawn(book, *lift, cause, &mut draws) else {
                    continue;
                };
                let found = assess(
                    &brain.catalog,
                    &report,
                    &History::default(),
                    &brain.rules.diagnosis,
                    date(2026, 3, 2),
                );
                let ranked = ranked(&found);
                mine += 1;
                let hit = ranked.first() == Some(&cause.id);
                found_mine += usize::from(hit);
                if !hit {
                    *taken.entry(ranked[0].clone()).or_default() += 1;
                }
                three += usize::from(ranked.iter().take(3).any(|id| *id == cause.id));
            }
            all += mine;
            first += found_mine;
            if mine > 0 {
                worst.push((
                    found_mine as f64 / mine as f64,
                    format!("{}: {found_mine} of {mine}, taken for {taken:?}", cause.id),
                ));
            }
        }
    }
    worst.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, line) in worst.iter().take(20) {
        println!("{line}");
    }
    let share = |count: usize| 100.0 * count as f64 / all as f64;
    println!(
        "one cause: {all} sets, first {first} ({:.1} %), in the first three {three} ({:.1} %)",
        share(first),
        share(three)
    );
    assert!(all > 500);
    assert!(share(first) >= 85.0 && share(three) >= 92.0);
}
