//! Level over time, and how much it changed.

use super::super::{
    Change, Level, Seen, Sighting, Standard, Trend, change_since, follow, normal_cdf,
};
use super::{close, printed, set, to_failure};
use jiff::civil::{Date, date};
use proptest::prelude::*;

/// Day `weeks` after an invented Monday.
pub(super) fn week(weeks: f64) -> Date {
    #[expect(clippy::cast_possible_truncation, reason = "days of a test")]
    let days = (weeks * 7.0).round() as i64;
    date(2026, 1, 5)
        .checked_add(jiff::Span::new().days(days))
        .unwrap()
}

fn saw(weeks: f64, kg: f64, sigma: f64) -> Sighting {
    Sighting {
        day: week(weeks),
        seen: Seen::Estimated { kg, sigma },
        done_kg: None,
        confirmed: false,
    }
}

fn missed(weeks: f64, kg: f64) -> Sighting {
    Sighting {
        seen: Seen::Missed { kg },
        ..saw(weeks, kg, 0.0)
    }
}

/// Four sets of a lifter supposed at 336.
fn four() -> Vec<Sighting> {
    vec![
        saw(0.0, 340.0, 0.015),
        saw(1.0, 352.0, 0.0431),
        saw(3.0, 334.4, 0.06),
        saw(4.0, 346.4, 0.03),
    ]
}

pub(super) fn trend_per_year(rate: f64) -> Trend {
    Trend::per_year(rate.ln_1p(), 0.0)
}

#[test]
fn the_level_moves_as_a_local_level_filter_says() {
    // Computed with an independent recursion; the recursion was checked against statsmodels.
    let supposed = Level::supposed(week(0.0), 336.0);
    for (trend, levels) in [
        (
            Trend::NONE,
            [339.684_92, 342.736_16, 341.507_58, 342.986_11],
        ),
        (
            trend_per_year(0.10),
            [339.684_92, 343.205_33, 342.975_44, 344.449_74],
        ),
    ] {
        let progress = follow(&four(), Some(supposed), trend).unwrap();
        let sds = [0.027_989_46, 0.024_967_78, 0.024_823_00, 0.021_521_12];
        assert_eq!(progress.levels.len(), 4);
        for ((level, kg), sd) in progress.levels.iter().zip(levels).zip(sds) {
            printed(level.kg(), kg, 5);
            printed(level.sigma(), sd, 8);
        }
        assert!(progress.held.is_empty());
    }
}

#[test]
fn an_even_series_gives_what_statsmodels_gives() {
    // statsmodels 0.15.0 UnobservedComponents 'local level', variance 0.0009, unit steps.
    let sigma = (0.0009_f64 - 0.025 * 0.025).sqrt();
    let sets: Vec<Sighting> = [340.0, 352.0, 334.4, 346.4]
        .into_iter()
        .zip([0.0, 1.0, 2.0, 3.0])
        .map(|(kg, at)| saw(at, kg, sigma))
        .collect();
    let start = Level::supposed(week(0.0), 336.0);
    let progress = follow(&sets, Some(start), Trend::NONE).unwrap();
    let expected = [
        (5.827_968_46, 0.000_825_69),
        (5.845_545_49, 0.000_443_58),
        (5.833_799_35, 0.000_318_35),
        (5.837_797_85, 0.000_260_87),
    ];
    for (level, (ln_kg, variance)) in progress.levels.iter().zip(expected) {
        printed(level.ln_kg, ln_kg, 8);
        printed(level.variance, variance, 8);
    }
}

#[test]
fn without_anything_supposed_the_first_set_is_the_start() {
    let progress = follow(&four(), None, Trend::NONE).unwrap();
    let first = progress.levels[0];
    close(first.kg(), 340.0, 1e-12);
    close(first.variance, 0.015 * 0.015 + 0.025 * 0.025, 1e-12);
    assert_eq!(follow(&[], None, Trend::NONE), None);
    assert_eq!(follow(&[missed(0.0, 100.0)], None, Trend::NONE), None);
}

#[test]
fn a_set_in_the_wrong_unit_is_held_and_asked_about() {
    let mut sets = four();
    // 150 kg written as 150 lb.
    sets.push(saw(5.0, 346.0 / 2.2046, 0.03));
    let clean = follow(&four(), None, Trend::NONE).unwrap();
    let progress = follow(&sets, None, Trend::NONE).unwrap();
    assert_eq!(progress.levels, clean.levels);
    assert_eq!(progress.held.len(), 1);
    assert!(progress.held[0].off < -3.0);
    // Once somebody says it is right, the level starts anew from it.
    sets[4].confirmed = true;
    let progress = follow(&sets, None, Trend::NONE).unwrap();
    assert!(progress.held.is_empty());
    close(progress.levels.last().unwrap().kg(), 346.0 / 2.2046, 1e-12);
}

#[test]
fn a_missed_single_lowers_a_level_above_it_and_nothing_else() {
    let base = vec![saw(0.0, 200.0, 0.03), saw(1.0, 202.0, 0.03)];
    let level = |extra: Sighting| {
        let mut sets = base.clone();
        sets.push(extra);
        follow(&sets, None, Trend::NONE)
            .unwrap()
            .levels
            .last()
            .unwrap()
            .kg()
    };
    let before = follow(&base, None, Trend::NONE).unwrap().levels[1].kg();
    assert!(level(missed(2.0, 195.0)) < before);
    close(level(missed(2.0, 210.0)), before, 1e-12);
}

#[test]
fn the_best_performed_is_kept_apart_from_the_level() {
    let mut sets = four();
    sets[0].done_kg = Some(340.0);
    sets[1].done_kg = Some(300.0);
    sets[3].done_kg = Some(340.0);
    let progress = follow(&sets, None, Trend::NONE).unwrap();
    let best = progress.best.unwrap();
    assert_eq!((best.kg, best.day), (340.0, week(0.0)));
    assert!((progress.levels.last().unwrap().kg() - 340.0).abs() > 0.1);
}

#[test]
fn a_report_becomes_a_sighting() {
    let done = Sighting::of_report(&to_failure(100.0, 5), week(0.0), Standard::Met).unwrap();
    let Seen::Estimated { kg, sigma } = done.seen else {
        panic!("a set is an estimate");
    };
    close(kg, 115.088_3 * 0.453_592_37, 1e-6);
    close(sigma, 0.033_541, 1e-4);
    close(done.done_kg.unwrap(), 45.359_237, 1e-12);
    let doubted = Sighting::of_report(&to_failure(100.0, 5), week(0.0), Standard::Doubted);
    assert_eq!(doubted.unwrap().done_kg, None);
    let miss = Sighting::of_report(&set(100.0, 0), week(0.0), Standard::Met).unwrap();
    assert!(matches!(miss.seen, Seen::Missed { .. }) && miss.done_kg.is_none());
}

#[test]
fn twelve_silent_weeks_end_the_gain() {
    let gain = |weeks: f64| {
        let sets = [saw(0.0, 200.0, 0.02), saw(weeks, 200.0, 1e3)];
        let trend = trend_per_year(0.10);
        let levels = follow(&sets, None, trend).unwrap().levels;
        levels[1].ln_kg - levels[0].ln_kg
    };
    close(gain(12.0), 12.0 * trend_per_year(0.10).per_week, 1e-4);
    close(gain(40.0), gain(12.0), 1e-4);
    assert_eq!(trend_per_year(0.1).after_silence(13.0), Trend::NONE);
    assert_eq!(trend_per_year(0.1).after_silence(12.0), trend_per_year(0.1));
}

#[test]
fn more_training_means_less_to_expect() {
    let of = |months| Trend::expected(Some(months)).per_week;
    assert!(of(6) > of(20) && of(20) > of(60) && of(60) > of(120));
    assert!(Trend::expected(None).sd_per_week > Trend::expected(Some(60)).sd_per_week);
}

#[test]
fn a_change_since_the_last_case_comes_with_its_interval() {
    let sets = [
        saw(0.0, 180.0, 0.03),
        saw(1.0, 181.0, 0.03),
        saw(6.0, 188.0, 0.03),
        saw(7.0, 189.0, 0.03),
    ];
    let change = |since| change_since(&sets, None, Trend::NONE, since);
    let Change {
        percent,
        low_percent,
        high_percent,
        sigma,
    } = change(week(1.0)).unwrap();
    assert!(low_percent < percent && percent < high_percent);
    assert!((0.5..5.0).contains(&percent), "{percent}");
    // Both levels come of the same sets, so the change is surer than two apart would be.
    let last = follow(&sets, None, Trend::NONE)
        .unwrap()
        .levels
        .last()
        .unwrap()
        .sigma();
    assert!(sigma < last * std::f64::consts::SQRT_2);
    assert_eq!(change(week(-1.0)), None);
    assert_eq!(change(week(8.0)), None);
    let none = change(week(7.0)).unwrap();
    assert!(none.percent.abs() < 1e-9 && none.sigma.abs() < 1e-9);
}

#[test]
fn the_normal_law_is_that_of_the_tables() {
    // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1.
    for (z, p) in [
        (0.0, 0.5),
        (0.5, 0.691_462_461_274_013),
        (1.0, 0.841_344_746_068_543),
        (1.5, 0.933_192_798_731_142),
        (2.0, 0.977_249_868_051_821),
        (3.0, 0.998_650_101_968_370),
    ] {
        assert!((normal_cdf(z) - p).abs() < 1e-14, "{z}: {}", normal_cdf(z));
        assert!((normal_cdf(-z) - (1.0 - p)).abs() < 1e-14);
    }
}

proptest! {
    #[test]
    fn the_order_of_one_days_sets_does_not_matter(
        loads in prop::collection::vec((150.0..250.0_f64, 0.01..0.08_f64, any::<bool>()), 2..8),
        turn in 0..8_usize,
    ) {
        let mut sets = vec![saw(0.0, 200.0, 0.03)];
        for (kg, sigma, miss) in &loads {
            sets.push(if *miss { missed(1.0, *kg) } else { saw(1.0, *kg, *sigma) });
        }
        let one = follow(&sets, None, Trend::NONE).unwrap();
        let shift = turn % loads.len();
        sets[1..].rotate_left(shift);
        let other = follow(&sets, None, Trend::NONE).unwrap();
        let (a, b) = (one.levels.last().unwrap(), other.levels.last().unwrap());
        prop_assert!((a.ln_kg - b.ln_kg).abs() < 1e-12);
        prop_assert!((a.variance - b.variance).abs() < 1e-12);
        prop_assert_eq!(one.held.len(), other.held.len());
    }

    #[test]
    fn the_filter_keeps_its_variance_and_scales_with_the_loads(
        loads in prop::collection::vec((0.0..20.0_f64, 180.0..220.0_f64, 0.01..0.08_f64), 1..10),
        scale in 0.2..5.0_f64,
    ) {
        let sets: Vec<Sighting> = loads.iter().map(|&(at, kg, s)| saw(at.round(), kg, s)).collect();
        let scaled: Vec<Sighting> =
            loads.iter().map(|&(at, kg, s)| saw(at.round(), kg * scale, s)).collect();
        let (one, other) = (
            follow(&sets, None, Trend::NONE).unwrap(),
            follow(&scaled, None, Trend::NONE).unwrap(),
        );
        for (a, b) in one.levels.iter().zip(&other.levels) {
            prop_assert!(a.variance > 0.0);
            prop_assert!((b.ln_kg - a.ln_kg - scale.ln()).abs() < 1e-9);
            prop_assert!((b.variance - a.variance).abs() < 1e-12);
        }
    }

    #[test]
    fn one_day_is_the_mean_by_precision(
        sets in prop::collection::vec((195.0..205.0_f64, 0.02..0.08_f64), 1..8),
    ) {
        let seen: Vec<Sighting> = sets.iter().map(|&(kg, s)| saw(0.0, kg, s)).collect();
        let level = *follow(&seen, None, Trend::NONE).unwrap().levels.last().unwrap();
        let weight = |s: f64| 1.0 / (s * s + 0.025 * 0.025);
        let total: f64 = sets.iter().map(|&(_, s)| weight(s)).sum();
        let mean = sets.iter().map(|&(kg, s)| weight(s) * kg.ln()).sum::<f64>() / total;
        prop_assert!((level.ln_kg - mean).abs() < 1e-12);
        prop_assert!((level.variance * total - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_set_moves_the_level_part_of_the_way_and_makes_it_surer(
        kg in 190.0..210.0_f64, sigma in 0.01..0.08_f64, weeks in 0..30_u32,
    ) {
        let start = Level { variance: 0.002, ..Level::supposed(week(0.0), 200.0) };
        let set = saw(f64::from(weeks), kg, sigma);
        let after = follow(&[set], Some(start), Trend::NONE).unwrap();
        let level = after.levels.last().unwrap();
        let gain = (level.ln_kg - start.ln_kg) / (kg.ln() - start.ln_kg);
        prop_assume!((kg.ln() - start.ln_kg).abs() > 1e-6);
        prop_assert!(gain > 0.0 && gain < 1.0, "{gain}");
        let unseen = 0.002 + 0.007 * 0.007 * f64::from(weeks);
        prop_assert!(level.variance > 0.0 && level.variance < unseen);
    }

    #[test]
    fn a_worthless_set_changes_nothing_and_a_sure_one_moves_toward_itself(
        kg in 190.0..210.0_f64,
    ) {
        let first = saw(0.0, 200.0, 0.03);
        let after = |sigma| follow(&[first, saw(0.0, kg, sigma)], None, Trend::NONE)
            .unwrap().levels.last().unwrap().ln_kg;
        prop_assert!((after(1e6) - 200.0_f64.ln()).abs() < 1e-9);
        let (far, near) = (after(0.05) - kg.ln(), after(0.01) - kg.ln());
        prop_assert!(near.abs() <= far.abs() + 1e-15);
    }
}
