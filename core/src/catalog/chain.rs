//! The causes of one lift as a chain: what they show, what they feed, and that nothing circles.

use super::check::{Known, unique_ids};
use super::document::{Blocks, Entry};
use super::parse::Shelf;
use super::{CatalogProblem, Cause};
use crate::report::Lift;
use std::collections::{BTreeMap, BTreeSet};

/// Checks every cause of one lift.
pub(super) fn check(lift: Lift, shelf: &Shelf<'_>, problems: &mut Vec<CatalogProblem>) {
    let signs = Known::new(&shelf.signs, format!("{}-signs.toml", lift.word()));
    let causes = Known::new(&shelf.causes, format!("{}-causes.toml", lift.word()));
    let prefix = format!("c-{}-", lift.prefix());
    unique_ids(&shelf.causes, &prefix, |cause| &cause.id, problems);
    for entry in &shelf.causes.entries {
        check_words(entry, problems);
        check_shows(entry, &signs, problems);
        for fed in &entry.value.feeds {
            causes.refuse("cause", fed, entry, problems);
        }
        if entry.value.style.is_some() && lift != Lift::Deadlift {
            problems.push(entry.problem("style =", "style", "style on deadlift causes only"));
        }
    }
    check_order(&shelf.causes, problems);
    check_circles(&shelf.causes, problems);
}

fn check_words(entry: &Entry<'_, Cause>, problems: &mut Vec<CatalogProblem>) {
    let cause = &entry.value;
    for (key, text) in [("meaning", &cause.meaning), ("plain", &cause.plain)] {
        if text.trim().is_empty() {
            let mark = format!("{key} =");
            problems.push(entry.problem(&mark, format!("`{key}` is empty"), "words"));
        }
    }
    if cause.link == Some(0) {
        problems.push(entry.problem("link =", "link 0", "1 or more, or no link"));
    }
}

fn check_shows(entry: &Entry<'_, Cause>, signs: &Known<'_>, problems: &mut Vec<CatalogProblem>) {
    let cause = &entry.value;
    if cause.shows.is_empty() {
        let what = format!("`{}` shows no sign", cause.id);
        problems.push(entry.problem("shows =", what, "at least one pair [sign, how often]"));
    }
    let mut seen = BTreeSet::new();
    for (sign, _) in &cause.shows {
        signs.refuse("sign", sign, entry, problems);
        if !seen.insert(sign) {
            let what = format!("`{}` shows `{sign}` twice", cause.id);
            problems.push(entry.problem(sign, what, "each sign once in a cause"));
        }
    }
}

/// A cause feeds what lies further down the chain, never what lies before it.
fn check_order(causes: &Blocks<'_, Cause>, problems: &mut Vec<CatalogProblem>) {
    let links: BTreeMap<&str, u32> = causes
        .entries
        .iter()
        .filter_map(|entry| Some((entry.value.id.as_str(), entry.value.link?)))
        .collect();
    for entry in &causes.entries {
        let Some(link) = entry.value.link else {
            continue;
        };
        for fed in &entry.value.feeds {
            if let Some(other) = links.get(fed.as_str()).filter(|other| **other < link) {
                problems.push(entry.problem(
                    fed,
                    format!("link {link} feeds `{fed}` of link {other}"),
                    "causes of the same link or further down",
                ));
            }
        }
    }
}

/// Names every cause that feeds itself by way of others, once for each circle.
fn check_circles(causes: &Blocks<'_, Cause>, problems: &mut Vec<CatalogProblem>) {
    let feeds: BTreeMap<&str, &[String]> = causes
        .entries
        .iter()
        .map(|entry| (entry.value.id.as_str(), entry.value.feeds.as_slice()))
        .collect();
    let mut told = BTreeSet::new();
    for entry in &causes.entries {
        let id = entry.value.id.as_str();
        if told.contains(id) {
            continue;
        }
        if let Some(circle) = circle_through(id, &feeds) {
            told.extend(circle.iter().copied());
            let next = circle.get(1).copied().unwrap_or(id);
            problems.push(entry.problem(
                next,
                format!("causes feed in a circle: {} > {id}", circle.join(" > ")),
                "a chain that only goes downstream",
            ));
        }
    }
}

/// The shortest way from a cause back to itself.
fn circle_through<'a>(
    start: &'a str,
    feeds: &BTreeMap<&'a str, &'a [String]>,
) -> Option<Vec<&'a str>> {
    let mut came_from: BTreeMap<&str, &str> = BTreeMap::new();
    let mut front = vec![start];
    while !front.is_empty() {
        let mut next = Vec::new();
        for cause in front {
            for fed in feeds.get(cause).copied().unwrap_or_default() {
                if fed == start {
                    return Some(way_back(cause, start, &came_from));
                }
                if !came_from.contains_key(fed.as_str()) {
                    came_from.insert(fed, cause);
                    next.push(fed.as_str());
                }
            }
        }
        front = next;
    }
    None
}

/// The causes from `start` to `end`, by the steps taken.
fn way_back<'a>(
    end: &'a str,
    start: &'a str,
    came_from: &BTreeMap<&'a str, &'a str>,
) -> Vec<&'a str> {
    let mut way = vec![end];
    let mut at = end;
    while at != start
        && let Some(before) = came_from.get(at)
    {
        way.push(before);
        at = before;
    }
    way.reverse();
    way
}
