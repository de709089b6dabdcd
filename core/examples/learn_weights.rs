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
const ROUNDS: usize = 12;
/// Step size (after Duchi 2011).
const STEP: f64 = 0.3;
/// Step size of the start.
const START_STEP: f64 = 0.05;
/// Pull of every weight towards nought.
const PULL: f64 = 1e-3;
/// Lines a pair must stand in to be weighed.
const SEEN: usize = 2;
/// Names that are kept of those weighed, after a first learning: the file may not grow too long.
const KEPT: usize = 200_000;
/// How much more a name counts that stands in more lines, when the ones to keep are chosen.
const OFTEN: f64 = 0.15;
/// Weights nearer to nought than this, in hundredths, are left out.
const SMALL: i32 = 5;

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
    seen.retain(|word, count| *count >= SEEN || !word.contains(' '));
    let names: Vec<&str> = seen.keys().copied().collect();
    let first = both(&lines, &names);
    let kept = most_telling(&seen, &first);
    let scales = both(&lines, &kept);
    print(&kept, [&scales[0], &scales[1]]);
    Ok(())
}

/// Both scales, over the names to be weighed: trouble, and in trouble an emergency.
fn both(lines: &[(Vec<String>, String)], names: &[&str]) -> [Scale; 2] {
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
    let trouble = numbered(&|_| true, &|level| level != "none");
    let emergency = numbered(&|level| level != "none", &|level| level == "emergency");
    [trouble, emergency].map(|lines| learn(&lines, names.len()))
}

/// The names that told most in a first learning, the more so the more lines they stand in.
fn most_telling<'a>(seen: &BTreeMap<&'a str, usize>, scales: &[Scale; 2]) -> Vec<&'a str> {
    let weight = |at: usize| {
        let of = |scale: &Scale| scale.weights.get(at).copied().unwrap_or(0.0).abs();
        of(&scales[0]).max(of(&scales[1]))
    };
    let mut ranked: Vec<(f64, &str)> = seen
        .iter()
        .enumerate()
        .map(|(at, (name, count))| (weight(at) * (*count as f64).powf(OFTEN), *name))
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let mut kept: Vec<&str> = ranked
        .into_iter()
        .take(KEPT)
        .map(|(_, name)| name)
        .collect();
    kept.sort_unstable();
    kept
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
# Two figures a word (its stem), two words of a sentence with at most five between them, a <group>
# of the lexicon, a word within eight words of a <group> in its sentence, or a [flag level] that a
# wording raises: what it adds for trouble, and, in trouble, for an emergency; hundredths of a
# logit, below nought for the contrary. The figures are added up for a text, or one sentence of it,
# and divided by the root of how many there are. The sum raises the flag `complaint` where no
# wording of flags.toml did, and takes back a wording where what is said around it is harmless.
# A figure may be changed by hand; making the file anew loses that.
";

const BARS: &str = "# The bars below were chosen on lines of hands that the weights had not learnt from.
# From this sum on a text without a flag is one for a clinician.
flags_from = -60
# A text in trouble is an emergency from this second sum on; beside a wording of a lower level only
# if the first sum is at least sure_from.
emergency_from = -75
sure_from = -60
# How much more than a whole text one sentence of several has to weigh.
sentence_more = 175
# Below this sum a wording of `clinician` or `coach` is taken back, below the next one of `emergency`.
clears_below = -60
clears_emergency_below = -120
# Flags that rest on a figure or a plain statement are taken back below this sum only.
clears_plain_below = -100
plain_statements = [\"minor\", \"heart-bp\", \"pregnancy\", \"postpartum\", \"thinner\"]";
