//! Local times over daylight-saving changes, leap days and clocks that jump. The changes of 2026
//! are those of the IANA time zone database (2025 editions): Berlin 29 March and 25 October, New
//! York 8 March and 1 November, Lord Howe 5 April and 4 October (by half an hour).

use super::world::{World, built_in, person};
use crate::casework::times::{after_quiet, at, today};
use crate::record::{CaseState, Purpose};
use jiff::civil::{date, time};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ToSpan};

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";

/// Year, month, day.
type Day = (i16, i8, i8);

/// Zone, day of each change.
const CHANGES: [(&str, [Day; 2]); 3] = [
    ("Europe/Berlin", [(2026, 3, 29), (2026, 10, 25)]),
    ("America/New_York", [(2026, 3, 8), (2026, 11, 1)]),
    ("Australia/Lord_Howe", [(2026, 4, 5), (2026, 10, 4)]),
];

#[test]
fn the_days_of_change_are_those_of_the_database() {
    for (name, days) in CHANGES {
        let zone = TimeZone::get(name).unwrap();
        for (year, month, day) in days {
            let day = date(year, month, day);
            let midnight = |day| at(&zone, day, time(0, 0, 0, 0)).unwrap();
            let length = midnight(day.tomorrow().unwrap()).duration_since(midnight(day));
            let (month, day) = (day.month(), day.day());
            assert_ne!(
                length,
                SignedDuration::from_hours(24),
                "{name} {month}-{day}"
            );
        }
    }
}

#[test]
fn quiet_hours_end_at_nine_by_the_wall_clock_whatever_the_clock_did_that_night() {
    let rules = &built_in().rules;
    for (name, days) in CHANGES {
        let zone = TimeZone::get(name).unwrap();
        for (year, month, day) in days {
            let day = date(year, month, day);
            let evening = at(&zone, day.yesterday().unwrap(), time(21, 0, 0, 0)).unwrap();
            let nine = at(&zone, day, time(9, 0, 0, 0)).unwrap();
            assert_eq!(zone.to_datetime(nine).time(), time(9, 0, 0, 0));
            let mut now = evening;
            while now < nine {
                assert_eq!(after_quiet(rules, &zone, now), nine, "{name} {now}");
                now += SignedDuration::from_mins(7);
            }
            let before = evening - SignedDuration::from_secs(1);
            assert_eq!(
                after_quiet(rules, &zone, before),
                before,
                "{name}: 20:59:59 is day"
            );
            assert_eq!(after_quiet(rules, &zone, nine), nine, "{name}: nine is day");
            // Twelve hours by the wall clock; one more or less by a stop watch, or half of one.
            let night = nine.duration_since(evening);
            assert_ne!(night, SignedDuration::from_hours(12), "{name}");
        }
    }
}

#[test]
fn a_time_that_a_change_skips_or_repeats_is_still_a_time_of_that_day() {
    for (name, days) in CHANGES {
        let zone = TimeZone::get(name).unwrap();
        for (year, month, day) in days {
            let day = date(year, month, day);
            for five in 0..24 * 12_i16 {
                let wall = time(0, 0, 0, 0) + (i64::from(five) * 5).minutes();
                let found = at(&zone, day, wall).unwrap();
                assert_eq!(today(&zone, found), day, "{name} {wall}");
                let shown = zone.to_datetime(found).time();
                // Shown as asked, or pushed out of the hour that was skipped.
                assert!(shown >= wall, "{name} {wall} shown as {shown}");
            }
        }
    }
}

/// A set on a day, and every reminder that follows, by the lifter's wall clock.
fn reminders(zone: &str, posted: Timestamp) -> Vec<jiff::civil::DateTime> {
    let mut world = World::new(&posted.to_string());
    world.says("mara", &format!("my time zone is {zone}"));
    world.says("mara", SET);
    world.pass(24 * 60);
    let tz = TimeZone::get(zone).unwrap();
    let sent = world.sent.iter();
    sent.filter(|sent| sent.message.purpose == Purpose::Reminder)
        .map(|sent| tz.to_datetime(sent.at))
        .collect()
}

#[test]
fn reminders_keep_their_hour_over_a_change_and_never_come_at_night() {
    for (name, days) in CHANGES {
        let zone = TimeZone::get(name).unwrap();
        for (year, month, day) in days {
            let change = date(year, month, day);
            // Sets posted at noon on each of the days before the change.
            for ahead in 0..30 {
                let posted = change.checked_sub(ahead.days()).unwrap();
                let posted = at(&zone, posted, time(12, 0, 0, 0)).unwrap();
                let sent = reminders(name, posted);
                assert_eq!(sent.len(), 3, "{name} {posted}: {sent:?}");
                assert_eq!(
                    sent[0].time(),
                    time(18, 0, 0, 0),
                    "{name}: the hour of the house"
                );
                for shown in &sent {
                    assert!((9..21).contains(&shown.hour()), "{name}: {shown}");
                }
            }
        }
    }
}

#[test]
fn a_fortnight_over_the_leap_day_is_a_fortnight() {
    // 2028 is a leap year (Gregorian calendar): 17 February and 14 days is 2 March.
    let zone = TimeZone::get("Europe/Berlin").unwrap();
    let posted = at(&zone, date(2028, 2, 17), time(12, 0, 0, 0)).unwrap();
    let sent = reminders("Europe/Berlin", posted);
    assert_eq!(sent[0].date(), date(2028, 3, 2));
    // And from the leap day itself.
    let posted = at(&zone, date(2028, 2, 29), time(12, 0, 0, 0)).unwrap();
    assert_eq!(
        reminders("Europe/Berlin", posted)[0].date(),
        date(2028, 3, 14)
    );
}

#[test]
fn a_lifter_who_travels_is_reminded_by_the_clock_of_where_they_are() {
    let mut world = World::new("2026-03-02T12:00:00Z");
    world.says("mara", "my time zone is Europe/Berlin");
    world.says("mara", SET);
    world.pass(24 * 10);
    // The ask stands for 18:00 in Berlin, which is five in the morning in Auckland.
    world.says("mara", "my time zone is Pacific/Auckland");
    let out = world.pass(24 * 6);
    assert_eq!(out.len(), 1);
    let auckland = TimeZone::get("Pacific/Auckland").unwrap();
    let shown = auckland.to_datetime(world.sent.last().unwrap().at);
    assert!((9..21).contains(&shown.hour()), "{shown}");
}

#[test]
fn a_clock_that_jumps_sends_no_reminder_twice_and_loses_none() {
    let mut world = World::new("2026-03-02T12:00:00Z");
    world.says("mara", SET);
    // Far ahead in one go: what came due meanwhile comes once, at a decent hour.
    assert_eq!(world.pass(24 * 15).len(), 1);
    let first = world.sent.last().unwrap().at;
    // Back by three days (a wrong clock put right): nothing is asked again before its time.
    world.now = first - SignedDuration::from_hours(72);
    let out = world.pass(24 * 9);
    assert!(out.is_empty(), "{out:?}");
    let out = world.pass(24 * 2);
    assert_eq!(
        out.len(),
        1,
        "a week after the first, by the first's own time"
    );
    let second = world.sent.last().unwrap().at;
    assert!(second.duration_since(first) >= SignedDuration::from_hours(7 * 24));
    // A set that arrives while the clock is behind is answered all the same.
    world.now = "2026-03-01T12:00:00Z".parse().unwrap();
    let (out, _) = world.says("mara", "squat 140 kg x 3 @8, hips still shoot up");
    assert_eq!(out.len(), 1);
    let case = &world.cases_of(&person("mara"))[0];
    assert!(matches!(
        case.state,
        CaseState::Practising | CaseState::Asking | CaseState::WithCoach
    ));
}
