//! The posterior against adding up every combination of causes, one by one.

use crate::diagnosis::frontier::Frontier;
use crate::diagnosis::network::{Feed, Network, SignNode};
use crate::diagnosis::posterior::{Posterior, Workspace, posterior};
use proptest::prelude::*;

/// The posterior by enumeration, straight from the definition of noisy-OR.
pub(super) fn enumerate(network: &Network) -> Posterior {
    let n = network.priors.len();
    let (mut total, mut there) = (0.0, vec![0.0; n]);
    let mut signs = vec![0.0; network.signs.len()];
    for combination in 0_u32..1 << n {
        let has = |cause: usize| combination >> cause & 1 == 1;
        let mut weight = 1.0;
        for cause in 0..n {
            let mut absent = 1.0 - network.priors[cause];
            for feed in network
                .feeds
                .iter()
                .filter(|f| f.to == cause && has(f.from))
            {
                absent *= 1.0 - feed.strength;
            }
            weight *= if has(cause) { 1.0 - absent } else { absent };
        }
        let absents: Vec<f64> = network
            .signs
            .iter()
            .map(|sign| {
                let shows = sign.shown_by.iter().filter(|(c, _)| has(*c));
                shows.fold(1.0 - sign.leak, |absent, (_, s)| absent * (1.0 - s))
            })
            .collect();
        for (sign, absent) in network.signs.iter().zip(&absents) {
            weight *= sign.if_absent * absent + sign.if_present * (1.0 - absent);
        }
        total += weight;
        for (cause, sum) in there.iter_mut().enumerate() {
            *sum += if has(cause) { weight } else { 0.0 };
        }
        for ((sign, absent), sum) in network.signs.iter().zip(&absents).zip(&mut signs) {
            let present = sign.if_present * (1.0 - absent);
            *sum += weight * present / (sign.if_absent * absent + present);
        }
    }
    Posterior {
        causes: there.iter().map(|sum| sum / total).collect(),
        log_odds: there.iter().map(|sum| (sum / (total - sum)).ln()).collect(),
        signs: signs.iter().map(|sum| sum / total).collect(),
        log_evidence: total.ln(),
    }
}

/// The posterior the product works out.
pub(super) fn solve(network: &Network) -> Posterior {
    posterior(network, &Frontier::of(network), &mut Workspace::default())
}

prop_compose! {
    fn sign(causes: usize)(
        leak in 0.001..0.4_f64,
        shown in prop::collection::vec(prop::option::of(0.05..0.98_f64), causes),
        found in prop_oneof![Just(1.0), Just(0.0), Just(0.5), 0.01..0.99_f64],
        weight in prop_oneof![Just(1.0), Just(1.0), 0.0..1.0_f64],
    ) -> SignNode {
        let shown_by = shown.into_iter().enumerate();
        SignNode {
            leak,
            shown_by: shown_by.filter_map(|(cause, s)| Some((cause, s?))).collect(),
            if_absent: weight * (1.0 - found) + 1.0 - weight,
            if_present: weight * found + 1.0 - weight,
        }
    }
}

prop_compose! {
    fn links(causes: usize)(
        strengths in prop::collection::vec(prop::option::weighted(0.25, 0.01..0.9_f64), causes * causes),
        order in Just((0..causes).collect::<Vec<usize>>()).prop_shuffle(),
    ) -> Vec<Feed> {
        let pairs = strengths.into_iter().enumerate();
        pairs
            .filter_map(|(at, strength)| {
                let (a, b) = (at / causes, at % causes);
                let strength = strength?;
                (a < b).then(|| Feed { from: order[a], to: order[b], strength })
            })
            .collect()
    }
}

pub(super) fn networks(most_causes: usize) -> impl Strategy<Value = Network> {
    (1..=most_causes).prop_flat_map(|causes| {
        (
            prop::collection::vec(0.005..0.6_f64, causes),
            links(causes),
            prop::collection::vec(sign(causes), 0..10),
        )
            .prop_map(|(priors, feeds, signs)| Network {
                priors,
                feeds,
                signs,
            })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_belief_equals_adding_up_all_combinations_of_causes(network in networks(12)) {
        let found = solve(&network);
        let wanted = enumerate(&network);
        prop_assert!((found.log_evidence - wanted.log_evidence).abs() < 1e-9);
        for (found, wanted) in found.causes.iter().zip(&wanted.causes) {
            prop_assert!((found - wanted).abs() < 1e-9, "{found} against {wanted}");
        }
        let order = Frontier::of(&network);
        for ((found, wanted), folded) in found.signs.iter().zip(&wanted.signs).zip(&order.folded) {
            prop_assert!(*folded || (found - wanted).abs() < 1e-9, "{found} against {wanted}");
        }
    }

    #[test]
    fn forgetting_a_sign_gives_the_belief_of_never_having_heard_of_it(network in networks(8)) {
        let order = Frontier::of(&network);
        for at in 0..network.signs.len() {
            let mut forgotten = network.clone();
            forgotten.signs[at].forget();
            let mut never = network.clone();
            never.signs.remove(at);
            let kept_order = posterior(&forgotten, &order, &mut Workspace::default());
            let wanted = enumerate(&never);
            for (found, wanted) in kept_order.causes.iter().zip(&wanted.causes) {
                prop_assert!((found - wanted).abs() < 1e-9);
            }
        }
    }
}

/// Twenty signs present at once make terms of 1e-20 and less; nothing may cancel.
#[test]
fn twenty_present_signs_lose_no_digits() {
    let causes = 12;
    let signs = (0..20)
        .map(|at| SignNode {
            leak: 0.001 + 0.002 * at as f64,
            shown_by: (0..5)
                .map(|k| ((at * 3 + k * 2) % causes, 0.1 + 0.17 * k as f64))
                .collect(),
            if_absent: 0.0,
            if_present: 1.0,
        })
        .collect();
    let network = Network {
        priors: (0..causes).map(|c| 0.01 + 0.03 * c as f64).collect(),
        feeds: vec![],
        signs,
    };
    let (found, wanted) = (solve(&network), enumerate(&network));
    assert!((found.log_evidence - wanted.log_evidence).abs() < 1e-10);
    for (found, wanted) in found.causes.iter().zip(&wanted.causes) {
        assert!((found - wanted).abs() < 1e-10, "{found} against {wanted}");
    }
}
