//! Each question put to the core.

use super::answer::{
    BandsAnswer, EstimateAnswer, GoalAnswer, PlanAnswer, PlatesAnswer, WarmUpAnswer, WarmUpStep,
};
use super::flags::{best_report, mass, maybe_mass, metres, rack, report};
use super::{BandFlags, RackFlags, SetFlags};
use crate::brain;
use crate::cli::Failure;
use cueline_core::load::{
    self, Band, BandPath, Bands, Estimate, Level, LoadedBar, Outlook, Plausibility, Rounding,
    TimeToGoal, Trend, bar_over, estimate_doubts, from_best, load_bar, percent_of, plausible,
    prescribe,
};
use cueline_core::quantity::{Mass, plain};
use cueline_core::report::{Plates, SetReport};
use std::path::Path;

/// The best single from a set.
pub(super) fn estimate(set: &SetFlags) -> Result<EstimateAnswer, Failure> {
    let report = report(set)?;
    let found = estimated(&report)?;
    let mut doubts = doubts(&report, &found);
    if let Some(doubt) = load::unit_doubt(&report, None) {
        doubts.push(format!("was the load meant to be {}?", doubt.then.both()));
    }
    Ok(EstimateAnswer {
        best_single: found.point(),
        low: found.low(),
        high: found.high(),
        percent_of_best: report.load.map(|load| percent_of(&found, load)),
        coarse: found.coarse,
        basis: found.basis.clone(),
        doubts,
    })
}

/// What is odd about the figures, in words.
fn doubts(report: &SetReport, found: &Estimate) -> Vec<String> {
    plausible(report)
        .into_iter()
        .chain(estimate_doubts(found, report))
        .map(|doubt| match doubt {
            Plausibility::Ask(why) | Plausibility::Coach(why) => why,
        })
        .collect()
}

/// The estimate of a report, or why there is none.
fn estimated(report: &SetReport) -> Result<Estimate, Failure> {
    load::estimate(report).map_err(|why| Failure::input(format!("no estimate: {why}")))
}

/// The correction of a cause for this lifter.
pub(super) fn plan(
    config: Option<&Path>,
    set: &SetFlags,
    cause: &str,
    flags: &RackFlags,
) -> Result<PlanAnswer, Failure> {
    let mut report = report(set)?;
    let lift = report.lift.ok_or_else(|| {
        Failure::input("--lift: found nothing, accepted squat, bench or deadlift")
    })?;
    let (_, brain) = brain::load(config)?;
    let book = brain
        .catalog
        .lifts
        .get(&lift)
        .ok_or_else(|| Failure::Other(format!("the catalog has no {lift}")))?;
    let correction = book.correction(cause).ok_or_else(|| {
        let known: Vec<&str> = book
            .corrections
            .iter()
            .map(|correction| correction.cause.as_str())
            .collect();
        Failure::input(format!(
            "--cause: found {cause}, accepted one of {}",
            known.join(", ")
        ))
    })?;
    if let Some(doubt) = load::unit_doubt(&report, None) {
        return Err(Failure::input(format!(
            "--load: found {}, accepted a load whose unit is beyond doubt: was it meant to be {}? \
             If not, give --best as well",
            set.load,
            doubt.then.both()
        )));
    }
    let found = estimated(&report)?;
    report.plates = Some(rack(flags, found.unit)?);
    let doses = correction.drill.iter().chain(&correction.assistance);
    Ok(PlanAnswer {
        lift: lift.to_string(),
        cause: cause.to_owned(),
        best_single: found.point(),
        low: found.low(),
        high: found.high(),
        practice: doses
            .map(|dose| prescribe(dose, Some(&found), &report))
            .collect(),
        doubts: doubts(&report, &found),
    })
}

/// A target on the rack, or why it cannot be loaded.
fn loaded(target: Mass, rack: &Plates, rounding: Rounding) -> Result<LoadedBar, Failure> {
    load_bar(target, rack, rounding).ok_or_else(|| {
        let over = bar_over(target, rack).map_or_else(String::new, |over| {
            format!("; the bar alone is {} % over", plain(over.percent.round()))
        });
        let empty = Mass::new(rack.bar + rack.collars, rack.unit);
        Failure::input(format!(
            "load: found {}, accepted from the empty bar of {} up{over}",
            target.both(),
            empty.both()
        ))
    })
}

/// Plates for a bar.
pub(super) fn plates(
    text: &str,
    nearest: bool,
    flags: &RackFlags,
) -> Result<PlatesAnswer, Failure> {
    let target = checked_load("load", text)?;
    let rack = rack(flags, target.unit)?;
    let rounding = if nearest {
        Rounding::Nearest
    } else {
        Rounding::Down
    };
    let bar = loaded(target, &rack, rounding)?;
    Ok(PlatesAnswer {
        target,
        empty_bar: Mass::new(rack.bar + rack.collars, rack.unit),
        bar,
    })
}

/// A load that somebody could lift.
fn checked_load(flag: &str, text: &str) -> Result<Mass, Failure> {
    let found = mass(flag, text)?;
    let most = cueline_core::report::most_load_kg(None);
    if found.kg() > most {
        return Err(Failure::input(format!(
            "{flag}: found {}, accepted up to {}",
            found.both(),
            Mass::from_kg(most, found.unit).about()
        )));
    }
    Ok(found)
}

/// Warm-up sets to a load.
pub(super) fn warm_up(
    text: &str,
    best: Option<&str>,
    flags: &RackFlags,
) -> Result<WarmUpAnswer, Failure> {
    let top = checked_load("load", text)?;
    let rack = rack(flags, top.unit)?;
    let best = maybe_mass("--best", best)?
        .map(best_report)
        .transpose()?
        .and_then(|report| from_best(&report, None));
    // The top itself must be loadable too.
    loaded(top, &rack, Rounding::Down)?;
    let steps = load::warm_up(top, &rack, best.as_ref())
        .into_iter()
        .map(|set| WarmUpStep {
            bar: set.bar,
            reps: set.reps,
        })
        .collect();
    Ok(WarmUpAnswer {
        top,
        steps,
        caution: load::caution(top, best.as_ref()),
    })
}

/// The bar beside bands.
pub(super) fn bands(flags: &BandFlags) -> Result<BandsAnswer, Failure> {
    let total = mass("--total", &flags.total)?;
    let best = mass("--best", &flags.best)?;
    best_report(best)?;
    let aside = flags
        .aside
        .as_deref()
        .map(|text| metres("--aside", text))
        .transpose()?
        .unwrap_or(0.0);
    let refused = |error: load::BandError| Failure::input(error.to_string());
    let band = band(flags)?;
    let bands = Bands {
        band: if flags.folded { band.folded() } else { band },
        count: flags.count,
        path: BandPath {
            bottom: metres("--bottom", &flags.bottom)?,
            top: metres("--top", &flags.top)?,
            aside,
        },
    };
    let rack = rack(&flags.rack, total.unit)?;
    let empty = Mass::new(rack.bar + rack.collars, rack.unit);
    let exact = bands
        .load_for(total.kg(), best.kg(), empty.kg())
        .map_err(refused)?;
    let bar = loaded(Mass::from_kg(exact.bar, rack.unit), &rack, Rounding::Down)?;
    let load = bands.with_bar(bar.total.kg(), best.kg()).map_err(refused)?;
    Ok(BandsAnswer::new(bar, &load, total.unit))
}

/// One band from the points that were measured.
fn band(flags: &BandFlags) -> Result<Band, Failure> {
    let slack = flags
        .slack
        .as_deref()
        .map(|text| metres("--slack", text))
        .transpose()?;
    let made = match (flags.point.as_slice(), slack) {
        ([one, two], Some(slack)) => Band::from_two(slack, one.0, two.0),
        ([one, two], None) => Band::between(one.0, two.0),
        ([one], Some(slack)) => Band::from_one(slack, one.0),
        ([_], None) => {
            return Err(Failure::input(
                "--slack: found nothing, accepted the slack length, or a second --point",
            ));
        }
        (more, _) => {
            return Err(Failure::input(format!(
                "--point: found {}, accepted one or two",
                more.len()
            )));
        }
    };
    made.map_err(|error| Failure::input(error.to_string()))
}

/// Time to a goal.
pub(super) fn goal(
    now: &str,
    goal: &str,
    training: Option<u32>,
    unsure: f64,
) -> Result<GoalAnswer, Failure> {
    let (now, goal) = (mass("--now", now)?, mass("--goal", goal)?);
    best_report(now)?;
    best_report(goal)?;
    if !(0.0..=20.0).contains(&unsure) {
        return Err(Failure::input(format!(
            "--unsure: found {unsure}, accepted 0 to 20 percent"
        )));
    }
    if let Some(months) = training.filter(|months| *months > 900) {
        return Err(Failure::input(format!(
            "--training: found {months}, accepted 0 to 900 months"
        )));
    }
    let level = Level {
        day: jiff::civil::Date::ZERO,
        ln_kg: now.kg().ln(),
        variance: (unsure / 100.0).powi(2),
    };
    let time = TimeToGoal::new(&level, goal.kg(), Trend::expected(training));
    let outlook = time.outlook();
    let (early_weeks, late_weeks) = match outlook {
        Outlook::Between { early, late } => (Some(early), Some(late)),
        Outlook::Reached | Outlook::NotOnTrend => (None, None),
    };
    Ok(GoalAnswer {
        now,
        goal,
        outlook: outlook.words(),
        early_weeks,
        late_weeks,
        chance_in_one_year: time.within(52.1775),
        chance_in_five_years: time.within(5.0 * 52.1775),
    })
}
