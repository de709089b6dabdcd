//! Hazards of a set that need no symptom, from the facts of the report and from the words.

use super::Hazard;
use crate::catalog::{Catalog, HazardLevel, HazardRule};
use crate::reading::Text;
use crate::report::{Grip, SetReport, Shoes};

/// Every hazard that applies, and whether one of them wants the coach's look.
pub(super) fn hazards(
    text: &Text<'_>,
    report: &SetReport,
    catalog: &Catalog,
) -> (Vec<Hazard>, bool) {
    let mut found: Vec<(&HazardRule, Hazard)> = Vec::new();
    for rule in &catalog.hazards.rules {
        if applies(rule, report, text) {
            found.push((
                rule,
                Hazard {
                    id: rule.id.clone(),
                    note: rule.note.clone(),
                },
            ));
        }
    }
    let coach = found
        .iter()
        .any(|(rule, _)| rule.level == HazardLevel::Coach);
    let found = found.into_iter().map(|(_, hazard)| hazard).collect();
    (found, coach)
}

fn applies(rule: &HazardRule, report: &SetReport, text: &Text<'_>) -> bool {
    let lift = rule.lifts.is_empty() || report.lift.is_some_and(|lift| rule.lifts.contains(&lift));
    let facts = rule.facts.iter().all(|name| fact(report, name));
    let words = rule.groups.is_empty() || rule.groups.iter().any(|group| text.says(group));
    let effort = rule.effort_from.is_none_or(|from| {
        report
            .effort
            .is_some_and(|effort| effort.rpe().high >= from)
            || report.missed.is_some()
    });
    let says_anything = !rule.facts.is_empty() || !rule.groups.is_empty();
    says_anything && lift && facts && words && effort
}

/// Whether the report says a fact; what was not said does not count.
fn fact(report: &SetReport, name: &str) -> bool {
    let setting = &report.setting;
    let gear = &setting.equipment;
    match name {
        "alone" => setting.alone == Some(true),
        "spotter" => setting.spotter == Some(true),
        "no-spotter" => setting.spotter == Some(false),
        "no-safeties" => setting.safeties == Some(false),
        "collars" => setting.collars == Some(true),
        "thumbless" => report.variant.grip == Some(Grip::Thumbless),
        "hand-off" => setting.hand_off == Some(true),
        "bands" => gear.bands == Some(true),
        "running-shoes" => gear.shoes == Some(Shoes::Running),
        "straps" => gear.straps == Some(true) || report.variant.grip == Some(Grip::Straps),
        "belt" => gear.belt == Some(true),
        "wraps" => gear.wraps == Some(true),
        "missed" => report.missed.as_ref().is_some_and(|miss| miss.reps >= 1),
        "missed-twice" => report.missed.as_ref().is_some_and(|miss| miss.reps >= 2),
        _ => false,
    }
}
