//! What a text says about the lifter's body: mass, height, and loads counted in bodyweights.

use super::asides;
use super::line::Line;
use super::person::mass_at;
use crate::quantity::{Length, LengthUnit, Mass, MassUnit};
use crate::reading::Reading;

/// Words before or behind what the lifter weighs.
const OWN_WEIGHT: [&str; 23] = [
    "bw",
    "bodyweight",
    "body weight",
    "i weigh",
    "weighing",
    "im weighing",
    "weigh",
    "weighed",
    "weight is",
    "my weight",
    "my weight is",
    "body mass",
    "bodymass",
    "weigh in",
    "weigh in was",
    "weighed in",
    "weighed in at",
    "cut down to",
    "cut to",
    "dieted down to",
    "bulked to",
    "bulked up to",
    "sitting at",
];

/// What the lifter weighs.
pub(super) fn body_mass(line: &mut Line, out: &mut Reading, unit: Option<MassUnit>) {
    let told = line.has(&["bw", "bodyweight", "weigh", "weighing", "body", "im"]);
    let several = !told && asides::masses_told(line) > 1;
    let words = line.may(&OWN_WEIGHT);
    for at in 0..line.len() {
        let Some(end) = line
            .any_phrase(at, &words)
            .or_else(|| several.then(|| weight_beside_load(line, at)).flatten())
        else {
            continue;
        };
        // "at 82 kg bodyweight", unless a figure stands right behind the word too.
        let lifted = line.is(at.wrapping_sub(1), &["my"])
            && line.is(at.wrapping_sub(2), &LIFTED)
            && line.is(end, &[","]);
        let joins = [
            ":", "=", "(", "is", "of", "at", "about", "around", "was", "-",
        ];
        let start = end + usize::from(line.is(end, &joins) || lifted);
        let direct = line.digits(start).is_some();
        let back = at
            .checked_sub(2)
            .filter(|i| line.digits(*i).is_some() && !line.is_used(*i));
        if let (Some(from), Some(unit), false) =
            (back, at.checked_sub(1).and_then(|i| line.unit(i)), direct)
            && let Some(value) = line.digits(from)
        {
            out.fields.body_mass = Some(Mass::new(value, unit));
            line.note("body_mass", from, at + 1, 0.9);
            return;
        }
        if line.text(end) == "+"
            || line.is(
                at.wrapping_sub(1),
                &["double", "times", "x", "twice", "triple"],
            )
        {
            continue;
        }
        let start = if direct { start } else { end };
        let Some((value, unit, from, to)) =
            mass_at(line, start, unit).filter(|found| (20.0..=500.0).contains(&found.0))
        else {
            continue;
        };
        if !direct
            && line.is(
                from.wrapping_sub(1),
                &["pull", "bench", "squat", "deadlift", "lift", "hit"],
            )
        {
            continue;
        }
        match unit {
            Some(unit) => {
                out.fields.body_mass = Some(Mass::new(value, unit));
                line.note("body_mass", from, to, 0.95);
            }
            // Without a unit it is nothing, but no load either.
            None => line.take(from, to),
        }
        return;
    }
}

/// "weight 82kg, squat 120kg 3x5": beside a load with its own unit a "weight" is the lifter's.
fn weight_beside_load(line: &Line, at: usize) -> Option<usize> {
    if !line.is(at, &["weight"]) {
        return None;
    }
    let figure = at + 1 + usize::from(line.is(at + 1, &[":", "=", "is"]));
    line.digits(figure)?;
    let (_, end) = line.unit_after(figure)?;
    let led = [
        "a", "the", "this", "same", "top", "bar", "working", "squat", "bench", "deadlift",
    ];
    let closes = ["", ",", ".", ";", "/", "\n", "height", "and"];
    (line.is(end, &closes) && !line.is(at.wrapping_sub(1), &led)).then_some(at + 1)
}

/// Verbs whose object is a load.
const LIFTED: [&str; 12] = [
    "at",
    "with",
    "than",
    "benched",
    "squatted",
    "deadlifted",
    "pulled",
    "lifted",
    "pressed",
    "bench",
    "squat",
    "deadlift",
];

/// "im 165 lbs", "im 90kg so": a mass said of the lifter, not of what is on the bar.
pub(super) fn own_mass(line: &mut Line, out: &mut Reading) {
    if out.fields.body_mass.is_some() {
        return;
    }
    for at in 0..line.len() {
        if !line.is(at, &["im"]) {
            continue;
        }
        let small = [
            "a",
            "about",
            "around",
            "only",
            "currently",
            "like",
            "just",
            "roughly",
            "now",
        ];
        let figure = at + 1 + usize::from(line.is(at + 1, &small));
        let Some(value) = line.digits(figure).filter(|_| !line.is_used(figure)) else {
            continue;
        };
        let Some((unit, end)) = line.unit_after(figure) else {
            continue;
        };
        let load = [
            "x",
            "*",
            "for",
            "by",
            "@",
            "on",
            "off",
            "away",
            "short",
            "from",
            "into",
            "squat",
            "bench",
            "deadlift",
            "under",
            "over",
            "heavier",
            "lighter",
            "bencher",
            "squatter",
            "deadlifter",
            "more",
            "in",
            "stronger",
        ];
        let mass = Mass::new(value, unit);
        if !line.is(end, &load) && (30.0..=250.0).contains(&mass.kg()) {
            out.fields.body_mass = Some(mass);
            line.note("body_mass", figure, end, 0.85);
            return;
        }
    }
}

/// "male 28, 82kg, 1.78m", "5'11 90kg": a mass beside age, sex or height is the lifter's own.
pub(super) fn mass_beside_facts(line: &mut Line, out: &mut Reading) {
    if out.fields.body_mass.is_some() {
        return;
    }
    let fact = |line: &Line, at: usize| {
        let sex = line.is(
            at,
            &[
                "male", "female", "man", "woman", "guy", "m", "f", "girl", "lad", "lady", "bloke",
                "dude", "lifter",
            ],
        ) && (line.text(at).len() > 1 || line.glued(at) || line.digits(at + 1).is_some());
        at < line.len()
            && (sex
                || line.is(at, &["yo", "cm", "tall", "old", "height", "age", "aged"])
                || line.mentions.iter().any(|mention| {
                    matches!(mention.field.as_str(), "stature" | "age_band") && {
                        let [from, to] = line.span(at, at + 1);
                        mention.span[0] <= from && to <= mention.span[1]
                    }
                }))
    };
    for at in 0..line.len() {
        let Some(value) = line
            .digits(at)
            .filter(|v| (35.0..=450.0).contains(v) && !line.is_used(at))
        else {
            continue;
        };
        let Some((unit, end)) = line.unit_after(at) else {
            continue;
        };
        // A load has its repetitions behind it.
        let lift =
            line.is(end, &["bench", "squat", "deadlift", "dl"]) && line.digits(end + 1).is_none();
        if lift
            || line.is(end, &["x", "*", "for", "by", "@"])
            || line.is(at.wrapping_sub(1), &["x", "@", "at", "with"])
        {
            continue;
        }
        let comma = |at: usize| usize::from(line.is(at, &[",", "/", "-", "and", "of"]));
        let before = at.wrapping_sub(1).wrapping_sub(comma(at.wrapping_sub(1)));
        let after = end + comma(end);
        // The figure of a fact behind: "82kg, 178cm".
        let ahead = (after..after + 4).any(|i| fact(line, i))
            && (line.digits(after).is_some() || fact(line, after));
        if fact(line, before) || ahead {
            out.fields.body_mass = Some(Mass::new(value, unit));
            line.note("body_mass", at, end, 0.8);
            return;
        }
    }
}

/// How tall the lifter is.
pub(super) fn stature(line: &mut Line, out: &mut Reading) {
    for at in 0..line.len() {
        let Some(value) = line.digits(at) else {
            continue;
        };
        if let Some((inches, to)) = feet(line, at, value) {
            out.fields.stature = Some(Length {
                value: inches,
                unit: LengthUnit::In,
            });
            line.note("stature", at, to, 0.9);
            return;
        }
        let unit = match line.text(at + 1) {
            "cm" if (100.0..=230.0).contains(&value) => LengthUnit::Cm,
            "m" if (1.2..=2.3).contains(&value) && value.fract() > 0.0 => LengthUnit::M,
            "in" | "inches" if line.text(at + 2) == "tall" => LengthUnit::In,
            _ => continue,
        };
        out.fields.stature = Some(Length { value, unit });
        line.note("stature", at, at + 2, 0.9);
        return;
    }
}

/// `5'11`, "6ft 2", "5 foot 6": a height in feet, as inches, and its end.
fn feet(line: &Line, at: usize, value: f64) -> Option<(f64, usize)> {
    if !(4.0..=7.0).contains(&value) || value.fract() > 0.0 {
        return None;
    }
    let mark = line.is(at + 1, &["'"]) && line.glued(at + 1);
    let word = line.is(at + 1, &["ft", "foot", "feet"]);
    if !mark && !word {
        return None;
    }
    let inches = line.digits(at + 2).filter(|v| {
        (0.0..12.0).contains(v)
            && line.unit_after(at + 2).is_none()
            && !line.is(at + 3, &["x", "reps", "sets"])
    });
    let mut to = at + 2 + usize::from(inches.is_some());
    let tall = line.is(to, &["tall"]);
    to += usize::from(line.is(to, &["\"", "in", "inches", "tall"]));
    (inches.is_some() || tall).then_some((value * 12.0 + inches.unwrap_or(0.0), to))
}

/// "double bodyweight", "1.5x bodyweight", "bw+20", "at bodyweight": a load counted in bodyweights.
pub(super) fn in_bodyweights(line: &mut Line, out: &mut Reading) -> Option<InBodyweights> {
    let words = line.may(&["bodyweight", "bw", "body weight"]);
    for at in 0..line.len() {
        let Some(end) = line.any_phrase(at, &words) else {
            continue;
        };
        let before = at.wrapping_sub(1);
        let (times, from) = match line.text(before) {
            "double" | "twice" => (2.0, before),
            "triple" => (3.0, before),
            "x" | "times" => match at
                .checked_sub(2)
                .and_then(|i| line.number(i).map(|v| (v, i)))
            {
                Some(found) => found,
                None => continue,
            },
            "at" | "with" | "bench" | "squat" | "deadlift" | "just" | "my" => (1.0, at),
            _ if line.is(end, &["+"]) => (1.0, at),
            _ => continue,
        };
        if !(0.3..=4.5).contains(&times) {
            continue;
        }
        let added = (line.is(end, &["+"]))
            .then(|| line.digits(end + 1))
            .flatten();
        let to = if added.is_some() {
            end + 2 + usize::from(line.unit(end + 2).is_some())
        } else {
            end
        };
        // "bodyweight 83" is what the lifter weighs, not what was lifted; "(80kg)" says both.
        if times < 1.5 && from == at && added.is_none() && line.digits(end).is_some() {
            continue;
        }
        let own = line.is(at.wrapping_sub(1), &["my"]) && !line.is(at.wrapping_sub(2), &LIFTED);
        if own {
            continue;
        }
        line.take(from, to);
        let mass = out.fields.body_mass;
        return Some(InBodyweights {
            times,
            load: mass.map(|mass| {
                (
                    ((mass.value * times + added.unwrap_or(0.0)) * 100.0).round() / 100.0,
                    mass.unit,
                )
            }),
            at: (from, to),
        });
    }
    None
}

/// A load counted in bodyweights.
pub(super) struct InBodyweights {
    pub(super) times: f64,
    /// The load, when the lifter's weight is told.
    pub(super) load: Option<(f64, MassUnit)>,
    pub(super) at: (usize, usize),
}
