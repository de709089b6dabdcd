//! Local times: quiet hours, the hour of a follow-up, over daylight-saving changes.

use super::Rules;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};

/// The lifter's zone; the house's when none is said or it is not known.
pub(super) fn zone(rules: &Rules, said: Option<&str>) -> TimeZone {
    said.and_then(|name| TimeZone::get(name).ok())
        .or_else(|| TimeZone::get(&rules.default_zone).ok())
        .unwrap_or(TimeZone::UTC)
}

/// The full name of a zone, whatever its case.
pub(super) fn named(name: &str) -> Option<String> {
    let zone = TimeZone::get(name).ok()?;
    zone.iana_name().map(str::to_owned)
}

/// The lifter's day.
pub(super) fn today(zone: &TimeZone, now: Timestamp) -> Date {
    zone.to_datetime(now).date()
}

/// The instant of a local time on a day. A time that a daylight-saving change skips or repeats
/// becomes the one a wall clock would show.
pub(super) fn at(zone: &TimeZone, date: Date, time: Time) -> Option<Timestamp> {
    zone.to_timestamp(date.to_datetime(time)).ok()
}

/// `now` when it is not in quiet hours, else the end of the quiet hours.
pub(super) fn after_quiet(rules: &Rules, zone: &TimeZone, now: Timestamp) -> Timestamp {
    let local = zone.to_datetime(now);
    let (from, until) = (rules.quiet_from, rules.quiet_until);
    let date = local.date();
    let end = if from > until {
        // Over midnight: 21:00 to 09:00.
        if local.time() >= from {
            date.checked_add(1.day()).ok()
        } else if local.time() < until {
            Some(date)
        } else {
            None
        }
    } else if local.time() >= from && local.time() < until {
        Some(date)
    } else {
        None
    };
    end.and_then(|date| at(zone, date, until))
        .filter(|end| *end > now)
        .unwrap_or(now)
}
