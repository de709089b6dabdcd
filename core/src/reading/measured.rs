//! Measured things of one text, as the wordings of flags ask for them.

use super::measure::{ages, fevers, lengths, masses, percents, pressures};
use super::prepared::Prepared;
use super::said::{At, Said};
use crate::catalog::pattern::Term;

/// Measured things of one text, found once.
pub(super) struct Measures {
    days: Vec<(f64, At)>,
    ages: Vec<(f64, At)>,
    pressures: Vec<(f64, f64, At)>,
    fevers: Vec<At>,
    percents: Vec<At>,
    masses: Vec<At>,
}

impl Measures {
    pub(super) fn new(said: &Said) -> Self {
        let words = &said.words;
        Self {
            days: lengths(words).iter().map(|l| (l.days, l.at)).collect(),
            ages: ages(words),
            pressures: pressures(words),
            fevers: fevers(words),
            percents: percents(words),
            masses: masses(words),
        }
    }

    /// The places of every measured thing that wordings use.
    pub(super) fn all(&self, prepared: &Prepared) -> Vec<Vec<At>> {
        prepared
            .measured
            .iter()
            .map(|term| self.places(term))
            .collect()
    }

    /// Where a measured thing is said.
    fn places(&self, term: &Term) -> Vec<At> {
        let within = |list: &[(f64, At)], low: u32, high: u32| -> Vec<At> {
            list.iter()
                .filter(|(value, _)| *value >= f64::from(low) && *value <= f64::from(high))
                .map(|(_, at)| *at)
                .collect()
        };
        match term {
            Term::Days(low, high) => within(&self.days, *low, *high),
            Term::Age(low, high) => within(&self.ages, *low, *high),
            Term::Pressure(high) => self
                .pressures
                .iter()
                .filter(|(upper, lower, _)| *upper >= f64::from(*high) || *lower >= 110.0)
                .map(|(_, _, at)| *at)
                .collect(),
            Term::Fever => self.fevers.clone(),
            Term::Percent => self.percents.clone(),
            Term::Mass => self.masses.clone(),
            Term::Group(_) | Term::Literal(_) => Vec::new(),
        }
    }
}
