//! What an answer would change, foreseen from the sum at hand, against the case judged anew.

use super::books::{CATALOG, book};
use crate::diagnosis::answers::findings_of;
use crate::diagnosis::foresee::{Passes, foresee};
use crate::diagnosis::frontier::Frontier;
use crate::diagnosis::posterior::Workspace;
use crate::diagnosis::{Case, Conditions, Finding, Origin, Settings};
use crate::report::{Lift, SetReport};

#[test]
fn every_answer_foreseen_is_believed_as_when_it_is_given() {
    let settings = Settings::default();
    let (mut compared, mut most) = (0, 0.0_f64);
    for lift in Lift::ALL {
        let facts = SetReport {
            lift: Some(lift),
            ..SetReport::default()
        };
        let signs: Vec<_> = book(lift).signs.iter().filter(|s| !s.pain).collect();
        for step in [1, 3, 7, 11] {
            let findings = signs.iter().skip(step).step_by(step * 3).take(5);
            let mut case = Case {
                book: book(lift),
                context: &CATALOG.context,
                rules: Conditions::of(&CATALOG.context, &[]).holding(&facts),
                conditions: Conditions::of(&CATALOG.context, &[]),
                fine: None,
                facts: facts.clone(),
                findings: findings
                    .map(|sign| Finding {
                        sign: sign.id.clone(),
                        probability: 0.97,
                        from: Origin::Words,
                    })
                    .collect(),
                settings: &settings,
                room: Workspace::default(),
            };
            let now = case.view(Frontier::of);
            let mut passes = Passes::of(&now);
            let choices = book(lift).questions.iter().flat_map(|q| &q.choices);
            for choice in choices.filter(|choice| choice.context.is_empty()) {
                let answer: Vec<Finding> = findings_of(choice).collect();
                let Some(foreseen) = foresee(&mut case, &now, &answer, &mut passes) else {
                    continue;
                };
                let before = case.findings.len();
                case.findings.extend(answer);
                let given = case.view(Frontier::of);
                case.findings.truncate(before);
                assert_eq!(foreseen.choice, given.choice, "{}", choice.say);
                let pairs = foreseen
                    .posterior
                    .causes
                    .iter()
                    .zip(&given.posterior.causes);
                most = pairs.fold(most, |most, (a, b)| most.max((a - b).abs()));
                let apart = foreseen.posterior.log_evidence - given.posterior.log_evidence;
                most = most.max(apart.abs());
                compared += 1;
            }
        }
    }
    assert!(compared > 200, "only {compared} answers");
    assert!(most < 1e-9, "{most}");
}
