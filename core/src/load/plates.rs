//! Which plates to put on the bar: exact search over what is at hand.
//!
//! Taking the heaviest plate that fits, again and again, is right for the usual kilogram set but
//! not for pounds with 35s (60 a side: 45+10+5 against 35+25) nor for few plates, so the search
//! looks at every sum the plates can make. Masses are whole steps of 1/200 of the plates' unit
//! (5 g, 0.005 lb); a plate that is no whole number of steps is left off rather than rounded.

use crate::quantity::{Mass, MassUnit};
use crate::report::Plates;
use serde::{Deserialize, Serialize};

/// Steps in one unit of mass.
const STEPS: f64 = 200.0;

/// Ten-thousandths of a step: what two sums must differ by to count as different.
const FINE: i64 = 10_000;

/// A target is met when missed by no more than this, in the plates' unit: less than any scale
/// shows, more than converting between units can lose.
const SLACK: f64 = 1e-6;

/// No bar holds more than this, in either unit; keeps the search small whatever is asked.
const MOST: f64 = 2000.0;

/// A bar that can be loaded: the total and what hangs on each side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoadedBar {
    /// Total with bar and collars, in the plates' unit.
    pub total: Mass,
    /// Plates on each side, heaviest first, each written once a plate, in the plates' unit.
    pub per_side: Vec<f64>,
    /// Target minus total, in the plates' unit; positive when the bar is lighter than asked.
    pub residual: f64,
}

/// How a target is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// Nearest loadable total.
    Nearest,
    /// Never above the target.
    Down,
}

/// How far the empty bar is over a target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarOver {
    /// Bar and collars.
    pub bar: Mass,
    /// Bar and collars minus the target.
    pub by: Mass,
    /// The same as percent of the target.
    pub percent: f64,
}

/// The usual plates of a gym that counts in `unit` (common practice, no source): a 20 kg or
/// 45 lb bar, collars not counted, totals in steps of 2.5 kg or 5 lb.
pub fn usual_plates(unit: MassUnit) -> Plates {
    let (bar, pairs) = match unit {
        MassUnit::Kg => (
            20.0,
            vec![
                (25.0, 6),
                (20.0, 2),
                (15.0, 1),
                (10.0, 2),
                (5.0, 2),
                (2.5, 1),
                (1.25, 1),
            ],
        ),
        MassUnit::Lb => (
            45.0,
            vec![
                (45.0, 8),
                (35.0, 1),
                (25.0, 2),
                (10.0, 2),
                (5.0, 2),
                (2.5, 1),
            ],
        ),
    };
    Plates {
        unit,
        bar,
        collars: 0.0,
        pairs,
    }
}

/// The best way to load `target` with `plates`; none when the target is below the empty bar.
///
/// Best is, in this order: nearest to the target, below it rather than above, fewest plates on a
/// side, heavier plates first.
pub fn load_bar(target: Mass, plates: &Plates, rounding: Rounding) -> Option<LoadedBar> {
    let asked = target.in_unit(plates.unit).value;
    let empty = plates.bar + plates.collars;
    if !asked.is_finite() || !empty.is_finite() || empty <= 0.0 || asked < empty - SLACK {
        return None;
    }
    let rack = Rack::new(plates);
    let gap = (asked - empty).clamp(0.0, MOST);
    let (steps, per_side) = rack.nearest(gap, rounding)?;
    let total = empty + 2.0 * steps as f64 / STEPS;
    Some(LoadedBar {
        total: Mass::new(total, plates.unit),
        per_side,
        residual: asked - total,
    })
}

/// How far the empty bar is over the target; none when the bar alone is not too heavy.
pub fn bar_over(target: Mass, plates: &Plates) -> Option<BarOver> {
    let asked = target.in_unit(plates.unit).value;
    let empty = plates.bar + plates.collars;
    let over = empty - asked;
    (asked.is_finite() && asked > 0.0 && over > SLACK).then(|| BarOver {
        bar: Mass::new(empty, plates.unit),
        by: Mass::new(over, plates.unit),
        percent: 100.0 * over / asked,
    })
}

/// One size of plate, in steps.
#[derive(Clone, Copy)]
struct Size {
    /// As marked, in the plates' unit.
    marked: f64,
    /// In steps.
    steps: usize,
    /// Plates for one side.
    count: usize,
}

/// The plates for one side, lightest first.
struct Rack {
    sizes: Vec<Size>,
    /// Greatest common divisor of all sizes, in steps: sums are multiples of it.
    grain: usize,
}

/// Fewest plates for a sum that cannot be made.
const NEVER: u16 = u16::MAX;

/// No side of a bar takes more plates of one size than this.
const MOST_OF_ONE: usize = 1_000;

/// Fewest plates for every sum, a row for each number of sizes taken from the light end.
struct Table {
    rows: Vec<Vec<u16>>,
}

impl Table {
    /// Fewest plates of the first `sizes` sizes that make `cell`.
    fn fewest(&self, sizes: usize, cell: usize) -> u16 {
        let row = self.rows.get(sizes);
        row.and_then(|row| row.get(cell)).copied().unwrap_or(NEVER)
    }
}

impl Rack {
    /// Sorts the plates and finds their common grain.
    fn new(plates: &Plates) -> Self {
        let mut sizes: Vec<Size> = plates
            .pairs
            .iter()
            .filter_map(|&(marked, pairs)| {
                Some(Size {
                    marked,
                    steps: whole_steps(marked)?,
                    count: usize::try_from(pairs).map_or(MOST_OF_ONE, |n| n.min(MOST_OF_ONE)),
                })
            })
            .collect();
        sizes.sort_by_key(|size| size.steps);
        let grain = sizes.iter().fold(0, |g, size| gcd(g, size.steps)).max(1);
        Self { sizes, grain }
    }

    /// The best sum for `gap` (both sides together) in steps on one side, with its plates.
    fn nearest(&self, gap: f64, rounding: Rounding) -> Option<(usize, Vec<f64>)> {
        let heaviest = self.sizes.last().map_or(0, |size| size.steps);
        let all = self.sizes.iter().fold(0_usize, |sum, size| {
            sum.saturating_add(size.steps.saturating_mul(size.count))
        });
        // The least sum above the target is above it by less than one plate.
        let reach = (floor_steps(gap / 2.0) + heaviest + 1).min(all);
        let cells = reach / self.grain;
        let table = self.fewest_plates(cells);
        let wanted = fine_steps(gap);
        let over = |cell: usize| {
            let made = i64::try_from(2 * cell * self.grain).unwrap_or(i64::MAX / FINE) * FINE;
            made - wanted
        };
        let made = |cell: &usize| table.fewest(self.sizes.len(), *cell) != NEVER;
        // Cells lie further apart than the slack, so one on each side of the target is enough.
        let start = (floor_steps(gap / 2.0) / self.grain + 1).min(cells);
        let below = (0..=start)
            .rev()
            .find(|cell| over(*cell) <= fine_steps(SLACK) && made(cell));
        let above = match rounding {
            Rounding::Down => None,
            Rounding::Nearest => (start..=cells).find(|cell| over(*cell) > 0 && made(cell)),
        };
        let cell = below
            .into_iter()
            .chain(above)
            .min_by_key(|cell| (over(*cell).abs(), over(*cell) > 0))?;
        Some((cell * self.grain, self.pick(&table, cell)))
    }

    /// The fewest plates for every sum (bounded knapsack). The plates of one size are added in
    /// bundles of 1, 2, 4 and so on, which make every number up to the count, so the work grows
    /// with the logarithm of the count and runs through memory in order.
    fn fewest_plates(&self, cells: usize) -> Table {
        let mut first = vec![NEVER; cells + 1];
        if let Some(zero) = first.first_mut() {
            *zero = 0;
        }
        let mut rows = Vec::with_capacity(self.sizes.len() + 1);
        let mut before = Vec::with_capacity(cells + 1);
        rows.push(first.clone());
        let mut now = first;
        for size in &self.sizes {
            let step = size.steps / self.grain;
            let mut left = size.count.min(cells / step);
            let mut bundle = 1;
            while left > 0 {
                let plates = bundle.min(left);
                before.clone_from(&now);
                let more = u16::try_from(plates).unwrap_or(NEVER);
                for (fewest, less) in now.iter_mut().skip(plates * step).zip(&before) {
                    *fewest = (*fewest).min(less.saturating_add(more));
                }
                left -= plates;
                bundle *= 2;
            }
            rows.push(now.clone());
        }
        Table { rows }
    }

    /// The plates of one sum: as few as can be, as many of the heavy ones as that allows.
    fn pick(&self, table: &Table, cell: usize) -> Vec<f64> {
        let mut plates = Vec::new();
        let mut left = cell;
        for (index, size) in self.sizes.iter().enumerate().rev() {
            let step = size.steps / self.grain;
            let aim = table.fewest(index + 1, left);
            let used = (0..=size.count.min(left / step))
                .rev()
                .find(|&used| {
                    let more = u16::try_from(used).unwrap_or(NEVER);
                    table.fewest(index, left - used * step).saturating_add(more) == aim
                })
                .unwrap_or(0);
            plates.extend(std::iter::repeat_n(size.marked, used));
            left -= used * step;
        }
        plates
    }
}

/// A plate in whole steps; none when it is not a sensible plate or no whole number of steps.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a whole number between 1 and 100 000"
)]
fn whole_steps(marked: f64) -> Option<usize> {
    let steps = (marked * STEPS).round();
    let sensible = steps >= 1.0 && marked <= 500.0 && (marked * STEPS - steps).abs() < 1e-6;
    sensible.then_some(steps as usize)
}

/// Whole steps in a mass of at most [`MOST`].
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and 400 000"
)]
fn floor_steps(mass: f64) -> usize {
    (mass.clamp(0.0, MOST) * STEPS) as usize
}

/// A mass in ten-thousandths of a step, so that ties are ties.
#[expect(
    clippy::cast_possible_truncation,
    reason = "at most 2000 * 200 * 10 000"
)]
fn fine_steps(mass: f64) -> i64 {
    (mass * STEPS * FINE as f64).round() as i64
}

/// Greatest common divisor (Euclid).
fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}
