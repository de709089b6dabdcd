//! How fast texts are read; run alone in a release build with `--ignored --nocapture`.

#![expect(
    clippy::disallowed_methods,
    reason = "a measurement needs a clock; the reader itself has none"
)]

use super::whole_catalog;
use crate::reading::{Hints, read};
use std::hint::black_box;
use std::time::{Duration, Instant};

const LINE: &str =
    "did my top set of squats 140 kg x 5 @8 today, felt a bit tight in my lower back";

/// Every long text of 64 KiB: stories, denials, digits, nonsense, one word over and over.
fn long_texts() -> Vec<(&'static str, String)> {
    let fill = |piece: &str| piece.repeat(64 * 1024 / piece.len() + 1);
    let mut nonsense = String::new();
    let mut seed = 7_u32;
    while nonsense.len() < 64 * 1024 {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        nonsense.push(char::from(b'a' + u8::try_from((seed >> 24) % 26).unwrap()));
        if seed >> 28 == 3 {
            nonsense.push(' ');
        }
    }
    vec![
        (
            "story",
            fill(
                "warmed up slowly, then five sets of three at 140 kg. my knees cave a little on the last one. no chest pain, sleeping fine. ",
            ),
        ),
        ("denials", fill("no chest pain is fine ")),
        ("pain", fill("pain ")),
        ("numb back", fill("numb, back ")),
        ("digits", fill("100x5 @8 ")),
        ("ages", fill("im 40 ")),
        ("questions", fill("what if my mate ")),
        ("nonsense", nonsense),
        ("signs", fill("hips shoot up knees cave chest falls ")),
    ]
}

/// The quickest and the middle one; others on the machine only ever add time.
fn quickest_and_middle(mut times: Vec<Duration>) -> (Duration, Duration) {
    times.sort();
    (times[0], times[times.len() / 2])
}

#[test]
#[ignore = "a measurement, meaningful only in a release build on a quiet machine"]
fn a_set_line_is_read_within_60_microseconds_and_64_kib_within_40_milliseconds() {
    let catalog = whole_catalog();
    let lines: Vec<Duration> = (0..2_000)
        .map(|_| {
            let start = Instant::now();
            black_box(read(black_box(LINE), catalog, Hints::default()));
            start.elapsed()
        })
        .collect();
    let (line, middle) = quickest_and_middle(lines);
    println!(
        "line of {} characters: {line:?}, middle {middle:?}",
        LINE.len()
    );
    let rows: Vec<&str> = super::flag_table::MORE
        .lines()
        .filter_map(|row| row.rsplit('\t').next())
        .collect();
    let rounds: Vec<Duration> = (0..25)
        .map(|_| {
            let start = Instant::now();
            for row in &rows {
                black_box(read(row, catalog, Hints::default()));
            }
            start.elapsed() / u32::try_from(rows.len()).unwrap()
        })
        .collect();
    let (a_row, middle) = quickest_and_middle(rounds);
    println!(
        "mean of {} flag lines: {a_row:?}, middle {middle:?}",
        rows.len()
    );
    let mut slow = Vec::new();
    for (name, text) in long_texts() {
        let times: Vec<Duration> = (0..25)
            .map(|_| {
                let start = Instant::now();
                black_box(read(black_box(&text), catalog, Hints::default()));
                start.elapsed()
            })
            .collect();
        let (time, middle) = quickest_and_middle(times);
        println!("64 KiB of {name}: {time:?}, middle {middle:?}");
        if time > Duration::from_millis(40) {
            slow.push((name, time));
        }
    }
    assert!(line < Duration::from_micros(60), "{line:?}");
    assert!(slow.is_empty(), "{slow:?}");
}
