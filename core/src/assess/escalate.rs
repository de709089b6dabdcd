//! When a person has to look: the escalations of the catalog that this set raises.

use super::{PastRound, Set};
use crate::catalog::LiftBook;
use crate::diagnosis::Raised;
use crate::load::{Plausibility, UnitAction, plausible, unit_doubt};
use crate::quantity::Mass;
use crate::reading::{self, FlagLevel, TextSpan};
use crate::report::{AgeBand, Lift};

/// Share of the estimate from which a bench press wants a spotter (common practice, no source).
const HEAVY_SHARE: f64 = 0.9;
/// Signs kept through this many sets in a row are not a matter of one more cue.
const SAME_FAULT_ROUNDS: usize = 3;
/// A step of the estimate beyond this share within the case is looked at (common practice).
const ESTIMATE_STEP: f64 = 0.075;

/// Misses within this many days belong together.
const MISS_DAYS: i32 = 14;
/// A miss under this share of the best single is looked at.
const MISS_SHARE: f64 = 0.85;
/// Under this many months a lifter of sixty and over is new to lifting (common practice).
const NEW_MONTHS: u32 = 12;
/// A goal within this many days is a plan for now.
const SOON_DAYS: i32 = 14;
/// A planned load over this many times the best single is a jump.
const PLANNED_STEP: f64 = 1.05;

/// What a set raises.
pub(super) struct Escalations {
    /// Every escalation, in a fixed order, each once.
    pub(super) all: Vec<Raised>,
    /// Ids raised by something else than a flag of the words, which has its own level.
    pub(super) direct: Vec<String>,
}

/// Everything that has a person look. `asks` tells that a question is open, whose answer comes
/// before the coach's time.
pub(super) fn raise(set: &Set<'_>, asks: bool) -> Escalations {
    let mut all = Vec::new();
    flags(set, &mut all);
    let direct = direct(set, asks);
    let ids = direct.iter().map(|raised| raised.id.clone()).collect();
    for raised in direct {
        push(&mut all, &raised.id, &raised.why);
    }
    for raised in &mut all {
        let mut known = set.catalog.escalations.iter();
        if let Some(rule) = known.find(|rule| rule.id == raised.id) {
            raised.see.clone_from(&rule.coach_sees);
        }
    }
    Escalations { all, direct: ids }
}

/// What is raised by signs, answers, figures and history.
fn direct(set: &Set<'_>, asks: bool) -> Vec<Raised> {
    let mut raised = Vec::new();
    pain(set, &mut raised);
    words(set, &mut raised);
    answers(set, &mut raised);
    older(set, &mut raised);
    misses(set, &mut raised);
    jump(set, &mut raised);
    planned(set, &mut raised);
    equipment(set, &mut raised);
    same_fault(set, &mut raised);
    if !set.problems.is_empty() {
        // A figure that cannot be true is asked for again; nothing follows from it.
        return raised;
    }
    disputed(set, asks, &mut raised);
    // What an answer may still settle is asked first.
    let settles = asks && !set.diagnosis.conflict;
    if let Some(why) = set.diagnosis.unsure.as_ref().filter(|_| !settles) {
        push(&mut raised, "esc-conflict", why);
    }
    unit(set, asks, &mut raised);
    for item in plausible(&set.report) {
        match item {
            Plausibility::Coach(why) => push(&mut raised, "esc-jump", &why),
            Plausibility::Ask(why) if !asks => push(&mut raised, "esc-jump", &why),
            Plausibility::Ask(_) => {}
        }
    }
    raised
}

/// Adds one unless it is there.
fn push(raised: &mut Vec<Raised>, id: &str, why: &str) {
    if !raised.iter().any(|known| known.id == id) {
        raised.push(Raised {
            id: id.to_owned(),
            why: why.to_owned(),
            see: String::new(),
        });
    }
}

/// Red flags name the escalation they belong to.
fn flags(set: &Set<'_>, raised: &mut Vec<Raised>) {
    for flag in &set.triage.flags {
        let id = match (flag.flag.as_str(), flag.level) {
            (_, FlagLevel::Emergency) => "esc-emergency",
            ("minor", _) => "esc-minor",
            ("surgery", _) => "esc-postop",
            ("pregnancy" | "postpartum" | "leak", _) => "esc-preg",
            ("heart-bp" | "hernia" | "eye" | "thinner", _) => "esc-medical",
            ("nerve-leg" | "nerve-arm" | "numb-hand" | "cauda", _) => "esc-neuro",
            ("eating" | "self-harm", _) => "esc-mind",
            ("lasting-pain" | "night-pain", _) => "esc-pain-week",
            ("heat", _) => "esc-weightcut",
            (_, FlagLevel::Clinician) => "esc-sharp-pain",
            _ => "esc-medical",
        };
        let why = if flag.quote.is_empty() {
            format!("ticked: {}", flag.flag)
        } else {
            format!("{}: \"{}\"", flag.flag, flag.quote)
        };
        push(raised, id, &why);
    }
    if set.report.age_band == Some(AgeBand::Under18) {
        push(raised, "esc-minor", "the lifter is under 18");
    }
}

/// A pain sign that is there: the coach sees it before any technique is talked about.
fn pain(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let Some(book) = book(set) else { return };
    let there = |id: &str| {
        let mut signs = set.signs.iter();
        signs.any(|view| view.sign == id && view.probability >= 0.5)
    };
    let pain = |id: &str| book.sign(id).is_some_and(|sign| sign.pain) && there(id);
    let told: Vec<TextSpan> = set
        .reading
        .signs
        .iter()
        .filter(|mention| pain(&mention.sign))
        .map(|mention| mention.span)
        .collect();
    let sharp = !told.is_empty() && set.text.sharp(&told);
    for view in set.signs.iter().filter(|view| view.probability >= 0.5) {
        if let Some(sign) = book.sign(&view.sign).filter(|sign| sign.pain) {
            let id = if sharp {
                "esc-sharp-pain"
            } else if set.brought_by_position(sign) {
                continue;
            } else {
                "esc-pain-week"
            };
            push(raised, id, &format!("pain: {}", sign.plain));
        }
    }
}

/// What the lifter writes that is for a person: a wish to change style, a fault that stays.
fn words(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let said = set.report.words.as_deref().unwrap_or_default();
    for mention in &set.reading.summons {
        let quote = reading::quote(said, mention.span);
        push(raised, &mention.escalation, &format!("\"{quote}\""));
    }
}

/// The lifter tells a sign one way and the ticked boxes the other, and no second look settles it.
fn disputed(set: &Set<'_>, asks: bool, raised: &mut Vec<Raised>) {
    let looked_again = set.history.settled.iter().any(|field| field == "view");
    if !set.disputed.is_empty() && (looked_again || !asks) {
        let why = format!(
            "words and ticks disagree on this: {}",
            set.disputed.join("; ")
        );
        push(raised, "esc-conflict", &why);
    }
}

/// Sixty and over and new to lifting.
fn older(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let new = set.report.training_months.is_some_and(|m| m < NEW_MONTHS);
    if set.report.age_band == Some(AgeBand::SixtyPlus) && new {
        push(raised, "esc-older", "60 or over and new to lifting");
    }
}

/// Choices of answered questions that name an escalation.
fn answers(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let Some(book) = book(set) else { return };
    for (id, said) in &set.report.answers {
        let choice = book.question(id).and_then(|question| question.choice(said));
        if let Some(escalation) = choice.and_then(|choice| choice.escalation.as_deref()) {
            push(raised, escalation, &format!("answered \"{said}\""));
        }
    }
}

/// Two or more misses within two weeks, this set among them, or one under 85 %.
fn misses(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let now = set.report.missed.as_ref().map_or(0, |miss| miss.reps);
    if now == 0 {
        return;
    }
    let recent = |round: &&PastRound| {
        let ago = set.today.since(round.date).map(|span| span.get_days());
        ago.is_ok_and(|days| days <= MISS_DAYS)
    };
    let rounds = set.history.rounds.iter().filter(recent);
    let all = now + rounds.map(|round| round.missed).sum::<u32>();
    if all >= 2 {
        push(raised, "esc-misses", &format!("{all} missed"));
    }
    if let (Some(best), Some(load)) = (&set.report.best, set.report.load)
        && load.kg() < MISS_SHARE * best.mass().kg()
    {
        push(raised, "esc-misses", "a miss under 85 % of the best single");
    }
}

/// The estimate stepped further than training explains.
fn jump(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let last = set.history.rounds.iter().rev().find_map(|r| r.estimate_kg);
    if let (Some(now), Some(last)) = (&set.estimate, last) {
        // Only what even the lower end of the estimate cannot explain counts as a step.
        if now.low_kg > last * (1.0 + ESTIMATE_STEP) {
            let unit = now.unit;
            let why = format!(
                "the estimate went from {:.0} to {:.0} {unit}",
                last / unit.kg(),
                now.kg / unit.kg()
            );
            push(raised, "esc-jump", &why);
        }
    }
}

/// A load much above the best single, planned for the next days, is a jump.
fn planned(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let Some(best) = &set.report.best else { return };
    let unit = set.report.load.map_or(best.unit, |load| load.unit);
    for planned in &set.reading.planned {
        let load = Mass::new(planned.value, planned.unit.unwrap_or(unit));
        if load.kg() > best.mass().kg() * PLANNED_STEP {
            let best = best.mass().both();
            let why = format!("{} planned next, the best so far is {best}", load.both());
            push(raised, "esc-jump", &why);
        }
    }
    let Some(goal) = &set.report.goal else { return };
    let soon = goal.by.is_some_and(|by| {
        let days = by.since(set.today).map(|span| span.get_days());
        days.is_ok_and(|days| (0..=SOON_DAYS).contains(&days))
    });
    if soon && goal.load.kg() > best.mass().kg() * PLANNED_STEP {
        let why = format!(
            "{} planned, the best so far is {}",
            goal.load.both(),
            best.mass().both()
        );
        push(raised, "esc-jump", &why);
    }
}

/// Kilograms and pounds may be mixed up, and nobody is asked, or the answer leaves the doubt.
fn unit(set: &Set<'_>, asks: bool, raised: &mut Vec<Raised>) {
    let settled = set.history.settled.iter().any(|field| field == "load.unit");
    let known = set.history.rounds.iter().rev().find_map(|r| r.estimate_kg);
    if let Some(doubt) = unit_doubt(&set.report, known)
        && (settled || !asks || doubt.action == UnitAction::Coach)
    {
        let why = format!("the load may be in the other unit ({})", doubt.then.both());
        push(raised, "esc-jump", &why);
    }
}

/// A heavy bench press with nobody and nothing to catch the bar.
fn equipment(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let setting = &set.report.setting;
    let unguarded = setting.spotter != Some(true)
        && setting.safeties != Some(true)
        && (setting.alone == Some(true) || setting.safeties == Some(false));
    let heavy = match (&set.estimate, set.report.load) {
        (Some(estimate), Some(load)) => load.kg() >= HEAVY_SHARE * estimate.kg,
        _ => false,
    };
    if set.report.lift == Some(Lift::Bench) && unguarded && heavy {
        push(
            raised,
            "esc-equip",
            "bench press at 90 % or more with no spotter and no safeties",
        );
    }
}

/// The same first cause through several sets, each with its correction.
fn same_fault(set: &Set<'_>, raised: &mut Vec<Raised>) {
    let Some(first) = set.diagnosis.chosen.first() else {
        return;
    };
    let same = set
        .history
        .rounds
        .iter()
        .rev()
        .take_while(|round| round.chosen.first() == Some(first))
        .count();
    let failed = set
        .history
        .rounds
        .iter()
        .filter(|round| round.failed)
        .count();
    if same + 1 >= SAME_FAULT_ROUNDS || failed >= 2 {
        push(
            raised,
            "esc-same-fault",
            "the same signs after the corrections given so far",
        );
    }
}

/// The book of the set's lift.
fn book<'a>(set: &'a Set<'_>) -> Option<&'a LiftBook> {
    set.report
        .lift
        .and_then(|lift| set.catalog.lifts.get(&lift))
}
