//! A closing time as a coach says it: `friday 18:00`, `tomorrow 6pm`, `2026-03-06 18:00`, `in 3 days`.

use jiff::civil::{Date, Time, Weekday};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan as _};

/// The day of a closing time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Day {
    /// So many days from today.
    In(i32),
    /// The next such day; today when the time is still to come.
    Next(Weekday),
    /// That very day.
    On(Date),
}

/// A closing time, not tied to a zone yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct When {
    day: Day,
    at: Time,
}

/// Time of day when none is said.
const USUAL: Time = Time::constant(18, 0, 0, 0);

/// Reads a closing time from lower-case words; none when any of them is something else.
pub(super) fn when(words: &[&str]) -> Option<When> {
    let words: Vec<&str> = words
        .iter()
        .map(|word| word.trim_matches([',', '.', '!']))
        .filter(|word| !word.is_empty() && !matches!(*word, "at" | "on" | "next" | "the"))
        .collect();
    let time = |rest: &[&str]| match rest {
        [] => Some(USUAL),
        [word] => time_of(word),
        [word, half @ ("am" | "pm")] => time_of(&format!("{word}{half}")),
        _ => None,
    };
    let (day, rest) = match words.as_slice() {
        ["today", rest @ ..] => (Day::In(0), rest),
        ["tomorrow", rest @ ..] => (Day::In(1), rest),
        ["in", count, "day" | "days", rest @ ..] => (Day::In(days(count, 1)?), rest),
        ["in", count, "week" | "weeks", rest @ ..] => (Day::In(days(count, 7)?), rest),
        [word, rest @ ..] => match (weekday(word), word.parse::<Date>()) {
            (Some(day), _) => (Day::Next(day), rest),
            (None, Ok(date)) => (Day::On(date), rest),
            (None, Err(_)) => {
                let at = time(&words)?;
                return Some(When {
                    day: Day::In(0),
                    at,
                });
            }
        },
        [] => return None,
    };
    Some(When {
        day,
        at: time(rest)?,
    })
}

/// So many days; at most a year.
fn days(count: &str, each: i32) -> Option<i32> {
    let count: i32 = count.parse().ok()?;
    (1..=366).contains(&count).then_some(count * each)
}

fn weekday(word: &str) -> Option<Weekday> {
    Some(match word {
        "monday" | "mon" => Weekday::Monday,
        "tuesday" | "tue" => Weekday::Tuesday,
        "wednesday" | "wed" => Weekday::Wednesday,
        "thursday" | "thu" => Weekday::Thursday,
        "friday" | "fri" => Weekday::Friday,
        "saturday" | "sat" => Weekday::Saturday,
        "sunday" | "sun" => Weekday::Sunday,
        _ => return None,
    })
}

/// `18:00`, `18.30`, `18h`, `6pm`.
fn time_of(word: &str) -> Option<Time> {
    let (figures, half) = match (word.strip_suffix("pm"), word.strip_suffix("am")) {
        (Some(figures), _) => (figures, Some(12)),
        (None, Some(figures)) => (figures, Some(0)),
        (None, None) => (word.trim_end_matches('h'), None),
    };
    let (hour, minute) = figures.split_once([':', '.']).unwrap_or((figures, "0"));
    let (mut hour, minute): (i8, i8) = (hour.parse().ok()?, minute.parse().ok()?);
    if let Some(half) = half {
        if !(1..=12).contains(&hour) {
            return None;
        }
        hour = hour % 12 + half;
    }
    Time::new(hour, minute, 0, 0).ok()
}

impl When {
    /// The moment meant, in this zone, seen from now. A time that a daylight-saving change skips or
    /// repeats becomes the one a wall clock would show.
    pub(super) fn moment(self, zone: &TimeZone, now: Timestamp) -> Option<Timestamp> {
        let here = zone.to_datetime(now);
        let date = match self.day {
            Day::In(days) => here.date().checked_add(days.days()).ok()?,
            Day::On(date) => date,
            Day::Next(day) if here.date().weekday() == day && here.time() < self.at => here.date(),
            Day::Next(day) => here.date().nth_weekday(1, day).ok()?,
        };
        zone.to_timestamp(date.to_datetime(self.at)).ok()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Seen from Monday 2 March 2026, 11:00 in Berlin.
    fn in_berlin(text: &str) -> Option<String> {
        let zone = TimeZone::get("Europe/Berlin").unwrap();
        let now: Timestamp = "2026-03-02T10:00:00Z".parse().unwrap();
        let words: Vec<&str> = text.split_whitespace().collect();
        Some(when(&words)?.moment(&zone, now)?.to_string())
    }

    #[test]
    fn a_coach_says_a_time_in_many_ways() {
        for (text, moment) in [
            ("friday 18:00", "2026-03-06T17:00:00Z"),
            ("friday", "2026-03-06T17:00:00Z"),
            ("monday 18:00", "2026-03-02T17:00:00Z"),
            ("monday 10:00", "2026-03-09T09:00:00Z"),
            ("tomorrow 6pm", "2026-03-03T17:00:00Z"),
            ("tomorrow at 6 pm", "2026-03-03T17:00:00Z"),
            ("2026-03-20 18:30", "2026-03-20T17:30:00Z"),
            ("in 3 days", "2026-03-05T17:00:00Z"),
            ("in 2 weeks 12:00", "2026-03-16T11:00:00Z"),
            ("18:00", "2026-03-02T17:00:00Z"),
            // The clocks go on at 02:00 on 29 March 2026 (European Union, directive 2000/84/EC).
            ("2026-03-29 18:00", "2026-03-29T16:00:00Z"),
        ] {
            assert_eq!(in_berlin(text).as_deref(), Some(moment), "{text}");
        }
    }

    #[test]
    fn what_is_no_time_is_not_guessed() {
        for text in [
            "",
            "soon",
            "friday evening",
            "25:00",
            "friday 13pm",
            "in many days",
        ] {
            assert_eq!(in_berlin(text), None, "{text}");
        }
    }
}
