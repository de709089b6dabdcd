//! The profile in words: what is kept of a lifter, and what was just told.

use super::{Words, escape};
use crate::record::Lifter;
use cueline_core::quantity::{MassUnit, plain};
use cueline_core::report::{AgeBand, Best, Competes, Goal, Lift, Plates, SetReport};

/// One fact with its name.
fn fact(words: &Words, key: &str, value: &str) -> String {
    words.say(key, &[("value", value)])
}

/// A fact of one lift.
fn of_lift(words: &Words, key: &str, lift: &str, value: &str) -> String {
    words.say(key, &[("lift", lift), ("value", value)])
}

/// Plates as kept: `bar 20 kg; 20 (6 pairs), 10 (2 pairs)`.
fn plates(plates: &Plates) -> String {
    let pairs: Vec<String> = plates
        .pairs
        .iter()
        .map(|(size, pairs)| {
            let noun = if *pairs == 1 { "pair" } else { "pairs" };
            format!("{} ({pairs} {noun})", plain(*size))
        })
        .collect();
    format!(
        "bar {} {}; {}",
        plain(plates.bar),
        plates.unit,
        pairs.join(", ")
    )
}

/// Months as people say them.
fn training(months: u32) -> String {
    match months {
        0..=23 => format!("{months} months"),
        _ => format!("{} years", months / 12),
    }
}

const fn competes(competes: Competes) -> &'static str {
    match competes {
        Competes::Yes => "yes",
        Competes::No => "no",
        Competes::Planned => "a meet is planned",
    }
}

const fn age(band: AgeBand) -> &'static str {
    match band {
        AgeBand::Under18 => "under 18",
        AgeBand::Adult => "18 to 59",
        AgeBand::SixtyPlus => "60 and over",
    }
}

fn best(words: &Words, lift: &str, best: &Best) -> String {
    of_lift(words, "profile.best", lift, &best.mass().both())
}

fn goal(words: &Words, lift: &str, goal: &Goal) -> String {
    of_lift(words, "profile.goal", lift, &goal.load.both())
}

/// What was just told, fact by fact.
pub fn profile_facts(
    words: &Words,
    report: &SetReport,
    unit: Option<MassUnit>,
    usual_plates: bool,
) -> Vec<String> {
    let lift = report.lift.map_or("lift", Lift::name);
    let mut facts = Vec::new();
    facts.extend(unit.map(|unit| fact(words, "profile.unit", &unit.to_string())));
    let body = report.body_mass;
    facts.extend(body.map(|mass| fact(words, "profile.body_mass", &mass.both())));
    let height = report.stature;
    facts.extend(height.map(|height| fact(words, "profile.stature", &height.both())));
    facts.extend(report.best.as_ref().map(|known| best(words, lift, known)));
    facts.extend(report.goal.as_ref().map(|known| goal(words, lift, known)));
    let months = report.training_months.map(training);
    facts.extend(months.map(|months| fact(words, "profile.training", &months)));
    facts.extend(
        report
            .age_band
            .map(|band| fact(words, "profile.age", age(band))),
    );
    facts.extend(
        report
            .competes
            .map(|said| fact(words, "profile.competes", competes(said))),
    );
    let rules = report.rule_set.as_ref();
    facts.extend(rules.map(|rules| fact(words, "profile.rules", &escape(rules))));
    facts.extend(
        report
            .plates
            .as_ref()
            .map(|own| fact(words, "profile.plates", &plates(own))),
    );
    if usual_plates {
        facts.push(words.say("profile.usual_plates", &[]));
    }
    facts
}

/// Everything kept of a lifter, line by line, and how to correct it.
pub fn profile_lines(words: &Words, lifter: &Lifter, zone: Option<&str>) -> Vec<String> {
    let mut lines = vec![words.say("profile.head", &[])];
    let facts = profile_of(words, lifter, zone);
    lines.extend(facts.iter().map(|fact| format!("- {fact}")));
    lines.push(words.say("profile.correct", &[]));
    lines
}

/// Everything kept of a lifter, fact by fact.
pub fn profile_of(words: &Words, lifter: &Lifter, zone: Option<&str>) -> Vec<String> {
    let profile = &lifter.profile;
    let told = SetReport {
        body_mass: profile.body_mass,
        stature: profile.stature,
        training_months: profile.training.map(|(months, _)| months),
        age_band: profile.age_band,
        competes: profile.competes,
        rule_set: profile.rule_set.clone(),
        plates: profile.plates.clone(),
        ..SetReport::default()
    };
    let mut facts = profile_facts(words, &told, profile.unit, profile.plates.is_none());
    for lift in Lift::ALL {
        let known = profile.bests.get(lift.word());
        facts.extend(known.map(|known| best(words, lift.name(), known)));
        let known = profile.goals.get(lift.word());
        facts.extend(known.map(|known| goal(words, lift.name(), known)));
    }
    facts.push(fact(words, "profile.zone", zone.unwrap_or("not said")));
    let reminders = if lifter.reminders { "on" } else { "off" };
    facts.push(fact(words, "profile.reminders", reminders));
    facts
}
