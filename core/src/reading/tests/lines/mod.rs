//! Set lines and wordings of signs that were written down before the reader was run on them, with
//! what should be read; counted with intervals after Wilson 1927.

mod sets;
mod signs;

use super::reach::wilson;

/// A share with its 95 % interval, printed; gives the share.
fn share(name: &str, right: usize, all: usize) -> f64 {
    let (low, high) = wilson(right, all);
    let share = right as f64 / all as f64;
    println!("{name}: {right} of {all}, {share:.3} ({low:.3} to {high:.3})");
    share
}

/// The rows of a table.
fn rows(table: &str) -> impl Iterator<Item = Vec<&str>> {
    table
        .lines()
        .filter(|row| !row.trim().is_empty())
        .map(|row| row.split('\t').collect())
}
