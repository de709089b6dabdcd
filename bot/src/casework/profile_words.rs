//! The profile told and corrected by saying so: "my bodyweight is 84 kg now", "I train in lb", "my
//! best squat is 180". `my profile` shows what is kept.

use super::matching::is_new_set;
use super::plates_said::{PlatesSaid, plates_said};
use super::turn::{Turn, problem_line};
use crate::record::CaseState;
use crate::wording::{escape, profile_facts, profile_lines};
use cueline_core::load::usual_plates;
use cueline_core::quantity::{Mass, MassUnit, plain};
use cueline_core::reading::{FlagLevel, Reading};
use cueline_core::report::{Best, Goal, Lift, Plates, SetReport, check};

/// Longest text taken for a word about the profile, in bytes.
const MOST_TEXT: usize = 240;
/// Pairs of a plate nobody counted.
const ENOUGH_PAIRS: u32 = 6;
/// Longest name of a rule set, in code points.
const MOST_RULES: usize = 60;

/// What is told of the lifter beyond a set.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Told {
    /// The unit of everything from now on.
    pub(super) unit: Option<MassUnit>,
    /// Body, bests, goals, training, meets, rules, plates, as in a report.
    pub(super) report: SetReport,
    /// The usual plates again.
    pub(super) usual_plates: bool,
}

impl Told {
    /// Facts as in a report.
    pub(super) fn of(report: SetReport) -> Self {
        Self {
            report,
            ..Self::default()
        }
    }
}

/// What stands between the facts and the profile.
pub(super) enum Open {
    /// The unit of this figure, with a line that says it right.
    Unit(f64, &'static str),
    /// The lift of a best single or a goal.
    Lift,
}

/// Takes a text that tells of the lifter and of no set; false when it is something else.
pub(super) fn taken(turn: &mut Turn<'_>, text: &str, reading: &Reading) -> bool {
    let words = turn.known.words;
    let told = match told(turn, text, reading) {
        None => return false,
        Some(Err(Open::Unit(number, like))) => {
            let values = [("number", plain(number)), ("like", like.to_owned())];
            let values = values
                .each_ref()
                .map(|(name, value)| (*name, value.as_str()));
            turn.keep_lifter();
            turn.reply("first", words.say("profile.which_unit", &values), None);
            return true;
        }
        Some(Err(Open::Lift)) => {
            turn.keep_lifter();
            turn.reply("first", words.say("profile.which_lift", &[]), None);
            return true;
        }
        Some(Ok(told)) => told,
    };
    if let Err(problems) = check(&told.report) {
        let lines: Vec<String> = problems.iter().map(|p| problem_line(words, p)).collect();
        turn.keep_lifter();
        turn.reply("first", lines.join("\n"), None);
        return true;
    }
    keep(turn, &told);
    let facts = profile_facts(words, &told.report, told.unit, told.usual_plates);
    turn.keep_lifter();
    let text = words.say("profile.kept", &[("facts", &facts.join("; "))]);
    turn.reply("first", text, None);
    true
}

/// Reads what is told; none when the text is about something else.
fn told(turn: &Turn<'_>, text: &str, reading: &Reading) -> Option<Result<Told, Open>> {
    if text.len() > MOST_TEXT || text.contains(['?', '\n']) || reading.level > FlagLevel::None {
        return None;
    }
    let said = words(text);
    if let Some(unit) = unit_said(&said) {
        return Some(Ok(Told {
            unit: Some(unit),
            ..Told::default()
        }));
    }
    if let Some(rules) = rules_said(text) {
        return Some(Ok(Told::of(SetReport {
            rule_set: Some(rules),
            ..SetReport::default()
        })));
    }
    if let Some(plates) = plates_said(text) {
        return Some(with_plates(turn, &plates));
    }
    let of_meets = reading.fields.competes.is_some() && tells_of_meets(&said);
    if of_a_set(reading) || !(begins_as_told(&said) || of_meets) {
        return None;
    }
    from_reading(turn, reading)
}

/// The words are about a set.
fn of_a_set(reading: &Reading) -> bool {
    let fields = &reading.fields;
    !reading.signs.is_empty()
        || is_new_set(reading)
        || fields.load.is_some()
        || reading.bare_load.is_some()
        || fields.reps.is_some()
        || fields.effort.is_some()
        || fields.missed.is_some()
        || reading.other_exercise.is_some()
}

/// A unit of mass stands in the text.
fn says_unit(text: &str) -> bool {
    let lower = text.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphabetic());
    words.any(|word| {
        matches!(
            word,
            "kg" | "kgs" | "kilo" | "kilos" | "kilograms" | "lb" | "lbs" | "pounds"
        )
    })
}

/// What the reader found of the person.
fn from_reading(turn: &Turn<'_>, reading: &Reading) -> Option<Result<Told, Open>> {
    let (fields, unit) = (&reading.fields, turn.lifter.profile.unit);
    if let Some(number) = reading.bare_best.filter(|_| unit.is_none()) {
        return Some(Err(Open::Unit(number, "my best squat is 180 kg")));
    }
    if let Some(number) = reading.bare_goal.filter(|_| unit.is_none()) {
        return Some(Err(Open::Unit(number, "my squat goal is 200 kg")));
    }
    // Loads in pounds say nothing of the scale at home: a body weight is not guessed at.
    let own_unit = turn.lifter.profile.body_mass.map(|mass| mass.unit);
    let body_mass = fields.body_mass.map(|mass| match own_unit {
        _ if says_unit(turn.text()) => Ok(mass),
        Some(unit) => Ok(Mass::new(mass.value, unit)),
        None => Err(Open::Unit(mass.value, "my bodyweight is 84 kg")),
    });
    let body_mass = match body_mass.transpose() {
        Ok(mass) => mass,
        Err(open) => return Some(Err(open)),
    };
    let bare_goal = || {
        let load = Mass::new(reading.bare_goal?, unit?);
        Some(Goal { load, by: None })
    };
    let report = SetReport {
        body_mass,
        stature: fields.stature,
        best: fields
            .best
            .clone()
            .or_else(|| bare(reading.bare_best, unit)),
        goal: fields.goal.clone().or_else(bare_goal),
        training_months: fields.training_months,
        age_band: fields.age_band,
        competes: fields.competes,
        ..SetReport::default()
    };
    if report == SetReport::default() || answers_here(turn, &report) {
        return None;
    }
    if report.best.is_none() && report.goal.is_none() {
        return Some(Ok(Told::of(report)));
    }
    let Some(lift) = fields.lift.or_else(|| only_lift(turn)) else {
        return Some(Err(Open::Lift));
    };
    Some(Ok(Told::of(SetReport {
        lift: Some(lift),
        ..report
    })))
}

/// Facts that a question may be about, told where one is open: they are its answer, and the set
/// under review is read again with them.
fn answers_here(turn: &Turn<'_>, report: &SetReport) -> bool {
    let others = SetReport {
        training_months: None,
        age_band: None,
        competes: None,
        ..report.clone()
    };
    let mut cases = turn.known.cases.iter();
    let asks =
        cases.any(|case| case.state == CaseState::Asking && case.room_id == turn.event.room_id);
    asks && others == SetReport::default()
}

/// A best single said as a bare number, in the lifter's unit.
fn bare(value: Option<f64>, unit: Option<MassUnit>) -> Option<Best> {
    Some(Best {
        value: value?,
        unit: unit?,
        date: None,
        tested: None,
    })
}

/// Words in lower case, without punctuation.
fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .map(|word| word.to_lowercase().replace('\'', ""))
        .filter(|word| !word.is_empty())
        .collect()
}

/// The text begins as people tell of themselves.
fn begins_as_told(said: &[String]) -> bool {
    const HEADS: [&str; 22] = [
        "my",
        "i",
        "im",
        "ive",
        "actually",
        "correction",
        "update",
        "sorry",
        "btw",
        "fyi",
        "body",
        "bodyweight",
        "bw",
        "goal",
        "best",
        "new",
        "now",
        "also",
        "weight",
        "and",
        "oh",
        "well",
    ];
    said.first()
        .is_some_and(|head| HEADS.contains(&head.as_str()))
}

/// The text begins as people tell whether they compete: "no plans to compete", "planning my first meet".
fn tells_of_meets(said: &[String]) -> bool {
    const HEADS: [&str; 20] = [
        "planning",
        "no",
        "not",
        "still",
        "signed",
        "done",
        "retired",
        "stopped",
        "quit",
        "never",
        "yes",
        "yeah",
        "yep",
        "nope",
        "preparing",
        "prepping",
        "competing",
        "dont",
        "wont",
        "first",
    ];
    said.first()
        .is_some_and(|head| HEADS.contains(&head.as_str()))
}

/// `I train in lb`, `my unit is kg`, `use pounds`.
fn unit_said(said: &[String]) -> Option<MassUnit> {
    const AROUND: [&str; 20] = [
        "i",
        "my",
        "unit",
        "units",
        "train",
        "lift",
        "in",
        "is",
        "use",
        "count",
        "please",
        "are",
        "we",
        "everything",
        "show",
        "me",
        "only",
        "work",
        "the",
        "plates",
    ];
    const SAYS: [&str; 9] = [
        "train",
        "lift",
        "unit",
        "units",
        "use",
        "count",
        "everything",
        "show",
        "work",
    ];
    let (units, rest): (Vec<&String>, Vec<&String>) = said.iter().partition(|word| {
        matches!(
            word.as_str(),
            "kg" | "kgs" | "kilo" | "kilos" | "kilograms" | "lb" | "lbs" | "pounds"
        )
    });
    let [unit] = units.as_slice() else {
        return None;
    };
    let fits = rest.iter().all(|word| AROUND.contains(&word.as_str()))
        && rest.iter().any(|word| SAYS.contains(&word.as_str()));
    fits.then(|| {
        if unit.starts_with('k') {
            MassUnit::Kg
        } else {
            MassUnit::Lb
        }
    })
}

/// `my rule set is ...`, `my rules are ...`: the words behind.
fn rules_said(text: &str) -> Option<String> {
    let lower = text.to_ascii_lowercase();
    let head = [
        "my rule set is",
        "my rules are",
        "my rule book is",
        "my federation is",
    ]
    .into_iter()
    .find(|head| lower.trim_start().starts_with(head))?;
    let at = lower.find(head)? + head.len();
    let name = text.get(at..)?.trim().trim_end_matches(['.', '!']);
    let name: String = name.chars().take(MOST_RULES).collect();
    (!name.is_empty()).then_some(name)
}

/// Plates in their unit, over what is known.
pub(super) fn with_plates(turn: &Turn<'_>, said: &PlatesSaid) -> Result<Told, Open> {
    if said.usual {
        return Ok(Told {
            usual_plates: true,
            ..Told::default()
        });
    }
    let profile = &turn.lifter.profile;
    let own = profile.plates.as_ref();
    let Some(unit) = said.unit.or(own.map(|own| own.unit)).or(profile.unit) else {
        let number = said.bar.or(said.pairs.first().map(|(size, _)| *size));
        return Err(Open::Unit(
            number.unwrap_or_default(),
            "I have 20 kg and 10 kg plates",
        ));
    };
    let before = own.filter(|own| own.unit == unit).cloned();
    let before = before.unwrap_or_else(|| usual_plates(unit));
    let pairs: Vec<(f64, u32)> = said
        .pairs
        .iter()
        .map(|(size, pairs)| (*size, pairs.unwrap_or(ENOUGH_PAIRS)))
        .filter(|(_, pairs)| *pairs > 0)
        .collect();
    let plates = Plates {
        unit,
        bar: said.bar.unwrap_or(before.bar),
        collars: before.collars,
        pairs: if pairs.is_empty() {
            before.pairs
        } else {
            pairs
        },
    };
    Ok(Told::of(SetReport {
        plates: Some(plates),
        ..SetReport::default()
    }))
}

/// The lift of the lifter's open cases, when they are all of one.
fn only_lift(turn: &Turn<'_>) -> Option<Lift> {
    let mut lifts = turn
        .known
        .cases
        .iter()
        .filter(|case| case.state.is_open() && case.state != CaseState::Halted)
        .filter_map(|case| case.lift);
    let first = lifts.next()?;
    lifts.all(|lift| lift == first).then_some(first)
}

/// Writes what was told into the profile.
pub(super) fn keep(turn: &mut Turn<'_>, told: &Told) {
    let now = turn.now;
    let profile = &mut turn.lifter.profile;
    let report = &told.report;
    profile.unit = told.unit.or(profile.unit);
    profile.body_mass = report.body_mass.or(profile.body_mass);
    profile.stature = report.stature.or(profile.stature);
    super::guardian::keep_age(profile, report.age_band);
    profile.competes = report.competes.or(profile.competes);
    if let Some(months) = report.training_months {
        profile.training = Some((months, now));
    }
    if report.rule_set.is_some() {
        profile.rule_set.clone_from(&report.rule_set);
    }
    if told.usual_plates {
        profile.plates = None;
    }
    if report.plates.is_some() {
        profile.plates.clone_from(&report.plates);
    }
    if let Some(lift) = report.lift {
        if let Some(best) = &report.best {
            profile.bests.insert(lift.word().to_owned(), best.clone());
            profile.unit = profile.unit.or(Some(best.unit));
        }
        if let Some(goal) = &report.goal {
            profile.goals.insert(lift.word().to_owned(), goal.clone());
        }
    }
}

/// `my profile`: everything kept, and how to correct it.
pub(super) fn show(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let zone = turn.lifter.zone.as_deref().map(escape);
    let lines = profile_lines(words, &turn.lifter, zone.as_deref());
    turn.keep_lifter();
    turn.reply("first", lines.join("\n"), None);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_said_in_plain_words() {
        let unit = |text: &str| unit_said(&words(text));
        for text in ["I train in lb", "my unit is pounds", "use lbs please"] {
            assert_eq!(unit(text), Some(MassUnit::Lb), "{text}");
        }
        assert_eq!(unit("I lift in kg"), Some(MassUnit::Kg));
        for text in [
            "kg",
            "lb",
            "is it kg or lb",
            "I squat 100 kg",
            "I train with 20 kg plates",
        ] {
            assert_eq!(unit(text), None, "{text}");
        }
    }

    #[test]
    fn a_rule_set_is_kept_in_the_lifters_words() {
        let said = rules_said("My rule set is tested, raw with wraps.");
        assert_eq!(said.as_deref(), Some("tested, raw with wraps"));
        assert_eq!(rules_said("my rules are"), None);
        assert_eq!(rules_said("rules are rules"), None);
    }
}
