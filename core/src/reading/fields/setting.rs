//! How and where the set was done: variant, grip, pause, room, equipment, view.

use super::line::Line;
use crate::report::{BarPosition, Grip, SetReport, Shoes, Stance, View};

/// Reads the variant and the setting.
pub(super) fn read(line: &mut Line, fields: &mut SetReport) {
    variant(line, fields);
    pause(line, fields);
    room(line, fields);
    equipment(line, fields);
    view(line, fields);
}

/// Bars for which the tables of the straight bar do not hold.
const SPECIAL_BARS: [&str; 31] = [
    "safety bar",
    "ssb",
    "safety squat bar",
    "cambered bar",
    "bow bar",
    "curved bar",
    "yoke bar",
    "padded bar",
    "padded yoke bar",
    "trap bar",
    "hex bar",
    "hexagon bar",
    "hexagonal bar",
    "six sided bar",
    "six sided frame",
    "frame i stand in",
    "swiss bar",
    "football bar",
    "football bars",
    "palms face each other",
    "palms facing each other",
    "multi grip bar",
    "multigrip bar",
    "neutral grip bar",
    "neutral handle bar",
    "neutral handles",
    "parallel handles",
    "bar with handles",
    "bar with the handles",
    "high handles",
    "raised handles",
];

fn variant(line: &mut Line, fields: &mut SetReport) {
    let bars = [
        (&["low bar", "lowbar"][..], BarPosition::Low),
        (&["high bar", "highbar"], BarPosition::High),
        (
            &["front squat", "front squats", "front squatted"],
            BarPosition::Front,
        ),
        (&SPECIAL_BARS, BarPosition::Special),
    ];
    for (words, bar) in bars {
        if let Some((from, to)) = line.find(words)
            && !line.denied(from)
        {
            fields.variant.bar_position = Some(bar);
            line.note("variant.bar_position", from, to, 0.95);
            break;
        }
    }
    for (words, stance) in [
        (&["sumo"][..], Stance::Sumo),
        (&["conventional", "conv"], Stance::Conventional),
    ] {
        if let Some((from, to)) = line.find(words)
            && !line.denied(from)
        {
            fields.variant.stance = Some(stance);
            line.note("variant.stance", from, to, 0.95);
            break;
        }
    }
    let grips = [
        (
            &["mixed grip", "mixed", "over under", "over and under"][..],
            Grip::Mixed,
        ),
        (&["hook grip", "hook gripped", "hooked it"], Grip::Hook),
        (&["double overhand", "doh"], Grip::Double),
        (&["with straps", "using straps", "strapped"], Grip::Straps),
        (
            &[
                "thumbless",
                "false grip",
                "suicide grip",
                "thumb over",
                "thumbs over",
            ],
            Grip::Thumbless,
        ),
        (&["close grip", "narrow grip", "cgbp"], Grip::Close),
        (&["wide grip"], Grip::Wide),
    ];
    for (words, grip) in grips {
        if let Some((from, to)) = line.find(words)
            && !line.denied(from)
            && !(grip == Grip::Straps && compared(line, to))
        {
            fields.variant.grip = Some(grip);
            line.note("variant.grip", from, to, 0.9);
            break;
        }
    }
}

/// "pause squats 3s", "3 second pause", "touch and go".
fn pause(line: &mut Line, fields: &mut SetReport) {
    if let Some((from, to)) = line.find(&["touch and go", "tng"]) {
        fields.variant.pause_seconds = Some(0.0);
        line.note("variant.pause_seconds", from, to, 0.9);
        return;
    }
    for word in 0..line.len() {
        if !line.is(word, &["pause", "paused", "pauses"]) {
            continue;
        }
        for at in word.saturating_sub(4)..word + 5 {
            if let Some(seconds) = line.number(at)
                && line.is(
                    at + 1,
                    &[
                        "s", "sec", "secs", "second", "seconds", "ct", "count", "counts",
                    ],
                )
                && (0.0..=20.0).contains(&seconds)
            {
                fields.variant.pause_seconds = Some(seconds);
                line.note("variant.pause_seconds", at, at + 2, 0.9);
                return;
            }
        }
    }
}

fn room(line: &mut Line, fields: &mut SetReport) {
    let set = &mut fields.setting;
    if let Some((from, to)) = line.find(&[
        "alone",
        "on my own",
        "by myself",
        "nobody else",
        "no one else",
        "nobody around",
        "no one around",
        "solo",
    ]) {
        set.alone = Some(!line.denied(from));
        line.note("setting.alone", from, to, 0.85);
    }
    let mut said = |words: &[&str], field: &str| {
        let (from, to) = line.find(words)?;
        let yes = !line.denied(from) && !line.is(to, &["off"]);
        line.note(field, from, to, 0.85);
        Some(yes)
    };
    set.spotter = said(
        &[
            "spotter",
            "spotters",
            "spotted",
            "a spot",
            "no spot",
            "side spotters",
        ],
        "setting.spotter",
    );
    set.safeties = said(
        &[
            "safeties",
            "safety pins",
            "safety arms",
            "safety bars",
            "spotter arms",
            "safetys",
            "safety straps",
        ],
        "setting.safeties",
    );
    set.collars = said(&["collars", "clips", "collar"], "setting.collars");
    set.hand_off = said(
        &[
            "hand off",
            "handoff",
            "handed out",
            "lift off",
            "liftoff",
            "handed it out",
            "handed me",
            "hand out",
            "handed off",
        ],
        "setting.hand_off",
    );
    // "no spot" holds its own denial.
    if line
        .find(&["no spot", "no spotter", "no spotters"])
        .is_some()
    {
        set.spotter = Some(false);
    }
    if set.spotter == Some(true) && set.alone.is_none() {
        set.alone = Some(false);
    }
}

/// Whether what was named is held against this set: "with straps the same weight flies".
fn compared(line: &Line, to: usize) -> bool {
    const TELLS: [&str; 8] = ["same", "flies", "fly", "would", "could", "can", "id", "i'd"];
    (to..to + 5).any(|at| line.is(at, &TELLS))
}

fn equipment(line: &mut Line, fields: &mut SetReport) {
    let gear = &mut fields.setting.equipment;
    let mut said = |words: &[&str], field: &str| {
        let (from, to) = line.find(words)?;
        let yes = !line.denied(from) && !line.is(to, &["off"]);
        line.note(field, from, to, 0.85);
        Some(yes)
    };
    gear.belt = said(&["belt", "belted", "beltless"], "setting.equipment.belt");
    gear.sleeves = said(&["sleeves", "knee sleeves"], "setting.equipment.sleeves");
    gear.wraps = said(
        &["wraps", "knee wraps", "wrist wraps"],
        "setting.equipment.wraps",
    );
    gear.straps = said(
        &["straps", "strapped", "strapless"],
        "setting.equipment.straps",
    );
    gear.bands = said(&["bands", "chains", "banded"], "setting.equipment.bands");
    if line.has(&["beltless"]) {
        gear.belt = Some(false);
    }
    // "With straps the same weight flies" tells of another set.
    let straps = line.find(&["straps", "strapped"]);
    if straps.is_some_and(|(_, to)| compared(line, to)) {
        gear.straps = None;
    }
    if line.has(&["strapless"]) {
        gear.straps = Some(false);
    }
    gear.shoes = shoes(line);
}

/// The shoes named first of those that are known.
fn shoes(line: &mut Line) -> Option<Shoes> {
    let shoes = [
        (
            &[
                "running shoes",
                "runners",
                "trainers",
                "sneakers",
                "running trainers",
                "soft shoes",
                "joggers",
                "gym shoes",
            ][..],
            Shoes::Running,
        ),
        (
            &[
                "lifting shoes",
                "heeled shoes",
                "weightlifting shoes",
                "squat shoes",
                "heels on",
                "raised heel",
                "heeled",
                "lifters on",
                "oly shoes",
            ],
            Shoes::Heeled,
        ),
        (
            &[
                "barefoot",
                "socks",
                "flat shoes",
                "flats",
                "flat soles",
                "flat sole",
                "slippers",
                "deadlift slippers",
                "flat shoe",
            ],
            Shoes::Flat,
        ),
    ];
    for (words, kind) in shoes {
        if let Some((from, to)) = line.find(words)
            && !line.denied(from)
        {
            line.note("setting.equipment.shoes", from, to, 0.85);
            return Some(kind);
        }
    }
    None
}

fn view(line: &mut Line, fields: &mut SetReport) {
    let filmed = line.has(&[
        "filmed",
        "film",
        "video",
        "vid",
        "clip",
        "recorded",
        "camera",
        "shot",
        "angle",
        "view",
        "recording",
    ]);
    if !filmed {
        return;
    }
    let views = [
        (
            &[
                "45",
                "three quarter",
                "threequarter",
                "from an angle",
                "diagonal",
            ][..],
            View::ThreeQuarter,
        ),
        (
            &[
                "from the side",
                "side view",
                "side on",
                "side angle",
                "from side",
                "sideways",
                "the side",
            ],
            View::Side,
        ),
        (
            &[
                "from the front",
                "front view",
                "front on",
                "front angle",
                "from front",
                "the front",
            ],
            View::Front,
        ),
        (
            &[
                "from behind",
                "rear view",
                "from the back",
                "back view",
                "from the rear",
                "behind",
                "back angle",
                "rear",
            ],
            View::Rear,
        ),
    ];
    for (words, view) in views {
        if let Some((from, to)) = line.find(words) {
            fields.view = Some(view);
            line.note("view", from, to, 0.9);
            break;
        }
    }
}
