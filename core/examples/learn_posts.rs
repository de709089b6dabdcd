//! Makes the catalog's `post-weights.toml` from whole posts of which a coach would say either that
//! they tell of no fault, and by which rule of context, or that they tell of one.
//!
//! `cargo run -p cueline-core --example learn_posts -- config/catalog POSTS.tsv STORIES.tsv`
//! The posts' columns are the rule (`-` for none), the lift and the text; stories (lift, sign, text)
//! tell of a fault each, and only those of more than 18 words are taken.
//! With `--check FILE` it prints instead, for posts in the shape of the first file, the chance of a
//! rule and the surest one. Same input, same output.

#![expect(
    clippy::disallowed_methods,
    reason = "a tool reads files; the library reads none"
)]

#[path = "tool/softmax.rs"]
mod softmax;
mod tool;

use cueline_core::catalog::Catalog;
use cueline_core::reading::post_features;
use softmax::{How, Learned, Line, row};
use std::error::Error;
use std::fmt::Write as _;

/// A story of fewer words is too much like a saying to stand for a post.
const STORY: usize = 19;

/// How the weights of posts are learned: there are few of them, so each weight is held back more than
/// for sayings (chosen by posts of other hands left out of the learning).
const HOW: How = How {
    rounds: 50,
    pull: 2e-3,
    small: 0.1,
};

/// A post as read: rule or `-`, lift, text.
type Post = (String, String, String);

/// The rows of a table, each with three columns.
fn table(path: &str) -> Result<Vec<Post>, Box<dyn Error>> {
    let text = std::fs::read_to_string(path)?;
    let rows = text.lines().filter(|row| !row.starts_with('#'));
    let rows = rows.map(|row| {
        let columns: Vec<&str> = row.split('\t').collect();
        match columns[..] {
            [one, two, three] => Ok((one.to_owned(), two.to_owned(), three.to_owned())),
            _ => Err(format!("{path}: three columns, not: {row}").into()),
        }
    });
    rows.collect()
}

/// The rules in order of their names, and the posts as lines to learn from; the last column is none
/// of them.
fn lines(catalog: &Catalog, posts: &[Post]) -> (Vec<String>, Vec<Line>) {
    let mut rules: Vec<String> = posts.iter().map(|(rule, ..)| rule.clone()).collect();
    rules.retain(|rule| rule != "-");
    rules.sort();
    rules.dedup();
    let lines = posts.iter().map(|(rule, _, text)| Line {
        features: post_features(text, catalog),
        column: rules
            .iter()
            .position(|known| known == rule)
            .unwrap_or(rules.len()),
    });
    let lines = lines.collect();
    (rules, lines)
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments: Vec<String> = std::env::args().skip(1).collect();
    let check = match arguments.iter().position(|a| a == "--check") {
        Some(at) if at + 1 < arguments.len() => {
            arguments.remove(at);
            Some(table(&arguments.remove(at))?)
        }
        _ => None,
    };
    let [folder, posts, stories] = &arguments[..] else {
        return Err("three arguments: the folder of the catalog, posts, stories".into());
    };
    let catalog = tool::catalog(folder, "post-weights.toml")?;
    let mut posts = table(posts)?;
    let stories = table(stories)?.into_iter();
    posts.extend(
        stories
            .filter(|(.., text)| text.split_whitespace().count() >= STORY)
            .map(|(lift, _, text)| ("-".to_owned(), lift, text)),
    );
    let (rules, lines) = lines(&catalog, &posts);
    let learned = Learned::of(&lines.iter().collect::<Vec<_>>(), rules.len() + 1, HOW);
    if let Some(check) = &check {
        for (truth, _, text) in check {
            let chances = learned.chances(&post_features(text, &catalog));
            let best = (0..rules.len()).max_by(|a, b| chances[*a].total_cmp(&chances[*b]));
            let best = best.map_or(("-", 0.0), |at| (rules[at].as_str(), chances[at]));
            let any = 1.0 - chances[rules.len()];
            println!("{truth}\t{any:.2}\t{}\t{:.2}\t{text}", best.0, best.1);
        }
        return Ok(());
    }
    let mut out = HEAD.to_owned();
    for (column, rule) in rules.iter().enumerate() {
        write!(out, "\n[rules.{rule}]\n{}", row(&learned, column))?;
    }
    print!("{out}\n[none]\n{}", row(&learned, rules.len()));
    Ok(())
}

const HEAD: &str = "# How much the words of a whole post tell that there is no fault in it, and by which rule of
# context.toml.
#
# Made from posts that a coach has judged: cargo run -p cueline-core --example learn_posts.
# Shapes as in sign-weights.toml: words (their stems; `!` before what is denied), two words in a row,
# <groups> of sign-words.toml and pairs of them, in hundredths of a logit, the sums divided by the
# root of how many there are; <groups> of [posts] there are those said of the whole. [none] is a post
# that tells of a fault, or of nothing. A figure may be changed by hand; making the file anew loses that.

# A post of fewer words tells too little.
least_words = 8
";
