//! Which cases fit the session best: an exact choice under the minutes given.
//!
//! A programme over minutes, exact because the worth of a choice adds up: each case brings its own,
//! the first of its lift and the first of its stage bring one more each. Cases are gone through
//! lift by lift and stage by stage, so that two marks ("this lift has one", "this stage has one")
//! are all that has to be remembered of what was taken before (a knapsack with set-up gains;
//! Bellman 1957 for the principle).

use std::ops::Add;

/// Cases weighed against one another, at most; one bit each.
pub(super) const MOST_OFFERS: usize = 128;

/// A case offered to the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Offer {
    /// Minutes it takes, at least one.
    pub(super) minutes: u32,
    /// Its lift, as a number.
    pub(super) lift: usize,
    /// The stage of its cause, as a number.
    pub(super) stage: usize,
    /// Chosen before and not answered since.
    pub(super) carried: bool,
    /// Promised for before now.
    pub(super) overdue: bool,
    /// Promised.
    pub(super) promised: bool,
    /// What others learn from it.
    pub(super) value: i64,
}

/// What a choice is worth; compared from the first field on, each outweighs all after it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    carried: i64,
    overdue: i64,
    promised: i64,
    lifts: i64,
    stages: i64,
    value: i64,
    /// Minutes, negative: of two equal choices the shorter.
    spared: i64,
}

impl Add for Worth {
    type Output = Self;

    fn add(self, more: Self) -> Self {
        Self {
            carried: self.carried + more.carried,
            overdue: self.overdue + more.overdue,
            promised: self.promised + more.promised,
            lifts: self.lifts + more.lifts,
            stages: self.stages + more.stages,
            value: self.value + more.value,
            spared: self.spared + more.spared,
        }
    }
}

impl Worth {
    /// What one case brings, whatever else is taken.
    fn of(offer: &Offer) -> Self {
        Self {
            carried: offer.carried.into(),
            overdue: offer.overdue.into(),
            promised: offer.promised.into(),
            value: offer.value,
            spared: -i64::from(offer.minutes),
            ..Self::default()
        }
    }
}

/// The best choice so far, and which cases it took.
type Best = Option<(Worth, u128)>;

/// What may be remembered at one number of minutes: by "this lift has one", "this stage has one".
type Marks = [[Best; 2]; 2];

/// The places of the offers chosen, in order of place. Offers beyond [`MOST_OFFERS`] are not
/// looked at.
pub(super) fn choose(offers: &[Offer], minutes: u32) -> Vec<usize> {
    let budget = usize::try_from(minutes).unwrap_or(usize::MAX).min(1_440);
    let mut order: Vec<(usize, &Offer)> = offers.iter().take(MOST_OFFERS).enumerate().collect();
    order.sort_by_key(|(place, offer)| (offer.lift, offer.stage, *place));
    let mut table: Vec<Marks> = vec![Marks::default(); budget + 1];
    if let Some(start) = table.first_mut() {
        start[0][0] = Some((Worth::default(), 0));
    }
    let mut before: Option<&Offer> = None;
    for (place, offer) in order {
        let new_lift = before.is_none_or(|before| before.lift != offer.lift);
        let new_stage = new_lift || before.is_none_or(|before| before.stage != offer.stage);
        if new_stage {
            for marks in &mut table {
                forget(marks, new_lift);
            }
        }
        take(&mut table, place, offer);
        before = Some(offer);
    }
    let best = table.iter().flatten().flatten().flatten();
    let taken = best
        .fold(None, |best: Best, found| Some(better(best, *found)))
        .map_or(0, |(_, taken)| taken);
    (0..offers.len().min(MOST_OFFERS))
        .filter(|place| taken >> place & 1 == 1)
        .collect()
}

/// The better of two choices; the first of two equal ones.
fn better(best: Best, found: (Worth, u128)) -> (Worth, u128) {
    best.filter(|best| best.0 >= found.0).unwrap_or(found)
}

/// Begins a new stage, or a new lift: its mark is off.
fn forget(marks: &mut Marks, lift: bool) {
    let old = std::mem::take(marks);
    for (by_lift, stages) in old.into_iter().enumerate() {
        let kept = if lift { 0 } else { by_lift };
        for found in stages.into_iter().flatten() {
            marks[kept][0] = Some(better(marks[kept][0], found));
        }
    }
}

/// Offers one case to every choice that leaves it the time.
fn take(table: &mut [Marks], place: usize, offer: &Offer) {
    let cost = usize::try_from(offer.minutes.max(1)).unwrap_or(usize::MAX);
    // From the most minutes down, so that no case is taken twice.
    for used in (0..table.len().saturating_sub(cost)).rev() {
        let Some(from) = table.get(used).copied() else {
            continue;
        };
        let Some(to) = table.get_mut(used + cost) else {
            continue;
        };
        for (lift, stages) in from.iter().enumerate() {
            for (stage, found) in stages.iter().enumerate() {
                let Some((worth, taken)) = found else {
                    continue;
                };
                let first = Worth {
                    lifts: i64::from(lift == 0),
                    stages: i64::from(stage == 0),
                    ..Worth::default()
                };
                let worth = *worth + Worth::of(offer) + first;
                to[1][1] = Some(better(to[1][1], (worth, taken | 1 << place)));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    /// Worth and minutes of a choice, counted without any of the above.
    fn plainly(offers: &[Offer], places: &[usize]) -> (Worth, u32) {
        let chosen: Vec<&Offer> = places.iter().map(|place| &offers[*place]).collect();
        let count = |of: fn(&Offer) -> bool| {
            i64::try_from(chosen.iter().filter(|offer| of(offer)).count()).unwrap_or(0)
        };
        let lifts: BTreeSet<usize> = chosen.iter().map(|offer| offer.lift).collect();
        let stages: BTreeSet<(usize, usize)> = chosen.iter().map(|o| (o.lift, o.stage)).collect();
        let minutes = chosen.iter().map(|offer| offer.minutes).sum();
        let worth = Worth {
            carried: count(|offer| offer.carried),
            overdue: count(|offer| offer.overdue),
            promised: count(|offer| offer.promised),
            lifts: i64::try_from(lifts.len()).unwrap_or(0),
            stages: i64::try_from(stages.len()).unwrap_or(0),
            value: chosen.iter().map(|offer| offer.value).sum(),
            spared: -i64::from(minutes),
        };
        (worth, minutes)
    }

    /// The best worth of all choices there are.
    fn every_choice(offers: &[Offer], minutes: u32) -> Worth {
        let fits = |mask: &u32| {
            let places: Vec<usize> = (0..offers.len()).filter(|i| mask >> i & 1 == 1).collect();
            let (worth, used) = plainly(offers, &places);
            (used <= minutes).then_some(worth)
        };
        (0..1_u32 << offers.len())
            .filter_map(|mask| fits(&mask))
            .max()
            .unwrap_or_default()
    }

    fn offer() -> impl Strategy<Value = Offer> {
        (1_u32..14, 0_usize..4, 0_usize..5, 0_u8..8, 0_i64..12).prop_map(
            |(minutes, lift, stage, marks, value)| Offer {
                minutes,
                lift,
                stage,
                carried: marks & 1 == 1,
                overdue: marks & 2 == 2,
                promised: marks & 4 == 4,
                value,
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        #[test]
        fn no_other_choice_is_better(
            offers in prop::collection::vec(offer(), 0..11),
            minutes in 0_u32..50,
        ) {
            let places = choose(&offers, minutes);
            let (worth, used) = plainly(&offers, &places);
            prop_assert!(used <= minutes);
            prop_assert_eq!(worth, every_choice(&offers, minutes));
        }
    }

    #[test]
    fn the_greedy_choice_by_value_for_minutes_is_beaten() {
        let plain = |minutes, value| Offer {
            minutes,
            value,
            ..Offer::default()
        };
        // By value for each minute the first comes first, and then nothing else fits.
        let offers = [plain(6, 7), plain(5, 5), plain(5, 5)];
        assert_eq!(choose(&offers, 10), [1, 2]);
    }

    #[test]
    fn a_case_carried_over_outweighs_any_number_of_others() {
        let carried = Offer {
            minutes: 10,
            carried: true,
            ..Offer::default()
        };
        let promised = Offer {
            minutes: 2,
            promised: true,
            value: 10,
            ..Offer::default()
        };
        let offers = [promised, promised, carried, promised];
        assert_eq!(choose(&offers, 10), [2]);
        assert_eq!(choose(&offers, 12), [0, 2]);
    }

    #[test]
    fn more_cases_than_can_be_weighed_are_no_trouble() {
        let one = Offer {
            minutes: 1,
            ..Offer::default()
        };
        let chosen = choose(&vec![one; 300], 1_000_000);
        // Of equal worth the shorter: one is enough for the lift and the stage.
        assert_eq!(chosen.len(), 1);
        assert!(choose(&[], 20).is_empty());
        assert!(choose(&[one], 0).is_empty());
    }
}
