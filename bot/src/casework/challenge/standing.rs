//! The table of a season: few answers count little, nobody is named who does not want to be.

use crate::casework::turn::Turn;
use crate::casework::{Rules, times};
use crate::record::SeasonSum;
use crate::wording::community;
use cueline_core::challenge::{Entrant, Place, standing};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan as _};
use serde::Deserialize;
use std::collections::BTreeMap;

/// How long a season is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Season {
    /// A calendar month.
    Month,
    /// A quarter of a calendar year.
    #[default]
    Quarter,
    /// A calendar year.
    Year,
}

/// The season a moment lies in, in the house's zone: its first moment, the first after it, its first
/// day. A challenge belongs to the season it closes in.
pub fn season(rules: &Rules, now: Timestamp) -> Option<(Timestamp, Timestamp, Date)> {
    let zone: TimeZone = times::zone(rules, None);
    let today = zone.to_datetime(now).date();
    let (month, months) = match rules.challenges.season {
        Season::Month => (today.month(), 1),
        Season::Quarter => ((today.month() - 1) / 3 * 3 + 1, 3),
        Season::Year => (1, 12),
    };
    let first = Date::new(today.year(), month, 1).ok()?;
    let next = first.checked_add(months.months()).ok()?;
    let at = |date: Date| zone.to_timestamp(date.at(0, 0, 0, 0)).ok();
    Some((at(first)?, at(next)?, first))
}

/// The table in words; `own` is whose own line is added.
pub(super) fn table(turn: &Turn<'_>, own: Option<&str>) -> String {
    let rules = turn.known.rules;
    let first = season(rules, turn.now).map(|(_, _, first)| first);
    let sums = &turn.known.community.season;
    let least = rules.challenges.least_entries;
    community::standing(
        turn.known.words,
        first,
        &places(sums, least),
        sums,
        own,
        least,
    )
}

/// Everybody with enough marks who may be named. The marks of the others count for the spreads of
/// the season, and leave no gap in the places.
fn places(sums: &[SeasonSum], least: usize) -> Vec<Place> {
    let entrants: Vec<Entrant> = sums
        .iter()
        .map(|sum| {
            let entries = usize::try_from(sum.entries).unwrap_or(usize::MAX);
            Entrant::from_sums(sum.person_id.as_str(), entries, sum.sum, sum.squares)
        })
        .collect();
    let hidden: BTreeMap<&str, bool> = sums
        .iter()
        .map(|sum| (sum.person_id.as_str(), sum.hidden))
        .collect();
    let mut named: Vec<Place> = standing(&entrants, least)
        .into_iter()
        .filter(|place| hidden.get(place.member.as_str()) != Some(&true))
        .collect();
    let mut before: Option<(usize, usize)> = None;
    for (at, place) in named.iter_mut().enumerate() {
        let was = place.place;
        place.place = match before {
            Some((old, new)) if old == was => new,
            _ => at + 1,
        };
        before = Some((was, place.place));
    }
    named
}
