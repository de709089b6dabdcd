//! Bands: tension, and the bar beside them.

use super::super::{
    Band, BandError, BandPath, BandWarning, Bands, Measured, NEWTONS_PER_KGF, bands_that_do,
};
use super::{close, printed};
use proptest::prelude::*;

const SLACK: f64 = 1.0;

fn at(length: f64, kgf: f64) -> Measured {
    Measured { length, kgf }
}

/// A band that pulls 10 kg at 30 cm of stretch and 22 kg at 70 cm.
fn band() -> Band {
    Band::from_two(SLACK, at(1.3, 10.0), at(1.7, 22.0)).unwrap()
}

fn two(band: Band, bottom: f64, top: f64) -> Bands {
    Bands {
        band,
        count: 2,
        path: BandPath {
            bottom,
            top,
            aside: 0.0,
        },
    }
}

#[test]
fn two_points_make_a_curve_through_nothing_at_slack() {
    // Worked by hand: a = 34.7619048, b = -4.7619048.
    let band = band();
    let pull = |x: f64| band.tension(SLACK + x).unwrap();
    assert!(pull(0.0).abs() < 1e-12);
    printed(pull(0.15), 5.107_142_9, 7);
    close(pull(0.3), 10.0, 1e-12);
    printed(pull(0.5), 16.190_476_2, 7);
    close(pull(0.7), 22.0, 1e-12);
    assert!(band.tension(0.8).unwrap().abs() < 1e-12, "slack");
    let beyond = band.tension(SLACK + 0.7 * 1.2 + 0.01).unwrap_err();
    assert!(
        beyond.to_string().contains("accepted 0.00 to 1.84"),
        "{beyond}"
    );
}

#[test]
fn without_the_slack_length_only_the_measured_stretch_counts() {
    let band = Band::between(at(1.7, 22.0), at(1.3, 10.0)).unwrap();
    close(band.tension(1.5).unwrap(), 16.0, 1e-12);
    assert!(band.tension(1.15).is_err() && band.tension(1.75).is_err());
    assert_eq!(band.slack(), None);
}

#[test]
fn one_point_takes_the_shape_of_rubber() {
    // Rubber elasticity, F ~ λ - λ^-2: F(1.5)/F(2) = 0.6031746, F(1.25)/F(2) = 0.3485714.
    let band = Band::from_one(SLACK, at(2.0, 30.0)).unwrap();
    printed(band.tension(1.5).unwrap() / 30.0, 0.603_174_6, 7);
    printed(band.tension(1.25).unwrap() / 30.0, 0.348_571_4, 7);
    assert!(band.tension(1.0).unwrap().abs() < 1e-12);
}

#[test]
fn two_bands_on_a_deadlift_leave_116_kilos_for_the_bar() {
    let load = two(band(), 1.3, 1.7).load_for(160.0, 200.0, 20.0).unwrap();
    close(load.bar, 116.0, 1e-12);
    close(load.pull_top, 44.0, 1e-12);
    close(load.total_bottom, 136.0, 1e-12);
    close(load.total_top, 160.0, 1e-12);
    close(load.percent_of_total, 27.5, 1e-12);
    close(load.percent_of_best, 22.0, 1e-12);
    assert_eq!(load.warnings, [BandWarning::Strong]);
    // NIST SP 811: 1 kgf = 9.80665 N.
    printed(22.0 * NEWTONS_PER_KGF, 215.7463, 4);
}

#[test]
fn a_band_that_is_too_strong_is_refused_with_what_would_do() {
    let strong = Bands {
        count: 8,
        ..two(band(), 1.3, 1.7)
    };
    let refused = strong.load_for(120.0, 200.0, 20.0).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "bands: found 176.0 kg at the top, accepted up to 100.0; ones that pull 20.0 to 40.0 \
         together would do"
    );
    let none = strong.load_for(35.0, 200.0, 20.0).unwrap_err();
    assert!(matches!(none, BandError::NoneWouldDo { .. }));
    let choices = [strong, two(band(), 1.3, 1.7), two(band(), 1.2, 1.6)];
    assert_eq!(bands_that_do(&choices, 160.0, 200.0, 20.0), [2]);
}

#[test]
fn slack_and_heavy_set_ups_are_pointed_out() {
    let load = two(band(), 0.9, 1.5).load_for(170.0, 200.0, 20.0).unwrap();
    assert_eq!(
        load.warnings,
        [BandWarning::SlackAtBottom, BandWarning::Heavy]
    );
    close(load.total_bottom, load.bar, 1e-12);
    let again = two(band(), 0.9, 1.5).with_bar(load.bar, 200.0).unwrap();
    assert_eq!(again, load);
    let weak = two(band(), 1.0, 1.2).load_for(140.0, 200.0, 20.0).unwrap();
    assert!(weak.warnings.contains(&BandWarning::Weak));
}

#[test]
fn a_slanting_band_pulls_down_with_less_than_its_tension() {
    // 3-4-5: 0.9 m to the side, 1.2 m up, 1.5 m of band.
    let mut bands = two(band(), 0.6, 1.2);
    bands.path.aside = 0.9;
    let straight = 2.0 * band().tension(1.5).unwrap();
    close(bands.pull(1.2).unwrap(), 0.8 * straight, 1e-12);
}

#[test]
fn what_is_no_band_is_refused_by_name() {
    let refused = |band: Result<Band, BandError>| band.unwrap_err().to_string();
    assert!(refused(Band::from_two(0.0, at(1.3, 10.0), at(1.7, 22.0))).starts_with("slack length"));
    assert!(refused(Band::from_two(1.0, at(1.3, f64::NAN), at(1.7, 22.0))).starts_with("tension"));
    assert!(refused(Band::from_two(1.0, at(1.3, 22.0), at(1.7, 10.0))).contains("rising"));
    assert!(refused(Band::from_two(1.0, at(1.3, 10.0), at(1.31, 11.0))).contains("0.05"));
    assert!(refused(Band::from_two(1.4, at(1.3, 10.0), at(1.7, 22.0))).contains("rising"));
    // So bent that it would weaken within the range it is used in.
    assert!(refused(Band::from_two(1.0, at(1.3, 10.0), at(1.7, 10.5))).contains("rising"));
    let mut bands = two(band(), 1.3, 1.7);
    bands.count = 0;
    assert_eq!(bands.pull(1.5), Err(BandError::Count(0)));
    let turned = two(band(), 1.7, 1.3).load_for(160.0, 200.0, 20.0);
    assert!(turned.unwrap_err().to_string().starts_with("bar travel"));
}

proptest! {
    #[test]
    fn tension_rises_with_length_and_the_bar_makes_up_the_rest(
        x1 in 0.1..0.5_f64, more in 0.1..0.5_f64, f1 in 5.0..20.0_f64, gain in 1.05..3.0_f64,
        bottom in 0.0..1.0_f64, count in 1..4_u32, top_kg in 150.0..300.0_f64,
    ) {
        let band = Band::from_two(SLACK, at(SLACK + x1, f1), at(SLACK + x1 + more, f1 * gain));
        prop_assume!(band.is_ok());
        let band = band.unwrap();
        let mut last = -1.0;
        for step in 0..=20 {
            let kgf = band.tension(SLACK + f64::from(step) / 20.0 * (x1 + more)).unwrap();
            prop_assert!(kgf > last);
            last = kgf;
        }
        let top = SLACK + x1 + more;
        let bands = Bands { band, count, path: BandPath {
            bottom: SLACK + bottom * (x1 + more) * 0.9, top, aside: 0.0 } };
        let one = Bands { count: 1, ..bands };
        let (all, single) = (bands.pull(top).unwrap(), one.pull(top).unwrap());
        prop_assert!((all - f64::from(count) * single).abs() < 1e-9);
        if let Ok(load) = bands.load_for(top_kg, 200.0, 20.0) {
            prop_assert!((load.bar + bands.pull(top).unwrap() - top_kg).abs() < 1e-9);
            prop_assert!(load.total_bottom < load.total_top);
        }
    }

    #[test]
    fn folding_makes_a_straight_band_four_times_as_stiff(
        stiff in 5.0..60.0_f64, stretch in 0.05..0.3_f64,
    ) {
        let band = Band::from_two(SLACK, at(1.5, 0.5 * stiff), at(1.9, 0.9 * stiff)).unwrap();
        let folded = band.folded();
        prop_assert_eq!(folded.slack(), Some(SLACK / 2.0));
        let (one, half) = (
            band.tension(SLACK + stretch).unwrap(),
            folded.tension(SLACK / 2.0 + stretch).unwrap(),
        );
        prop_assert!((half / one - 4.0).abs() < 1e-9);
    }
}
