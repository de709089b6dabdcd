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
//! 3. causes of strength, by the same rule, only where nothing else is probable: a weak muscle is
//!    a fair verdict only on a clean path.
//!
//! Causes that cut across the chain have no place in it: they are named only where they are the
//! likeliest and no cause of the chain is tied with them.

use super::Settings;
use super::gates::{Hardness, InPlay};
use super::network::Network;
use super::posterior::Posterior;
use crate::catalog::{Kind, Strength};

/// Share of the margin by which a cause is clearly ahead of one it has nothing to do with (common
/// practice, no source).
const CLEAR: f64 = 0.5;

/// The same where at least two signs speak for the cause: what is shown twice over needs less.
const CLEAR_TWICE: f64 = 0.2;

/// Natural-log units by which what is there must have raised the odds of a cause before it can be
/// named: at least doubled (common practice, no source). How common it is accuses nobody.
const RAISED: f64 = std::f64::consts::LN_2;

/// Share of a cause's prior log-odds that is left out when causes are put in order: what the signs
/// of this set say counts for more than how common a cause is at large (common practice, no
/// source).
const PRIOR_LEFT_OUT: f64 = 0.5;

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
    /// Log-odds with part of the prior left out.
    score: f64,
}

/// Chooses among the causes in play; `shown` are the signs that are there and count.
pub(super) fn choose(
    in_play: &[InPlay<'_>],
    network: &Network,
    posterior: &Posterior,
    shown: &[&str],
    hardness: Hardness,
    settings: &Settings,
) -> Choice {
    let accused = accused(in_play, posterior, shown);
    if accused.is_empty() {
        return Choice {
            chosen: Vec::new(),
            flat: !shown.is_empty(),
        };
    }
    let mut probable: Vec<Candidate> = accused
        .iter()
        .copied()
        .filter(|c| c.probability >= settings.probable)
        .collect();
    if let Some(best) = probable.first().map(|c| c.score) {
        // A rarer cause that the signs speak for more clearly may be named beside the probable.
        let clearer = |c: &&Candidate| c.probability < settings.probable && c.score >= best;
        let likely = accused.iter().filter(|c| c.probability >= settings.leading);
        probable.extend(likely.filter(clearer).copied().collect::<Vec<_>>());
        probable.sort_by(by_score);
    } else {
        probable.extend(leader(in_play, &accused, shown, settings));
    }
    let mut chosen = Vec::new();
    if hardness == Hardness::Limit {
        let heavy = accused
            .iter()
            .find(|c| c.kind == Kind::Load && too_heavy(in_play, c, shown, settings));
        chosen.extend(heavy.map(|c| c.place));
    }
    let (strength, other): (Vec<Candidate>, Vec<Candidate>) =
        probable.into_iter().partition(|c| c.kind == Kind::Strength);
    let mut named = if other.is_empty() && chosen.is_empty() {
        strength
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
        flat: chosen.is_empty(),
        chosen,
    }
}

/// Causes that show at least one sign that is there, likeliest first.
fn accused(in_play: &[InPlay<'_>], posterior: &Posterior, shown: &[&str]) -> Vec<Candidate> {
    let mut accused: Vec<Candidate> = in_play
        .iter()
        .zip(&posterior.causes)
        .zip(&posterior.log_odds)
        .enumerate()
        .filter(|(_, ((c, _), log_odds))| {
            let shows = c.cause.shows.iter().any(|(id, _)| shown.contains(&&**id));
            shows && **log_odds - log_odds_of(c.prior) >= RAISED
        })
        .map(|(place, ((c, probability), log_odds))| Candidate {
            place,
            kind: c.cause.kind,
            link: c.cause.link,
            probability: *probability,
            score: *log_odds - PRIOR_LEFT_OUT * log_odds_of(c.prior),
        })
        .collect();
    accused.sort_by(by_score);
    accused
}

/// Best score first, then the order of the book.
fn by_score(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    b.score.total_cmp(&a.score).then(a.place.cmp(&b.place))
}

/// Natural log of the odds of a probability.
fn log_odds_of(probability: f64) -> f64 {
    (probability / (1.0 - probability)).ln()
}

/// The likeliest cause when none is probable, if it is likely enough and clearly ahead.
fn leader(
    in_play: &[InPlay<'_>],
    accused: &[Candidate],
    shown: &[&str],
    settings: &Settings,
) -> Option<Candidate> {
    let first = accused.first()?;
    let shows = in_play.get(first.place)?.cause.shows.iter();
    let speak = shows.filter(|(id, _)| shown.contains(&&**id)).count();
    let clear = if speak >= 2 { CLEAR_TWICE } else { CLEAR };
    let ahead = accused
        .get(1)
        .is_none_or(|second| first.score - second.score >= settings.margin * clear);
    (first.probability >= settings.leading && ahead).then_some(*first)
}

/// True when what the load shows is there: probable, or one sign it often shows.
fn too_heavy(
    in_play: &[InPlay<'_>],
    load: &Candidate,
    shown: &[&str],
    settings: &Settings,
) -> bool {
    let often = |id: &str, strength: Strength| strength >= Strength::Often && shown.contains(&id);
    load.probability >= settings.probable
        || in_play[load.place]
            .cause
            .shows
            .iter()
            .any(|(id, strength)| often(id, *strength))
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
        let behind = likeliest.score - c.score;
        behind <= settings.margin * CLEAR
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
        .min_by(|a, b| a.link.cmp(&b.link).then(b.score.total_cmp(&a.score)))
        .copied()
        .or(Some(likeliest))
}
