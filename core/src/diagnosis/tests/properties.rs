//! What must hold whatever the findings are.

use super::books::{CATALOG, book};
use super::exactness::{networks, solve};
use crate::diagnosis::frontier::Frontier;
use crate::diagnosis::posterior::{Workspace, posterior};
use crate::diagnosis::{Diagnosis, Finding, Origin, Settings, diagnose, explain};
use crate::report::{Competes, Lift, SetReport};
use proptest::prelude::*;

fn judge(lift: Lift, findings: &[Finding]) -> Diagnosis {
    let report = SetReport {
        lift: Some(lift),
        competes: Some(Competes::Yes),
        ..SetReport::default()
    };
    let settings = Settings::default();
    diagnose(book(lift), &CATALOG.context, &report, findings, &settings)
}

fn origin() -> impl Strategy<Value = Origin> {
    prop_oneof![
        Just(Origin::Words),
        Just(Origin::Ticked),
        Just(Origin::Measured),
        Just(Origin::Answered)
    ]
}

prop_compose! {
    fn finding(lift: Lift)(
        at in 0..book(lift).signs.len(),
        probability in prop_oneof![Just(1.0), Just(0.0), 0.0..=1.0_f64],
        from in origin(),
    ) -> Finding {
        Finding { sign: book(lift).signs[at].id.clone(), probability, from }
    }
}

fn findings() -> impl Strategy<Value = (Lift, Vec<Finding>)> {
    prop_oneof![Just(Lift::Squat), Just(Lift::Bench), Just(Lift::Deadlift)]
        .prop_flat_map(|lift| (Just(lift), prop::collection::vec(finding(lift), 0..7)))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_findings_changes_not_one_byte((lift, found) in findings(), turn in 0..7_usize) {
        let mut turned = found.clone();
        turned.reverse();
        let by = turn.min(turned.len());
        turned.rotate_left(by);
        let one = serde_json::to_string(&judge(lift, &found)).unwrap();
        let other = serde_json::to_string(&judge(lift, &turned)).unwrap();
        prop_assert_eq!(one, other);
    }

    #[test]
    fn a_finding_taken_back_leaves_no_trace((lift, found) in findings()) {
        let before = judge(lift, &found);
        let mut more = found.clone();
        more.push(Finding {
            sign: book(lift).signs[0].id.clone(),
            probability: 1.0,
            from: Origin::Ticked,
        });
        judge(lift, &more);
        more.pop();
        prop_assert_eq!(before, judge(lift, &more));
    }

    #[test]
    fn what_is_named_is_in_play_shows_a_sign_that_is_there_and_is_two_causes_at_most((lift, found) in findings()) {
        let judged = judge(lift, &found);
        prop_assert!(judged.chosen.len() <= 2);
        for cause in &judged.chosen {
            prop_assert!(judged.beliefs.iter().any(|b| b.cause == *cause));
            let shows = &book(lift).cause(cause).unwrap().shows;
            let there = |f: &Finding| f.probability > 0.0 && shows.iter().any(|(id, _)| *id == f.sign);
            prop_assert!(found.iter().any(there));
        }
        let sorted = judged.beliefs.windows(2).all(|b| b[0].probability >= b[1].probability);
        prop_assert!(sorted);
        let inside = judged.beliefs.iter().all(|b| (0.0..=1.0).contains(&b.probability));
        prop_assert!(inside);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever else is known, and with links between causes too: given all other evidence, a sign
    /// is never less likely with the cause than without it in a two-layer network, since the cause
    /// adds one more way to show it and, without links, changes no other cause except through
    /// evidence. With other signs present it may take their explanation away, so the property is
    /// stated for a sign of the cause alone: no other evidence on present signs.
    #[test]
    fn a_causes_own_sign_never_lowers_it_when_no_other_sign_is_there(network in networks(6)) {
        let mut network = network;
        network.feeds.clear();
        for sign in &mut network.signs {
            // Looked for and absent, or unknown: causes stay independent of each other.
            if sign.if_present > sign.if_absent {
                sign.forget();
            } else {
                sign.if_present = 0.0;
                sign.if_absent = 1.0;
            }
        }
        for at in 0..network.signs.len() {
            let mut without = network.clone();
            without.signs[at].forget();
            let mut with = without.clone();
            with.signs[at].if_absent = 0.0;
            with.signs[at].if_present = 1.0;
            let (before, after) = (solve(&without), solve(&with));
            for &(cause, _) in &network.signs[at].shown_by {
                prop_assert!(after.causes[cause] >= before.causes[cause] - 1e-12);
            }
        }
    }

    /// `weight = ln P(f | c, rest) - ln P(f | not c, rest)` by enumeration of the two conditionals:
    /// a cause made certain, then ruled out, by its prior.
    #[test]
    fn a_weight_is_the_log_likelihood_ratio_given_all_other_evidence(network in networks(6)) {
        let mut network = network;
        network.feeds.clear();
        let order = Frontier::of(&network);
        let mut room = Workspace::default();
        let believed = posterior(&network, &order, &mut room);
        let weights = explain::weights(&network, &order, &believed, &mut room);
        let evidence_if = |cause: usize, prior: f64, skip: Option<usize>| {
            let mut given = network.clone();
            given.priors[cause] = prior;
            if let Some(sign) = skip {
                given.signs[sign].forget();
            }
            super::exactness::enumerate(&given).log_evidence
        };
        for (cause, weights) in weights.iter().enumerate() {
            for (sign, weight) in weights.iter().enumerate() {
                let of = |prior| evidence_if(cause, prior, None) - evidence_if(cause, prior, Some(sign));
                let wanted = of(1.0) - of(0.0);
                prop_assert!((weight - wanted).abs() < 1e-8, "{weight} against {wanted}");
            }
        }
    }
}
