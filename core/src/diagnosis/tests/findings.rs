//! Answers, ticked boxes, several witnesses, and what is asked next.

use super::books::{CATALOG, book};
use crate::diagnosis::{
    Diagnosis, Finding, Origin, Settings, diagnose, facts_with_answers, findings_from_answers,
    findings_from_ticks,
};
use crate::report::{Lift, SetReport, Shoes};

fn squat() -> SetReport {
    SetReport {
        lift: Some(Lift::Squat),
        ..SetReport::default()
    }
}

fn answered(question: &str, choice: &str) -> SetReport {
    let mut report = squat();
    report.answers.insert(question.into(), choice.into());
    report
}

fn finding(sign: &str, probability: f64, from: Origin) -> Finding {
    Finding {
        sign: sign.into(),
        probability,
        from,
    }
}

fn judge(report: &SetReport, findings: &[Finding]) -> Diagnosis {
    let settings = Settings::default();
    diagnose(
        book(Lift::Squat),
        &CATALOG.context,
        report,
        findings,
        &settings,
    )
}

fn belief(found: &Diagnosis, cause: &str) -> f64 {
    let belief = found.beliefs.iter().find(|b| b.cause == cause);
    belief.unwrap().probability
}

#[test]
fn an_answer_is_understood_whatever_its_case_spaces_or_by_number() {
    for said in ["toes", " TOES. ", "2", "2."] {
        let findings = findings_from_answers(book(Lift::Squat), &answered("q-sq-foot", said));
        let wanted = vec![
            finding("sq-weight-toes", 1.0, Origin::Answered),
            finding("sq-weight-heels", 0.0, Origin::Answered),
        ];
        assert_eq!(findings.unwrap(), wanted, "{said}");
    }
}

#[test]
fn an_unknown_question_or_choice_is_refused_with_the_nearest_one() {
    let refused = findings_from_answers(book(Lift::Squat), &answered("q-sq-foott", "toes"));
    let error = refused.unwrap_err();
    assert_eq!(error.field, "answers");
    assert!(error.accepted.contains("`q-sq-foot`"), "{error}");
    for said in ["toos", "0", "9", ""] {
        let refused = findings_from_answers(book(Lift::Squat), &answered("q-sq-foot", said));
        let error = refused.unwrap_err();
        assert_eq!(error.field, "answers.q-sq-foot");
        assert!(error.accepted.contains("whole foot / toes"), "{error}");
    }
}

#[test]
fn ticks_are_findings_and_a_sign_of_no_lift_is_refused_with_the_nearest_one() {
    let mut report = squat();
    report.seen = vec!["sq-torso-pitch".into()];
    report.not_seen = vec!["sq-heels-rise".into()];
    let wanted = vec![
        finding("sq-torso-pitch", 1.0, Origin::Ticked),
        finding("sq-heels-rise", 0.0, Origin::Ticked),
    ];
    assert_eq!(
        findings_from_ticks(book(Lift::Squat), &report).unwrap(),
        wanted
    );
    report.not_seen = vec!["sq-heel-rise".into()];
    let error = findings_from_ticks(book(Lift::Squat), &report).unwrap_err();
    assert_eq!(error.field, "not_seen");
    assert!(error.accepted.contains("`sq-heels-rise`"), "{error}");
}

#[test]
fn an_answer_about_shoes_counts_as_if_the_report_had_said_so() {
    let report = answered("q-sq-shoes", "3");
    let facts = facts_with_answers(book(Lift::Squat), &report);
    assert_eq!(facts.setting.equipment.shoes, Some(Shoes::Heeled));
    let heels = [finding("sq-heels-rise", 1.0, Origin::Ticked)];
    let heeled = belief(&judge(&report, &heels), "c-sq-ankle");
    let unsaid = belief(&judge(&squat(), &heels), "c-sq-ankle");
    assert!(heeled < unsaid);
}

#[test]
fn a_sign_never_mentioned_is_not_a_sign_that_is_absent() {
    let brace = |findings: &[Finding]| belief(&judge(&squat(), findings), "c-sq-brace");
    let soft = finding("sq-trunk-soft", 1.0, Origin::Words);
    let late = finding("sq-brace-late", 0.0, Origin::Ticked);
    assert!(brace(&[soft.clone(), late]) < brace(&[soft]) / 2.0);
}

#[test]
fn an_even_chance_says_nothing_and_a_likelier_one_says_more() {
    let knees = |p: f64| {
        let findings = [finding("sq-knees-first", p, Origin::Measured)];
        belief(&judge(&squat(), &findings), "c-sq-knees-start")
    };
    let unknown = belief(&judge(&squat(), &[]), "c-sq-knees-start");
    assert!((knees(0.5) - unknown).abs() < 1e-12);
    assert!(knees(0.0) < knees(0.2) && knees(0.2) < unknown);
    assert!(unknown < knees(0.8) && knees(0.8) < knees(1.0));
}

#[test]
fn two_witnesses_who_agree_are_surer_than_one_and_one_who_repeats_is_not() {
    let knees = |findings: &[Finding]| belief(&judge(&squat(), findings), "c-sq-knees-start");
    let words = finding("sq-knees-first", 0.8, Origin::Words);
    let trace = finding("sq-knees-first", 0.8, Origin::Measured);
    let one = knees(std::slice::from_ref(&words));
    assert!(knees(&[words.clone(), trace]) > one);
    assert!((knees(&[words.clone(), words]) - one).abs() < 1e-12);
}

#[test]
fn witnesses_who_contradict_each_other_send_the_case_to_the_coach() {
    let findings = [
        finding("sq-knees-first", 1.0, Origin::Words),
        finding("sq-knees-first", 0.0, Origin::Measured),
    ];
    let why = judge(&squat(), &findings).unsure.unwrap();
    assert!(why.contains("contradict"), "{why}");
}

#[test]
fn signs_that_point_everywhere_leave_the_bot_unsure() {
    let one_faint = [finding("sq-torso-pitch", 0.6, Origin::Measured)];
    let why = judge(&squat(), &one_faint).unsure.unwrap();
    assert!(why.contains("no cause stands out"), "{why}");
    let scattered = [
        "sq-brace-late",
        "sq-bar-on-neck",
        "sq-walkout-long",
        "sq-knees-first",
        "sq-drop-fast",
    ];
    let scattered = scattered.map(|sign| finding(sign, 1.0, Origin::Ticked));
    let why = judge(&squat(), &scattered).unsure.unwrap_or_default();
    assert!(why.contains("do not belong together"), "{why}");
}

#[test]
fn a_specialty_bar_is_left_to_the_coach() {
    let mut report = squat();
    report.variant.bar_position = Some(crate::report::BarPosition::Special);
    let found = judge(&report, &[finding("sq-knees-first", 1.0, Origin::Ticked)]);
    assert!(found.chosen.is_empty());
    assert!(found.unsure.unwrap().contains("the coach looks"));
}

#[test]
fn the_question_asked_is_one_whose_answer_can_change_what_is_named() {
    let findings = [
        finding("sq-torso-pitch", 1.0, Origin::Words),
        finding("sq-hips-shoot", 1.0, Origin::Words),
    ];
    let now = judge(&squat(), &findings);
    let asked = now.question.unwrap();
    let question = book(Lift::Squat).question(&asked.id).unwrap();
    let changed = (1..=question.choices.len()).any(|number| {
        let report = answered(&asked.id, &number.to_string());
        let mut findings = findings.to_vec();
        findings.extend(findings_from_answers(book(Lift::Squat), &report).unwrap());
        judge(&report, &findings).chosen != now.chosen
    });
    assert!(changed, "{asked:?}");
}

#[test]
fn no_question_is_asked_twice_nor_a_third_one() {
    let first = judge(&squat(), &[]).question.unwrap();
    let mut report = answered(&first.id, "1");
    let mut findings = findings_from_answers(book(Lift::Squat), &report).unwrap();
    let second = judge(&report, &findings).question.unwrap();
    assert_ne!(first.id, second.id);
    report.answers.insert(second.id, "1".into());
    findings = findings_from_answers(book(Lift::Squat), &report).unwrap();
    assert_eq!(judge(&report, &findings).question, None);
}
