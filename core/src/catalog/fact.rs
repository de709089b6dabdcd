//! The facts a condition may ask of a set report, and how an answered fact is written into one.

use super::condition::ANSWER;
use crate::report::{AgeBand, BarPosition, Competes, Grip, Lift, SetReport, Shoes, Stance, View};

/// Lower case, with spaces where the condition has hyphens.
pub(super) fn spaced(text: &str) -> String {
    text.replace('-', " ").to_lowercase()
}

/// The figure a report holds under a key.
pub(super) fn number_of(key: &str, report: &SetReport) -> Option<f64> {
    match key {
        "training_months" => report.training_months.map(f64::from),
        "effort" => report.effort.map(|effort| effort.rpe().middle()),
        "reps" => report.reps.map(f64::from),
        "pause_seconds" => report.variant.pause_seconds,
        "load_percent" => {
            let best = report.best.as_ref()?.mass().kg();
            let load = report.load?.kg();
            (best > 0.0).then(|| load / best * 100.0)
        }
        _ => None,
    }
}

/// Whether a report says `word` under a key.
pub(super) fn word_of(key: &str, word: &str, report: &SetReport) -> Option<bool> {
    let setting = &report.setting;
    let worn = &setting.equipment;
    let told = match key {
        "alone" => setting.alone,
        "spotter" => setting.spotter,
        "safeties" => setting.safeties,
        "collars" => setting.collars,
        "hand_off" => setting.hand_off,
        "belt" => worn.belt,
        "sleeves" => worn.sleeves,
        "wraps" => worn.wraps,
        "bands" => worn.bands,
        "straps" => worn
            .straps
            .or_else(|| report.variant.grip.map(|g| g == Grip::Straps)),
        "missed" => report.missed.as_ref().map(|miss| miss.reps > 0),
        "limit" => limit(report),
        "meet_soon" => meet_soon(report),
        "long_arms" => yes_or_no(report.answers.get("q-bp-arms")?),
        _ => return choice_of(key, word, report),
    };
    told.map(|yes| yes == (word == "yes"))
}

/// Whether a report says `word` under a key with several words.
fn choice_of(key: &str, word: &str, report: &SetReport) -> Option<bool> {
    match key {
        "lift" => report.lift.map(|lift| lift.word() == word),
        "bar" if word == "ordinary" => {
            let bar = report.variant.bar_position?;
            Some(bar != BarPosition::Special)
        }
        "bar" => report.variant.bar_position.map(|bar| bar_word(bar) == word),
        "stance" => report.variant.stance.map(|s| stance_word(s) == word),
        "grip" if word == "straps" && report.setting.equipment.straps == Some(true) => Some(true),
        "grip" => report.variant.grip.map(|grip| grip_word(grip) == word),
        "shoes" => report
            .setting
            .equipment
            .shoes
            .map(|s| shoes_word(s) == word),
        "age" => report.age_band.map(|age| age_word(age) == word),
        "view" => report.view.map(|view| view_word(view) == word),
        "competes" => report.competes.map(|competes| match word {
            "yes" => competes != Competes::No,
            "no" => competes == Competes::No,
            _ => competes == Competes::Planned,
        }),
        "rules" => report
            .rule_set
            .as_ref()
            .map(|rules| spaced(rules).contains(word)),
        "feet_rule" => feet_rule(report.rule_set.as_ref()?).map(|rule| rule == word),
        "plates" => {
            let said = spaced(report.answers.get("q-dl-gym")?);
            let told = ["iron", "bumper"]
                .into_iter()
                .find(|plates| said.contains(plates));
            told.map(|plates| plates == word)
        }
        "since" => report
            .answers
            .get("q-all-since")
            .map(|since| spaced(since) == word),
        _ => {
            let question = key.strip_prefix(ANSWER)?;
            report
                .answers
                .get(question)
                .map(|choice| spaced(choice) == word)
        }
    }
}

/// What the lifter's rules say about feet on the bench, as far as their words tell.
fn feet_rule(rules: &str) -> Option<&'static str> {
    let rules = spaced(rules);
    ["toes", "flat"]
        .into_iter()
        .find(|word| rules.contains(word))
}

/// Effort (RPE) from which a set is at the limit (common practice, no source).
pub(crate) const LIMIT_EFFORT: f64 = 9.5;

/// Share of the best single from which a set is at the limit (common practice, no source).
pub(crate) const LIMIT_LOAD: f64 = 0.95;

/// Whether the set was at the limit and came up.
fn limit(report: &SetReport) -> Option<bool> {
    if report.missed.as_ref().is_some_and(|miss| miss.reps > 0) {
        return Some(false);
    }
    let effort = number_of("effort", report).map(|effort| effort >= LIMIT_EFFORT);
    let share = number_of("load_percent", report).map(|share| share >= 100.0 * LIMIT_LOAD);
    match (effort, share) {
        (Some(true), _) | (_, Some(true)) => Some(true),
        (Some(false), _) => Some(false),
        // A set of many may end at the limit with any load.
        (None, Some(false)) if report.reps == Some(1) => Some(false),
        (None, _) => None,
    }
}

/// Whether a meet is within 12 weeks: only an answer says so; who does not compete has none.
fn meet_soon(report: &SetReport) -> Option<bool> {
    report
        .answers
        .iter()
        .filter(|(question, _)| question.ends_with("-meet"))
        .find_map(|(_, choice)| yes_or_no(choice))
        .or_else(|| (report.competes == Some(Competes::No)).then_some(false))
}

fn yes_or_no(choice: &str) -> Option<bool> {
    match choice.trim().to_lowercase().as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// Writes `word` under a key into the report, when its field is still empty.
pub(super) fn record(key: &str, word: &str, report: &mut SetReport) {
    let setting = &mut report.setting;
    let place = match key {
        "alone" => &mut setting.alone,
        "spotter" => &mut setting.spotter,
        "safeties" => &mut setting.safeties,
        "collars" => &mut setting.collars,
        "hand_off" => &mut setting.hand_off,
        "belt" => &mut setting.equipment.belt,
        "sleeves" => &mut setting.equipment.sleeves,
        "wraps" => &mut setting.equipment.wraps,
        "straps" => &mut setting.equipment.straps,
        "bands" => &mut setting.equipment.bands,
        _ => return record_choice(key, word, report),
    };
    if place.is_none() {
        *place = Some(word == "yes");
    }
}

/// Writes a fact with several words into its field, when the field is still empty.
fn record_choice(key: &str, word: &str, report: &mut SetReport) {
    fn fill<T>(place: &mut Option<T>, value: Option<T>) {
        if place.is_none() {
            *place = value;
        }
    }
    let variant = &mut report.variant;
    match key {
        "lift" => fill(&mut report.lift, find(Lift::ALL, Lift::word, word)),
        "bar" => fill(&mut variant.bar_position, find(BARS, bar_word, word)),
        "stance" => fill(&mut variant.stance, find(STANCES, stance_word, word)),
        "grip" => fill(&mut variant.grip, find(GRIPS, grip_word, word)),
        "shoes" => fill(
            &mut report.setting.equipment.shoes,
            find(SHOES, shoes_word, word),
        ),
        "age" => fill(&mut report.age_band, find(AGES, age_word, word)),
        "view" => fill(&mut report.view, find(VIEWS, view_word, word)),
        "competes" => fill(&mut report.competes, find(COMPETES, competes_word, word)),
        "rules" => fill(&mut report.rule_set, Some(word.to_owned())),
        "feet_rule" if word == "flat" => fill(&mut report.rule_set, Some("feet flat".into())),
        "feet_rule" => fill(&mut report.rule_set, Some("toes allowed".into())),
        _ => {}
    }
}

/// The member of `all` that is written as `word`.
fn find<T: Copy, const N: usize>(
    all: [T; N],
    spelling: fn(T) -> &'static str,
    word: &str,
) -> Option<T> {
    all.into_iter().find(|one| spelling(*one) == word)
}

const BARS: [BarPosition; 4] = [
    BarPosition::High,
    BarPosition::Low,
    BarPosition::Front,
    BarPosition::Special,
];
const STANCES: [Stance; 2] = [Stance::Conventional, Stance::Sumo];
const GRIPS: [Grip; 7] = [
    Grip::Double,
    Grip::Mixed,
    Grip::Hook,
    Grip::Straps,
    Grip::Thumbless,
    Grip::Close,
    Grip::Wide,
];
const SHOES: [Shoes; 3] = [Shoes::Flat, Shoes::Running, Shoes::Heeled];
const AGES: [AgeBand; 3] = [AgeBand::Under18, AgeBand::Adult, AgeBand::SixtyPlus];
const VIEWS: [View; 4] = [View::Side, View::Front, View::Rear, View::ThreeQuarter];
const COMPETES: [Competes; 3] = [Competes::Yes, Competes::No, Competes::Planned];

const fn bar_word(bar: BarPosition) -> &'static str {
    match bar {
        BarPosition::High => "high",
        BarPosition::Low => "low",
        BarPosition::Front => "front",
        BarPosition::Special => "special",
    }
}

const fn stance_word(stance: Stance) -> &'static str {
    match stance {
        Stance::Conventional => "conventional",
        Stance::Sumo => "sumo",
    }
}

const fn grip_word(grip: Grip) -> &'static str {
    match grip {
        Grip::Double => "double",
        Grip::Mixed => "mixed",
        Grip::Hook => "hook",
        Grip::Straps => "straps",
        Grip::Thumbless => "thumbless",
        Grip::Close => "close",
        Grip::Wide => "wide",
    }
}

const fn shoes_word(shoes: Shoes) -> &'static str {
    match shoes {
        Shoes::Flat => "flat",
        Shoes::Running => "running",
        Shoes::Heeled => "heeled",
    }
}

const fn age_word(age: AgeBand) -> &'static str {
    match age {
        AgeBand::Under18 => "under-18",
        AgeBand::Adult => "adult",
        AgeBand::SixtyPlus => "60-plus",
    }
}

const fn view_word(view: View) -> &'static str {
    match view {
        View::Side => "side",
        View::Front => "front",
        View::Rear => "rear",
        View::ThreeQuarter => "three-quarter",
    }
}

const fn competes_word(competes: Competes) -> &'static str {
    match competes {
        Competes::Yes => "yes",
        Competes::No => "no",
        Competes::Planned => "planned",
    }
}
