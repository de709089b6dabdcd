//! The sheet as the coach gets it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::{kept_sheet, review_sheet, sheet_word};
use crate::casework::speech::CoachWord;
use crate::casework::tests::world::{World, built_in, person};
use crate::record::{Case, CaseState, QueueItem, Reason, Sheet, SheetLine, Urgency};
use crate::wording::{sheet_document, sheet_text};
use cueline_core::report::{AgeBand, Lift};
use jiff::{SignedDuration, Timestamp};

const SQUAT: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                     feels squishy, then hips shoot up. best 165 kg";
const BENCH: &str = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                     best 95 kg, spotter there";
const PULL: &str = "deadlift 180 kg x 3 @8 side video, hips shoot before it moves, shoulders behind \
                    the bar, best 210 kg";

fn now() -> Timestamp {
    "2026-03-04T18:00:00Z".parse().unwrap()
}

/// A case as it stands after one set.
fn case(number: i64, text: &str) -> Case {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", text);
    let mut case = world.cases_of(&person("mara")).remove(0);
    case.number = number;
    case.id = format!("case-{number}");
    case
}

fn waiting(number: i64, text: &str, minutes: i64) -> SheetLine {
    let mut case = case(number, text);
    case.state = CaseState::WithCoach;
    SheetLine {
        item: Some(QueueItem {
            case_id: case.id.clone(),
            urgency: Urgency::Asked,
            reasons: vec![Reason {
                id: "asked".to_owned(),
                why: "the lifter asked for the coach".to_owned(),
            }],
            since: now() - SignedDuration::from_hours(20),
            promised: Some(now() + SignedDuration::from_hours(4)),
            minutes,
            taken_by: None,
            taken_until: None,
        }),
        case,
        lifter_name: "Mara *the* [squat](x)".to_owned(),
        carried_since: None,
        consent: None,
    }
}

fn answered(number: i64, text: &str) -> SheetLine {
    SheetLine {
        case: case(number, text),
        lifter_name: "Tobi".to_owned(),
        item: None,
        carried_since: None,
        consent: Some(4),
    }
}

fn sheet(lines: &[SheetLine], minutes: u32) -> Sheet {
    let brain = built_in();
    let (catalog, words, rules) = (&brain.catalog, &brain.words, &brain.rules);
    review_sheet(lines, minutes, catalog, words, rules, now())
}

fn numbers(sheet: &Sheet) -> Vec<i64> {
    sheet.cards.iter().map(|card| card.number).collect()
}

#[test]
fn what_was_put_off_comes_first_and_the_rest_lift_by_lift() {
    let mut put_off = waiting(4, PULL, 5);
    put_off.carried_since = Some(now() - SignedDuration::from_hours(24 * 7));
    let lines = [
        waiting(1, BENCH, 5),
        waiting(2, SQUAT, 5),
        answered(3, SQUAT),
        put_off,
    ];
    let sheet = sheet(&lines, 20);
    assert_eq!(numbers(&sheet), [4, 2, 3, 1]);
    assert!(sheet.cards[0].carried_over);
    let starts: Vec<u32> = sheet.cards.iter().map(|card| card.at_minute).collect();
    assert_eq!(starts, [0, 5, 10, 13]);
    assert!(sheet.filled <= 20 && sheet.left_out.is_empty());
}

#[test]
fn with_too_little_time_the_promised_go_before_the_instructive() {
    let lines = [
        answered(1, SQUAT),
        waiting(2, SQUAT, 6),
        waiting(3, BENCH, 7),
    ];
    let short = sheet(&lines, 7);
    assert_eq!(
        numbers(&short),
        [2],
        "one of the two fits, and the shorter spares time"
    );
    assert_eq!(short.left_out, [3]);
    assert_eq!(numbers(&sheet(&lines, 13)), [2, 3]);
}

#[test]
fn stopped_cases_are_named_and_never_on_a_card() {
    let mut stopped = waiting(9, SQUAT, 5);
    stopped.case.state = CaseState::Halted;
    let sheet = sheet(&[stopped, waiting(2, BENCH, 5)], 20);
    assert_eq!(sheet.stopped, [9]);
    assert_eq!(numbers(&sheet), [2]);
    let text = sheet_text(&built_in().words, &sheet).concat();
    let head = text.lines().next().unwrap();
    assert!(
        head.contains('9') && head.contains("not in the session"),
        "{head}"
    );
}

#[test]
fn only_what_the_lifter_agreed_to_may_be_shown_and_never_a_minor_or_a_matter_of_health() {
    let mut agreed = answered(1, SQUAT);
    let shown = sheet(std::slice::from_ref(&agreed), 20);
    assert_eq!(shown.cards[0].showable, Some(4));
    let text = sheet_text(&built_in().words, &shown).concat();
    assert!(text.contains("posted as challenge 4"), "{text}");
    agreed.consent = None;
    assert_eq!(
        sheet(std::slice::from_ref(&agreed), 20).cards[0].showable,
        None
    );
    let mut minor = answered(2, SQUAT);
    minor.case.body.rounds[0].report.age_band = Some(AgeBand::Under18);
    let mut pain = answered(3, SQUAT);
    pain.case.body.rounds[0].flags = vec![("lasting-pain".to_owned(), "knee aches".to_owned())];
    let mut other = answered(4, SQUAT);
    other.case.body.for_whom = Some("your son".to_owned());
    let mut withheld = answered(5, SQUAT);
    withheld.case.body.withheld = true;
    let mut hurting = answered(6, SQUAT);
    let squat = &built_in().catalog.lifts[&Lift::Squat];
    let sign = squat.signs.iter().find(|sign| sign.pain).unwrap();
    hurting.case.body.rounds[0].present.push(sign.id.clone());
    for line in [minor, pain, other, withheld, hurting] {
        let sheet = sheet(&[line], 20);
        assert_eq!(
            sheet.cards[0].showable, None,
            "case {}",
            sheet.cards[0].number
        );
        let text = sheet_text(&built_in().words, &sheet).concat();
        assert!(text.contains("Not for showing"), "{text}");
    }
}

#[test]
fn the_document_has_a_heading_a_case_and_a_name_in_it_stays_a_name() {
    use pulldown_cmark::{Event, HeadingLevel, Parser, Tag};
    let lines = [waiting(1, SQUAT, 5), waiting(2, BENCH, 6)];
    let sheet = sheet(&lines, 20);
    let text = sheet_document(&built_in().words, &sheet, "Wednesday 4 March 2026");
    let events: Vec<Event<'_>> = Parser::new(&text).collect();
    let headings = |wanted: HeadingLevel| {
        let heading = |event: &&Event<'_>| matches!(event, Event::Start(Tag::Heading { level, .. }) if *level == wanted);
        events.iter().filter(heading).count()
    };
    assert_eq!(
        (headings(HeadingLevel::H1), headings(HeadingLevel::H2)),
        (1, 2),
        "{text}"
    );
    let acts = events.iter().any(|event| {
        matches!(
            event,
            Event::Start(Tag::Link { .. } | Tag::Emphasis | Tag::Image { .. })
        )
    });
    assert!(!acts, "a lifter's name is no markup: {text}");
    let shown: String = events
        .iter()
        .filter_map(|event| match event {
            Event::Text(text) => Some(text.as_ref()),
            _ => None,
        })
        .collect();
    assert!(shown.contains("Mara *the* [squat](x)"), "{shown}");
    // Everything a card holds is in the document.
    for card in &sheet.cards {
        for line in card.points.iter().chain(&card.show).chain(&card.loads) {
            assert!(text.contains(line.as_str()), "{line} in {text}");
        }
    }
}

#[test]
fn a_stop_on_another_case_of_the_lifter_keeps_a_set_from_being_shown() {
    let mut stopped = waiting(9, BENCH, 5);
    stopped.case.state = CaseState::Halted;
    let both = sheet(&[stopped, answered(1, SQUAT)], 20);
    assert_eq!(numbers(&both), [1]);
    assert_eq!(both.cards[0].showable, None);
}

#[test]
fn a_kept_sheet_stays_in_its_order_and_drops_what_was_stopped_since() {
    let brain = built_in();
    let mut stopped = waiting(7, SQUAT, 5);
    stopped.case.state = CaseState::Halted;
    let lines = [
        waiting(4, PULL, 5),
        stopped,
        waiting(2, SQUAT, 6),
        answered(3, BENCH),
    ];
    let (catalog, words, rules) = (&brain.catalog, &brain.words, &brain.rules);
    let kept = kept_sheet(&lines, 20, catalog, words, rules, now());
    assert_eq!(numbers(&kept), [4, 2, 3]);
    assert_eq!(kept.stopped, [7]);
    let starts: Vec<u32> = kept.cards.iter().map(|card| card.at_minute).collect();
    assert_eq!(starts, [0, 5, 11]);
    assert!(kept.left_out.is_empty());
}

#[test]
fn a_minor_is_given_no_loads_on_the_sheet_either_and_a_lifted_stop_no_technique() {
    let mut minor = waiting(1, SQUAT, 5);
    minor.case.body.rounds[0].report.age_band = Some(AgeBand::Under18);
    let card = sheet(&[minor], 20).cards.remove(0);
    let follows = |line: &&String| line.contains("Would follow");
    assert!(
        card.loads
            .iter()
            .filter(follows)
            .all(|line| !line.contains("a side")),
        "{card:#?}"
    );
    let mut lifted = waiting(2, SQUAT, 5);
    lifted.case.body.rounds[0].level = cueline_core::triage::Level::Clinician;
    let card = sheet(&[lifted], 20).cards.remove(0);
    assert!(
        !card.loads.iter().any(|line| line.contains("Would follow")),
        "{card:#?}"
    );
    assert!(
        !card.points.iter().any(|line| line.starts_with("Cue")),
        "{card:#?}"
    );
}

#[test]
fn a_card_has_what_the_coach_needs_and_a_name_cannot_act() {
    let text = sheet_text(&built_in().words, &sheet(&[waiting(1, SQUAT, 5)], 20)).concat();
    for part in [
        "Minute 0",
        "Case 1",
        "140 kg (309 lb) x 3",
        "My view:",
        "95 kg (209 lb), 25 + 10 + 2.5 a side",
        "the lifter asked for the coach",
        "Best single about 162 kg",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert!(text.contains(r"\*the\* \[squat\](x)"), "{text}");
}

#[test]
fn a_long_sheet_comes_in_parts_that_a_platform_takes() {
    let lines: Vec<SheetLine> = (1..=40).map(|number| waiting(number, SQUAT, 3)).collect();
    let sheet = sheet(&lines, 120);
    assert_eq!(sheet.cards.len(), 40);
    let parts = sheet_text(&built_in().words, &sheet);
    assert!(parts.len() > 3);
    assert!(parts.iter().all(|part| part.chars().count() <= 4_000));
}

#[test]
fn the_same_cases_in_another_order_make_the_same_sheet() {
    let mut lines = vec![
        waiting(1, BENCH, 4),
        waiting(2, SQUAT, 6),
        answered(3, PULL),
    ];
    let one = sheet(&lines, 20);
    lines.reverse();
    assert_eq!(sheet(&lines, 20), one);
}

#[test]
fn a_sheet_is_asked_for_in_plain_words() {
    let word = |text: &str| {
        let said: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
        sheet_word(&said)
    };
    assert_eq!(
        word("review sheet 20 minutes"),
        Some(CoachWord::Sheet(Some(20)))
    );
    assert_eq!(word("Review sheet"), Some(CoachWord::Sheet(None)));
    assert_eq!(
        word("a review sheet for 45 min please"),
        Some(CoachWord::Sheet(Some(45)))
    );
    assert_eq!(word("review the sheet music 20"), None);
    assert_eq!(word("review sheet 20 30"), None);
}
