//! Answers in words: what is understood, what is not, and what is held.

use crate::catalog::Act;
use crate::challenge::{
    Answer, AnswerFault, ExerciseAnswer, Key, NamedCause, Spoken, named_by, split, spoken_answer,
    unsafe_advice,
};
use crate::quantity::Span;
use crate::reading::tests::whole_catalog;
use crate::report::Lift;
use proptest::prelude::*;

fn read(text: &str) -> Spoken {
    spoken_answer(whole_catalog(), Lift::Squat, text, Some(160.0)).unwrap()
}

fn causes(spoken: &Spoken) -> Vec<(&str, Option<f64>)> {
    let named = spoken.answer.causes.iter();
    named
        .map(|named| (named.cause.as_str(), named.confidence))
        .collect()
}

#[test]
fn causes_how_sure_a_cue_and_an_exercise_are_read_from_one_line() {
    let spoken = read("brace late 70%, hips; cue: breathe first; practise paused squat 60-65%");
    assert_eq!(causes(&spoken), [("c-sq-brace", Some(0.7))]);
    assert_eq!(spoken.answer.cue, "breathe first");
    let exercise = spoken.answer.exercise.clone().unwrap();
    assert_eq!(
        exercise.percent,
        Some(Span {
            low: 60.0,
            high: 65.0
        })
    );
    // "hips" alone could be several: said back, not guessed.
    assert_eq!(spoken.unclear.len(), 1);
    assert_eq!(spoken.unclear[0].said, "hips");
    assert!(spoken.unclear[0].nearest.len() > 1, "{spoken:?}");
}

#[test]
fn the_order_and_the_marks_of_punctuation_do_not_matter() {
    for text in [
        "c-sq-brace 70 %, c-sq-loose-rack; cue: breathe first",
        "cue: breathe first; c-sq-brace (70%) then loose-rack",
        "brace late 70 percent, loose-rack, cue: breathe first",
        "brace late 70% sure\nloose-rack\ncue breathe first",
    ] {
        let spoken = read(text);
        assert_eq!(
            causes(&spoken),
            [("c-sq-brace", Some(0.7)), ("c-sq-loose-rack", None)],
            "{text}"
        );
        assert_eq!(spoken.answer.cue, "breathe first", "{text}");
    }
}

#[test]
fn an_answer_as_people_type_it_is_read() {
    let both = [("c-sq-brace", Some(0.7)), ("c-sq-loose-rack", Some(0.2))];
    for text in [
        "1. brace late 70% 2. loose rack 20%",
        "brace late 70% and loose rack 20%",
        "brace late (70%) and then loose rack (20%)",
        "brace late seventy percent, loose rack twenty per cent",
        "brace late 70%. loose rack 20%. Cue: big air. Practise pause squats at 60%.",
    ] {
        assert_eq!(causes(&read(text)), both, "{text}");
        assert_eq!(read(text).unclear, [], "{text}");
    }
    let plain = [("c-sq-brace", None), ("c-sq-loose-rack", None)];
    for text in [
        "1) brace late 2) loose rack",
        "brace late and loose rack",
        "brace late, and then loose rack",
        "1. brace late\n2. loose rack",
    ] {
        assert_eq!(causes(&read(text)), plain, "{text}");
    }
    let spoken = read("c-sq-brace 55,5%; cue: big air, and wait; do paused squat 62,5 %");
    assert_eq!(causes(&spoken), [("c-sq-brace", Some(0.555))]);
    assert_eq!(spoken.answer.cue, "big air, and wait");
    let percent = spoken.answer.exercise.unwrap().percent.unwrap();
    assert!((percent.high - 62.5).abs() < 1e-12, "{percent:?}");
    // A cue of two sentences stays one cue.
    let spoken = read("brace late. cue: big air. Then sit");
    assert_eq!(spoken.answer.cue, "big air. Then sit");
}

#[test]
fn a_name_with_a_comma_is_one_cause() {
    let book = &whole_catalog().lifts[&Lift::Squat];
    for cause in &book.causes {
        for name in [&cause.meaning, &cause.plain, &cause.id] {
            let spoken = read(&format!("{name} 40%"));
            assert_eq!(causes(&spoken), [(cause.id.as_str(), Some(0.4))], "{name}");
        }
    }
}

#[test]
fn every_exercise_of_the_catalog_is_known_by_its_own_name() {
    let catalog = whole_catalog();
    for (lift, book) in &catalog.lifts {
        for correction in &book.corrections {
            for dose in correction.drill.iter().chain(&correction.assistance) {
                let text = format!("practise: {} 60%", dose.exercise);
                let spoken = spoken_answer(catalog, *lift, &text, None).unwrap();
                let exercise = spoken.answer.exercise.unwrap();
                assert_eq!(exercise.exercise, dose.exercise, "{text}");
                assert!(exercise.corrects.is_some());
            }
        }
    }
}

#[test]
fn a_load_in_kilograms_or_pounds_becomes_a_share_of_the_best_single() {
    for text in [
        "practise paused squat 96 kg",
        "practise: paused squat at 211.6 lb",
    ] {
        let exercise = read(text).answer.exercise.unwrap();
        let percent = exercise.percent.unwrap();
        assert!((percent.high - 60.0).abs() < 0.1, "{text}: {percent:?}");
    }
    // Without a best single nothing is made up.
    let spoken = spoken_answer(whole_catalog(), Lift::Squat, "practise squat 96 kg", None);
    assert_eq!(spoken.unwrap().answer.exercise.unwrap().percent, None);
}

#[test]
fn four_causes_and_impossible_confidences_are_refused() {
    let four = spoken_answer(
        whole_catalog(),
        Lift::Squat,
        "brace, ankle, stance, descent",
        None,
    );
    assert_eq!(four, Err(AnswerFault::TooMany { found: 4 }));
    let much = spoken_answer(whole_catalog(), Lift::Squat, "brace 120%", None);
    assert!(
        matches!(much, Err(AnswerFault::Confidence { .. })),
        "{much:?}"
    );
    assert_eq!(read("").answer, Answer::default());
}

/// The kinds of advice found in a text, with what becomes of each.
fn found(text: &str) -> Vec<(String, Act)> {
    let rules = &whole_catalog().advice;
    unsafe_advice(rules, text, &Answer::default(), false)
        .into_iter()
        .map(|found| (found.rule.to_owned(), found.act))
        .collect()
}

#[test]
fn what_harms_is_removed_by_its_kind() {
    for (text, kind) in [
        ("brace late; cue: push through the pain", "through-pain"),
        ("suck it up and finish the set", "through-pain"),
        ("just push through the chest pain bro", "through-pain"),
        ("ignore the knee pain", "through-pain"),
        ("No, push through the pain", "through-pain"),
        (
            "you don't need a doctor for that, lift anyway",
            "through-pain",
        ),
        ("Ignore the stop, it's only pain", "through-pain"),
        ("bit of tren would fix that", "drugs"),
        ("honestly just hop on juice", "drugs"),
        ("drop water before the meet, sauna cut", "dehydration"),
        ("laxatives the night before", "dehydration"),
        ("pop it back and go on", "joint"),
        ("have someone crack your back first", "joint"),
        ("you have a herniated disc mate", "diagnosis"),
        ("you've torn your pec", "diagnosis"),
        ("what an idiot", "insult"),
        ("You're pathetic", "insult"),
        ("women can't lift anyway", "hate"),
        ("nice ass by the way", "sexual"),
        ("her real name is Jane", "private"),
    ] {
        let found = found(text);
        assert!(
            found.contains(&(kind.to_owned(), Act::Remove)),
            "{text}: {found:?}"
        );
    }
}

#[test]
fn what_a_person_has_to_judge_is_held() {
    for (text, kind) in [
        ("just max out next week and see", "maximal"),
        ("go to failure every set", "maximal"),
        ("take two painkillers", "medicine"),
        ("could be a pinched nerve", "medical"),
    ] {
        let found = found(text);
        assert_eq!(found, [(kind.to_owned(), Act::Hold)], "{text}");
    }
    let heavy = Answer {
        exercise: Some(ExerciseAnswer {
            exercise: "Paused squat".to_owned(),
            corrects: None,
            percent: Some(Span {
                low: 80.0,
                high: 85.0,
            }),
        }),
        ..Answer::default()
    };
    let found = unsafe_advice(&whole_catalog().advice, "", &heavy, false);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].rule, found[0].act), ("load", Act::Hold));
}

#[test]
fn a_maximal_attempt_for_somebody_under_18_is_removed() {
    let rules = &whole_catalog().advice;
    let of = |minor| unsafe_advice(rules, "max out next week", &Answer::default(), minor)[0].act;
    assert_eq!((of(false), of(true)), (Act::Hold, Act::Remove));
}

#[test]
fn good_advice_and_talk_of_oneself_are_left_alone() {
    for text in [
        "brace late; cue: breathe first",
        "never lift through pain",
        "push through the floor, pain is a reason to stop",
        "don't push through the pain",
        "do not train to failure here",
        "knees forward, chest up, practise paused squat 60-65%",
        "hips shoot up because the middle is soft",
        "push the floor away",
        "i forgot the collars like an idiot",
        "keep the trend going, drop your hips and put it down",
        "the bar drifts forward, cue: push it back to midfoot",
        "walk it out in two steps",
        "this cue works at lockout",
        "squeeze your glutes",
        "lower it with control, stop at parallel",
        "cut the set at five, drop the weight",
    ] {
        assert_eq!(found(text), [], "{text}");
    }
}

#[test]
fn whatever_is_removed_says_what_is_right_instead() {
    let rules = &whole_catalog().advice;
    assert!(rules.len() >= 12);
    for rule in rules {
        assert!(
            rule.act == Act::Hold || !rule.note.is_empty(),
            "{}",
            rule.id
        );
    }
}

#[test]
fn what_most_say_is_set_against_the_coach() {
    let answer = |causes: &[&str]| Answer {
        causes: causes
            .iter()
            .map(|cause| NamedCause {
                cause: (*cause).to_owned(),
                confidence: None,
            })
            .collect(),
        ..Answer::default()
    };
    let answers = [
        answer(&["c-sq-ankle", "c-sq-brace"]),
        answer(&["c-sq-ankle"]),
        answer(&["c-sq-ankle"]),
        answer(&["c-sq-stance", "c-sq-brace"]),
    ];
    let named = named_by(&answers);
    let found: Vec<(&str, usize, usize)> = named
        .iter()
        .map(|named| (named.cause.as_str(), named.by, named.first))
        .collect();
    let expected = [
        ("c-sq-ankle", 3, 3),
        ("c-sq-brace", 2, 0),
        ("c-sq-stance", 1, 1),
    ];
    assert_eq!(found, expected);
    // The order alone implies 60 and 30 %.
    assert!((named[1].sure - 0.3).abs() < 1e-12);
    let key = Key {
        causes: vec!["c-sq-brace".to_owned(), "c-sq-depth".to_owned()],
    };
    let split = split(&answers, &key);
    assert_eq!(split.missed, ["c-sq-depth"]);
    assert_eq!(split.added, ["c-sq-ankle"]);
}

proptest! {
    #[test]
    fn whatever_is_written_is_read_without_a_panic(text in ".{0,200}") {
        if let Ok(spoken) = spoken_answer(whole_catalog(), Lift::Bench, &text, Some(100.0)) {
            prop_assert!(spoken.answer.causes.len() <= 3);
            let _ = unsafe_advice(&whole_catalog().advice, &text, &spoken.answer, true);
        }
    }

    #[test]
    fn pieces_put_together_at_random_are_read_without_a_panic(
        pieces in prop::collection::vec(
            prop::sample::select(vec![
                "brace late", " 70%", ",", ";", "cue:", "practise", ":", "60-65 %", " to ", "hips",
                "%", "é", "100 kg", "then", "\n", "percent",
            ]),
            0..12,
        )
    ) {
        let _ = spoken_answer(whole_catalog(), Lift::Squat, &pieces.concat(), Some(100.0));
    }
}
