//! Why a belief is what it is, and why the bot is not sure.

use super::Weight;
use super::evidence::{Evidence, Gathered};
use super::frontier::Frontier;
use super::gates::InPlay;
use super::network::Network;
use super::posterior::{Posterior, Workspace, posterior};

/// A weight smaller than this, in natural-log units of odds, is not told.
const TOLD: f64 = 0.01;

/// Most numbers touched for exact weights; beyond it (dozens of signs at once) each weight is
/// worked out with the other causes taken as independent at their posterior.
const MOST_WORK: u64 = 1 << 24;

/// Signs that belong together are likelier together than apart. With at least this many there...
const MANY_SIGNS: usize = 4;

/// Probability from which a sign counts as seen or answered rather than read in words.
const SURELY: f64 = 0.99;

/// ...and less than this gained by being together, in natural-log units for each sign beyond the
/// first, they fit no fault of the catalog (both figures common practice, no source).
const LEAST_GAIN: f64 = 0.04;

/// For each cause, the weight of each finding, in the order of the evidence.
///
/// The weight of a finding `f` for a cause `c` is `ln P(f | c, rest) - ln P(f | not c, rest)`,
/// where the rest is all other evidence. By Bayes' rule that is exactly the log-odds of `c` with
/// `f` less those without it, which is how it is worked out: one posterior for each finding left out.
pub(super) fn weights(
    network: &Network,
    order: &Frontier,
    believed: &Posterior,
    room: &mut Workspace,
) -> Vec<Vec<f64>> {
    let mut weights = vec![vec![0.0; network.signs.len()]; network.priors.len()];
    let passes = network.signs.len() as u64;
    let exact = order.work.saturating_mul(passes) <= MOST_WORK;
    let mut without = network.clone();
    for sign in 0..network.signs.len() {
        let lowered = if exact {
            without.signs[sign].forget();
            let rest = posterior(&without, order, room);
            without.signs[sign] = network.signs[sign].clone();
            rest.log_odds
        } else {
            independent(network, believed, sign)
        };
        for (cause, weights) in weights.iter_mut().enumerate() {
            weights[sign] = believed.log_odds[cause] - lowered[cause];
        }
    }
    weights
}

/// Log-odds of each cause less the weight of one sign, other causes independent at their posterior.
fn independent(network: &Network, believed: &Posterior, sign: usize) -> Vec<f64> {
    let node = &network.signs[sign];
    let mut log_odds = believed.log_odds.clone();
    for &(cause, strength) in &node.shown_by {
        let others: f64 = node
            .shown_by
            .iter()
            .filter(|(other, _)| *other != cause)
            .map(|&(other, s)| 1.0 - s * believed.causes[other])
            .product();
        let likelihood = |absent: f64| node.if_absent * absent + node.if_present * (1.0 - absent);
        let without = (1.0 - node.leak) * others;
        let ratio = likelihood(without * (1.0 - strength)) / likelihood(without);
        log_odds[cause] -= ratio.ln();
    }
    log_odds
}

/// The weights of one cause, parted into those for and those against, strongest first.
pub(super) fn told(weights: &[f64], gathered: &Gathered<'_>) -> (Vec<Weight>, Vec<Weight>) {
    let mut told: Vec<Weight> = weights
        .iter()
        .zip(&gathered.evidence)
        .filter(|(weight, _)| weight.abs() >= TOLD)
        .map(|(weight, evidence)| Weight {
            sign: evidence.sign.to_owned(),
            weight: *weight,
        })
        .collect();
    told.sort_by(|a, b| b.weight.abs().total_cmp(&a.weight.abs()));
    told.into_iter().partition(|weight| weight.weight > 0.0)
}

/// Why the bot is not sure, in words, and whether no answer could settle it; nothing when it is.
pub(super) fn unsure(
    in_play: &[InPlay<'_>],
    believed: &Posterior,
    gathered: &Gathered<'_>,
    flat: bool,
    gain: Option<f64>,
) -> Option<(String, bool)> {
    let mut why = Vec::new();
    let mut conflict = false;
    if flat {
        why.push(no_leader(in_play, believed));
    }
    if !gathered.contradicted.is_empty() {
        conflict = true;
        let signs: Vec<&str> = gathered.contradicted.iter().map(|s| &*s.plain).collect();
        why.push(format!(
            "the reports contradict each other on this: {}",
            signs.join("; ")
        ));
    }
    if gain.is_some_and(|gain| gain < LEAST_GAIN) {
        conflict = true;
        why.push("the signs do not belong together: no fault known here shows them all".into());
    }
    (!why.is_empty()).then(|| (why.join("; "), conflict))
}

/// Words for "nothing stands out", with the likeliest two.
fn no_leader(in_play: &[InPlay<'_>], believed: &Posterior) -> String {
    let mut order: Vec<usize> = (0..in_play.len()).collect();
    order.sort_by(|&a, &b| believed.causes[b].total_cmp(&believed.causes[a]));
    let likeliest: Vec<String> = order
        .iter()
        .take(2)
        .map(|&at| {
            let percent = believed.causes[at] * 100.0;
            format!("{} ({percent:.0} %)", in_play[at].cause.plain)
        })
        .collect();
    if likeliest.is_empty() {
        "no cause is in play for these signs".into()
    } else {
        format!(
            "no cause stands out; the likeliest: {}",
            likeliest.join(", ")
        )
    }
}

/// How much likelier the signs that are there are together than apart, for each sign beyond the
/// first; nothing with fewer than [`MANY_SIGNS`].
///
/// It is the conflict measure of Jensen et al. 1991 (from memory), `sum of ln P(f) - ln P(all f)`,
/// with its sign turned, given the signs looked for and absent.
pub(super) fn gain_together(
    network: &Network,
    order: &Frontier,
    believed: &Posterior,
    gathered: &Gathered<'_>,
    room: &mut Workspace,
) -> Option<f64> {
    // What was only read in words may have been misread, which is no conflict of the signs.
    let surely = |e: &&Evidence<'_>| e.shown() && e.probability >= SURELY;
    let there = gathered.evidence.iter().filter(surely).count();
    if there < MANY_SIGNS {
        return None;
    }
    let mut background = network.clone();
    let bits = || (0..network.signs.len()).filter(|&at| !order.folded[at]);
    for at in bits() {
        background.signs[at].forget();
    }
    let alone = posterior(&background, order, room);
    let apart: f64 = bits()
        .map(|at| {
            let sign = &network.signs[at];
            let there = alone.signs[at];
            (sign.if_present * there + sign.if_absent * (1.0 - there)).ln()
        })
        .sum();
    let together = believed.log_evidence - alone.log_evidence;
    Some((together - apart) / (there - 1) as f64)
}
