//! Which causes to work on: the earliest link among the probable ones, strength last, two at most.
//!
//! A cause can be named only if it is probable and shows, by the catalog, at least one sign that
//! is there: the prior and what feeds it do not accuse by themselves. The order of naming:
//!
//! 1. the load, when the set was at the limit and shows a sign of it;
//! 2. the likeliest cause that is not one of strength; but if a cause further upstream is tied with
//!    it, the one furthest upstream of those. Tied means within half the margin in log-odds, or
//!    within the whole margin where the upstream cause feeds the likeliest, at once or through
//!    others: what the first brings about is looked at again after. The upstream one must have a
//!    sign of its own, one that it shows more often than the likeliest does;
//! 3. causes of strength, and the load of a set that was not at the limit, by the same rule, only
//!    where nothing else is probable: a weak muscle is a fair verdict only on a clean path.
//!
//! Where the bar slows, or what is felt, is no verdict by itself: with one such sign and nothing
//! ruled out, nothing is named.
//!
//! Causes that cut across the chain have no place in it: they are named only where they are the
//! likeliest and no cause of the chain is tied with them.

use super::Settings;
use super::evidence::Seen;
use super::gates::{Hardness, InPlay};
use super::network::Network;
use super::posterior::Posterior;
use crate::catalog::{Kind, Strength};

/// Share of the margin within which causes that have nothing to do with each other are tied
/// (common practice, no source).
const UNRELATED: f64 = 0.5;

/// What is chosen, or why not.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Choice {
    /// Places of the causes among those in play, first thing to fix first.
    pub(super) chosen: Vec<usize>,
    /// True when signs are there and no cause stands out.
    pub(super) flat: bool,
}

/// One cause that can be named.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    place: usize,
    kind: Kind,
    link: Option<u32>,
    probability: f64,
    /// Signs that are there and that it shows.
    signs: usize,
    /// The set was at the limit.
    limit: bool,
    /// By how much what is there raised its log-odds: how common a cause is accuses nobody.
    raised: f64,
}

/// Chooses among the causes in play by what is there and counts.
pub(super) fn choose(
    in_play: &[InPlay<'_>],
    network: &Network,
    posterior: &Posterior,
    seen: &Seen<'_>,
    hardness: Hardness,
    settings: &Settings,
) -> Choice {
    let shown = seen.signs.as_slice();
    let accused = accused(in_play, posterior, seen, hardness, settings);
    let mut chosen = Vec::new();
    if hardness == Hardness::Limit {
        let heavy = accused
            .iter()
            .find(|c| c.kind == Kind::Load && too_heavy(in_play, c, &accused, shown, settings));
        chosen.extend(heavy.map(|c| c.place));
    }
    let standing = if seen.vague {
        Vec::new()
    } else {
        standing(&accused, settings)
    };
    let last = |c: &Candidate| matches!(c.kind, Kind::Strength | Kind::Load);
    let (last, other): (Vec<Candidate>, Vec<Candidate>) = standing.into_iter().partition(last);
    let mut named = if other.is_empty() && chosen.is_empty() {
        last
    } else {
        other
    };
    named.retain(|c| !chosen.contains(&c.place));
    while chosen.len() < settings.most_changes {
        let Some(next) = first(&named, network, settings, &|upstream, likeliest| {
            own_support(in_play, upstream, likeliest, shown)
        }) else {
            break;
        };
        named.retain(|c| c.place != next.place);
        chosen.push(next.place);
    }
    chosen.truncate(settings.most_changes);
    Choice {
        flat: chosen.is_empty() && !shown.is_empty(),
        chosen,
    }
}

/// The accused that may be named: the probable, and those the signs speak for as clearly; where
/// none is probable, the one or two that lead.
fn standing(accused: &[Candidate], settings: &Settings) -> Vec<Candidate> {
    let Some(best) = accused.first().map(|c| c.raised) else {
        return Vec::new();
    };
    let probable: Vec<Candidate> = accused
        .iter()
        .copied()
        .filter(|c| c.probability >= settings.probable)
        .collect();
    let leading =
        |c: &&Candidate| c.probability >= settings.leading && (c.kind != Kind::Load || c.limit);
    if let Some(of_probable) = probable.first().map(|c| c.raised) {
        // A rarer cause that the signs speak for more clearly may be named beside the probable.
        let mut all = probable;
        let clearer = |c: &&Candidate| c.probability < settings.probable && c.raised >= of_probable;
        all.extend(accused.iter().filter(leading).filter(clearer).copied());
        all.sort_by(by_raise);
        return all;
    }
    // A weak muscle is no verdict from one sign.
    let guess = |c: &&Candidate| c.kind != Kind::Strength || c.signs >= 2;
    let close = |c: &&Candidate| best - c.raised < settings.clear;
    let tied: Vec<Candidate> = accused
        .iter()
        .filter(close)
        .filter(guess)
        .copied()
        .collect();
    if tied.len() > settings.most_changes {
        return Vec::new();
    }
    tied.iter().filter(leading).copied().collect()
}

/// Causes that show at least one sign that is there and are raised by it, clearest first.
fn accused(
    in_play: &[InPlay<'_>],
    posterior: &Posterior,
    seen: &Seen<'_>,
    hardness: Hardness,
    settings: &Settings,
) -> Vec<Candidate> {
    let limit = hardness == Hardness::Limit;
    let mut accused: Vec<Candidate> = in_play
        .iter()
        .zip(&posterior.causes)
        .zip(&posterior.log_odds)
        .enumerate()
        .filter_map(|(place, ((c, probability), log_odds))| {
            let shows = c.cause.shows.iter();
            let signs = shows.filter(|(id, _)| seen.has(id)).count();
            (signs > 0).then(|| Candidate {
                place,
                kind: c.cause.kind,
                link: c.cause.link,
                probability: *probability,
                signs,
                limit,
                raised: *log_odds - log_odds_of(c.prior),
            })
        })
        // At the limit the load is suspect before anything is seen.
        .filter(|c| c.raised >= settings.raised || limit && c.kind == Kind::Load)
        .collect();
    accused.sort_by(by_raise);
    accused
}

/// Best raised first, then the order of the book.
fn by_raise(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    b.raised.total_cmp(&a.raised).then(a.place.cmp(&b.place))
}

/// Natural log of the odds of a probability.
fn log_odds_of(probability: f64) -> f64 {
    (probability / (1.0 - probability)).ln()
}

/// True when the load explains what is there: it is probable, shows one of the signs often or all
/// of them, and no fault of its own speaks beside it, one with a sign that the load does not bring about.
fn too_heavy(
    in_play: &[InPlay<'_>],
    load: &Candidate,
    accused: &[Candidate],
    shown: &[&str],
    settings: &Settings,
) -> bool {
    let strength_of = |place: usize, sign: &str| {
        let mut shows = in_play[place].cause.shows.iter();
        shows.find(|(id, _)| id == sign).map(|(_, s)| *s)
    };
    let often = shown
        .iter()
        .any(|sign| strength_of(load.place, sign) >= Some(Strength::Often));
    let every = shown
        .iter()
        .all(|sign| strength_of(load.place, sign).is_some());
    let telling = |c: &Candidate| {
        shown.iter().any(|sign| {
            strength_of(load.place, sign).is_none()
                && strength_of(c.place, sign) >= Some(Strength::NearlyAlways)
        })
    };
    let own_fault = accused
        .iter()
        .any(|c| c.kind != Kind::Load && c.probability >= load.probability && telling(c));
    (load.probability >= settings.probable || often || every) && !own_fault
}

/// True when something is there that the cause upstream shows more often than the likeliest does:
/// being upstream and common is no reason to be named for what the other explains as well.
fn own_support(
    in_play: &[InPlay<'_>],
    upstream: &Candidate,
    likeliest: &Candidate,
    shown: &[&str],
) -> bool {
    let shows = |c: &Candidate, sign: &str| {
        let mut shows = in_play[c.place].cause.shows.iter();
        let found = shows.find(|(id, _)| id == sign);
        found.map_or(0.0, |(_, strength)| strength.probability())
    };
    shown
        .iter()
        .any(|sign| shows(upstream, sign) > shows(likeliest, sign))
}

/// The one to name next; `candidates` are likeliest first.
fn first(
    candidates: &[Candidate],
    network: &Network,
    settings: &Settings,
    supported: &dyn Fn(&Candidate, &Candidate) -> bool,
) -> Option<Candidate> {
    let likeliest = *candidates.first()?;
    let tied = |c: &Candidate| {
        if !supported(c, &likeliest) {
            return false;
        }
        let behind = likeliest.raised - c.raised;
        behind <= settings.margin * UNRELATED
            || (behind <= settings.margin && network.reaches(c.place, likeliest.place))
    };
    let upstream = |c: &Candidate| match (c.link, likeliest.link) {
        (Some(link), Some(of_likeliest)) => link < of_likeliest,
        (Some(_), None) => !network.reaches(likeliest.place, c.place),
        (None, _) => false,
    };
    candidates
        .iter()
        .filter(|c| upstream(c) && tied(c))
        .min_by(|a, b| a.link.cmp(&b.link).then(b.raised.total_cmp(&a.raised)))
        .copied()
        .or(Some(likeliest))
}
