//! The segment tables as printed, and that they add up.

use super::super::segments::{DeLeva, Sex, Winter};
use super::super::{Build, Dimension, Measured};
use super::printed;

// Winter, Biomechanics and Motor Control of Human Movement, table 4.1 (after Dempster), read from the
// public course archive BMClab/BMC, data/BSP_DempsterWinter.txt: mass, centre from the near end, radius
// of gyration about the centre.
const WINTER: &str = "\
0.006 0.506 0.297
0.016 0.43 0.303
0.028 0.436 0.322
0.05 0.53 0.368
0.0145 0.5 0.475
0.0465 0.433 0.302
0.1 0.433 0.323
0.061 0.606 0.416
0.161 0.447 0.326
0.081 1 0.495
0.216 0.82 NaN
0.139 0.44 NaN
0.142 0.105 NaN
0.497 0.5 NaN
0.578 0.66 0.503
0.678 0.626 0.496";

// de Leva 1996, read from the same archive, data/BSPfemale_ZdeLeva.txt and data/BSPmale_ZdeLeva.txt, in
// the archive's shares of one: mass, centre, radii sagittal and transverse.
const WOMEN: &str = "\
0.0668 0.5894 0.33 0.359
0.4257 0.4151 0.357 0.339
0.4257 0.3782 0.379 0.361
0.1545 0.2077 0.746 0.502
0.1465 0.4512 0.433 0.354
0.1247 0.492 0.433 0.402
0.0255 0.5754 0.278 0.26
0.0138 0.4559 0.261 0.257
0.0056 0.7474 0.531 0.454
0.1478 0.3612 0.369 0.364
0.0481 0.4352 0.267 0.263
0.0129 0.4014 0.299 0.279";
const MEN: &str = "\
0.0694 0.5976 0.362 0.376
0.4346 0.4486 0.372 0.347
0.4346 0.431 0.384 0.358
0.1596 0.2999 0.716 0.454
0.1633 0.4502 0.482 0.383
0.1117 0.6115 0.615 0.551
0.0271 0.5772 0.285 0.269
0.0162 0.4574 0.276 0.265
0.0061 0.79 0.628 0.513
0.1416 0.4095 0.329 0.329
0.0433 0.4395 0.251 0.246
0.0137 0.4415 0.257 0.245";

fn rows(table: &str) -> Vec<Vec<f64>> {
    let row = |line: &str| line.split(' ').map(|cell| cell.parse().unwrap()).collect();
    table.lines().map(row).collect()
}

#[test]
fn winters_rows_are_those_of_the_archive() {
    let archive = rows(WINTER);
    assert_eq!(archive.len(), Winter::ALL.len());
    for (part, row) in Winter::ALL.into_iter().zip(archive) {
        let found = [
            part.mass(),
            part.centre(),
            part.gyration().unwrap_or(f64::NAN),
        ];
        for (found, expected) in found.into_iter().zip(row) {
            let same = found.to_bits() == expected.to_bits();
            assert!(same || (found.is_nan() && expected.is_nan()), "{part:?}");
        }
    }
}

#[test]
fn de_levas_rows_are_those_of_the_archive() {
    for (sex, table) in [(Sex::Women, WOMEN), (Sex::Men, MEN)] {
        let archive = rows(table);
        assert_eq!(archive.len(), DeLeva::ALL.len());
        for (part, row) in DeLeva::ALL.into_iter().zip(archive) {
            let found = part.row(sex);
            let found = [found.mass, found.centre, found.sagittal, found.transverse];
            for (percent, share) in found.into_iter().zip(row) {
                assert!((percent - 100.0 * share).abs() < 1e-9, "{part:?} {sex:?}");
            }
        }
    }
}

#[test]
fn the_masses_of_winters_whole_body_are_one_body_however_it_is_cut() {
    use Winter as W;
    let sum = |parts: &[(f64, W)]| -> f64 { parts.iter().map(|(n, part)| n * part.mass()).sum() };
    let whole = [
        vec![(1.0, W::HeadArmsTrunk), (2.0, W::TotalLeg)],
        vec![
            (1.0, W::HeadArmsTrunk),
            (2.0, W::Thigh),
            (2.0, W::Shank),
            (2.0, W::Foot),
        ],
        vec![
            (1.0, W::HeadAndNeck),
            (1.0, W::Thorax),
            (1.0, W::Abdomen),
            (1.0, W::Pelvis),
            (2.0, W::UpperArm),
            (2.0, W::Forearm),
            (2.0, W::Hand),
            (2.0, W::Thigh),
            (2.0, W::FootAndShank),
        ],
        vec![
            (1.0, W::Trunk),
            (1.0, W::HeadAndNeck),
            (2.0, W::TotalArm),
            (2.0, W::TotalLeg),
        ],
        vec![
            (1.0, W::TrunkAndHead),
            (2.0, W::TotalArm),
            (2.0, W::TotalLeg),
        ],
    ];
    for cut in whole {
        assert!((sum(&cut) - 1.0).abs() < 1e-12, "{cut:?}: {}", sum(&cut));
    }
}

#[test]
fn the_masses_of_de_levas_body_are_a_hundred_percent_as_printed() {
    use DeLeva as D;
    let once = [D::Head, D::Trunk];
    let twice = [
        D::UpperArm,
        D::Forearm,
        D::Hand,
        D::Thigh,
        D::Shank,
        D::Foot,
    ];
    // The women's printed figures add up to 99.99.
    for (sex, whole) in [(Sex::Women, "99.99"), (Sex::Men, "100.00")] {
        let mass = |part: &D| part.row(sex).mass;
        let sum = once.iter().map(mass).sum::<f64>() + 2.0 * twice.iter().map(mass).sum::<f64>();
        printed("whole body", sum, whole);
        let trunk: f64 = [D::UpperTrunk, D::MiddleTrunk, D::LowerTrunk]
            .iter()
            .map(mass)
            .sum();
        assert!((trunk - D::Trunk.row(sex).mass).abs() < 1e-9);
    }
}

#[test]
fn proportions_stack_up_from_floor_to_shoulder() {
    // Drillis and Contini 1966, as drawn in Winter fig. 4.1 (from memory): heights of knee .285, hip
    // .530 and shoulder .818 of the stature.
    let build = Build::new(1.0, Measured::default(), None).unwrap();
    let of = |dimension| build.metres(dimension);
    let knee = of(Dimension::Ankle) + of(Dimension::Shank);
    printed("knee", knee, "0.285");
    let hip = knee + of(Dimension::Thigh);
    printed("hip", hip, "0.530");
    printed("shoulder", hip + of(Dimension::Trunk), "0.818");
    printed("shoulder", of(Dimension::ShoulderHeight), "0.818");
    printed("upper arm", build.upper_arm(), "0.186");
    printed("forearm", build.forearm(), "0.146");
    printed("wrist to bar, pressing", build.wrist_to_bar(), "0.020");
    printed("shoulder to bar, hanging", build.hanging_reach(), "0.382");
}

#[test]
fn a_measured_length_is_trusted_more_than_one_by_proportion() {
    let measured = Measured {
        thigh: Some(0.45),
        ..Measured::default()
    };
    let build = Build::new(1.75, measured, None).unwrap();
    let (thigh, shank) = (build.part(Dimension::Thigh), build.part(Dimension::Shank));
    assert!(thigh.measured && !shank.measured);
    assert!(thigh.sd / thigh.metres < shank.sd / shank.metres);
    // Individuals differ by 4 to 5 % (common practice, no source).
    assert!((0.04..=0.05).contains(&(shank.sd / shank.metres)));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(Build::new(bad, measured, None), None);
        assert_eq!(Build::new(1.75, measured, Some(bad)), None);
        let arm = Measured {
            arm: Some(bad),
            ..measured
        };
        assert_eq!(Build::new(1.75, arm, None), None);
    }
}
