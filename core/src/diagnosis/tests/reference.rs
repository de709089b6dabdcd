//! Published algorithms and examples.

use super::exactness::solve;
use crate::diagnosis::network::{Network, SignNode};

fn present(leak: f64, shown_by: Vec<(usize, f64)>) -> SignNode {
    SignNode {
        leak,
        shown_by,
        if_absent: 0.0,
        if_present: 1.0,
    }
}

/// Pearl 1988, *Probabilistic Reasoning in Intelligent Systems*, section 2.3: the alarm with two
/// independent causes. His figures (from memory): a burglary has prior 1e-4; the alarm sounds with
/// 0.95 when burgled and 0.01 by itself, which gives P(burglary | alarm) = 0.00941.
#[test]
fn pearls_burglar_is_believed_at_just_under_one_in_a_hundred() {
    // As noisy-OR: P(alarm | burglary) = 1 - (1 - leak) (1 - s) = 0.95.
    let network = Network {
        priors: vec![1e-4],
        feeds: vec![],
        signs: vec![present(0.01, vec![(0, 1.0 - 0.05 / 0.99)])],
    };
    assert!((solve(&network).causes[0] - 0.00941).abs() < 5e-6);
}

/// Explaining away (Pearl 1988, section 2.3.1), with figures easily done by hand: two causes of
/// prior 1/4, no leak, each showing the sign half the time.
/// `P(sign) = 1 - (7/8)^2 = 15/64`; `P(sign, a) = 1/4 (1 - 1/2 * 7/8) = 9/64`, so 3/5 for each.
/// Once `b` is certain through a second sign only it can show, `a` falls to
/// `(1/4 * 3/4) / (1/4 * 3/4 + 3/4 * 1/2) = 1/3`.
#[test]
fn a_cause_falls_back_when_another_explains_the_same_sign() {
    let shared = present(0.0, vec![(0, 0.5), (1, 0.5)]);
    let mut network = Network {
        priors: vec![0.25, 0.25],
        feeds: vec![],
        signs: vec![shared],
    };
    let one_sign = solve(&network);
    assert!((one_sign.causes[0] - 0.6).abs() < 1e-12);
    assert!((one_sign.causes[1] - 0.6).abs() < 1e-12);
    assert!((one_sign.log_evidence - (15.0_f64 / 64.0).ln()).abs() < 1e-12);
    network.signs.push(present(0.0, vec![(1, 0.5)]));
    let explained = solve(&network);
    assert!((explained.causes[0] - 1.0 / 3.0).abs() < 1e-12);
    assert!((explained.causes[1] - 1.0).abs() < 1e-12);
}

/// Soft evidence as a likelihood ratio (Pearl 1988, section 2.2.2): his example of a witness with
/// ratio 4 to 1 on a prior of 1 in 10 000 (figures from memory) gives odds of 4 in 9 999.
#[test]
fn a_doubtful_witness_multiplies_the_odds_by_the_ratio() {
    let network = Network {
        priors: vec![1e-4],
        feeds: vec![],
        signs: vec![SignNode {
            leak: 0.0,
            shown_by: vec![(0, 1.0)],
            if_absent: 0.2,
            if_present: 0.8,
        }],
    };
    assert!((solve(&network).log_odds[0] - (4.0_f64 / 9_999.0).ln()).abs() < 1e-12);
}

/// Heckerman 1989, the Quickscore algorithm for two-layer noisy-OR networks (from memory):
/// `P(F+, F-) = sum over subsets S of F+ of (-1)^|S| product over causes of
/// [p * product over S and F- of (1 - s) + 1 - p]`, leaks as a cause that is always there.
fn quickscore(priors: &[f64], positive: &[&SignNode], negative: &[&SignNode]) -> f64 {
    let mut sum = 0.0;
    for subset in 0_u32..1 << positive.len() {
        let chosen: Vec<&SignNode> = (0..positive.len())
            .filter(|at| subset >> at & 1 == 1)
            .map(|at| positive[at])
            .chain(negative.iter().copied())
            .collect();
        let mut term: f64 = chosen.iter().map(|sign| 1.0 - sign.leak).product();
        for (cause, prior) in priors.iter().enumerate() {
            let stays_away: f64 = chosen
                .iter()
                .flat_map(|sign| &sign.shown_by)
                .filter(|(shower, _)| *shower == cause)
                .map(|(_, s)| 1.0 - s)
                .product();
            term *= prior * stays_away + 1.0 - prior;
        }
        sum += if subset.count_ones() % 2 == 0 {
            term
        } else {
            -term
        };
    }
    sum
}

#[test]
fn the_evidence_equals_quickscore_on_a_two_layer_network() {
    let priors = [0.35, 0.175, 0.065, 0.02, 0.35, 0.175];
    let node = |k: usize| {
        let strengths = [0.9, 0.6, 0.3, 0.1];
        let shown_by = (0..4).map(|j| ((k + j * (k % 2 + 1)) % 6, strengths[(k + j) % 4]));
        // A stride of two visits three causes only; the fourth would be a repeat.
        let shown_by: Vec<_> = shown_by.take(if k % 2 == 1 { 3 } else { 4 }).collect();
        present(0.06 + 0.01 * k as f64, shown_by)
    };
    let signs: Vec<SignNode> = (0..8).map(node).collect();
    let (positive, negative): (Vec<_>, Vec<_>) = (0..8).partition(|at| at % 3 != 2);
    let of = |places: &[usize]| places.iter().map(|at| &signs[*at]).collect::<Vec<_>>();
    let wanted = quickscore(&priors, &of(&positive), &of(&negative));
    let mut network = Network {
        priors: priors.to_vec(),
        feeds: vec![],
        signs: signs.clone(),
    };
    for at in &negative {
        network.signs[*at].if_absent = 1.0;
        network.signs[*at].if_present = 0.0;
    }
    assert!((solve(&network).log_evidence - wanted.ln()).abs() < 1e-10);
}
