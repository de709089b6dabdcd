//! Where a height turns: highest and lowest places that differ by enough to be meant.

/// A turn of a height.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Turn {
    /// Sample.
    pub(super) at: usize,
    /// Highest, not lowest.
    pub(super) high: bool,
}

/// Highest and lowest samples in turn, each further than `least` from the one before; the first
/// and the last are where the values begin and end their way.
pub(super) fn turns(values: &[f64], least: f64) -> Vec<Turn> {
    let mut turns = Vec::new();
    let (mut low, mut high) = (0, 0);
    let mut rising: Option<bool> = None;
    for (at, value) in values.iter().enumerate() {
        if *value < values[low] {
            low = at;
        }
        if *value > values[high] {
            high = at;
        }
        let risen = value - values[low] >= least && rising != Some(true);
        let fallen = values[high] - value >= least && rising != Some(false);
        if risen {
            turns.push(Turn {
                at: low,
                high: false,
            });
            rising = Some(true);
            high = at;
        } else if fallen {
            turns.push(Turn {
                at: high,
                high: true,
            });
            rising = Some(false);
            low = at;
        } else if rising == Some(true) {
            low = high;
        } else if rising == Some(false) {
            high = low;
        }
    }
    match rising {
        Some(true) => turns.push(Turn {
            at: high,
            high: true,
        }),
        Some(false) => turns.push(Turn {
            at: low,
            high: false,
        }),
        None => {}
    }
    turns
}

/// Sample with the smallest value in a stretch; its first one when there are several.
pub(super) fn lowest(values: &[f64], from: usize, to: usize) -> usize {
    let stretch = values.get(from..=to).unwrap_or_default().iter().enumerate();
    let lowest = stretch.min_by(|one, other| one.1.total_cmp(other.1));
    from + lowest.map_or(0, |(at, _)| at)
}

/// Sample with the largest value in a stretch.
pub(super) fn highest(values: &[f64], from: usize, to: usize) -> usize {
    let stretch = values.get(from..=to).unwrap_or_default().iter().enumerate();
    let highest = stretch.max_by(|one, other| one.1.total_cmp(other.1));
    from + highest.map_or(0, |(at, _)| at)
}
