//! How long following and cutting a set takes, and a whole assessment of it: half a minute of
//! keypoints at 60 frames a second.
//!
//! Target: under 10 milliseconds for all of an assessment with such a trace. The share of it that goes
//! beyond following and cutting is printed at the end.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::assess::{Assessment, History, assess};
use cueline_core::catalog::{Catalog, CatalogFile, FILES};
use cueline_core::diagnosis::Settings;
use cueline_core::motion::{TraceLimits, follow, reps};
use cueline_core::quantity::{Length, LengthUnit};
use cueline_core::report::{Lift, SetReport, Trace, View};
use divan::{Bencher, black_box};
use std::sync::LazyLock;
use std::time::Instant;

static CATALOG: LazyLock<Catalog> = LazyLock::new(catalog);

/// The catalog as it stands.
#[expect(clippy::disallowed_methods, reason = "a bench reads its own files")]
fn catalog() -> Catalog {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../config/catalog");
    let texts: Vec<(&str, String)> = FILES
        .iter()
        .map(|name| {
            let text = std::fs::read_to_string(format!("{folder}/{name}"));
            (*name, text.expect("a file of the catalog"))
        })
        .collect();
    let files: Vec<CatalogFile<'_>> = texts
        .iter()
        .map(|(name, text)| CatalogFile { name, text })
        .collect();
    Catalog::parse(&files).expect("the catalog is whole")
}

fn main() {
    divan::main();
    let (limits, report) = (TraceLimits::default(), report());
    let view = Some(View::Side);
    let cut = seconds(20, || {
        let motion = follow(Lift::Squat, view, Some(1.75), &report.traces, &limits);
        let _ = black_box(reps(
            &motion.expect("a good trace").expect("a trace"),
            &limits,
        ));
    });
    let whole = seconds(20, || {
        black_box(assessed(&report));
    });
    println!(
        "half a minute of keypoints: assessed in {:.1} ms, followed and cut in {:.1} ms, ratio {:.2}",
        whole * 1e3,
        cut * 1e3,
        whole / cut
    );
}

/// Mean time of one call.
#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn seconds(calls: u32, work: impl Fn()) -> f64 {
    work();
    let start = Instant::now();
    for _ in 0..calls {
        work();
    }
    start.elapsed().as_secs_f64() / f64::from(calls)
}

/// A set in words with its trace.
fn report() -> SetReport {
    let words = "squat 100kg x 7 @8, hips come up before my chest";
    SetReport {
        lift: Some(Lift::Squat),
        view: Some(View::Side),
        stature: Some(Length::from_metres(1.75, LengthUnit::Cm)),
        words: Some(words.to_owned()),
        traces: vec![keypoints()],
        ..SetReport::default()
    }
}

fn assessed(report: &SetReport) -> Assessment {
    let (history, settings) = (History::default(), Settings::default());
    let today = jiff::civil::date(2026, 3, 2);
    assess(&CATALOG, report, &history, &settings, today)
}

/// Seventeen points that go down and up every four seconds.
fn keypoints() -> Trace {
    let frames = (0..1800).map(|frame| {
        let t = f64::from(frame) / 60.0;
        let down = 0.5 - 0.5 * (t * std::f64::consts::TAU / 4.0).cos();
        let place = |x: f64, y: f64| format!("{x:.2},{y:.2},0.91");
        let points: Vec<String> = (0..17)
            .map(|point| match point {
                5 | 6 => place(600.0 + 30.0 * down, 300.0 + 220.0 * down),
                11 | 12 => place(600.0 - 80.0 * down, 500.0 + 180.0 * down),
                13 | 14 => place(600.0 + 70.0 * down, 670.0 + 20.0 * down),
                15 | 16 => place(600.0, 840.0),
                _ => place(610.0 + 30.0 * down, 250.0 + 220.0 * down),
            })
            .collect();
        format!("{{\"t\":{t:.4},\"keypoints\":[{}]}}", points.join(","))
    });
    let frames: Vec<String> = frames.collect();
    Trace {
        kind: "keypoints".to_owned(),
        format: "json".to_owned(),
        data: format!(
            "{{\"fps\":60,\"width\":1280,\"height\":960,\"frames\":[{}]}}",
            frames.join(",")
        ),
        scale: None,
    }
}

#[divan::bench]
fn half_a_minute_of_keypoints(bencher: Bencher<'_, '_>) {
    let traces = [keypoints()];
    let limits = TraceLimits::default();
    bencher.bench(|| {
        let view = Some(View::Side);
        let motion = follow(Lift::Squat, view, Some(1.75), black_box(&traces), &limits);
        let motion = motion.expect("a good trace").expect("a trace");
        let found = reps(&motion, &limits);
        assert!(found.len() >= 6, "{}", found.len());
        found
    });
}

#[divan::bench]
fn assessment_with_half_a_minute_of_keypoints(bencher: Bencher<'_, '_>) {
    let report = report();
    bencher.bench(|| {
        let found = assessed(black_box(&report));
        assert!(found.followed.is_some(), "{:?}", found.problems);
        found
    });
}
