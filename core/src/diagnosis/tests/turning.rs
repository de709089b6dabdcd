//! What would change the choice really changes it, and two causes together add up.

use super::books::{CATALOG, book};
use crate::diagnosis::{Diagnosis, Finding, Origin, Settings, both_probable, diagnose};
use crate::report::{Lift, SetReport};

fn ticked(sign: &str, probability: f64) -> Finding {
    Finding {
        sign: sign.to_owned(),
        probability,
        from: Origin::Ticked,
    }
}

fn judge(lift: Lift, findings: &[Finding]) -> Diagnosis {
    let report = SetReport {
        lift: Some(lift),
        ..SetReport::default()
    };
    let settings = Settings::default();
    diagnose(book(lift), &CATALOG.context, &report, findings, &settings)
}

#[test]
fn the_observation_said_to_change_the_choice_changes_it_as_said() {
    let (mut there, mut away) = (0, 0);
    for lift in Lift::ALL {
        for cause in &book(lift).causes {
            let mut findings: Vec<Finding> = Vec::new();
            for (sign, _) in cause.shows.iter().take(2) {
                findings.push(ticked(sign, 1.0));
            }
            let before = judge(lift, &findings);
            let Some(point) = before.turning_point else {
                continue;
            };
            if point.there {
                there += 1;
                findings.push(ticked(&point.sign, 1.0));
            } else {
                away += 1;
                let known = findings.iter_mut().find(|f| f.sign == point.sign);
                known.expect("what is taken away was there").probability = 0.0;
            }
            let after = judge(lift, &findings);
            assert_ne!(after.chosen.first(), before.chosen.first(), "{}", cause.id);
            if point.there {
                assert_eq!(after.chosen.first(), point.first.as_ref(), "{}", cause.id);
            }
        }
    }
    assert!(
        there > 10 && there + away > 30,
        "{there} there, {away} away"
    );
}

#[test]
fn two_causes_together_are_no_likelier_than_one_and_explain_each_other_away() {
    let findings = [ticked("sq-trunk-soft", 1.0), ticked("sq-brace-late", 1.0)];
    let report = SetReport {
        lift: Some(Lift::Squat),
        ..SetReport::default()
    };
    let (squat, settings) = (book(Lift::Squat), Settings::default());
    let of = |pair| both_probable(squat, &CATALOG.context, &report, &findings, &settings, pair);
    let found = judge(Lift::Squat, &findings);
    let believed = |cause: &str| {
        let mut all = found.beliefs.iter();
        all.find(|b| b.cause == cause).unwrap().probability
    };
    let (brace, rack) = ("c-sq-brace", "c-sq-loose-rack");
    let both = of((brace, rack)).unwrap();
    assert!(both <= believed(brace).min(believed(rack)));
    assert!((both - of((rack, brace)).unwrap()).abs() < 1e-12);
    assert!((of((brace, brace)).unwrap() - believed(brace)).abs() < 1e-12);
    // Either explains the soft trunk, so the two are less often together than by chance.
    assert!(both < believed(brace) * believed(rack));
    assert_eq!(of((brace, "c-sq-nothing")), None);
}
