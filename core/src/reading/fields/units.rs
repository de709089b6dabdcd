//! A unit told once for every figure of a text: "all my numbers are kg", "(in lbs)", "thats kg".

use super::line::Line;
use crate::quantity::MassUnit;

/// What is told about the unit of figures that stand without one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    /// Nothing.
    No,
    /// One unit.
    All(MassUnit),
    /// The lifter does not know it, or both are on the bar.
    Unsure,
}

impl Told {
    /// The unit told for all.
    pub(super) const fn unit(self) -> Option<MassUnit> {
        match self {
            Self::All(unit) => Some(unit),
            Self::No | Self::Unsure => None,
        }
    }
}

/// Words before a unit that stands for all figures.
const LEADS: [&str; 20] = [
    "(",
    "in",
    "all",
    "are",
    "is",
    "thats",
    "so",
    "its",
    "use",
    "uses",
    "using",
    "read",
    "says",
    "say",
    "mean",
    "means",
    "were",
    "was",
    "theyre",
    "everything",
];

/// Words behind a unit that is told at the head or the foot of a line.
const FOLLOWS: [&str; 8] = ["not", "btw", "here", "only", "gym", ")", "plates", "lifter"];

/// Words before a unit that is no unit of the figures: "lost a pound".
const NOT_TOLD: [&str; 12] = [
    "a", "some", "of", "the", "per", "my", "these", "those", "every", "lost", "gained", "by",
];

/// Reads what is told about the unit.
pub(super) fn told(line: &Line) -> Told {
    let (mut kg, mut lb) = (false, false);
    let mut either = false;
    for at in 0..line.len() {
        let Some(unit) = line.unit(at) else { continue };
        let before = at.wrapping_sub(1);
        let counted = line.number(before).is_some() || line.is(before, &["ish"]);
        let joined = line.is(at + 1, &["or", "/"]) && line.unit(at + 2).is_some();
        either |= joined;
        // The standard plate of one kind: "20kg plates, 4 a side".
        let plate = line.is(at + 1, &["plate", "plates"])
            && match unit {
                MassUnit::Kg => line.digits(before) == Some(20.0),
                MassUnit::Lb => line.digits(before) == Some(45.0),
            };
        if plate {
            kg |= unit == MassUnit::Kg;
            lb |= unit == MassUnit::Lb;
        }
        if counted || line.is(before, &["few", "couple", "extra", "more", "many", "-"]) {
            continue;
        }
        let denied = line.is(before, &["not", "no", "isnt", "arent"]);
        let alone = line.is(before, &["", ",", ".", ";", "\n", ":", "-"])
            && line.is(
                at + 1,
                &["", ",", ".", ";", "\n", ")", "!", "not", "btw", "for", ":"],
            );
        let last = at + 1 == line.len() && !line.is(before, &NOT_TOLD);
        let led = line.is(before, &LEADS) || line.is(at + 1, &FOLLOWS) || last;
        if !denied && !joined && (led || alone) {
            kg |= unit == MassUnit::Kg;
            lb |= unit == MassUnit::Lb;
        }
    }
    match (kg, lb) {
        _ if either => Told::Unsure,
        (true, true) => Told::Unsure,
        (true, false) => Told::All(MassUnit::Kg),
        (false, true) => Told::All(MassUnit::Lb),
        (false, false) => Told::No,
    }
}
