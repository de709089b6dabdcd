//! How far the wordings carry: batches of invented lines, counted with intervals after Wilson 1927.
//!
//! Each batch was written before the wordings were looked at again, read once, and only then used
//! to widen them; what it gives today says that nothing was lost, not how well new lines are read.
//! For that the first reading of each batch counts (hurt lines at their level or above; emergencies
//! not lowered; harmless lines left alone, each with its 95 % interval):
//!
//! - first:  303 of 339, 0.894 (0.856 to 0.922); 119 of 138; 219 of 236, 0.928 (0.888 to 0.955)
//! - second: 250 of 275, 0.909 (0.869 to 0.938); 99 of 112; 184 of 193, 0.953 (0.914 to 0.975)
//! - third:  117 of 127, 0.921 (0.861 to 0.957); 48 of 55; 72 of 77, 0.935 (0.857 to 0.972)
//! - fourth: 140 of 222, 0.631 (0.565 to 0.691); 57 of 95; 204 of 228, 0.895 (0.848 to 0.928)
//! - fifth:  166 of 233, 0.712 (0.651 to 0.767); 67 of 105; 172 of 217, 0.793 (0.734 to 0.841)
//! - sixth:  457 of 551, 0.829 (0.796 to 0.859); 207 of 264; 441 of 508, 0.868 (0.836 to 0.895)
//!
//! The fourth and fifth were written by somebody who had never seen the wordings, and to be hard:
//! stories, dialect, understatement. Every other line of the fifth was kept unseen until the words
//! were weighed, with weights made without it: 106 of 116, 0.914 (0.849 to 0.953); 44 of 50, and
//! 46 of 50 at `clinician` or above; 98 of 109, 0.899 (0.828 to 0.943). That is the nearest there is
//! to how new lines of that kind are read; the weights shipped have since learnt from all of them.

use super::words_catalog;
use crate::reading::{FlagLevel, Hints, read};

const FIRST: &str = include_str!("corpora/first.tsv");
const SECOND: &str = include_str!("corpora/second.tsv");
const THIRD: &str = include_str!("corpora/third.tsv");

const FOURTH: &str = include_str!("corpora/fourth.tsv");
const FIFTH: &str = include_str!("corpora/fifth.tsv");
const SIXTH: &str = include_str!("corpora/sixth.tsv");

/// Written by somebody who saw neither code nor catalog, and never looked at when wordings or weights
/// are made: what it gives is what new lines may expect. It is hard on purpose: few lines use a word
/// that a page on health would.
const UNSEEN: &str = include_str!("corpora/unseen.tsv");
/// By another hand again, in the manner of an ordinary inbox: neither easy nor hard on purpose. Never
/// used to tune.
const UNSEEN_PLAIN: &str = include_str!("corpora/unseen_plain.tsv");
/// By a third hand, in the same manner, every line looked through twice for its level. Never used to
/// tune.
const UNSEEN_INBOX: &str = include_str!("corpora/unseen_inbox.tsv");
/// Lifting talk: sets, technique, questions. None of it is a reason to stop.
const LIFTING: &str = include_str!("corpora/lifting.tsv");
/// Lifting talk as full of alarming words as it comes, by another hand; never used to tune.
const LIFTING_UNSEEN: &str = include_str!("corpora/lifting_unseen.tsv");

const LEVELS: [FlagLevel; 4] = [
    FlagLevel::None,
    FlagLevel::Coach,
    FlagLevel::Clinician,
    FlagLevel::Emergency,
];

/// The score interval of a share at 95 % (Wilson 1927), as two shares.
pub(super) fn wilson(right: usize, all: usize) -> (f64, f64) {
    let z = 1.959_964_f64;
    let n = all as f64;
    let share = right as f64 / n;
    let middle = share + z * z / (2.0 * n);
    let reach = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    let whole = 1.0 + z * z / n;
    ((middle - reach) / whole, (middle + reach) / whole)
}

/// Lines of one level: how many, how many read right, how many at each level, which were wrong.
#[derive(Default)]
struct Count {
    all: usize,
    right: usize,
    read_as: [usize; 4],
    wrong: Vec<String>,
}

/// A hurt line is right at its level or above; a harmless one when it raises nothing.
fn count(table: &str) -> [Count; 4] {
    let catalog = words_catalog();
    let mut counts: [Count; 4] = Default::default();
    for row in table.lines().filter(|row| !row.trim().is_empty()) {
        let [flag, expected, text] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("three columns wanted: {row}");
        };
        let expected = super::flag_table::level(expected);
        let found = read(text, catalog, Hints::default());
        let place = LEVELS.iter().position(|level| *level == expected).unwrap();
        let right = if expected == FlagLevel::None {
            found.level == FlagLevel::None
        } else {
            found.level >= expected
        };
        counts[place].all += 1;
        let read_as = LEVELS.iter().position(|level| *level == found.level);
        counts[place].read_as[read_as.unwrap()] += 1;
        counts[place].right += usize::from(right);
        if !right {
            let raised: Vec<&str> = found.flags.iter().map(|m| m.flag.as_str()).collect();
            counts[place].wrong.push(format!(
                "{flag}: {:?} for {expected:?} {raised:?}: {text}",
                found.level
            ));
        }
    }
    counts
}

/// Prints the counts and gives the shares: hurt lines caught, emergencies not lowered, harmless
/// lines left alone.
fn report(name: &str, counts: &[Count; 4]) -> [f64; 3] {
    let show = |what: &str, right: usize, all: usize| {
        let (low, high) = wilson(right, all);
        let share = right as f64 / all as f64;
        println!("{name}, {what}: {right} of {all}, {share:.3} ({low:.3} to {high:.3})");
        share
    };
    println!("{name}: read as none, coach, clinician, emergency");
    for (level, count) in LEVELS.iter().zip(counts) {
        println!("    {level:?}: {:?}", count.read_as);
        show(&format!("{level:?}"), count.right, count.all);
        for line in &count.wrong {
            println!("    {line}");
        }
    }
    let hurt = &counts[1..];
    let right = hurt.iter().map(|c| c.right).sum();
    let all = hurt.iter().map(|c| c.all).sum();
    [
        show("sensitivity", right, all),
        show("emergency", counts[3].right, counts[3].all),
        show("specificity", counts[0].right, counts[0].all),
    ]
}

/// Wilson's interval against a worked figure: 8 right of 10 give 0.490 to 0.943.
#[test]
fn the_interval_of_8_in_10_is_that_of_the_published_formula() {
    let (low, high) = wilson(8, 10);
    assert!((low - 0.4902).abs() < 5e-4, "{low}");
    assert!((high - 0.9433).abs() < 5e-4, "{high}");
}

#[test]
fn the_first_batch_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("first batch", &count(FIRST));
    assert!(sensitivity >= 1.0, "{sensitivity}");
    assert!(emergency >= 1.0, "{emergency}");
    assert!(specificity >= 0.97, "{specificity}");
}

#[test]
fn the_second_batch_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("second batch", &count(SECOND));
    assert!(sensitivity >= 1.0, "{sensitivity}");
    assert!(emergency >= 1.0, "{emergency}");
    assert!(specificity >= 0.97, "{specificity}");
}

#[test]
fn the_third_batch_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("third batch", &count(THIRD));
    assert!(sensitivity >= 1.0, "{sensitivity}");
    assert!(emergency >= 1.0, "{emergency}");
    assert!(specificity >= 0.97, "{specificity}");
}

#[test]
fn the_fourth_batch_of_hard_lines_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("fourth batch", &count(FOURTH));
    assert!(sensitivity >= 0.99, "{sensitivity}");
    assert!(emergency >= 0.98, "{emergency}");
    assert!(specificity >= 0.97, "{specificity}");
}

#[test]
fn the_fifth_batch_of_hard_lines_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("fifth batch", &count(FIFTH));
    assert!(sensitivity >= 0.98, "{sensitivity}");
    assert!(emergency >= 1.0, "{emergency}");
    assert!(specificity >= 0.94, "{specificity}");
}

#[test]
fn the_sixth_batch_of_hard_lines_is_read_no_worse_than_it_was() {
    let [sensitivity, emergency, specificity] = report("sixth batch", &count(SIXTH));
    assert!(sensitivity >= 0.99, "{sensitivity}");
    assert!(emergency >= 0.99, "{emergency}");
    assert!(specificity >= 0.97, "{specificity}");
}

/// Floors a little below what was found: 538 of 572 hurt lines at their level or above, 225 of 245
/// emergencies not lowered, 403 of 428 harmless lines left alone. The aims (0.99 and 0.95) are not
/// met on lines as hard as these.
#[test]
fn lines_never_used_to_tune_are_read_no_worse_than_they_were() {
    let [sensitivity, emergency, specificity] = report("never used to tune", &count(UNSEEN));
    assert!(sensitivity >= 0.92, "{sensitivity}");
    assert!(emergency >= 0.90, "{emergency}");
    assert!(specificity >= 0.93, "{specificity}");
}

/// Floors a little below what was found: 340 of 346, 122 of 123, 299 of 308. The bars were chosen after
/// counts on these lines were seen (not the lines), so this flatters a little.
#[test]
fn lines_of_an_ordinary_inbox_never_used_to_tune_are_read_no_worse_than_they_were() {
    let counts = count(UNSEEN_PLAIN);
    let [sensitivity, emergency, specificity] = report("plain, never used to tune", &counts);
    assert!(sensitivity >= 0.97, "{sensitivity}");
    assert!(emergency >= 0.95, "{emergency}");
    assert!(specificity >= 0.96, "{specificity}");
}

/// Floors a little below what was found: 266 of 267, all 86 emergencies, 325 of 333.
#[test]
fn lines_of_a_second_ordinary_inbox_never_used_to_tune_are_read_no_worse_than_they_were() {
    let counts = count(UNSEEN_INBOX);
    let [sensitivity, emergency, specificity] = report("inbox, never used to tune", &counts);
    assert!(sensitivity >= 0.985, "{sensitivity}");
    assert!(emergency >= 0.97, "{emergency}");
    assert!(specificity >= 0.95, "{specificity}");
}

#[test]
fn lifting_talk_is_no_reason_to_stop() {
    let counts = count(LIFTING);
    let share = counts[0].right as f64 / counts[0].all as f64;
    println!(
        "lifting talk left alone: {} of {}",
        counts[0].right, counts[0].all
    );
    assert!(share >= 0.99, "{share}: {:#?}", counts[0].wrong);
}

/// A floor a little below what was found: 594 of 600.
#[test]
fn lifting_talk_never_used_to_tune_is_seldom_taken_for_a_reason_to_stop() {
    let counts = count(LIFTING_UNSEEN);
    let (right, all) = (counts[0].right, counts[0].all);
    let (low, high) = wilson(right, all);
    println!("unseen lifting talk left alone: {right} of {all} ({low:.3} to {high:.3})");
    assert!(right as f64 / all as f64 >= 0.96, "{:#?}", counts[0].wrong);
}
