//! Makes the catalog's `weights.toml` from lines whose level is known.
//!
//! `cargo run -p cueline-core --example learn_weights -- config/catalog LINES.tsv... > weights.toml`
//! Each line of a table: flag, level, text, with tabs between; sayings of signs, as `learn_sayings`
//! takes them, are harmless. Same input, same output.

#![expect(
    clippy::disallowed_methods,
    reason = "a tool reads files; the library reads none"
)]

mod tool;

use cueline_core::reading::{hundredths, weighed};
use std::collections::BTreeMap;
use std::error::Error;

/// Rounds over all lines.
const ROUNDS: usize = 30;
/// Step size (after Duchi 2011).
const STEP: f64 = 0.3;
/// Step size of the start.
const START_STEP: f64 = 0.05;
/// Pull of every weight towards nought.
const PULL: f64 = 1e-3;
/// Lines two words in a row must stand in to be weighed.
const SEEN: usize = 5;
/// Weights nearer to nought than this, in hundredths, are left out.
const SMALL: i32 = 30;

/// How many lines a technique phrase of the catalog counts as: none may ever stop a lifter.
const PHRASE_WEIGHT: usize = 4;

/// One scale: a start and a weight for every feature.
struct Scale {
    start: f64,
    weights: Vec<f64>,
}

/// Logistic regression by stochastic steps, in an order that is always the same.
fn learn(lines: &[(Vec<usize>, bool)], features: usize) -> Scale {
    let mut scale = Scale {
        start: 0.0,
        weights: vec![0.0; features],
    };
    let mut squares = vec![1e-6; features];
    let mut order = tool::Order::of(lines.len());
    for _ in 0..ROUNDS {
        for (words, truth) in order.next_round().iter().filter_map(|at| lines.get(*at)) {
            let size = (words.len().max(1) as f64).sqrt();
            let sum: f64 = words.iter().filter_map(|w| scale.weights.get(*w)).sum();
            let logit = (scale.start + sum / size).clamp(-30.0, 30.0);
            let error = 1.0 / (1.0 + (-logit).exp()) - f64::from(u8::from(*truth));
            scale.start -= START_STEP * error;
            for word in words {
                if let (Some(weight), Some(square)) =
                    (scale.weights.get_mut(*word), squares.get_mut(*word))
                {
                    let slope = error / size + PULL * *weight;
                    *square += slope * slope;
                    *weight -= STEP * slope / square.sqrt();
                }
            }
        }
    }
    scale
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments
        .next()
        .ok_or("the folder of the catalog is missing")?;
    let catalog = tool::catalog(&folder, "weights.toml")?;

    let mut lines: Vec<(Vec<String>, String)> = Vec::new();
    for path in arguments {
        for row in std::fs::read_to_string(&path)?.lines() {
            if let Some((level, text)) = known(row) {
                lines.push((weighed(text, &catalog), level.to_owned()));
            }
        }
    }
    // The catalog's own technique phrases are lifting talk.
    for book in catalog.lifts.values() {
        for sign in book.signs.iter().filter(|sign| !sign.pain) {
            for phrase in &sign.phrases {
                let harmless = (weighed(phrase, &catalog), "none".to_owned());
                lines.extend(std::iter::repeat_n(harmless, PHRASE_WEIGHT));
            }
        }
    }
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for word in lines.iter().flat_map(|(words, _)| words) {
        *seen.entry(word).or_default() += 1;
    }
    let names: Vec<&str> = seen
        .iter()
        .filter(|(word, count)| **count >= SEEN || !word.contains(' '))
        .map(|(word, _)| *word)
        .collect();
    let numbered = |keep: &dyn Fn(&str) -> bool, truth: &dyn Fn(&str) -> bool| {
        let kept = lines.iter().filter(|(_, level)| keep(level));
        kept.map(|(words, level)| {
            let found = words
                .iter()
                .filter_map(|w| names.binary_search(&w.as_str()).ok());
            (found.collect::<Vec<usize>>(), truth(level))
        })
        .collect::<Vec<_>>()
    };
    let trouble = learn(&numbered(&|_| true, &|level| level != "none"), names.len());
    let emergency = learn(
        &numbered(&|level| level != "none", &|level| level == "emergency"),
        names.len(),
    );
    print(&names, [&trouble, &emergency]);
    Ok(())
}

/// Level and text of a line: of three columns, the second is the level, or else a sign that is said
/// not to be there; of two, the first is a sign or a lift. What tells of technique is harmless, but
/// pain is neither here nor there.
fn known(row: &str) -> Option<(&str, &str)> {
    let columns: Vec<&str> = row.splitn(3, '\t').collect();
    match columns[..] {
        [
            _,
            level @ ("none" | "coach" | "clinician" | "emergency"),
            text,
        ] => Some((level, text)),
        [_, sign, text] | [sign, text] if !sign.contains("pain") => Some(("none", text)),
        _ => None,
    }
}

/// The file, with its head.
fn print(names: &[&str], scales: [&Scale; 2]) {
    println!("{HEAD}");
    println!(
        "start = [{}, {}]",
        hundredths(scales[0].start),
        hundredths(scales[1].start)
    );
    println!("{BARS}");
    println!("table = '''");
    for (at, name) in names.iter().enumerate() {
        let value = scales.map(|s| hundredths(s.weights.get(at).copied().unwrap_or(0.0)));
        if value.iter().any(|v| v.abs() >= SMALL) {
            println!("{name} | {} {}", value[0], value[1]);
        }
    }
    println!("'''");
}

const HEAD: &str = "# How much words tell of a body in trouble.
#
# Made from lines whose level is known: cargo run -p cueline-core --example learn_weights.
# Two figures a word (its stem), two words in a row, a <group> of the lexicon, a word and a <group>
# within two words of it, or a [flag level] that a wording raises: what it adds for trouble, and, in
# trouble, for an emergency; hundredths of a logit, below nought for the contrary. The figures are
# added up for a text, or one sentence of it, and divided by the root of how many there are. The sum raises the flag `complaint` where no
# wording of flags.toml did, and takes back a wording where what is said around it is harmless.
# A figure may be changed by hand; making the file anew loses that.
";

const BARS: &str = "# From this sum on a text without a flag is one for a clinician.
flags_from = -15
# A text in trouble is an emergency from this second sum on; beside a wording of a lower level only
# if the first sum is at least sure_from.
emergency_from = -100
sure_from = -15
# How much more than a whole text one sentence of several has to weigh.
sentence_more = 150
# Below this sum a wording of `clinician` or `coach` is taken back, below the next one of `emergency`.
clears_below = -15
clears_emergency_below = -100
# Flags that rest on a figure or a plain statement are taken back below this sum only.
clears_plain_below = -100
plain_statements = [\"minor\", \"heart-bp\", \"pregnancy\", \"postpartum\", \"thinner\"]";
