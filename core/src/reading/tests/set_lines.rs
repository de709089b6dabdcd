//! Lines lifters write about a set, each with the whole reading wanted.

use super::words_catalog;
use crate::quantity::{Effort, MassUnit, Span};
use crate::reading::{Hints, Reading, read};
use crate::report::{AgeBand, BarPosition, Competes, Grip, Lift, SetReport, Shoes, Stance, View};

/// Line, tab, reading: fields in the order load, reps, sets, effort, asks.
const LINES: &str = include_str!("set_lines.tsv");

fn reading(text: &str) -> Reading {
    read(text, words_catalog(), Hints::default())
}

fn fields(text: &str) -> SetReport {
    reading(text).fields
}

fn span(span: Span) -> String {
    if span.width() > 0.0 {
        format!("{}..{}", span.low, span.high)
    } else {
        span.low.to_string()
    }
}

/// A reading in one short line.
fn short(reading: &Reading) -> String {
    let fields = &reading.fields;
    let mut out = Vec::new();
    if let Some(lift) = fields.lift {
        out.push(lift.word().to_owned());
    }
    if let Some(load) = fields.load {
        out.push(format!("L{}{}", load.value, load.unit));
    }
    out.extend(reading.bare_load.map(|load| format!("L{load}?")));
    out.extend(reading.bare_best.map(|best| format!("best{best}?")));
    out.extend(fields.reps.map(|reps| format!("R{reps}")));
    out.extend(fields.sets.map(|sets| format!("S{sets}")));
    out.extend(fields.effort.map(|effort| match effort {
        Effort::Rpe(rpe) => format!("RPE{}", span(rpe)),
        Effort::Rir(rir) => format!("RIR{}", span(rir)),
    }));
    out.extend(fields.missed.as_ref().map(|miss| {
        let place = miss
            .place
            .as_ref()
            .map_or(String::new(), |p| format!("@{p}"));
        format!("miss{}{place}", miss.reps)
    }));
    out.extend(fields.variant.pause_seconds.map(|s| format!("pause{s}")));
    for flag in &reading.flags {
        out.push(format!("!{}={:?}", flag.flag, flag.level).to_lowercase());
    }
    out.extend(
        reading
            .other_exercise
            .as_ref()
            .map(|name| format!("other {name}")),
    );
    let asks: Vec<&str> = reading.asks.iter().map(|ask| ask.field.as_str()).collect();
    if !asks.is_empty() {
        out.push(format!("ask {}", asks.join(",")));
    }
    out.join(" ")
}

#[test]
fn sixty_lines_read_as_a_coach_would_read_them() {
    let mut wrong = Vec::new();
    for row in LINES.lines().filter(|row| !row.is_empty()) {
        let (line, wanted) = row.split_once('\t').expect("two columns");
        let found = short(&reading(line));
        if found != wanted {
            wrong.push(format!("{line}\n  wanted {wanted}\n  found  {found}"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn a_bare_number_is_never_given_a_unit_by_guess() {
    let found = reading("squat 140 x 3 @8");
    assert_eq!(found.fields.load, None);
    assert_eq!(found.bare_load, Some(140.0));
    assert_eq!(found.asks[0].field, "load.unit");
    assert_eq!(found.asks[0].question, "Is 140 in kg or lb?");
    assert_eq!(found.asks[0].choices, ["kg", "lb"]);
    let known = read(
        "squat 140 x 3 @8",
        words_catalog(),
        Hints {
            unit: Some(MassUnit::Kg),
            lift: None,
        },
    );
    assert_eq!(known.fields.load.unwrap().kg(), 140.0);
    assert!(known.asks.is_empty());
}

#[test]
fn thanks_and_small_talk_ask_nothing() {
    for text in [
        "thanks!",
        "ok will do, see you next week",
        "great, that helped a lot",
        "",
        "👍",
        "my squat is my favourite lift",
    ] {
        let found = reading(text);
        assert!(found.asks.is_empty(), "{text}: {:?}", found.asks);
        assert_eq!(found.fields.load, None, "{text}");
    }
}

#[test]
fn plates_a_side_become_a_load_only_when_the_unit_is_known() {
    let asked = reading("bench two plates for 3");
    assert_eq!(asked.asks[0].choices, ["100 kg", "225 lb"]);
    let hints = |unit| Hints {
        unit: Some(unit),
        lift: None,
    };
    let catalog = words_catalog();
    let kg = read("bench two plates for 3", catalog, hints(MassUnit::Kg));
    assert_eq!(kg.fields.load.unwrap().value, 100.0);
    let lb = read("bench two plates for 3", catalog, hints(MassUnit::Lb));
    assert_eq!(lb.fields.load.unwrap().value, 225.0);
}

#[test]
fn facts_about_the_lifter_are_not_taken_for_loads() {
    let found = fields(
        "im 32, lifting 3 years, bw 82 kg, best 180, want 200, squat 140 kg x 3 @8, meet in 8 weeks",
    );
    assert_eq!(found.age_band, Some(AgeBand::Adult));
    assert_eq!(found.training_months, Some(36));
    assert_eq!(found.body_mass.unwrap().value, 82.0);
    assert_eq!(found.best.as_ref().unwrap().value, 180.0);
    assert_eq!(found.goal.as_ref().unwrap().load.value, 200.0);
    assert_eq!(found.load.unwrap().value, 140.0);
    assert_eq!(found.reps, Some(3));
    assert_eq!(found.competes, Some(Competes::Planned));
    let pounds = fields("I weigh 180 lbs, max 340 lb");
    assert_eq!(pounds.body_mass.unwrap().unit, MassUnit::Lb);
    assert_eq!(pounds.best.unwrap().value, 340.0);
}

#[test]
fn a_best_without_a_unit_is_asked_about() {
    let found = reading("my max is 340");
    assert_eq!(found.bare_best, Some(340.0));
    assert_eq!(found.fields.best, None);
    assert!(found.asks.iter().any(|ask| ask.field == "best.unit"));
}

#[test]
fn room_and_equipment_are_read_with_their_denials() {
    let found = fields(
        "bench 100 kg x 5, alone, no spotter, no safeties, collars on, belt, no straps, running shoes, filmed from the side",
    );
    assert_eq!(found.setting.alone, Some(true));
    assert_eq!(found.setting.spotter, Some(false));
    assert_eq!(found.setting.safeties, Some(false));
    assert_eq!(found.setting.collars, Some(true));
    assert_eq!(found.setting.equipment.belt, Some(true));
    assert_eq!(found.setting.equipment.straps, Some(false));
    assert_eq!(found.setting.equipment.shoes, Some(Shoes::Running));
    assert_eq!(found.view, Some(View::Side));
}

#[test]
fn variants_of_the_three_lifts_are_read() {
    assert_eq!(
        fields("low bar squat 140 kg x 3").variant.bar_position,
        Some(BarPosition::Low)
    );
    assert_eq!(fields("sumo 180 kg x 1").variant.stance, Some(Stance::Sumo));
    assert_eq!(fields("sumo 180 kg x 1").lift, Some(Lift::Deadlift));
    assert_eq!(
        fields("deadlift 180 kg x 1 hook grip").variant.grip,
        Some(Grip::Hook)
    );
    assert_eq!(
        fields("bench 100 kg x 3 touch and go")
            .variant
            .pause_seconds,
        Some(0.0)
    );
    assert_eq!(
        fields("bench 100 kg x 3 with a 2 second pause")
            .variant
            .pause_seconds,
        Some(2.0)
    );
}

#[test]
fn fields_point_at_their_words() {
    let text = "Übung: squat 140 kg × 3 @8";
    let found = reading(text);
    let load = found.mentions.iter().find(|m| m.field == "load").unwrap();
    assert!(crate::reading::quote(text, load.span).starts_with("140 kg"));
    assert_eq!(found.fields.reps, Some(3));
}

#[test]
fn another_exercise_is_named_and_nothing_is_asked_about_the_three_lifts() {
    for (text, name) in [
        ("pull ups 3x8 at bodyweight", "pull-up"),
        ("overhead press 50 kg x 5", "overhead press"),
        ("goblet squats 24 kg for 20", "goblet squat"),
    ] {
        let reading = reading(text);
        assert_eq!(reading.other_exercise.as_deref(), Some(name), "{text}");
        assert!(reading.asks.is_empty(), "{text}: {:?}", reading.asks);
        assert_eq!(reading.fields.lift, None, "{text}");
    }
    let squat = reading("squat 100 kg x 5");
    assert_eq!(squat.other_exercise, None);
    let json = serde_json::to_string(&squat).unwrap();
    assert!(!json.contains("other_exercise"), "{json}");
}

#[test]
fn words_of_age_without_an_age_make_nobody_a_minor() {
    for text in [
        "any ages",
        "any ages welcome",
        "all ages 3x5",
        "any age",
        "been ages",
        "ages 18 to 60 train here",
    ] {
        assert_eq!(reading(text).flags, vec![], "{text}");
    }
}

#[test]
fn pain_for_two_to_six_weeks_goes_to_the_coach_however_it_is_written() {
    for text in [
        "knee pain for 2-6 weeks",
        "pain for 2 - 6 weeks in the elbow",
        "hip sore 3 weeks",
    ] {
        let found = reading(text);
        assert!(
            found.flags.iter().any(|flag| flag.flag == "lasting-pain"),
            "{text}: {:?}",
            found.flags
        );
    }
}

#[test]
fn effort_told_as_a_bare_figure_beside_the_set_is_read() {
    let effort = |text: &str| fields(text).effort.map(Effort::rpe);
    let exactly = |rpe| Some(Span::exactly(rpe));
    assert_eq!(
        effort("deadlift 330lb for a triple at 8 to 9"),
        Some(Span::new(8.0, 9.0))
    );
    assert_eq!(effort("squat 140kg, 3 reps at an 8"), exactly(8.0));
    assert_eq!(effort("bench 100kg x5, about a 9"), exactly(9.0));
    assert_eq!(effort("60 kg for 8, about a 7. heels lift"), exactly(7.0));
    assert_eq!(
        effort("200 kg x 3 at an 8, two weeks running"),
        exactly(8.0)
    );
    for text in [
        "squat 140kg x 5, about a 10 minute rest",
        "bench 3 reps at 8 kg",
        "squats at 9 am, 100kg x 5",
        "deadlift 140kg x 5, stood about a 5 cm wider",
        "bench 100kg for 5 at 80%",
    ] {
        assert_eq!(effort(text), None, "{text}");
    }
}

#[test]
fn a_figure_that_cannot_be_true_is_kept_out_and_asked_for_by_name() {
    for (text, field, found, accepted) in [
        ("squat 100 kg x 5 rpe 14", "effort", "14", "1 to 10"),
        ("squat 140 kg x 3 rpe 11", "effort", "11", "1 to 10"),
        ("squat 1400 kg x 3", "load", "1400 kg", "620 kg"),
        ("deadlift 1400 x 3", "load", "1400", "lb"),
        ("bench 90 kg x 40", "reps", "40", "1 to 30"),
        ("bench 90 kg x 60", "reps", "60", "1 to 30"),
    ] {
        let reading = reading(text);
        let fields = &reading.fields;
        let kept = match field {
            "load" => fields.load.is_some() || reading.bare_load.is_some(),
            "reps" => fields.reps.is_some(),
            _ => fields.effort.is_some(),
        };
        assert!(!kept, "{text}: {fields:?}");
        let mut asks = reading.asks.iter().filter(|ask| ask.field == field);
        let ask = asks
            .next()
            .unwrap_or_else(|| panic!("{text}: {:?}", reading.asks));
        assert!(
            ask.question.contains(found) && ask.question.contains(accepted),
            "{text}: {}",
            ask.question
        );
        assert!(asks.next().is_none(), "{text}");
        assert_eq!(reading.refused.len(), 1, "{text}");
    }
    // What is light depends on the bar, and is judged with the whole report.
    assert_eq!(reading("squat 8 kg x 5").refused, []);
}

/// The sets listed in a text, each as `100kg x5`.
fn listed(text: &str) -> Vec<String> {
    let sets = fields(text).listed;
    let short = |set: &crate::report::ListedSet| {
        let unit = set.load.unit.map_or("?", |unit| match unit {
            MassUnit::Kg => "kg",
            MassUnit::Lb => "lb",
        });
        let reps = set.reps.map_or(String::new(), |reps| format!(" x{reps}"));
        let of = set.sets.map_or(String::new(), |sets| format!(" {sets}x"));
        let effort = set.effort.map_or(String::new(), |effort| match effort {
            Effort::Rpe(rpe) => format!(" @{}", span(rpe)),
            Effort::Rir(rir) => format!(" rir{}", span(rir)),
        });
        format!("{}{unit}{of}{reps}{effort}", set.load.value)
    };
    sets.iter().map(short).collect()
}

#[test]
fn every_set_of_a_list_is_kept_and_the_heaviest_or_the_one_named_is_reported() {
    for (text, wanted, set) in [
        (
            "squat 100kg x5, 110kg x5, 120kg x3 @9",
            &["100kg x5", "110kg x5", "120kg x3 @9"][..],
            (120.0, Some(3)),
        ),
        (
            "weights in kg: squat 100x5, 110x5, 120x3",
            &["100kg x5", "110kg x5", "120kg x3"],
            (120.0, Some(3)),
        ),
        (
            "worked up 60/80/100/110 kg x3 squat",
            &["60kg x3", "80kg x3", "100kg x3", "110kg x3"],
            (110.0, Some(3)),
        ),
        (
            "squat 100kg x5 @7, 120kg x3 @8, 110kg x5 @9, on the 110 my knees caved",
            &["100kg x5 @7", "120kg x3 @8", "110kg x5 @9"],
            (110.0, Some(5)),
        ),
        (
            "bench 80kg x5, 90kg x3, 85kg x4, elbows flared in the first set",
            &["80kg x5", "90kg x3", "85kg x4"],
            (80.0, Some(5)),
        ),
        (
            "deadlift 180kg x3, 150kg x6, back rounded on the back offs",
            &["180kg x3", "150kg x6"],
            (150.0, Some(6)),
        ),
    ] {
        assert_eq!(listed(text), wanted, "{text}");
        let fields = fields(text);
        let load = fields.load.map(|load| load.value);
        assert_eq!((load, fields.reps), (Some(set.0), set.1), "{text}");
    }
    let both = fields("squat 5x5 100kg then 1x3 120kg");
    assert_eq!(
        (both.listed.len(), both.reps, both.sets),
        (2, Some(3), Some(1))
    );
    for text in [
        "squat 140 kg x 3 @8",
        "squat 3x5 140 kg",
        "squat 140 kg x 3, best 180 kg",
        "squat 120 kg x 5 and ohp 60 kg x 5",
        "last week 130 kg x 5, today squat 140 kg x 3",
    ] {
        assert_eq!(listed(text), Vec::<String>::new(), "{text}");
    }
}

#[test]
fn which_of_several_sets_is_meant_is_one_question_when_nobody_can_tell() {
    let reading = reading("squat 100kg x5, 120kg x5, 120kg x3, hips shoot up");
    assert_eq!(
        (
            reading.fields.load.map(|load| load.value),
            reading.fields.reps
        ),
        (Some(120.0), None)
    );
    let ask = &reading.asks[0];
    assert_eq!(
        (ask.field.as_str(), &*ask.choices),
        ("reps", &["5 reps".to_owned(), "3 reps".to_owned()][..])
    );
    let reading = self::reading(
        "squat 100kg x5, 110kg x5, 120kg x3. on the 100 hips shot up, on the 120 too",
    );
    assert_eq!(reading.fields.load, None);
    let ask = &reading.asks[0];
    assert_eq!(
        (ask.field.as_str(), &*ask.choices),
        (
            "load",
            &["100 kg x 5".to_owned(), "120 kg x 3".to_owned()][..]
        )
    );
    assert_eq!(reading.fields.listed.len(), 3);
}
