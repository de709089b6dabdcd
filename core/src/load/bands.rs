//! What to load beside elastic bands.
//!
//! Bar and bands together come to a total at lockout; at the bottom the bands pull less. Bands
//! should add 10 to 20 % of the best single at the top (careful practice, no source).

use super::band::{Band, BandError, length, load};
use super::guard::CEILING;

/// Share of the best single that bands should pull with at the top, percent.
pub const SHARE_AT_TOP: (f64, f64) = (10.0, 20.0);

/// How the bands run from their anchors to the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandPath {
    /// Height of the bar over the anchor at the bottom of the lift, m.
    pub bottom: f64,
    /// Height of the bar over the anchor at lockout, m.
    pub top: f64,
    /// How far the anchor lies to the side of the bar, m; 0 when right under it.
    pub aside: f64,
}

impl BandPath {
    /// Length of the band and the share of its pull that points down, at a height.
    fn at(&self, height: f64) -> (f64, f64) {
        let length = height.hypot(self.aside);
        (length, height / length)
    }
}

/// What a set-up with bands comes to, all in kg.
#[derive(Clone, Debug, PartialEq)]
pub struct BandLoad {
    /// Bar with plates and collars.
    pub bar: f64,
    /// Pull of all bands at the bottom.
    pub pull_bottom: f64,
    /// Pull of all bands at lockout.
    pub pull_top: f64,
    /// Bar and bands at the bottom.
    pub total_bottom: f64,
    /// Bar and bands at lockout.
    pub total_top: f64,
    /// Pull at lockout as percent of the total there.
    pub percent_of_total: f64,
    /// Pull at lockout as percent of the best single.
    pub percent_of_best: f64,
    /// What to know about it.
    pub warnings: Vec<BandWarning>,
}

/// What to know about a set-up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BandWarning {
    /// Less than a tenth of the best single at the top.
    Weak,
    /// More than a fifth of the best single at the top.
    Strong,
    /// Slack at the bottom: there the bands do nothing.
    SlackAtBottom,
    /// The total at lockout is over 80 % of the best single: the coach's to approve.
    Heavy,
}

impl BandWarning {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Weak => "the bands add under 10 % of the best single at the top: hardly felt",
            Self::Strong => {
                "the bands add over 20 % of the best single at the top: take lighter ones"
            }
            Self::SlackAtBottom => "the bands are slack at the bottom and do nothing there",
            Self::Heavy => {
                "the total at the top is over 80 % of the best single: the coach must approve it"
            }
        }
    }
}

/// A number of equal bands along one path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bands {
    /// One of them.
    pub band: Band,
    /// How many side by side.
    pub count: u32,
    /// Where they run.
    pub path: BandPath,
}

impl Bands {
    /// Pull straight down of all of them at a height of the bar over the anchor, kg.
    pub fn pull(&self, height: f64) -> Result<f64, BandError> {
        if !(1..=8).contains(&self.count) {
            return Err(BandError::Count(self.count));
        }
        if !(0.0..=5.0).contains(&self.path.aside) {
            return Err(BandError::Length {
                field: "aside",
                found: self.path.aside,
            });
        }
        let (length, down) = self.path.at(length("height", height)?);
        Ok(f64::from(self.count) * self.band.tension(length)? * down)
    }

    /// The bar to load so that bar and bands come to `top_kg` at lockout.
    ///
    /// `best_kg` is the best single without bands, `empty_kg` bar and collars. Refuses bands that
    /// leave less than the empty bar, and says which pull would do.
    pub fn load_for(
        &self,
        top_kg: f64,
        best_kg: f64,
        empty_kg: f64,
    ) -> Result<BandLoad, BandError> {
        load("total at the top", top_kg)?;
        load("best single", best_kg)?;
        load("empty bar", empty_kg)?;
        if self.path.top <= self.path.bottom {
            return Err(BandError::Length {
                field: "bar travel",
                found: self.path.top - self.path.bottom,
            });
        }
        let (bottom, top) = (self.pull(self.path.bottom)?, self.pull(self.path.top)?);
        let bar = top_kg - top;
        if bar < empty_kg - 1e-9 {
            return Err(too_strong(top, top_kg - empty_kg, best_kg));
        }
        Ok(Self::described(bar, (bottom, top), best_kg))
    }

    /// What a bar already loaded comes to with these bands.
    pub fn with_bar(&self, bar_kg: f64, best_kg: f64) -> Result<BandLoad, BandError> {
        load("bar", bar_kg)?;
        load("best single", best_kg)?;
        let pulls = (self.pull(self.path.bottom)?, self.pull(self.path.top)?);
        Ok(Self::described(bar_kg, pulls, best_kg))
    }

    /// The figures and what to know about them.
    fn described(bar: f64, (bottom, top): (f64, f64), best_kg: f64) -> BandLoad {
        let total_top = bar + top;
        let percent_of_best = 100.0 * top / best_kg;
        let mut warnings = Vec::new();
        if percent_of_best < SHARE_AT_TOP.0 - 1e-9 {
            warnings.push(BandWarning::Weak);
        }
        if percent_of_best > SHARE_AT_TOP.1 + 1e-9 {
            warnings.push(BandWarning::Strong);
        }
        if bottom <= 0.0 {
            warnings.push(BandWarning::SlackAtBottom);
        }
        if total_top > CEILING * best_kg * (1.0 + 1e-9) {
            warnings.push(BandWarning::Heavy);
        }
        BandLoad {
            bar,
            pull_bottom: bottom,
            pull_top: top,
            total_bottom: bar + bottom,
            total_top,
            percent_of_total: 100.0 * top / total_top,
            percent_of_best,
            warnings,
        }
    }
}

/// Which of several set-ups would do for a total at lockout: those with no refusal and a pull of
/// 10 to 20 % of the best single at the top, by their place in the list.
pub fn bands_that_do(choices: &[Bands], top_kg: f64, best_kg: f64, empty_kg: f64) -> Vec<usize> {
    choices
        .iter()
        .enumerate()
        .filter(|(_, bands)| {
            bands.load_for(top_kg, best_kg, empty_kg).is_ok_and(|load| {
                !load
                    .warnings
                    .iter()
                    .any(|one| matches!(one, BandWarning::Weak | BandWarning::Strong))
            })
        })
        .map(|(place, _)| place)
        .collect()
}

/// The refusal of bands that leave less than the empty bar, with what would do.
fn too_strong(found: f64, most: f64, best_kg: f64) -> BandError {
    let low = SHARE_AT_TOP.0 * best_kg / 100.0;
    let high = (SHARE_AT_TOP.1 * best_kg / 100.0).min(most);
    if low <= high {
        BandError::TooStrong {
            found,
            most,
            low,
            high,
        }
    } else {
        BandError::NoneWouldDo { found, most }
    }
}
