//! `remind me on friday`: the day of the next ask, set by the lifter.

use super::matching::in_thread;
use super::times;
use super::turn::Turn;
use crate::record::{CaseState, FollowUpChange};
use crate::wording::figures;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

/// The furthest day that can be asked for, in days.
const MOST_DAYS: i64 = 60;

/// A day as said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DaySaid {
    /// So many days from now.
    In(i64),
    /// The next such day of the week.
    On(Weekday),
}

impl DaySaid {
    /// The day meant, never today; none when it is further than can be asked for.
    fn date(self, today: Date) -> Option<Date> {
        match self {
            Self::In(days) if (1..=MOST_DAYS).contains(&days) => {
                today.checked_add(days.days()).ok()
            }
            Self::In(_) => None,
            Self::On(day) => today.nth_weekday(1, day).ok(),
        }
    }
}

/// Reads `remind me on friday`, `remind me in 10 days`, `ask me again in 2 weeks`.
pub(super) fn day_said(text: &str) -> Option<DaySaid> {
    let lower = text.to_lowercase();
    let mut words = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !["", "please", "pls", "again", "next", "on", "a"].contains(word));
    if !matches!((words.next()?, words.next()?), ("remind" | "ask", "me")) {
        return None;
    }
    let rest: Vec<&str> = words.collect();
    match rest.as_slice() {
        ["tomorrow"] => Some(DaySaid::In(1)),
        ["in", "week"] => Some(DaySaid::In(7)),
        ["in", count, unit] => {
            let each = match *unit {
                "day" | "days" => 1,
                "week" | "weeks" => 7,
                _ => return None,
            };
            let count: i64 = count.parse().ok()?;
            Some(DaySaid::In(count.checked_mul(each)?))
        }
        [day] => weekday(day).map(DaySaid::On),
        _ => None,
    }
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

/// Dates the next ask of the case practised, that of the thread before any other.
pub(super) fn set(turn: &mut Turn<'_>, day: DaySaid) {
    let words = turn.known.words;
    let halted = |case: &&crate::record::Case| case.state == CaseState::Halted;
    if let Some(case) = turn.known.cases.iter().find(halted) {
        turn.say_halted(case);
        return;
    }
    let mut practised = turn
        .known
        .cases
        .iter()
        .filter(|case| case.state == CaseState::Practising);
    let here = practised.clone().find(|case| in_thread(case, turn.event));
    let Some(case) = here.or_else(|| practised.next()).cloned() else {
        turn.reply("first", words.say("talk.remind_nothing", &[]), None);
        return;
    };
    let spent = case.body.reminders >= turn.known.rules.most_reminders;
    let Some(date) = day.date(times::today(&turn.zone, turn.now)) else {
        let most = MOST_DAYS.to_string();
        turn.reply(
            "first",
            words.say("talk.remind_far", &[("most", &most)]),
            None,
        );
        return;
    };
    if super::guardian::refuses(&turn.lifter) {
        turn.reply("first", words.say("guardian.no_reminders", &[]), None);
        return;
    }
    if !turn.lifter.reminders || spent {
        let key = if spent {
            "talk.remind_spent"
        } else {
            "talk.remind_off"
        };
        turn.reply("first", words.say(key, &[]), None);
        return;
    }
    turn.lifter.profile.quiet_since = None;
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    turn.date_follow_up(&case, Some(date));
    let date = figures::day(date);
    turn.reply(
        "first",
        words.say("talk.remind_on", &[("date", &date)]),
        Some(&case),
    );
    turn.keep(case);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_day_is_said_in_many_ways() {
        for (text, day) in [
            ("remind me on Friday", DaySaid::On(Weekday::Friday)),
            ("Remind me next tue please", DaySaid::On(Weekday::Tuesday)),
            ("remind me in 10 days", DaySaid::In(10)),
            ("ask me again in 2 weeks", DaySaid::In(14)),
            ("remind me in a week", DaySaid::In(7)),
            ("remind me tomorrow", DaySaid::In(1)),
        ] {
            assert_eq!(day_said(text), Some(day), "{text}");
        }
        for text in [
            "remind me",
            "remind me of my bench",
            "in 10 days",
            "remind me in x days",
        ] {
            assert_eq!(day_said(text), None, "{text}");
        }
    }

    #[test]
    fn the_next_such_day_is_meant_and_never_today() {
        // 27 February 2028 is a Sunday, 2028 a leap year (Gregorian calendar).
        let sunday = date(2028, 2, 27);
        let on = |day| DaySaid::On(day).date(sunday).unwrap();
        assert_eq!(on(Weekday::Sunday), date(2028, 3, 5));
        assert_eq!(on(Weekday::Tuesday), date(2028, 2, 29));
        assert_eq!(DaySaid::In(2).date(sunday), Some(date(2028, 2, 29)));
        assert_eq!(DaySaid::In(3).date(sunday), Some(date(2028, 3, 1)));
        assert_eq!(DaySaid::In(0).date(sunday), None);
        assert_eq!(DaySaid::In(61).date(sunday), None);
    }
}
