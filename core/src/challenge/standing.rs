//! The table of a season, by shrinkage: few answers count little, however good they were.
//!
//! Marks are a member's own level plus chance: a random-effects model with one level a member. The
//! spread of chance within members and of levels between members come from the season itself, by the
//! analysis-of-variance estimates for unequal numbers (Searle, Casella and `McCulloch` 1992, Variance
//! Components, section 3.6). A member's level is then drawn towards the mean of all by as much as
//! their own marks leave unsure (Efron and Morris 1975, "Data analysis using Stein's estimator and
//! its generalizations", Journal of the American Statistical Association 70, 311-319).

use serde::{Deserialize, Serialize};

/// One member's marks of a season, as far as a table needs them.
#[derive(Clone, Debug, PartialEq)]
pub struct Entrant {
    /// Who, by whatever names them.
    pub member: String,
    /// How many marks.
    pub entries: usize,
    /// Their mean; 0 without a mark.
    pub mean: f64,
    /// Sum of their squared distances from the mean.
    pub inside: f64,
}

impl Entrant {
    /// From the marks themselves, in any order.
    pub fn new(member: impl Into<String>, marks: &[f64]) -> Self {
        let mean = mean_of(marks);
        Self {
            member: member.into(),
            entries: marks.len(),
            mean,
            inside: marks.iter().map(|mark| (mark - mean).powi(2)).sum(),
        }
    }

    /// From what a database adds up: how many, their sum, the sum of their squares.
    pub fn from_sums(member: impl Into<String>, entries: usize, sum: f64, squares: f64) -> Self {
        let mean = if entries == 0 {
            0.0
        } else {
            sum / entries as f64
        };
        Self {
            member: member.into(),
            entries,
            mean,
            // Rounding may leave a hair below nothing where all marks are the same.
            inside: (squares - sum * mean).max(0.0),
        }
    }
}

/// The spreads of a season.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeasonModel {
    /// Mean over members, each weighed by how much is known of them.
    pub mean: f64,
    /// Variance of marks within a member.
    pub within: f64,
    /// Variance of levels between members; 0 when marks show no difference between members.
    pub between: f64,
}

/// One line of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Place, from 1; equals share one.
    pub place: usize,
    /// Who.
    pub member: String,
    /// Level after shrinkage, in points of a mark.
    pub level: f64,
    /// How unsure that is, as a standard deviation.
    pub spread: f64,
    /// Plain mean of their marks.
    pub mean: f64,
    /// How many marks.
    pub entries: usize,
}

/// Variance taken within members where no member has two marks yet: that of a mark 30 points off
/// either way (our judgement, no source).
const WITHIN_UNKNOWN: f64 = 900.0;

/// Levels closer than this share a place.
const TIE: f64 = 1e-9;

/// The spreads of a season; none without a mark.
pub fn season_model(entrants: &[Entrant]) -> Option<SeasonModel> {
    let groups: Vec<(f64, f64)> = entrants
        .iter()
        .filter(|entrant| entrant.entries > 0)
        .map(|entrant| (entrant.entries as f64, entrant.mean))
        .collect();
    let all: f64 = groups.iter().map(|(n, _)| n).sum();
    if groups.is_empty() {
        return None;
    }
    let members = groups.len() as f64;
    let grand = groups.iter().map(|(n, mean)| n * mean).sum::<f64>() / all;
    let inside: f64 = entrants.iter().map(|entrant| entrant.inside).sum();
    let within = if all > members {
        inside / (all - members)
    } else {
        WITHIN_UNKNOWN
    };
    let between = if groups.len() > 1 {
        let across: f64 = groups
            .iter()
            .map(|(n, mean)| n * (mean - grand).powi(2))
            .sum();
        let squares: f64 = groups.iter().map(|(n, _)| n * n).sum();
        let usual = (all - squares / all) / (members - 1.0);
        ((across / (members - 1.0) - within) / usual).max(0.0)
    } else {
        0.0
    };
    let weigh = |n: f64| 1.0 / (between + within / n);
    let weights: f64 = groups.iter().map(|(n, _)| weigh(*n)).sum();
    let mean = if weights.is_finite() && weights > 0.0 {
        groups.iter().map(|(n, mean)| weigh(*n) * mean).sum::<f64>() / weights
    } else {
        grand
    };
    Some(SeasonModel {
        mean,
        within,
        between,
    })
}

/// The table: who has at least `least` marks, the highest level first. All marks count for the
/// season's spreads, also those of members with too few for a place.
pub fn standing(entrants: &[Entrant], least: usize) -> Vec<Place> {
    let Some(model) = season_model(entrants) else {
        return Vec::new();
    };
    let mut table: Vec<Place> = entrants
        .iter()
        .filter(|entrant| entrant.entries > 0 && entrant.entries >= least)
        .map(|entrant| line(entrant, model))
        .collect();
    table.sort_by(|a, b| {
        b.level
            .total_cmp(&a.level)
            .then_with(|| a.member.cmp(&b.member))
    });
    let mut before: Option<(usize, f64)> = None;
    for (at, line) in table.iter_mut().enumerate() {
        line.place = match before {
            Some((place, level)) if level - line.level <= TIE => place,
            _ => at + 1,
        };
        before = Some((line.place, line.level));
    }
    table
}

fn line(entrant: &Entrant, model: SeasonModel) -> Place {
    let n = entrant.entries as f64;
    let mean = entrant.mean;
    let chance = model.within / n;
    let trust = if model.between + chance > 0.0 {
        model.between / (model.between + chance)
    } else {
        0.0
    };
    Place {
        place: 0,
        member: entrant.member.clone(),
        level: model.mean + trust * (mean - model.mean),
        spread: (trust * chance).sqrt(),
        mean,
        entries: entrant.entries,
    }
}

/// Mean; 0 for none.
fn mean_of(marks: &[f64]) -> f64 {
    if marks.is_empty() {
        0.0
    } else {
        marks.iter().sum::<f64>() / marks.len() as f64
    }
}
