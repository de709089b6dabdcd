//! Makes the catalog's `sign-weights.toml` from sayings whose sign is known.
//!
//! `cargo run -p cueline-core --example learn_sayings -- config/catalog FOLDER [LINES.tsv...]`
//! The folder holds `squat.txt`, `bench.txt` and `deadlift.txt`: lines under `@sign`, `@-sign` (told
//! to be away) or `@none`, and `talk.txt`, lines that tell no sign of any lift.
//! A table of two columns holds a sign, or the name of a lift for a line that tells none, and the
//! text; one of three columns a lift, a sign that the text tells to be away, and the text.
//! With `--check` it prints instead how sayings left out of the learning are read, in five parts.
//! Same input, same output.

#![expect(
    clippy::disallowed_methods,
    reason = "a tool reads files; the library reads none"
)]

#[path = "tool/softmax.rs"]
mod softmax;
mod tool;

use cueline_core::catalog::Catalog;
use cueline_core::reading::saying_features;
use cueline_core::report::Lift;
use softmax::{How, Learned, Line, row};
use std::error::Error;
use std::fmt::Write as _;

/// How the weights of sayings are learned.
const HOW: How = How {
    rounds: 25,
    pull: 1e-4,
    small: 1.0,
};
/// Parts of the check.
const PARTS: usize = 5;

/// The sayings of one lift and the catalog's own phrases; the last column is no sign.
fn lines(
    catalog: &Catalog,
    lift: Lift,
    text: &str,
    tables: &[(String, String)],
) -> Result<(Vec<String>, Vec<Line>), Box<dyn Error>> {
    let book = catalog.lifts.get(&lift).ok_or("no book of this lift")?;
    let of_sign = |id: &&str| *id != "none";
    let titles = text.lines().filter_map(|line| line.strip_prefix('@'));
    let mut signs: Vec<String> = titles.filter(of_sign).map(str::to_owned).collect();
    signs.sort();
    signs.dedup();
    let none = signs.len();
    let mut all = Vec::new();
    let mut column = none;
    for line in text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
    {
        if let Some(id) = line.strip_prefix('@') {
            column = signs.iter().position(|sign| sign == id).unwrap_or(none);
            continue;
        }
        all.push(Line {
            features: saying_features(line, catalog),
            column,
        });
    }
    for sign in &book.signs {
        let Some(column) = signs.iter().position(|id| *id == sign.id) else {
            continue;
        };
        all.extend(sign.phrases.iter().map(|phrase| Line {
            features: saying_features(phrase, catalog),
            column,
        }));
    }
    for (of, line) in tables {
        let column = signs.iter().position(|sign| sign == of);
        if let Some(column) = column.or_else(|| (of == lift.word()).then_some(none)) {
            all.push(Line {
                features: saying_features(line, catalog),
                column,
            });
        }
    }
    Ok((signs, all))
}

fn main() -> Result<(), Box<dyn Error>> {
    let (check, arguments): (Vec<String>, Vec<String>) =
        std::env::args().skip(1).partition(|a| a == "--check");
    let mut arguments = arguments.into_iter();
    let folder = arguments
        .next()
        .ok_or("the folder of the catalog is missing")?;
    let sayings = arguments.next().ok_or("the folder of sayings is missing")?;
    let catalog = tool::catalog(&folder, "sign-weights.toml")?;
    let mut tables = Vec::new();
    for path in arguments {
        for row in std::fs::read_to_string(&path)?.lines() {
            let columns: Vec<&str> = row.split('\t').collect();
            match columns[..] {
                [of, text] => tables.push((of.to_owned(), text.to_owned())),
                [_, sign, text] => tables.push((format!("-{sign}"), text.to_owned())),
                _ => {}
            }
        }
    }
    let mut out = HEAD.to_owned();
    let mut none_rows = String::new();
    for lift in Lift::ALL {
        let text = std::fs::read_to_string(format!("{sayings}/{}.txt", lift.word()))?;
        let talk = std::fs::read_to_string(format!("{sayings}/talk.txt"))?;
        let text = format!("{text}\n{talk}");
        let (signs, lines) = lines(&catalog, lift, &text, &tables)?;
        let columns = signs.len() + 1;
        if !check.is_empty() {
            examine(lift, &signs, &lines);
            continue;
        }
        let learned = Learned::of(&lines.iter().collect::<Vec<_>>(), columns, HOW);
        for (column, sign) in signs.iter().enumerate() {
            write!(out, "\n[signs.{sign}]\n{}", row(&learned, column))?;
        }
        let last = row(&learned, signs.len());
        write!(none_rows, "\n[none.{}]\n{last}", lift.word())?;
    }
    if check.is_empty() {
        print!("{out}{none_rows}");
    }
    Ok(())
}

/// How each part is read by what was learned from the others.
fn examine(lift: Lift, signs: &[String], lines: &[Line]) {
    let none = signs.len();
    for bar in [0.3, 0.4, 0.5, 0.6, 0.7, 0.8] {
        let (mut right, mut wrong, mut told, mut all, mut nones, mut amiss) = (0, 0, 0, 0, 0, 0);
        for part in 0..PARTS {
            let rest: Vec<&Line> = lines
                .iter()
                .enumerate()
                .filter(|(at, _)| at % PARTS != part)
                .map(|(_, line)| line)
                .collect();
            let learned = Learned::of(&rest, none + 1, HOW);
            for line in lines.iter().skip(part).step_by(PARTS) {
                let chances = learned.chances(&line.features);
                let best = (0..none).max_by(|a, b| chances[*a].total_cmp(&chances[*b]));
                let best = best.filter(|best| chances[*best] >= bar);
                if line.column == none {
                    nones += 1;
                    amiss += usize::from(best.is_some());
                } else {
                    all += 1;
                    told += usize::from(best.is_some());
                    right += usize::from(best == Some(line.column));
                    wrong += usize::from(best.is_some_and(|best| best != line.column));
                }
            }
        }
        println!(
            "{}: from {bar}: {right} of {all} right, {wrong} of {told} wrong, {amiss} of {nones} that tell none",
            lift.word()
        );
    }
}

const HEAD: &str =
    "# How much words tell of a sign, for wordings that no phrase and no concepts cover.
#
# Made from sayings whose sign is known: cargo run -p cueline-core --example learn_sayings.
# For each sign, words (their stems; `!` before what is denied), two words in a row, <groups> of
# sign-words.toml and pairs of them, each with what it adds for this sign, in hundredths of a logit,
# below nought for the contrary. The sums are divided by the root of how many features there are;
# the sign that stands out far enough is taken as told. [none] is talk that tells no sign. A figure
# may be changed by hand; making the file anew loses that.

# Probability from which a sign is taken as told.
sure_from = 0.4
";
