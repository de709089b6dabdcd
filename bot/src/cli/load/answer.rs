//! Answers, as lines for a person and as JSON of a stable shape. Masses are in the reader's unit.

use super::flags::Plainly;
use crate::cli::Failure;
use crate::wording::figures;
use cueline_core::load::{BandLoad, LoadedBar, Prescription};
use cueline_core::quantity::{Mass, MassUnit, plain};
use serde::Serialize;

/// A best single.
#[derive(Debug, Serialize)]
pub(super) struct EstimateAnswer {
    pub(super) best_single: Mass,
    pub(super) low: Mass,
    pub(super) high: Mass,
    pub(super) percent_of_best: Option<f64>,
    pub(super) coarse: bool,
    pub(super) basis: Vec<String>,
    pub(super) doubts: Vec<String>,
}

/// A correction worked out.
#[derive(Debug, Serialize)]
pub(super) struct PlanAnswer {
    pub(super) lift: String,
    pub(super) cause: String,
    pub(super) best_single: Mass,
    pub(super) low: Mass,
    pub(super) high: Mass,
    pub(super) practice: Vec<Prescription>,
    pub(super) doubts: Vec<String>,
}

/// Plates for a bar.
#[derive(Debug, Serialize)]
pub(super) struct PlatesAnswer {
    pub(super) target: Mass,
    pub(super) empty_bar: Mass,
    #[serde(flatten)]
    pub(super) bar: LoadedBar,
}

/// One warm-up set.
#[derive(Debug, Serialize)]
pub(super) struct WarmUpStep {
    #[serde(flatten)]
    pub(super) bar: LoadedBar,
    pub(super) reps: u32,
}

/// A warm-up.
#[derive(Debug, Serialize)]
pub(super) struct WarmUpAnswer {
    pub(super) top: Mass,
    pub(super) steps: Vec<WarmUpStep>,
    pub(super) caution: Option<&'static str>,
}

/// A bar beside bands.
#[derive(Debug, Serialize)]
pub(super) struct BandsAnswer {
    #[serde(flatten)]
    bar: LoadedBar,
    pull_bottom: Mass,
    pull_top: Mass,
    total_bottom: Mass,
    total_top: Mass,
    percent_of_total: f64,
    percent_of_best: f64,
    warnings: Vec<&'static str>,
}

impl BandsAnswer {
    /// The figures of a set-up in the reader's unit.
    pub(super) fn new(bar: LoadedBar, load: &BandLoad, unit: MassUnit) -> Self {
        let mass = |kg| Mass::from_kg(kg, unit);
        Self {
            bar,
            pull_bottom: mass(load.pull_bottom),
            pull_top: mass(load.pull_top),
            total_bottom: mass(load.total_bottom),
            total_top: mass(load.total_top),
            percent_of_total: load.percent_of_total,
            percent_of_best: load.percent_of_best,
            warnings: load.warnings.iter().map(|one| one.words()).collect(),
        }
    }
}

/// When a goal is in reach.
#[derive(Debug, Serialize)]
pub(super) struct GoalAnswer {
    pub(super) now: Mass,
    pub(super) goal: Mass,
    pub(super) outlook: String,
    pub(super) early_weeks: Option<f64>,
    pub(super) late_weeks: Option<f64>,
    pub(super) chance_in_one_year: f64,
    pub(super) chance_in_five_years: f64,
}

/// JSON of an answer.
fn json<T: Serialize>(answer: &T) -> Result<String, Failure> {
    serde_json::to_string(answer).map_err(|error| Failure::Other(error.to_string()))
}

/// A bar with its plates: `142.5 kg (314 lb): 25 + 25 + 10 + 1.25 a side`.
fn bar_line(bar: &LoadedBar) -> String {
    format!("{}: {}", bar.total.both(), figures::plates(bar))
}

/// A share in whole percent, never quite none or all.
fn share(chance: f64) -> String {
    let percent = (100.0 * chance).round();
    if percent < 1.0 {
        "under 1 %".to_owned()
    } else if percent > 99.0 {
        "over 99 %".to_owned()
    } else {
        format!("{} %", plain(percent))
    }
}

impl Plainly for EstimateAnswer {
    fn text(&self) -> String {
        let rough = if self.coarse {
            "very roughly "
        } else {
            "about "
        };
        let mut lines = vec![format!(
            "Best single {rough}{}, four times in five between {} and {}.",
            self.best_single.about(),
            self.low.about(),
            self.high.about()
        )];
        if let Some(percent) = self.percent_of_best {
            lines.push(format!("This set was {} % of it.", plain(percent.round())));
        }
        lines.push(format!("Goes by: {}.", self.basis.join("; ")));
        lines.extend(self.doubts.iter().map(|doubt| format!("Mind: {doubt}.")));
        lines.join("\n")
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}

impl Plainly for PlanAnswer {
    fn text(&self) -> String {
        let mut lines = vec![format!(
            "For {} in the {}; best single about {}, between {} and {}.",
            self.cause,
            self.lift,
            self.best_single.about(),
            self.low.about(),
            self.high.about()
        )];
        for one in &self.practice {
            lines.push(format!("{}, {}:", one.exercise, figures::dose(one)));
            for week in &one.weeks {
                if let Some(bar) = &week.bar {
                    lines.push(format!(
                        "  week {}: {} x {} at {}",
                        week.week,
                        week.sets,
                        week.reps,
                        bar_line(bar)
                    ));
                }
            }
            for more in [&one.basis, &one.note] {
                if !more.is_empty() {
                    lines.push(format!("  {more}"));
                }
            }
        }
        lines.extend(self.doubts.iter().map(|doubt| format!("Mind: {doubt}.")));
        lines.push(
            "Stop on pain, faintness or numbness; then a licensed clinician decides, not a program."
                .to_owned(),
        );
        lines.join("\n")
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}

impl Plainly for PlatesAnswer {
    fn text(&self) -> String {
        let bar = &self.bar;
        let mut line = format!("{} (bar {})", bar_line(bar), self.empty_bar.both());
        if bar.residual.abs() > 0.005 {
            let way = if bar.residual > 0.0 { "under" } else { "over" };
            let by = Mass::new(bar.residual.abs(), bar.total.unit);
            line = format!("{line}; {} {way} what was asked", by.both());
        }
        line
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}

impl Plainly for WarmUpAnswer {
    fn text(&self) -> String {
        let mut lines = vec![format!("To {}:", self.top.both())];
        for step in &self.steps {
            lines.push(format!("  {} x {}", bar_line(&step.bar), step.reps));
        }
        lines.extend(self.caution.map(|caution| format!("Mind: {caution}.")));
        lines.join("\n")
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}

impl Plainly for BandsAnswer {
    fn text(&self) -> String {
        let mut lines = vec![
            format!("Load {}.", bar_line(&self.bar)),
            format!(
                "At lockout the bands pull {}: {} in all.",
                self.pull_top.about(),
                self.total_top.about()
            ),
            format!(
                "At the bottom they pull {}: {} in all.",
                self.pull_bottom.about(),
                self.total_bottom.about()
            ),
            format!(
                "The bands are {} % of the total and {} % of the best single at lockout.",
                plain(self.percent_of_total.round()),
                plain(self.percent_of_best.round())
            ),
        ];
        lines.extend(self.warnings.iter().map(|one| format!("Mind: {one}.")));
        lines.push(
            "Look over bands for cracks and anchors for a firm hold before every set.".to_owned(),
        );
        lines.join("\n")
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}

impl Plainly for GoalAnswer {
    fn text(&self) -> String {
        format!(
            "From {} to {}: {}.\nReached within a year: {}; within five: {}.\n\
             On the usual gain for this training age; a range, no promise.",
            self.now.both(),
            self.goal.both(),
            self.outlook,
            share(self.chance_in_one_year),
            share(self.chance_in_five_years)
        )
    }

    fn json(&self) -> Result<String, Failure> {
        json(self)
    }
}
