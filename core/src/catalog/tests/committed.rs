//! The committed catalog is whole, and covers what published screens look at.

use super::committed;
use crate::catalog::document::Block;
use crate::catalog::{
    Catalog, Cause, ContextRule, Correction, Escalation, LoadBasis, MeetRule, Prior, Question,
    Sign, Strength, ViewRule,
};
use crate::quantity::Span;
use crate::report::{Lift, SetReport, Shoes};

fn catalog() -> Catalog {
    Catalog::parse(&committed()).unwrap_or_else(|problems| {
        let lines: Vec<String> = problems.iter().map(ToString::to_string).collect();
        panic!("{}", lines.join("\n"));
    })
}

#[test]
fn the_committed_catalog_is_whole() {
    let catalog = catalog();
    let sizes: Vec<(Lift, usize, usize)> = catalog
        .lifts
        .iter()
        .map(|(lift, book)| (*lift, book.signs.len(), book.causes.len()))
        .collect();
    assert_eq!(
        sizes,
        [
            (Lift::Squat, 47, 18),
            (Lift::Bench, 43, 18),
            (Lift::Deadlift, 42, 20)
        ]
    );
    for book in catalog.lifts.values() {
        assert_eq!(book.corrections.len(), book.causes.len());
        assert!(book.questions.iter().any(|q| q.id == "q-all-age"));
        assert!(book.filming.contains("side"));
    }
    assert_eq!(catalog.escalations.len(), 19);
    // Forty-one rules, and three of them once more for what the lifter says of it in words.
    assert_eq!(catalog.context.len(), 41 + 3);
}

#[test]
fn every_rule_of_context_escalation_and_competition_is_there_by_name() {
    let catalog = catalog();
    let context: Vec<&str> = catalog.context.iter().map(|rule| &*rule.id).collect();
    for id in [
        "side-small",
        "upper-round",
        "low-back-move",
        "tuck-small",
        "heels-bench",
        "hips-lead-limit",
        "knee-forward",
        "lean-build",
        "knees-flash",
        "tng-bench",
        "depth-goal",
        "path-wide",
        "last-rep",
        "novelty",
        "short-clip",
        "drop-plates",
        "long-femur",
        "long-arms-bench",
        "long-arms-dl",
        "short-arms-dl",
        "novice",
        "inter",
        "adv",
        "meet-soon",
        "no-meet",
        "belt",
        "straps",
        "hook",
        "mixed",
        "heeled",
        "soft-shoe",
        "bands",
        "helper-bench",
        "sleeves",
        "bar",
        "fatigue",
        "sumo-style",
    ] {
        assert!(context.contains(&format!("ctx-{id}").as_str()), "{id}");
    }
    let escalations: Vec<&str> = catalog.escalations.iter().map(|rule| &*rule.id).collect();
    for id in [
        "emergency",
        "sharp-pain",
        "pain-week",
        "misses",
        "jump",
        "conflict",
        "same-fault",
        "equip",
        "minor",
        "postop",
        "preg",
        "medical",
        "neuro",
        "older",
        "weightcut",
        "mind",
        "video",
        "change-style",
        "bodyviews",
    ] {
        assert!(escalations.contains(&format!("esc-{id}").as_str()), "{id}");
    }
    let rules = |lift: Lift| catalog.meet_rules.iter().filter(|r| r.lift == lift).count();
    assert_eq!(Lift::ALL.map(rules), [6, 8, 5]);
    assert!(catalog.meet_edition.contains("in force"));
    assert_eq!(catalog.view_rules.len(), 9);
}

/// The questions with the choices as the trade shortens them (common practice, no source).
const ASKED: [(Lift, &str, &str); 34] = [
    (
        Lift::Squat,
        "q-sq-pain",
        "none/niggle/sharp/leg or groin symptoms",
    ),
    (Lift::Squat, "q-sq-foot", "whole foot/toes/heels/one side"),
    (
        Lift::Squat,
        "q-sq-breath",
        "before unlocking/on the way/none/don't know",
    ),
    (Lift::Squat, "q-sq-unrack", "light/normal/crushing"),
    (Lift::Squat, "q-sq-slide", "never/late reps/every rep"),
    (
        Lift::Squat,
        "q-sq-feel",
        "thighs/backside/low back/upper back/nowhere",
    ),
    (Lift::Squat, "q-sq-first", "knees/hips/both/don't know"),
    (Lift::Squat, "q-sq-speed", "controlled/fast/dropped"),
    (Lift::Squat, "q-sq-pinch", "no/only deep/at all depths"),
    (Lift::Squat, "q-sq-shoes", "barefoot/running/heeled"),
    (Lift::Squat, "q-sq-bar", "high/low/front/special"),
    (Lift::Squat, "q-sq-missed", "bottom/half way/top/none"),
    (Lift::Squat, "q-sq-meet", "yes/no"),
    (Lift::Bench, "q-bp-pain", "none/niggle/sharp"),
    (
        Lift::Bench,
        "q-bp-handoff",
        "no/good/took too much/let go fast",
    ),
    (
        Lift::Bench,
        "q-bp-feet",
        "pressed all the time/kicked once/nothing/slid",
    ),
    (Lift::Bench, "q-bp-slip", "no/up/down"),
    (Lift::Bench, "q-bp-touch", "upper/middle/lower chest/varies"),
    (Lift::Bench, "q-bp-pause", "yes/touch-and-go/bounced"),
    (Lift::Bench, "q-bp-stuck", "chest/half way/top/none"),
    (Lift::Bench, "q-bp-grip", "don't know"),
    (Lift::Bench, "q-bp-arms", "yes/no/don't know"),
    (Lift::Bench, "q-bp-hips", "no/lightly/clearly"),
    (Lift::Bench, "q-bp-set", "yes/no"),
    (Lift::Bench, "q-bp-meet", "none/flat feet/toes allowed"),
    (
        Lift::Deadlift,
        "q-dl-pain",
        "none/niggle/sharp/goes down the leg",
    ),
    (Lift::Deadlift, "q-dl-style", "conventional/sumo"),
    (Lift::Deadlift, "q-dl-grip", "double/mixed/hook/straps"),
    (Lift::Deadlift, "q-dl-click", "yes/no/don't know"),
    (Lift::Deadlift, "q-dl-foot", "whole/toes/heels"),
    (Lift::Deadlift, "q-dl-stuck", "floor/knee/thigh/none"),
    (Lift::Deadlift, "q-dl-back", "yes/no/don't know"),
    (Lift::Deadlift, "q-dl-bar", "yes/away at knee/away early"),
    (Lift::Deadlift, "q-dl-feel", "legs/backside/low back/grip"),
];

#[test]
fn every_question_is_there_and_its_short_answers_name_one_choice_each() {
    let catalog = catalog();
    for (lift, id, said) in ASKED {
        let question = catalog.lifts[&lift].question(id).expect(id);
        let meant: Vec<&str> = said
            .split('/')
            .map(|said| question.choice(said).map(|c| c.say.as_str()).expect(said))
            .collect();
        let mut once = meant.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), meant.len(), "{id}: {meant:?}");
    }
    let squat = &catalog.lifts[&Lift::Squat];
    for id in ["q-all-load", "q-all-since", "q-all-cue", "q-all-age"] {
        assert!(squat.question(id).is_some(), "{id}");
    }
    for id in ["q-dl-first", "q-dl-reset", "q-dl-shoes", "q-dl-gym"] {
        assert!(
            catalog.lifts[&Lift::Deadlift].question(id).is_some(),
            "{id}"
        );
    }
}

// Myer et al. 2014, "The back squat: a proposed assessment of functional deficits and technical
// factors that limit performance", Strength Cond J 36(6):4-27, table 1: ten criteria.
#[test]
fn every_criterion_of_the_published_squat_screen_maps_to_a_sign() {
    let catalog = catalog();
    let book = &catalog.lifts[&Lift::Squat];
    let criteria: [(&str, &[&str]); 10] = [
        ("head position", &["sq-head-throw"]),
        ("thoracic position", &["sq-upper-back-rounds"]),
        (
            "trunk position",
            &["sq-torso-pitch", "sq-hips-too-far-back", "sq-pelvis-tucks"],
        ),
        ("hip position", &["sq-hip-shift"]),
        (
            "frontal knee position",
            &["sq-knees-in-down", "sq-knees-in-up"],
        ),
        ("tibial progression angle", &["sq-knees-first"]),
        (
            "foot position",
            &[
                "sq-heels-rise",
                "sq-weight-toes",
                "sq-foot-rolls-in",
                "sq-foot-rolls-out",
            ],
        ),
        (
            "descent",
            &["sq-drop-fast", "sq-knees-first", "sq-torso-pitch"],
        ),
        ("depth", &["sq-depth-short"]),
        ("ascent", &["sq-hips-shoot", "sq-stall-low", "sq-stall-mid"]),
    ];
    for (criterion, signs) in criteria {
        for sign in signs {
            let shown = book
                .causes
                .iter()
                .any(|cause| cause.shows.iter().any(|(shown, _)| shown == sign));
            assert!(book.sign(sign).is_some() && shown, "{criterion}: {sign}");
        }
    }
}

#[test]
fn causes_stand_upstream_first_and_those_that_cut_across_last() {
    for book in catalog().lifts.values() {
        let links: Vec<u32> = book
            .causes
            .iter()
            .map(|cause| cause.link.unwrap_or(u32::MAX))
            .collect();
        assert!(links.is_sorted(), "{links:?}");
        assert_eq!(links.first(), Some(&1));
        assert_eq!(links.last(), Some(&u32::MAX));
    }
}

#[test]
fn a_late_brace_reads_as_the_coach_wrote_it() {
    let catalog = catalog();
    let book = &catalog.lifts[&Lift::Squat];
    let brace = book.cause("c-sq-brace").unwrap();
    assert_eq!(brace.prior, Prior::VeryCommon);
    assert_eq!(
        brace.shows.first(),
        Some(&("sq-brace-late".to_owned(), Strength::NearlyAlways))
    );
    let drill = book
        .correction("c-sq-brace")
        .unwrap()
        .drill
        .clone()
        .unwrap();
    assert_eq!((drill.sets.low, drill.reps.high), (3.0, 5.0));
    assert_eq!(drill.percent.map(Span::middle), Some(60.0));
    assert_eq!(drill.of, LoadBasis::Lift);
}

#[test]
fn what_stops_lifting_advice_stops_it() {
    let stops: Vec<String> = catalog()
        .escalations
        .into_iter()
        .filter(|rule| rule.stops)
        .map(|rule| rule.id)
        .collect();
    for id in [
        "esc-emergency",
        "esc-sharp-pain",
        "esc-neuro",
        "esc-mind",
        "esc-medical",
        "esc-postop",
        "esc-preg",
    ] {
        assert!(stops.iter().any(|stop| stop == id), "{id}");
    }
}

#[test]
fn a_reply_of_a_stop_names_licensed_care_or_a_person() {
    for rule in catalog().escalations.iter().filter(|rule| rule.stops) {
        let reply = rule.reply.to_lowercase();
        let care = [
            "clinician",
            "doctor",
            "emergency",
            "coach",
            "people who treat",
        ];
        assert!(care.iter().any(|word| reply.contains(word)), "{}", rule.id);
        assert!(
            !reply.contains('%') && !reply.contains(" kg"),
            "{}",
            rule.id
        );
    }
}

#[test]
fn an_answer_about_shoes_settles_the_shoes_and_what_was_said_before_stays() {
    let catalog = catalog();
    let book = &catalog.lifts[&Lift::Squat];
    let mut report = SetReport::default();
    report.answers.insert("q-sq-shoes".into(), "Running".into());
    book.settle(&mut report);
    assert_eq!(report.setting.equipment.shoes, Some(Shoes::Running));

    report.answers.insert("q-sq-shoes".into(), "heeled".into());
    book.settle(&mut report);
    assert_eq!(report.setting.equipment.shoes, Some(Shoes::Running));
}

#[test]
fn every_answer_that_settles_a_fact_makes_that_fact_hold() {
    for (lift, book) in &catalog().lifts {
        for question in &book.questions {
            for choice in &question.choices {
                let mut report = SetReport {
                    lift: Some(*lift),
                    ..SetReport::default()
                };
                report
                    .answers
                    .insert(question.id.clone(), choice.say.clone());
                book.settle(&mut report);
                for fact in &choice.context {
                    let condition = crate::catalog::Condition::parse(fact).unwrap();
                    let holds = condition.holds(&report);
                    let unheld = fact == "bar=ordinary" && holds.is_none();
                    assert!(holds == Some(true) || unheld, "{}: {fact}", choice.say);
                }
            }
        }
    }
}

#[test]
fn a_novice_rule_holds_for_a_novice_only_and_a_rule_without_conditions_for_nobody() {
    let catalog = catalog();
    let rule = |id: &str| catalog.context.iter().find(|rule| rule.id == id).unwrap();
    let months = |months| SetReport {
        lift: Some(Lift::Squat),
        training_months: months,
        ..SetReport::default()
    };
    assert!(rule("ctx-novice").applies(&months(Some(3))));
    assert!(!rule("ctx-novice").applies(&months(Some(12))));
    assert!(!rule("ctx-novice").applies(&months(None)));
    assert!(!rule("ctx-short-clip").applies(&months(Some(3))));
    // Written for the deadlift only.
    assert!(!rule("ctx-upper-round").applies(&months(Some(60))));
}

/// The first block of a committed file with its required keys only, and with one of them gone.
fn required_keys_are_enough_and_all_needed<T: Block>(file: &str) {
    let text = committed()
        .into_iter()
        .find(|f| f.name == file)
        .unwrap()
        .text;
    let mut root: toml::Table = toml::from_str(text).unwrap();
    let blocks = root.remove(T::NAME).unwrap();
    let first = blocks.as_array().unwrap().first().unwrap();
    let mut whole = first.as_table().unwrap().clone();
    whole.retain(|key, _| T::REQUIRED.contains(&key));
    assert!(T::deserialize(whole.clone()).is_ok(), "{file}");
    for key in T::REQUIRED {
        let mut lacking = whole.clone();
        assert!(lacking.remove(*key).is_some(), "{file}: {key}");
        let told = T::deserialize(lacking).err().map(|error| error.to_string());
        assert!(told.unwrap().contains(&format!("missing field `{key}`")));
    }
}

#[test]
fn the_keys_called_required_are_those_the_blocks_need() {
    required_keys_are_enough_and_all_needed::<Sign>("squat-signs.toml");
    required_keys_are_enough_and_all_needed::<Cause>("bench-causes.toml");
    required_keys_are_enough_and_all_needed::<Correction>("squat-corrections.toml");
    required_keys_are_enough_and_all_needed::<Question>("squat-questions.toml");
    required_keys_are_enough_and_all_needed::<ContextRule>("context.toml");
    required_keys_are_enough_and_all_needed::<Escalation>("escalations.toml");
    required_keys_are_enough_and_all_needed::<ViewRule>("filming.toml");
    required_keys_are_enough_and_all_needed::<MeetRule>("rules.toml");
}
