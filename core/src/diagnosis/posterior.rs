//! Exact posterior of every cause at once: one pass forward, one pass back.
//!
//! The forward pass sums the network in the order of [`Frontier`]. The pass back carries, for each
//! state of the open nodes, the probability of all evidence still to come; where a node closes,
//! the two meet and give its marginal. No sampling, no assumption of a single fault: the figures
//! are those of summing over every combination of causes.

use super::frontier::{Frontier, Step};
use super::network::Network;
use super::states;

/// What the evidence says of every cause.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Posterior {
    /// Probability of each cause.
    pub(super) causes: Vec<f64>,
    /// Natural log of the odds of each cause.
    pub(super) log_odds: Vec<f64>,
    /// Probability that each sign is there; for a folded sign, 0.
    pub(super) signs: Vec<f64>,
    /// Natural log of the probability of all evidence.
    pub(super) log_evidence: f64,
}

impl Posterior {
    /// Sum over causes of binary entropy, in nats.
    pub(super) fn entropy(&self) -> f64 {
        let term = |p: f64| if p > 0.0 { -p * p.ln() } else { 0.0 };
        self.causes.iter().map(|&p| term(p) + term(1.0 - p)).sum()
    }
}

/// Room for the passes, kept between them.
#[derive(Debug, Default)]
pub(super) struct Workspace {
    state: Vec<f64>,
    spare: Vec<f64>,
    kept: Vec<f64>,
}

/// Most nodes open at once; 2 to this power numbers are held. Far above any lift's book.
pub(super) const MOST_WIDTH: u32 = 22;

/// The posterior of a network in a given order.
pub(super) fn posterior(network: &Network, order: &Frontier, room: &mut Workspace) -> Posterior {
    summed(network, order, &weights(network, order), room)
}

/// The same, each cause that is there weighed by a factor of its own.
pub(super) fn posterior_weighed(
    network: &Network,
    order: &Frontier,
    factors: &[f64],
    room: &mut Workspace,
) -> Posterior {
    let mut weights = weights(network, order);
    for (weight, factor) in weights.iter_mut().zip(factors) {
        weight[1] *= factor;
    }
    summed(network, order, &weights, room)
}

fn summed(
    network: &Network,
    order: &Frontier,
    weights: &[[f64; 2]],
    room: &mut Workspace,
) -> Posterior {
    forward(order, weights, room);
    let evidence = room.state.first().copied().unwrap_or(1.0);
    let mut found = Posterior {
        causes: vec![0.0; network.priors.len()],
        log_odds: vec![0.0; network.priors.len()],
        signs: vec![0.0; network.signs.len()],
        log_evidence: evidence.ln() + folded_constant(network, order),
    };
    backward(order, weights, room, &mut found);
    found
}

/// Weight of each node when it is absent and when it is there.
fn weights(network: &Network, order: &Frontier) -> Vec<[f64; 2]> {
    let mut weights = vec![[1.0, 1.0]; network.priors.len()];
    for (sign, _) in folded(network, order) {
        for &(cause, strength) in &sign.shown_by {
            weights[cause][1] *= 1.0 - strength;
        }
    }
    weights.extend(network.signs.iter().map(|s| [s.if_absent, s.if_present]));
    weights
}

/// Folded signs that count; a forgotten one has the same likelihood either way.
fn folded<'a>(
    network: &'a Network,
    order: &'a Frontier,
) -> impl Iterator<Item = (&'a super::network::SignNode, f64)> {
    network
        .signs
        .iter()
        .zip(&order.folded)
        .filter(|(sign, folded)| **folded && sign.if_present <= 0.0)
        .map(|(sign, _)| (sign, sign.if_absent * (1.0 - sign.leak)))
}

/// What folded signs put on the evidence whatever the causes are.
fn folded_constant(network: &Network, order: &Frontier) -> f64 {
    folded(network, order).map(|(_, factor)| factor.ln()).sum()
}

fn forward(order: &Frontier, weights: &[[f64; 2]], room: &mut Workspace) {
    room.kept.clear();
    room.state.clear();
    room.state.push(1.0);
    for &step in &order.steps {
        match step {
            Step::Open(leak) => {
                let size = room.state.len();
                room.state.extend_from_within(..);
                let (absent, there) = room.state.split_at_mut(size);
                for (a, t) in absent.iter_mut().zip(there) {
                    *a *= 1.0 - leak;
                    *t *= leak;
                }
            }
            Step::Raise { from, to, strength } => {
                states::pairs(&mut room.state, from, to, |absent, there| {
                    *there += *absent * strength;
                    *absent *= 1.0 - strength;
                });
            }
            Step::Close { node, at } => {
                room.kept.extend_from_slice(&room.state);
                states::close(&room.state, at, weights[node], &mut room.spare);
                std::mem::swap(&mut room.state, &mut room.spare);
            }
        }
    }
}

fn backward(order: &Frontier, weights: &[[f64; 2]], room: &mut Workspace, found: &mut Posterior) {
    room.state.clear();
    room.state.push(1.0);
    let mut kept_to = room.kept.len();
    for &step in order.steps.iter().rev() {
        match step {
            Step::Open(leak) => {
                let size = room.state.len() / 2;
                let (absent, there) = room.state.split_at_mut(size);
                for (a, b) in absent.iter_mut().zip(there.iter()) {
                    *a = (1.0 - leak).mul_add(*a, leak * b);
                }
                room.state.truncate(size);
            }
            Step::Raise { from, to, strength } => {
                states::pairs(&mut room.state, from, to, |absent, there| {
                    *absent = (1.0 - strength) * *absent + strength * *there;
                });
            }
            Step::Close { node, at } => {
                let kept_from = kept_to - 2 * room.state.len();
                let before = &room.kept[kept_from..kept_to];
                kept_to = kept_from;
                let sums = states::meet(before, &room.state, at);
                note(found, node, sums, weights[node]);
                states::reopen(&room.state, at, weights[node], &mut room.spare);
                std::mem::swap(&mut room.state, &mut room.spare);
            }
        }
    }
}

/// Notes the marginal of one node.
fn note(found: &mut Posterior, node: usize, sums: [f64; 2], weight: [f64; 2]) {
    let absent = sums[0] * weight[0];
    let there = sums[1] * weight[1];
    let probability = there / (absent + there);
    let causes = found.causes.len();
    if let Some(cause) = found.causes.get_mut(node) {
        *cause = probability;
        found.log_odds[node] = there.ln() - absent.ln();
    } else if let Some(sign) = found.signs.get_mut(node - causes) {
        *sign = probability;
    }
}
