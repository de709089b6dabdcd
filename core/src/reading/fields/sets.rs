//! Loads, repetitions and sets: "3x5 at 140 kg", "275x4", "4 sets of 225 for 6", "a triple at 100".

use super::line::Line;
use super::{aims, chains, counts, elsewhen, labels, lists, loads, mend, plates, ranges};
use crate::quantity::MassUnit;

/// A load said, with what stood beside it.
#[derive(Clone, Copy, Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "four things that may be said of any load, none of which follows from another"
)]
pub(super) struct LoadSaid {
    pub(super) value: f64,
    pub(super) unit: Option<MassUnit>,
    pub(super) reps: Option<u32>,
    pub(super) sets: Option<u32>,
    pub(super) at: (usize, usize),
    /// Read from a percentage of a stated best, or from bodyweight.
    pub(super) worked_out: bool,
    /// Of a number of sets that was not told ("singles", "sets of 5").
    pub(super) many: bool,
    /// Told as one set ("a triple", "top set").
    pub(super) one: bool,
    /// The repetitions were told of several loads at once.
    pub(super) lent: bool,
}

impl LoadSaid {
    /// A load by itself.
    pub(super) const fn alone(value: f64, unit: Option<MassUnit>, at: (usize, usize)) -> Self {
        Self {
            value,
            unit,
            reps: None,
            sets: None,
            at,
            worked_out: false,
            many: false,
            one: false,
            lent: false,
        }
    }
}

/// Repetitions, perhaps with sets, that stand by themselves.
#[derive(Clone, Copy, Debug)]
pub(super) struct RepsSaid {
    pub(super) reps: Option<u32>,
    pub(super) sets: Option<u32>,
    pub(super) at: (usize, usize),
    /// Of a number of sets that was not told ("singles", "sets of 5").
    pub(super) many: bool,
    /// Told as one set ("a triple", "top set").
    pub(super) one: bool,
}

impl RepsSaid {
    /// Repetitions and sets.
    pub(super) const fn new(reps: Option<u32>, sets: Option<u32>, at: (usize, usize)) -> Self {
        Self {
            reps,
            sets,
            at,
            many: false,
            one: false,
        }
    }
}

/// What the words leave open about sets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Open {
    /// `225x5x3`: which is sets.
    Order(u32, u32),
    /// `5x3` with more sets than repetitions: which is which.
    SetsOrReps(u32, u32),
    /// `20x10`: a load or a number of sets.
    LoadOrSets(f64, u32),
    /// `@80`: percent or load.
    PercentOrLoad(f64),
    /// A percentage of something not given, at this token.
    PercentOf(f64, usize),
    /// Plates on each side, in whole plates, and what hangs beside them.
    Plates(f64, plates::Extra),
    /// The repetitions themselves are uncertain.
    RepsUnsure,
    /// "x 5, last rep failed": whether the failed one is among them.
    LastRep,
    /// `8/10`: repetitions of an aim, or an effort.
    DoneOrEffort(u32),
    /// One of two loads, with their unit.
    LoadRange(f64, f64, Option<MassUnit>),
    /// So many times bodyweight, which is not told.
    Bodyweight(f64),
}

/// Everything of this kind in a text.
#[derive(Debug, Default)]
pub(super) struct Sets {
    pub(super) loads: Vec<LoadSaid>,
    pub(super) reps: Vec<RepsSaid>,
    pub(super) open: Vec<Open>,
    pub(super) aimed: Option<u32>,
    pub(super) set_number: Option<u32>,
    /// A list of repetitions was read, so a bare number of sets is its length.
    pub(super) listed: bool,
}

/// From this figure a bare number in a set line is a load, not sets or repetitions.
pub(super) const LOAD_FROM: f64 = 31.0;

/// The most sets or repetitions a figure may stand for.
const COUNT_TO: f64 = 50.0;

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "bounded just here"
)]
pub(super) fn count(value: f64) -> Option<u32> {
    (value.fract() == 0.0 && (0.0..=COUNT_TO).contains(&value)).then_some(value as u32)
}

/// Reads every load, repetition and set.
pub(super) fn read(line: &mut Line) -> Sets {
    let mut sets = Sets::default();
    aims::aims(line, &mut sets);
    plates::read(line, &mut sets);
    plates::parts(line);
    labels::rep_of(line, &mut sets);
    labels::set_number(line, &mut sets);
    loads::conversions(line);
    elsewhen::take(line);
    loads::ladders(line, &mut sets);
    ranges::loads(line, &mut sets);
    chains::chains(line, &mut sets);
    lists::lists(line, &mut sets);
    labels::labelled(line, &mut sets);
    labels::last_short(line, &mut sets);
    counts::sets_of(line, &mut sets);
    loads::percents(line, &mut sets);
    aims::done_of(line, &mut sets);
    ranges::repetitions(line, &mut sets);
    counts::before_load(line, &mut sets);
    loads::masses(line, &mut sets);
    counts::repetitions(line, &mut sets);
    labels::over_again(line, &mut sets);
    loads::bare(line, &mut sets);
    mend::mend(line, &mut sets);
    sets.loads.truncate(super::COMPARED);
    loads::told_twice(&mut sets);
    sets
}

/// One figure of a chain: value, unit, end.
pub(super) fn figure(line: &Line, at: usize) -> Option<(f64, Option<MassUnit>, usize)> {
    let value = line.number(at)?;
    if line.is_used(at) {
        return None;
    }
    match line.unit_after(at) {
        Some((unit, end)) => Some((value, Some(unit), end)),
        None => Some((value, None, at + 1)),
    }
}
