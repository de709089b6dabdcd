//! Units against the published factors, and the way figures are shown.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::float_cmp
)]

use super::{Effort, EffortError, Length, LengthUnit, Mass, MassUnit, Span};
use proptest::prelude::*;

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!(
        (found / expected - 1.0).abs() < 1e-12,
        "found {found}, expected {expected}"
    );
}

#[test]
fn pounds_convert_by_the_factor_of_nist_sp_811() {
    // NIST SP 811, appendix B: 1 lb = 0.453 592 37 kg exactly.
    for (lb, kg) in [
        (1.0, 0.453_592_37),
        (45.0, 20.411_656_65),
        (135.0, 61.234_969_95),
        (225.0, 102.058_283_25),
        (315.0, 142.881_596_55),
        (415.0, 188.240_833_55),
        (410.0, 185.972_871_70),
        (440.0, 199.580_642_8),
        (500.0, 226.796_185),
    ] {
        close(Mass::new(lb, MassUnit::Lb).kg(), kg);
    }
    for (kg, lb) in [
        (1.0, 2.204_622_621_848_775_7),
        (20.0, 44.092_452_436_975_51),
        (60.0, 132.277_357_310_926_53),
        (100.0, 220.462_262_184_877_57),
        (140.0, 308.647_167_058_828_6),
        (180.0, 396.832_071_932_779_6),
        (200.0, 440.924_524_369_755_15),
        (220.0, 485.016_976_806_730_65),
        (250.0, 551.155_655_462_194),
    ] {
        close(Mass::new(kg, MassUnit::Kg).in_unit(MassUnit::Lb).value, lb);
    }
}

#[test]
fn the_factor_agrees_with_the_six_digits_of_16_cfr_500_19() {
    // 16 CFR 500.19: 1 pound = 0.453592 kg, 1 inch = 2.54 cm exactly.
    assert!((super::KG_PER_LB - 0.453_592).abs() < 5e-7);
    let inch = Length {
        value: 1.0,
        unit: LengthUnit::In,
    };
    close(inch.metres(), 0.0254);
}

#[test]
fn what_gyms_call_equal_is_off_by_the_known_error() {
    // 440 lb against 200 kg: -0.21 %; a 45 lb plate against 20 kg: +2.06 %.
    let off = |lb: f64, kg: f64| 100.0 * (Mass::new(lb, MassUnit::Lb).kg() / kg - 1.0);
    assert!((off(440.0, 200.0) + 0.21).abs() < 0.005);
    assert!((off(45.0, 20.0) - 2.06).abs() < 0.005);
    assert!((off(25.0, 10.0) - 13.4).abs() < 0.05);
    assert!((off(35.0, 15.0) - 5.8).abs() < 0.05);
}

#[test]
fn a_mass_is_shown_in_its_own_unit_first() {
    let both = |value, unit| Mass::new(value, unit).both();
    assert_eq!(both(142.5, MassUnit::Kg), "142.5 kg (314 lb)");
    assert_eq!(both(315.0, MassUnit::Lb), "315 lb (142.9 kg)");
    assert_eq!(both(20.0, MassUnit::Kg), "20 kg (44.1 lb)");
    assert_eq!(both(1.25, MassUnit::Kg), "1.25 kg (2.8 lb)");
    assert_eq!(both(0.0, MassUnit::Kg), "0 kg (0 lb)");
    assert_eq!(both(-0.001, MassUnit::Kg), "0 kg (0 lb)");
    assert_eq!(Mass::new(374.403, MassUnit::Lb).about(), "374 lb (170 kg)");
}

#[test]
fn a_length_is_shown_in_its_own_unit_first() {
    let both = |value, unit| Length { value, unit }.both();
    assert_eq!(both(180.0, LengthUnit::Cm), "180 cm (70.9 in)");
    assert_eq!(both(71.0, LengthUnit::In), "71 in (180.3 cm)");
    assert_eq!(both(1.8, LengthUnit::M), "1.8 m (70.9 in)");
}

#[test]
fn a_span_is_read_from_one_number_or_a_pair_in_any_order() {
    let read = |text: &str| serde_json::from_str::<Span>(text);
    assert_eq!(read("8").unwrap(), Span::exactly(8.0));
    assert_eq!(read("[8, 9]").unwrap(), Span::new(8.0, 9.0));
    assert_eq!(read("[9, 8]").unwrap(), Span::new(8.0, 9.0));
    for bad in ["[8]", "[8, 9, 10]", "\"8-9\"", "null", "{}"] {
        let why = read(bad).unwrap_err().to_string();
        assert!(why.contains("one number or a pair"), "{bad}: {why}");
    }
}

#[test]
fn a_span_that_is_not_finite_is_refused() {
    #[derive(Debug, serde::Deserialize)]
    struct Holder {
        #[serde(rename = "reps")]
        _reps: Span,
    }
    for bad in ["nan", "inf", "[1.0, inf]", "[nan, 2.0]"] {
        let why = toml::from_str::<Holder>(&format!("reps = {bad}")).unwrap_err();
        assert!(why.to_string().contains("finite"), "{bad}: {why}");
    }
    assert!(serde_json::from_str::<Span>("1e999").is_err());
}

#[test]
fn effort_outside_its_scale_is_named() {
    assert_eq!(
        Effort::Rpe(Span::exactly(14.0)).check(),
        Err(EffortError::Rpe(14.0))
    );
    assert_eq!(
        Effort::Rir(Span::new(2.0, 12.0)).check(),
        Err(EffortError::Rir(12.0))
    );
    assert!(Effort::Rpe(Span::new(8.0, 9.0)).check().is_ok());
    assert!(Effort::Rpe(Span::exactly(f64::NAN)).check().is_err());
}

proptest! {
    #[test]
    fn there_and_back_again_loses_nothing(value in 1e-3..1e6_f64) {
        for unit in [MassUnit::Kg, MassUnit::Lb] {
            let back = Mass::new(value, unit).in_unit(unit.other()).in_unit(unit);
            prop_assert!((back.value / value - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn rpe_and_reserve_mirror_each_other(a in 1.0..10.0_f64, b in 1.0..10.0_f64) {
        let rpe = Effort::Rpe(Span::new(a, b));
        let back = Effort::Rir(rpe.reserve()).rpe();
        prop_assert!((back.low - rpe.rpe().low).abs() < 1e-12);
        prop_assert!((back.high - rpe.rpe().high).abs() < 1e-12);
    }

    #[test]
    fn spans_survive_json(a in -1e6..1e6_f64, b in -1e6..1e6_f64) {
        for span in [Span::new(a, b), Span::exactly(a)] {
            let text = serde_json::to_string(&span).unwrap();
            let back: Span = serde_json::from_str(&text).unwrap();
            // The reader may be off by one in the last place.
            prop_assert!((back.low - span.low).abs() <= 1e-15 * span.low.abs());
            prop_assert!((back.high - span.high).abs() <= 1e-15 * span.high.abs());
        }
    }
}
