//! `cueline load`: where a lifter stands and what to load, without a report.
//!
//! Every figure comes from the core; here flags are read and answers are laid out.

mod answer;
mod flags;
#[cfg(test)]
mod tests;
mod work;

use super::Failure;
use clap::{Args, Subcommand};
use flags::{Plainly, Pull};
use std::io::Write as _;
use std::path::Path;

/// A subcommand of `cueline load`.
#[derive(Debug, Subcommand)]
pub(super) enum LoadCommand {
    /// Best single from one set, with its range.
    Estimate(SetFlags),
    /// Sets, repetitions and loads of a cause's correction, week by week.
    Plan {
        #[command(flatten)]
        set: SetFlags,
        /// Cause from the catalog, by its id, such as `c-dl-late-back`.
        #[arg(long)]
        cause: String,
        #[command(flatten)]
        rack: RackFlags,
    },
    /// Plates for a bar.
    Plates {
        /// Load with its unit: 142.5kg, 315lb.
        load: String,
        /// The nearest total, even above the load; else never above.
        #[arg(long)]
        nearest: bool,
        #[command(flatten)]
        rack: RackFlags,
        /// The answer as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Bar to load beside elastic bands.
    Bands(BandFlags),
    /// Warm-up sets to a load.
    WarmUp {
        /// Load with its unit: 142.5kg, 315lb.
        load: String,
        /// Best single with its unit; says whether the load is heavy for the lifter.
        #[arg(long)]
        best: Option<String>,
        #[command(flatten)]
        rack: RackFlags,
        /// The answer as JSON.
        #[arg(long)]
        json: bool,
    },
    /// When a goal is in reach, as a range.
    Goal {
        /// Best single now, with its unit.
        #[arg(long)]
        now: String,
        /// Goal, with its unit.
        #[arg(long)]
        goal: String,
        /// Months of training so far.
        #[arg(long, value_name = "MONTHS", value_parser = flags::count)]
        training: Option<u32>,
        /// How sure the best single is, percent either way (one standard deviation).
        #[arg(long, default_value_t = 3.0, value_name = "PERCENT", value_parser = flags::percent)]
        unsure: f64,
        /// The answer as JSON.
        #[arg(long)]
        json: bool,
    },
}

/// One set.
#[derive(Args, Debug)]
pub(super) struct SetFlags {
    /// squat, bench or deadlift.
    #[arg(long)]
    lift: Option<String>,
    /// Load with its unit: 142.5kg, 315lb.
    #[arg(long)]
    load: String,
    /// Repetitions completed.
    #[arg(long, value_parser = flags::count)]
    reps: u32,
    /// Effort as RPE, 1 to 10: 8, 8.5 or 8-9.
    #[arg(long, conflicts_with = "rir")]
    rpe: Option<String>,
    /// Repetitions in reserve: 2 or 1-2.
    #[arg(long)]
    rir: Option<String>,
    /// One more repetition was tried and missed.
    #[arg(long)]
    missed: bool,
    /// Best single known from before, with its unit.
    #[arg(long)]
    best: Option<String>,
    /// Months of training so far.
    #[arg(long, value_name = "MONTHS", value_parser = flags::count)]
    training: Option<u32>,
    /// The answer as JSON.
    #[arg(long)]
    json: bool,
}

/// Bar and plates; what is usual in a gym of the load's unit when absent.
#[derive(Args, Debug)]
pub(super) struct RackFlags {
    /// Empty bar with its unit.
    #[arg(long)]
    bar: Option<String>,
    /// Both collars together, with their unit.
    #[arg(long)]
    collars: Option<String>,
    /// Pairs of plates, in the bar's unit: 25x4,20x2,10x1.
    #[arg(long)]
    pairs: Option<String>,
}

/// Bands on a bar.
#[derive(Args, Debug)]
pub(super) struct BandFlags {
    /// Best single without bands, with its unit.
    #[arg(long)]
    best: String,
    /// Total wanted at lockout, bar and bands, with its unit.
    #[arg(long)]
    total: String,
    /// A measured point, length and pull: 1.3m=10kg; once or twice.
    #[arg(long, required = true, value_name = "LENGTH=PULL")]
    point: Vec<Pull>,
    /// Length at which the band begins to pull: 1m, 40in.
    #[arg(long)]
    slack: Option<String>,
    /// How many bands.
    #[arg(long, default_value_t = 2, value_parser = flags::count)]
    count: u32,
    /// The band is folded in half.
    #[arg(long)]
    folded: bool,
    /// Height of the bar over the anchor at the bottom.
    #[arg(long)]
    bottom: String,
    /// Height of the bar over the anchor at lockout.
    #[arg(long)]
    top: String,
    /// How far the anchor lies to the side of the bar.
    #[arg(long)]
    aside: Option<String>,
    #[command(flatten)]
    rack: RackFlags,
    /// The answer as JSON.
    #[arg(long)]
    json: bool,
}

/// Answers one question.
pub(super) fn run(config: Option<&Path>, command: LoadCommand) -> Result<(), Failure> {
    let (json, answer) = answer(config, command)?;
    let mut out = std::io::stdout().lock();
    if json {
        writeln!(out, "{}", answer.json()?)?;
    } else {
        writeln!(out, "{}", answer.text())?;
    }
    Ok(())
}

/// The answer, and whether it is wanted as JSON.
fn answer(
    config: Option<&Path>,
    command: LoadCommand,
) -> Result<(bool, Box<dyn Plainly>), Failure> {
    Ok(match command {
        LoadCommand::Estimate(set) => (set.json, Box::new(work::estimate(&set)?)),
        LoadCommand::Plan { set, cause, rack } => {
            (set.json, Box::new(work::plan(config, &set, &cause, &rack)?))
        }
        LoadCommand::Plates {
            load,
            nearest,
            rack,
            json,
        } => (json, Box::new(work::plates(&load, nearest, &rack)?)),
        LoadCommand::Bands(bands) => (bands.json, Box::new(work::bands(&bands)?)),
        LoadCommand::WarmUp {
            load,
            best,
            rack,
            json,
        } => (
            json,
            Box::new(work::warm_up(&load, best.as_deref(), &rack)?),
        ),
        LoadCommand::Goal {
            now,
            goal,
            training,
            unsure,
            json,
        } => (json, Box::new(work::goal(&now, &goal, training, unsure)?)),
    })
}
